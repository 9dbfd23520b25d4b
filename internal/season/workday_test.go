package season_test

import (
	"math"
	"testing"

	"larder/internal/route"
	"larder/internal/season"
	"larder/internal/units"
)

// Every load of the plan is on one bar of its day, whose parts follow on one
// another and come to the load's time; the work fits the working time.
func TestWorkDays(t *testing.T) {
	p, err := newSmall(t).journal(t).AsOf(at).Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Loads) == 0 {
		t.Fatal("nothing to draw")
	}
	on := map[int]season.WorkBar{}
	days := p.WorkDays()
	for i, d := range days {
		if i > 0 && d.Day <= days[i-1].Day {
			t.Error("days out of order")
		}
		for _, r := range d.Rows {
			if r.Of > 0 && r.Busy > r.Of+1 {
				t.Errorf("%s: %v of work in %v", d.Day, r.Busy, r.Of)
			}
			for k, b := range r.Bars {
				if k > 0 && b.From < r.Bars[k-1].To-0.01 {
					t.Errorf("%s: bars overlap", d.Day)
				}
				if b.Load > 0 {
					on[b.Load] = b
				}
			}
		}
	}
	for _, l := range p.Loads {
		b, ok := on[l.N]
		if !ok || math.Abs(float64(b.To-b.From-l.Time)) > 1 {
			t.Errorf("load %d: %v on its bar, %v in the plan", l.N, b.To-b.From, l.Time)
		}
		at, stops := b.From, 0
		var syrup units.Volume
		for _, x := range b.Parts {
			if math.Abs(float64(x.From-at)) > 0.01 {
				t.Errorf("load %d: a gap before %+v", l.N, x)
			}
			at = x.To
			if x.Kind == season.WorkYard {
				stops++
				syrup += x.Syrup
			}
		}
		if stops != len(l.Stops) || math.Abs((syrup-l.Syrup).L()) > 1e-6 {
			t.Errorf("load %d: %d stops, %v", l.N, stops, syrup)
		}
	}
	for _, r := range p.BoundRows() {
		if r.Gap < 0 || r.Gap > 1 {
			t.Errorf("%+v", r)
		}
	}
}

// Distances on the map are those of the great circle to within a hundredth, and
// yards without a place are named, not lost.
func TestPlanMap(t *testing.T) {
	p, err := newSmall(t).journal(t).AsOf(at).Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	home := route.Place{HasPlace: true, Lat: 42.4, Lon: -76.5}
	m := p.Map(home, 0)
	where := map[string]route.Place{"": home}
	for _, y := range p.Stops {
		where[y.Yard.ID] = route.Place{Lat: y.Yard.Lat, Lon: y.Yard.Lon}
	}
	for _, a := range m.Places {
		for _, b := range m.Places {
			d, err := route.GreatCircle(where[a.ID].Lat, where[a.ID].Lon, where[b.ID].Lat, where[b.ID].Lon)
			if err != nil {
				t.Fatal(err)
			}
			got := math.Hypot(float64(a.East-b.East), float64(a.North-b.North))
			if math.Abs(got-float64(d)) > 0.01*float64(d)+1 {
				t.Errorf("%s to %s: %.0f m on the map, %.0f m", a.ID, b.ID, got, float64(d))
			}
		}
	}
	if len(m.Places)+len(m.Without) != len(p.Stops)+1 || len(m.Trips) != len(p.Loads) {
		t.Errorf("%d places, %d without, %d yards", len(m.Places), len(m.Without), len(p.Stops))
	}
	day := p.Loads[0].Day
	for _, x := range p.Map(home, day).Trips {
		if x.Day != day {
			t.Error(x)
		}
	}
}
