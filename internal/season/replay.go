package season

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

// Replayed is a plan played through past years: each year's whole autumn comes
// once behind this season's own days, with its runs of cold and wet days and its
// stop day.
//
// How a year is played: a fill is made on its day if a round can be made there,
// else on the next day that is good for a round there and on which a truck is
// out anyway; once the last load is driven, on the next good day. A feeder is
// filled no fuller than it is, the rest comes with the next such round. On days
// on which nobody works or no truck may go out none is made. A fill
// comes first, then that day's uptake, by that year's weather; what is not
// taken by that year's stop day is not fed. Hours and tank of a day that others'
// fills fall on are not counted again.
type Replayed struct {
	// Known is false where a yard the plan serves has no past year, or none the
	// other yards have too: then all of the whole plan below is not known here, and
	// Why says for which yard.
	Known bool
	Share float64 // of the years that LastStart is made for: figure season.sure_years
	Years int     // it rests on
	Few   bool    // fewer than enough (figure weather.enough_years)
	// Fed is in how many years every colony that may get syrup takes all it needs,
	// Kept in how many it takes all that the plan gives it.
	Fed, Kept int
	Always    int          // colonies that the plan itself leaves short
	Short     units.Volume // not taken of what is needed, mean of the years
	Weighted  units.Volume // the same with each colony weighed by the chance that it is short
	// LastLow and LastHigh hold the last feeding day of eight years in ten; zero
	// where nothing is fed.
	LastLow, LastHigh units.Day
	ByYear            []ReplayedYear // in order of season
	Yards             []ReplayedYard // in order of id, those with living colonies
	Why               []feeding.Reason
}

// ReplayedYear is what one past year makes of the plan.
type ReplayedYear struct {
	Season   int // the year it began in
	Short    units.Volume
	Weighted units.Volume
	Colonies int       // that are short
	Last     units.Day // the last day on which a fill was made; 0 = none was
}

// ReplayedYard says until when feeding in one yard can safely begin.
type ReplayedYard struct {
	ID, Name string
	Known    bool
	Years    int
	Few      bool
	// Rounds are the rounds that the colony needs which needs most of them, each
	// when the feeder of the one before is empty. 0: nothing is needed here.
	Rounds int
	// LastStart is the latest day from which on, in at least Share of the years,
	// those rounds still fit before that year's stop day and are taken (where years
	// are few, before the yard's own stop day too, which allows for that). Late: even
	// from the plan's first day on they fit in fewer, and there is no such day.
	LastStart units.Day
	Late      bool
	Fits      int       // the years in which a start on LastStart (Late: on the first day) still fits
	First     units.Day // of the plan's fills here; 0 = none
	Why       []feeding.Reason
}

// replayFigures lists what replays assume.
func replayFigures() []figure.Figure {
	return []figure.Figure{{Key: "season.sure_years", Name: "share of past years in which a plan is to come off", Value: 0.9, Unit: "fraction", Low: 0.5, High: 0.99,
		Source: "common practice, no source (nine years of ten)", Grade: figure.Practice,
		Note: "the good days a plan counts on, and the day by which feeding has to begin"}}
}

// crumb is the syrup that one colony may lack and still counts as fed: nobody
// pours to a finer mark.
const crumb = 0.1 * units.Litre

// pastAsk is what the past years of a place depend on beside its weather.
type pastAsk struct {
	season      int
	south       bool
	typed, from units.Day
	days        int
}

type pastAnswer struct {
	all []weather.Scenario
	few bool
	err error
}

// past gives the past years day by day, worked out once for all yards under one
// sky.
func (b *bench) past(y *YardStop, from units.Day, days int) ([]weather.Scenario, bool, error) {
	south := b.isSouth(y.Yard.ID)
	ask := pastAsk{weather.Season(from, south), south, b.typedStop(y.Yard, from), from, days}
	s := b.skyOf(y.Yard.ID)
	if a, ok := s.past[ask]; ok {
		return a.all, a.few, a.err
	}
	var a pastAnswer
	a.all, a.few, a.err = weather.Scenarios(weather.StopQuery{Season: ask.season, South: south, Series: s.series,
		Feed: weather.Feed{Strength: b.st.Settings.Syrup}, Typed: ask.typed}, from, days, b.figs)
	if s.past == nil {
		s.past = map[pastAsk]pastAnswer{}
	}
	s.past[ask] = a
	return a.all, a.few, a.err
}

// countedOn takes from a yard's calendar the days that cannot be counted on: no
// more days good for a round are left up to the stop day than there are in the
// share of past years that the keeper wants to be sure of, the least sure going
// first and of those the latest. Days known or foretold stay.
func (b *bench) countedOn(out *feeding.Yard, ys *YardStop, cal weather.Cal, start units.Day) {
	all, _, err := b.past(ys, start, len(out.Feed))
	if err != nil {
		return // no past years: the calendar has said so
	}
	end := min(len(out.Feed), int(out.Stop-start)+1)
	planned := 0
	var open []int
	for i := range max(0, end) {
		if out.Feed[i] {
			planned++
			if cal.Days[i].Chance < 1 {
				open = append(open, i)
			}
		}
	}
	counts := make([]int, len(all))
	for i, s := range all {
		for d := range max(0, min(end, int(s.Stop-start)+1)) {
			if s.Feed[d] {
				counts[i]++
			}
		}
	}
	share := b.figs.V("season.sure_years")
	sure := weather.SureOf(counts, share)
	drop := min(planned-sure, len(open))
	if drop <= 0 {
		return
	}
	slices.SortFunc(open, func(i, j int) int {
		return cmp.Or(cmp.Compare(cal.Days[i].Chance, cal.Days[j].Chance), j-i)
	})
	for _, i := range open[:drop] {
		out.Feed[i] = false
	}
	out.Why = append(out.Why[:len(out.Why):len(out.Why)], feeding.Reason{Code: "sure-days",
		Say:     "of {0} likely days for a round only {1} come in {2} of 100 past years: the {3} least sure are not planned on",
		Amounts: []any{planned, planned - drop, int(math.Round(share * 100)), drop}})
}

// Replay plays a plan through past years, see [Replayed]. p must have been made
// from the same facts at the same moment. It works for seconds on a very large
// season, so watch (which may be nil) is told of yards done; fault.Stopped when it
// ends the work. Where past years are not known that is said in the answer and is no fault.
func (st *State) Replay(at units.Moment, p *Planned, watch Watch) (Replayed, error) {
	b := st.bench(at)
	out := Replayed{Share: b.figs.V("season.sure_years")}
	r := replay{b: b, p: p, last: p.Start - 1, byYard: map[string][]*replayHive{}}
	r.read()
	all := map[int]*ReplayedYear{} // by season
	in := map[int]int{}            // yards that have it
	kept := map[int]bool{}
	served, unknown := 0, []feeding.Reason(nil)
	for i := range p.Stops {
		if watch != nil && !watch(Progress{Stage: "years", Done: i, Of: len(p.Stops)}) {
			return Replayed{}, fault.New(fault.Stopped, "", "stopped before past years were gone through").WithHint("nothing was changed; ask again when you like")
		}
		y := &p.Stops[i]
		if !r.alive[y.Yard.ID] {
			continue
		}
		hives := r.byYard[y.Yard.ID]
		line := ReplayedYard{ID: y.Yard.ID, Name: cmp.Or(y.Yard.Name, y.Yard.ID), First: r.first[y.Yard.ID]}
		years, few, err := r.years(y)
		if err != nil {
			line.Why = []feeding.Reason{{Code: "start-unknown", Say: "by when to begin is not known here: no past years of weather are known"}}
			if len(hives) > 0 {
				unknown = append(unknown, feeding.Reason{Code: "replay-unknown",
					Say: "how the plan would have done in past years is not known here: no past years of weather are known for {0}", Amounts: []any{line.Name}})
			}
			out.Yards = append(out.Yards, line)
			continue
		}
		line.Known, line.Years, line.Few = true, len(years), few
		line.begin(hives, heldTo(years, y, few), p.Start, out.Share)
		out.Yards = append(out.Yards, line)
		if len(hives) == 0 {
			continue
		}
		served++
		out.Few = out.Few || few
		for k := range years {
			s := &years[k]
			if all[s.Season] == nil {
				all[s.Season], kept[s.Season] = &ReplayedYear{Season: s.Season}, true
			}
			in[s.Season]++
			kept[s.Season] = r.play(hives, s, all[s.Season]) && kept[s.Season]
		}
	}
	slices.SortFunc(out.Yards, func(a, b ReplayedYard) int { return cmp.Compare(a.ID, b.ID) })
	for _, hives := range r.byYard {
		for _, h := range hives {
			if h.means < h.need-crumb {
				out.Always++
			}
		}
	}
	for season, y := range all {
		if in[season] == served { // a year counts when every yard has it
			out.ByYear = append(out.ByYear, *y)
			if kept[season] {
				out.Kept++
			}
		}
	}
	slices.SortFunc(out.ByYear, func(a, b ReplayedYear) int { return a.Season - b.Season })
	out.Years = len(out.ByYear)
	switch {
	case len(unknown) > 0:
		out.forget(unknown)
	case served == 0:
		out.forget([]feeding.Reason{{Code: "replay-nothing", Say: "nothing is to be fed, so there is nothing to go through past years with"}})
	case out.Years == 0:
		out.forget([]feeding.Reason{{Code: "replay-apart", Say: "how the plan would have done in past years is not known here: no year of weather is known for all yards"}})
	default:
		out.Known = true
		out.sum()
	}
	return out, nil
}

// forget takes back what is said of the whole plan.
func (r *Replayed) forget(why []feeding.Reason) {
	*r = Replayed{Share: r.Share, Yards: r.Yards, Why: why}
}

// sum adds up the years.
func (r *Replayed) sum() {
	var last []int
	for _, y := range r.ByYear {
		if y.Colonies == 0 {
			r.Fed++
		}
		r.Short += y.Short / units.Volume(r.Years)
		r.Weighted += y.Weighted / units.Volume(r.Years)
		if y.Last != 0 {
			last = append(last, int(y.Last))
		}
	}
	if len(last) > 0 {
		r.LastLow = units.Day(weather.SureOf(last, 0.9))
		for i := range last {
			last[i] = -last[i]
		}
		r.LastHigh = units.Day(-weather.SureOf(last, 0.9))
	}
	say := func(code, text string, amounts ...any) {
		r.Why = append(r.Why, feeding.Reason{Code: code, Say: text, Amounts: amounts})
	}
	switch {
	case r.Always == 1:
		say("replay-always", "the plan leaves one colony short in every year; the others take all it gives them in {0} of {1} past years", r.Kept, r.Years)
	case r.Always > 1:
		say("replay-always", "the plan leaves {0} colonies short in every year; the others take all it gives them in {1} of {2} past years", r.Always, r.Kept, r.Years)
	default:
		say("replay-fed", "driven as it stands, the plan feeds every colony that may get syrup in {0} of {1} past years", r.Fed, r.Years)
	}
	if r.Short >= crumb {
		say("replay-short", "on average of the years {0} are lacking, {1} weighed by the chance that a colony is short", r.Short, r.Weighted)
	}
	if r.LastLow != 0 {
		say("replay-last", "the last fill comes between {0} and {1} in 8 years of 10", r.LastLow, r.LastHigh)
	}
	if r.Few {
		say("replay-few", "that rests on few years, so the ends are not known well")
	}
}

// replay is a plan laid out for playing.
type replay struct {
	b      *bench
	p      *Planned
	days   int // from p.Start
	out    []bool
	last   units.Day // the last day with a load
	first  map[string]units.Day
	alive  map[string]bool
	byYard map[string][]*replayHive
}

// replayHive is one colony that may get syrup and needs some.
type replayHive struct {
	need, inside, feeder, uptake units.Volume
	means                        units.Volume // what the plan means it to take, of the need
	risk                         float64
	fills                        []units.Volume // by day from p.Start; nil = none
}

// read lays out loads and colonies.
func (r *replay) read() {
	p := r.p
	end := p.Start + units.Day(max(1, p.Problem.Days)) - 1
	for _, y := range p.Stops {
		if y.Known {
			end = max(end, y.Stop.High)
		}
	}
	r.days = min(int(end-p.Start)+1, 400)
	r.out, r.first, r.alive = make([]bool, r.days), map[string]units.Day{}, map[string]bool{}
	hives := map[string]*replayHive{}
	for i := range p.Problem.Hives {
		h := &p.Problem.Hives[i]
		r.alive[h.Yard] = true
		if len(h.Hold) > 0 || h.Need <= crumb {
			continue
		}
		x := &replayHive{need: h.Need, inside: h.InFeeder, feeder: h.Feeder, uptake: h.Uptake, risk: h.Risk, means: min(h.Need, h.InFeeder)}
		hives[h.Colony] = x
		r.byYard[h.Yard] = append(r.byYard[h.Yard], x)
	}
	for _, l := range p.Loads {
		d := int(l.Day - p.Start)
		if d < 0 || d >= r.days {
			continue // no plan does that
		}
		r.out[d] = true
		r.last = max(r.last, l.Day)
		for _, s := range l.Stops {
			if f, ok := r.first[s.Yard]; !ok || l.Day < f {
				r.first[s.Yard] = l.Day
			}
			for _, f := range s.Fills {
				h := hives[f.Colony]
				if h == nil {
					continue
				}
				if h.fills == nil {
					h.fills = make([]units.Volume, r.days)
				}
				h.fills[d] += f.Volume
			}
		}
	}
	for _, c := range p.Colonies {
		if h := hives[c.Colony]; h != nil {
			h.means = min(h.need, h.inside+c.Given)
		}
	}
}

// years gives the past years of a yard. A year's stop day may lie beyond the
// days the plan looks at; the days end there.
func (r *replay) years(y *YardStop) ([]weather.Scenario, bool, error) {
	all, few, err := r.b.past(y, r.p.Start, r.days)
	if err == nil && len(all) == 0 {
		err = fault.New(fault.Missing, y.Yard.ID, "no weather of past years is known for this place")
	}
	return r.asTyped(r.worked(all), y.Yard), few, err
}

// worked takes out the days on which nobody drives, whatever the weather.
func (r *replay) worked(all []weather.Scenario) []weather.Scenario {
	p := &r.p.Problem
	var off []int
	for d := range r.days {
		free := d < len(p.Crew.Day) && p.Crew.Day[d].Off
		drives := len(p.Rigs) == 0 || slices.ContainsFunc(p.Rigs, func(g feeding.Rig) bool { return g.Out == nil || d < len(g.Out) && g.Out[d] })
		if free || !drives {
			off = append(off, d)
		}
	}
	if len(off) == 0 {
		return all
	}
	all = slices.Clone(all)
	for i := range all {
		all[i].Feed = slices.Clone(all[i].Feed)
		for _, d := range off {
			all[i].Feed[d] = false
		}
	}
	return all
}

// asTyped puts what the keeper typed of a yard's days over every year's weather,
// and takes out those on which its gate stays shut.
func (r *replay) asTyped(all []weather.Scenario, y apiary.Yard) []weather.Scenario {
	shut, err := ReadShutDays(y.Shut)
	if err != nil || shut.String() == "" && len(r.b.st.feedable) == 0 {
		return all
	}
	all = slices.Clone(all)
	for i := range all {
		s := &all[i]
		s.Feed, s.Factor = slices.Clone(s.Feed), slices.Clone(s.Factor)
		for d := range min(r.days, len(s.Feed)) {
			day := r.p.Start + units.Day(d)
			if f, ok := r.b.st.feedable[feedableKey(y.ID, day)]; ok {
				r.b.typedDay(f, &s.Feed[d], &s.Factor[d])
			}
			if shut.Has(day) {
				s.Feed[d] = false
			}
		}
	}
	return all
}

// heldTo gives the years with their stop days no later than the yard's own where
// they are few: that is widened for what so few cannot show, and nobody is to
// begin later than it allows.
func heldTo(years []weather.Scenario, y *YardStop, few bool) []weather.Scenario {
	if !few || !y.Known {
		return years
	}
	years = slices.Clone(years)
	for i := range years {
		years[i].Stop = min(years[i].Stop, y.Stop.Day)
	}
	return years
}

// play plays one year in one yard, adds to what it comes to and tells whether
// every colony took what the plan meant it to.
func (r *replay) play(hives []*replayHive, s *weather.Scenario, y *ReplayedYear) bool {
	end := min(r.days, int(s.Stop-r.p.Start)+1)
	driven := int(r.last - r.p.Start)
	all := true
	for _, h := range hives {
		in, waits, taken := h.inside, units.Volume(0), units.Volume(0)
		for d := range max(0, end) {
			if h.fills != nil {
				waits += h.fills[d]
			}
			room := h.feeder - in
			// Once all loads are driven nobody opens a hive for less than all that
			// waits, unless its feeder is empty.
			if waits > 0 && s.Feed[d] && (r.out[d] || d > driven && (room >= waits || in <= crumb)) {
				if v := min(waits, room); v > 0 {
					in, waits = in+v, waits-v
					y.Last = max(y.Last, r.p.Start+units.Day(d))
				}
			}
			v := min(in, h.uptake*units.Volume(s.Factor[d]))
			in, taken = in-v, taken+v
		}
		if lack := h.need - taken; lack > crumb {
			y.Short += lack
			y.Weighted += lack * units.Volume(h.risk)
			y.Colonies++
		}
		all = all && taken >= h.means-crumb
	}
	return all
}

// begin works out by when feeding has to begin.
func (y *ReplayedYard) begin(hives []*replayHive, years []weather.Scenario, start units.Day, share float64) {
	type need struct{ give, feeder, uptake units.Volume }
	seen := map[need]bool{}
	latest := make([]int, len(years)) // day from start; -1 = it does not fit
	for i := range latest {
		latest[i] = math.MaxInt
	}
	for _, h := range hives {
		n := need{h.need - h.inside, h.feeder, h.uptake}
		// A hive without a feeder, or without bees, is not served by beginning early.
		if n.give <= crumb || n.feeder <= crumb || n.uptake <= 0 || seen[n] {
			continue
		}
		seen[n] = true
		rounds := roundsOf(n.give, n.feeder)
		y.Rounds = max(y.Rounds, rounds)
		for i := range years {
			latest[i] = min(latest[i], latestStart(&years[i], start, rounds, n.give, n.feeder, n.uptake))
		}
	}
	if y.Rounds == 0 {
		y.Why = []feeding.Reason{{Code: "start-none", Say: "nothing that begins with a fill is needed here"}}
		return
	}
	last := weather.SureOf(latest, share)
	if y.Late = last < 0; y.Late {
		last = 0
	} else {
		y.LastStart = start + units.Day(last)
	}
	for _, d := range latest {
		if d >= last {
			y.Fits++
		}
	}
	why := feeding.Reason{Code: "start-by", Say: "begin by {0} at the latest: then {1} rounds still fit, in {2} of {3} past years", Amounts: []any{y.LastStart, y.Rounds, y.Fits, y.Years}}
	switch {
	case y.Late && y.Rounds == 1:
		why = feeding.Reason{Code: "start-late", Say: "one round, begun on {0}, would have been in time in only {1} of {2} past years", Amounts: []any{start, y.Fits, y.Years}}
	case y.Late:
		why = feeding.Reason{Code: "start-late", Say: "{0} rounds, begun on {1}, would have been in time in only {2} of {3} past years", Amounts: []any{y.Rounds, start, y.Fits, y.Years}}
	case y.Rounds == 1:
		why = feeding.Reason{Code: "start-by", Say: "begin by {0} at the latest: then one round is still in time, in {1} of {2} past years", Amounts: []any{y.LastStart, y.Fits, y.Years}}
	}
	y.Why = append(y.Why, why)
	if !y.Late && y.First > y.LastStart {
		y.Why = append(y.Why, feeding.Reason{Code: "start-after", Say: "the plan first goes there on {0}, which is later", Amounts: []any{y.First}})
	}
}

// roundsOf is how many fills bring v into a feeder that is empty each time.
func roundsOf(v, feeder units.Volume) int {
	return max(1, int(math.Ceil(float64((v-crumb)/feeder))))
}

// latestStart gives the latest day, from start, of the first of so many fills
// that all are taken by the year's stop day: full feeders and the rest last, each
// on a day good for a round and when the one before is empty. -1: there is none.
// It is found from the end: the later the next fill may be, the later this one.
func latestStart(s *weather.Scenario, start units.Day, rounds int, give, feeder, uptake units.Volume) int {
	next := max(0, min(len(s.Feed), int(s.Stop-start)+1)) // the day by which it has to be empty
	v := give - feeder*units.Volume(rounds-1)             // the rest, poured last
	d, left := next, units.Volume(0)                      // left is taken on days d … next-1
	for {
		for d--; d >= 0; d-- {
			if left += uptake * units.Volume(s.Factor[d]); s.Feed[d] && left >= v-crumb {
				break
			}
		}
		if d < 0 {
			return -1
		}
		if rounds--; rounds == 0 {
			return d
		}
		v, left = feeder, 0
	}
}
