package season_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/route"
	"larder/internal/season"
	"larder/internal/units"
)

// threeYards are home and three yards; the last has no place.
var threeYards = season.Places{Home: route.Place{HasPlace: true, Lat: 42.40, Lon: -76.50}, Yards: []apiary.Yard{
	{ID: "creek", Name: "Creek Bottom", HasPlace: true, Lat: 42.50, Lon: -76.50},
	{ID: "mill", Name: "Mill Lane", HasPlace: true, Lat: 42.40, Lon: -76.30},
	{ID: "ridge"},
}}

func readTable(t *testing.T, text string, o route.TableOptions) route.Table {
	t.Helper()
	got, err := route.ReadTable(text, o)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func noteCodes(t season.RoadsTaken) string {
	var out []string
	for _, n := range t.Notes {
		out = append(out, n.Code)
	}
	return strings.Join(out, " ")
}

func TestTakeRoads(t *testing.T) {
	// By name in any case, by id; a stranger is passed over and said. Alike both
	// ways is one road.
	x := readTable(t, "km,Home,mill lane,ridge,depot\nHome,0,22,9,50\nmill lane,22,0,31,50\nridge,9,30,0,50\n", route.TableOptions{})
	got, err := season.TakeRoads(x, threeYards, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got.Ways != 6 || got.New != 6 || got.Changed+got.Same != 0 || noteCodes(got) != "road-strange" {
		t.Errorf("%+v", got)
	}
	want := "[{ mill 22000 0} { ridge 9000 0} {mill ridge 31000 0} {ridge mill 30000 0}]"
	if s := fmt.Sprintf("%v", plainRoads(got.Roads)); s != want {
		t.Errorf("%s, want %s", s, want)
	}
	// Minutes alone leave the distances told before.
	told := map[[2]string]season.Road{}
	for _, r := range got.Roads {
		told[[2]string{r.From, r.To}] = r
	}
	got, err = season.TakeRoads(readTable(t, "from,to,min\nhome,mill,30\nmill,home,35\n", route.TableOptions{}), threeYards, told)
	if err != nil {
		t.Fatal(err)
	}
	want = "[{ mill 22000 1800} {mill  22000 2100}]"
	if s := fmt.Sprintf("%v", plainRoads(got.Roads)); s != want || got.Changed != 2 {
		t.Errorf("%s, want %s; %+v", s, want, got)
	}
}

type plainRoad struct {
	From, To  string
	Dist, Sec int
}

func plainRoads(l []season.Road) []plainRoad {
	var out []plainRoad
	for _, r := range l {
		out = append(out, plainRoad{r.From, r.To, int(r.Dist), int(r.Time)})
	}
	return out
}

// An engine's table without names is taken by where its places lie, and says so;
// where two places of ours are near, or its order was told wrongly, it is asked
// or said.
func TestTakeRoadsByPlace(t *testing.T) {
	const doc = `{"durations":[[0,900],[960,0]],"distances":[[0,14000],[15000,0]],"sources":[{"location":[-76.5,42.401]},{"location":[-76.5,42.5]}],"destinations":[{"location":[-76.5,42.401]},{"location":[-76.5,42.5]}]}`
	got, err := season.TakeRoads(readTable(t, doc, route.TableOptions{}), threeYards, nil)
	if err != nil {
		t.Fatal(err)
	}
	if noteCodes(got) != "road-place road-place" || len(got.Roads) != 2 || got.Roads[0].To != "creek" {
		t.Errorf("%s, %+v", noteCodes(got), got.Roads)
	}
	got, err = season.TakeRoads(readTable(t, doc, route.TableOptions{Places: []string{"home", "mill"}}), threeYards, nil)
	if err != nil || !strings.Contains(noteCodes(got), "road-far") {
		t.Errorf("%s, %v", noteCodes(got), err)
	}
	near := threeYards
	near.Yards = append(slices.Clone(near.Yards), apiary.Yard{ID: "barn", HasPlace: true, Lat: 42.405, Lon: -76.50})
	if _, err := season.TakeRoads(readTable(t, doc, route.TableOptions{}), near, nil); !fault.Is(err, fault.Conflict) {
		t.Error(err)
	}
	if _, err := season.TakeRoads(readTable(t, `{"durations":[[0,9],[9,0]]}`, route.TableOptions{}), threeYards, nil); !fault.Is(err, fault.Missing) {
		t.Error(err)
	}
	if _, err := season.TakeRoads(readTable(t, "from,to,km\nA,B,3\n", route.TableOptions{}), threeYards, nil); !fault.Is(err, fault.NotFound) {
		t.Error(err)
	}
}

// A table in the wrong unit is told by its speeds and by the straight line.
func TestTakeRoadsOdd(t *testing.T) {
	got, err := season.TakeRoads(readTable(t, "from,to,km,min\nhome,mill,0.022,25\nhome,creek,14,900\n", route.TableOptions{}), threeYards, nil)
	if err != nil || noteCodes(got) != "road-speed road-short" {
		t.Errorf("%s, %v", noteCodes(got), err)
	}
}

// After the roads are kept every way is as the table has it, whatever was told
// before, and taking it again keeps nothing.
func TestTakeRoadsHolds(t *testing.T) {
	ids := []string{"", "creek", "mill", "ridge"}
	way := rapid.Custom(func(t *rapid.T) season.Road {
		a := rapid.IntRange(0, 3).Draw(t, "from")
		b := (a + rapid.IntRange(1, 3).Draw(t, "to")) % 4
		return season.Road{From: ids[a], To: ids[b], Dist: units.Length(1000 * rapid.IntRange(1, 3).Draw(t, "km")), Time: units.Duration(60 * rapid.IntRange(1, 2).Draw(t, "min"))}
	})
	rapid.Check(t, func(t *rapid.T) {
		told := map[[2]string]season.Road{}
		for _, r := range rapid.SliceOf(way).Draw(t, "told") {
			told[[2]string{r.From, r.To}] = r
		}
		table := map[[2]string]season.Road{}
		x := route.Table{Form: route.Rows, From: []route.Spot{{Name: "home"}, {Name: "creek"}, {Name: "mill"}, {Name: "ridge"}}}
		x.To = x.From
		for _, r := range rapid.SliceOfN(way, 1, 12).Draw(t, "table") {
			k := [2]string{r.From, r.To}
			if _, twice := table[k]; !twice {
				table[k] = r
				x.Legs = append(x.Legs, route.TableLeg{From: slices.Index(ids, r.From), To: slices.Index(ids, r.To), Dist: r.Dist, Time: r.Time, HasDist: true, HasTime: true})
			}
		}
		got, err := season.TakeRoads(x, threeYards, told)
		if err != nil {
			t.Fatal(err)
		}
		if got.New+got.Changed+got.Same != len(table) {
			t.Fatalf("%+v", got)
		}
		for _, r := range got.Roads {
			told[[2]string{r.From, r.To}] = r
		}
		for k, want := range table {
			r, ok := told[k]
			if !ok {
				r, ok = told[[2]string{k[1], k[0]}]
			}
			if !ok || r.Dist != want.Dist || r.Time != want.Time {
				t.Fatalf("%v: %v, want %v", k, r, want)
			}
		}
		again, err := season.TakeRoads(x, threeYards, told)
		if err != nil || len(again.Roads) != 0 || again.Same != len(table) {
			t.Fatalf("again: %+v, %v", again, err)
		}
	})
}

// A yard that was told to lie 31 km off and has home's place on the map, as the
// first run makes them, is not beside the others: the plan drives by way of home,
// says so, and puts neither on the map.
func TestYardsNobodyPlaced(t *testing.T) {
	s := newSmall(t)
	for i, y := range []string{"mill", "hill"} {
		s.add(-10, apiary.Yard{ID: y, HasPlace: true, Lat: 42, Lon: -75, Climate: apiary.Temperate, Station: "s", Stop: day(30)})
		s.add(-10, season.Road{To: y, Dist: units.Length(14000 + 17000*i)})
	}
	st := s.journal(t).AsOf(at)
	ways, err := st.Ways(at)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(ways, func(w season.Way) bool { return w.From != "" && w.To != "" })
	if i < 0 || ways[i].How != season.WayHome || math.Abs(ways[i].Dist.Km()-45) > 1e-9 {
		t.Errorf("%+v: want one way between the yards, 14 + 31 km by home", ways)
	}
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range p.Loads {
		want := map[string]units.Length{"mill": 28000, "hill": 62000}[l.Stops[0].Yard]
		if len(l.Stops) > 1 {
			want = 90000
		}
		if math.Abs(float64(l.Dist-want)) > 1 {
			t.Errorf("load %d with %d stops drives %v km, want %v", l.N, len(l.Stops), l.Dist.Km(), want.Km())
		}
	}
	if m := p.Map(st.Places().Home, 0); len(m.Places) != 1 || len(m.Without) != 2 {
		t.Errorf("%d places on the map, %v without one", len(m.Places), m.Without)
	}
}
