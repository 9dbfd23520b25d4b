package postgres

import (
	"context"
	"database/sql"
	"slices"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// noSalt: a server's pages cannot be mixed up with another's, as files can.
const noSalt = 0

const (
	readFacts  = `SELECT id, kind, seen_ms, seen_off, seen_day, made_ms, made_off, made_day, by_whom, replaces, body, sum FROM larder_fact `
	everything = ``
	upTo       = `WHERE seen_ms <= $1`
)

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// Facts gives every fact seen and written down by asOf in order of truth; see
// [season.Book]. Each fact's check sum is looked at.
func (b *Book) Facts(ctx context.Context, asOf units.Moment) ([]season.Fact, error) {
	const op = "postgres.Facts"
	if err := b.usable(ctx, op); err != nil {
		return nil, err
	}
	var all []season.Fact
	var err error
	if asOf.IsZero() {
		all, err = b.read(ctx, everything)
	} else {
		// Three days cover any difference between local days; what is too much
		// is taken out below.
		const days = 3 * 24 * 60 * 60 * 1000
		all, err = b.read(ctx, upTo, asOf.UnixMilli()+days)
		all = slices.DeleteFunc(all, func(f season.Fact) bool { return !f.KnownAt(asOf) })
	}
	if err != nil {
		return nil, b.explain(ctx, err, op)
	}
	season.SortFacts(all)
	return all, nil
}

// read reads facts in no order. One statement sees the book as of one moment.
func (b *Book) read(ctx context.Context, where string, args ...any) ([]season.Fact, error) {
	var all []season.Fact
	d := season.NewDecoder()
	err := again(ctx, func() error {
		all = all[:0]
		return eachRecord(ctx, b.db, where, args, func(r *season.Record) error {
			f, err := d.Fact(r)
			all = append(all, f)
			return err
		})
	})
	return all, err
}

func scanRecords(ctx context.Context, q querier, where string, args ...any) ([]season.Record, error) {
	var all []season.Record
	err := eachRecord(ctx, q, where, args, func(r *season.Record) error {
		all = append(all, *r)
		return nil
	})
	return all, err
}

// eachRecord gives each row to f. The body is a copy of its own.
func eachRecord(ctx context.Context, q querier, where string, args []any, f func(*season.Record) error) error {
	rows, err := q.QueryContext(ctx, readFacts+where, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	var id, replaces sql.RawBytes
	buf := make([]byte, 0, season.HeadRoom)
	for rows.Next() {
		var r season.Record
		var sum int64
		if err := rows.Scan(&id, &r.Kind, &r.Seen.MS, &r.Seen.Off, &r.Seen.DayOnly, &r.Made.MS, &r.Made.Off, &r.Made.DayOnly,
			&r.By, &replaces, &r.Body, &sum); err != nil {
			return err
		}
		copy(r.ID[:], id)
		copy(r.Replaces[:], replaces)
		if int64(r.Sum(noSalt, buf)) != sum {
			return &fault.Error{Kind: fault.Damaged, Thing: r.ID.String(), Say: "this fact is damaged: its check sum is wrong"}
		}
		if err := f(&r); err != nil {
			return err
		}
	}
	return rows.Err()
}
