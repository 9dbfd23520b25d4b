package season_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// toMix adds up the batches of a plan.
func toMix(p *season.Planned) (litres float64) {
	for _, b := range p.Batches {
		litres += b.Syrup.L()
	}
	return litres
}

func batchOf(id string, litres float64, s units.Strength) ledger.Batch {
	return ledger.Batch{ID: id, Volume: units.In(units.Volume(litres)), Strength: s}
}

func givenTo(colony string, litres float64, batch string) ledger.Given {
	return ledger.Given{Colony: colony, Feed: ledger.Syrup, Volume: units.In(units.Volume(litres)), Batch: batch}
}

// TestBatchWrittenDownIsNotMixedAgain: of what the plan asked to be mixed, what was
// mixed and written down is not asked for a second time, with a plan out or not.
func TestBatchWrittenDownIsNotMixedAgain(t *testing.T) {
	for _, out := range []bool{false, true} {
		s := newSmall(t)
		if out {
			s.takeOut(t, 4)
		}
		before := s.plan(t, 4)
		want := toMix(&before)
		if want < 20 {
			t.Fatalf("only %.1f L are to be mixed: nothing to try it on", want)
		}
		s.add(4, batchOf("b26-01", 15, 2.0/3))
		after := s.plan(t, 4)
		if got := toMix(&after); math.Abs(got-(want-15)) > 1e-6 {
			t.Errorf("plan out %v: %.2f L were to be mixed, 15 L are mixed, and %.2f L are asked for", out, want, got)
		}
		if math.Abs(after.Totals.Sugar.Kg()/before.Totals.Sugar.Kg()-(want-15)/want) > 1e-6 || after.Totals.Syrup != before.Totals.Syrup {
			t.Errorf("plan out %v: sugar %v, then %v; syrup given %v, then %v", out, before.Totals.Sugar, after.Totals.Sugar, before.Totals.Syrup, after.Totals.Syrup)
		}
		if !reason(after.Reasons, "mixed-batch") {
			t.Errorf("plan out %v: nothing says that a batch is mixed already: %+v", out, after.Reasons)
		}
		s.add(4, batchOf("b26-02", want, 2.0/3)) // more than is needed
		if all := s.plan(t, 4); len(all.Batches) != 0 || all.Totals.Sugar != 0 {
			t.Errorf("plan out %v: all of it is mixed, and %+v are asked for", out, all.Batches)
		}
	}
}

// TestMixedStore works out by hand what is there.
func TestMixedStore(t *testing.T) {
	const two = units.Strength(2.0 / 3)
	hand := func(v string) season.Setting { return season.Setting{Key: "kitchen.on_hand", Value: v} }
	for _, c := range []struct {
		name  string
		facts []any // day, fact
		want  float64
		codes string
	}{
		{"nothing told", nil, 0, ""},
		{"a batch", []any{4, batchOf("b1", 100, two)}, 100, "mixed-batch"},
		{"less what was given of it, and given without saying of which", []any{4, batchOf("b1", 100, two), 5, givenTo("m1", 8, "b1"), 5, givenTo("m2", 4, "")}, 88, "mixed-batch"},
		{"less what was spilt", []any{4, batchOf("b1", 100, two), 5, ledger.Handled{What: ledger.Spilt, Batch: "b1", Volume: units.In(units.Volume(10))}}, 90, "mixed-batch"},
		{"counted", []any{4, batchOf("b1", 100, two), 5, ledger.Handled{What: ledger.Counted, Batch: "b1", Volume: units.In(units.Volume(42))}}, 42, "mixed-batch"},
		{"given before anything was written down as mixed", []any{3, givenTo("m1", 50, ""), 4, batchOf("b1", 100, two)}, 100, "mixed-batch"},
		{"all given", []any{4, batchOf("b1", 10, two), 5, givenTo("m1", 12, "b1")}, 0, ""},
		{"more of one batch than there was takes nothing of another", []any{4, batchOf("b1", 10, two), 4, batchOf("b2", 10, two), 5, givenTo("m1", 15, "b1")}, 10, "mixed-batch"},
		{"of another strength", []any{4, batchOf("b1", 100, 0.5)}, 0, "mixed-strength"},
		{"half a percent off", []any{4, batchOf("b1", 100, two-0.005)}, 100, "mixed-batch"},
		{"25 days old: thick syrup keeps 14 to 21 (sucrose evidence, keeping)", []any{-15, batchOf("b1", 100, two)}, 0, "mixed-old"},
		{"three weeks old", []any{-11, batchOf("b1", 100, two)}, 100, "mixed-batch"},
		{"his own figure", []any{4, hand("60 L")}, 60, "mixed-told"},
		{"his figure, less later gifts", []any{4, hand("60 L"), 5, givenTo("m1", 8, "")}, 52, "mixed-told"},
		{"his figure, and a later batch", []any{4, hand("60 L"), 5, batchOf("b1", 100, two)}, 160, "mixed-told mixed-batch"},
		{"his figure after the batch holds the batch", []any{4, batchOf("b1", 100, two), 5, hand("60 L")}, 60, "mixed-told mixed-before"},
		{"and what is given of that batch goes of it", []any{4, batchOf("b1", 100, two), 5, hand("60 L"), 6, givenTo("m1", 8, "b1")}, 52, "mixed-told mixed-before"},
		{"a count of that batch changes it by what it differs", []any{4, batchOf("b1", 100, two), 5, hand("120 L"), 6, ledger.Handled{What: ledger.Counted, Batch: "b1", Volume: units.In(units.Volume(90))}}, 110, "mixed-told mixed-before"},
		{"upwards too", []any{4, batchOf("b1", 100, two), 5, hand("120 L"), 6, ledger.Handled{What: ledger.Counted, Batch: "b1", Volume: units.In(units.Volume(105))}}, 125, "mixed-told mixed-before"},
		{"gifts before it are in it", []any{4, givenTo("m1", 8, ""), 5, hand("60 L")}, 60, "mixed-told"},
		{"more given than he told: the later batch is whole", []any{4, hand("10 L"), 5, givenTo("m1", 8, ""), 6, givenTo("m1", 8, ""), 7, batchOf("b1", 100, two)}, 100, "mixed-told-gone mixed-batch"},
		{"none, he says, after the batch", []any{4, batchOf("b1", 100, two), 5, hand("0 L")}, 0, "mixed-before"},
		{"taken back", []any{4, batchOf("b1", 100, two), 5, hand("0 L"), 6, season.Setting{Key: "kitchen.on_hand"}}, 100, "mixed-batch"},
	} {
		s := newSmall(t)
		for i := 0; i < len(c.facts); i += 2 {
			s.add(c.facts[i].(int), c.facts[i+1])
		}
		now := units.OnDay(day(10))
		m := s.journal(t).AsOf(now).MixedStore(now)
		var codes []string
		for _, w := range m.Why {
			codes = append(codes, w.Code)
		}
		if math.Abs(m.Counts.L()-c.want) > 1e-6 || strings.Join(codes, " ") != c.codes {
			t.Errorf("%s: %v counts, want %v L; it says %s, want %s", c.name, m.Counts, c.want, strings.Join(codes, " "), c.codes)
		}
	}
}

// TestMixedStoreOnOneDay: on one day the hour decides what his figure holds.
func TestMixedStoreOnOneDay(t *testing.T) {
	hour := func(h int) units.Moment {
		return units.At(time.Date(2026, time.September, 5, h, 0, 0, 0, time.UTC))
	}
	s := newSmall(t)
	add := func(h int, body any) {
		s.add(5, body)
		f := &s.facts[len(s.facts)-1]
		f.Seen, f.Made = hour(h), hour(h)
	}
	add(8, batchOf("b1", 100, 2.0/3))
	add(10, season.Setting{Key: "kitchen.on_hand", Value: "60 L"})
	add(12, batchOf("b2", 50, 2.0/3))
	add(14, givenTo("m1", 5, ""))
	now := hour(20)
	if m := s.journal(t).AsOf(now).MixedStore(now); math.Abs(m.Counts.L()-105) > 1e-6 {
		t.Errorf("60 L at ten, 50 L mixed at noon and 5 L given make 105 L, not %v", m.Counts)
	}
	// In one minute, what was written down first was so first.
	add(16, season.Setting{Key: "kitchen.on_hand", Value: "10 L"})
	add(16, batchOf("b3", 7, 2.0/3))
	if m := s.journal(t).AsOf(now).MixedStore(now); math.Abs(m.Counts.L()-17) > 1e-6 {
		t.Errorf("10 L told and then 7 L mixed in one minute are not %v", m.Counts)
	}
	if m := s.journal(t).AsOf(hour(9)).MixedStore(hour(9)); math.Abs(m.Counts.L()-100) > 1e-6 {
		t.Errorf("at nine there were 100 L, not %v", m.Counts)
	}
}

// TestSyrupFetchedElsewhereIsNotOfHome: what is given of a tank that was filled away
// from home is not taken from what stands at home.
func TestSyrupFetchedElsewhereIsNotOfHome(t *testing.T) {
	s := away(t, nil)
	s.add(3, batchOf("b26-01", 20, 2.0/3))
	id, doc := s.takeOut(t, 4)
	home, there := 0.0, 0.0
	for _, l := range doc.Loads {
		for _, st := range l.Stops {
			for _, f := range st.Fills {
				g := givenTo(f.Colony, f.FillL, "")
				g.Plan = season.OnPlan(id, l.N)
				s.add(6, g)
				if l.From == "" {
					home += f.FillL
				} else {
					there += f.FillL
				}
			}
		}
	}
	now := units.OnDay(day(7))
	if there == 0 {
		t.Fatal("no load is filled elsewhere")
	}
	if m := s.journal(t).AsOf(now).MixedStore(now); math.Abs(m.Counts.L()-math.Max(0, 20-home)) > 1e-6 {
		t.Errorf("of 20 L at home %.2f L were given, and %.2f L fetched elsewhere: %v count", home, there, m.Counts)
	}
}

// TestSupposedMixedStore: a figure that is only tried out holds as it stands.
func TestSupposedMixedStore(t *testing.T) {
	s := newSmall(t)
	s.add(4, batchOf("b1", 100, 2.0/3))
	now := units.OnDay(day(5))
	st, err := s.journal(t).AsOf(now).SupposeSettings(season.Setting{Key: "kitchen.on_hand", Value: "30 L"})
	if err != nil {
		t.Fatal(err)
	}
	if m := st.MixedStore(now); m.Counts != 30 {
		t.Errorf("%v, not 30 L", m.Counts)
	}
}
