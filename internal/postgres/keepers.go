package postgres

import (
	"context"
	"crypto/rand"
	"database/sql"
	"embed"
	"encoding/hex"
	"errors"
	"io/fs"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/jackc/pgx/v5/pgconn"

	"larder/internal/fault"
)

//go:embed keepers/*.sql
var shippedKeepers embed.FS

// Keepers is the list of those who have a book of their own in one database, each
// in a place (a schema) that no other's connection looks into.
type Keepers struct {
	url string
	b   *Book // only its connections: no facts are in it
}

// Keeper is one of them.
type Keeper struct {
	Place  string // of his book; it says nothing of his name
	Name   string
	Made   time.Time
	Closed time.Time // zero = open
}

// OpenKeepers opens the list, and makes one if there is none. Errors: those of
// [Open].
func OpenKeepers(url string) (*Keepers, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	sub, err := fs.Sub(shippedKeepers, "keepers")
	if err != nil {
		panic("postgres: " + err.Error())
	}
	b, err := openTables(ctx, url, "", "larder_keeper_version", sub)
	if err != nil {
		return nil, err
	}
	return &Keepers{url: url, b: b}, nil
}

// Close closes the list, not the books.
func (k *Keepers) Close() error { return k.b.Close() }

const keeperColumns = "SELECT place, name, made, closed FROM larder_keeper "

func scanKeeper(row interface{ Scan(...any) error }) (Keeper, error) {
	var x Keeper
	var closed sql.NullTime
	err := row.Scan(&x.Place, &x.Name, &x.Made, &closed)
	x.Closed = closed.Time
	return x, err
}

// List lists the keepers by name.
func (k *Keepers) List(ctx context.Context) ([]Keeper, error) {
	const op = "postgres.Keepers"
	var out []Keeper
	err := again(ctx, func() error {
		out = nil
		rows, err := k.b.db.QueryContext(ctx, keeperColumns+"ORDER BY lower(name), place")
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			x, err := scanKeeper(rows)
			if err != nil {
				return err
			}
			out = append(out, x)
		}
		return rows.Err()
	})
	return out, k.b.explain(ctx, err, op)
}

// Named gives the keeper of a name, large or small; Placed the one of a place.
// Errors: fault.NotFound.
func (k *Keepers) Named(ctx context.Context, name string) (Keeper, error) {
	return k.one(ctx, "WHERE lower(name) = lower($1)", strings.TrimSpace(name), name)
}

// Placed gives the keeper whose place this is. Errors: fault.NotFound.
func (k *Keepers) Placed(ctx context.Context, place string) (Keeper, error) {
	return k.one(ctx, "WHERE place = $1", place, "")
}

func (k *Keepers) one(ctx context.Context, where, arg, thing string) (Keeper, error) {
	const op = "postgres.Keepers"
	var x Keeper
	if !utf8.ValidString(arg) || strings.ContainsRune(arg, 0) { // the server would not take it
		return x, noKeeper(thing)
	}
	err := again(ctx, func() (err error) {
		x, err = scanKeeper(k.b.db.QueryRowContext(ctx, keeperColumns+where, arg))
		return err
	})
	if errors.Is(err, sql.ErrNoRows) {
		return x, noKeeper(thing)
	}
	return x, k.b.explain(ctx, err, op)
}

func noKeeper(name string) error {
	return fault.New(fault.NotFound, strings.ToValidUTF8(name, "?"), "there is no keeper of this name").WithHint("larder keepers lists them")
}

// mostKeeperName is the longest name of a keeper, in letters.
const mostKeeperName = 60

// Add makes a place for a keeper, with an empty book. Errors: fault.Missing,
// fault.OutOfRange, fault.Conflict for the name.
func (k *Keepers) Add(ctx context.Context, typed string, now time.Time) (Keeper, error) {
	const op = "postgres.Keepers"
	name := strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && !unicode.IsSpace(r) || r == unicode.ReplacementChar || unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, typed)), " ")
	if name == "" {
		return Keeper{}, fault.New(fault.Missing, "", "the keeper has no name yet").WithHint("he signs in with it: a short one will do")
	}
	if utf8.RuneCountInString(name) > mostKeeperName {
		return Keeper{}, fault.Newf(fault.OutOfRange, "", "this name is longer than %d letters", mostKeeperName)
	}
	id := make([]byte, 8)
	if _, err := rand.Read(id); err != nil {
		return Keeper{}, fault.Wrap(err, op)
	}
	x := Keeper{Place: "larder_k_" + hex.EncodeToString(id), Name: name, Made: now.UTC()}
	tx, err := k.b.db.BeginTx(ctx, nil)
	if err != nil {
		return Keeper{}, k.b.explain(ctx, err, op)
	}
	defer tx.Rollback() // of no effect after Commit
	if _, err = tx.ExecContext(ctx, "INSERT INTO larder_keeper (place, name, made) VALUES ($1, $2, $3)", x.Place, x.Name, x.Made); err == nil {
		if _, err = tx.ExecContext(ctx, "CREATE SCHEMA "+x.Place); err == nil { // of our own letters: see above
			err = tx.Commit()
		}
	}
	var pe *pgconn.PgError
	if errors.As(err, &pe) && pe.Code == "23505" { // unique_violation
		return Keeper{}, fault.New(fault.Conflict, name, "another keeper has this name").WithHint("take another name")
	}
	if err != nil {
		return Keeper{}, k.b.explain(ctx, err, op)
	}
	b, err := k.Open(ctx, x.Place)
	if err != nil {
		return x, err
	}
	return x, b.Close()
}

// Shut keeps a keeper out from now on, or lets him in again; his book stays.
// Errors: fault.NotFound.
func (k *Keepers) Shut(ctx context.Context, name string, shut bool, now time.Time) (Keeper, error) {
	const op = "postgres.Keepers"
	x, err := k.Named(ctx, name)
	if err != nil {
		return x, err
	}
	var when any
	if x.Closed = (time.Time{}); shut {
		x.Closed, when = now.UTC(), now.UTC()
	}
	_, err = k.b.db.ExecContext(ctx, "UPDATE larder_keeper SET closed = $2 WHERE place = $1", x.Place, when)
	return x, k.b.explain(ctx, err, op)
}

// Open opens the book in a keeper's place. Its connections see that place only.
func (k *Keepers) Open(ctx context.Context, place string) (*Book, error) {
	if hexed, ok := strings.CutPrefix(place, "larder_k_"); !ok || len(hexed) != 16 || strings.Trim(hexed, "0123456789abcdef") != "" {
		return nil, fault.New(fault.Internal, place, "this is no keeper's place")
	}
	b, err := openTables(ctx, k.url, place, versionTable, migrations())
	if err == nil {
		b.db.SetMaxOpenConns(keeperConnections)
		b.db.SetMaxIdleConns(1)
		b.db.SetConnMaxIdleTime(time.Minute)
	}
	return b, err
}

// keeperConnections is how many a keeper's book takes at most: a hundred keepers
// at work at once still fit into a server of some hundred connections.
const keeperConnections = 3
