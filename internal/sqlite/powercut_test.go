package sqlite

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// files are what is on the disk of a book and its log.
type files struct{ book, log []byte }

func filesOf(t testing.TB, path string) files { return files{read(t, path), read(t, path+"-wal")} }

// torn gives what may be on the disk when the power goes between two syncs: of
// the sectors that differ, any part has been written, in any order.
func torn(was, is []byte, rng *rand.Rand) []byte {
	out := bytes.Clone(was)
	if len(is) > len(out) && rng.IntN(4) > 0 { // the longer length may be known already
		out = append(out, make([]byte, len(is)-len(out))...)
	}
	share := min(1, rng.Float64()*1.2)
	for at := 0; at < len(out); at += sector {
		end := min(at+sector, len(out), len(is))
		if at < end && rng.Float64() < share {
			copy(out[at:end], is[at:end])
		}
	}
	return out
}

// cutPower gives the disk of a moment between two calls of Append. The engine
// syncs in this order: the head of the log when it begins anew; the frames of
// the call; then, now and then, the pages it moves to the book.
func cutPower(was, is files, rng *rand.Rand) files {
	anew := len(was.log) >= logHead && len(is.log) >= logHead && !bytes.Equal(was.log[:logHead], is.log[:logHead])
	switch {
	case !bytes.Equal(was.book, is.book) && rng.IntN(2) == 0:
		return files{torn(was.book, is.book, rng), is.log}
	case anew:
		log := torn(was.log, is.log, rng)
		if rng.IntN(4) == 0 {
			log = bytes.Clone(was.log) // nothing of it yet
		} else {
			copy(log[:logHead], is.log)
		}
		return files{was.book, log}
	}
	return files{was.book, torn(was.log, is.log, rng)}
}

// TestPowerCut plays through what a power cut may leave: after each call that
// was told as kept, the next one is on the disk in any part. Each time the book
// opens without complaint and holds all that was told, and the call under way
// whole or not at all. LARDER_CRASH=1000 tries more moments.
func TestPowerCut(t *testing.T) {
	ctx := context.Background()
	rng := rand.New(rand.NewPCG(7, 8))
	path := filepath.Join(t.TempDir(), "book.db")
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	const perCall = 10
	note := strings.Repeat("n", 300)
	if _, err := b.write.Exec("PRAGMA wal_autocheckpoint = 40"); err != nil { // so that the log is folded in every few calls
		t.Fatal(err)
	}
	n := kills(t, 150)
	was := filesOf(t, path)
	copyPath := filepath.Join(t.TempDir(), "book.db")
	folded, begun, under := 0, 0, 0
	for k := range n {
		facts := make([]season.Fact, perCall)
		for i := range facts {
			facts[i] = season.Fact{ID: booktest.ID(rng.IntN(1 << 30)), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Look{Colony: "c", Note: note}}
		}
		if err := b.Append(ctx, facts...); err != nil {
			t.Fatal(err)
		}
		is := filesOf(t, path)
		if !bytes.Equal(was.book, is.book) {
			folded++
		}
		if !bytes.Equal(was.log[:min(logHead, len(was.log))], is.log[:logHead]) {
			begun++
		}
		left := cutPower(was, is, rng)
		if err := removeBook(copyPath); err != nil {
			t.Fatal(err)
		}
		for name, b := range map[string][]byte{copyPath: left.book, copyPath + "-wal": left.log} {
			if err := os.WriteFile(name, b, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		got, err := tryRead(copyPath)
		if err != nil {
			t.Fatalf("call %d: %v: %v", k, err, fault.HintOf(err))
		}
		switch len(got) {
		case k * perCall:
		case (k + 1) * perCall:
			under++
		default:
			t.Fatalf("call %d: %d facts, want %d or %d", k, len(got), k*perCall, (k+1)*perCall)
		}
		was = is
	}
	t.Logf("%d power cuts; the call under way was there in %d; the log was folded in %d times and begun anew %d times", n, under, folded, begun)
	if folded == 0 || begun < 2 || under == 0 || under == n {
		t.Error("not all moments were met")
	}
}

// TestLibcIsTheDriversOwn: the driver works with one version of its libc only,
// the one it names itself; an update of all modules would break that unseen.
func TestLibcIsTheDriversOwn(t *testing.T) {
	list := func(format, module string) string {
		out, err := exec.Command("go", "list", "-m", "-f", format, module).Output()
		if err != nil {
			t.Fatal(err)
		}
		return strings.TrimSpace(string(out))
	}
	mod := read(t, list("{{.GoMod}}", "modernc.org/sqlite"))
	want := regexp.MustCompile(`modernc\.org/libc (v\S+)`).FindSubmatch(mod)
	if want == nil {
		t.Fatal("the driver names no libc")
	}
	if got := list("{{.Version}}", "modernc.org/libc"); got != string(want[1]) {
		t.Errorf("libc is %s, the driver wants %s", got, want[1])
	}
}
