package season

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/verify"
	"larder/internal/weather"
	"pgregory.net/rapid"
)

// anySeason draws a season for the planner, of whatever kind: roomy, short of
// days, hours, tank, syrup or store, with held hives, feeders that are off or
// half full, comb that is full, ways that are not known, several trucks, syrup
// elsewhere, gates, helper days.
func anySeason(t *rapid.T) feeding.Problem {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	whole := func(name string, lo, hi int) int { return rapid.IntRange(lo, hi).Draw(t, name) }
	maybe := func(name string, lo, hi float64) float64 { // 0 is "not told"
		if whole(name+" told", 0, 5) == 0 {
			return 0
		}
		return num(name, lo, hi)
	}
	// Drawn from a list, so that most seasons have something in them: ranges
	// favour their ends.
	of := func(name string, of ...float64) float64 { return rapid.SampledFrom(of).Draw(t, name) }
	p := feeding.Problem{Start: units.DayOf(2026, 9, 7), Days: int(of("days", 1, 3, 7, 12, 18, 30)), Seed: rapid.Uint64().Draw(t, "seed"),
		Figures: figure.NewSet(feeding.Figures(), weather.Figures())}
	rare := func(name string) bool { return whole(name+"?", 0, 3) == 0 }
	days := func(name string) (out []bool) {
		for range whole(name+" told", 0, p.Days+2) {
			out = append(out, whole(name, 0, 3) > 0)
		}
		return out
	}
	for i := range 1 + whole("more trucks", 0, 5)/4*whole("trucks", 1, 2) {
		r := feeding.Rig{Truck: fmt.Sprintf("van %d", i), Tank: units.Volume(of("tank", 3, 18, 45.5, 120, 400)), Payload: units.Mass(maybe("payload", 10, 500)),
			Pump: units.Flow(of("pump", 1, 6.5, 12, 30) / 60), PerHive: units.Duration(maybe("per hive", 1, 300)), Fill: units.Duration(maybe("fill", 1, 3600))}
		if rare("hands") {
			r.Shared = units.Duration(num("shared", 0, 300))
		}
		if rare("own day") {
			r.PerDay, r.LoadsPerDay = units.Duration(of("truck's hours", 0.5, 4, 7, 14)*3600), whole("truck's loads", 0, 3)
		}
		if rare("out") {
			r.Out = days("goes out")
		}
		p.Rigs = append(p.Rigs, r)
	}
	p.Kitchen = feeding.Kitchen{Strength: units.Strength(num("strength", 0.4, 0.7)), Density: units.Density(num("density", 1150, 1360)),
		Mixer: units.Volume(maybe("mixer", 5, 250)), Mixing: units.Duration(maybe("mixing", 60, 9000)),
		OnHand: units.Volume(maybe("in hand", 0.1, 120)), Store: units.Volume(maybe("store", 5, 300))}
	p.Crew = feeding.Crew{PerDay: units.Duration(of("hours", 0.5, 3, 5.5, 8, 14) * 3600), LoadsPerDay: whole("loads", 0, 4)}
	p.Crew.Hands = whole("usual hands", 0, 3)
	if rare("helper days") {
		for range whole("days told", 0, p.Days+1) {
			p.Crew.Day = append(p.Crew.Day, feeding.CrewDay{PerDay: units.Duration(maybe("that day", 0.5, 14) * 3600), Hands: whole("hands", 0, 4), Off: whole("off", 0, 4) == 0})
		}
	}
	p.Iterations = whole("steps", 0, 60)
	gates := rare("gates")
	if gates {
		p.Crew.Begins = units.Duration(whole("begins", 0, 40) * 900)
	}
	for k, m := range []*units.Money{&p.Price.SugarPerKg, &p.Price.PerKm, &p.Price.PerHour} {
		if c := whole("price", 0, 6); c > 0 {
			*m = units.MustMoney(fmt.Sprintf("%d.%02d %s", whole("whole", 0, 40), whole("cents", 0, 99), []string{"EUR", "USD"}[c/6*k%2]))
		}
	}
	n := int(of("yards", 1, 2, 3, 5, 8))
	more := 0
	if rare("sources") {
		more = whole("sources", 1, 2)
	}
	x, y := make([]float64, n+1+more), make([]float64, n+1+more)
	id := map[string]int{"": 0}
	for i := range n {
		x[i+1], y[i+1] = of("x", -40, -11, -3, 0, 6, 14.5, 27), of("y", -33, -10, 0, 2, 7, 12, 38)
		yard := feeding.Yard{ID: fmt.Sprintf("yard-%d", i), Setup: units.Duration(maybe("setup", 1, 2000))}
		if gates && rare("gate") {
			yard.Opens, yard.Shuts = units.Duration(whole("opens", 0, 60)*900), units.Duration(whole("shuts", 40, 96)*900)
			if rare("never shuts") {
				yard.Shuts = 0
			}
		}
		if whole("stop told", 0, 9) > 0 {
			yard.Stop = p.Start + units.Day(float64(p.Days)*of("stop", -0.1, 0.3, 0.6, 0.9, 1, 1.4))
		}
		for range whole("told", max(0, p.Days-4), p.Days) {
			yard.Factor = append(yard.Factor, rapid.SampledFrom([]float64{0, 0.1, 0.3, 0.55, 0.9, 1}).Draw(t, "factor"))
			yard.Feed = append(yard.Feed, whole("feed", 0, 4) > 0)
		}
		id[yard.ID] = i + 1
		p.Yards = append(p.Yards, yard)
		for k := range int(of("hives", 0, 1, 3, 5, 9)) {
			h := feeding.Hive{Colony: fmt.Sprintf("%d-%d", i, k), Yard: yard.ID, Stand: k, Need: units.Volume(of("need", 0, 0.3, 2, 4.7, 8, 11.25, 16, 25)),
				Feeder: units.Volume(of("feeder", 0, 1, 3.785411784, 3.785411784, 7.570823568, 7.570823568, 15)),
				Uptake: units.Volume(of("uptake", 0, 0.4, 1, 1.7, 2.5, 4)), Risk: num("risk", 0, 1), Never: rare("never empty")}
			switch whole("kind", 0, 9) {
			case 0:
				h.Hold = []feeding.Reason{{Code: "hold", Say: "it may not be fed"}}
			case 1, 2:
				h.InFeeder = units.Volume(num("in feeder", 0, math.Max(1, h.Feeder.L())))
			case 3:
				h.RoomTold, h.Room = true, units.Volume(num("room", 0, 20))
			}
			p.Hives = append(p.Hives, h)
		}
	}
	for i := range more {
		k := n + 1 + i
		x[k], y[k] = of("x", -20, -2, 0, 9, 18), of("y", -15, 0, 3, 11)
		place := fmt.Sprintf("shed %d", i)
		id[place] = k
		p.Sources = append(p.Sources, feeding.Source{Place: place, OnHand: units.Volume(of("there", 0, 15, 80, 300)), Fill: units.Duration(maybe("fill there", 1, 3600)), From: p.Start + units.Day(whole("there from", -2, p.Days))})
	}
	unknown := whole("unknown way", 0, 3*n*n)
	p.Road = func(from, to string) (feeding.Road, bool) {
		a, b := id[from], id[to]
		km := 1.25 * math.Hypot(x[a]-x[b], y[a]-y[b])
		return feeding.Road{Dist: units.Length(1000 * km), Time: units.Duration(72 * km)}, a*n+b != unknown
	}
	return p
}

// everyPlanHolds: whatever the season, the plan made for it is clean by an
// arithmetic that knows nothing of the planner.
func everyPlanHolds(t *rapid.T) {
	p := anySeason(t)
	pl, err := feeding.Make(p)
	if err != nil {
		t.Fatalf("no plan: %v", err)
	}
	for _, f := range Verify(&p, &pl) {
		t.Errorf("%v", f)
	}
	if len(p.Hives) == 0 {
		return
	}
	// And made anew from the one already out, when one hive turns out otherwise.
	p.Before = &pl
	p.Hives = append([]feeding.Hive(nil), p.Hives...)
	h := &p.Hives[rapid.IntRange(0, len(p.Hives)-1).Draw(t, "hive")]
	h.Need = units.Volume(rapid.SampledFrom([]float64{0, 1.5, 6, 13}).Draw(t, "needs now"))
	again, err := feeding.Make(p)
	if err != nil {
		t.Fatalf("no plan anew: %v", err)
	}
	for _, f := range Verify(&p, &again) {
		t.Errorf("anew: %v", f)
	}
}

func TestEveryPlanHolds(t *testing.T) { rapid.Check(t, everyPlanHolds) }

// FuzzEveryPlanHolds draws seasons from bytes: head as the fuzzer likes, and
// after it what follows from tail, because short inputs would end before there
// is a season.
func FuzzEveryPlanHolds(f *testing.F) {
	hold := rapid.MakeFuzz(everyPlanHolds)
	for n := range uint64(16) {
		f.Add([]byte{byte(n)}, n)
	}
	f.Fuzz(func(t *testing.T, head []byte, tail uint64) {
		r, in := rand.New(rand.NewPCG(tail, 1)), head
		for range 16 << 10 {
			in = append(in, byte(r.Uint32()))
		}
		hold(t, in)
	})
}

// TestMadePlansCanBeBroken takes the planner's own plans, breaks one rule in
// each of them by a little, and wants it named. A rule that binds nowhere in a
// plan is left out there; each has to be broken often enough all the same.
func TestMadePlansCanBeBroken(t *testing.T) {
	type hand struct {
		p  *feeding.Problem
		pl *feeding.Plan
		f  *verify.Facts
		s  *verify.Schedule
	}
	of := func(h hand, c string) *verify.Hive {
		for i := range h.f.Hives {
			if h.f.Hives[i].ID == c {
				return &h.f.Hives[i]
			}
		}
		return nil
	}
	fill := func(h hand) (*verify.Load, *verify.Call, *verify.Fill) {
		l := &h.s.Loads[len(h.s.Loads)-1]
		c := &l.Stops[len(l.Stops)-1]
		return l, c, &c.Fills[len(c.Fills)-1]
	}
	truck := func(h hand, l *verify.Load) *verify.Truck {
		for i := range h.f.Trucks {
			if h.f.Trucks[i].Name == l.Truck {
				return &h.f.Trucks[i]
			}
		}
		return nil
	}
	yard := func(h hand, id string) *verify.Yard {
		for i := range h.f.Yards {
			if h.f.Yards[i].ID == id {
				return &h.f.Yards[i]
			}
		}
		return nil
	}
	ways := []struct {
		rule verify.Rule
		harm func(h hand) bool // false: cannot be broken here
	}{
		{verify.Feeder, func(h hand) bool { _, _, f := fill(h); of(h, f.Colony).Feeder = f.Volume - 0.001; return true }},
		{verify.Need, func(h hand) bool {
			_, _, f := fill(h)
			var sum units.Volume
			for _, c := range h.s.Colonies {
				if c.ID == f.Colony {
					sum = c.Given
				}
			}
			of(h, f.Colony).Need = sum - 0.001
			return true
		}},
		{verify.Room, func(h hand) bool {
			_, _, f := fill(h)
			of(h, f.Colony).RoomTold, of(h, f.Colony).Room = true, f.Volume-0.001
			return true
		}},
		{verify.Stop, func(h hand) bool { l, c, _ := fill(h); yard(h, c.Yard).Stop = l.Day - 1; return true }},
		{verify.Held, func(h hand) bool { _, _, f := fill(h); of(h, f.Colony).Held = "super"; return true }},
		{verify.Day, func(h hand) bool {
			l, c, _ := fill(h)
			y := yard(h, c.Yard)
			y.Feed = append([]bool(nil), y.Feed...)
			y.Feed[l.Day-h.f.Start] = false
			return true
		}},
		{verify.Tank, func(h hand) bool { l, _, _ := fill(h); truck(h, l).Tank = l.Syrup - 0.001; return true }},
		{verify.Payload, func(h hand) bool {
			l, _, _ := fill(h)
			truck(h, l).Payload = units.Mass(l.Syrup.L()*float64(h.f.Kitchen.Density)/1000 - 0.01)
			return truck(h, l).Payload > 0
		}},
		{verify.Work, func(h hand) bool {
			l, _, _ := fill(h)
			if d := int(l.Day - h.f.Start); d < len(h.f.Crew.Days) {
				h.f.Crew.Days[d].PerDay = l.Time - 3
			}
			truck(h, l).PerDay = l.Time - 3
			return l.Time > 3
		}},
		{verify.Road, func(h hand) bool {
			l, c, _ := fill(h)
			delete(h.f.Legs, verify.Way{From: c.Yard, To: l.To})
			return true
		}},
		{verify.Stock, func(h hand) bool {
			h.f.Kitchen.OnHand -= 0.01
			return h.f.Kitchen.OnHand >= 0 && len(h.s.Batches) > 0
		}},
		{verify.Stock, func(h hand) bool {
			if len(h.s.Batches) == 0 {
				return false
			}
			h.s.Batches = h.s.Batches[:len(h.s.Batches)-1]
			return true
		}},
		{verify.Mixer, func(h hand) bool {
			if len(h.s.Batches) == 0 {
				return false
			}
			h.f.Kitchen.Mixer = h.s.Batches[0].Syrup - 0.001
			return true
		}},
		{verify.Mass, func(h hand) bool { h.f.Kitchen.Strength += 0.001; return len(h.s.Batches) > 0 }},
		{verify.Sum, func(h hand) bool { _, _, f := fill(h); f.Volume -= 0.001; return f.Volume > 0 }},
		{verify.Sum, func(h hand) bool { h.s.Totals.Dist += 500; return true }},
		{verify.Unmet, func(h hand) bool {
			if len(h.s.Unmet) == 0 {
				return false
			}
			u := h.s.Unmet[0]
			h.s.Unmet = h.s.Unmet[1:]
			return u.Volume > 0.011
		}},
		{verify.Bound, func(h hand) bool { h.s.Bounds.Visits = h.s.Totals.Visits + 1; return true }},
		{verify.Row, func(h hand) bool { h.s.Colonies = h.s.Colonies[1:]; return true }},
	}
	broken := make([]int, len(ways))
	rapid.Check(t, func(t *rapid.T) {
		p := anySeason(t)
		pl, err := feeding.Make(p)
		if err != nil || len(pl.Loads) == 0 {
			return
		}
		for k, w := range ways {
			f, s := plainFacts(&p, &pl), plainPlan(&pl)
			if !w.harm(hand{&p, &pl, &f, &s}) {
				continue
			}
			named := false
			for _, x := range verify.Plan(&f, &s) {
				named = named || x.Rule == w.rule && len(x.Say) > 10
			}
			if !named {
				t.Errorf("way %d of breaking the rule %q is not named", k, w.rule)
			}
			broken[k]++
		}
	})
	for k, n := range broken {
		if n < 3 {
			t.Errorf("way %d (%s) was tried %d times", k, ways[k].rule, n)
		}
	}
}

// TestNoBrokenPlanIsGiven: a plan that breaks a rule comes back as an error of
// ours, with a sentence for people and the rule for the log.
func TestNoBrokenPlanIsGiven(t *testing.T) {
	day := units.DayOf(2026, 9, 7)
	p := feeding.Problem{Start: day, Days: 3, Figures: figure.NewSet(feeding.Figures(), weather.Figures()),
		Rigs:    []feeding.Rig{{Truck: "van", Tank: 100, Pump: 0.2}},
		Kitchen: feeding.Kitchen{Strength: 0.6, Density: 1290}, Crew: feeding.Crew{PerDay: 8 * units.Hour},
		Yards: []feeding.Yard{{ID: "hill", Feed: []bool{true, true, true}, Factor: []float64{1, 1, 1}, Stop: day + 2}},
		Hives: []feeding.Hive{{Colony: "h1", Yard: "hill", Need: 4, Feeder: 7, Uptake: 2}},
		Road:  func(from, to string) (feeding.Road, bool) { return feeding.Road{Dist: 9000, Time: 600}, true },
	}
	pl, err := feeding.Make(p)
	if err != nil {
		t.Fatal(err)
	}
	if err := proven(&p, &pl); err != nil || len(pl.Loads) != 1 {
		t.Fatalf("%d loads, %v", len(pl.Loads), err)
	}
	pl.Loads[0].Stops[0].Fills[0].Volume += 0.5
	err = proven(&p, &pl)
	var e *fault.Error
	if !errors.As(err, &e) || e.Kind != fault.Internal || e.Hint == "" || !strings.Contains(e.Say, "not shown") {
		t.Fatalf("%#v", err)
	}
	if e.Err == nil || !strings.Contains(e.Err.Error(), "h1") && !strings.Contains(e.Err.Error(), "load 1") {
		t.Errorf("the log is told %v", e.Err)
	}
}

// BenchmarkVerify is what a keeper of 100,000 colonies waits for his plan to be
// gone through: handing it over and working it through.
func BenchmarkVerify(b *testing.B) {
	p := feeding.Problem{Start: units.DayOf(2026, 9, 7), Days: 30, Figures: figure.NewSet(feeding.Figures(), weather.Figures()),
		Rigs:    []feeding.Rig{{Truck: "van", Tank: 20_000, Pump: 100}},
		Kitchen: feeding.Kitchen{Strength: 0.6, Density: 1290}, Crew: feeding.Crew{PerDay: 1e6 * units.Hour},
		Road: func(from, to string) (feeding.Road, bool) { return feeding.Road{Dist: 9000, Time: 600}, true },
	}
	feed, warm := make([]bool, p.Days), make([]float64, p.Days)
	for d := range feed {
		feed[d], warm[d] = d%2 == 0, 1
	}
	for y := range 250 {
		id := fmt.Sprintf("yard-%d", y)
		p.Yards = append(p.Yards, feeding.Yard{ID: id, Feed: feed, Factor: warm, Stop: p.Start + 29})
		for k := range 400 {
			p.Hives = append(p.Hives, feeding.Hive{Colony: fmt.Sprintf("%d-%d", y, k), Yard: id, Stand: k, Need: 12, Feeder: 7, Uptake: 1.5})
		}
	}
	pl, err := feeding.Make(p)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if x := Verify(&p, &pl); len(x) > 0 {
			b.Fatal(x[0])
		}
	}
	b.ReportMetric(float64(pl.Totals.Fills), "fills")
}
