package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/database"

	"larder/internal/fault"
)

// The migrations. One that has been released is never edited; a new kind of
// fact needs a new one too (if only to count user_version up), so that an older
// larder refuses the book in words instead of stumbling over the fact.
//
//go:embed migrations/*.sql
var shipped embed.FS

func migrations() fs.FS {
	sub, err := fs.Sub(shipped, "migrations")
	if err != nil {
		panic("sqlite: " + err.Error())
	}
	return sub
}

// versionTable is where goose notes which migrations were made.
const versionTable = "larder_version"

func provider(db *sql.DB, steps fs.FS) (*goose.Provider, error) {
	return goose.NewProvider(database.DialectSQLite3, db, steps,
		goose.WithTableName(versionTable), goose.WithDisableGlobalRegistry(true))
}

// newest gives the schema version the migrations lead to.
func newest(steps fs.FS) int {
	names, err := fs.Glob(steps, "*.sql")
	if err != nil || len(names) == 0 {
		panic("sqlite: no migrations")
	}
	n := 0
	for _, name := range names {
		digits, _, _ := strings.Cut(name, "_")
		v, err := strconv.Atoi(digits)
		if err != nil {
			panic("sqlite: migration " + name + " has no number")
		}
		n = max(n, v)
	}
	return n
}

// object is one line of the file's table of contents.
type object struct{ kind, name, sql string }

// contents reads what tables, indexes, views and triggers a file has.
func contents(ctx context.Context, db asker) ([]object, error) {
	rows, err := db.QueryContext(ctx, "SELECT type, name, coalesce(sql, '') FROM sqlite_schema ORDER BY name, type")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []object
	for rows.Next() {
		var o object
		if err := rows.Scan(&o.kind, &o.name, &o.sql); err != nil {
			return nil, err
		}
		all = append(all, o)
	}
	return all, rows.Err()
}

// expected gives the contents of a book of this version, made in memory.
func expected(ctx context.Context, steps fs.FS, version int) ([]object, error) {
	db, err := sql.Open("sqlite", "file::memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1) // each connection would be a memory of its own
	p, err := provider(db, steps)
	if err != nil {
		return nil, err
	}
	if _, err := p.UpTo(ctx, int64(version)); err != nil {
		return nil, err
	}
	return contents(ctx, db)
}

// isBooks tells whether all a file holds are the tables of a book. The table of
// goose and the counter it needs are known by name only: another version of
// goose may spell them otherwise.
func isBooks(got, want []object) bool {
	ours := func(all []object) []object {
		return slices.DeleteFunc(slices.Clone(all), func(o object) bool {
			return o.kind == "table" && (o.name == versionTable || o.name == "sqlite_sequence")
		})
	}
	return slices.Equal(ours(got), ours(want))
}

// create makes a new, empty book at path. It is made under another name first,
// so that at path there is a whole book or none, whenever the power goes.
func create(ctx context.Context, path string, steps fs.FS) error {
	tmp := path + ".new"
	if err := removeBook(tmp); err != nil {
		return diskFault(err, tmp, "this old leaving cannot be removed")
	}
	if err := build(ctx, tmp, steps); err != nil {
		_ = removeBook(tmp)
		return err
	}
	if err := moveIn(tmp, path); err != nil {
		_ = removeBook(tmp)
		return err
	}
	return nil
}

// build makes the file of a new book and closes it.
func build(ctx context.Context, tmp string, steps fs.FS) error {
	// Made by us for its mode: SQLite would make it readable for all. It gives
	// its -wal and -shm files the mode of the book.
	f, err := os.OpenFile(tmp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return diskFault(err, tmp, "this book cannot be made")
	}
	f.Close()
	db, err := connect(ctx, tmp, building, 1)
	if err != nil {
		return explain(err, tmp, "sqlite.create")
	}
	p, err := provider(db, steps)
	if err == nil {
		_, err = p.Up(ctx)
	}
	if cerr := db.Close(); err == nil { // folds the log in and removes it
		err = cerr
	}
	return explain(err, tmp, "sqlite.create")
}

// moveIn gives a finished file its name, for good. What the file lacks may still
// lie in a log beside it: closing folds that in, and says nothing when it cannot.
func moveIn(tmp, path string) error {
	if st, err := os.Stat(tmp + "-wal"); err == nil && st.Size() > 0 {
		if why := roomLeft(tmp); why != nil {
			return diskFault(why, path, "this file cannot be put on the disk")
		}
		return &fault.Error{Kind: fault.Unreachable, Op: "sqlite.moveIn", Thing: path, Say: "this file could not be finished: the disk failed", Hint: "look at the disk and its cable, then do it again"}
	}
	if err := syncFile(tmp); err != nil {
		return diskFault(err, tmp, "this file cannot be put on the disk")
	}
	if err := os.Rename(tmp, path); err != nil {
		return diskFault(err, path, "this file cannot be put in its place")
	}
	if err := syncDir(filepath.Dir(path)); err != nil {
		return diskFault(err, path, "this file cannot be put on the disk")
	}
	return nil
}

func syncFile(name string) error {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// companions are the files SQLite keeps beside a book.
var companions = []string{"", "-wal", "-shm", "-journal"}

func removeBook(path string) error {
	for _, c := range companions {
		if err := os.Remove(path + c); err != nil && !os.IsNotExist(err) {
			return err
		}
	}
	return nil
}

// beside gives a free name next to path: book.db → book-MARK.db, book-MARK-2.db …
func beside(path, mark string) string {
	ext := filepath.Ext(path)
	base := strings.TrimSuffix(path, ext) + "-" + mark
	name := base + ext
	for n := 2; ; n++ {
		if _, err := os.Lstat(name); os.IsNotExist(err) {
			return name
		}
		name = base + "-" + strconv.Itoa(n) + ext
	}
}

// migrate brings an open book from version to the newest, after putting a
// proved copy of it beside it.
func (b *Book) migrate(ctx context.Context, version int) error {
	to := newest(b.steps)
	if version == to {
		return nil
	}
	kept := beside(b.path, "before-v"+strconv.Itoa(to))
	if err := b.Backup(ctx, kept); fault.Is(err, fault.NoRoom) {
		return noRoomForNewForm(err, kept, "the former larder still opens it")
	} else if err != nil {
		return fault.Wrap(err, "sqlite.migrate")
	}
	full := false
	p, err := provider(b.write, b.steps)
	if err == nil {
		_, err = p.Up(ctx)
	}
	if err == nil {
		return nil
	}
	if wasFailedWrite(err) {
		if why := roomLeft(b.path, kept); isNoRoom(why) {
			err = errors.Join(err, why)
			full = true
		}
	}
	// What failed was taken back as a whole. Where the book is seen to be as it was
	// the copy goes again: a service started anew every few seconds would fill the
	// disk with copies.
	hint := "the former larder still opens it; a copy is at " + kept
	if v, x := identify(ctx, b.write, b.path, b.steps); x == nil && v == version && sound(ctx, b.write, "quick_check") == nil {
		if os.Remove(kept) == nil {
			hint = "the former larder still opens it"
		}
	}
	e := explain(err, b.path, "sqlite.migrate")
	switch {
	case full || fault.Is(e, fault.NoRoom):
		return noRoomForNewForm(err, b.path, hint)
	case fault.Is(e, fault.Internal):
		f := &fault.Error{Kind: fault.Internal, Op: "sqlite.migrate", Thing: b.path, Err: err, Say: "this book could not be brought to the new form; it is as it was"}
		return f.WithHint("%s", hint)
	}
	return e
}

// noRoomForNewForm says so of what did not fit.
func noRoomForNewForm(err error, thing, hint string) error {
	f := &fault.Error{Kind: fault.NoRoom, Op: "sqlite.migrate", Thing: thing, Err: err, Say: "there is no room on the disk to bring the book to the new form; it is as it was"}
	return f.WithHint("make room for three times the book and start again; until then %s", hint)
}
