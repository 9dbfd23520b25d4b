package season_test

import (
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// A stop day typed for one autumn says nothing of the next: without weather the
// same date of the new year stands in for it, said so, and the plan has its days.
func TestStopDayOfAnotherAutumn(t *testing.T) {
	s := newSmall(t)
	next := units.OnDay(units.DayOf(day(3).Year()+1, day(3).Month(), day(3).DayOfMonth()))
	n := int(next.Day() - day(0))
	for i, c := range []string{"m1", "m2", "m3", "h1", "h2"} {
		s.add(n-1, apiary.Look{Colony: c, Bees: 10, BeesKnown: true, Brood: 4, BroodKnown: true, Queen: apiary.Yes, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No})
		s.add(n-1, stores.Reading{Colony: c, Way: stores.Full, Gross: units.In(units.Mass(38 + i))})
	}
	st := s.journal(t).AsOf(next)
	for _, y := range st.Stopping(next, nil) {
		if !y.Known || !y.Carried || y.Typed || y.Stop.Day != units.DayOf(next.Day().Year(), day(30).Month(), day(30).DayOfMonth()) {
			t.Errorf("%s: %v of %v, carried %v, typed %v", y.Yard.ID, y.Stop.Day, day(30), y.Carried, y.Typed)
		}
		if len(y.Why) == 0 || y.Why[0].Code != "stop-carried" {
			t.Errorf("%s: %+v", y.Yard.ID, y.Why)
		}
	}
	p, err := st.Plan(next, 1)
	if err != nil || len(p.Loads) == 0 {
		t.Errorf("%d loads, %v: want some, for the day is not past", len(p.Loads), err)
	}
	for _, y := range s.journal(t).AsOf(at).Stopping(at, nil) {
		if !y.Typed || y.Carried || y.Stop.Day != day(30) {
			t.Errorf("in its own autumn %s stops on %v, typed %v", y.Yard.ID, y.Stop.Day, y.Typed)
		}
	}
}

// A weight of last autumn says nothing once a summer lies between: the hive is
// not known and is asked for, not taken for empty. One of June still counts.
func TestReadingsOfLastSeason(t *testing.T) {
	s := newSmall(t)
	year := day(3).Year() + 1
	next := units.OnDay(units.DayOf(year, 8, 25))
	june := int(units.DayOf(year, 6, 10) - day(0))
	s.add(june, stores.Reading{Colony: "m2", Way: stores.Full, Gross: units.In(units.Mass(50))})
	st := s.journal(t).AsOf(next)
	for c, known := range map[string]bool{"m1": false, "m2": true} {
		x, _ := st.JudgeOne(c, next)
		if x.Stores().Known != known {
			t.Errorf("%s is known %v: %+v", c, x.Stores().Known, x.Track.Now)
		}
		said := false
		for _, r := range x.Track.Now.Reasons {
			said = said || r.Code == "old-season" && strings.Contains(r.Say, "weigh it again")
		}
		if said == known {
			t.Errorf("%s: %+v", c, x.Track.Now.Reasons)
		}
	}
	// Through winter and spring it counts.
	may := units.OnDay(units.DayOf(year, 5, 20))
	if x, _ := s.journal(t).AsOf(may).JudgeOne("m1", may); !x.Stores().Known {
		t.Error("m1 is not known in May")
	}
}

// A day that is the one suggested for the class of winter is called so, in autumn
// and in the January after; another is the keeper's own.
func TestUsualStopDay(t *testing.T) {
	s := newSmall(t)
	figs, _ := s.journal(t).AsOf(at).Settings.FigureSet()
	stop, err := season.SuggestStop(apiary.Temperate, day(4), false, figs)
	if err != nil {
		t.Fatal(err)
	}
	s.add(3, apiary.Yard{ID: "mill", HasPlace: true, Lat: 42.05, Lon: -75.02, Climate: apiary.Temperate, Station: "s", Stop: stop})
	for _, d := range []units.Day{day(4), units.DayOf(2027, 1, 12)} {
		now := units.OnDay(d)
		for _, y := range s.journal(t).AsOf(now).Stopping(now, nil) {
			if y.Usual != (y.Yard.ID == "mill") || !y.Typed {
				t.Errorf("on %v %s stops on %v: usual %v, typed %v", d, y.Yard.ID, y.Stop.Day, y.Usual, y.Typed)
			}
		}
	}
}
