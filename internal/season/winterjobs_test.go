package season_test

import (
	"slices"
	"testing"
	"time"

	"larder/internal/season"
	"larder/internal/units"
)

// The jobs of winter are the rows of the watch: who lacks food is to be fed with
// what the watch offers first, by the day it runs short; who is worth a heft is to
// be hefted; nobody else. In summer there are none.
func TestWinterJobsAreTheWatch(t *testing.T) {
	at := units.OnDay(units.DayOf(2027, time.January, 5))
	st := winterHerd(t, 6, func(i int) float64 { return 1 + 2*float64(i) })
	l := st.WatchList(at, 1)
	for i := range l.Yards { // whether or not the made-up weather tells the stop day
		l.Yards[i].Stop.Known, l.Yards[i].Stop.Stop.Day = true, units.DayOf(2026, time.October, 10)
	}
	before := st.Jobs(at, nil)
	jobs := st.AddWinter(before, at, &l)
	var fed, hefted []string
	for _, j := range jobs {
		switch j.Code {
		case season.JobLow:
			fed = append(fed, j.Colonies...)
			var first units.Day
			for _, w := range l.Rows {
				if !slices.Contains(j.Colonies, w.Colony.ID) {
					continue
				}
				if w.Need.Options[0].Form != j.Form {
					t.Errorf("%s: %s, the watch offers %s", w.Colony.ID, j.Form, w.Need.Options[0].Form)
				}
				if d := w.Fan.RunsShortOn; d != 0 && (first == 0 || d < first) {
					first = d
				}
			}
			if j.Last != first || j.Work <= 0 || len(j.Yards) == 0 {
				t.Errorf("%+v, want by %s", j, first)
			}
		case season.JobHeft:
			hefted = append(hefted, j.Colonies...)
		}
	}
	var lack, due []string
	for _, w := range l.Rows {
		switch {
		case w.Lack > 0:
			lack = append(lack, w.Colony.ID)
		case w.Due:
			due = append(due, w.Colony.ID)
		}
	}
	slices.Sort(fed)
	slices.Sort(lack)
	slices.Sort(hefted)
	slices.Sort(due)
	if len(lack) == 0 || !slices.Equal(fed, lack) || !slices.Equal(hefted, due) {
		t.Errorf("fed %v, the watch %v; hefted %v, the watch %v", fed, lack, hefted, due)
	}
	if len(jobs) <= len(before) {
		t.Errorf("%d jobs, were %d", len(jobs), len(before))
	}
	for i := range l.Yards { // the stop day is still to come
		l.Yards[i].Stop.Stop.Day = at.Day() + 1
	}
	if again := st.AddWinter(before, at, &l); len(again) != len(before) {
		t.Errorf("before the stop day: %+v", again)
	}
}
