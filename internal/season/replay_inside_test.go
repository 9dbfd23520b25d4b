package season

import (
	"slices"
	"testing"

	"larder/internal/feeding"
	"larder/internal/units"
	"larder/internal/weather"
	"pgregory.net/rapid"
)

// forward tells whether so many rounds, the first on day t, are taken by the
// stop day: each full, the rest last, each on the first good day on which the
// feeder is empty.
func forward(s *weather.Scenario, start units.Day, t, rounds int, give, feeder, uptake units.Volume) bool {
	in := units.Volume(0)
	for d := t; d < len(s.Feed) && start+units.Day(d) <= s.Stop; d++ {
		if s.Feed[d] && in <= crumb && rounds > 0 {
			in = min(give, feeder)
			if rounds--; rounds == 0 {
				in = give
			}
			give -= in
		}
		in = max(0, in-uptake*units.Volume(s.Factor[d]))
		if rounds == 0 && in <= crumb {
			return true
		}
	}
	return false
}

// TestLatestStart: found from the end, the last day to begin is the last good
// day from which playing forward works, and from no later day it does.
func TestLatestStart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "days")
		start := units.Day(17000)
		s := weather.Scenario{Feed: make([]bool, n), Factor: make([]float64, n)}
		s.Stop = start + units.Day(rapid.IntRange(-2, n+3).Draw(t, "stop"))
		for i := range n {
			s.Feed[i] = rapid.Bool().Draw(t, "good")
			s.Factor[i] = float64(rapid.IntRange(0, 4).Draw(t, "factor")) / 4
		}
		// Quarters of a litre throughout, so that no sum depends on its order.
		feeder := units.Volume(rapid.IntRange(1, 12).Draw(t, "feeder")) / 4
		give := units.Volume(rapid.IntRange(1, 60).Draw(t, "give")) / 4
		uptake := units.Volume(rapid.IntRange(1, 6).Draw(t, "uptake")) / 2
		rounds := roundsOf(give, feeder)
		want := -1
		for d := range n {
			if s.Feed[d] && forward(&s, start, d, rounds, give, feeder, uptake) {
				want = d
			}
		}
		if got := latestStart(&s, start, rounds, give, feeder, uptake); got != want {
			t.Errorf("%d, playing forward %d", got, want)
		}
	})
}

// TestPlayByHand: two fills of 4 L into a feeder of 4 L, 1 L a day.
func TestPlayByHand(t *testing.T) {
	const start = units.Day(17000)
	plan := func() *replayHive {
		h := &replayHive{need: 8, means: 8, feeder: 4, uptake: 1, risk: 0.5, fills: make([]units.Volume, 20)}
		h.fills[0], h.fills[5] = 4, 4
		return h
	}
	all := func(v bool) []bool {
		out := make([]bool, 20)
		for i := range out {
			out[i] = v
		}
		return out
	}
	warm := func() []float64 {
		out := make([]float64, 20)
		for i := range out {
			out[i] = 1
		}
		return out
	}
	without := func(days ...int) []bool {
		out := all(true)
		for _, d := range days {
			out[d] = false
		}
		return out
	}
	cool := warm()
	cool[1], cool[2] = 0, 0
	for _, c := range []struct {
		what   string
		feed   []bool
		factor []float64
		stop   int
		short  units.Volume
		last   int
		kept   bool
	}{
		{"as planned: 4 L on day 0, gone after day 3, 4 L on day 5, gone after day 8", all(true), warm(), 8, 0, 5, true},
		{"a day less: one litre is left in the feeder", all(true), warm(), 7, 1, 5, false},
		{"rain on day 5: the truck is not out again, so on day 6, gone after day 9", without(5), warm(), 9, 0, 6, true},
		{"rain on day 0: both wait for day 5, where 4 L go in; day 9 takes the rest, gone after day 12", without(0), warm(), 12, 0, 9, true},
		{"the same, stopped before", without(0), warm(), 8, 4, 5, false},
		{"nothing is taken on days 1 and 2: 1 L in the feeder on day 5, 3 L go in, 1 L waits until it is room for on day 6", all(true), cool, 10, 0, 6, true},
		{"no good day at all", all(false), warm(), 19, 8, -1, false},
		{"the stop day is past", all(true), warm(), -1, 8, -1, false},
	} {
		r := replay{p: &Planned{}, days: 20, out: make([]bool, 20), last: start + 5}
		r.p.Start = start
		r.out[0], r.out[5] = true, true
		s := weather.Scenario{Feed: c.feed, Factor: c.factor}
		s.Stop = start + units.Day(c.stop)
		var y ReplayedYear
		kept := r.play([]*replayHive{plan()}, &s, &y)
		last := -1
		if y.Last != 0 {
			last = int(y.Last - start)
		}
		if diff := y.Short - c.short; diff > 1e-9 || diff < -1e-9 || y.Weighted != y.Short/2 || last != c.last || kept != c.kept || (y.Colonies == 1) != (c.short > 0) {
			t.Errorf("%s: %+v, kept %v, last on day %d; want %v, %v, %d", c.what, y, kept, last, c.short, c.kept, c.last)
		}
	}
}

// TestReplayDaysOff: no round is driven on a day off, nor where no truck may go
// out; the weather itself stays, for every place that shares it.
func TestReplayDaysOff(t *testing.T) {
	r := replay{days: 4, p: &Planned{}}
	r.p.Problem.Crew.Day = []feeding.CrewDay{{}, {Off: true}}
	r.p.Problem.Rigs = []feeding.Rig{{Out: []bool{true, true, false, true}}, {Out: []bool{true}}}
	all := []weather.Scenario{{Feed: []bool{true, true, true, false}}}
	got := r.worked(all)
	if want := []bool{true, false, false, false}; !slices.Equal(got[0].Feed, want) {
		t.Errorf("%v, want %v", got[0].Feed, want)
	}
	if !all[0].Feed[1] {
		t.Error("changed what others share")
	}
	r.p.Problem.Rigs = append(r.p.Problem.Rigs, feeding.Rig{})
	if got := r.worked(all)[0].Feed; !got[2] {
		t.Errorf("a truck may go out every day, yet %v", got)
	}
}
