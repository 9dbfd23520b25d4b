package booktest

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// The crowd: so many phones come home at once, each with so many facts.
const (
	writers = 50
	each    = 200
)

func crowdFacts(writer int) []season.Fact {
	facts := make([]season.Fact, each)
	for i := range facts {
		facts[i] = season.Fact{ID: ID(writer*each + i + 1), Seen: at(i % 90), By: "phone", Body: apiary.Look{Colony: "c", Bees: float64(i%60) / 4, BeesKnown: true}}
	}
	return facts
}

// crowd runs f for each writer at once and gives the first error.
func crowd(f func(writer int) error) error {
	errs := make([]error, writers)
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() { errs[w] = f(w) })
	}
	wg.Wait()
	return errors.Join(errs...)
}

func testManyWriters(t *testing.T, b season.Book) {
	var all []season.Fact
	for w := range writers {
		all = append(all, crowdFacts(w)...)
	}
	err := crowd(func(w int) error {
		facts := crowdFacts(w)
		for from := 0; from < each; from += 20 { // twenty at a time, as phones send
			if err := b.Append(ctx, facts[from:from+20]...); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	same(t, mustFacts(t, b, units.Moment{}), all)
}

func testSameFromMany(t *testing.T, b season.Book) {
	facts := crowdFacts(0)
	err := crowd(func(w int) error {
		mine := slices.Clone(facts)
		if w%2 == 1 { // the other way round, where locks could cross
			slices.Reverse(mine)
		}
		for from := 0; from < each; from += 40 {
			if err := b.Append(ctx, mine[from:from+40]...); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	same(t, mustFacts(t, b, units.Moment{}), facts)
}

// testReaders reads while others write: each call of Append is seen whole or
// not at all, and what was seen once is seen ever after.
func testReaders(t *testing.T, b season.Book) {
	stop := make(chan struct{})
	var reading sync.WaitGroup
	failed := make(chan string, 8)
	for range 2 {
		reading.Go(func() {
			was := 0
			for {
				select {
				case <-stop:
					return
				default:
				}
				facts, err := b.Facts(ctx, units.Moment{})
				switch {
				case err != nil:
					failed <- err.Error()
					return
				case len(facts)%20 != 0:
					failed <- "half a call is seen"
					return
				case len(facts) < was:
					failed <- "facts have gone"
					return
				}
				was = len(facts)
			}
		})
	}
	err := crowd(func(w int) error {
		facts := crowdFacts(w)[:60]
		for from := 0; from < len(facts); from += 20 {
			if err := b.Append(ctx, facts[from:from+20]...); err != nil {
				return err
			}
		}
		return nil
	})
	close(stop)
	reading.Wait()
	if err != nil {
		t.Fatal(err)
	}
	select {
	case why := <-failed:
		t.Fatal(why)
	default:
	}
}

// testCancelledCrowd gives up calls at any moment: each is kept whole or not at
// all, and one that was told as kept is there.
func testCancelledCrowd(t *testing.T, b season.Book) {
	told := make([]bool, writers)
	err := crowd(func(w int) error {
		c, cancel := context.WithTimeout(ctx, time.Duration(w)*300*time.Microsecond)
		defer cancel()
		err := b.Append(c, crowdFacts(w)...)
		told[w] = err == nil
		if err != nil && !errors.Is(err, context.DeadlineExceeded) {
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	got := map[season.ID]bool{}
	for _, f := range mustFacts(t, b, units.Moment{}) {
		got[f.ID] = true
	}
	for w := range writers {
		n := 0
		for _, f := range crowdFacts(w) {
			if got[f.ID] {
				n++
			}
		}
		if n != 0 && n != each {
			t.Errorf("writer %d: %d of %d facts kept", w, n, each)
		}
		if told[w] && n != each {
			t.Errorf("writer %d was told its facts are kept; %d of %d are", w, n, each)
		}
	}
}

// testImport keeps a whole season in one call, and once more.
func testImport(t *testing.T, b season.Book) {
	facts := Many(52, 2) // more than an engine may send at once
	if len(facts) < 2100 {
		t.Fatalf("only %d facts", len(facts))
	}
	mustAppend(t, b, append(slices.Clone(facts), facts...)...)
	same(t, mustFacts(t, b, units.Moment{}), facts)
	changed := slices.Clone(facts)
	changed[len(changed)-1].By = "another"
	if err := b.Append(ctx, changed...); !fault.Is(err, fault.Conflict) {
		t.Fatalf("%v, want a conflict", err)
	}
	same(t, mustFacts(t, b, units.Moment{}), facts)
}
