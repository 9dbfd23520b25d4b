//go:build unix

package postgres

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/postgres/pgtest"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

func look(n int) season.Fact {
	return season.Fact{ID: booktest.ID(n), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Look{Colony: fmt.Sprint("c", n)}}
}

// Many programs add at once, in parcels large and small; one that asks again and
// again for what is new gets each fact once and none is passed over.
func TestSincePassesNoneOver(t *testing.T) {
	url := pgtest.URL(t)
	const programs, parcels = 6, 25
	var writers sync.WaitGroup
	done := make(chan struct{})
	for w := range programs {
		b := at(t, url)
		writers.Go(func() {
			for p := range parcels {
				var facts []season.Fact
				for i := range 1 + (p*7+w)%5 {
					facts = append(facts, look(10000*(w+1)+100*p+i))
				}
				if err := b.Append(ctx, facts...); err != nil {
					t.Error(err)
				}
			}
		})
	}
	go func() { writers.Wait(); close(done) }()
	reader, seen, after := at(t, url), map[season.ID]int{}, int64(0)
	ask := func() {
		facts, last, err := reader.Since(ctx, after)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range facts {
			seen[f.ID]++
		}
		if last < after {
			t.Fatalf("%d after %d", last, after)
		}
		after = last
	}
	for running := true; running; {
		select {
		case <-done:
			running = false
		default:
		}
		ask()
	}
	for _, f := range mustFacts(t, reader) {
		if seen[f.ID] != 1 {
			t.Errorf("%v was given %d times", f.ID, seen[f.ID])
		}
		delete(seen, f.ID)
	}
	if len(seen) != 0 {
		t.Errorf("%d that are not in the book", len(seen))
	}
	if facts, last, err := reader.Since(ctx, after); err != nil || len(facts) != 0 || last != after {
		t.Errorf("nothing is new: %d, %d, %v", len(facts), last, err)
	}
}

// Changes made at once by many programs follow each other; one that fails changes
// nothing, its lines of the trail included.
func TestSideTakesTurns(t *testing.T) {
	url := pgtest.URL(t)
	var wg sync.WaitGroup
	for range 5 {
		b := at(t, url)
		wg.Go(func() {
			for range 8 {
				err := b.ChangeSide(ctx, "access", func(old string) (string, []string, error) {
					return old + "x", []string{"line " + old}, nil
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	b := at(t, url)
	no := errors.New("no")
	if err := b.ChangeSide(ctx, "access", func(string) (string, []string, error) { return "gone", []string{"never"}, no }); !errors.Is(err, no) {
		t.Errorf("%v", err)
	}
	v, n, err := b.Side(ctx, "access")
	if err != nil || v != strings.Repeat("x", 40) || n != 40 {
		t.Errorf("%q, %d, %v", v, n, err)
	}
	if n, err := b.SideChange(ctx, "access"); err != nil || n != 40 {
		t.Errorf("%d, %v", n, err)
	}
	if v, n, err := b.Side(ctx, "other"); err != nil || v != "" || n != 0 {
		t.Errorf("%q, %d, %v", v, n, err)
	}
	trail, err := b.Trail(ctx, 100)
	if err != nil || len(trail) != 40 || trail[0] != "line "+strings.Repeat("x", 39) || slices.Contains(trail, "never") {
		t.Errorf("%d lines, %v", len(trail), err)
	}
	if err := b.AddTrail(ctx, "one", "two"); err != nil {
		t.Error(err)
	}
	if trail, err := b.Trail(ctx, 2); err != nil || !slices.Equal(trail, []string{"two", "one"}) {
		t.Errorf("%v, %v", trail, err)
	}
	// Whoever has the password of the database cannot change what stands there, short
	// of taking the rule away.
	for _, q := range []string{"UPDATE larder_trail SET line = 'x'", "DELETE FROM larder_trail", "TRUNCATE larder_trail"} {
		if _, err := b.db.ExecContext(ctx, q); err == nil || !strings.Contains(err.Error(), "only added") {
			t.Errorf("%s: %v", q, err)
		}
	}
}

// Two keepers in one database: neither's connection finds the other's rows, by
// whatever name of a table it does not qualify.
func TestKeepersAreApart(t *testing.T) {
	url := pgtest.URL(t)
	k, err := OpenKeepers(url)
	if err != nil {
		t.Fatal(err)
	}
	defer k.Close()
	now := time.Date(2026, 9, 1, 10, 0, 0, 0, time.UTC)
	ann, err := k.Add(ctx, " Ann\tLee ", now)
	if err != nil {
		t.Fatal(err)
	}
	bob, err := k.Add(ctx, "Bob", now)
	if err != nil {
		t.Fatal(err)
	}
	for typed, want := range map[string]fault.Kind{"": fault.Missing, "\x00\u202e": fault.Missing, strings.Repeat("x", 61): fault.OutOfRange, "ANN LEE": fault.Conflict} {
		if _, err := k.Add(ctx, typed, now); !fault.Is(err, want) {
			t.Errorf("%q: %v", typed, err)
		}
	}
	if ann.Name != "Ann Lee" || strings.Contains(strings.ToLower(ann.Place), "ann") || ann.Place == bob.Place {
		t.Errorf("%+v %+v", ann, bob)
	}
	a, err := k.Open(ctx, ann.Place)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	b, err := k.Open(ctx, bob.Place)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	// The same id with other content in each: no conflict, for they are two books.
	if err := a.Append(ctx, look(1)); err != nil {
		t.Fatal(err)
	}
	other := look(2)
	other.ID = look(1).ID
	if err := b.Append(ctx, other, look(3)); err != nil {
		t.Fatal(err)
	}
	if f := mustFacts(t, a); len(f) != 1 || f[0].Body.(apiary.Look).Colony != "c1" {
		t.Errorf("%+v", f)
	}
	if f := mustFacts(t, b); len(f) != 2 {
		t.Errorf("%+v", f)
	}
	if err := a.ChangeSide(ctx, "access", func(string) (string, []string, error) { return "ann's", []string{"ann"}, nil }); err != nil {
		t.Fatal(err)
	}
	if v, _, err := b.Side(ctx, "access"); err != nil || v != "" {
		t.Errorf("%q, %v", v, err)
	}
	if l, err := b.Trail(ctx, 10); err != nil || len(l) != 0 {
		t.Errorf("%v, %v", l, err)
	}
	var path string
	if err := a.db.QueryRowContext(ctx, "SHOW search_path").Scan(&path); err != nil || path != ann.Place {
		t.Errorf("it looks into %q, %v", path, err)
	}
	if _, err := a.db.ExecContext(ctx, "SELECT * FROM larder_keeper"); err == nil {
		t.Error("a keeper's connection finds the list of keepers")
	}
	for _, place := range []string{"", "public", "larder_k_", "larder_k_0123456789abcde'", "larder_k_0123456789abcdeg", ann.Place + "0", ann.Place + ",public"} {
		if x, err := k.Open(ctx, place); err == nil {
			x.Close()
			t.Errorf("%q is opened", place)
		}
	}
	// Shut out and let in.
	for _, shut := range []bool{true, false} {
		if _, err := k.Shut(ctx, "bob", shut, now); err != nil {
			t.Fatal(err)
		}
		if x, err := k.Placed(ctx, bob.Place); err != nil || x.Closed.IsZero() == shut {
			t.Errorf("%+v, %v", x, err)
		}
	}
	for _, name := range []string{"nobody", "", "\x00", "\xff", "'; DROP TABLE larder_keeper; --"} {
		if _, err := k.Named(ctx, name); !fault.Is(err, fault.NotFound) {
			t.Errorf("%q: %v", name, err)
		}
	}
	if l, err := k.List(ctx); err != nil || len(l) != 2 || l[0].Name != "Ann Lee" {
		t.Errorf("%v, %v", l, err)
	}
}
