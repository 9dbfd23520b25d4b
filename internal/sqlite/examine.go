package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"

	engine "modernc.org/sqlite"

	"larder/internal/fault"
)

// smallBook is how large a file may be, in bytes, to be looked through whole at
// each opening. A larger one is, only when it was not closed in order; else its
// facts tell, each by its check sum, when they are read.
const smallBook = 32 << 20

// examine looks at an existing file before anything may write to it and gives
// its schema version. It changes nothing in the book or its log.
func (b *Book) examine(ctx context.Context) (version int, err error) {
	if err := b.head(); err != nil {
		return 0, err
	}
	if err := b.checkLog(); err != nil {
		return 0, err
	}
	db, err := connect(ctx, b.path, looking, 1)
	if err != nil {
		return 0, b.unsound(err)
	}
	defer db.Close()
	version, err = identify(ctx, db, b.path, b.steps)
	if err != nil {
		return 0, b.unsound(err)
	}
	size, wal, err := sizes(b.path)
	if err != nil {
		return 0, err
	}
	if wal > 0 || size <= smallBook {
		if err := sound(ctx, db, "quick_check"); err != nil {
			return 0, b.unsound(err)
		}
	}
	n, err := count(ctx, db)
	if err != nil {
		return 0, b.unsound(err)
	}
	if wal > 0 && aloneHas(ctx, b.path) > n {
		return 0, b.damaged(errors.New("the log is older than the book"))
	}
	return version, nil
}

// aloneHas gives the number of the last row in the file without its log, 0 if
// that cannot be told. The log only ever adds rows; if it took some away it
// would be from an earlier time.
func aloneHas(ctx context.Context, path string) int64 {
	db, err := connect(ctx, path, foreign, 1)
	if err != nil {
		return 0
	}
	defer db.Close()
	var last int64
	if err := db.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM larder_fact").Scan(&last); err != nil {
		return 0
	}
	return last
}

// unsound explains what the engine says of a file it is only asked to read: if
// it cannot, for a reason of its own, the file is damaged.
func (b *Book) unsound(err error) error {
	e := b.explain(err, "sqlite.Open")
	var sq *engine.Error
	if fault.Is(e, fault.Internal) && errors.As(err, &sq) {
		return b.wayBack(&fault.Error{Kind: fault.Damaged, Op: "sqlite.Open", Thing: b.path, Say: "this book is damaged", Err: err})
	}
	return e
}

// The head of an SQLite file: "Database File Format", §1.3 of its documentation.
const (
	headLen       = 100
	magic         = "SQLite format 3\x00"
	headApplicant = 68
)

// head looks at the first bytes of the file, without the engine: what is not
// ours at all is not handed to it.
func (b *Book) head() error {
	f, err := os.Open(b.path)
	if err != nil {
		return diskFault(err, b.path, "this book cannot be opened")
	}
	defer f.Close()
	h := make([]byte, headLen)
	if _, err := io.ReadFull(f, h); err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return diskFault(err, b.path, "this book cannot be read")
	}
	if !bytes.HasPrefix(h, []byte(magic)) {
		return b.wayBack(&fault.Error{Kind: fault.Damaged, Op: "sqlite.Open", Thing: b.path, Say: "this file is not a book, or its beginning is damaged"})
	}
	if id := binary.BigEndian.Uint32(h[headApplicant:]); id != applicationID {
		return b.wayBack(&fault.Error{Kind: fault.Damaged, Op: "sqlite.Open", Thing: b.path, Say: "this file belongs to another program, or its beginning is damaged"})
	}
	return nil
}

// identify makes sure that a file is a book of a version we know, with the
// tables of a book and nothing else.
func identify(ctx context.Context, db asker, path string, steps fs.FS) (int, error) {
	id, err := ask(ctx, db, "PRAGMA application_id")
	if err != nil {
		return 0, err
	}
	if id != strconv.Itoa(applicationID) {
		return 0, &fault.Error{Kind: fault.Damaged, Thing: path, Say: "this file belongs to another program"}
	}
	if enc, err := ask(ctx, db, "PRAGMA encoding"); err != nil {
		return 0, err
	} else if enc != "UTF-8" {
		return 0, &fault.Error{Kind: fault.Damaged, Thing: path, Say: "the texts in this file are not written as in a book"}
	}
	v, err := ask(ctx, db, "PRAGMA user_version")
	if err != nil {
		return 0, err
	}
	version, err := strconv.Atoi(v)
	if err != nil || version < 1 {
		return 0, &fault.Error{Kind: fault.Damaged, Thing: path, Say: "this book does not say of which version it is"}
	}
	if to := newest(steps); version > to {
		return 0, fault.Newf(fault.NotUnderstood, path, "this book was written by a newer larder (book version %d; this one knows %d)", version, to).
			WithHint("use the newer larder, or restore the copy made before it was brought to the new form")
	}
	got, err := contents(ctx, db)
	if err != nil {
		return 0, err
	}
	want, err := expected(ctx, steps, version)
	if err != nil {
		return 0, &fault.Error{Kind: fault.Internal, Op: "sqlite.expected", Err: err}
	}
	if !isBooks(got, want) {
		return 0, &fault.Error{Kind: fault.Damaged, Thing: path, Say: "the tables in this file are not those of a book", Err: fmt.Errorf("%q", got)}
	}
	return version, nil
}

// sound runs one of the engine's own checks over the whole file.
func sound(ctx context.Context, db asker, check string) error {
	rows, err := db.QueryContext(ctx, "PRAGMA "+check)
	if err != nil {
		return err
	}
	defer rows.Close()
	var bad []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return err
		}
		if s != "ok" && len(bad) < 10 {
			bad = append(bad, s)
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if len(bad) > 0 {
		return &fault.Error{Kind: fault.Damaged, Say: "this book is damaged", Err: errors.New(strings.Join(bad, "; "))}
	}
	return nil
}

// count gives how many facts there are, by three counts that must agree: rows,
// ids, and the number of the last row.
func count(ctx context.Context, db interface {
	QueryRowContext(context.Context, string, ...any) *sql.Row
}) (int64, error) {
	var rows, ids, last int64
	err := db.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM larder_fact NOT INDEXED),
		(SELECT count(*) FROM larder_fact INDEXED BY sqlite_autoindex_larder_fact_1),
		(SELECT coalesce(max(seq), 0) FROM larder_fact)`).Scan(&rows, &ids, &last)
	if err != nil {
		return 0, err
	}
	if rows != ids || rows != last {
		return 0, &fault.Error{Kind: fault.Damaged, Say: "facts are missing in this book", Err: fmt.Errorf("%d rows, %d ids, last row %d", rows, ids, last)}
	}
	return rows, nil
}
