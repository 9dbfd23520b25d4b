package sqlite

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

func factsOf(t testing.TB, path string) []season.Fact {
	t.Helper()
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatalf("%v (%v)", err, fault.HintOf(err))
	}
	defer b.Close()
	facts, err := b.Facts(context.Background(), units.Moment{})
	if err != nil {
		t.Fatal(err)
	}
	return facts
}

// TestBackupInUse: another program has the book open and writes; a copy is made all
// the same, with all that was told as kept before, and the book goes on.
func TestBackupInUse(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "book.db")
	other := start(t, "amble", path)
	var copies []string
	var before []int
	for round := range 5 {
		told := 0
		for range 20 {
			var err error
			if told, err = strconv.Atoi(other.line(t)); err != nil {
				t.Fatal(err)
			}
		}
		file := filepath.Join(t.TempDir(), "copy.db")
		if err := BackupInUse(ctx, path, file); err != nil {
			t.Fatalf("round %d: %v (%v)", round, err, errors.Unwrap(err))
		}
		if err := BackupInUse(ctx, path, file); !fault.Is(err, fault.Conflict) {
			t.Errorf("a copy was written over: %v", err)
		}
		copies, before = append(copies, file), append(before, told)
	}
	other.kill() // before they are looked at, which takes longer than writing them
	for round, file := range copies {
		b, err := Open(file, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if wrong := checkBatches(b, before[round]); wrong != "" {
			t.Errorf("round %d: %s", round, wrong)
		}
		b.Close()
	}
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if wrong := checkBatches(b, 100); wrong != "" {
		t.Error(wrong)
	}
}

// TestBackupInUseRefuses: what is no book is not copied, and where nothing can be
// written it is said of that place, not of the book.
func TestBackupInUseRefuses(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	note := filepath.Join(dir, "note.db")
	if err := os.WriteFile(note, []byte("Dear diary, the bees are well, and this is longer than a head of a hundred bytes would be, I should think."), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := BackupInUse(ctx, note, filepath.Join(dir, "copy.db")); !fault.Is(err, fault.Damaged) {
		t.Errorf("a note: %v", err)
	}
	if err := BackupInUse(ctx, filepath.Join(dir, "none.db"), filepath.Join(dir, "copy.db")); !fault.Is(err, fault.NotFound) {
		t.Errorf("no file: %v", err)
	}
	newer := filled(t)
	raw(t, newer, "PRAGMA user_version = 999")
	if err := BackupInUse(ctx, newer, filepath.Join(dir, "copy.db")); !fault.Is(err, fault.NotUnderstood) {
		t.Errorf("a newer book: %v", err)
	}
	lost := filepath.Join(dir, "no", "such", "copy.db")
	if err := BackupInUse(ctx, filled(t), lost); !fault.Is(err, fault.NotFound) || !strings.Contains(err.Error(), lost) {
		t.Errorf("no folder: %v", err)
	}
	if list, _ := os.ReadDir(dir); len(list) != 1 {
		t.Errorf("something is left: %v", list)
	}
}

// TestBackupWhileWriting: a backup made while others write is a sound book with
// all that was kept before it began, and nothing by halves.
func TestBackupWhileWriting(t *testing.T) {
	b := fresh(t)
	ctx := context.Background()
	stop := make(chan struct{})
	var writing sync.WaitGroup
	var mu sync.Mutex
	kept := 0
	for range 4 {
		writing.Go(func() {
			for {
				select {
				case <-stop:
					return
				case <-time.After(3 * time.Millisecond): // or a slow machine never gets done with copying
				}
				mu.Lock()
				kept++
				k := kept
				mu.Unlock()
				if k > 600 {
					return
				}
				if err := b.Append(ctx, batch(k)...); err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	dir := t.TempDir()
	var copies []string
	for i := range 6 {
		before, err := b.Facts(ctx, units.Moment{})
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, string(rune('a'+i))+".db")
		if err := b.Backup(ctx, file); err != nil {
			t.Fatal(err)
		}
		copies = append(copies, file)
		got := factsOf(t, file)
		there := map[season.ID]bool{}
		for _, f := range got {
			there[f.ID] = true
		}
		for _, f := range before {
			if !there[f.ID] {
				t.Fatalf("backup %d lacks a fact that was kept before it", i)
			}
		}
		time.Sleep(5 * time.Millisecond)
	}
	close(stop)
	writing.Wait()
	for _, file := range copies {
		c, err := Open(file, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if why := checkBatchesWhole(c); why != "" {
			t.Errorf("%s: %s", file, why)
		}
		c.Close()
	}
	left, err := filepath.Glob(filepath.Join(dir, "*.part*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left lying: %q %v", left, err)
	}
}

// checkBatchesWhole is checkBatches without a claim on which are there.
func checkBatchesWhole(b *Book) string {
	facts, err := b.Facts(context.Background(), units.Moment{})
	if err != nil {
		return err.Error()
	}
	n := map[int]int{}
	for _, f := range facts {
		n[lastBatch([]season.Fact{f})]++
	}
	for k, got := range n {
		if got != len(batch(k)) {
			return "a batch is there by half"
		}
	}
	return ""
}

func TestBackupRefuses(t *testing.T) {
	b := fresh(t)
	ctx := context.Background()
	if err := b.Append(ctx, booktest.Samples()...); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	there := filepath.Join(dir, "there.db")
	if err := os.WriteFile(there, []byte("precious"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := b.Backup(ctx, there); !fault.Is(err, fault.Conflict) {
		t.Errorf("over a file: %v", err)
	}
	if got, _ := os.ReadFile(there); string(got) != "precious" {
		t.Error("the file was written over")
	}
	if err := b.Backup(ctx, b.Path()); !fault.Is(err, fault.Conflict) {
		t.Errorf("over itself: %v", err)
	}
	if err := b.Backup(ctx, filepath.Join(dir, "no", "such", "folder", "b.db")); err == nil || fault.Is(err, fault.Internal) {
		t.Errorf("nowhere: %v", err)
	}
	gone, cancel := context.WithCancel(ctx)
	cancel()
	if err := b.Backup(gone, filepath.Join(dir, "b.db")); err == nil {
		t.Error("a backup that was given up is there")
	}
	names, err := os.ReadDir(dir)
	if err != nil || len(names) != 1 {
		t.Errorf("left lying: %v %v", names, err)
	}
	// None of it harmed the book.
	if _, err := b.Verify(ctx); err != nil {
		t.Error(err)
	}
	if err := b.Append(ctx, batch(100)...); err != nil {
		t.Error(err)
	}
}

func TestVerify(t *testing.T) {
	b := fresh(t)
	ctx := context.Background()
	r, err := b.Verify(ctx)
	if err != nil || r.Facts != 0 || len(r.Done) == 0 {
		t.Errorf("an empty book: %+v, %v", r, err)
	}
	all := booktest.Samples()
	if err := b.Append(ctx, all...); err != nil {
		t.Fatal(err)
	}
	r, err = b.Verify(ctx)
	if err != nil {
		t.Fatal(err)
	}
	season.SortFacts(all)
	n := 0
	for _, k := range r.Kinds {
		n += k.N
	}
	if r.Facts != len(all) || n != len(all) || len(r.Kinds) != len(season.Kinds()) || r.First != all[0].Seen || r.Last != all[len(all)-1].Seen {
		t.Errorf("%+v", r)
	}
	if r.Digest != season.Digest(all) {
		t.Error("the digest is not that of the facts")
	}
}
