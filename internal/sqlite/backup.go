package sqlite

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
)

// Backup writes a copy of the book to file while the book stays in use, and
// proves it: the engine's checks, every fact read and checked, and the facts
// compared with the book's. Only then does the copy get its name. An existing
// file is not written over.
//
// Errors: fault.Conflict when there is a file of that name; fault.NoRoom;
// fault.Damaged when the copy, or the book, does not pass.
func (b *Book) Backup(ctx context.Context, file string) error {
	const op = "sqlite.Backup"
	if b.isClosed() {
		return b.errClosed(op)
	}
	file, err := filepath.Abs(file)
	if err != nil {
		return diskFault(err, file, "this place cannot be found")
	}
	if _, err := os.Lstat(file); err == nil {
		return fault.New(fault.Conflict, file, "there is a file of this name already").WithHint("name the backup otherwise, by its day for example")
	}
	least, err := count(ctx, b.read)
	if err != nil {
		return b.explain(err, op)
	}
	part := file + ".part"
	if err := b.vacuum(ctx, part); err != nil {
		err = b.copyFailed(err, part, op)
		_ = removeBook(part)
		return err
	}
	if err := b.prove(ctx, part, least); err != nil {
		_ = removeBook(part)
		return fault.Wrap(err, op)
	}
	return moveIn(part, file)
}

// BackupInUse is [Book.Backup] of a book that another program has open: the copy
// is of one moment, and the other goes on writing. Nothing is written to the book.
//
// Errors: those of Backup; fault.NotUnderstood when the other is a newer larder.
func BackupInUse(ctx context.Context, path, file string) error {
	const op = "sqlite.BackupInUse"
	path, err := filepath.Abs(path)
	if err != nil {
		return diskFault(err, path, "this place cannot be found")
	}
	b := &Book{path: path, steps: migrations(), closing: make(chan struct{})}
	if err := b.head(); err != nil {
		return err
	}
	if b.read, err = connect(ctx, path, looking, 1); err != nil {
		return b.explain(err, op)
	}
	defer b.read.Close()
	if _, err := identify(ctx, b.read, path, b.steps); err != nil {
		return b.explain(err, op)
	}
	return b.Backup(ctx, file)
}

// vacuum writes the facts of one moment to a new file. Others go on writing
// meanwhile.
func (b *Book) vacuum(ctx context.Context, part string) error {
	const say = "the backup cannot be written there"
	if err := removeBook(part); err != nil {
		return diskFault(err, strings.TrimSuffix(part, ".part"), say)
	}
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return diskFault(err, strings.TrimSuffix(part, ".part"), say)
	}
	f.Close()
	db, err := connect(ctx, b.path, looking, 1)
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, "VACUUM INTO $1", part)
	return err
}

// copyFailed tells a copy that could not be written, which is no harm to the
// book, from a book that could not be read.
func (b *Book) copyFailed(err error, part, op string) error {
	if !wasFailedWrite(err) {
		return b.explain(err, op)
	}
	e := &fault.Error{Kind: fault.Unreachable, Op: op, Thing: part, Err: err, Say: "the backup cannot be written there"}
	if fault.Is(explain(err, part, op), fault.NoRoom) {
		noRoom(e)
	} else if why := roomLeft(part, b.path); isNoRoom(why) {
		noRoom(e)
	}
	return e
}

// prove makes sure that the file is a sound copy of the book's first facts,
// least of them or more.
func (b *Book) prove(ctx context.Context, part string, least int64) error {
	db, err := connect(ctx, part, foreign, 2)
	if err != nil {
		return explain(err, part, "open")
	}
	defer db.Close()
	if _, err := identify(ctx, db, part, b.steps); err != nil {
		return explain(err, part, "identify")
	}
	_, rows, err := inspect(ctx, db)
	if err != nil {
		return explain(err, part, "inspect")
	}
	if rows < least {
		return fault.Newf(fault.Damaged, part, "the copy has %d facts of %d", rows, least)
	}
	was, err := fingerprint(ctx, b.read, rows)
	if err != nil {
		return b.explain(err, "compare")
	}
	is, err := fingerprint(ctx, db, rows)
	if err != nil {
		return explain(err, part, "compare")
	}
	if was != is {
		return fault.New(fault.Damaged, part, "the copy is not the same as the book")
	}
	return nil
}

// fingerprint is a hash of the ids and check sums of the first n rows. That
// each sum fits its row is seen to when rows are read.
func fingerprint(ctx context.Context, db *sql.DB, n int64) (string, error) {
	rows, err := db.QueryContext(ctx, "SELECT id, sum FROM larder_fact WHERE seq <= $1 ORDER BY seq", n)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	h := sha256.New()
	var id sql.RawBytes
	var sum int64
	for rows.Next() {
		if err := rows.Scan(&id, &sum); err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%x %d\n", []byte(id), sum)
	}
	return hex.EncodeToString(h.Sum(nil)), rows.Err()
}

// inspect looks through a whole file: the engine's checks, then every fact.
func inspect(ctx context.Context, db *sql.DB) (facts []season.Fact, rows int64, err error) {
	if err := sound(ctx, db, "integrity_check"); err != nil {
		return nil, 0, err
	}
	if err := sound(ctx, db, "foreign_key_check"); err != nil {
		return nil, 0, err
	}
	facts, err = readAll(ctx, db)
	return facts, int64(len(facts)), err
}

// Verify looks through the whole book and says what it looked at.
//
// Errors: fault.Damaged, after which the book takes nothing more.
func (b *Book) Verify(ctx context.Context) (season.Report, error) {
	const op = "sqlite.Verify"
	if b.isClosed() {
		return season.Report{}, b.errClosed(op)
	}
	facts, n, err := inspect(ctx, b.read)
	if err != nil {
		if fault.Is(err, fault.Damaged) {
			b.stop(err)
		}
		return season.Report{}, b.explain(err, op)
	}
	version, err := ask(ctx, b.read, "PRAGMA user_version")
	if err != nil {
		return season.Report{}, b.explain(err, op)
	}
	season.SortFacts(facts)
	j, err := season.JournalOf(facts)
	if err != nil {
		return season.Report{}, b.damaged(err)
	}
	j.Now()
	r := season.Inspect(facts)
	r.Done = []string{
		"The file's structure and indexes are sound.",
		fmt.Sprintf("There are as many rows as ids (%d), and no row is missing between the first and the last.", n),
		"Each fact fits its check sum, can be read, and passes the checks made when it came in.",
		"No id stands for two facts, and the facts fold to a state.",
		"The book is of version " + version + ", which this larder knows.",
	}
	return r, nil
}
