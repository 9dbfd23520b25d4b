package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"

	_ "modernc.org/sqlite" // the driver "sqlite"

	"larder/internal/fault"
)

// applicationID is "LARD" as a number: it stands in the file's head and tells
// our books from other programs' files.
const applicationID = 0x4C415244

// use is what a connection is for.
type use int

const (
	writing  use = iota // the one that writes
	reading             // the others
	looking             // at a book that may be damaged: nothing may be written
	foreign             // a file that may be hostile: as it lies there, without its log
	building            // a file nobody else knows of yet
)

// pragma is a switch of the engine and the value it must then report.
type pragma struct{ name, set, want string }

// pragmas lists the switches of a connection. They are set through _pragma in
// the data source name; how other drivers spell them there (_journal_mode=WAL)
// would be passed over without a word by some versions of this one, so each is
// read back after opening.
func pragmas(u use) []pragma {
	list := []pragma{
		{"busy_timeout", "5000", "5000"},
		{"trusted_schema", "OFF", "0"},
		{"cell_size_check", "ON", "1"},
		{"foreign_keys", "ON", "1"},
		{"mmap_size", "0", "0"},
	}
	switch u {
	case writing, building:
		list = append(list,
			pragma{"journal_mode", "WAL", "wal"},
			pragma{"synchronous", "FULL", "2"},
			// On a Mac a plain sync stops at the drive's cache. No effect elsewhere.
			pragma{"fullfsync", "ON", "1"},
			pragma{"checkpoint_fullfsync", "ON", "1"})
	case reading:
		list = append(list, pragma{"query_only", "ON", "1"})
	}
	return list
}

// source writes the data source name of the file at path.
func source(path string, u use) string {
	q := url.Values{"_txlock": {"immediate"}, "_defensive": {"1"}}
	for _, p := range pragmas(u) {
		q.Add("_pragma", p.name+"("+p.set+")")
	}
	switch u {
	case writing:
		q.Set("mode", "rw") // never makes a file: that is done aside, see create
	case reading, looking:
		q.Set("mode", "ro")
	case foreign:
		q.Set("mode", "ro")
		q.Set("immutable", "1")
	case building:
		q.Set("mode", "rwc")
	}
	return "file:" + escape(path) + "?" + q.Encode()
}

// escape writes a path so that SQLite's URI reader gives it back: see "URI
// Filenames" in its documentation.
func escape(path string) string {
	if filepath.VolumeName(path) != "" {
		return escapeWindows(path)
	}
	return (&url.URL{Path: path}).EscapedPath()
}

// escapeWindows is escape for a path of Windows: "C:\x" becomes "/C:/x", and
// "\\nas\x" on a share "////nas/x", that is no authority and "//nas/x": an
// authority is refused.
func escapeWindows(path string) string {
	p := strings.ReplaceAll(toTheLetter(path), `\`, "/")
	if strings.HasPrefix(p, "//") {
		return "//" + (&url.URL{Path: p}).EscapedPath()
	}
	return (&url.URL{Path: "/" + p}).EscapedPath()
}

// toTheLetter takes away the head by which Windows is told to take a path to the
// letter; what we make of paths needs none.
func toTheLetter(path string) string {
	for _, head := range []string{`\\?\`, `\\.\`} {
		rest, ok := strings.CutPrefix(path, head)
		if ok && len(rest) >= 2 && rest[1] == ':' {
			return rest
		}
		if share, is := strings.CutPrefix(rest, `UNC\`); ok && is {
			return `\\` + share
		}
	}
	return path
}

// connect opens the file at path with n connections at most and makes sure that
// all switches hold.
func connect(ctx context.Context, path string, u use, n int) (*sql.DB, error) {
	db, err := sql.Open("sqlite", source(path, u))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(n)
	db.SetMaxIdleConns(n)
	if err := confirm(ctx, db, u); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

func confirm(ctx context.Context, db *sql.DB, u use) error {
	for _, p := range pragmas(u) {
		got, err := ask(ctx, db, "PRAGMA "+p.name)
		if err != nil {
			return err
		}
		if got != p.want {
			return &fault.Error{Kind: fault.Internal, Op: "sqlite.connect", Err: fmt.Errorf("%s is %q, not %q", p.name, got, p.want)}
		}
	}
	return nil
}

// asker is a database or one connection of it.
type asker interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// ask gives the single text or number a query answers with, "" for no row.
func ask(ctx context.Context, db asker, query string, args ...any) (string, error) {
	var s sql.NullString
	err := db.QueryRowContext(ctx, query, args...).Scan(&s)
	if err == sql.ErrNoRows {
		err = nil
	}
	return s.String, err
}
