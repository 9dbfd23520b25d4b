package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

var now = time.Date(2026, 11, 3, 7, 5, 9, 0, time.UTC)

// backedUp makes a backup of a filled book.
func backedUp(t testing.TB) (backup string, facts []season.Fact) {
	t.Helper()
	path := filled(t)
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	backup = filepath.Join(filepath.Dir(path), "backup.db")
	if err := b.Backup(context.Background(), backup); err != nil {
		t.Fatal(err)
	}
	facts, err = b.Facts(context.Background(), units.Moment{})
	if err != nil {
		t.Fatal(err)
	}
	return backup, facts
}

// TestRestoreDrill: a book lost with its folder is brought back from the backup,
// to the same facts and the same state.
func TestRestoreDrill(t *testing.T) {
	ctx := context.Background()
	backup, facts := backedUp(t)
	to := filepath.Join(t.TempDir(), "new", "book.db")
	done, err := Restore(ctx, backup, to, RestoreOptions{At: now})
	if err != nil {
		t.Fatal(err)
	}
	if done.Report.Digest != season.Digest(facts) || done.Report.Facts != len(facts) || done.Aside != "" {
		t.Errorf("%+v", done)
	}
	got := factsOf(t, to)
	if stateOf(t, got) != stateOf(t, facts) {
		t.Error("the state differs")
	}
	names, err := os.ReadDir(filepath.Dir(to))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if n.Name() != "book.db" && n.Name() != "book.db.lock" {
			t.Errorf("left lying: %s", n.Name())
		}
	}
	// A book that was not backed up but closed in order can be taken as well.
	again := filepath.Join(t.TempDir(), "book.db")
	if _, err := Restore(ctx, to, again, RestoreOptions{At: now}); err != nil {
		t.Error(err)
	}
}

func stateOf(t testing.TB, facts []season.Fact) string {
	t.Helper()
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		t.Fatal(err)
	}
	return booktest.Dump(j.Now())
}

func TestRestoreOverBook(t *testing.T) {
	ctx := context.Background()
	backup, facts := backedUp(t)
	to := filepath.Join(t.TempDir(), "book.db")
	b, err := Open(to, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Append(ctx, batch(3)...); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(ctx, backup, to, RestoreOptions{Replace: true, At: now}); !fault.Is(err, fault.Busy) {
		t.Errorf("into an open book: %v", err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	before := bytesOf(t, to)
	if _, err := Restore(ctx, backup, to, RestoreOptions{At: now}); !fault.Is(err, fault.Conflict) || fault.HintOf(err) == "" {
		t.Errorf("over a book, unasked: %v", err)
	}
	if bytesOf(t, to) != before {
		t.Error("the book was changed")
	}
	for i, want := range []string{"book-before-restore-20261103-070509.db", "book-before-restore-20261103-070509-2.db"} {
		done, err := Restore(ctx, backup, to, RestoreOptions{Replace: true, At: now})
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(done.Aside) != want {
			t.Errorf("kept aside as %s, want %s", done.Aside, want)
		}
		if i == 0 && bytesOf(t, done.Aside) != before {
			t.Error("what was kept aside is not the former book")
		}
		if got := factsOf(t, to); season.Digest(got) != season.Digest(facts) {
			t.Error("the book is not that of the backup")
		}
	}
	old := factsOf(t, filepath.Join(filepath.Dir(to), "book-before-restore-20261103-070509.db"))
	if len(old) != len(batch(3)) {
		t.Errorf("%d facts in the former book", len(old))
	}
}

// TestRestoreOverRuins: the usual case. The book is damaged, its log lies beside
// it, and both are kept as they are.
func TestRestoreOverRuins(t *testing.T) {
	backup, facts := backedUp(t)
	to := filepath.Join(t.TempDir(), "book.db")
	for c, text := range map[string]string{"": "ruins of a book", "-wal": "ruins of a log", "-shm": "x"} {
		if err := os.WriteFile(to+c, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	before := bytesOf(t, to)
	done, err := Restore(context.Background(), backup, to, RestoreOptions{Replace: true, At: now})
	if err != nil {
		t.Fatal(err)
	}
	if bytesOf(t, done.Aside) != before {
		t.Error("the ruins were changed")
	}
	if season.Digest(factsOf(t, to)) != season.Digest(facts) {
		t.Error("the book is not that of the backup")
	}
}

// TestRestoreRefuses: a file is hostile until it has proved otherwise.
func TestRestoreRefuses(t *testing.T) {
	edit := func(do ...string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			raw(t, path, do...)
			raw(t, path, "PRAGMA journal_mode = DELETE")
		}
	}
	unsummed := func(body string) func(*testing.T, string) {
		// The sum is right; what is said is not.
		return func(t *testing.T, path string) {
			f := season.Fact{ID: booktest.ID(5000), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Look{Colony: "c"}}
			r, err := f.Record()
			if err != nil {
				t.Fatal(err)
			}
			r.Body = []byte(body)
			insert(t, path, r)
		}
	}
	for name, c := range map[string]struct {
		make func(*testing.T, string)
		kind fault.Kind
	}{
		"text": {func(t *testing.T, p string) {
			if err := os.WriteFile(p, []byte("hello"), 0o600); err != nil {
				t.Fatal(err)
			}
		}, fault.Damaged},
		"cut short": {func(t *testing.T, p string) {
			if err := os.Truncate(p, 9000); err != nil {
				t.Fatal(err)
			}
		}, fault.Damaged},
		"a table more":          {edit("CREATE TABLE x (y)"), fault.Damaged},
		"a trigger":             {edit("CREATE TRIGGER x AFTER INSERT ON larder_fact BEGIN SELECT 1; END"), fault.Damaged},
		"a virtual table":       {edit("CREATE VIRTUAL TABLE x USING fts5(y)"), fault.Damaged},
		"another program":       {edit("PRAGMA application_id = 7"), fault.Damaged},
		"newer":                 {edit("PRAGMA user_version = 99"), fault.NotUnderstood},
		"a fact changed":        {edit(`UPDATE larder_fact SET body = replace(body, 'north 12', 'north 13') WHERE kind = 'reading'`), fault.Damaged},
		"a time changed":        {edit(`UPDATE larder_fact SET seen_ms = seen_ms + 1 WHERE seq = 4`), fault.Damaged},
		"a row taken out":       {edit(`DELETE FROM larder_fact WHERE seq = 4`), fault.Damaged},
		"rows renumbered":       {edit(`UPDATE larder_fact SET seq = seq + 1000`), fault.Damaged},
		"the last row moved":    {edit(`UPDATE larder_fact SET seq = 1000 WHERE seq = 5`), fault.Damaged},
		"endless body":          {edit(`UPDATE larder_fact SET body = hex(zeroblob(9000000)) WHERE seq = 5`), fault.Damaged},
		"unknown field":         {unsummed(`{"colony":"c","x":1}`), fault.Damaged},
		"not JSON":              {unsummed(`<fact/>`), fault.Damaged},
		"a fact that cannot be": {unsummed(`{"colony":"c","bees":1000}`), fault.Damaged},
		"a live book": {func(t *testing.T, p string) {
			if err := os.WriteFile(p+"-wal", []byte("more"), 0o600); err != nil {
				t.Fatal(err)
			}
		}, fault.Conflict},
		"nothing": {func(t *testing.T, p string) {
			if err := os.Remove(p); err != nil {
				t.Fatal(err)
			}
		}, fault.NotFound},
		"a folder": {func(t *testing.T, p string) {
			if err := os.Remove(p); err != nil {
				t.Fatal(err)
			}
			if err := os.Mkdir(p, 0o700); err != nil {
				t.Fatal(err)
			}
		}, fault.NotFound},
	} {
		t.Run(name, func(t *testing.T) {
			backup, _ := backedUp(t)
			c.make(t, backup)
			var before string
			if st, err := os.Stat(backup); err == nil && st.Mode().IsRegular() {
				before = bytesOf(t, backup)
			}
			to := filepath.Join(t.TempDir(), "book.db")
			fillAt(t, to)
			was := bytesOf(t, to)
			_, err := Restore(context.Background(), backup, to, RestoreOptions{Replace: true, At: now})
			if !fault.Is(err, c.kind) {
				t.Fatalf("%v (%v), want %v", err, fault.KindOf(err), c.kind)
			}
			if bytesOf(t, to) != was {
				t.Error("the book was changed")
			}
			if before != "" && bytesOf(t, backup) != before {
				t.Error("the file was changed")
			}
			names, err := os.ReadDir(filepath.Dir(to))
			if err != nil || len(names) != 2 {
				t.Errorf("left lying: %v %v", names, err)
			}
		})
	}
	t.Run("from itself", func(t *testing.T) {
		path := filled(t)
		if _, err := Restore(context.Background(), path, path, RestoreOptions{Replace: true, At: now}); !fault.Is(err, fault.Conflict) {
			t.Errorf("%v", err)
		}
	})
}

// insert puts a record into a file as the last row, whatever it says.
func insert(t testing.TB, path string, r season.Record) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+escape(path))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	salt, err := saltOf(context.Background(), db)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(insertFact, r.ID[:], r.Kind, r.Seen.MS, r.Seen.Off, bit(r.Seen.DayOnly), r.Made.MS, r.Made.Off, bit(r.Made.DayOnly),
		r.By, orNull(r.Replaces), string(r.Body), r.Sum(salt, nil)); err != nil {
		t.Fatal(err)
	}
}

// FuzzRestore: any file at all, a good one written over at one place or cut
// above all, is either refused or gives good facts, and is never changed.
func FuzzRestore(f *testing.F) {
	path := filepath.Join(f.TempDir(), "seed.db")
	b, err := Open(path, Options{})
	if err != nil {
		f.Fatal(err)
	}
	if err := b.Append(context.Background(), booktest.Samples()[:6]...); err != nil {
		f.Fatal(err)
	}
	if err := b.Close(); err != nil {
		f.Fatal(err)
	}
	good, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint32(0), []byte{}, uint32(0))                  // the good file
	f.Add(uint32(0), []byte{}, uint32(len(good)/2))        // half of it
	f.Add(uint32(18), []byte{9, 9}, uint32(0))             // its head
	f.Add(uint32(4096), []byte{13, 0, 0, 0, 2}, uint32(0)) // a page
	f.Add(uint32(1<<32-1), []byte("no book"), uint32(0))   // another file
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, at uint32, patch []byte, cut uint32) {
		file := patch
		if at != 1<<32-1 {
			file = bytes.Clone(good)
			copy(file[int(at)%len(file):], patch)
			file = file[:len(file)-int(cut)%len(file)]
		}
		from, to := filepath.Join(dir, "from.db"), filepath.Join(dir, "to.db")
		if err := os.WriteFile(from, file, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := removeBook(to); err != nil {
			t.Fatal(err)
		}
		done, err := Restore(context.Background(), from, to, RestoreOptions{At: now})
		after, rerr := os.ReadFile(from)
		if rerr != nil || !bytes.Equal(after, file) {
			t.Fatalf("the file was changed (%v)", rerr)
		}
		if err != nil {
			if fault.Is(err, fault.Internal) || strings.Contains(err.Error(), "SQL") {
				t.Fatalf("%v is not for a keeper", err)
			}
			if _, err := os.Stat(to); !os.IsNotExist(err) {
				t.Fatal("a refused file left a book")
			}
			return
		}
		if got := factsOf(t, to); len(got) != done.Report.Facts {
			t.Fatalf("%d facts, %d were told", len(got), done.Report.Facts)
		}
	})
}
