package sqlite

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// filled makes a closed book with facts and gives its path.
func filled(t testing.TB) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "book.db")
	fillAt(t, path)
	return path
}

func fillAt(t testing.TB, path string) {
	t.Helper()
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Append(context.Background(), append(booktest.Samples(), booktest.Awkward()...)...); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
}

// raw opens a file without any of our care, to do things to it.
func raw(t testing.TB, path string, do ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+escape(path))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, q := range do {
		if _, err := db.Exec(q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
}

// TestSwitches: every switch holds on every connection, also on those the pool
// makes later.
func TestSwitches(t *testing.T) {
	b := fresh(t)
	ctx := context.Background()
	for _, p := range pragmas(writing) {
		if got, err := ask(ctx, b.write, "PRAGMA "+p.name); err != nil || got != p.want {
			t.Errorf("writer: %s is %q, want %q (%v)", p.name, got, p.want, err)
		}
	}
	var held []*sql.Conn
	for range b.read.Stats().MaxOpenConnections {
		c, err := b.read.Conn(ctx)
		if err != nil {
			t.Fatal(err)
		}
		held = append(held, c)
		for _, p := range pragmas(reading) {
			if got, err := ask(ctx, c, "PRAGMA "+p.name); err != nil || got != p.want {
				t.Errorf("reader %d: %s is %q, want %q (%v)", len(held), p.name, got, p.want, err)
			}
		}
		if _, err := c.ExecContext(ctx, "DELETE FROM larder_fact"); err == nil {
			t.Error("a reader can delete")
		}
	}
	for _, c := range held {
		c.Close()
	}
	for name, want := range map[string]string{"application_id": "1279349316", "user_version": "1", "encoding": "UTF-8", "journal_mode": "wal"} {
		if got, err := ask(ctx, b.read, "PRAGMA "+name); err != nil || got != want {
			t.Errorf("%s is %q, want %q (%v)", name, got, want, err)
		}
	}
	if n := b.write.Stats().MaxOpenConnections; n != 1 {
		t.Errorf("%d connections can write", n)
	}
}

// TestConfirmNotices: a switch that does not hold is noticed, as it would be if
// the driver passed over our way of setting them.
func TestConfirmNotices(t *testing.T) {
	path := filled(t)
	db, err := sql.Open("sqlite", "file:"+escape(path)+"?_busy_timeout=1")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := confirm(context.Background(), db, writing); !fault.Is(err, fault.Internal) {
		t.Errorf("%v, want a mistake of the program", err)
	}
}

func TestModes(t *testing.T) {
	if runtime.GOOS == "windows" {
		return // has other means
	}
	dir := filepath.Join(t.TempDir(), "new", "folder")
	path := filepath.Join(dir, "book.db")
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if err := b.Append(context.Background(), booktest.Samples()...); err != nil {
		t.Fatal(err)
	}
	if err := b.Backup(context.Background(), path+".copy"); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]os.FileMode{dir: 0o700, path: 0o600, path + "-wal": 0o600, path + "-shm": 0o600, path + ".lock": 0o600, path + ".copy": 0o600} {
		st, err := os.Stat(name)
		if err != nil {
			t.Error(err)
		} else if got := st.Mode().Perm(); got != want {
			t.Errorf("%s is %o, want %o", name, got, want)
		}
	}
}

func TestOddPaths(t *testing.T) {
	for _, name := range []string{"my book.db", "50%.db", "what?.db", "a#b.db", "a&b=c.db", "höö 🐝.db", "%41.db", "'quoted'.db", "book"} {
		if runtime.GOOS == "windows" && strings.ContainsAny(name, `?`) {
			continue // no name there
		}
		path := filepath.Join(t.TempDir(), name)
		fillAt(t, path)
		if _, err := os.Stat(path); err != nil {
			t.Errorf("%s: the book is elsewhere: %v", name, err)
		}
		b, err := Open(path, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if err := b.Backup(context.Background(), path+".copy"); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		b.Close()
	}
}

// TestEscapeWindows: what SQLite makes of it is told under "URI Filenames" in its
// documentation: the authority, between the second and the third stroke, must be
// empty or localhost, and of "/C:/x" the first stroke is taken away.
func TestEscapeWindows(t *testing.T) {
	for path, want := range map[string]string{
		`C:\bees\my book.larder`:      `/C:/bees/my%20book.larder`,
		`C:/bees/50%.larder`:          `/C:/bees/50%25.larder`,
		`\\nas\bees\a?b.larder`:       `////nas/bees/a%3Fb.larder`,
		`\\?\C:\bees\x.larder`:        `/C:/bees/x.larder`,
		`\\.\C:\bees\x.larder`:        `/C:/bees/x.larder`,
		`\\?\UNC\nas\bees\süd.larder`: `////nas/bees/s%C3%BCd.larder`,
	} {
		if got := escapeWindows(path); got != want {
			t.Errorf("%s becomes %s, want %s", path, got, want)
		}
	}
}

func TestLeavesNothingLying(t *testing.T) {
	path := filled(t)
	names, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if n.Name() != "book.db" && n.Name() != "book.db.lock" {
			t.Errorf("%s is left after closing", n.Name())
		}
	}
}

// TestNotOurs: what is no book is refused in words, with the way back, and not
// changed by a byte.
func TestNotOurs(t *testing.T) {
	write := func(b []byte) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			if err := os.WriteFile(path, b, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name, make := range map[string]func(*testing.T, string){
		"text":            write([]byte("Dear diary, " + strings.Repeat("bees ", 1000))),
		"one byte":        write([]byte{0}),
		"zeros":           write(make([]byte, 8192)),
		"only the magic":  write([]byte(magic)),
		"another program": func(t *testing.T, path string) { raw(t, path, "CREATE TABLE notes (text)") },
		"our number, other tables": func(t *testing.T, path string) {
			raw(t, path, "CREATE TABLE notes (text)", "PRAGMA application_id = 1279349316", "PRAGMA user_version = 1")
		},
		"no version": func(t *testing.T, path string) { fillAt(t, path); raw(t, path, "PRAGMA user_version = 0") },
		"a trigger more": func(t *testing.T, path string) {
			fillAt(t, path)
			raw(t, path, "CREATE TRIGGER x AFTER INSERT ON larder_fact BEGIN DELETE FROM larder_fact; END")
		},
		"a view more": func(t *testing.T, path string) { fillAt(t, path); raw(t, path, "CREATE VIEW x AS SELECT 1") },
		"a column more": func(t *testing.T, path string) {
			fillAt(t, path)
			raw(t, path, "ALTER TABLE larder_fact ADD COLUMN x TEXT")
		},
		"an index less": func(t *testing.T, path string) { fillAt(t, path); rebuildWithout(t, path, " UNIQUE") },
		"a check less":  func(t *testing.T, path string) { fillAt(t, path); rebuildWithout(t, path, " CHECK (length(id) = 16)") },
		"a fact less": func(t *testing.T, path string) {
			fillAt(t, path)
			raw(t, path, "DELETE FROM larder_fact WHERE seq = 3")
		},
		"log but no book": func(t *testing.T, path string) { write([]byte("something"))(t, path+"-wal") },
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "book.db")
			make(t, path)
			before := bytesOf(t, path)
			b, err := Open(path, Options{LastBackup: "/safe/place.db"})
			if err == nil {
				b.Close()
				t.Fatal("opened")
			}
			if !fault.Is(err, fault.Damaged) || !strings.Contains(fault.HintOf(err), "/safe/place.db") {
				t.Errorf("%v (%v; %s), want damaged with the way back", err, fault.KindOf(err), fault.HintOf(err))
			}
			if bytesOf(t, path) != before {
				t.Error("the file was changed")
			}
		})
	}
	t.Run("a folder", func(t *testing.T) {
		if _, err := Open(t.TempDir(), Options{}); !fault.Is(err, fault.Damaged) {
			t.Errorf("%v", err)
		}
	})
	t.Run("nothing said", func(t *testing.T) {
		if _, err := Open("", Options{}); !fault.Is(err, fault.Missing) {
			t.Errorf("%v", err)
		}
	})
	t.Run("in a file", func(t *testing.T) {
		if _, err := Open(filepath.Join(filled(t), "book.db"), Options{}); err == nil || fault.Is(err, fault.Internal) {
			t.Errorf("%v", err)
		}
	})
}

// rebuildWithout makes the table of facts anew without some of its words.
func rebuildWithout(t testing.TB, path, words string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+escape(path))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	text, err := ask(context.Background(), db, "SELECT sql FROM sqlite_schema WHERE name = 'larder_fact'")
	if err != nil || !strings.Contains(text, words) {
		t.Fatalf("%q: %v", text, err)
	}
	text = strings.Replace(text, "larder_fact", "other", 1)
	raw(t, path, strings.Replace(text, words, "", 1), "INSERT INTO other SELECT * FROM larder_fact", "DROP TABLE larder_fact", "ALTER TABLE other RENAME TO larder_fact")
}

func bytesOf(t testing.TB, path string) string {
	t.Helper()
	var all strings.Builder
	for _, c := range []string{"", "-wal"} {
		b, err := os.ReadFile(path + c)
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		all.WriteString("\x00file\x00")
		all.Write(b)
	}
	return all.String()
}

// TestEmptyFile: an empty file, as some programs make one ahead, becomes a book.
func TestEmptyFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if facts, err := b.Facts(context.Background(), units.Moment{}); err != nil || len(facts) != 0 {
		t.Errorf("%d facts, %v", len(facts), err)
	}
}

func TestNewerBook(t *testing.T) {
	path := filled(t)
	raw(t, path, "PRAGMA user_version = 7", "CREATE TABLE of_the_future (x)")
	before := bytesOf(t, path)
	_, err := Open(path, Options{})
	if !fault.Is(err, fault.NotUnderstood) || !strings.Contains(err.Error(), "newer larder") || fault.HintOf(err) == "" {
		t.Errorf("%v", err)
	}
	if bytesOf(t, path) != before {
		t.Error("the file was changed")
	}
}
