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
	"larder/internal/winter"
)

// Watching is one colony in the winter watch.
type Watching struct {
	Wintering
	Rank   int         // 1 = to be hefted first
	Look   winter.Look // what hefting it is worth
	Due    bool        // a heft is worth the way: nothing is known of it, or one would change what is done
	Runway float64     // days its stores last at what it is likely to eat; NaN = not known
	Level  winter.Level
	// Lack is what must be given now so that its reserve stays whole for the next
	// weeks ("winter.runway_watch_days"); Need how, best way first.
	Lack units.Mass
	Need winter.Need
	// Later is what it will lack to first forage where it lasts those weeks, but
	// surely not to the end: it must be given before [Watching.ShortOn].
	Later units.Mass
	Plain Plain       // where the model cannot look
	Thin  winter.Thin // thin feed in spring; nothing before the new year
	Warn  []feeding.Reason
}

// WatchYard is what the colonies of one yard share.
type WatchYard struct {
	Yard      apiary.Yard
	Name      string
	Stop      YardStop
	Begun     bool // the stop day is past, or not known: the watch is on
	Forage    winter.Forage
	Known     bool      // Forage is
	Seen      units.Day // first forage was seen on it this season; 0 = not
	Spring    bool      // it is after the new year: spring's questions stand
	Programme string    // of thin feed that runs; "" = none
	Since     units.Day
	Tally     winter.SpringTally
	Why       []feeding.Reason // why nothing can be said here
}

// WatchList is the winter watch: colonies in the order in which to heft them, and
// their yards.
type WatchList struct {
	Rows   []Watching
	Yards  []WatchYard
	Starts units.Day // the earliest stop day to come, when no yard's watch is on; 0 = it is on
}

// drawsFor is how many draws a watch of n colonies takes: fewer where there are
// many, so that ten thousand are watched in seconds.
func drawsFor(n int) int {
	if n > 300 {
		return 300
	}
	return 0 // the usual
}

// WatchList ranks all living colonies by what hefting them is worth, and says of each
// how long it lasts and what to give it in need. Fans are left out: see WinterWatch
// for those of single colonies.
func (st *State) WatchList(at units.Moment, seed uint64) WatchList {
	out, _ := st.WatchListWatched(at, seed, nil) // nobody stops it
	return out
}

// WatchListWatched is [State.WatchList] under the eyes of look (nil = nobody's),
// and with the same result; stopped, it gives fault.Stopped.
func (st *State) WatchListWatched(at units.Moment, seed uint64, look Watch) (WatchList, error) {
	b := st.bench(at)
	all := map[string][]*Colony{}
	n := 0
	for _, c := range st.Colonies() {
		if c.State == apiary.Alive {
			all[c.Yard] = append(all[c.Yard], c)
			n++
		}
	}
	var out WatchList
	yards := st.Yards()
	for i, y := range yards {
		if look != nil && !look(Progress{Stage: "watch", Done: i, Of: len(yards)}) {
			return WatchList{}, fault.New(fault.Stopped, "", "stopped before the winter was watched").WithHint("nothing was changed; ask again when you like")
		}
		if len(all[y.ID]) == 0 && len(b.byYard()[y.ID]) == 0 {
			continue
		}
		wy := b.watchYard(y)
		yw := b.yardWinter(y.ID, seed, drawsFor(n))
		wy.Why = yw.why
		rows := b.watchRows(all[y.ID], yw, &wy)
		wy.Tally = b.tally(y.ID, rows)
		out.Rows = append(out.Rows, rows...)
		if len(all[y.ID]) > 0 || wy.Tally.Colonies > 0 {
			out.Yards = append(out.Yards, wy)
		}
	}
	slices.SortStableFunc(out.Rows, heftOrder)
	for i := range out.Rows {
		out.Rows[i].Rank = i + 1
	}
	out.starts()
	return out, nil
}

// starts says when the watch begins, if it is on nowhere.
func (w *WatchList) starts() {
	for _, y := range w.Yards {
		if y.Begun {
			w.Starts = 0
			return
		}
		if w.Starts == 0 || y.Stop.Stop.Day < w.Starts {
			w.Starts = y.Stop.Stop.Day
		}
	}
}

// heftOrder puts first what is not known, then what a heft is worth most, then
// what is likelier short, then by name.
func heftOrder(a, b Watching) int {
	if a.Look.Known != b.Look.Known {
		if b.Look.Known {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(b.Look.Worth, a.Look.Worth), cmp.Compare(b.Look.Short, a.Look.Short), NameOrder(a.Colony.ID, b.Colony.ID))
}

func (b *bench) watchYard(y apiary.Yard) WatchYard {
	w := WatchYard{Yard: y, Name: cmp.Or(y.Name, y.ID), Stop: b.stopDay(y, b.at.Day())}
	w.Begun = !w.Stop.Known || b.at.Day() > w.Stop.Stop.Day
	south := b.isSouth(y.ID)
	if f, err := b.forage(y.ID); err == nil {
		w.Forage, w.Known = f, true
	}
	for _, d := range b.st.ForageSeen(y.ID) {
		if d <= b.at.Day() && weather.Season(d, south) == weather.Season(b.at.Day(), south) {
			w.Seen = d
		}
	}
	w.Spring = b.at.Day() >= weather.SeasonStart(weather.Season(b.at.Day(), south), south)+newYearDay
	w.Programme, w.Since = b.st.Programme(y.ID)
	return w
}

// watchRows judges the colonies of one yard.
func (b *bench) watchRows(cs []*Colony, y *yardWinter, wy *WatchYard) []Watching {
	rows := make([]Watching, 0, len(cs))
	var ask []winter.Colony
	for _, c := range cs {
		w := Watching{Wintering: Wintering{Judged: b.judge(c, b.at, 0), Forage: y.forage, Why: y.why}, Runway: nan, Level: winter.LookOut}
		w.Aim = b.aim(&w.Judged)
		w.Look = winter.Look{Colony: c.ID, Known: w.Stores().Known, Short: nan}
		rows = append(rows, w)
		k := b.kin(&w.Judged).colony(c.ID)
		k.Stores = w.Stores()
		ask = append(ask, k)
	}
	plain := func() []Watching {
		for i := range rows {
			b.plainNeed(&rows[i], wy)
		}
		return rows
	}
	if y.ensemble == nil {
		return plain()
	}
	looks, err := y.ensemble.NextHeft(winter.HeftQuery{Colonies: ask})
	if err != nil {
		return plain()
	}
	by := map[string]winter.Look{}
	for _, l := range looks {
		by[l.Colony] = l
	}
	fans, err := y.ensemble.Watch(winter.WatchQuery{Colonies: ask})
	if err != nil {
		return plain()
	}
	for i := range rows {
		rows[i].Modelled, rows[i].Fan = true, fans[i]
		rows[i].Look = by[rows[i].Colony.ID]
		b.need(&rows[i], ask[i], y, wy)
	}
	b.combs(rows, ask, y)
	for i := range rows {
		// What the rows tell is kept, the days between are not: ten thousand fans
		// are two hundred megabytes.
		f := &rows[i].Fan
		f.Mean, f.Short, f.Out = nil, slices.Clone(f.Short[max(0, len(f.Short)-1):]), nil
		for l := range f.Stores {
			f.Stores[l] = nil
		}
	}
	return rows
}

// need says how long a colony lasts and what to give it.
func (b *bench) need(w *Watching, c winter.Colony, y *yardWinter, wy *WatchYard) {
	today := b.at.Day()
	w.Due = !w.Look.Known || w.Look.Worth >= 1e-4
	if !w.Fan.Known {
		return
	}
	daily := make([]float64, 0, len(w.Fan.Mean))
	for i := 1; i < len(w.Fan.Mean); i++ {
		daily = append(daily, w.Fan.Mean[i-1]-w.Fan.Mean[i])
	}
	w.Runway = winter.RunwayOver(units.Mass(w.Stores().Mean), daily)
	b.pressing(w)
	w.Level = b.runwayLevel(w)
	by := min(today+units.Day(b.figs.V("winter.runway_watch_days")), y.ensemble.Until())
	lack, known, err := y.ensemble.Lack(c, by, 0, nil)
	middle, _, err2 := y.ensemble.Lack(c, by, 0.5, nil)
	switch {
	case err != nil || err2 != nil || !known || lack <= 0:
	case middle <= 0 && w.Due:
		// It lacks only if the doubt in its reading goes the wrong way: a heft
		// tells, and it stands high in the list.
		w.Level = winter.LookOut
	default:
		w.feed(b, lack)
	}
	w.later()
	if w.Lack == 0 && !w.Due && w.Look.Known && w.Look.Feed {
		if all, known, err := y.ensemble.Lack(c, 0, 0, nil); err == nil && known {
			w.Later = all
		}
	}
	if wy.Spring {
		w.Thin = winter.ThinFeed(b.thinQuery(w, wy), b.figs)
	}
}

// later makes one verdict of two: what is short by first forage but lasts the next
// weeks is neither fed now nor well off.
func (w *Watching) later() {
	if !w.Look.Known || !w.Look.Feed || w.Level == winter.Alarm {
		return
	}
	if w.Level == winter.Enough {
		w.Level = winter.LookOut
	}
	if len(w.Look.Reasons) == 1 && w.Look.Reasons[0].Code == "surely-short" && w.Fan.RunsShortOn != 0 {
		w.Look.Reasons = []winter.Reason{{Code: "short-later", Say: "It will not last to first forage, whatever a heft would say: feed it before {0}", Amounts: []any{w.Fan.RunsShortOn}}}
	}
}

// newYearDay is 1 January, from 1 July (south: 4 July from 1 January).
const newYearDay = 184

// needQuery asks how to feed by the days to come: the day after and two more, as
// forecast.
func (b *bench) needQuery(yard string, lack units.Mass) winter.NeedQuery {
	q := winter.NeedQuery{Lack: lack}
	s := b.skyOf(yard)
	var high, mean float64
	n := 0
	for d := b.at.Day(); d < b.at.Day()+3 && s.known; d++ {
		day, ok := s.series.At(d)
		t, has := day.TMean()
		if ok && has && day.HasMax {
			// The coldest of the three highs: syrup is given only where all are warm.
			if n == 0 || day.TMax.C() < high {
				high = day.TMax.C()
			}
			mean, n = mean+t.C(), n+1
		}
	}
	if n > 0 {
		q.High, q.Mean, q.Known = units.Temp(high), units.Temp(mean/float64(n)), true
	}
	if c, ok := b.conversion(b.st.Settings.Syrup); ok {
		q.SyrupKg = c.PerL.Mean
	}
	return q
}

func (b *bench) thinQuery(w *Watching, y *WatchYard) winter.ThinQuery {
	q := winter.ThinQuery{Day: b.at.Day(), Stores: w.Stores(), Runway: w.Runway, Forage: w.Forage, Begun: y.Seen != 0, Super: w.Answers.Super == apiary.Yes}
	s := b.skyOf(w.Colony.Yard)
	for d := q.Day; s.known; d++ {
		t, ok := s.max(d)
		if !ok {
			break
		}
		q.Highs = append(q.Highs, t)
	}
	if y.Programme != "" {
		q.Programme, q.Running = &winter.Programme{From: y.Since}, true
	}
	return q
}

// tally counts how a yard came through since 1 October (south: 1 April).
func (b *bench) tally(yard string, living []Watching) winter.SpringTally {
	var all []winter.Wintered
	for i := range living {
		all = append(all, winter.Wintered{Colony: living[i].Colony.ID, Alive: true, Left: living[i].Stores(), Foretold: nan})
	}
	south := b.isSouth(yard)
	from := weather.SeasonStart(weather.Season(b.at.Day(), south), south) + firstOfOctober
	for _, c := range b.byYard()[yard] {
		e, day, ok := ended(c)
		if !ok || e.State != apiary.Dead || day < from {
			continue
		}
		x := winter.Wintered{Colony: c.ID, Cause: e.Cause, Foretold: nan}
		if e.LeftKnown {
			x.Left = figure.Est(e.Left.Kg(), 0)
		}
		all = append(all, x)
	}
	return winter.Tally(all, units.Mass(b.figs.V("winter.reserve_kg")))
}

// ended gives the last word on a colony's end.
func ended(c *Colony) (e apiary.Ended, day units.Day, ok bool) {
	for _, f := range c.Events {
		if x, is := f.Body.(apiary.Ended); is {
			e, day, ok = x, f.Seen.Day(), true
		}
	}
	return e, day, ok && c.State == e.State
}

// ShortOn gives the first day on which it is not sure enough that the reserve is
// whole, 0 = not before forage. ok is false where that is not known.
func (w *Watching) ShortOn() (day units.Day, ok bool) {
	if w.Plain.Known {
		return w.Plain.ShortOn, true
	}
	return w.Fan.RunsShortOn, w.Fan.Known
}

// Chance gives the chance to run short before forage; NaN = not known.
func (w *Watching) Chance() float64 {
	if w.Plain.Known {
		return w.Plain.Chance
	}
	if !w.Fan.Known || len(w.Fan.Short) == 0 {
		return nan
	}
	return w.Fan.Short[len(w.Fan.Short)-1]
}

// Lasts tells whether the days of its stores are known, and how many whole ones
// they are.
func (w *Watching) Lasts() (days int, ok bool) {
	if math.IsNaN(w.Runway) || w.Runway > 400 {
		return 0, false
	}
	return int(w.Runway), true
}

// Saying gives the reasons of a row: what is pressing, then why to heft it.
func (w *Watching) Saying() []feeding.Reason {
	out := slices.Clone(w.Warn)
	for _, r := range w.Look.Reasons {
		out = append(out, feeding.Reason(r))
	}
	if !w.Modelled {
		out = append(out, w.Why...)
	}
	return out
}
