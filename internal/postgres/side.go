package postgres

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strconv"

	"larder/internal/season"
)

// Since gives the facts that came in after a number, in the order they came, and
// the number of the last; 0 asks for all. Since facts come in one program at a
// time, none turns up later under a number that was passed already.
func (b *Book) Since(ctx context.Context, after int64) ([]season.Fact, int64, error) {
	const op = "postgres.Since"
	if err := b.usable(ctx, op); err != nil {
		return nil, after, err
	}
	var facts []season.Fact
	last := after
	err := again(ctx, func() error {
		facts, last = nil, after
		// Nothing is new, as a rule: that is one question.
		var newest sql.NullInt64
		if err := b.db.QueryRowContext(ctx, "SELECT max(seq) FROM larder_fact").Scan(&newest); err != nil || newest.Int64 <= after {
			return err
		}
		// One snapshot for both: what is committed in between is asked for next time.
		tx, err := b.db.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
		if err != nil {
			return err
		}
		defer tx.Rollback() // it only reads
		var top sql.NullInt64
		if err := tx.QueryRowContext(ctx, "SELECT max(seq) FROM larder_fact").Scan(&top); err != nil || top.Int64 <= after {
			return err
		}
		d := season.NewDecoder()
		last = top.Int64
		return eachRecord(ctx, tx, "WHERE seq > $1 ORDER BY seq", []any{after}, func(r *season.Record) error {
			f, err := d.Fact(r)
			facts = append(facts, f)
			return err
		})
	})
	if err != nil {
		return nil, after, b.explain(ctx, err, op)
	}
	return facts, last, nil
}

// Side gives a text kept beside the facts and the number of its last change; none
// is "" and 0.
func (b *Book) Side(ctx context.Context, name string) (value string, change int64, err error) {
	const op = "postgres.Side"
	if err := b.usable(ctx, op); err != nil {
		return "", 0, err
	}
	err = again(ctx, func() error {
		err := b.db.QueryRowContext(ctx, "SELECT value, change FROM larder_side WHERE name = $1", name).Scan(&value, &change)
		if errors.Is(err, sql.ErrNoRows) {
			value, change, err = "", 0, nil
		}
		return err
	})
	return value, change, b.explain(ctx, err, op)
}

// SideChange gives the number of the last change alone.
func (b *Book) SideChange(ctx context.Context, name string) (change int64, err error) {
	const op = "postgres.Side"
	if err := b.usable(ctx, op); err != nil {
		return 0, err
	}
	err = again(ctx, func() error {
		err := b.db.QueryRowContext(ctx, "SELECT change FROM larder_side WHERE name = $1", name).Scan(&change)
		if errors.Is(err, sql.ErrNoRows) {
			change, err = 0, nil
		}
		return err
	})
	return change, b.explain(ctx, err, op)
}

// ChangeSide applies f to a text kept beside the facts, one program at a time, and
// adds lines to the trail with it: both are kept, or neither. An error of f
// changes nothing. f may be called more than once.
func (b *Book) ChangeSide(ctx context.Context, name string, f func(old string) (value string, lines []string, err error)) error {
	const op = "postgres.ChangeSide"
	if err := b.usable(ctx, op); err != nil {
		return err
	}
	err := again(ctx, func() error {
		tx, err := b.db.BeginTx(ctx, nil)
		if err != nil {
			return err
		}
		defer tx.Rollback() // of no effect after Commit
		// The row to lock has to be there.
		if _, err := tx.ExecContext(ctx, "INSERT INTO larder_side (name, change, value) VALUES ($1, 0, '') ON CONFLICT (name) DO NOTHING", name); err != nil {
			return err
		}
		var old string
		if err := tx.QueryRowContext(ctx, "SELECT value FROM larder_side WHERE name = $1 FOR UPDATE", name).Scan(&old); err != nil {
			return err
		}
		value, lines, err := f(old)
		if err != nil {
			return err
		}
		if err := addLines(ctx, tx, lines); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "UPDATE larder_side SET value = $2, change = change + 1 WHERE name = $1", name, value); err != nil {
			return err
		}
		return tx.Commit()
	})
	return b.explain(ctx, err, op)
}

type execer interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

func addLines(ctx context.Context, q execer, lines []string) error {
	if len(lines) == 0 {
		return nil
	}
	_, err := q.ExecContext(ctx, "INSERT INTO larder_trail (line) SELECT * FROM unnest($1::text[])", lines)
	return err
}

// AddTrail adds lines to the trail. When the connection breaks while they are
// sent, they may be there twice: better than not at all.
func (b *Book) AddTrail(ctx context.Context, lines ...string) error {
	const op = "postgres.AddTrail"
	if err := b.usable(ctx, op); err != nil {
		return err
	}
	return b.explain(ctx, again(ctx, func() error { return addLines(ctx, b.db, lines) }), op)
}

// Trail gives the last lines of the trail, newest first, at most so many.
func (b *Book) Trail(ctx context.Context, most int) ([]string, error) {
	const op = "postgres.Trail"
	if err := b.usable(ctx, op); err != nil {
		return nil, err
	}
	var out []string
	err := again(ctx, func() error {
		out = nil
		rows, err := b.db.QueryContext(ctx, "SELECT line FROM larder_trail ORDER BY n DESC LIMIT $1", most)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var l string
			if err := rows.Scan(&l); err != nil {
				return err
			}
			out = append(out, l)
		}
		return rows.Err()
	})
	return slices.Clip(out), b.explain(ctx, err, op)
}

// takeTurn waits until no other program adds facts to this book: so their numbers
// are in the order of their commits, and Since passes none over.
func takeTurn(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, "SELECT pg_advisory_xact_lock("+strconv.Itoa(turnID)+", hashtext(current_schema()))")
	return err
}

// turnID is "LARD" as a number: with the place of the book, what is locked.
const turnID = 0x4C415244
