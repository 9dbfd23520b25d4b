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

// readSpan reads rows by their place, in order. Each column of each row costs
// more than finding the row, so what belongs together is put together: id and
// body in one, and each moment in one number (13 bits for offset and bare day).
const readSpan = `SELECT CAST(id || body AS BLOB), kind,
	(seen_ms << 13) + ((seen_off + 2048) << 1) + seen_day,
	(made_ms << 13) + ((made_off + 2048) << 1) + made_day,
	by_whom, replaces, sum FROM larder_fact WHERE seq BETWEEN $1 AND $2 ORDER BY seq`

// stamp takes such a number apart.
func stamp(n int64) season.Stamp {
	return season.Stamp{MS: n >> 13, Off: int(n>>1&0xfff) - 2048, DayOnly: n&1 == 1}
}

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
	salt, err := saltOf(ctx, db)
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
			in := &reader{d: season.NewDecoder(), salt: salt, buf: make([]byte, 0, season.HeadRoom)}
			for ctx.Err() == nil {
				from := (next.Add(1) - 1) * span
				if from >= n {
					return
				}
				if err := readPart(ctx, db, in, all[from:min(from+span, n)], from); err != nil {
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

// reader reads rows of one book.
type reader struct {
	d    *season.Decoder
	salt uint32
	buf  []byte
}

// saltOf gives the number the sums of a book begin with.
func saltOf(ctx context.Context, db asker) (uint32, error) {
	var salt uint32
	err := db.QueryRowContext(ctx, "SELECT salt FROM larder_book WHERE one = 1").Scan(&salt)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, &fault.Error{Kind: fault.Damaged, Say: "this book has lost its own number"}
	}
	return salt, err
}

// readPart fills to with the rows after number from.
func readPart(ctx context.Context, db *sql.DB, in *reader, to []season.Fact, from int64) error {
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
		return in.fill(rows, to, from)
	})
}

// fill reads as many rows as to has room for. The numbers of rows differ and go
// up, so when as many come as fit between the first and the last, none is
// missing.
func (in *reader) fill(rows driver.Rows, to []season.Fact, from int64) error {
	v := make([]driver.Value, 7)
	for i := range to {
		if err := rows.Next(v); err == io.EOF {
			return &fault.Error{Kind: fault.Damaged, Say: fmt.Sprintf("facts are missing in this book, between rows %d and %d", from+1, from+int64(len(to)))}
		} else if err != nil {
			return err
		}
		r, sum, ok := record(v)
		if !ok {
			return &fault.Error{Kind: fault.Damaged, Say: fmt.Sprintf("the fact in row %d is damaged", from+int64(i)+1)}
		}
		if int64(r.Sum(in.salt, in.buf)) != sum {
			return badSum(&r)
		}
		f, err := in.d.Fact(&r)
		if err != nil {
			return err
		}
		to[i] = f
	}
	return nil
}

// record takes a row apart. The columns are typed (STRICT), so anything else
// means damage.
func record(v []driver.Value) (r season.Record, sum int64, ok bool) {
	both, ok1 := v[0].([]byte)
	kind, ok2 := v[1].(string)
	seen, ok3 := v[2].(int64)
	made, ok4 := v[3].(int64)
	by, ok5 := v[4].(string)
	sum, ok6 := v[6].(int64)
	if !ok1 || !ok2 || !ok3 || !ok4 || !ok5 || !ok6 || len(both) < len(r.ID) {
		return r, 0, false
	}
	copy(r.ID[:], both)
	r.Body = both[len(r.ID):]
	r.Kind, r.By = kind, by
	r.Seen, r.Made = stamp(seen), stamp(made)
	if v[5] != nil {
		other, ok := v[5].([]byte)
		if !ok || len(other) != len(r.Replaces) {
			return r, 0, false
		}
		copy(r.Replaces[:], other)
	}
	return r, sum, true
}
