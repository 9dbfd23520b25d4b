package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"larder/internal/fault"
	"larder/internal/season"
)

// Book is a season.Book in one SQLite file. All methods may be used by several
// goroutines at once.
type Book struct {
	path    string
	lock    *lock
	write   *sql.DB // one connection
	read    *sql.DB
	options Options
	steps   fs.FS  // its migrations
	salt    uint32 // what its sums begin with

	asked   chan *request
	closing chan struct{}
	once    sync.Once
	done    sync.WaitGroup
	closed  error

	stuck atomic.Pointer[fault.Error] // set = nothing is written any more
}

var _ season.Book = (*Book)(nil)

// Options of [Open].
type Options struct {
	// LastBackup is the newest backup known of. It is named when the book is
	// found damaged; empty = not known.
	LastBackup string
	// Named is set when the book is not at its usual place: commands that are
	// told then name it.
	Named bool
}

// Open opens the book at path, or makes an empty one with its folder.
//
// Errors: fault.Busy when another program has it open; fault.Damaged when the
// file is not a sound book (it is left as it is); fault.NotUnderstood when it
// was written by a newer larder; fault.NoRoom, fault.Unreachable.
func Open(path string, o Options) (*Book, error) {
	return open(context.Background(), path, o, migrations())
}

func open(ctx context.Context, path string, o Options, steps fs.FS) (*Book, error) {
	path, err := place(path)
	if err != nil {
		return nil, err
	}
	l, err := takeLock(path)
	if err != nil {
		return nil, err
	}
	b := &Book{path: path, lock: l, options: o, steps: steps, asked: make(chan *request), closing: make(chan struct{})}
	if err := b.open(ctx); err != nil {
		b.shut()
		return nil, err
	}
	b.done.Go(b.writer)
	return b, nil
}

// place makes sure there is a folder a book can be kept in.
func place(path string) (string, error) {
	if path == "" {
		return "", fault.New(fault.Missing, "book", "it is not said where the book is")
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", diskFault(err, path, "this place cannot be found")
	}
	dir := filepath.Dir(abs)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", diskFault(err, dir, "this folder cannot be made")
	}
	if kind := networkShare(dir); kind != "" {
		return "", fault.Newf(fault.Unreachable, dir, "this folder is on a share (%s): a book kept there can be damaged", kind).
			WithHint("keep the book on a disk of this computer, and its backups on the share")
	}
	return abs, nil
}

func (b *Book) open(ctx context.Context) error {
	b.sweep()
	size, wal, err := sizes(b.path)
	if err != nil {
		return err
	}
	if size == 0 {
		if wal > 0 {
			return b.damaged(errors.New("there is a log but no book"))
		}
		if err := create(ctx, b.path, b.steps); err != nil {
			return err
		}
	}
	version, err := b.examine(ctx)
	if err != nil {
		return err
	}
	_ = os.Chmod(b.path, 0o600) // where modes mean nothing this does nothing
	if b.write, err = connect(ctx, b.path, writing, 1); err != nil {
		return b.explain(err, "sqlite.Open")
	}
	if b.read, err = connect(ctx, b.path, reading, max(2, min(4, runtime.GOMAXPROCS(0)))); err != nil {
		return b.explain(err, "sqlite.Open")
	}
	if err := b.migrate(ctx, version); err != nil {
		return err
	}
	b.salt, err = saltOf(ctx, b.write)
	return b.explain(err, "sqlite.Open")
}

// sizes gives the lengths of the book and of its log, 0 for one that is not there.
func sizes(path string) (size, wal int64, err error) {
	for _, f := range []struct {
		name string
		to   *int64
	}{{path, &size}, {path + "-wal", &wal}} {
		st, err := os.Stat(f.name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return 0, 0, diskFault(err, f.name, "this file cannot be looked at")
		case !st.Mode().IsRegular():
			return 0, 0, fault.New(fault.Damaged, f.name, "this is not a file")
		default:
			*f.to = st.Size()
		}
	}
	return size, wal, nil
}

// sweep removes what an earlier run that died left lying about. We have the
// lock, so nobody is at work on these.
func (b *Book) sweep() {
	for _, mark := range []string{".new", ".restoring"} {
		_ = removeBook(b.path + mark)
	}
	dir := filepath.Dir(b.path)
	list, _ := os.ReadDir(dir) // where the folder cannot be read nothing is swept
	for _, f := range list {
		if strings.HasPrefix(f.Name(), ".larder-room-") {
			_ = os.Remove(filepath.Join(dir, f.Name()))
		}
	}
}

// Path gives where the book is.
func (b *Book) Path() string { return b.path }

// Close finishes what is being written and closes the book. It may be called
// more than once.
func (b *Book) Close() error {
	b.once.Do(func() {
		close(b.closing)
		b.done.Wait()
		b.closed = b.shut()
	})
	return b.closed
}

func (b *Book) shut() error {
	var err error
	for _, db := range []*sql.DB{b.read, b.write} { // the writer last: it folds the log in
		if db != nil {
			err = errors.Join(err, db.Close())
		}
	}
	err = errors.Join(err, b.lock.free())
	return explain(err, b.path, "sqlite.Close")
}

func (b *Book) isClosed() bool {
	select {
	case <-b.closing:
		return true
	default:
		return false
	}
}

func (b *Book) errClosed(op string) error {
	return &fault.Error{Kind: fault.Internal, Op: op, Thing: b.path, Say: "this book has been closed"}
}

// explain adds the way back to what says that the book is damaged, and stops
// writing after what is deadly.
func (b *Book) explain(err error, op string) error {
	if err == nil {
		return nil
	}
	e := explain(err, b.path, op)
	if isDeadly(err) {
		b.stop(e)
	}
	return b.wayBack(e)
}

func (b *Book) wayBack(err error) error {
	var e *fault.Error
	if !errors.As(err, &e) || e.Kind != fault.Damaged || e.Hint != "" {
		return err
	}
	larder := "larder"
	if b.options.Named {
		larder += ` --book "` + b.path + `"`
	}
	if b.options.LastBackup == "" {
		return e.WithHint("nothing in it was changed; bring a backup back with: %s restore --replace FILE", larder)
	}
	// No backslash is doubled: it is typed as it stands, on Windows too.
	return e.WithHint("nothing in it was changed; bring the newest backup back with: %s restore --replace \"%s\"", larder, b.options.LastBackup)
}

// stop refuses all further writing.
func (b *Book) stop(cause error) {
	e := &fault.Error{Kind: fault.Damaged, Op: "sqlite.Append", Thing: b.path, Err: cause,
		Say: "after the disk failed nothing more is written to this book"}
	e.Hint = "look at the disk, then open the book again; what was told as kept is kept"
	b.stuck.CompareAndSwap(nil, e)
}

func (b *Book) damaged(cause error) error {
	e := &fault.Error{Kind: fault.Damaged, Op: "sqlite", Thing: b.path, Say: "this book is damaged", Err: cause}
	b.stop(e)
	return b.wayBack(e)
}
