package postgres

import (
	"context"
	"database/sql"
	"io/fs"
	"strconv"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"larder/internal/fault"
	"larder/internal/season"
)

// Book is a season.Book in a PostgreSQL database. All methods may be used by
// several goroutines at once.
type Book struct {
	name     string // for messages: no password in it
	versions string // the table with the number of the tables' form
	db       *sql.DB
	closed   atomic.Bool
}

var _ season.Book = (*Book)(nil)

// How many connections a program takes, and how long it waits for the first.
const (
	maxConnections = 8
	patience       = 10 * time.Second
)

// Open opens the book in the database that url names, as in
// "postgres://user@host/database", and makes its tables if there are none.
//
// Errors: fault.Usage for a url that is none; fault.Unreachable when the server
// does not answer or does not let us in; fault.NotUnderstood when the tables are
// a newer larder's; fault.Conflict when the server is not set so that facts are
// safe in it.
func Open(url string) (*Book, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return open(ctx, url, migrations())
}

func open(ctx context.Context, url string, steps fs.FS) (*Book, error) {
	return openTables(ctx, url, "", versionTable, steps)
}

// openTables opens a database whose tables the steps make, with their number in
// the table versions; place, if not "", is the only schema looked into.
func openTables(ctx context.Context, url, place, versions string, steps fs.FS) (*Book, error) {
	cfg, err := pgx.ParseConfig(url)
	if err != nil { // its text hides the password, but it is not for keepers
		return nil, (&fault.Error{Kind: fault.Usage, Op: "postgres.Open", Say: "this is not the address of a database", Err: err}).
			WithHint("write it as postgres://user@host/database")
	}
	cfg.RuntimeParams["application_name"] = "larder"
	// Whatever the server's rule, ours is to wait for the disk.
	cfg.RuntimeParams["synchronous_commit"] = "on"
	if place != "" {
		cfg.RuntimeParams["search_path"] = place
	}
	b := &Book{name: cfg.Host + "/" + cfg.Database, versions: versions, db: stdlib.OpenDB(*cfg)}
	b.db.SetMaxOpenConns(maxConnections)
	b.db.SetMaxIdleConns(maxConnections)
	if err := b.admit(ctx); err != nil {
		b.db.Close()
		return nil, err
	}
	if err := b.migrate(ctx, steps); err != nil {
		b.db.Close()
		return nil, err
	}
	return b, nil
}

// admit makes sure that facts are safe in this server.
func (b *Book) admit(ctx context.Context) error {
	const op = "postgres.Open"
	for _, s := range []struct{ ask, want, say, hint string }{
		{"SHOW fsync", "on", "this server does not wait for its disk, so facts could be lost", "set fsync = on in its postgresql.conf"},
		{"SHOW full_page_writes", "on", "this server does not guard against torn pages, so facts could be lost", "set full_page_writes = on in its postgresql.conf"},
		{"SHOW synchronous_commit", "on", "this server does not wait for its disk, so facts could be lost", "set synchronous_commit = on for this user"},
		{"SHOW server_encoding", "UTF8", "this database cannot hold all texts", "make one with: createdb -E UTF8 -T template0 larder"},
		{"SELECT pg_is_in_recovery()::text", "false", "this server is a copy that only reads", "give the address of the first server"},
	} {
		var got string
		if err := b.db.QueryRowContext(ctx, s.ask).Scan(&got); err != nil {
			return b.explain(ctx, err, op)
		}
		if got != s.want {
			return (&fault.Error{Kind: fault.Conflict, Op: op, Thing: b.name, Say: s.say}).WithHint("%s", s.hint)
		}
	}
	return nil
}

// Close closes the book. It may be called more than once.
func (b *Book) Close() error {
	if b.closed.Swap(true) {
		return nil
	}
	return fault.Wrap(b.db.Close(), "postgres.Close")
}

func (b *Book) usable(ctx context.Context, op string) error {
	if b.closed.Load() {
		return &fault.Error{Kind: fault.Internal, Op: op, Thing: b.name, Say: "this book has been closed"}
	}
	return b.explain(ctx, ctx.Err(), op)
}

// Verify reads the whole book and says what it looked at.
func (b *Book) Verify(ctx context.Context) (season.Report, error) {
	const op = "postgres.Verify"
	var none season.Report
	if err := b.usable(ctx, op); err != nil {
		return none, err
	}
	facts, err := b.read(ctx, everything)
	if err != nil {
		return none, b.explain(ctx, err, op)
	}
	season.SortFacts(facts)
	j, err := season.JournalOf(facts)
	if err == nil && j.Len() != len(facts) {
		err = fault.New(fault.Damaged, b.name, "a fact is there twice")
	}
	if err != nil {
		return none, b.explain(ctx, err, op)
	}
	j.Now()
	r := season.Inspect(facts)
	r.Done = []string{
		"The server waits for its disk.",
		"All " + strconv.Itoa(len(facts)) + " facts were read; each fits its check sum and passes the checks made when it came in.",
		"No id stands for two facts, and the facts fold to a state.",
	}
	return r, nil
}
