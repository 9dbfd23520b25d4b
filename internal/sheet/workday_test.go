package sheet

import (
	"math"
	"strings"
	"testing"

	"larder/internal/season"
	"larder/internal/units"
)

// Words and marks of a day's strip stay inside it, and every stop is named or
// numbered.
func TestWorkStripFits(t *testing.T) {
	h := units.Hour
	day := season.WorkDay{Day: units.DayOf(2026, 9, 12), First: 7 * h, Last: 17 * h, Clock: true, Rows: []season.WorkRow{
		{Mixes: true, Bars: []season.WorkBar{{Batches: 2, From: 7 * h, To: 8 * h}}},
		{Truck: "pickup", Of: 8 * h, Bars: []season.WorkBar{{Load: 1, From: 7 * h, To: 16 * h, Parts: []season.WorkPart{
			{Kind: season.WorkFill, From: 7 * h, To: 7.5 * h}, {Kind: season.WorkDrive, From: 7.5 * h, To: 9 * h},
			{Kind: season.WorkWait, From: 9 * h, To: 10 * h}, {Kind: season.WorkYard, Place: "ridge", Stop: 1, From: 10 * h, To: 13 * h},
			{Kind: season.WorkYard, Place: "orchard", Stop: 2, From: 13.5 * h, To: 14 * h}, {Kind: season.WorkDrive, From: 14 * h, To: 16 * h}}}}},
	}}
	s := WorkStrip{Day: day, Names: map[string]string{"ridge": "Ridge", "orchard": "The Old Orchard"}, Words: WorkWords{"mixing", "load", "whoever has the time"}, Title: "x"}
	d := s.Draw()
	var words []string
	for _, m := range d.Marks {
		switch m := m.(type) {
		case Text:
			words = append(words, m.Say)
			if m.X < 0 || m.X > d.W || m.Y < 0 || m.Y > d.H {
				t.Errorf("%+v is outside", m)
			}
		case Line:
			if math.Min(m.X1, m.X2) < 0 || math.Max(m.X1, m.X2) > d.W || math.Max(m.Y1, m.Y2) > d.H {
				t.Errorf("%+v is outside", m)
			}
		}
	}
	all := strings.Join(words, "|")
	for _, want := range []string{"whoever has the time", "pickup", "mixing", "load 1", "Ridge", "|2", "8:00"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q lacks %q", all, want)
		}
	}
}

// On the map north is up and east right, distances are in proportion, and names
// neither leave it nor stand on one another.
func TestMapPicture(t *testing.T) {
	m := season.PlanMap{Places: []season.MapPlace{{}, {ID: "n", Name: "North", North: 6000, Loads: []int{1}}, {ID: "e", Name: "East", East: 3000}, {ID: "e2", Name: "Easter", East: 3010}},
		Trips: []season.MapTrip{{Load: 1, Places: []string{"", "n", ""}}}}
	for i := range m.Places { // about the middle, as they come
		m.Places[i].North -= 3000
		m.Places[i].East -= 1500
	}
	for _, s := range []units.System{units.US, units.Metric} {
		x := MapPicture{Map: m, Home: "home", North: "N", Style: units.Style{System: s}, Title: "x"}
		d := x.Draw()
		var home Rect
		at := map[string]Box{}
		var spots []Dot
		bar := 0.0
		say := ""
		for _, k := range d.Marks {
			switch k := k.(type) {
			case Rect:
				if k.Fill.Ink == Plain && k.Fill.Tint == 1 {
					home = k
				}
			case Dot:
				spots = append(spots, k)
			case Text:
				w := wordsWide(k.Say)
				at[k.Say] = Box{k.X - w*float64(k.At)/2, k.Y - 14, w, 14}
				if k.X < 0 || k.X > d.W || k.Y < 0 || k.Y > d.H {
					t.Errorf("%+v is outside", k)
				}
				if strings.HasSuffix(k.Say, " km") || strings.HasSuffix(k.Say, " mi") {
					say = k.Say
				}
			case Line:
				if k.Y1 == k.Y2 {
					bar = k.X2 - k.X1
				}
			}
		}
		hx, hy := home.X+home.W/2, home.Y+home.H/2
		n, e := spots[0], spots[1]
		if n.Y >= hy || math.Abs(n.X-hx) > 1 || e.X <= hx || math.Abs(e.Y-hy) > 1 {
			t.Errorf("north %v, east %v of home %v, %v", n, e, hx, hy)
		}
		if math.Abs((hy-n.Y)/(e.X-hx)-2) > 0.01 {
			t.Error("not in proportion")
		}
		perPx := 6000 / (hy - n.Y)
		want := map[string]float64{"1 mi": 1609.344, "2 km": 2000, "1 km": 1000}[say]
		if want == 0 || math.Abs(bar*perPx-want) > 1 {
			t.Errorf("the bar of %s is %.0f m", say, bar*perPx)
		}
		east, there := at["East"]
		if easter, both := at["Easter"]; !there || both && meets(east, []Box{easter}) {
			t.Errorf("%v %v", east, easter)
		}
	}
}
