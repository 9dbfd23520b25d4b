package season

import (
	"cmp"
	"encoding/json"
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/syrup"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

// Reviewed is one colony, or one yard, looked back on.
type Reviewed struct {
	Name    string
	Yard    string
	Planned units.Volume    // of syrup, by the first plan taken out that speaks of it
	Given   units.Volume    // of syrup
	Taken   units.Volume    // of it, where the feeder was looked into
	Looked  int             // looks that tell what was taken
	Solid   units.Mass      // fondant, dry sugar and sealed frames
	AtStop  figure.Estimate // stores on the stop day, kg
	Target  units.Mass
	State   apiary.State // now; "" for a yard
	Cause   string       // of a dead-out
	Ended   units.Day
	// Of a yard:
	Colonies, Dead int
}

// DeadBy is the colonies of one band of stores at the stop day, and how many of
// them died by spring.
type DeadBy struct {
	Below    units.Mass // the band ends here; 0 = no end
	From     units.Mass
	Colonies int
	Dead     int
	Starved  int
}

// Review is one feeding season looked back on.
type Review struct {
	Season   int // the year it begins in
	From, To units.Day
	Yards    []Reviewed
	Colonies []Reviewed
	All      Reviewed
	ByStores []DeadBy // by stores at the stop day
	Unknown  DeadBy   // stores at the stop day not known

	// What was learned.
	Uptake  UptakeLearned
	Yield   YieldLearned
	Learned []Learned

	// SugarUsed is the sugar in all syrup given; Order what to have in hand next
	// autumn: what was given and what was planned and never given.
	SugarUsed, Order units.Mass
	Findings         []feeding.Reason
}

// UptakeLearned compares what feeders were found to have lost with the model.
type UptakeLearned struct {
	Looks           int
	Taken, Expected units.Volume
}

// YieldLearned compares what stores grew by between two weighings around feeding
// with what the conversion says.
type YieldLearned struct {
	Pairs            int
	Gained, Expected float64 // kg
}

// Ratio gives taken over expected; 0 = nothing to go by.
func (u UptakeLearned) Ratio() float64 {
	if u.Expected <= 0 {
		return 0
	}
	return u.Taken.L() / u.Expected.L()
}

// Ratio gives gained over expected; 0 = nothing to go by.
func (y YieldLearned) Ratio() float64 {
	if y.Expected <= 0 {
		return 0
	}
	return y.Gained / y.Expected
}

// Review looks back on the feeding season that lies in the season of at: from its
// first day to at. Before October, when nothing of it is over yet, it is the
// season before.
func (st *State) Review(at units.Moment) Review {
	b := st.bench(at)
	south := false
	for _, y := range st.Yards() {
		south = south || b.isSouth(y.ID)
	}
	s := weather.Season(at.Day(), south)
	if at.Day() < weather.SeasonStart(s, south)+firstOfOctober && len(st.givenIn(weather.SeasonStart(s, south), at.Day())) == 0 {
		s--
	}
	r := Review{Season: s, From: weather.SeasonStart(s, south), To: min(at.Day(), weather.SeasonStart(s+1, south)-1)}
	planned := st.plannedIn(r.From, r.To)
	yards := map[string]*Reviewed{}
	for _, c := range st.Colonies() {
		x := b.reviewOne(c, &r, planned)
		if x == nil {
			continue
		}
		r.Colonies = append(r.Colonies, *x)
		y := yards[c.Yard]
		if y == nil {
			y = &Reviewed{Name: c.Yard, Yard: c.Yard}
			yards[c.Yard] = y
		}
		y.add(x)
		r.All.add(x)
		r.count(x)
	}
	r.Yards = sorted2(yards)
	for _, l := range st.Learned(at) {
		if slices.ContainsFunc(l.Pairs, func(w winter.Weighing) bool { return w.From >= r.From && w.From <= r.To }) {
			r.Learned = append(r.Learned, l)
		}
	}
	r.order(b)
	return r
}

func sorted2(m map[string]*Reviewed) []Reviewed {
	var out []Reviewed
	for _, k := range sortedKeys(m) {
		out = append(out, *m[k])
	}
	return out
}

func (r *Reviewed) add(x *Reviewed) {
	r.Planned += x.Planned
	r.Given += x.Given
	r.Taken += x.Taken
	r.Looked += x.Looked
	r.Solid += x.Solid
	r.Colonies++
	if x.State == apiary.Dead {
		r.Dead++
	}
}

// givenIn lists the gifts of syrup seen in a stretch of days.
func (st *State) givenIn(from, to units.Day) []*Fact {
	var out []*Fact
	for _, c := range st.Colonies() {
		for _, f := range c.Events {
			if g, ok := f.Body.(ledger.Given); ok && g.Colony == c.ID && f.Seen.Day() >= from && f.Seen.Day() <= to {
				out = append(out, f)
			}
		}
	}
	return out
}

// plannedIn reads what the first plan taken out in a stretch of days had for each
// colony: later plans already know what was given.
func (st *State) plannedIn(from, to units.Day) map[string]units.Volume {
	out := map[string]units.Volume{}
	var docs []PlanDoc
	for _, p := range st.Plans() {
		var d PlanDoc
		if json.Unmarshal(p.Content, &d) == nil {
			docs = append(docs, d)
		}
	}
	slices.SortStableFunc(docs, func(a, b PlanDoc) int { return a.AsOf.Compare(b.AsOf) })
	for _, d := range docs {
		if d.AsOf.Day() < from || d.AsOf.Day() > to {
			continue
		}
		sums := map[string]units.Volume{}
		for _, l := range d.Loads {
			for _, s := range l.Stops {
				for _, f := range s.Fills {
					sums[f.Colony] += units.Volume(f.FillL)
				}
			}
		}
		for c, v := range sums {
			if _, told := out[c]; !told {
				out[c] = v
			}
		}
	}
	return out
}

// reviewOne looks back on one colony; nil for one that was not there then.
func (b *bench) reviewOne(c *Colony, r *Review, planned map[string]units.Volume) *Reviewed {
	e, day, ended := ended(c)
	if ended && day < r.From || !c.Told || len(c.Events) == 0 || c.Events[0].Seen.Day() > r.To || c.State == apiary.Joined || c.State == apiary.Sold {
		return nil
	}
	x := &Reviewed{Name: c.ID, Yard: c.Yard, Planned: planned[c.ID], State: c.State, Target: c.Target}
	if ended {
		x.Cause, x.Ended = cmp.Or(e.Cause, "unknown"), day
	}
	for _, f := range c.Events {
		d := f.Seen.Day()
		if d < r.From || d > r.To {
			continue
		}
		if g, ok := f.Body.(ledger.Given); ok && g.Colony == c.ID {
			if g.Feed == ledger.Syrup {
				x.Given += g.Volume.Q
				r.SugarUsed += sugarIn(g.Volume.Q, b.st.strengthOf(g))
			} else if g.Feed != ledger.Protein {
				x.Solid += g.Mass.Q
			}
		}
	}
	line := b.st.runFeeder(c, r.To, b.uptake(c, b.looked(c)))
	for _, in := range line.Intakes {
		if in.Day >= r.From && in.Day <= r.To && in.Seen {
			x.Taken += units.Volume(in.Volume.Mean)
			x.Looked++
		}
	}
	y, _ := b.st.Yard(c.Yard)
	y.ID = c.Yard
	stop := b.feedingEndsIn(y, r)
	if stop <= r.To && (!ended || day > stop) {
		j := b.judge(c, units.OnDay(stop), 0)
		x.AtStop = j.Stores()
	}
	b.learnUptake(c, r)
	b.learnYield(c, r)
	return x
}

// looked is what was seen of a colony's bees, as far as uptake goes.
func (b *bench) looked(c *Colony) *Judged {
	var j Judged
	b.look(c, b.at, &j)
	return &j
}

func sugarIn(v units.Volume, s units.Strength) units.Mass {
	m, err := syrup.MassOf(v, s, 20)
	if err != nil {
		return 0 // a strength nobody can mix: it is asked about where it was typed
	}
	return units.Mass(m.Kg() * float64(s))
}

// feedingEndsIn gives the stop day of the season looked back on.
func (b *bench) feedingEndsIn(y apiary.Yard, r *Review) units.Day {
	south := b.isSouth(y.ID)
	if s := b.stopDay(y, r.From+60); s.Known && !s.Carried {
		return s.Stop.Day
	}
	if d, err := SuggestStop(b.climate(y.ID), r.From+60, south, b.figs); err == nil && d >= r.From {
		return d
	}
	return r.From + 107 // mid-October: where nothing is known, stores are looked at then
}

// learnUptake holds what feeders were found to have lost against the model.
func (b *bench) learnUptake(c *Colony, r *Review) {
	full := b.uptake(c, b.looked(c))
	var since units.Day
	var in, taken, expected float64
	for _, f := range c.Events {
		d := f.Seen.Day()
		if d < r.From || d > r.To {
			continue
		}
		switch e := f.Body.(type) {
		case ledger.Given:
			if e.Feed == ledger.Syrup && e.Colony == c.ID {
				if in == 0 {
					since = d
				}
				in += e.Volume.Q.L()
			}
		case ledger.Left:
			left := e.Volume.Q.L()
			// An empty feeder tells only that it was taken some day before.
			if in > 0 && left > 0 && d > since {
				taken = max(0, in-left)
				for x := since; x < d; x++ {
					expected += full(x)
				}
				r.Uptake.Looks++
				r.Uptake.Taken += units.Volume(taken)
				r.Uptake.Expected += units.Volume(min(expected, in))
			}
			in, expected, since = left, 0, d
		}
	}
}

// learnYield holds the gain between a weighing before feeding and one after the
// syrup was ripe against the conversion.
func (b *bench) learnYield(c *Colony, r *Review) {
	ripen := units.Day(b.figs.V("stores.ripen_days"))
	j := b.judge(c, units.OnDay(r.To), 0)
	var before *float64
	var from units.Day
	fed := 0.0
	var last units.Day
	for _, h := range j.Track.History {
		d := h.Moment.Day()
		if d < r.From || d > r.To {
			continue
		}
		if h.Kind == "fed" {
			if h.Gained.Known && h.Gained.Mean > 0 {
				fed += h.Gained.Mean
				last = d
			}
			continue
		}
		if before != nil && fed > 1 && d-last >= ripen && d-from <= 60 && h.Read.Known {
			eaten := fed - (h.Predicted.Mean - *before) // what the line took off between
			r.Yield.Pairs++
			r.Yield.Gained += h.Read.Mean - *before + max(0, eaten)
			r.Yield.Expected += fed
		}
		if h.Read.Known && (fed == 0 || d-last >= ripen) {
			x := h.Read.Mean
			before, from, fed = &x, d, 0
		}
	}
}

// storesBands end at these stores, kg: the floors and targets of the trade.
var storesBands = [...]float64{8, 12, 16, 20, 25}

// count files a colony by its stores on the stop day.
func (r *Review) count(x *Reviewed) {
	if r.ByStores == nil {
		from := units.Mass(0)
		for _, kg := range storesBands {
			r.ByStores = append(r.ByStores, DeadBy{From: from, Below: units.Mass(kg)})
			from = units.Mass(kg)
		}
		r.ByStores = append(r.ByStores, DeadBy{From: from})
	}
	into := &r.Unknown
	if x.AtStop.Known {
		into = &r.ByStores[len(r.ByStores)-1]
		for i := range r.ByStores {
			if b := &r.ByStores[i]; b.Below > 0 && x.AtStop.Mean < b.Below.Kg() {
				into = b
				break
			}
		}
	}
	into.Colonies++
	if x.State == apiary.Dead {
		into.Dead++
		if strings.EqualFold(x.Cause, winter.CauseStarved) {
			into.Starved++
		}
	}
}

// order works out the sugar to have in hand next autumn.
func (r *Review) order(b *bench) {
	missed := units.Volume(0)
	for i := range r.Colonies {
		missed += max(0, r.Colonies[i].Planned-r.Colonies[i].Given)
	}
	r.Order = r.SugarUsed + sugarIn(missed, b.st.Settings.Syrup)
	add := func(code, say string, amounts ...any) {
		r.Findings = append(r.Findings, feeding.Reason{Code: code, Say: say, Amounts: amounts})
	}
	if r.All.Given > 0 {
		add("order", "{0} of sugar went out as syrup; with what was planned and not given next autumn asks for {1}, if hives and winters are as this time", r.SugarUsed, r.Order)
	}
	if u := r.Uptake; u.Looks > 0 {
		add("uptake", "in {0} looks into feeders bees had taken {1}; the figures say {2}", u.Looks, u.Taken, u.Expected)
	}
	if y := r.Yield; y.Pairs > 0 {
		add("yield", "in {0} pairs of weighings around feeding stores grew by {1}; the figures say {2}", y.Pairs, units.Mass(y.Gained), units.Mass(y.Expected))
	}
	if len(r.Learned) == 0 {
		add("no-weighings", "no hive was weighed twice in this winter: what bees eat stays by published figures")
	}
	for _, l := range r.Learned {
		r.Findings = append(r.Findings, l.Say()...)
	}
}
