package cli

import (
	"context"
	"net"
	"os"
	"sync"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/web"
)

// lookAgain is how often a book that could not be opened is looked at.
const lookAgain = time.Second

// bookOrWait opens the book. While it is damaged, or a newer larder's, it says so
// here and on a page of this computer, and goes on when the file was replaced by
// one that opens. Interrupted before that, it fails as opening did.
func (c *serveCmd) bookOrWait(r *run) (season.Book, error) {
	b, err := r.openBook()
	if k := fault.KindOf(err); err == nil || k != fault.Damaged && k != fault.NotUnderstood {
		return b, err
	}
	path, x := r.bookPath()
	if x != nil || isURL(path) {
		return nil, err
	}
	before, x := os.Stat(path)
	if x != nil {
		return nil, err
	}
	_, port, x := net.SplitHostPort(c.Addr)
	if x != nil {
		return nil, err
	}
	report(r.Err, err)

	ctx, stop := context.WithCancel(r.ctx)
	defer stop()
	var found season.Book
	var watch sync.WaitGroup
	watch.Go(func() {
		defer stop()
		for wait(ctx, lookAgain) {
			// A book that is gone is not made anew: somebody is at work there.
			if now, x := os.Stat(path); x != nil || os.SameFile(before, now) && now.ModTime().Equal(before.ModTime()) && now.Size() == before.Size() {
				continue
			}
			if b, x := r.openBook(); x == nil {
				found = b
				return
			}
		}
	})
	waiting := *r
	waiting.ctx = ctx
	l := listen{Addr: net.JoinHostPort("127.0.0.1", port), NoOpen: c.NoOpen}
	x = l.serve(&waiting, web.Options{Book: &season.Memory{}, Version: version(), Shut: err}, nil, nil)
	stop()
	watch.Wait()
	if found != nil {
		c.NoOpen = true // the page is open
		return found, nil
	}
	if x != nil {
		return nil, x
	}
	return nil, err
}

// wait tells whether so long went by without an end.
func wait(ctx context.Context, d time.Duration) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(d):
		return true
	}
}
