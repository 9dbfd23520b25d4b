package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"larder/internal/fault"
	"larder/internal/postgres"
	"larder/internal/season"
	"larder/internal/web"
)

// shelves are the folders the backups of the keepers' books go to, one each.
type shelves struct {
	r        *run
	list     *postgres.Keepers
	dir      string
	everyDay bool

	running sync.WaitGroup
	mu      sync.Mutex
	made    map[string]*shelf // by place
}

// shelvesOf is where the backups of all keepers go.
func (c *serveCmd) shelvesOf(r *run, list *postgres.Keepers) (*shelves, error) {
	s := &shelves{r: r, list: list, dir: c.Backups, everyDay: !c.NoBackups, made: map[string]*shelf{}}
	if s.dir == "" {
		dir, err := r.dataFolder()
		s.dir = filepath.Join(dir, "backups")
		return s, err
	}
	dir, err := filepath.Abs(s.dir)
	s.dir = dir
	return s, fault.Wrap(err, "serve")
}

// folderOf names a keeper's folder: what of his name any disk takes, and what
// tells him from one of the like.
func folderOf(x postgres.Keeper) string {
	name := strings.Map(func(c rune) rune {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			return c
		case c >= 'A' && c <= 'Z':
			return c + 'a' - 'A'
		}
		return '-'
	}, x.Name)
	return strings.Trim(name[:min(len(name), 40)]+"-"+strings.TrimPrefix(x.Place, "larder_k_"), "-")
}

// of gives the shelf of a keeper.
func (s *shelves) of(x postgres.Keeper) *keeperShelf {
	s.mu.Lock()
	defer s.mu.Unlock()
	one := s.made[x.Place]
	if one == nil {
		one = &shelf{dir: filepath.Join(s.dir, folderOf(x)), now: s.r.Now, everyDay: s.everyDay,
			book: func(ctx context.Context) (season.Book, func() error, error) {
				b, err := s.list.Open(ctx, x.Place)
				if err != nil {
					return nil, nil, err
				}
				return b, b.Close, nil
			}}
		s.made[x.Place] = one
	}
	return &keeperShelf{one}
}

// begin backs up the books of all keepers each day for as long as they are served.
func (s *shelves) begin() {
	if !s.everyDay {
		return
	}
	tick := time.NewTicker(10 * time.Minute)
	s.running.Go(func() {
		defer tick.Stop()
		for {
			s.all(s.r.ctx)
			select {
			case <-s.r.ctx.Done():
				return
			case <-tick.C:
			}
		}
	})
}

// all backs up each book that is due. What goes wrong with one is told, and holds
// up no other.
func (s *shelves) all(ctx context.Context) {
	tell := func(what string, err error) {
		if ctx.Err() == nil {
			fmt.Fprintln(s.r.Err, "larder: "+what)
			report(s.r.Err, err)
		}
	}
	keepers, err := s.list.List(ctx)
	if err != nil {
		tell("the keepers' backups of today were not made", err)
		return
	}
	for _, x := range keepers {
		if one := s.of(x).shelf; ctx.Err() == nil && one.due() {
			if _, err := one.Make(ctx); err != nil {
				tell("the backup of the book of "+x.Name+" was not made", err)
			}
		}
	}
}

// keeperShelf is a shelf as its keeper sees it: he is not told how the server's
// disk is laid out, and does not fill it by asking over and over.
type keeperShelf struct{ *shelf }

var _ web.Backups = (*keeperShelf)(nil)

// betweenBackups is how long after one backup a keeper may ask for the next.
const betweenBackups = time.Hour

// Make backs the book up, if it was not just done.
func (s *keeperShelf) Make(ctx context.Context) (string, error) {
	if last := s.shelf.Last(); last.Err == nil && !last.At.IsZero() {
		if age := s.now().Sub(last.At); age >= 0 && age < betweenBackups {
			return "", fault.New(fault.Busy, "", "this book was backed up less than an hour ago").WithHint("that backup is proved and kept; ask again later")
		}
	}
	where, err := s.shelf.Make(ctx)
	return filepath.Base(where), err
}

// Last tells of the last backup, without its place on the server.
func (s *keeperShelf) Last() web.LastBackup {
	last := s.shelf.Last()
	last.Dir, last.Apart = "", true
	if last.Where != "" {
		last.Where = filepath.Base(last.Where)
	}
	return last
}
