package postgres

import (
	"context"
	"embed"
	"errors"
	"io/fs"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/database"
	"github.com/pressly/goose/v3/lock"

	"larder/internal/fault"
)

// The migrations. One that has been released is never edited; a new kind of
// fact needs a new one too, so that an older larder refuses the book in words
// instead of stumbling over the fact.
//
//go:embed migrations/*.sql
var shipped embed.FS

func migrations() fs.FS {
	sub, err := fs.Sub(shipped, "migrations")
	if err != nil {
		panic("postgres: " + err.Error())
	}
	return sub
}

const (
	versionTable = "larder_version"
	// lockID is "LARDER" as a number: what programs that start together lock.
	lockID = 0x4C4152444552
)

func newest(steps fs.FS) int64 {
	names, err := fs.Glob(steps, "*.sql")
	if err != nil || len(names) == 0 {
		panic("postgres: no migrations")
	}
	var n int64
	for _, name := range names {
		digits, _, _ := strings.Cut(name, "_")
		v, err := strconv.ParseInt(digits, 10, 64)
		if err != nil {
			panic("postgres: migration " + name + " has no number")
		}
		n = max(n, v)
	}
	return n
}

// version gives the version of the tables, 0 when there are none.
func (b *Book) version(ctx context.Context) (int64, error) {
	var v int64
	err := b.db.QueryRowContext(ctx, "SELECT coalesce(max(version_id), 0) FROM "+b.versions+" WHERE is_applied").Scan(&v)
	var pe *pgconn.PgError
	if errors.As(err, &pe) && pe.Code == "42P01" { // undefined_table
		return 0, nil
	}
	return v, err
}

// migrate brings the tables to the newest form. Programs that start together do
// it once: the others wait.
func (b *Book) migrate(ctx context.Context, steps fs.FS) error {
	const op = "postgres.migrate"
	is, err := b.version(ctx)
	if err != nil {
		return b.explain(ctx, err, op)
	}
	to := newest(steps)
	switch {
	case is == to:
		return nil
	case is > to:
		return fault.Newf(fault.NotUnderstood, b.name, "this book was written by a newer larder (book version %d; this one knows %d)", is, to).
			WithHint("use the newer larder")
	}
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockID(lockID), lock.WithLockTimeout(1, 60))
	if err != nil {
		return fault.Wrap(err, op)
	}
	p, err := goose.NewProvider(database.DialectPostgres, b.db, steps,
		goose.WithTableName(b.versions), goose.WithDisableGlobalRegistry(true), goose.WithSessionLocker(locker))
	if err == nil {
		_, err = p.Up(ctx)
	}
	return b.explain(ctx, err, op)
}
