package feeding

import (
	"fmt"
	"math"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/units"
)

// TestUnmetReasons: each way a need cannot be served, alone, in the season of
// two yards. The colony gets nothing (or less) and is listed with all it lacks.
func TestUnmetReasons(t *testing.T) {
	for _, c := range []struct {
		code  string
		spoil func(p *Problem)
		given float64 // to h1, which needs 6 L
	}{
		{CodeSuper, func(p *Problem) { p.Hives[0].Hold, _ = Holds(sound(func(s *Seen) { s.Super = apiary.Yes })) }, 0},
		{CodeDisease, func(p *Problem) { p.Hives[0].Hold, _ = Holds(sound(func(s *Seen) { s.Disease = apiary.Yes })) }, 0},
		{CodeQueenless, func(p *Problem) { p.Hives[0].Hold, _ = Holds(sound(func(s *Seen) { s.Queen = apiary.No })) }, 0},
		{CodeTreatment, func(p *Problem) { p.Hives[0].Hold, _ = Holds(sound(func(s *Seen) { s.Treatment = apiary.Yes })) }, 0},
		{CodeWeak, func(p *Problem) { p.Hives[0].Hold, _ = Holds(sound(func(s *Seen) { s.Weak = apiary.Yes })) }, 0},
		{CodeAskSuper, func(p *Problem) { p.Hives[0].Hold, _ = Holds(Seen{}) }, 0},
		{"no-feeder", func(p *Problem) { p.Hives[0].Feeder = 0 }, 0},
		{"no-uptake", func(p *Problem) { p.Hives[0].Uptake = 0 }, 0},
		{"stop-passed", func(p *Problem) { p.Yards[0].Stop = start - 1 }, 0},
		{"stop-unknown", func(p *Problem) { p.Yards[0].Stop = 0 }, 0},
		{"road-unknown", func(p *Problem) { p.Road = plane(map[string]spot{"": {0, 0}, "lane": {10, 4}}) }, 0},
		{"comb-full", func(p *Problem) { p.Hives[0].Room, p.Hives[0].RoomTold = 2.5, true }, 2.5},
		{"days", func(p *Problem) { p.Yards[0].Feed = make([]bool, 20) }, 0},
		// Two days of 2 L from the start: 4 L can be taken.
		{"days", func(p *Problem) { p.Yards[0].Stop = start + 1 }, 4},
		{"hours", func(p *Problem) { p.Crew.PerDay = 1800 }, 0},
	} {
		t.Run(c.code, func(t *testing.T) {
			p := tiny()
			c.spoil(&p)
			pl := mustMake(t, p)
			u := unmetOf(pl, "h1")
			if u == nil || !hasCode(u.Why, c.code) || math.Abs(u.Volume.L()-(6-c.given)) > 1e-6 {
				t.Errorf("unmet %+v, want %v L for %s", u, 6-c.given, c.code)
			}
			if got := givenTo(pl, "h1"); math.Abs(got-c.given) > 1e-6 {
				t.Errorf("given %v L, want %v", got, c.given)
			}
			if c.code != "hours" && (givenTo(pl, "l1") != 7.5 || unmetOf(pl, "l1") != nil) {
				t.Errorf("l1 gets %v L, want its 7.5", givenTo(pl, "l1"))
			}
		})
	}
}

// sound is a colony with every question answered well, then spoilt.
func sound(spoil func(*Seen)) Seen {
	s := Seen{Queen: apiary.Yes, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No, Refuses: apiary.No, Weak: apiary.No}
	spoil(&s)
	return s
}

func TestHolds(t *testing.T) {
	codes := func(why []Reason) string {
		s := ""
		for _, w := range why {
			s += w.Code + " "
		}
		return s
	}
	for _, c := range []struct {
		what      string
		s         Seen
		hold, ask string
	}{
		{"sound", sound(func(*Seen) {}), "", ""},
		{"never looked at", Seen{}, CodeAskDisease + " " + CodeAskTreatment + " " + CodeAskSuper + " ", CodeAskQueen + " "},
		{"queen not seen", sound(func(s *Seen) { s.Queen = apiary.Unknown }), "", CodeAskQueen + " "},
		{"super not told", sound(func(s *Seen) { s.Super = apiary.Unknown }), CodeAskSuper + " ", ""},
		{"left its feed", sound(func(s *Seen) { s.Refuses = apiary.Yes }), CodeRefuses + " ", ""},
		{"two troubles", sound(func(s *Seen) { s.Disease, s.Queen = apiary.Yes, apiary.No }), CodeDisease + " " + CodeQueenless + " ", ""},
	} {
		hold, ask := Holds(c.s)
		if codes(hold) != c.hold || codes(ask) != c.ask {
			t.Errorf("%s: hold %q ask %q, want %q, %q", c.what, codes(hold), codes(ask), c.hold, c.ask)
		}
	}
}

// TestFortyGallons is the trade's own check: "40 US gal of 2:1 fills one
// 2-US-gal side in about 20 full hives, and both sides need at least two tank
// loads" (common practice, no source).
func TestFortyGallons(t *testing.T) {
	season := func(hives, sides int) Problem {
		p := tiny()
		p.Hives, p.Yards = nil, p.Yards[:1]
		p.Rigs[0].Tank, p.Rigs[0].Payload, p.Rigs[0].Pump = 40*units.USGallon, 0, units.Flow(20.0/60)
		for i := range hives {
			p.Hives = append(p.Hives, Hive{Colony: fmt.Sprintf("h%02d", i), Yard: "hill", Stand: i, Risk: 1,
				Need: units.Volume(sides) * 2 * units.USGallon, Feeder: units.Volume(sides) * 2 * units.USGallon, Uptake: 3})
		}
		return p
	}
	for _, c := range []struct{ hives, sides, loads int }{{20, 1, 1}, {21, 1, 2}, {20, 2, 2}} {
		p := season(c.hives, c.sides)
		pl := mustMake(t, p)
		if pl.Totals.Loads != c.loads || pl.Bounds.Loads != c.loads || pl.Totals.Fills != c.hives || len(pl.Unmet) > 0 {
			t.Errorf("%d hives, %d sides: want %d loads\n%s", c.hives, c.sides, c.loads, dump(pl))
		}
	}
	if pl := mustMake(t, season(20, 1)); len(pl.Loads[0].Stops[0].Fills) != 20 {
		t.Errorf("one tank fills %d hives, want 20", len(pl.Loads[0].Stops[0].Fills))
	}
}

// TestInFeederCounts: 3 L stand in h1's feeder; of its need of 6 it is given 3.
func TestInFeederCounts(t *testing.T) {
	p := tiny()
	p.Hives[0].InFeeder = 3
	if pl := mustMake(t, p); givenTo(pl, "h1") != 3 {
		t.Errorf("given %v, want 3", givenTo(pl, "h1"))
	}
	p.Hives[0].Need = 3
	pl := mustMake(t, p)
	if givenTo(pl, "h1") != 0 || unmetOf(pl, "h1") != nil {
		t.Errorf("given %v, want nothing: it is there already", givenTo(pl, "h1"))
	}
}

// TestSteps: fills are whole quarter litres, but for the brim of an empty
// feeder and the end of a need. Worked by hand: feeder 7.57, uptake 0.9 a day,
// need 14. To the brim and the rest would be 7.57 and 6.43; whole steps are 7.5
// and 6.5.
func TestSteps(t *testing.T) {
	p := tiny()
	p.Hives = p.Hives[:1]
	p.Hives[0].Feeder, p.Hives[0].Need, p.Hives[0].Uptake = 2*units.USGallon, 14, 0.9
	pl := mustMake(t, p)
	var got []float64
	for _, l := range pl.Loads {
		got = append(got, l.Stops[0].Fills[0].Volume.L())
	}
	if len(got) != 2 || math.Abs(got[0]-7.5) > 1e-9 || math.Abs(got[1]-6.5) > 1e-9 {
		t.Errorf("fills %v, want 7.5 and 6.5", got)
	}
	p.Hives[0].Need = 17.5 // 18 L can be taken in 20 days
	pl = mustMake(t, p)
	for i, l := range pl.Loads {
		v := l.Stops[0].Fills[0].Volume.L()
		if last := i == len(pl.Loads)-1; i > 0 && !last && math.Abs(v-math.Round(v*4)/4) > 1e-9 {
			t.Errorf("fill %d is %v L, no whole quarter\n%s", i+1, v, dump(pl))
		}
	}
	if len(pl.Unmet) > 0 || len(pl.Loads) < 3 {
		t.Errorf("want all in three fills or more\n%s", dump(pl))
	}
}

// TestPayload: 20 kg at 1.3265 kg/L is 15.08 L a load, whatever the tank; and a
// tank smaller than the feeder bounds each fill.
func TestPayload(t *testing.T) {
	p := tiny()
	p.Rigs[0].Payload = 20
	pl := mustMake(t, p)
	for _, l := range pl.Loads {
		if l.Syrup.L() > 15.08 {
			t.Errorf("load %d is %v", l.N, l.Syrup)
		}
	}
	if pl.Bounds.Loads != 2 || len(pl.Unmet) > 0 {
		t.Errorf("27.75 L at 15.08 a load\n%s", dump(pl))
	}
	p.Rigs[0].Payload, p.Rigs[0].Tank = 0, 6
	if pl := mustMake(t, p); pl.Bounds.Loads != 5 || len(pl.Unmet) > 0 {
		t.Errorf("27.75 L at 6 a load\n%s", dump(pl))
	}
}

// TestMixAhead: 25 L are driven on day 5, the only feedable day, with seven
// hours of work; a batch of 10 L takes two hours of an eight-hour day. None
// can be mixed that morning, so three are ready by the evening before.
func TestMixAhead(t *testing.T) {
	p := tiny()
	p.Hives = []Hive{{Colony: "a", Yard: "hill", Need: 25, Feeder: 25, Uptake: 3, Risk: 1}}
	p.Yards = p.Yards[:1]
	p.Yards[0].Feed = make([]bool, 20)
	p.Yards[0].Feed[5] = true
	p.Yards[0].Setup = 6 * units.Hour
	p.Kitchen.Mixer, p.Kitchen.Mixing = 10, 2*units.Hour
	pl := mustMake(t, p)
	if len(pl.Batches) != 3 || pl.Batches[0].Day != start+4 || pl.Batches[2].Day != start+4 || pl.Batches[2].Syrup != 5 {
		t.Errorf("want 10, 10 and 5 L on day 4\n%s", dump(pl))
	}
	p.Kitchen.Store = 12 // a store of 12 L: never 25 overnight
	pl = mustMake(t, p)
	if u := unmetOf(pl, "a"); u == nil || !hasCode(u.Why, "mixing") {
		t.Errorf("want the need unmet for want of mixing\n%s", dump(pl))
	}
	p.Kitchen.OnHand = 25
	if pl = mustMake(t, p); len(pl.Batches) != 0 || len(pl.Unmet) != 0 {
		t.Errorf("25 L are in hand: nothing to mix\n%s", dump(pl))
	}
}

// TestScheduleAgainstTrial: on small numbers, the schedule exists exactly when
// some choice of whole batches per day works, and no later one does.
func TestScheduleAgainstTrial(t *testing.T) {
	m := mixer{batch: 10, time: 10, store: 15}
	for goes := range 6 * 6 * 6 {
		for spare := range 4 * 4 * 4 {
			for _, hand := range []micro{0, 7} {
				m.hand = hand
				g := []micro{micro(goes%6) * 5, micro(goes / 6 % 6 * 5), micro(goes / 36 * 5)}
				s := []tick{tick(spare%4) * 10, tick(spare / 4 % 4 * 10), tick(spare / 16 * 10)}
				mixed, ok := m.schedule(g, s)
				if want := m.byTrial(g, s); ok != want {
					t.Fatalf("goes %v spare %v hand %v: %v, by trial %v", g, s, hand, ok, want)
				}
				if ok && !m.works(mixed, g, s) {
					t.Fatalf("goes %v spare %v hand %v: %v does not work", g, s, hand, mixed)
				}
			}
		}
	}
}

func (m *mixer) byTrial(g []micro, s []tick) bool {
	// Multiples of 5, as they are and less the 7 in hand, are all there is to try.
	amounts := [...]micro{0, 3, 5, 8, 10, 13, 15, 18, 20, 23, 25, 28, 30}
	for _, a := range amounts {
		for _, b := range amounts {
			for _, c := range amounts {
				if m.works([]micro{a, b, c}, g, s) {
					return true
				}
			}
		}
	}
	return false
}

func (m *mixer) works(x, g []micro, s []tick) bool {
	have := m.hand
	for d := range x {
		if tick(ceilDiv(x[d], m.batch))*m.time > s[d] || have+x[d] < g[d] {
			return false
		}
		have += x[d] - g[d]
		if x[d] > 0 && have > m.store {
			return false
		}
	}
	return true
}

// TestGreatestRiskFirst: one feedable day, sixty hives in two yards, and hours,
// loads or syrup for a part of them. Whoever is left out is at no greater risk
// than anyone fed, up to the band of risks taken as equal; and each limit is
// named.
func TestGreatestRiskFirst(t *testing.T) {
	for _, c := range []struct {
		code  string
		limit func(p *Problem)
	}{
		{"hours", func(p *Problem) { p.Crew.PerDay = 2 * units.Hour }},
		{"loads", func(p *Problem) { p.Crew.LoadsPerDay = 1 }},
		{"mixing", func(p *Problem) { p.Kitchen.OnHand, p.Kitchen.Mixing = 120, 20*units.Hour }},
	} {
		t.Run(c.code, func(t *testing.T) {
			p := tiny()
			p.Hives = nil
			for y := range p.Yards {
				p.Yards[y].Feed = make([]bool, 20)
				p.Yards[y].Feed[0] = true
			}
			p.Kitchen.OnHand = 500
			c.limit(&p)
			for i := range 60 {
				p.Hives = append(p.Hives, Hive{Colony: fmt.Sprintf("c%02d", i), Yard: []string{"hill", "lane"}[i%2], Stand: i,
					Need: 6, Feeder: 7.5, Uptake: 2, Risk: float64((i*37)%60) / 60})
			}
			pl := mustMake(t, p)
			least, left := 1.0, 0.0
			for _, h := range p.Hives {
				if givenTo(pl, h.Colony) > 0 {
					least = min(least, h.Risk)
					continue
				}
				left = max(left, h.Risk)
				if u := unmetOf(pl, h.Colony); u == nil || !hasCode(u.Why, c.code) {
					t.Errorf("%s is left out without the reason: %+v", h.Colony, u)
				}
			}
			if !hasCode(pl.Reasons, "risk-first") {
				t.Errorf("the plan does not say that risk comes first: %v", pl.Reasons)
			}
			if pl.Totals.Fills < 10 || pl.Totals.Fills > 50 || left > least+set.V("feeding.risk_band") {
				t.Errorf("%d fed; least risk fed %v, greatest left out %v\n%s", pl.Totals.Fills, least, left, dump(pl))
			}
		})
	}
}

// TestBigYard: a yard that takes more than a day is done on several, in walking
// order, full tanks first.
func TestBigYard(t *testing.T) {
	p := tiny()
	p.Hives, p.Yards = nil, p.Yards[:1]
	p.Crew.PerDay = 4 * units.Hour
	for i := range 100 {
		p.Hives = append(p.Hives, Hive{Colony: fmt.Sprintf("c%02d", i), Yard: "hill", Stand: i, Need: 6, Feeder: 7.5, Uptake: 2, Risk: 1})
	}
	pl := mustMake(t, p)
	if pl.Totals.Loads != 4 || pl.Totals.Fills != 100 || len(pl.Unmet) > 0 || pl.Bounds.Loads != 4 {
		t.Errorf("600 L in a tank of 150: want 4 loads\n%s", dump(pl))
	}
	next := 0
	for _, l := range pl.Loads {
		for _, f := range l.Stops[0].Fills {
			if f.Colony != fmt.Sprintf("c%02d", next) {
				t.Fatalf("%s comes in place of c%02d", f.Colony, next)
			}
			next++
		}
	}
}

func TestLoadsPerDay(t *testing.T) {
	p := tiny()
	p.Rigs[0].Tank = 16
	p.Crew.LoadsPerDay = 1
	if pl := mustMake(t, p); len(pl.Unmet) > 0 || pl.Totals.Loads < 2 {
		t.Errorf("one load a day\n%s", dump(pl))
	}
}

// TestCost by hand: 24.540… kg at 0.90, the road at 0.55 and hours at 18.
func TestCost(t *testing.T) {
	money := func(n string) units.Money {
		m, err := units.NewMoney(n, "USD")
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	p := tiny()
	p.Kitchen.Density, p.Kitchen.Strength = 1200, 0.5
	p.Rigs[0].Payload = 0
	p.Price = Price{SugarPerKg: money("0.90"), PerKm: money("0.55")}
	pl := mustMake(t, p)
	// 27.75 L × 1.2 kg/L × 0.5 = 16.65 kg; × 0.90 = 14.985.
	if got := pl.Totals.CostParts["sugar"].String(); got != "14.98500 USD" && got != "14.985 USD" {
		t.Errorf("sugar costs %s, want 14.985 USD", got)
	}
	if _, told := pl.Totals.CostParts["hours"]; told {
		t.Error("hours are priced without a price")
	}
	want, err := pl.Totals.CostParts["sugar"].Plus(pl.Totals.CostParts["km"])
	if err != nil || want.String() != pl.Totals.Cost.String() {
		t.Errorf("total %s, parts %s", pl.Totals.Cost, want)
	}
	p.Price = Price{}
	if pl := mustMake(t, p); !pl.Totals.Cost.IsZero() || pl.Totals.CostParts != nil {
		t.Errorf("no prices told, cost %s", pl.Totals.Cost)
	}
	eur, _ := units.NewMoney("1", "EUR")
	p.Price = Price{SugarPerKg: money("1"), PerKm: eur}
	if pl := mustMake(t, p); !pl.Totals.Cost.IsZero() || len(pl.Totals.CostParts) != 2 {
		t.Errorf("two currencies cannot be one total: %s", pl.Totals.Cost)
	}
}

func TestRecipe(t *testing.T) {
	// 1 L of 2:1 by weight holds 0.884 kg of sugar (colony evidence, section 3).
	sugar, water, err := Recipe(1, 2.0/3, 1326)
	if err != nil || math.Abs(sugar.Kg()-0.884) > 0.001 || math.Abs(sugar.Kg()+water.L()*WaterDensity-1.326) > 1e-12 {
		t.Errorf("%v %v %v", sugar, water, err)
	}
	for _, c := range []struct {
		w   units.Strength
		rho units.Density
	}{{1, 1300}, {-0.1, 1300}, {0.5, 1.3}, {0.5, units.Density(math.NaN())}} {
		if _, _, err := Recipe(1, c.w, c.rho); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("%v %v: %v", c.w, c.rho, err)
		}
	}
}

func TestMakeRefuses(t *testing.T) {
	for _, c := range []struct {
		what  string
		kind  fault.Kind
		spoil func(p *Problem)
	}{
		{"a colony twice", fault.Conflict, func(p *Problem) { p.Hives[1].Colony = "h1" }},
		{"a colony without a name", fault.Missing, func(p *Problem) { p.Hives[1].Colony = "" }},
		{"a yard twice", fault.Conflict, func(p *Problem) { p.Yards[1].ID = "hill" }},
		{"a yard without a name", fault.Missing, func(p *Problem) { p.Yards[1].ID = "" }},
		{"a yard nobody told of", fault.NotFound, func(p *Problem) { p.Hives[0].Yard = "moor" }},
		{"a need below zero", fault.OutOfRange, func(p *Problem) { p.Hives[0].Need = -1 }},
		{"a need that is no number", fault.OutOfRange, func(p *Problem) { p.Hives[0].Need = units.Volume(math.NaN()) }},
		{"a chance above one", fault.OutOfRange, func(p *Problem) { p.Hives[0].Risk = 1.5 }},
		{"a factor above one", fault.OutOfRange, func(p *Problem) { p.Yards[0].Factor[3] = 1.2 }},
		{"an endless season", fault.OutOfRange, func(p *Problem) { p.Days = 5000 }},
		{"an endless lid", fault.OutOfRange, func(p *Problem) { p.Rigs[0].PerHive = 1e9 }},
		{"setting up backwards", fault.OutOfRange, func(p *Problem) { p.Yards[0].Setup = -5 }},
		{"no truck", fault.Missing, func(p *Problem) { p.Rigs = nil }},
		{"no tank", fault.Missing, func(p *Problem) { p.Rigs[0].Tank = 0 }},
		{"no pump", fault.Missing, func(p *Problem) { p.Rigs[0].Pump = 0 }},
		{"no crew", fault.Missing, func(p *Problem) { p.Crew.PerDay = 0 }},
		{"no strength", fault.Missing, func(p *Problem) { p.Kitchen.Strength = 0 }},
		{"no density", fault.Missing, func(p *Problem) { p.Kitchen.Density = 0 }},
		{"no roads", fault.Missing, func(p *Problem) { p.Road = nil }},
		{"a truck that carries nothing", fault.WontFit, func(p *Problem) { p.Rigs[0].Payload = 1e-6 }},
	} {
		p := tiny()
		c.spoil(&p)
		_, err := Make(p)
		if !fault.Is(err, c.kind) {
			t.Errorf("%s: %v, want %v", c.what, err, c.kind)
		}
	}
}

func TestNothingShort(t *testing.T) {
	p := tiny()
	for i := range p.Hives {
		p.Hives[i].Need = 0
	}
	p.Rigs, p.Road = nil, nil // nobody asks about the truck when nothing is hauled
	pl := mustMake(t, p)
	if len(pl.Loads)+len(pl.Batches)+len(pl.Unmet) > 0 || !hasCode(pl.Reasons, "nothing-short") || pl.Seed != 7 || len(pl.Colonies) != 5 {
		t.Errorf("%+v", pl)
	}
	if pl := mustMake(t, Problem{Start: start, Figures: set}); len(pl.Colonies) != 0 {
		t.Errorf("%+v", pl)
	}
}

// TestCheckSees: a good plan, broken in one place; Check must say so.
func TestCheckSees(t *testing.T) {
	for what, spoil := range map[string]func(p *Problem, pl *Plan){
		"a fill too large":      func(p *Problem, pl *Plan) { pl.Loads[0].Stops[0].Fills[0].Volume += 0.5 },
		"a fill left out":       func(p *Problem, pl *Plan) { s := &pl.Loads[0].Stops[0]; s.Fills = s.Fills[:len(s.Fills)-1] },
		"a day without a round": func(p *Problem, pl *Plan) { p.Yards[0].Feed[0] = false },
		"a smaller feeder":      func(p *Problem, pl *Plan) { p.Hives[0].Feeder = 5 },
		"an earlier stop day":   func(p *Problem, pl *Plan) { p.Yards[0].Stop = start + 1 },
		"slower bees":           func(p *Problem, pl *Plan) { p.Hives[1].Uptake = 0.1 },
		"a held colony":         func(p *Problem, pl *Plan) { p.Hives[0].Hold = []Reason{{Code: CodeSuper, Say: "on"}} },
		"a smaller tank":        func(p *Problem, pl *Plan) { p.Rigs[0].Tank = 20 },
		"a smaller payload":     func(p *Problem, pl *Plan) { p.Rigs[0].Payload = 20 },
		"a shorter day":         func(p *Problem, pl *Plan) { p.Crew.PerDay = 4000 },
		"fewer loads a day":     func(p *Problem, pl *Plan) { p.Crew.LoadsPerDay = 1; pl.Loads[1].Day = pl.Loads[0].Day },
		"a longer road":         func(p *Problem, pl *Plan) { pl.Loads[0].Dist -= 50 },
		"a late batch":          func(p *Problem, pl *Plan) { pl.Batches[0].Day++ },
		"a thin batch":          func(p *Problem, pl *Plan) { pl.Batches[0].Sugar *= 0.9 },
		"a batch too many":      func(p *Problem, pl *Plan) { pl.Batches = append(pl.Batches, pl.Batches[0]) },
		"a small mixer":         func(p *Problem, pl *Plan) { p.Kitchen.Mixer = 10 },
		"a fill without reason": func(p *Problem, pl *Plan) { pl.Loads[0].Stops[0].Fills[0].Why = nil },
		"a need not met":        func(p *Problem, pl *Plan) { p.Hives[0].Need, pl.Colonies[0].Need = 9, 9 },
		"a need overfed":        func(p *Problem, pl *Plan) { p.Hives[0].Need, pl.Colonies[0].Need = 3, 3 },
		"comb without room":     func(p *Problem, pl *Plan) { p.Hives[0].Room, p.Hives[0].RoomTold = 3, true },
		"a wrong total":         func(p *Problem, pl *Plan) { pl.Totals.Sugar++ },
		"a bound too high":      func(p *Problem, pl *Plan) { pl.Bounds.Loads = 3 },
		"a colony dropped":      func(p *Problem, pl *Plan) { pl.Colonies = pl.Colonies[1:] },
		"a wrong number":        func(p *Problem, pl *Plan) { pl.Loads[1].N = 5 },
		"out of walking order": func(p *Problem, pl *Plan) {
			for i := range pl.Loads[0].Stops {
				if f := pl.Loads[0].Stops[i].Fills; len(f) > 1 {
					f[0], f[1] = f[1], f[0]
				}
			}
		},
	} {
		p := tiny()
		pl, err := Make(p)
		if err != nil {
			t.Fatal(err)
		}
		if errs := Check(p, pl); len(errs) > 0 {
			t.Fatalf("the plan itself: %v", errs)
		}
		spoil(&p, &pl)
		if len(Check(p, pl)) == 0 {
			t.Errorf("%s goes unseen", what)
		}
	}
}
