package postgres

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"slices"

	"github.com/jackc/pgx/v5/pgconn"

	"larder/internal/fault"
	"larder/internal/season"
)

// insertFacts takes a column at a time, so that any number of facts is one
// message. What is there already is left as it is, and not returned.
const insertFacts = `INSERT INTO larder_fact
	(id, kind, seen_ms, seen_off, seen_day, made_ms, made_off, made_day, by_whom, replaces, body, sum)
	SELECT * FROM unnest($1::bytea[], $2::text[], $3::bigint[], $4::smallint[], $5::boolean[],
		$6::bigint[], $7::smallint[], $8::boolean[], $9::text[], $10::bytea[], $11::text[], $12::bigint[])
	ON CONFLICT (id) DO NOTHING RETURNING id`

// tries is how often something is tried in all.
const tries = 5

// Append keeps facts: all of them, on the server's disk, when it returns nil,
// else none. See [season.Book].
//
// Errors: those of [season.Fact.Check]; fault.Conflict; fault.NoRoom;
// fault.Unreachable when the connection broke, with facts perhaps kept.
func (b *Book) Append(ctx context.Context, facts ...season.Fact) error {
	const op = "postgres.Append"
	if err := b.usable(ctx, op); err != nil {
		return err
	}
	records := make([]season.Record, len(facts))
	for i := range facts {
		var err error
		if records[i], err = facts[i].Record(); err != nil {
			return fault.Wrap(err, op)
		}
	}
	if len(records) == 0 {
		return nil
	}
	// All in one order, so that no two programs each wait for the other.
	slices.SortStableFunc(records, func(x, y season.Record) int { return x.ID.Compare(y.ID) })
	err := again(ctx, func() error { return b.keep(ctx, records) })
	return b.explain(ctx, err, op)
}

// again does f, and once more when the server gave it up for another's sake, or
// when the connection was lost: one taken from the pool may have died long ago.
// What f keeps it may keep twice over, for none of it is kept twice.
func again(ctx context.Context, f func() error) error {
	var err error
	for try := range tries {
		err = f()
		switch {
		case err == nil, ctx.Err() != nil:
			return err
		case forAnothersSake(err):
		case isLost(err) && try < 2:
		default:
			return err
		}
	}
	return err
}

// forAnothersSake tells whether the server undid the transaction to let another
// one through (serialization_failure, deadlock_detected).
func forAnothersSake(err error) bool {
	var pe *pgconn.PgError
	return errors.As(err, &pe) && (pe.Code == "40001" || pe.Code == "40P01")
}

func (b *Book) keep(ctx context.Context, records []season.Record) error {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // of no effect after Commit
	if err := takeTurn(ctx, tx); err != nil {
		return err
	}
	for len(records) > 0 {
		n := portion(records)
		if err := put(ctx, tx, records[:n]); err != nil {
			return err
		}
		records = records[n:]
	}
	return tx.Commit()
}

// A message holds so many facts and bytes at most: well below what the server
// takes, and enough that more would not be quicker.
const (
	maxFacts = 2000
	maxBytes = 16 << 20
)

func portion(records []season.Record) int {
	size := 0
	for i := range records {
		size += len(records[i].Body)
		if i > 0 && (i == maxFacts || size > maxBytes) {
			return i
		}
	}
	return len(records)
}

// put writes one message's worth of records, and compares those whose id is
// there already.
func put(ctx context.Context, tx *sql.Tx, records []season.Record) error {
	rows, err := tx.QueryContext(ctx, insertFacts, columnwise(records)...)
	if err != nil {
		return err
	}
	defer rows.Close()
	fresh := make(map[season.ID]bool, len(records))
	for rows.Next() {
		var id []byte
		if err := rows.Scan(&id); err != nil {
			return err
		}
		fresh[season.ID(id)] = true
	}
	if err := rows.Err(); err != nil {
		return err
	}
	var known []season.Record
	for i, r := range records {
		// The second of two with one id was not put in either.
		if !fresh[r.ID] || i > 0 && records[i-1].ID == r.ID {
			known = append(known, r)
		}
	}
	if len(known) == 0 {
		return nil
	}
	return compare(ctx, tx, known)
}

// columnwise turns rows into columns.
func columnwise(records []season.Record) []any {
	n := len(records)
	ids, replaces := make([][]byte, n), make([][]byte, n)
	kinds, by, bodies := make([]string, n), make([]string, n), make([]string, n)
	seen, made, sums := make([]int64, n), make([]int64, n), make([]int64, n)
	seenOff, madeOff := make([]int16, n), make([]int16, n)
	seenDay, madeDay := make([]bool, n), make([]bool, n)
	buf := make([]byte, 0, season.HeadRoom)
	for i := range records {
		r := &records[i]
		ids[i], kinds[i], by[i], bodies[i] = r.ID[:], r.Kind, r.By, string(r.Body)
		seen[i], seenOff[i], seenDay[i] = r.Seen.MS, int16(r.Seen.Off), r.Seen.DayOnly
		made[i], madeOff[i], madeDay[i] = r.Made.MS, int16(r.Made.Off), r.Made.DayOnly
		sums[i] = int64(r.Sum(noSalt, buf))
		if !r.Replaces.IsZero() {
			replaces[i] = r.Replaces[:]
		}
	}
	return []any{ids, kinds, seen, seenOff, seenDay, made, madeOff, madeDay, by, replaces, bodies, sums}
}

// compare looks at the facts that have these ids already.
func compare(ctx context.Context, q querier, known []season.Record) error {
	ids := make([][]byte, len(known))
	for i := range known {
		ids[i] = known[i].ID[:]
	}
	old, err := scanRecords(ctx, q, "WHERE id = ANY($1::bytea[])", ids)
	if err != nil {
		return err
	}
	byID := make(map[season.ID]*season.Record, len(old))
	for i := range old {
		byID[old[i].ID] = &old[i]
	}
	d := season.NewDecoder()
	for i := range known {
		r := &known[i]
		o := byID[r.ID]
		if o == nil { // the other that had it was undone in between: begin again
			return &pgconn.PgError{Code: "40001", Message: "a fact came and went"}
		}
		if bytes.Equal(o.Append(nil), r.Append(nil)) {
			continue
		}
		was, err := d.Fact(o)
		if err != nil {
			return err
		}
		is, err := d.Fact(r)
		if err != nil {
			return err
		}
		if !season.Same(&was, &is) {
			return fault.Newf(fault.Conflict, r.ID.String(), "another fact has this id").
				WithHint("a correction is a new fact that replaces the old one")
		}
	}
	return nil
}
