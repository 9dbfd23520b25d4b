package season_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// away is the small season with a tank of 25 L, so that it takes several loads,
// and 300 L of syrup at the yard on the hill.
func away(t *testing.T, change func(*season.Source)) *small {
	t.Helper()
	s := newSmall(t)
	s.add(1, season.Setting{Key: "rig.tank", Value: "25 L"})
	x := season.Source{Place: "Hill shed", Yard: "hill", OnHand: units.In(units.Volume(300))}
	if change != nil {
		change(&x)
	}
	s.add(2, x)
	return s
}

func (s *small) plan(t *testing.T, d int) season.Planned {
	t.Helper()
	now := units.OnDay(day(d))
	p, err := s.journal(t).AsOf(now).Plan(now, 1)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func (s *small) source(t *testing.T, d int) season.SourceAt {
	t.Helper()
	now := units.OnDay(day(d))
	all := s.journal(t).AsOf(now).Sources(now)
	if len(all) != 1 {
		t.Fatalf("%d stores, want one: %+v", len(all), all)
	}
	return all[0]
}

func reason(rs []feeding.Reason, code string) bool {
	return slices.ContainsFunc(rs, func(r feeding.Reason) bool { return r.Code == code })
}

// TestFilledOnTheWay counts the syrup of a plan in two ways. By volume: what is
// filled at home and what is filled elsewhere are together what the hives get. By
// mass: sugar and water mixed are those of the loads filled at home alone, at
// 1326.5 kg to 1000 L of 2:1 at 20 °C (laid between 66 and 68 % of the sucrose
// table of the CRC Handbook of Chemistry and Physics) and water at 0.9982 kg/L.
func TestFilledOnTheWay(t *testing.T) {
	p := away(t, nil).plan(t, 4)
	var home, there, hives float64
	for _, l := range p.Loads {
		fills := 0.0
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				fills += f.Volume.L()
			}
		}
		hives += fills
		if l.From == "" {
			home += fills
		} else {
			there += fills
		}
	}
	if there == 0 || len(p.Sources) != 1 {
		t.Fatalf("no tank is filled on the way: %d loads, %+v", len(p.Loads), p.Sources)
	}
	x := p.Sources[0]
	if math.Abs(x.Planned.L()-there) > 1e-6 || math.Abs(x.After().L()-(300-there)) > 1e-6 {
		t.Errorf("fetched there: %v, left after: %v; the hives get %v L of it", x.Planned, x.After(), there)
	}
	sugar, water := home*1.3265*2/3, home*1.3265/3/0.9982
	if math.Abs(p.Totals.Sugar.Kg()-sugar) > 0.001*sugar+1e-9 || math.Abs(p.Totals.Water.L()-water) > 0.001*water+1e-9 {
		t.Errorf("%v of sugar and %v of water are mixed; %.2f L filled at home hold %.3f kg and %.3f L", p.Totals.Sugar, p.Totals.Water, home, sugar, water)
	}
	if math.Abs(p.Totals.Syrup.L()-home-there) > 1e-6 || !reason(p.Reasons, "source-used") {
		t.Errorf("in all %v, counted %v; %+v", p.Totals.Syrup, hives, p.Reasons)
	}
	none := newSmall(t)
	none.add(1, season.Setting{Key: "rig.tank", Value: "25 L"})
	if q := none.plan(t, 4); q.Totals.Time+q.Totals.Mixing <= p.Totals.Time+p.Totals.Mixing {
		t.Errorf("with syrup on the way it takes %v and %v of mixing, without %v and %v", p.Totals.Time, p.Totals.Mixing, q.Totals.Time, q.Totals.Mixing)
	}
}

// TestWhatIsLeftElsewhere drives one load that is filled at the shed, and takes
// it back.
func TestWhatIsLeftElsewhere(t *testing.T) {
	s := away(t, nil)
	id, doc := s.takeOut(t, 4)
	k := slices.IndexFunc(doc.Loads, func(l season.LoadDoc) bool { return l.From == "Hill shed" })
	if k < 0 {
		t.Fatal("no load is filled there")
	}
	l := doc.Loads[k]
	if x := s.source(t, 5); x.Fetched != 0 || x.Left != 300 {
		t.Errorf("nothing was driven, and %v are left, %v fetched", x.Left, x.Fetched)
	}
	// Less than planned goes into the first hive: what is in the tank comes home
	// and not back to the shed.
	f := l.Stops[0].Fills[0]
	gift := s.add(6, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: units.In(units.Volume(f.FillL / 2)), Plan: season.OnPlan(id, l.N)})
	if x := s.source(t, 7); math.Abs(x.Left.L()-(300-l.LoadL)) > 1e-9 || math.Abs(x.Fetched.L()-l.LoadL) > 1e-9 {
		t.Errorf("after a load of %v L: %v left, %v fetched", l.LoadL, x.Left, x.Fetched)
	}
	if x := s.source(t, 5); x.Left != 300 {
		t.Errorf("on the day before it were %v", x.Left)
	}
	// More than planned was poured, so more was in the tank.
	s.add(6, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: units.In(units.Volume(l.LoadL)), Plan: season.OnPlan(id, l.N)})
	if x := s.source(t, 7); math.Abs(x.Fetched.L()-(l.LoadL+f.FillL/2)) > 1e-9 {
		t.Errorf("%v fetched, %v L were given", x.Fetched, l.LoadL+f.FillL/2)
	}
	// What is told on the day after stands for itself.
	s.add(8, season.Source{Place: "Hill shed", Yard: "hill", OnHand: units.In(units.Volume(40))})
	if x := s.source(t, 9); x.Left != 40 || x.Fetched != 0 {
		t.Errorf("40 L were told: %v left, %v fetched", x.Left, x.Fetched)
	}
	told := s.facts[len(s.facts)-1].ID
	s.add(9, season.Strike{Fact: told})
	s.add(9, season.Strike{Fact: gift})
	if x := s.source(t, 10); math.Abs(x.Fetched.L()-l.LoadL) > 1e-9 {
		t.Errorf("the telling and one gift struck, %v fetched of a load of %v L", x.Fetched, l.LoadL)
	}
	s.add(10, season.Source{Place: "Hill shed", Gone: true})
	now := units.OnDay(day(11))
	if all := s.journal(t).AsOf(now).Sources(now); len(all) != 0 {
		t.Errorf("it is gone: %+v", all)
	}
}

// TestSyrupThatFillsNoTank: each of these is said, and no load goes there.
func TestSyrupThatFillsNoTank(t *testing.T) {
	for code, change := range map[string]func(*season.Source){
		"source-strength": func(x *season.Source) { x.Strength = 0.5 },
		"source-empty":    func(x *season.Source) { x.OnHand = units.Entered[units.Volume]{As: "0 L"} },
		"source-yard":     func(x *season.Source) { x.Yard = "nowhere" },
		"source-name":     func(x *season.Source) { x.Place, x.Yard = "mill", "" },
		"source-road":     func(x *season.Source) { x.Yard = "" },
	} {
		p := away(t, change).plan(t, 4)
		if !reason(p.Reasons, code) || len(p.Sources) != 1 || p.Sources[0].Off == nil || p.Sources[0].Planned != 0 {
			t.Errorf("%s: %+v, %+v", code, p.Reasons, p.Sources)
		}
		for _, l := range p.Loads {
			if l.From != "" || l.To != "" {
				t.Errorf("%s: load %d is filled at %q", code, l.N, l.From)
			}
		}
	}
	// A point of strength more or less, or a way that was told, is no reason.
	for _, change := range []func(*season.Source){
		func(x *season.Source) { x.Strength = 0.66 },
		func(x *season.Source) { x.Yard, x.HasPlace, x.Lat, x.Lon = "", true, 42.09, -75.09 },
		nil,
	} {
		if p := away(t, change).plan(t, 4); p.Sources[0].Off != nil || p.Sources[0].Planned == 0 {
			t.Errorf("it fills no tank: %+v", p.Sources)
		}
	}
	later := away(t, func(x *season.Source) { x.From = day(9) }).plan(t, 4)
	for _, l := range later.Loads {
		if l.From != "" && l.Day < day(9) {
			t.Errorf("load %d is filled there on %s, and it comes on %s", l.N, l.Day, day(9))
		}
	}
}

// TestSyrupElsewhereInPlanOut: the load card, the map, the trip and the plan made
// anew know where a tank is filled.
func TestSyrupElsewhereInPlanOut(t *testing.T) {
	s := away(t, nil)
	p := s.plan(t, 4)
	_, doc := s.takeOut(t, 4)
	now := units.OnDay(day(5))
	st := s.journal(t).AsOf(now)
	m := p.Map(st.Places().Home, 0)
	if x, ok := m.Place("Hill shed"); !ok || !x.Syrup || len(x.Loads) != len(p.Sources[0].Loads) {
		t.Errorf("the map has no mark for it: %+v", m.Places)
	}
	for i, l := range p.Loads {
		if way := m.Trips[i].Places; l.From != "" && way[0] != l.From && (way[0] != "" || way[1] != l.From) {
			t.Errorf("load %d is filled at %q, its way on the map is %q", l.N, l.From, way)
		}
	}
	out := doc.Amounts()
	for i, l := range p.Loads {
		trip, err := st.Trip("", l.N, now)
		if err != nil {
			t.Fatal(err)
		}
		if trip.Fill.Place != l.From || trip.ThenTo != l.To || l.From != "" && (trip.Fill.Yard != "hill" || !trip.Fill.Where.HasPlace) {
			t.Errorf("load %d is filled at %q, the trip says %+v", l.N, l.From, trip.Fill)
		}
		if out.Loads[i].From != l.From || out.Loads[i].To != l.To {
			t.Errorf("load %d taken out is filled at %q, not %q", l.N, out.Loads[i].From, l.From)
		}
		if c, _ := p.LoadCard(l.N); c.Elsewhere() != (l.From != "") || (c.Next > 0) != (l.To != "") || (trip.Next > 0) != (l.To != "") {
			t.Errorf("load %d: card %+v", l.N, c)
		}
	}
	x := doc.Sources[0]
	if x.Place != "Hill shed" || x.ToldL != 300 || x.LeftL != 300 || !x.Counted || math.Abs(x.AfterL+x.PlannedL-300) > 1e-9 {
		t.Errorf("%+v", x)
	}
	raw, err := json.Marshal(doc)
	if err != nil || !strings.Contains(string(raw), `"from":"Hill shed"`) {
		t.Errorf("%v: %s", err, raw)
	}
	// Made anew on the next day it still goes there.
	if q := s.plan(t, 5); q.Sources[0].Planned == 0 {
		t.Errorf("made anew it fetches nothing: %+v", q.Sources)
	}
}

func TestSourceIsChecked(t *testing.T) {
	for x, want := range map[season.Source]fault.Kind{
		{Place: "Home", OnHand: units.In(units.Volume(1))}:               fault.Conflict,
		{Place: "hill", Yard: "hill", OnHand: units.In(units.Volume(1))}: fault.Conflict,
		{Place: "shed"}:                                                             fault.Missing,
		{OnHand: units.In(units.Volume(1))}:                                         fault.Missing,
		{Place: "shed", OnHand: units.In(units.Volume(2e6))}:                        fault.OutOfRange,
		{Place: "shed", OnHand: units.In(units.Volume(1)), Strength: 1.5}:           fault.OutOfRange,
		{Place: "shed", OnHand: units.In(units.Volume(1)), Fill: 36001}:             fault.OutOfRange,
		{Place: "shed", OnHand: units.In(units.Volume(1)), HasPlace: true, Lat: 91}: fault.OutOfRange,
	} {
		f := season.Fact{ID: season.ID{1}, Seen: at, Body: x}
		if err := f.Check(); fault.KindOf(err) != want {
			t.Errorf("%+v: %v", x, err)
		}
	}
	good := season.Fact{ID: season.ID{1}, Seen: at, Body: season.Source{Place: "shed", Gone: true}}
	if err := good.Check(); err != nil {
		t.Error(err)
	}
}

// TestWaysToSyrupElsewhere: at a yard they are the yard's, as told; a way told to
// the store itself wins.
func TestWaysToSyrupElsewhere(t *testing.T) {
	s := away(t, nil)
	s.add(2, season.Road{From: "", To: "hill", Dist: 30000, Time: 1800})
	p := s.plan(t, 4)
	if r, ok := p.Problem.Road("", "Hill shed"); !ok || r.Dist != 30000 || r.Time != 1800 {
		t.Errorf("from home to the shed: %+v", r)
	}
	if r, ok := p.Problem.Road("hill", "Hill shed"); !ok || r.Dist != 0 || r.Time != 0 {
		t.Errorf("from the yard to the shed in it: %+v", r)
	}
	s.add(3, season.Road{From: "", To: "Hill shed", Dist: 29000, Time: 1700})
	p = s.plan(t, 4)
	if r, ok := p.Problem.Road("Hill shed", ""); !ok || r.Dist != 29000 {
		t.Errorf("told itself: %+v", r)
	}
	far := away(t, func(x *season.Source) { x.Yard, x.HasPlace, x.Lat, x.Lon = "", true, 42.09, -75.09 })
	now := units.OnDay(day(4))
	st := far.journal(t).AsOf(now)
	ways, err := st.Ways(now)
	if err != nil || !slices.ContainsFunc(ways, func(w season.Way) bool { return w.To == "Hill shed" && w.Dist > 0 }) {
		t.Errorf("%v: the ways do not name it: %+v", err, ways)
	}
	if _, is := st.Yard("Hill shed"); is || !slices.Contains(st.Places().Order(), "Hill shed") {
		t.Error("it is a place, and no yard")
	}
}
