package stores_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"larder/internal/stores"
	"larder/internal/units"

	"pgregory.net/rapid"
)

var first = time.Date(2026, time.October, 1, 0, 0, 0, 0, time.FixedZone("", 2*3600))

// trace makes a scale's points every two hours from 1 October: 45 kg, 40 g
// eaten a day, forty grams of noise, and what change adds by the hour.
func trace(days int, change func(hour int) float64) []stores.Point {
	r := rand.New(rand.NewPCG(1, 2))
	var out []stores.Point
	for h := 0; h < 24*days; h += 2 {
		m := 45 - 0.040*float64(h)/24 + 0.04*r.NormFloat64() + change(h)
		out = append(out, stores.Point{At: units.At(first.Add(time.Duration(h) * time.Hour)), Mass: units.Mass(m)})
	}
	return out
}

func flat(int) float64 { return 0 }

func TestDailyValues(t *testing.T) {
	s := stores.Daily(trace(20, flat), figs)
	if len(s.Days) != 20 || len(s.Jumps) != 0 || len(s.Gaps) != 0 || len(s.Thrown) != 0 {
		t.Fatalf("%d days, jumps %v, gaps %v, thrown %v", len(s.Days), s.Jumps, s.Gaps, s.Thrown)
	}
	for i, d := range s.Days {
		near(t, d.Day.String(), d.Mass.Kg(), 45-0.04*(float64(i)+0.1), 0.08)
		if d.N != 3 || d.SD < 0.2 || d.SD > 0.3 {
			t.Errorf("%v: %d points, spread %v", d.Day, d.N, d.SD)
		}
	}
	c := s.Change(s.Days[0].Day, s.Days[19].Day)
	near(t, "eaten in 19 days", -c.Mean, 0.04*19, 0.1)
	near(t, "its spread: the scale's alone", c.SD, 0.2*math.Sqrt2, 0.03)
}

func TestFeedAndStoneAreNotForage(t *testing.T) {
	// At ten on day 5 eight kilograms of syrup; at two on day 9 a stone of 3 kg is
	// taken off.
	s := stores.Daily(trace(20, func(h int) float64 {
		x := 0.0
		if h >= 5*24+10 {
			x += 8
		}
		if h >= 9*24+14 {
			x -= 3
		}
		return x
	}), figs)
	if len(s.Jumps) != 2 || len(s.Thrown) != 0 {
		t.Fatalf("jumps %v, thrown %v", s.Jumps, s.Thrown)
	}
	near(t, "fed", s.Jumps[0].Change.Kg(), 8, 0.3)
	near(t, "stone", s.Jumps[1].Change.Kg(), -3, 0.3)
	if got := s.Jumps[0].To.Day(); got != units.DayOf(2026, time.October, 6) {
		t.Error(got)
	}
	near(t, "the day of the feed stands after it", s.Days[5].Mass.Kg(), 45-0.04*5.6+8, 0.1)
	near(t, "eaten in 19 days", -s.Change(s.Days[0].Day, s.Days[19].Day).Mean, 0.04*19, 0.4)
}

func TestSpikesAndGaps(t *testing.T) {
	pts := trace(12, func(h int) float64 {
		if h == 3*24+2 { // the keeper leans on it at night
			return 40
		}
		return 0
	})
	var kept []stores.Point
	for _, p := range pts {
		if d := p.At.Day() - units.DayOf(2026, time.October, 1); d < 6 || d > 8 {
			kept = append(kept, p)
		}
	}
	kept = append(kept, stores.Point{At: pts[0].At, Mass: units.Mass(math.NaN())}, stores.Point{Mass: 45})
	s := stores.Daily(kept, figs)
	if len(s.Thrown) != 1 || len(s.Jumps) != 0 || len(s.Days) != 9 {
		t.Fatalf("thrown %v, jumps %v, %d days", s.Thrown, s.Jumps, len(s.Days))
	}
	near(t, "the day it was leant on", s.Days[3].Mass.Kg(), 45-0.04*3.1, 0.1)
	if len(s.Gaps) != 1 || s.Gaps[0].From != units.DayOf(2026, time.October, 6) || s.Gaps[0].To != units.DayOf(2026, time.October, 10) {
		t.Fatal(s.Gaps)
	}
	if c := s.Change(s.Gaps[0].From, s.Gaps[0].To); c.Known {
		t.Errorf("a change over a gap was taken for known: %v", c)
	}
	if c := s.Change(s.Days[0].Day, s.Gaps[0].From); !c.Known {
		t.Error("a change before the gap is not known")
	}
	if c := s.Change(s.Days[3].Day, s.Days[0].Day); c.Known {
		t.Error("a change backwards is known")
	}
	if s := stores.Daily(nil, figs); len(s.Days) != 0 {
		t.Error(s)
	}
}

// The order of rows in a file of the scale's does not matter.
func TestOrderOfPointsDoesNotMatter(t *testing.T) {
	pts := trace(6, func(h int) float64 { return 5 * float64(h/70) })
	want := stores.Daily(pts, figs)
	rapid.Check(t, func(t *rapid.T) {
		got := stores.Daily(rapid.Permutation(pts).Draw(t, "points"), figs)
		if len(got.Days) != len(want.Days) || len(got.Jumps) != len(want.Jumps) {
			t.Fatalf("%v, want %v", got, want)
		}
		for i := range got.Days {
			if got.Days[i] != want.Days[i] {
				t.Fatalf("%v, want %v", got.Days[i], want.Days[i])
			}
		}
	})
}
