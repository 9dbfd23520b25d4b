package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
)

// RestoreOptions of [Restore].
type RestoreOptions struct {
	Replace bool      // an existing book may be replaced; it is kept aside
	At      time.Time // now, for the name of the one kept aside
}

// Restored is what [Restore] did.
type Restored struct {
	Report season.Report
	Aside  string // where the former book is now, "" when there was none
}

// maxBody is the longest body of a fact taken from a foreign file, in bytes.
// The longest of ours is a plan taken out, some hundred kilobytes.
const maxBody = 16 << 20

// Restore makes the book at to anew from the facts in the file from, a backup
// or another book. The file is taken for hostile: it is only read, and its
// facts are checked and copied one by one into a fresh book, which gets its
// name when all are there. A former book is kept under a dated name.
//
// Errors: fault.Conflict when there is a book and Replace is not set, or when
// from is a book in use; fault.Damaged when from is not a sound book;
// fault.NotUnderstood when it is of a newer larder; fault.Busy when to is open;
// fault.NoRoom. In each case all is left as it was.
func Restore(ctx context.Context, from, to string, o RestoreOptions) (Restored, error) {
	return restore(ctx, from, to, o, migrations())
}

func restore(ctx context.Context, from, to string, o RestoreOptions, steps fs.FS) (Restored, error) {
	const op = "sqlite.Restore"
	var none Restored
	to, err := place(to)
	if err != nil {
		return none, err
	}
	if err := restorable(from, to); err != nil {
		return none, err
	}
	l, err := takeLock(to)
	if err != nil {
		return none, err
	}
	defer l.free()
	size, wal, err := sizes(to)
	if err != nil {
		return none, err
	}
	there := size > 0 || wal > 0
	if there && !o.Replace {
		return none, fault.New(fault.Conflict, to, "there is a book here already").
			WithHint("with --replace it is replaced, and kept under another name")
	}
	tmp := to + ".restoring"
	defer func() { // when all went well only its lock file is left
		_ = removeBook(tmp)
		_ = os.Remove(tmp + ".lock")
	}()
	if err := removeBook(tmp); err != nil {
		return none, diskFault(err, tmp, "this old leaving cannot be removed")
	}
	report, err := copyFacts(ctx, from, tmp, steps)
	if err != nil {
		return none, fault.Wrap(err, op)
	}
	done := Restored{Report: report}
	if there {
		if done.Aside, err = putAside(to, o.At); err != nil {
			return none, diskFault(err, to, "the former book cannot be kept aside")
		}
	}
	return done, fault.Wrap(moveIn(tmp, to), op)
}

// restorable looks at the names of the two files.
func restorable(from, to string) error {
	st, err := os.Stat(from)
	if err != nil {
		return diskFault(err, from, "there is no such file")
	}
	if !st.Mode().IsRegular() {
		return fault.New(fault.NotFound, from, "this is not a file")
	}
	if own, err := os.Stat(to); err == nil && os.SameFile(st, own) {
		return fault.New(fault.Conflict, from, "a book cannot be restored from itself")
	}
	if w, err := os.Stat(from + "-wal"); err == nil && w.Size() > 0 {
		return fault.New(fault.Conflict, from, "this is a book in use, not a backup: part of it is in another file").
			WithHint("make a backup of it with: larder backup FILE")
	}
	return nil
}

// copyFacts makes a new book at tmp with the facts of the file from.
func copyFacts(ctx context.Context, from, tmp string, steps fs.FS) (season.Report, error) {
	var none season.Report
	src, err := connect(ctx, from, foreign, 2)
	if err != nil {
		return none, strange(err, from)
	}
	defer src.Close()
	n, err := admit(ctx, src, from, steps)
	if err != nil {
		return none, strange(err, from)
	}
	book, err := open(ctx, tmp, Options{}, steps)
	if err != nil {
		return none, err
	}
	defer book.Close()
	salt, err := saltOf(ctx, src)
	if err != nil {
		return none, strange(err, from)
	}
	in := &reader{d: season.NewDecoder(), salt: salt}
	for at := int64(0); at < n; at += span {
		facts := make([]season.Fact, min(span, n-at))
		if err := readPart(ctx, src, in, facts, at); err != nil {
			return none, strange(err, from)
		}
		if err := book.Append(ctx, facts...); err != nil {
			return none, err
		}
	}
	report, err := book.Verify(ctx)
	if err != nil {
		return none, err
	}
	if int64(report.Facts) != n {
		return none, fault.Newf(fault.Damaged, from, "%d of its %d facts are there twice", n-int64(report.Facts), n)
	}
	report.Done = append(report.Done, fmt.Sprintf("All %d facts of %s were checked and copied.", n, from))
	return report, book.Close()
}

// admit decides whether a foreign file may be read at all, and how many facts
// it has.
func admit(ctx context.Context, src *sql.DB, from string, steps fs.FS) (int64, error) {
	if _, err := identify(ctx, src, from, steps); err != nil {
		return 0, err
	}
	if err := sound(ctx, src, "integrity_check"); err != nil {
		return 0, err
	}
	n, err := count(ctx, src)
	if err != nil {
		return 0, err
	}
	var long int64
	if err := src.QueryRowContext(ctx, "SELECT count(*) FROM larder_fact WHERE octet_length(body) > $1", maxBody).Scan(&long); err != nil {
		return 0, err
	}
	if long > 0 {
		return 0, fault.New(fault.Damaged, from, "a fact in it is longer than any of ours")
	}
	return n, nil
}

// strange explains an error met in a foreign file: whatever is wrong with it,
// it is the file that is damaged, not a book of ours.
func strange(err error, from string) error {
	e := explain(err, from, "read")
	var f *fault.Error
	if !errors.As(e, &f) {
		return e
	}
	switch f.Kind {
	case fault.NotUnderstood, fault.NotFound, fault.Busy, fault.Unreachable:
		return e
	}
	return (&fault.Error{Kind: fault.Damaged, Op: f.Op, Thing: from, Say: "this file is not a sound backup of a book", Err: err}).
		WithHint("take an older backup; nothing was changed")
}

// putAside keeps the book at path, with what belongs to it, under a dated name
// as well, and takes its log away from path, so that a new book put there does
// not meet it. Whenever the power goes, the book is whole under one name or the
// other.
func putAside(path string, at time.Time) (string, error) {
	aside := beside(path, "before-restore-"+at.Format("20060102-150405"))
	for _, c := range companions {
		if err := keepAs(path+c, aside+c); err != nil {
			return "", err
		}
	}
	if err := syncDir(filepath.Dir(path)); err != nil {
		return "", err
	}
	for _, c := range companions {
		if c == "" {
			continue // replaced in one step by the new book
		}
		if err := os.Remove(path + c); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	return aside, nil
}

// keepAs gives a file a second name, or copies it where that cannot be.
func keepAs(name, other string) error {
	err := os.Link(name, other)
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	if err := os.WriteFile(other, b, 0o600); err != nil {
		return err
	}
	return syncFile(other)
}
