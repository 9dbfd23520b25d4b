package postgres

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"

	"larder/internal/fault"
)

// explain makes an error of the server or of the way to it one a keeper
// understands. Ours pass through as they are.
func (b *Book) explain(ctx context.Context, err error, op string) error {
	if err == nil {
		return nil
	}
	var ours *fault.Error
	if errors.As(err, &ours) {
		return fault.Wrap(err, op)
	}
	e := &fault.Error{Op: op, Thing: b.name, Err: err}
	var pe *pgconn.PgError
	switch {
	case ctx.Err() != nil:
		e.Kind, e.Err = fault.Busy, errors.Join(ctx.Err(), err)
		e.Say, e.Hint = "it was given up before the server answered", "if facts were being kept, send them again: none is kept twice"
	case errors.As(err, &pe):
		b.byCode(e, pe)
	case isLost(err):
		e.Kind, e.Say = fault.Unreachable, "the database does not answer"
		e.Hint = "look whether the server runs and can be reached; then send again: no fact is kept twice"
	}
	return e
}

// byCode goes by the server's own codes (PostgreSQL documentation, appendix A).
func (b *Book) byCode(e *fault.Error, pe *pgconn.PgError) {
	switch {
	case pe.Code == "53100": // disk_full
		e.Kind, e.Say, e.Hint = fault.NoRoom, "the server's disk is full; this was not kept, all before it is safe", "make room there and do it again"
	case pe.Code == "53300": // too_many_connections
		e.Kind, e.Say, e.Hint = fault.Busy, "the server has no connection free", "close other programs that use it, or try later"
	case strings.HasPrefix(pe.Code, "28"), pe.Code == "3D000": // wrong name or password; no such database
		e.Kind, e.Say, e.Hint = fault.Unreachable, "the server does not let us in", "look at user, password and database in the address"
	case pe.Code == "42501": // insufficient_privilege
		e.Kind, e.Say, e.Hint = fault.Unreachable, "this user may not do that in the database", "let it own the tables whose names begin with larder_, and make schemas for keepers"
	case pe.Code == "25006": // read_only_sql_transaction
		e.Kind, e.Say, e.Hint = fault.Unreachable, "this server only lets us read", "give the address of the first server"
	case strings.HasPrefix(pe.Code, "08"), strings.HasPrefix(pe.Code, "57P"): // connection; shutting down
		e.Kind, e.Say, e.Hint = fault.Unreachable, "the database does not answer", "look whether the server runs; then send again: no fact is kept twice"
	case strings.HasPrefix(pe.Code, "XX"), strings.HasPrefix(pe.Code, "58"): // damage; trouble of the system
		e.Kind, e.Say, e.Hint = fault.Damaged, "the server has trouble with its files", "look at the server's log; bring back its backup if need be"
	case pe.Code == "40001", pe.Code == "40P01", strings.HasPrefix(pe.Code, "55"), pe.Code == "57014":
		e.Kind, e.Say, e.Hint = fault.Busy, "others are writing the same facts", "do it again"
	}
}

// isLost tells whether there is no connection, or none any more.
func isLost(err error) bool {
	var ne net.Error
	var ce *pgconn.ConnectError
	return errors.As(err, &ne) || errors.As(err, &ce) || pgconn.SafeToRetry(err) || pgconn.Timeout(err) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		errors.Is(err, driver.ErrBadConn) || errors.Is(err, sql.ErrConnDone) || errors.Is(err, sql.ErrTxDone) ||
		errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) || // another caller's, met through the pool
		strings.Contains(err.Error(), "conn closed")
}
