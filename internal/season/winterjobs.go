package season

import (
	"cmp"
	"slices"

	"larder/internal/apiary"
	"larder/internal/units"
	"larder/internal/winter"
)

// WatchOn tells whether the winter watch is on in some yard with living colonies:
// its stop day is known and past.
func (st *State) WatchOn(at units.Moment) bool {
	for _, s := range st.StopDays(at) {
		if s.Known && at.Day() > s.Stop.Day {
			return true
		}
	}
	return false
}

// AddWinter puts the jobs of the winter watch among the others: colonies to be fed
// in need, those of one yard and one form of feed together, colonies that will not
// last to first forage, and colonies to be hefted since a heft may change what is
// done. All are the rows of [WatchList] in
// yards whose stop day is past. The last safe day of a feeding is the day the
// first of them runs short; the day it is put on is the next mild one the forecast
// knows, so that the lid is off for no longer than bees can bear.
func (st *State) AddWinter(jobs []Job, at units.Moment, w *WatchList) []Job {
	l := jobList{st: st, b: st.bench(at), at: at}
	if road, err := l.b.roads(); err == nil {
		l.road = road
	}
	type feed struct {
		yard string
		form winter.Form
	}
	on := map[string]bool{}
	for _, y := range w.Yards {
		on[y.Yard.ID] = y.Stop.Known && at.Day() > y.Stop.Stop.Day
	}
	low, heft, later := map[feed]*Job{}, map[string][]string{}, map[string]*Job{}
	blind := map[string][]string{} // of which no day of first forage can be said
	var lows []feed
	var yards, blinds []string
	for i := range w.Rows {
		x := &w.Rows[i]
		yard := x.Colony.Yard
		switch {
		case !on[yard]:
		case x.Lack > 0:
			k := feed{yard: yard}
			var kg units.Mass
			if len(x.Need.Options) > 0 {
				k.form, kg = x.Need.Options[0].Form, x.Need.Options[0].Now
			}
			j := low[k]
			if j == nil {
				j = &Job{Code: JobLow, Form: k.form, On: l.mild(yard)}
				low[k] = j
				lows = append(lows, k)
			}
			j.Colonies = append(j.Colonies, x.Colony.ID)
			j.Feed += kg
			if d, ok := x.ShortOn(); ok {
				j.Last = earlier(j.Last, d)
			}
		case x.Later > 0:
			j := later[yard]
			if j == nil {
				j = &Job{Code: JobLater}
				later[yard] = j
			}
			j.Colonies = append(j.Colonies, x.Colony.ID)
			j.Feed += x.Later
			if d, ok := x.ShortOn(); ok {
				j.Last = earlier(j.Last, d)
			}
		case !x.Modelled && !x.Plain.Known && x.Aim.From == AimOwn && x.Stores().Known && l.b.climate(yard) == apiary.ClimateUnknown:
			// Its target is known, so nothing else asks for the class of winter.
			if blind[yard] == nil {
				blinds = append(blinds, yard)
			}
			blind[yard] = append(blind[yard], x.Colony.ID)
		case x.Due && !x.ReadAt.IsZero(): // what was never read stands under the readings already
			if heft[yard] == nil {
				yards = append(yards, yard)
			}
			heft[yard] = append(heft[yard], x.Colony.ID)
		}
	}
	slices.SortFunc(lows, func(a, b feed) int { return cmp.Or(NameOrder(a.yard, b.yard), cmp.Compare(a.form, b.form)) })
	for _, k := range lows {
		l.add(*low[k], k.yard, l.b.figs.V("season.look_min"))
	}
	for _, y := range sortedKeys(later) {
		l.add(*later[y], y, l.b.figs.V("season.look_min"))
	}
	slices.SortFunc(blinds, NameOrder)
	for _, y := range blinds {
		l.add(Job{Code: JobWinter, Colonies: blind[y]}, y, 0)
	}
	slices.SortFunc(yards, NameOrder)
	for _, y := range yards {
		l.add(Job{Code: JobHeft, Colonies: heft[y]}, y, l.b.figs.V("season.heft_min"))
	}
	return l.ordered(append(slices.Clone(jobs), l.out...))
}

// mild gives the next day the forecast has as warm as bees fly, 0 = none is known.
func (l *jobList) mild(yard string) units.Day {
	s := l.b.skyOf(yard)
	least := l.b.figs.V("winter.liquid_min_high_c")
	for d := l.at.Day(); s.known && d < l.at.Day()+14; d++ {
		if t, ok := s.max(d); ok && t.C() >= least {
			return d
		}
	}
	return 0
}
