package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"sync/atomic"

	"larder/internal/fault"
	"larder/internal/season"
)

// The same text serves every engine.
const (
	insertFact = `INSERT INTO larder_fact
		(id, kind, seen_ms, seen_off, seen_day, made_ms, made_off, made_day, by_whom, replaces, body, sum)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) ON CONFLICT (id) DO NOTHING`
	columns  = `id, kind, seen_ms, seen_off, seen_day, made_ms, made_off, made_day, by_whom, replaces, body, sum`
	readFact = `SELECT ` + columns + ` FROM larder_fact WHERE id = $1`
)

// How much shares one sync: no more than a second's worth, so that nobody waits
// long behind others.
const (
	maxShared = 64
	maxFacts  = 5000
)

// request is one call of Append on its way to the writer.
type request struct {
	records []season.Record
	state   atomic.Int32 // waiting, taken or dropped
	answer  chan error
}

const (
	waiting int32 = iota
	taken
	dropped
)

// Append keeps facts: all of them, on the disk, when it returns nil, else none.
// See [season.Book].
//
// Errors: those of [season.Fact.Check]; fault.Conflict; fault.NoRoom, after
// which the book goes on; fault.Damaged, after which it takes nothing more
// until it is opened again. When ctx ends before the facts are being written,
// none is kept; later than that the call ends as the writing does.
func (b *Book) Append(ctx context.Context, facts ...season.Fact) error {
	const op = "sqlite.Append"
	if err := b.writable(op); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return b.explain(err, op)
	}
	r := &request{records: make([]season.Record, len(facts)), answer: make(chan error, 1)}
	for i := range facts {
		var err error
		if r.records[i], err = facts[i].Record(); err != nil {
			return fault.Wrap(err, op)
		}
	}
	if len(facts) == 0 {
		return nil
	}
	select {
	case b.asked <- r:
	case <-ctx.Done():
		return b.explain(ctx.Err(), op)
	case <-b.closing:
		return b.errClosed(op)
	}
	select {
	case err := <-r.answer:
		return err
	case <-ctx.Done():
		if r.state.CompareAndSwap(waiting, dropped) {
			return b.explain(ctx.Err(), op)
		}
		return <-r.answer
	}
}

// writable tells whether anything may be written at all.
func (b *Book) writable(op string) error {
	if b.isClosed() {
		return b.errClosed(op)
	}
	if e := b.stuck.Load(); e != nil {
		return e
	}
	return nil
}

// writer is the one goroutine that writes.
func (b *Book) writer() {
	for {
		select {
		case r := <-b.asked:
			b.keep(b.gather(r))
		case <-b.closing:
			return
		}
	}
}

// gather adds to r what else is waiting, without waiting for it.
func (b *Book) gather(r *request) []*request {
	all, n := []*request{r}, len(r.records)
	for len(all) < maxShared && n < maxFacts {
		select {
		case r := <-b.asked:
			all, n = append(all, r), n+len(r.records)
		default:
			return all
		}
	}
	return all
}

// keep writes requests in one transaction and answers each.
func (b *Book) keep(all []*request) {
	live := all[:0]
	for _, r := range all {
		if r.state.CompareAndSwap(waiting, taken) {
			live = append(live, r)
		}
	}
	if len(live) == 0 {
		return
	}
	answers, err := b.transact(live)
	if err != nil {
		err = b.failed(err)
	}
	for i, r := range live {
		if err != nil {
			r.answer <- err
		} else {
			r.answer <- answers[i]
		}
	}
}

// failed says why a transaction was not kept, and whether the book can go on.
func (b *Book) failed(err error) error {
	const op = "sqlite.Append"
	if e := b.stuck.Load(); e != nil {
		return e
	}
	if wasFailedWrite(err) {
		if why := roomLeft(b.path); isNoRoom(why) {
			e := &fault.Error{Op: op, Thing: b.path, Err: errors.Join(err, why)}
			noRoom(e)
			return e
		}
	}
	return b.explain(err, op)
}

// transact writes all requests; the answer of each is nil or why it was
// refused. With err nothing at all was kept.
func (b *Book) transact(all []*request) (answers []error, err error) {
	if e := b.stuck.Load(); e != nil {
		return nil, e
	}
	// The writing is not given up half way: contexts ended with the taking.
	ctx := context.Background()
	conn, err := b.write.Conn(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Close()
	w := &pen{ctx: ctx, conn: conn, salt: b.salt, buf: make([]byte, 0, season.HeadRoom)}
	if err := w.do("BEGIN IMMEDIATE"); err != nil {
		return nil, err
	}
	answers, err = w.all(all)
	if err == nil {
		err = w.do("COMMIT")
	}
	if err != nil {
		// Some failures have rolled back already; then this one says so, and
		// that is no news. That the connection is of use again is what counts.
		_ = w.do("ROLLBACK")
		if cerr := w.do("SELECT 1"); cerr != nil {
			return nil, errors.Join(err, cerr)
		}
		return nil, err
	}
	return answers, nil
}

// pen writes within one transaction.
type pen struct {
	ctx    context.Context
	conn   *sql.Conn
	insert *sql.Stmt
	salt   uint32
	buf    []byte
}

func (w *pen) do(query string) error {
	_, err := w.conn.ExecContext(w.ctx, query)
	return err
}

func (w *pen) all(all []*request) ([]error, error) {
	var err error
	if w.insert, err = w.conn.PrepareContext(w.ctx, insertFact); err != nil {
		return nil, err
	}
	defer w.insert.Close()
	answers := make([]error, len(all))
	for i, r := range all {
		if answers[i], err = w.request(r); err != nil {
			return nil, err
		}
	}
	return answers, nil
}

// request writes one request whole or not at all. refused is the keeper's
// matter and concerns this request only; err ends the transaction.
func (w *pen) request(r *request) (refused, err error) {
	if err := w.do("SAVEPOINT one"); err != nil {
		return nil, err
	}
	for i := range r.records {
		refused, err = w.fact(&r.records[i])
		if err != nil {
			return nil, err
		}
		if refused != nil {
			if err := w.do("ROLLBACK TO one"); err != nil {
				return nil, err
			}
			break
		}
	}
	return refused, w.do("RELEASE one")
}

func (w *pen) fact(r *season.Record) (refused, err error) {
	sum := r.Sum(w.salt, w.buf)
	res, err := w.insert.ExecContext(w.ctx, r.ID[:], r.Kind, r.Seen.MS, r.Seen.Off, bit(r.Seen.DayOnly),
		r.Made.MS, r.Made.Off, bit(r.Made.DayOnly), r.By, orNull(r.Replaces), string(r.Body), sum)
	if err != nil {
		return nil, err
	}
	if n, err := res.RowsAffected(); err != nil || n == 1 {
		return nil, err
	}
	return w.compare(r)
}

// compare looks at the fact that has this id already.
func (w *pen) compare(r *season.Record) (refused, err error) {
	old, err := scan(w.conn.QueryRowContext(w.ctx, readFact, r.ID[:]), w.salt)
	if err != nil {
		return nil, err
	}
	if bytes.Equal(old.Append(nil), r.Append(nil)) {
		return nil, nil
	}
	d := season.NewDecoder()
	was, err := d.Fact(&old)
	if err != nil {
		return nil, err
	}
	is, err := d.Fact(r)
	if err != nil {
		return nil, err
	}
	if season.Same(&was, &is) {
		return nil, nil
	}
	return fault.Newf(fault.Conflict, r.ID.String(), "another fact has this id").
		WithHint("a correction is a new fact that replaces the old one"), nil
}

// scan reads one row with the columns of readFact.
func scan(row *sql.Row, salt uint32) (season.Record, error) {
	var r season.Record
	var id, replaces []byte
	var sum int64
	err := row.Scan(&id, &r.Kind, &r.Seen.MS, &r.Seen.Off, &r.Seen.DayOnly, &r.Made.MS, &r.Made.Off, &r.Made.DayOnly,
		&r.By, &replaces, &r.Body, &sum)
	if err != nil {
		return r, err
	}
	copy(r.ID[:], id)
	copy(r.Replaces[:], replaces)
	if int64(r.Sum(salt, nil)) != sum {
		return r, badSum(&r)
	}
	return r, nil
}

func badSum(r *season.Record) error {
	return &fault.Error{Kind: fault.Damaged, Thing: r.ID.String(), Say: "this fact is damaged: its check sum is wrong"}
}

func bit(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

func orNull(id season.ID) any {
	if id.IsZero() {
		return nil
	}
	return id[:]
}
