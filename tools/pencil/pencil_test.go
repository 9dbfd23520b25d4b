package main

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"larder/internal/feeding"
	"larder/internal/units"
)

const page = "../../manual/planner.md"

// TestShortForm goes through ten seasons. The planner leaves fewer short and
// feeds nobody for nothing: that is what it is for. By how much is measured, not
// tested. The table of the manual must be of this form.
func TestShortForm(t *testing.T) {
	all, err := means(10)
	if err != nil {
		t.Fatal(err)
	}
	for i, o := range all.ways[1:] {
		if p := all.ways[0]; p.short > o.short || p.nothing > 0 || o.nothing == 0 || p.waste > 1 {
			t.Errorf("%s: %+v\nthe planner: %+v", rules[i].name, o, p)
		}
	}
	text := all.String()
	b, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(b), from)
	shown, _, ok2 := strings.Cut(rest, until)
	if !ok || !ok2 {
		t.Fatal("the manual has no place for the table")
	}
	want, got := ways(text), ways(shown)
	if !strings.Contains(shown, header) || !slices.Equal(want, got) || !strings.HasPrefix(strings.TrimSpace(shown), "100 ") {
		t.Errorf("the manual's table is of another form: %q, want %q; run go run ./tools/pencil -to manual/planner.md", got, want)
	}
	out, err := between(string(b), text)
	if err != nil || !strings.Contains(out, text) || strings.Contains(out, shown) {
		t.Errorf("the table is not put into the page: %v", err)
	}
}

// ways lists the first column.
func ways(table string) (w []string) {
	for line := range strings.Lines(table) {
		if c := strings.Split(line, "|"); len(c) == 11 {
			w = append(w, strings.TrimSpace(c[1]))
		}
	}
	return w
}

// TestSameSeasons: a season comes to the same whenever it is gone through.
func TestSameSeasons(t *testing.T) {
	a, err1 := means(2)
	b, err2 := means(2)
	if err1 != nil || err2 != nil || a.String() != b.String() {
		t.Errorf("%v %v\n%s%s", err1, err2, a, b)
	}
}

// paper is worked out by hand: yards 10 and 20 km out (10 and 20 min), two hives
// each with feeders of 4 L that take 1 L a day, and five more litres of tank
// than a yard takes.
func paper() feeding.Problem {
	d := units.DayOf(2026, 9, 1)
	feed, factor := make([]bool, 14), make([]float64, 14)
	for i := range feed {
		feed[i], factor[i] = true, 1
	}
	p := feeding.Problem{Start: d, Days: 14, Figures: figures,
		Rigs:    []feeding.Rig{{Truck: "truck", Tank: 12, Pump: 4.0 / 60, PerHive: 60, Fill: 600}},
		Kitchen: feeding.Kitchen{Strength: 0.6, Density: 1250, Mixer: 8, Mixing: 1800}, Crew: feeding.Crew{PerDay: 10 * units.Hour},
		Road: func(from, to string) (feeding.Road, bool) {
			km := map[string]float64{"": 0, "near": 10, "wide": 20}
			x := math.Abs(km[from] - km[to])
			return feeding.Road{Dist: units.Length(1000 * x), Time: units.Duration(60 * x)}, true
		},
	}
	for _, id := range []string{"near", "wide"} {
		p.Yards = append(p.Yards, feeding.Yard{ID: id, Feed: feed, Factor: factor, Stop: d + 13, Setup: 300})
		for k := range 2 {
			p.Hives = append(p.Hives, feeding.Hive{Colony: id + string(rune('1'+k)), Yard: id, Stand: k, Feeder: 4, Uptake: 1, Need: 6})
		}
	}
	return p
}

func TestPencilOnPaper(t *testing.T) {
	p := paper()
	six := func([]float64) float64 { return 6 }
	// Week 1: the tank takes 12 L (2 batches, 60 min, and 10 min filling): near
	// 4 + 4, wide 4 and then the tank is empty: home (20), mixed (1 batch, for 4
	// L) and filled, wide again. Week 2: 8 L, 1 batch, in one load: near 2 + 2,
	// wide 2 + 2.
	want := (60 + 10.0) + (10 + 5 + 2*2) + (10 + 5 + 2) + 20 + (30 + 10) + (20 + 5 + 2) + 20 +
		(30 + 10) + (10 + 5 + 2*1.5) + (10 + 5 + 2*1.5) + 20
	w := pencil(&p, rule{"weekly", feeding.Habit{Apart: 7, Fixed: six}})
	if math.Abs(w.hours*60-want) > 1e-6 || math.Abs(w.km-120) > 1e-9 || w.loads != 3 || math.Abs(w.sugar-24*0.75) > 1e-9 {
		t.Errorf("%.2f min, %.1f km, %d loads, %.2f kg; by hand %.2f min, 120 km, 3 loads, 18 kg", w.hours*60, w.km, w.loads, w.sugar, want)
	}
	for i, g := range w.given {
		for d, v := range g {
			if should := map[int]float64{0: 4, 7: 2}[d]; math.Abs(v-should) > 1e-9 {
				t.Errorf("%s on day %d: %v L, by hand %v", p.Hives[i].Colony, d, v, should)
			}
		}
	}
	if o := judge(&p, w); o.short != 0 || o.waste > 1e-9 {
		t.Errorf("%+v", o)
	}
	// The farthest first: on the way out wide is the first call.
	w = pencil(&p, rule{"far", feeding.Habit{Far: true, Apart: 4, Fixed: six}})
	if w.given[2][0] != 4 || w.given[0][4] != 2 {
		t.Errorf("%v", w.given)
	}
	// A stop day in the middle of the second week: 2 L of the last fill, given on
	// day 7, are taken on days 7 and 8; on day 8 only one is.
	for i := range p.Yards {
		p.Yards[i].Stop = p.Start + 7
	}
	if o := judge(&p, pencil(&p, rule{"weekly", feeding.Habit{Apart: 7, Fixed: six}})); o.short != 4 || math.Abs(o.lack-4) > 1e-9 || math.Abs(o.waste-4) > 1e-9 {
		t.Errorf("one litre of each hive comes too late: %+v", o)
	}
	// Nobody needs anything: all of it for nothing.
	for i := range p.Hives {
		p.Hives[i].Need = 0
	}
	if o := judge(&p, pencil(&p, rule{"weekly", feeding.Habit{Apart: 7, Fixed: six}})); o.nothing != 4 || math.Abs(o.waste-24) > 1e-9 {
		t.Errorf("%+v", o)
	}
}

func TestFixedAmounts(t *testing.T) {
	needs := []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10.2, 0}
	if a, n := feeding.AverageNeed(needs), feeding.NineOfTen(needs); a != 5.5 || n != 9 {
		t.Errorf("average %v, nine of ten %v", a, n)
	}
	if feeding.AverageNeed(nil) != 0 || feeding.NineOfTen([]float64{0}) != 0 {
		t.Error("nobody needs nothing")
	}
}
