package cli

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/units"
)

func backupsAt(ages ...time.Duration) (all []shelved, now time.Time) {
	now = time.Date(2026, 11, 29, 20, 0, 0, 0, time.UTC)
	for _, age := range ages {
		at := now.Add(-age)
		all = append(all, shelved{at.Format(backupStamp), at})
	}
	slices.SortFunc(all, func(a, b shelved) int { return a.at.Compare(b.at) })
	return all, now
}

// The rule of keeping, against a plain reading of it: of years with two backups a
// day, so many are left in each span of age, and a second pass takes no more.
func TestBackupsAreKeptByAge(t *testing.T) {
	var ages []time.Duration
	for d := range time.Duration(1500) {
		ages = append(ages, d*24*time.Hour+2*time.Hour, d*24*time.Hour+10*time.Hour)
	}
	all, now := backupsAt(ages...)
	gone := map[string]bool{}
	for _, b := range tooMany(all, now) {
		gone[b.name] = true
	}
	var left []shelved
	for _, b := range all {
		if !gone[b.name] {
			left = append(left, b)
		}
	}
	// 2 days of all, 12 days of one, some 7 weeks, 22 months, 3 years: a span cut
	// by a border may count on both sides of it.
	for _, c := range []struct {
		from, to time.Duration
		low, top int
	}{{0, keepAll, 4, 4}, {keepAll, keepDays, 12, 13}, {keepDays, keepWeeks, 6, 8}, {keepWeeks, keepMonths, 22, 24}, {keepMonths, 1 << 62, 2, 4}} {
		got := 0
		for _, b := range left {
			if age := now.Sub(b.at); age >= c.from && age < c.to {
				got++
			}
		}
		if got < c.low || got > c.top {
			t.Errorf("%d left between %v and %v, want %d to %d", got, c.from, c.to, c.low, c.top)
		}
	}
	if len(tooMany(left, now)) != 0 {
		t.Error("a second pass takes more away")
	}
}

func TestKeepingNeverTakesTheNewest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Two of one second would have one name.
		var ages []time.Duration
		for _, s := range rapid.SliceOfNDistinct(rapid.IntRange(-800*86400, 4000*86400), 1, 60, rapid.ID).Draw(t, "seconds") {
			ages = append(ages, time.Duration(s)*time.Second)
		}
		all, now := backupsAt(ages...)
		for _, b := range tooMany(all, now) {
			if b == all[len(all)-1] || now.Sub(b.at) < keepAll {
				t.Fatalf("%v was taken away", b.at)
			}
		}
	})
}

func TestBackupOfTheDay(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	facts, _, err := exampleFacts()
	if err != nil {
		t.Fatal(err)
	}
	b, err := sqlite.Open(filepath.Join(dir, "my.larder"), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if err := b.Append(ctx, facts...); err != nil {
		t.Fatal(err)
	}
	now := make(chan time.Time, 1) // the clock, read by one at a time
	now <- time.Date(2026, 3, 1, 8, 0, 0, 0, time.Local)
	clock := func() time.Time { v := <-now; now <- v; return v }
	s := &shelf{dir: filepath.Join(dir, "away", "safe"), book: opened(b), now: clock, everyDay: true}
	if l := s.Last(); !l.At.IsZero() || l.Err != nil || !s.due() {
		t.Errorf("%+v", l)
	}

	// One at the start, none more that day, the next on the day after; and a clock
	// that was set back does not put it off.
	run, stop := context.WithCancel(ctx)
	tick, looked := make(chan time.Time), make(chan struct{})
	var told []error
	go func() { defer close(looked); s.daily(run, tick, func(err error) { told = append(told, err) }) }()
	step := func(d time.Duration) int {
		now <- (<-now).Add(d)
		tick <- time.Time{}
		tick <- time.Time{} // taken when the one before is done with
		all, err := onShelf(s.dir)
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	for _, c := range []struct {
		later time.Duration
		want  int
	}{{0, 1}, {23 * time.Hour, 1}, {time.Hour, 2}, {-60 * 24 * time.Hour, 3}, {time.Hour, 3}} {
		if n := step(c.later); n != c.want {
			t.Fatalf("%v later there are %d backups, want %d", c.later, n, c.want)
		}
	}
	stop()
	<-looked
	if len(told) > 0 {
		t.Error(told)
	}

	// What lies there makes the same book.
	all, err := onShelf(s.dir)
	if err != nil {
		t.Fatal(err)
	}
	want, err := b.Verify(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for i, one := range all {
		to := filepath.Join(dir, "again-"+one.name)
		done, err := sqlite.Restore(ctx, filepath.Join(s.dir, one.name), to, sqlite.RestoreOptions{})
		if err != nil || done.Report.Digest != want.Digest {
			t.Errorf("backup %d: %v %s, want %s", i, err, done.Report.Digest, want.Digest)
		}
	}
}

// otherBook is a book of another engine.
type otherBook struct{ facts []season.Fact }

func (o otherBook) Append(context.Context, ...season.Fact) error { return errors.ErrUnsupported }
func (o otherBook) Facts(context.Context, units.Moment) ([]season.Fact, error) {
	return o.facts, nil
}
func (o otherBook) Close() error { return nil }

// A book of another engine goes into a file of the same kind.
func TestBackupOfAnotherEngine(t *testing.T) {
	ctx := context.Background()
	j, err := exampleSeason()
	if err != nil {
		t.Fatal(err)
	}
	facts := j.Facts(units.Moment{})
	dir := t.TempDir()
	s := &shelf{dir: dir, book: opened(otherBook{facts}), now: time.Now}
	where, err := s.Make(ctx)
	if err != nil {
		t.Fatal(err)
	}
	done, err := sqlite.Restore(ctx, where, filepath.Join(dir, "book.larder"), sqlite.RestoreOptions{})
	if err != nil || done.Report.Digest != season.Digest(facts) {
		t.Errorf("%v", err)
	}
	if left, _ := filepath.Glob(where + ".*"); len(left) > 0 {
		t.Errorf("%v is left", left)
	}
}

func TestBackupSaysWhatFailed(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(dir, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s := &shelf{dir: dir, book: opened(otherBook{}), now: time.Now}
	if _, err := s.Make(context.Background()); !fault.Is(err, fault.NoRoom) {
		t.Errorf("%v", err)
	}
	if l := s.Last(); l.Err == nil || !s.due() {
		t.Errorf("%+v", l)
	}
}
