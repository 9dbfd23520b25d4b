package season

import (
	"maps"
	"math"
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/route"
	"larder/internal/units"
	"larder/internal/weather"
)

var nan = math.NaN()

// Planned is a plan with what it was made from.
type Planned struct {
	feeding.Plan
	Problem feeding.Problem
	Short   []Short
	Stops   []YardStop
	Sources []PlanSource // mixed syrup elsewhere, by name
	Frames  []FrameOffer // sealed frames to be moved before syrup: agreed ones first
	// Cut tells that the search was stopped before its end, because what was found
	// would do. The plan keeps every rule all the same.
	Cut bool
	// Skipped are the colonies left out of it by their ids; nil = none.
	Skipped map[string]bool
	// Basis marks all that the plan is made from but the colonies.
	Basis string
}

// YardStop is the stop day of one yard and where it comes from.
type YardStop struct {
	Yard  apiary.Yard
	Stop  weather.Stop
	Known bool
	Why   []feeding.Reason
	Lost  bool // it has home's place, and was told to lie further off: nobody said where
	// Typed, Usual and Carried say whose day it is: the keeper's own; the one usual
	// for this class of winter, for want of weather or because he typed the same; the
	// keeper's of another autumn, for want of anything better.
	Typed, Usual, Carried bool
}

// typedStop gives the stop day typed for the season of a day, 0 where there is
// none: a day typed for another autumn says nothing of this one.
func (b *bench) typedStop(y apiary.Yard, day units.Day) units.Day {
	south := b.isSouth(y.ID)
	if y.Stop == 0 || weather.Season(y.Stop, south) != weather.Season(day, south) {
		return 0
	}
	return y.Stop
}

// Plan works out what to feed from at on: shortages, then days, loads, rounds
// and batches. The same facts, moment and seed give the same plan. Faults:
// fault.Missing when something needed has not been told (a tank, say).
func (st *State) Plan(at units.Moment, seed uint64) (Planned, error) {
	return st.plan(at, seed, 0, nil, nil, nil)
}

// PlanSteps is [State.Plan] with the search stopped after just so many steps, 0 =
// as many as befit the size: with the seed and the steps of a plan, and the same
// facts and moment, that plan is had again.
func (st *State) PlanSteps(at units.Moment, seed uint64, steps int) (Planned, error) {
	if steps < 0 {
		return Planned{}, fault.Newf(fault.OutOfRange, "", "a search cannot take %d steps", steps)
	}
	return st.plan(at, seed, steps, nil, nil, nil)
}

// Watch is told how far the making of a plan is. When it answers false the
// making stops with fault.Stopped.
type Watch func(Progress) (goOn bool)

// Progress is how far a longer piece of work is.
type Progress struct {
	Stage    string // "judge" colonies, then "plan" days
	Done, Of int
	Found    bool // there is a plan already, which could be had: see [State.PlanSoFar]
	Loads    int  // of that plan
}

// PlanWatched is [State.PlanFor] under the eyes of watch, and with the same
// result.
func (st *State) PlanWatched(at units.Moment, seed uint64, skip map[string]bool, watch Watch) (Planned, error) {
	return st.plan(at, seed, 0, skip, watch, nil)
}

// PlanSoFar is [State.PlanWatched], but once enough answers true it gives the
// best plan found so far, as soon as there is one: Cut is true then, and a reason
// says so.
func (st *State) PlanSoFar(at units.Moment, seed uint64, skip map[string]bool, watch Watch, enough func() bool) (Planned, error) {
	return st.plan(at, seed, 0, skip, watch, enough)
}

func (st *State) plan(at units.Moment, seed uint64, steps int, skip map[string]bool, watch Watch, enough func() bool) (Planned, error) {
	b := st.bench(at)
	var short []Short
	all := st.Colonies()
	for i, c := range all {
		if watch != nil && i%50 == 0 && !watch(Progress{Stage: "judge", Done: i, Of: len(all)}) {
			return Planned{}, notReady()
		}
		if c.State == apiary.Alive && !skip[c.ID] {
			short = append(short, b.short(c))
		}
	}
	frames := b.frames(short)
	p, stops, err := b.problem(short, seed)
	if err != nil {
		return Planned{}, err
	}
	p.Iterations = steps
	sources := b.sources()
	b.planSources(&p, sources)
	b.from(&p)
	plan, whole, err := made(p, watch, enough)
	if err == nil {
		err = proven(&p, &plan)
		if err != nil && p.Before != nil { // a plan of its own then, which stands on nothing
			p.Before, p.Fresh = nil, false
			if plan, whole, err = made(p, watch, enough); err == nil {
				err = proven(&p, &plan)
			}
		}
	}
	if err != nil {
		return Planned{}, err
	}
	if !whole {
		plan.Reasons = append(plan.Reasons, feeding.Reason{Code: "cut",
			Say: "stopped when asked for, after {0} steps of the search: it keeps every rule, but a better one may be found by going on", Amounts: []any{plan.Iterations}})
	}
	plan.Reasons = append(plan.Reasons, st.MixedStore(at).Why...)
	elsewhere := fetches(sources, &plan)
	return Planned{Plan: plan, Problem: p, Short: short, Stops: stops, Sources: elsewhere, Frames: frames, Cut: !whole, Skipped: maps.Clone(skip), Basis: b.basis(&p)}, nil
}

// made has the planner make a plan, and stops it where watch says so, or where
// what there is is enough: whole is false then.
func made(p feeding.Problem, watch Watch, enough func() bool) (pl feeding.Plan, whole bool, err error) {
	if watch == nil && enough == nil {
		pl, err = feeding.Make(p)
		return pl, true, err
	}
	cut := false
	pl, whole, err = feeding.MakeSoFar(p, func(g feeding.Progress) bool {
		if g.Found && enough != nil && enough() {
			cut = true
			return false
		}
		return watch == nil || watch(Progress{Stage: "plan", Done: g.Done, Of: g.Of, Found: g.Found, Loads: g.Loads})
	})
	if err == nil && !whole && !cut {
		return feeding.Plan{}, false, notReady()
	}
	return pl, whole, err
}

// MostGiven is the most that one colony gets in the plan: no more of one batch
// goes to it either, which a label's limit for a colony is held against.
func (p *Planned) MostGiven() units.Volume {
	var most units.Volume
	for i := range p.Colonies {
		most = max(most, p.Colonies[i].Given)
	}
	return most
}

// NotServed lists the need the plan cannot serve, and the colonies of which
// nobody can say what they need (with no volume): those are never taken for
// fine. By yard, then name.
func (p *Planned) NotServed() []feeding.Unmet {
	unmet := slices.Clone(p.Unmet)
	listed := map[string]bool{}
	for _, u := range unmet {
		listed[u.Colony] = true
	}
	for i := range p.Short {
		x := &p.Short[i]
		if !x.Lack.Known && !x.NeedTyped && !listed[x.Colony.ID] {
			unmet = append(unmet, feeding.Unmet{Colony: x.Colony.ID, Yard: x.Colony.Yard, Why: x.Headline()})
		}
	}
	slices.SortFunc(unmet, func(a, b feeding.Unmet) int {
		if c := strings.Compare(a.Yard, b.Yard); c != 0 {
			return c
		}
		return NameOrder(a.Colony, b.Colony)
	})
	return unmet
}

// StopDays gives the stop day of each yard as of at.
func (st *State) StopDays(at units.Moment) []YardStop {
	b := st.bench(at)
	var out []YardStop
	for _, y := range st.Yards() {
		out = append(out, b.stopDay(y, at.Day()))
	}
	return out
}

// problem gathers what the planner needs.
func (b *bench) problem(short []Short, seed uint64) (feeding.Problem, []YardStop, error) {
	s := b.st.Settings
	syr, err := b.st.Syrup()
	if err != nil {
		return feeding.Problem{}, nil, err
	}
	rate, lag := s.PumpRate()
	payload, err := s.SyrupPayload()
	if err != nil {
		return feeding.Problem{}, nil, err
	}
	lids := shared(orMin(s.PerHive, b.figs.V("feeding.per_hive_min")), s.People)
	p := feeding.Problem{
		Start: s.Start, Days: s.Days, Seed: seed, Figures: b.figs,
		Rigs: []feeding.Rig{{Truck: s.Truck, Tank: s.TankUsable(), Payload: payload, Pump: orFlow(rate, b.figs.V("feeding.pump_l_min")),
			PerHive: lids + lag, Shared: lids, Fill: orMin(s.Filling, b.figs.V("feeding.fill_tank_min"))}},
		Kitchen: feeding.Kitchen{Strength: syr.Recipe.Strength, Density: syr.Density, Mixer: s.Mixer,
			Mixing: orMin(s.Mixing, b.figs.V("feeding.mixing_min")), OnHand: b.st.MixedStore(b.at).Counts, Store: s.Store},
		Crew:  feeding.Crew{PerDay: orMin(s.PerDay, b.figs.V("feeding.crew_h")*60), LoadsPerDay: s.LoadsPerDay, Hands: s.People, Begins: s.Begins},
		Price: feeding.Price{SugarPerKg: s.SugarPerKg, PerKm: s.PerKm, PerHour: s.PerHour},
	}
	if p.Start <= b.at.Day() {
		p.Start = b.at.Day() + 1
	}
	if p.Days == 0 {
		p.Days = int(b.figs.V("season.plan_days"))
	}
	p.Rigs = b.fleet(p.Rigs[0], lag)
	p.Crew.Day = b.crewDays(p.Start, p.Days)
	if p.Rigs[0].Tank <= 0 {
		return p, nil, fault.New(fault.Missing, "rig.tank", "it is not told what the tank holds").
			WithHint("set rig.tank to what really comes out of it, for example 40 US gal")
	}
	if p.Road, err = b.roads(); err != nil {
		return p, nil, err
	}
	var stops []YardStop
	for _, y := range b.st.Yards() {
		ys := b.stopDay(y, p.Start)
		py := b.planYard(y, ys, p.Start, p.Days)
		for _, r := range py.Why[len(ys.Why):] {
			if r.Code == "typed-days" || r.Code == "gate-shut" {
				ys.Why = append(ys.Why[:len(ys.Why):len(ys.Why)], r)
			}
		}
		stops = append(stops, ys)
		p.Yards = append(p.Yards, py)
	}
	for i := range short {
		p.Hives = append(p.Hives, b.planHive(&short[i]))
	}
	return p, stops, nil
}

func orMin(d units.Duration, minutes float64) units.Duration {
	if d > 0 {
		return d
	}
	return units.Duration(minutes) * units.Minute
}

// shared is the time from lid to lid when several work the row: one opens and
// closes while another pumps. There is one nozzle, so pumping is not shared.
// Common practice, no source.
func shared(d units.Duration, people int) units.Duration {
	return d / units.Duration(max(people, 1))
}

func orFlow(f units.Flow, litresPerMinute float64) units.Flow {
	if f > 0 {
		return f
	}
	return units.Flow(litresPerMinute / 60)
}

// planHive puts one colony into the planner's terms.
func (b *bench) planHive(s *Short) feeding.Hive {
	c := s.Colony
	h := feeding.Hive{
		Colony: c.ID, Yard: c.Yard, Stand: c.Stand, Hold: s.Hold, Why: s.Why(), Never: c.NeverEmpty,
		Need: s.Lack.Syrup, InFeeder: units.Volume(s.Feeder.Mean), Uptake: b.fullUptake(c, &s.Judged), Risk: s.Lack.Chance,
	}
	switch {
	case s.NeedTyped:
		h.Risk = 1 // the keeper has judged it himself
	case !s.Lack.Known:
		h.Risk = 0
		h.Hold = append(h.Hold[:len(h.Hold):len(h.Hold)], s.Lack.Why...)
	}
	if c.Feeder != "" {
		usual, _, _, err := b.cat.Holds(c.Stack, c.Feeder, c.FeederVolume)
		if err != nil {
			h.Hold = append(h.Hold[:len(h.Hold):len(h.Hold)], asReason("feeder", err))
		}
		h.Feeder = usual
	}
	step := units.Volume(b.figs.V("feeding.step_l"))
	h.Feeder = feeding.HandyFeeder(h.Feeder, step)
	h.Need, h.Room, h.RoomTold = b.give(s) // anew: agreed frames may have changed the need
	return h
}

// stopDay gives a yard's stop day for the season in which day lies.
func (b *bench) stopDay(y apiary.Yard, day units.Day) YardStop {
	south := b.isSouth(y.ID)
	out := YardStop{Yard: y, Lost: b.lost(y)}
	sky := b.skyOf(y.ID)
	ask := weather.StopQuery{
		Season: weather.Season(day, south), South: south, Series: sky.series,
		Feed: weather.Feed{Strength: b.st.Settings.Syrup}, Typed: b.typedStop(y, day),
	}
	stop, err := sky.stopDay(ask, b.figs)
	if err != nil && y.Stop != 0 && ask.Typed == 0 {
		ask.Typed, out.Carried = units.DayOf(y.Stop.Year()+ask.Season-weather.Season(y.Stop, south), y.Stop.Month(), y.Stop.DayOfMonth()), true
		if stop, err = sky.stopDay(ask, b.figs); err == nil {
			stop.Reasons = []weather.Reason{{Code: "stop-carried", Say: "your day of another autumn, {0}, in this one: type it anew", Amounts: []any{y.Stop}}}
		}
	}
	if err != nil && y.Stop == 0 {
		if u, no := SuggestStop(b.climate(y.ID), day, south, b.figs); no == nil {
			ask.Typed, out.Usual = u, true
			if stop, err = sky.stopDay(ask, b.figs); err == nil {
				stop.Reasons = []weather.Reason{{Code: "stop-usual", Say: "the usual day for this class of winter: type your own, or take in the weather of past years"}}
			}
		}
	}
	if err != nil {
		out.Why, out.Usual = append([]feeding.Reason{asReason("stop-unknown", err)}, b.whySky(y.ID)...), false
		return out
	}
	out.Stop, out.Known = stop, true
	out.Typed = stop.Basis == weather.Typed && !out.Carried && !out.Usual
	if u, err := SuggestStop(b.climate(y.ID), stop.Day, south, b.figs); err == nil && out.Typed && stop.Day == u {
		out.Usual = true
	}
	for _, r := range stop.Reasons {
		out.Why = append(out.Why, feeding.Reason(r))
	}
	out.Why = append(out.Why, b.whySky(y.ID)...)
	return out
}

// planYard puts one yard into the planner's terms. A yard whose stop day or
// weather is not known gets no feedable day: its colonies come out unmet, with
// that reason.
func (b *bench) planYard(y apiary.Yard, ys YardStop, start units.Day, days int) feeding.Yard {
	out := feeding.Yard{ID: y.ID, Name: y.Name, Setup: orMin(y.Setup, b.figs.V("feeding.setup_min")), Why: ys.Why,
		Feed: make([]bool, days), Factor: make([]float64, days)}
	if !ys.Known {
		return out
	}
	out.Stop = ys.Stop.Day
	cal, err := b.skyOf(y.ID).calendar(start, days, b.figs)
	if err != nil {
		out.Why = append(out.Why[:len(out.Why):len(out.Why)], asReason("calendar-unknown", err))
		if ys.Stop.Basis == weather.Typed {
			b.plainCalendar(&out, start)
		}
		b.typedDays(y, &out, start)
		b.gate(y, &out, start)
		return out
	}
	out.Feed, out.Factor = cal.Feed(), cal.Factor()
	for _, r := range cal.Reasons {
		out.Why = append(out.Why, feeding.Reason(r))
	}
	b.countedOn(&out, &ys, cal, start)
	b.typedDays(y, &out, start)
	b.gate(y, &out, start)
	return out
}

// plainCalendar stands in where the keeper typed a stop day but no weather is
// known: every day up to it is taken as a middling feeding day, and it says so.
func (b *bench) plainCalendar(y *feeding.Yard, start units.Day) {
	f := b.figs.V("season.unknown_factor")
	for i := range y.Feed {
		if start+units.Day(i) <= y.Stop {
			y.Feed[i], y.Factor[i] = true, f
		}
	}
	y.Why = append(y.Why, feeding.Reason{Code: "plain-calendar",
		Say: "without weather every day up to your stop day is taken as a middling one; look at the thermometer before you drive"})
}

// roads answers distances: as told, else from the map.
func (b *bench) roads() (func(from, to string) (feeding.Road, bool), error) {
	leg, err := b.legs()
	if err != nil {
		return nil, err
	}
	return func(from, to string) (feeding.Road, bool) {
		l, ok := leg(from, to)
		return feeding.Road{Dist: l.Dist, Time: l.Time}, ok
	}, nil
}

// legs is roads, with where each comes from.
func (b *bench) legs() (func(from, to string) (route.Leg, bool), error) {
	var places []route.Place
	s := b.st.Settings
	places = append(places, route.Place{ID: "", HasPlace: s.HasHome, Lat: s.HomeLat, Lon: s.HomeLon})
	for _, y := range b.st.Yards() {
		places = append(places, route.Place{ID: y.ID, HasPlace: y.HasPlace, Lat: y.Lat, Lon: y.Lon})
	}
	stores := b.sources()
	for i := range stores {
		x := &stores[i]
		if !slices.ContainsFunc(places, func(p route.Place) bool { return p.ID == x.Place }) {
			places = append(places, x.Where)
		}
	}
	lie := atYard(stores)
	var told []route.Told
	for _, r := range b.st.Roads() {
		told = append(told, route.Told{From: r.From, To: r.To, Dist: r.Dist, Time: r.Time})
	}
	t, err := route.NewRoads(b.figs, places, told)
	if err != nil {
		return nil, err
	}
	return func(from, to string) (route.Leg, bool) {
		l, ok := t.Between(from, to)
		if a, b := lie(from), lie(to); !l.Told && (a != from || b != to) {
			l, ok = t.Between(a, b)
		}
		return l, ok
	}, nil
}

// lost says whether a yard has home's own place though the way there says that it
// lies further off, as the first run makes them.
func (b *bench) lost(y apiary.Yard) bool {
	s := b.st.Settings
	if !s.HasHome || !y.HasPlace {
		return false
	}
	r, _ := b.st.Road("", y.ID)
	d, err := route.GreatCircle(s.HomeLat, s.HomeLon, y.Lat, y.Lon)
	return err == nil && route.AtHome(d, r.Dist)
}

// Lies says whether a yard has a place of its own on the map: not home's, given
// to a yard that lies further off.
func (st *State) Lies(y apiary.Yard) bool {
	return y.HasPlace && !(&bench{st: st}).lost(y)
}

// Roads lists the roads the keeper told, by place names.
func (st *State) Roads() []Road {
	m := make(map[string]Road, len(st.roads))
	for _, r := range st.roads {
		m[r.From+"\x00"+r.To] = r
	}
	return sorted(m)
}

// Left gives the days from at to the stop day, 0 when it is past or not known.
func (y *YardStop) Left(at units.Moment) int {
	if !y.Known {
		return 0
	}
	return max(0, int(y.Stop.Day-at.Day()))
}
