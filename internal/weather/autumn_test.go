package weather

import (
	"testing"

	"pgregory.net/rapid"

	"larder/internal/units"
)

// naiveFirstCold is the rule read out slowly: for each date, add up its ten
// days afresh.
func naiveFirstCold(a autumn, h highs) (int, outcome) {
	for i := a.win - 1; i < a.n; i++ {
		var sum, known int64
		for j := i - a.win + 1; j <= i; j++ {
			if h.known[j] {
				sum += h.t[j]
				known++
			}
		}
		if known < int64(a.need) {
			return i, gap
		}
		if h.known[i] && sum < known*a.limit {
			return i, found
		}
	}
	return a.n, never
}

func TestFirstColdAgainstSlow(t *testing.T) {
	a := makeAutumn(2026, false, published())
	rapid.Check(t, func(rt *rapid.T) {
		h := highs{t: make([]int64, a.n), known: make([]bool, a.n)}
		base := rapid.IntRange(10000, 20000).Draw(rt, "base")
		holes := rapid.IntRange(0, 3).Draw(rt, "holes in ten")
		noise := rapid.SliceOfN(rapid.IntRange(-60, 60), a.n, a.n).Draw(rt, "noise")
		luck := rapid.SliceOfN(rapid.IntRange(0, 9), a.n, a.n).Draw(rt, "luck")
		for i := range h.t {
			h.t[i], h.known[i] = int64(base-40*i+100*noise[i]), luck[i] >= holes
		}
		i, what := a.firstCold(h)
		j, slow := naiveFirstCold(a, h)
		if i != j || what != slow {
			rt.Fatalf("fast %d %v, slow %d %v", i, what, j, slow)
		}
	})
}

func TestFirstColdRealYears(t *testing.T) {
	all := cities(t)
	rows := tableOf(t, "first_cold.csv")
	for _, r := range rows {
		s, season := all[r[0]], int(num(t, r[1]))
		set := mustWith(t, published(), keyStopMean, num(t, r[2]))
		got, ok := FirstCold(s, season, false, set)
		if ok != (r[3] != "") || ok && got.String() != r[3] {
			t.Errorf("%v: got %v %v", r, got, ok)
		}
		a := makeAutumn(season, false, set)
		i, what := a.firstCold(a.take(s, 0))
		if j, slow := naiveFirstCold(a, a.take(s, 0)); i != j || what != slow {
			t.Errorf("%v: fast %d %v, slow %d %v", r, i, what, j, slow)
		}
	}
	if len(rows) != 32 {
		t.Errorf("%d rows", len(rows))
	}
}

// TestFirstColdEdges: exactly 13.0 is not below 13, 15 August itself is not
// after 15 August, and a day before it counts in the mean.
func TestFirstColdEdges(t *testing.T) {
	set := published()
	flat := func(before, after units.Temp, turn units.Day) Series {
		var days []Day
		for d := day(2026, 7, 1); d <= day(2027, 2, 10); d++ {
			x := Day{Day: d, TMax: before, HasMax: true}
			if d >= turn {
				x.TMax = after
			}
			days = append(days, x)
		}
		return mustSeries(t, "x", days)
	}
	if _, ok := FirstCold(flat(13, 13, 0), 2026, false, set); ok {
		t.Error("a mean of exactly 13 °C is below 13 °C")
	}
	if got, _ := FirstCold(flat(12.9, 12.9, 0), 2026, false, set); got != day(2026, 8, 16) {
		t.Errorf("always cold: %v", got)
	}
	// 15 °C, then 5 °C from 1 October: 2 cold days of 10 give a mean of 13.0, 3 give 12.
	if got, _ := FirstCold(flat(15, 5, day(2026, 10, 1)), 2026, false, set); got != day(2026, 10, 3) {
		t.Errorf("two steps down: %v", got)
	}
	// A cold spell that ends on 15 August still weighs on the 16th.
	var days []Day
	for _, d := range flat(20, 20, 0).Days() {
		if d.Day >= day(2026, 8, 7) && d.Day <= day(2026, 8, 15) {
			d.TMax = 10
		}
		days = append(days, d)
	}
	if got, _ := FirstCold(mustSeries(t, "x", days), 2026, false, set); got != day(2026, 8, 16) {
		t.Errorf("cold before the 16th: %v", got)
	}
}

// TestFirstColdGaps: an unknown stretch before the first cold day leaves it
// unknown; after it, it does not matter.
func TestFirstColdGaps(t *testing.T) {
	set := published()
	cut := func(from, to units.Day) Series {
		var days []Day
		for _, d := range madeSeason(2026, false, 22, 13, 0) {
			if d.Day < from || d.Day > to {
				days = append(days, d)
			}
		}
		return mustSeries(t, "x", days)
	}
	whole, ok := FirstCold(cut(0, 0), 2026, false, set)
	if !ok {
		t.Fatal("no first cold day in a made-up season")
	}
	if _, ok := FirstCold(cut(whole-20, whole-18), 2026, false, set); ok {
		t.Error("three days of ten are missing and a day was given")
	}
	if got, ok := FirstCold(cut(whole-20, whole-19), 2026, false, set); !ok || got != whole {
		t.Errorf("two days of ten missing: %v %v, want %v", got, ok, whole)
	}
	if got, ok := FirstCold(cut(whole+1, whole+60), 2026, false, set); !ok || got != whole {
		t.Errorf("days missing afterwards: %v %v", got, ok)
	}
	if _, ok := FirstCold(cut(whole, whole+200), 2026, false, set); ok {
		t.Error("given before its own day is known")
	}
}

// TestSouthIsHalfAYearLater: the same weather six months on gives the day six
// months on.
func TestSouthIsHalfAYearLater(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		shift := rapid.Float64Range(-20, 20).Draw(rt, "shift")
		north := mustSeries(t, "n", madeSeason(2026, false, 22, 13, shift))
		south := mustSeries(t, "s", madeSeason(2027, true, 22, 13, shift))
		a, ok1 := FirstCold(north, 2026, false, published())
		b, ok2 := FirstCold(south, 2027, true, published())
		if !ok1 || !ok2 || a-SeasonStart(2026, false) != b-SeasonStart(2027, true) {
			rt.Fatalf("north %v, south %v", a, b)
		}
	})
}
