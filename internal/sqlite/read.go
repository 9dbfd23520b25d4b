package sqlite

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// readSpan reads rows by their place, in order. The body is asked for as bytes:
// a text would be copied once more.
const readSpan = `SELECT seq, id, kind, seen_ms, seen_off, seen_day, made_ms, made_off, made_day, by_whom, replaces,
	CAST(body AS BLOB), sum FROM larder_fact WHERE seq BETWEEN $1 AND $2 ORDER BY seq`

// span is how many rows a reader takes at a time.
const span = 8192

// Facts gives every fact seen and written down by asOf in order of truth; see
// [season.Book]. Each fact's check sum is looked at, and that none is missing.
//
// Errors: fault.Damaged, after which the book takes nothing more.
func (b *Book) Facts(ctx context.Context, asOf units.Moment) ([]season.Fact, error) {
	const op = "sqlite.Facts"
	if b.isClosed() {
		return nil, b.errClosed(op)
	}
	all, err := readAll(ctx, b.read)
	if err != nil {
		if fault.Is(err, fault.Damaged) {
			b.stop(err)
		}
		return nil, b.explain(err, op)
	}
	if !asOf.IsZero() {
		all = slices.DeleteFunc(all, func(f season.Fact) bool { return !f.KnownAt(asOf) })
	}
	season.SortFacts(all)
	return all, nil
}

// readAll reads every fact, in order of arrival.
//
// Rows are only ever added, and at the end: those up to the last of one moment
// are the same ever after. So several connections can each read a part without
// holding one common view.
func readAll(ctx context.Context, db *sql.DB) ([]season.Fact, error) {
	n, err := count(ctx, db)
	if err != nil {
		return nil, err
	}
	all := make([]season.Fact, n)
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var next atomic.Int64
	var crew sync.WaitGroup
	for range readers(n) {
		crew.Go(func() {
			d := season.NewDecoder()
			for ctx.Err() == nil {
				from := (next.Add(1) - 1) * span
				if from >= n {
					return
				}
				if err := readPart(ctx, db, d, all[from:min(from+span, n)], from); err != nil {
					cancel(err)
				}
			}
		})
	}
	crew.Wait()
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	return all, nil
}

func readers(n int64) int {
	return max(1, min(4, runtime.GOMAXPROCS(0), int((n+span-1)/span)))
}

// readPart fills to with the rows after number from.
func readPart(ctx context.Context, db *sql.DB, d *season.Decoder, to []season.Fact, from int64) error {
	conn, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	// The driver is asked directly: database/sql's own scanning would take
	// longer than all the rest together.
	return conn.Raw(func(dc any) error {
		q, ok := dc.(driver.QueryerContext)
		if !ok {
			return errors.New("the driver takes no queries")
		}
		rows, err := q.QueryContext(ctx, readSpan, []driver.NamedValue{
			{Ordinal: 1, Value: from + 1}, {Ordinal: 2, Value: from + int64(len(to))}})
		if err != nil {
			return err
		}
		defer rows.Close()
		return fill(rows, d, to, from)
	})
}

func fill(rows driver.Rows, d *season.Decoder, to []season.Fact, from int64) error {
	v := make([]driver.Value, 13)
	var buf []byte
	for i := range to {
		if err := rows.Next(v); err == io.EOF {
			return missing(from + int64(i) + 1)
		} else if err != nil {
			return err
		}
		r, seq, sum, ok := record(v)
		if !ok {
			return &fault.Error{Kind: fault.Damaged, Say: fmt.Sprintf("the fact in row %d is damaged", from+int64(i)+1)}
		}
		if seq != from+int64(i)+1 {
			return missing(from + int64(i) + 1)
		}
		buf = r.Append(buf[:0])
		if int64(r.Sum(buf)) != sum {
			return badSum(&r)
		}
		f, err := d.Fact(&r)
		if err != nil {
			return err
		}
		to[i] = f
	}
	return nil
}

func missing(seq int64) error {
	return &fault.Error{Kind: fault.Damaged, Say: fmt.Sprintf("facts are missing in this book, from row %d on", seq)}
}

// record takes a row apart. The columns are typed (STRICT), so anything else
// means damage.
func record(v []driver.Value) (r season.Record, seq, sum int64, ok bool) {
	ok = true
	num := func(i int) int64 {
		n, is := v[i].(int64)
		ok = ok && is
		return n
	}
	id := func(i int) (out season.ID) {
		b, is := v[i].([]byte)
		ok = ok && is && len(b) == len(out)
		copy(out[:], b)
		return out
	}
	text := func(i int) string {
		s, is := v[i].(string)
		ok = ok && is
		return s
	}
	seq, sum = num(0), num(12)
	r.ID, r.Kind, r.By = id(1), text(2), text(9)
	r.Seen = season.Stamp{MS: num(3), Off: int(num(4)), DayOnly: num(5) == 1}
	r.Made = season.Stamp{MS: num(6), Off: int(num(7)), DayOnly: num(8) == 1}
	if v[10] != nil {
		r.Replaces = id(10)
	}
	body, is := v[11].([]byte)
	r.Body = body
	return r, seq, sum, ok && is
}
