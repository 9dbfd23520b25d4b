package sqlite

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// Makes the book of the present version, in testdata, anew. For use once, when
// a version is new and not yet released:
//
//	go test ./internal/sqlite -run TestFixtures -update
var update = flag.Bool("update", false, "make the present version's book in testdata")

// TestFixtures: a book of every version there ever was opens and holds the
// facts it held. Beside each lie its facts as text and their digest.
func TestFixtures(t *testing.T) {
	present := filepath.Join("testdata", "book-v1.db") // one line more with each version
	if *update {
		makeFixture(t, present)
	}
	books, err := filepath.Glob(filepath.Join("testdata", "book-v*.db"))
	if err != nil || len(books) != newest(migrations()) {
		t.Fatalf("%d books in testdata for %d versions (%v); see -update", len(books), newest(migrations()), err)
	}
	for _, file := range books {
		t.Run(filepath.Base(file), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "book.db")
			copyFile(t, file, path)
			got := factsOf(t, path)
			want, digest := readFixture(t, strings.TrimSuffix(file, ".db"))
			season.SortFacts(want)
			if len(got) != len(want) {
				t.Fatalf("%d facts, want %d", len(got), len(want))
			}
			for i := range got {
				if !season.Same(&got[i], &want[i]) {
					t.Errorf("fact %s differs from its text", want[i].ID)
				}
			}
			if d := season.Digest(got); d != digest {
				t.Errorf("digest %s, want %s", d, digest)
			}
			if stateOf(t, got) != stateOf(t, want) {
				t.Error("the state differs")
			}
			b, err := Open(path, Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer b.Close()
			if err := b.Append(context.Background(), batch(900)...); err != nil {
				t.Error(err)
			}
			if _, err := b.Verify(context.Background()); err != nil {
				t.Error(err)
			}
		})
	}
}

func makeFixture(t *testing.T, file string) {
	if err := removeBook(file); err != nil {
		t.Fatal(err)
	}
	fillAt(t, file)
	facts := factsOf(t, file)
	_ = os.Remove(file + ".lock")
	var text bytes.Buffer
	for _, f := range facts {
		b, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		text.Write(append(b, '\n'))
	}
	base := strings.TrimSuffix(file, ".db")
	if err := os.WriteFile(base+".jsonl", text.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(base+".digest", []byte(season.Digest(facts)+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
}

func readFixture(t *testing.T, base string) (facts []season.Fact, digest string) {
	t.Helper()
	text, err := os.ReadFile(base + ".jsonl")
	if err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(bytes.NewReader(text))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var f season.Fact
		if err := json.Unmarshal(lines.Bytes(), &f); err != nil {
			t.Fatal(err)
		}
		facts = append(facts, f)
	}
	d, err := os.ReadFile(base + ".digest")
	if err != nil {
		t.Fatal(err)
	}
	return facts, strings.TrimSpace(string(d))
}

func copyFile(t testing.TB, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// future are migrations of a larder to come: ours and one more.
func future(second string) fs.FS {
	first, err := fs.ReadFile(migrations(), "0001_facts.sql")
	if err != nil {
		panic(err)
	}
	return fstest.MapFS{
		"0001_facts.sql": {Data: first},
		"0002_more.sql":  {Data: []byte("-- +goose Up\n" + second)},
	}
}

const goodMigration = `ALTER TABLE larder_fact ADD COLUMN place TEXT NOT NULL DEFAULT '';
CREATE TABLE larder_more (x INTEGER) STRICT;
UPDATE larder_fact SET place = 'yard';
PRAGMA user_version = 2;
`

func TestMigration(t *testing.T) {
	ctx := context.Background()
	path := filled(t)
	want := season.Digest(factsOf(t, path))
	b, err := open(ctx, path, Options{}, future(goodMigration))
	if err != nil {
		t.Fatal(err)
	}
	facts, err := b.Facts(ctx, units.Moment{})
	if err != nil || season.Digest(facts) != want {
		t.Errorf("facts differ after the migration (%v)", err)
	}
	if err := b.Append(ctx, batch(900)...); err != nil {
		t.Error(err)
	}
	if _, err := b.Verify(ctx); err != nil {
		t.Error(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	// The copy made before it is a book of the old version with the old facts.
	kept := filepath.Join(filepath.Dir(path), "book-before-v2.db")
	if season.Digest(factsOf(t, kept)) != want {
		t.Error("the copy differs")
	}
	// The older larder refuses the new book, and can go back to the copy.
	if _, err := Open(path, Options{}); !fault.Is(err, fault.NotUnderstood) {
		t.Errorf("%v", err)
	}
	if _, err := Restore(ctx, kept, path, RestoreOptions{Replace: true, At: now}); err != nil {
		t.Fatal(err)
	}
	if season.Digest(factsOf(t, path)) != want {
		t.Error("going back lost facts")
	}
	// And forward again: the first copy is not written over.
	b, err = open(ctx, path, Options{}, future(goodMigration))
	if err != nil {
		t.Fatal(err)
	}
	b.Close()
	if _, err := os.Stat(filepath.Join(filepath.Dir(path), "book-before-v2-2.db")); err != nil {
		t.Error(err)
	}
	// A backup of an older version is brought to the new form when restored.
	older := filepath.Join(t.TempDir(), "book.db")
	if _, err := restore(ctx, kept, older, RestoreOptions{At: now}, future(goodMigration)); err != nil {
		t.Error(err)
	}
}

// TestMigrationFails: a migration that does not go through leaves the book as
// it was, and the older larder opens it.
func TestMigrationFails(t *testing.T) {
	path := filled(t)
	want := season.Digest(factsOf(t, path))
	_, err := open(context.Background(), path, Options{}, future(goodMigration+"INSERT INTO nowhere VALUES (1);\n"))
	if err == nil || fault.HintOf(err) == "" {
		t.Fatalf("%v, want an error that says what to do", err)
	}
	if season.Digest(factsOf(t, path)) != want {
		t.Error("facts differ after the failure")
	}
}

// childMigrate opens the book with the migrations to come.
func childMigrate(path string) error {
	b, err := open(context.Background(), path, Options{}, future(goodMigration))
	if err != nil {
		return err
	}
	return b.Close()
}

// TestKilledWhileMigrating: at whatever moment the program is killed, the book
// is of the old version or of the new, with all its facts.
func TestKilledWhileMigrating(t *testing.T) {
	ctx := context.Background()
	rng := rand.New(rand.NewPCG(3, 4))
	dir := t.TempDir()
	old := filepath.Join(dir, "old.db")
	b, err := Open(old, Options{})
	if err != nil {
		t.Fatal(err)
	}
	facts := booktest.Many(40, 1)
	if err := b.Append(ctx, facts...); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	season.SortFacts(facts)
	want := season.Digest(facts)
	// How long it takes when nobody kills it.
	trial := filepath.Join(dir, "trial", "book.db")
	if err := os.MkdirAll(filepath.Dir(trial), 0o700); err != nil {
		t.Fatal(err)
	}
	copyFile(t, old, trial)
	begun := time.Now()
	if err := start(t, "migrate", trial).cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	whole := time.Since(begun)

	n, before, after := kills(t, 25), 0, 0
	for i := range n {
		path := filepath.Join(dir, "book.db")
		for _, name := range []string{path, path + "-wal", path + "-shm"} {
			if err := os.Remove(name); err != nil && !os.IsNotExist(err) {
				t.Fatal(err)
			}
		}
		copyFile(t, old, path)
		c := start(t, "migrate", path)
		time.Sleep(time.Duration(rng.Float64() * 1.1 * float64(whole)))
		c.kill()
		b, err := Open(path, Options{})
		if fault.Is(err, fault.NotUnderstood) { // it is of the new version
			b, err = open(ctx, path, Options{}, future(goodMigration))
			after++
		} else {
			before++
		}
		if err != nil {
			t.Fatalf("kill %d: %v", i, err)
		}
		r, err := b.Verify(ctx)
		if err != nil || r.Digest != want {
			t.Fatalf("kill %d: facts differ: %v", i, err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kills: %d books of the old version, %d of the new", n, before, after)
}
