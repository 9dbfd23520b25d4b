package synthscale

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
)

var figs = figure.NewSet(stores.Figures())

var usual = Options{Seed: 1, From: units.DayOf(2026, time.September, 1), Days: 90, Start: 45, Use: 0.06, Wave: 0.3, Noise: 0.05}

func with(change func(*Options)) Options { o := usual; change(&o); return o }

func TestSameSeedSameTrace(t *testing.T) {
	o := with(func(o *Options) { o.Feeds, o.FeedKg, o.Gaps, o.GapDays, o.Wild, o.WildKg = 4, 5, 2, 3, 2, 9 })
	a, ta := Make(o)
	b, tb := Make(o)
	if !reflect.DeepEqual(a, b) || !reflect.DeepEqual(ta, tb) {
		t.Error("one seed, two traces")
	}
	o.Seed = 2
	if c, _ := Make(o); reflect.DeepEqual(a, c) {
		t.Error("two seeds, one trace")
	}
}

// Drift and daily wave alone: the day's value is the night's, and what was eaten
// comes out.
func TestDailyReadsADrift(t *testing.T) {
	points, truth := Make(usual)
	s := stores.Daily(points, figs)
	if len(s.Days) != 90 || len(s.Jumps) != 0 || len(s.Gaps) != 0 || len(s.Thrown) != 0 {
		t.Fatalf("%d days, %d jumps, %d gaps, %d thrown", len(s.Days), len(s.Jumps), len(s.Gaps), len(s.Thrown))
	}
	for i, d := range s.Days {
		// The median of midnight to six stands for three in the morning.
		if want := truth.Hive[i] - 0.06*2.5/24; math.Abs(d.Mass.Kg()-want) > 0.12 {
			t.Errorf("%s: %.3f kg, truly %.3f", d.Day, d.Mass.Kg(), want)
		}
	}
	from, to := usual.From, usual.From+89
	if c := s.Change(from, to); !c.Known || math.Abs(c.Mean+0.06*89) > 3*c.SD || c.SD > 0.5 {
		t.Errorf("eaten %.2f ± %.2f, truly %.2f", -c.Mean, c.SD, 0.06*89)
	}
}

// Feeding steps and jumps of the empty weight are found, each at its own hour,
// and what the hive lost between does not hold them.
func TestDailyFindsStepsAndJumps(t *testing.T) {
	for seed := range uint64(20) {
		o := with(func(o *Options) {
			o.Seed, o.Feeds, o.FeedKg, o.Ripens, o.Jumps, o.JumpKg = seed, 4, 5, 0.2, 4, 3
		})
		points, truth := Make(o)
		s := stores.Daily(points, figs)
		made := append(append([]Change(nil), truth.Feeds...), truth.Jumps...)
		if len(truth.Feeds) != 4 || len(truth.Jumps) != 4 || len(s.Jumps) != len(made) {
			t.Fatalf("seed %d: %d feeds and %d jumps made, %d found", seed, len(truth.Feeds), len(truth.Jumps), len(s.Jumps))
		}
		for _, m := range made {
			found := false
			for _, j := range s.Jumps {
				found = found || j.To == m.At && math.Abs(j.Change.Kg()-m.Kg) < 0.35
			}
			if !found {
				t.Errorf("seed %d: the change of %g kg at %s is not found", seed, m.Kg, m.At)
			}
		}
		last := o.Days - 1
		c := s.Change(o.From, o.From+units.Day(last))
		want := truth.Stores[last] - truth.Stores[0]
		// Each jump is read off two points with wave and noise on them.
		if tol := 3*c.SD + 8*0.12; !c.Known || math.Abs(c.Mean-want) > tol {
			t.Errorf("seed %d: lost %.2f, truly %.2f", seed, -c.Mean, -want)
		}
	}
}

// A wild point is thrown, no jump and no day is made of it.
func TestDailyThrowsWildPoints(t *testing.T) {
	for seed := range uint64(20) {
		o := with(func(o *Options) { o.Seed, o.Wild, o.WildKg = seed, 6, 12 })
		points, truth := Make(o)
		s := stores.Daily(points, figs)
		if len(s.Thrown) != len(truth.Wild) || len(truth.Wild) != 6 || len(s.Jumps) != 0 {
			t.Fatalf("seed %d: %d wild, %d thrown, %d jumps", seed, len(truth.Wild), len(s.Thrown), len(s.Jumps))
		}
		for i, d := range s.Days {
			if math.Abs(d.Mass.Kg()-truth.Hive[i]) > 0.15 {
				t.Errorf("seed %d, %s: %.3f kg, truly %.3f", seed, d.Day, d.Mass.Kg(), truth.Hive[i])
			}
		}
	}
}

// Gaps are told, and nothing is told across them.
func TestDailyTellsGaps(t *testing.T) {
	o := with(func(o *Options) { o.Gaps, o.GapDays = 3, 4 })
	points, truth := Make(o)
	s := stores.Daily(points, figs)
	if len(truth.Gaps) != 3 || len(s.Gaps) != 3 || len(s.Days) != 90-12 {
		t.Fatalf("%d gaps made, %d found, %d days", len(truth.Gaps), len(s.Gaps), len(s.Days))
	}
	for i, g := range s.Gaps {
		if g.From != truth.Gaps[i][0]-1 || g.To != truth.Gaps[i][1]+1 {
			t.Errorf("gap %s to %s, truly without points %s to %s", g.From, g.To, truth.Gaps[i][0], truth.Gaps[i][1])
		}
		if s.Change(g.From, g.To).Known {
			t.Error("a change over a gap is known")
		}
	}
}

// Wet wood is what a scale alone cannot tell from stores: the day after rain
// reads too heavy by about what soaked in, and it dries away. This holds the
// size of that mistake, and that it ends.
func TestWetWoodFoolsAScale(t *testing.T) {
	o := with(func(o *Options) { o.Rains, o.RainKg = 3, 1.5 })
	points, truth := Make(o)
	s := stores.Daily(points, figs)
	if len(truth.Rains) != 3 || len(s.Jumps) != 0 {
		t.Fatalf("%d rains, %d jumps", len(truth.Rains), len(s.Jumps))
	}
	for i, d := range s.Days {
		over := d.Mass.Kg() - truth.Hive[i]
		since := units.Day(1000)
		for _, r := range truth.Rains {
			if d.Day > r && d.Day-r < since {
				since = d.Day - r
			}
		}
		switch {
		case since == 1 && (over < 0.8 || over > 2):
			t.Errorf("%s, the day after rain: %.2f kg too heavy", d.Day, over)
		case since > 14 && since < 1000 && math.Abs(over) > 0.15:
			t.Errorf("%s, %d days after rain: %.2f kg off", d.Day, since, over)
		}
	}
}

// All of it at once, points shuffled, thinned to four a day: still a value for
// every day there are points of, and the same whatever the order.
func TestDailyOnAllTroubles(t *testing.T) {
	for seed := range uint64(20) {
		o := with(func(o *Options) {
			o.Seed, o.Every = seed, 360
			o.Feeds, o.FeedKg, o.Ripens, o.Jumps, o.JumpKg, o.Gaps, o.GapDays, o.Rains, o.RainKg, o.Wild, o.WildKg = 3, 6, 0.2, 2, 4, 2, 3, 2, 1, 2, 15
		})
		points, _ := Make(o)
		a := stores.Daily(points, figs)
		if len(a.Days) != 90-6 {
			t.Errorf("seed %d: %d days", seed, len(a.Days))
		}
		src := rand.New(rand.NewPCG(seed, 9))
		src.Shuffle(len(points), func(i, j int) { points[i], points[j] = points[j], points[i] })
		if b := stores.Daily(points, figs); !reflect.DeepEqual(a, b) {
			t.Errorf("seed %d: the order of points matters", seed)
		}
		for _, d := range a.Days {
			if math.IsNaN(d.Mass.Kg()) || d.SD <= 0 || d.N < 1 {
				t.Errorf("seed %d: %+v", seed, d)
			}
		}
	}
}
