package season

import (
	"cmp"
	"slices"

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
// in need, those of one yard and one form of feed together, and colonies to be
// hefted since a heft may change what is done. Both are the rows of [WatchList] in
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
	low, heft := map[feed]*Job{}, map[string][]string{}
	var lows []feed
	var yards []string
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
			j.Last = earlier(j.Last, x.Fan.RunsShortOn)
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
