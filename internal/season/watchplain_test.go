package season_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/winter"
)

// plainYard is an empty book with one yard of hives in two deeps and no weather,
// each hive with its own gross weight (kg) on 30 November.
func plainYard(t *testing.T, class apiary.Climate, gross ...float64) *season.State {
	t.Helper()
	nov := units.DayOf(2026, time.November, 30)
	s := &small{}
	s.add(1, apiary.Yard{ID: "y", Climate: class, Stop: units.DayOf(2026, time.October, 1)})
	for i, kg := range gross {
		id := colonyName(i)
		s.add(1, apiary.Placed{Colony: apiary.Colony{ID: id, Yard: "y", Kind: apiary.Full, Stack: mustStack(t, "lang10-deep x2"), Feeder: "tray-2"}})
		s.facts = append(s.facts, extra(byte(200+i), nov, stores.Reading{Colony: id, Way: stores.Full, Gross: units.In(units.Mass(kg))}))
	}
	return s.journal(t).AsOf(units.OnDay(nov))
}

var lastOfNovember = units.OnDay(units.DayOf(2026, time.November, 30))

// Without weather the watch still says who starves. Two deeps of 80 lb (36.3 kg)
// hold hardly any food: CAPA as quoted gives a double deep 65 lb without its
// stores, and 135 lb when it has its 70 lb for the winter; Ontario wants 100 lb.
func TestWatchWithoutWeather(t *testing.T) {
	st := plainYard(t, apiary.Cold, 36.3, 61.2, 45.4)
	l := st.WatchList(lastOfNovember, 1)
	by := map[string]season.Watching{}
	for _, w := range l.Rows {
		by[w.Colony.ID] = w
		if w.Modelled || !w.Plain.Known {
			t.Fatalf("%s: modelled %v, %+v", w.Colony.ID, w.Modelled, w.Plain)
		}
	}
	light, full, middling := by["c0"], by["c1"], by["c2"]
	if light.Lack <= 0 || light.Level != winter.Alarm || len(light.Need.Options) == 0 || light.Need.Options[0].Form != winter.Fondant {
		t.Errorf("80 lb: lacks %v, %q, %+v", light.Lack, light.Level, light.Need)
	}
	if full.Lack != 0 || full.Later != 0 || full.Plain.Chance > 0.1 {
		t.Errorf("135 lb: lacks %v and %v later, chance %v", full.Lack, full.Later, full.Plain.Chance)
	}
	if middling.Lack != 0 || middling.Later <= 0 || middling.Level == winter.Enough {
		t.Errorf("100 lb: lacks %v, %v later, %q", middling.Lack, middling.Later, middling.Level)
	}
	if d, ok := middling.ShortOn(); !ok || d <= lastOfNovember.Day()+42 {
		t.Errorf("100 lb is short from %v", d)
	}
	// A second way: what two months ate is of its target no more than what the plain
	// figures of all months give them.
	if n := light.Plain.Needs.Kg(); n >= light.Aim.Kg.Kg() || n < light.Aim.Kg.Kg()*0.6 {
		t.Errorf("needs %.1f of %.1f kg: %s", n, light.Aim.Kg.Kg(), "by January two thirds are still to be eaten (bienen&natur)")
	}
	if !slices.ContainsFunc(light.Saying(), func(r feeding.Reason) bool { return r.Code == "plain-winter" }) {
		t.Errorf("no reason: %+v", light.Saying())
	}
	var low, later []string
	for _, j := range st.AddWinter(st.Jobs(lastOfNovember, nil), lastOfNovember, &l) {
		switch j.Code {
		case season.JobLow:
			low = append(low, j.Colonies...)
		case season.JobLater:
			later = append(later, j.Colonies...)
			if j.Feed <= 0 || j.Last == 0 {
				t.Errorf("%+v", j)
			}
		}
	}
	if !slices.Equal(low, []string{"c0"}) || !slices.Equal(later, []string{"c2"}) {
		t.Errorf("low %v, later %v", low, later)
	}
}

// More stores never make it look worse, and the day it runs short never comes
// earlier.
func TestMoreStoresNeverLookWorseWithoutWeather(t *testing.T) {
	var gross []float64
	for kg := 34.0; kg <= 62; kg += 4 {
		gross = append(gross, kg)
	}
	rows := plainYard(t, apiary.Temperate, gross...).WatchList(lastOfNovember, 1).Rows
	slices.SortFunc(rows, func(a, b season.Watching) int { return season.NameOrder(a.Colony.ID, b.Colony.ID) })
	for i := 1; i < len(rows); i++ {
		a, b := &rows[i-1], &rows[i]
		da, _ := a.ShortOn()
		db, _ := b.ShortOn()
		if b.Lack > a.Lack+1e-9 || a.Lack == 0 && b.Later > a.Later+1e-9 || b.Chance() > a.Chance()+1e-9 || db != 0 && (da == 0 || db < da) || !(b.Runway >= a.Runway) || math.IsNaN(a.Chance()) {
			t.Errorf("%.0f kg: %+v, lacks %v; %.0f kg: %+v, lacks %v", gross[i-1], a.Plain, a.Lack, gross[i], b.Plain, b.Lack)
		}
	}
}

// Without the class of winter there is no target: then the next six weeks are
// looked at, and what to tell is a job.
func TestWatchWithoutClassOfWinter(t *testing.T) {
	st := plainYard(t, apiary.ClimateUnknown, 30)
	l := st.WatchList(lastOfNovember, 1)
	if w := l.Rows[0]; w.Lack <= 0 || w.Plain.Known {
		t.Errorf("lacks %v, %+v", w.Lack, w.Plain)
	}
	jobs := st.AddWinter(st.Jobs(lastOfNovember, nil), lastOfNovember, &l)
	for _, code := range []season.JobCode{season.JobLow, season.JobWinter} {
		if !slices.ContainsFunc(jobs, func(j season.Job) bool { return j.Code == code }) {
			t.Errorf("no %s: %+v", code, jobs)
		}
	}
}
