package sqlite

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/units"
)

// kills gives how often the crash tests kill: few in a usual run, more when
// LARDER_CRASH says so (1000 before a release).
func kills(t *testing.T, usual int) int {
	s := os.Getenv("LARDER_CRASH")
	if s == "" {
		if raced {
			return usual / 5
		}
		return usual
	}
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatalf("LARDER_CRASH: %v", err)
	}
	return n
}

// TestKilledWhileWriting kills a program that keeps facts, at any moment: while
// it makes the book, opens it, writes, or syncs. What it had told as kept must
// be there, no batch may be there in part, and the book must be sound.
func TestKilledWhileWriting(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	dir := t.TempDir()
	var path string
	told, n, took := 0, kills(t, 200), []time.Duration(nil)
	all, startup := 0, 100*time.Millisecond
	for i := range n {
		if i%8 == 0 { // a new book now and then, so that its making is hit too
			path, told = filepath.Join(dir, strconv.Itoa(i), "book.db"), 0
		}
		last, whole := runAndKill(t, path, i%4 == 0, startup, rng)
		if whole > 0 {
			startup = whole
		}
		all += max(0, last-told)
		told = max(told, last)

		begun := time.Now()
		b, err := Open(path, Options{})
		if err != nil {
			t.Fatalf("kill %d: %v", i, err)
		}
		took = append(took, time.Since(begun))
		if err := checkBatches(b, told); err != "" {
			t.Fatalf("kill %d: %s", i, err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	slices.Sort(took)
	most := took[len(took)*9/10]
	t.Logf("%d kills, %d batches told as kept, nine of ten openings within %v, the slowest %v", n, all, most, took[len(took)-1])
	// The slowest ones' length is the machine's, if it is busy.
	if most > 2*time.Second {
		t.Errorf("a book takes %v to open after a kill", most)
	}
	if all < n {
		t.Errorf("only %d batches in %d runs: the kills come too early to tell anything", all, n)
	}
}

// runAndKill lets the program write and kills it: while it starts, or a little
// after it first told that something is kept. It gives the last batch told as
// kept, and how long the start took if it was seen whole.
func runAndKill(t *testing.T, path string, starting bool, startup time.Duration, rng *rand.Rand) (last int, whole time.Duration) {
	begun := time.Now()
	c := start(t, "append", path)
	first := make(chan time.Duration, 1)
	said := make(chan int)
	go func() {
		last := 0
		for c.said.Scan() {
			if k, err := strconv.Atoi(c.said.Text()); err == nil {
				if last == 0 {
					first <- time.Since(begun)
				}
				last = k
			}
		}
		said <- last
	}()
	if starting {
		time.Sleep(time.Duration(rng.Float64() * float64(startup)))
	} else {
		select {
		case whole = <-first:
		case <-time.After(2 * time.Minute):
			_ = c.cmd.Process.Signal(syscall.SIGQUIT) // it says where it stands, and ends
			<-said
			t.Fatal("the program writes nothing; where it stood is above")
		}
		time.Sleep(time.Duration(rng.IntN(40_000)) * time.Microsecond)
	}
	_ = c.cmd.Process.Kill()
	last = <-said
	_ = c.cmd.Wait()
	return last, whole
}

// checkBatches looks that batches 1 to told are there, and each batch that is
// there is so to its last fact.
func checkBatches(b *Book, told int) string {
	if _, err := b.Verify(context.Background()); err != nil {
		return err.Error()
	}
	facts, err := b.Facts(context.Background(), units.Moment{})
	if err != nil {
		return err.Error()
	}
	n := map[string]int{}
	for _, f := range facts {
		n[f.Body.(apiary.Look).Note]++
	}
	for k := 1; k <= max(told, lastBatch(facts)); k++ {
		switch got := n[strconv.Itoa(k)]; {
		case got == len(batch(k)):
		case got == 0 && k > told:
		default:
			return "batch " + strconv.Itoa(k) + " has " + strconv.Itoa(got) + " of its facts, told as kept up to " + strconv.Itoa(told)
		}
	}
	return ""
}
