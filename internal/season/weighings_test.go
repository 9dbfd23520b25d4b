package season_test

import (
	"math"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// winterHerd is n colonies weighed on 1 November and on 1 January, with weather
// to the end of January; lost gives what each lost between.
func winterHerd(t *testing.T, n int, lost func(i int) float64, more ...season.Fact) *season.State {
	t.Helper()
	facts := herd(n)
	k := byte(10)
	var sky uint16
	for d := units.DayOf(2026, time.September, 11); d <= units.DayOf(2027, time.January, 31); d++ {
		sky++
		f := extra(0, d, weather.Day{Station: "s", Day: d, TMax: 5, TMin: -3, HasMax: true, HasMin: true})
		f.ID[1], f.ID[2] = byte(sky>>8), byte(sky)
		facts = append(facts, f)
	}
	for i := range n {
		c := colonyName(i)
		for _, r := range []struct {
			d  units.Day
			kg float64
		}{{units.DayOf(2026, time.November, 1), 48}, {units.DayOf(2027, time.January, 1), 48 - lost(i)}} {
			k++
			facts = append(facts, extra(k, r.d, stores.Reading{Colony: c, Way: stores.Full, Gross: units.In(units.Mass(r.kg))}))
		}
	}
	j := season.NewJournal()
	if _, err := j.Add(append(facts, more...)...); err != nil {
		t.Fatal(err)
	}
	return j.Now()
}

func colonyName(i int) string { return "c" + string(rune('0'+i)) }

var newYear = units.OnDay(units.DayOf(2027, time.January, 5))

// Hives that lost twice what the figures say draw the figures up, those that lost
// half draw them down, and each by less than the whole way: few weighings do not
// outweigh the published figures.
func TestYardsLearnFromTheirOwnWeighings(t *testing.T) {
	var plain float64
	ratio := func(lost float64) float64 {
		st := winterHerd(t, 6, func(int) float64 { return lost })
		l := st.Learned(newYear)
		if len(l) != 1 || l[0].Used != 6 || len(l[0].Pairs) != 6 || len(l[0].Aside) != 0 {
			t.Fatalf("learned %+v", l)
		}
		plain = l[0].Pairs[0].Expect.Kg(&l[0].Before)
		c := l[0].Changed()
		return (c[0].After + c[1].After) / (c[0].Before + c[1].Before)
	}
	up, down := ratio(4.4), ratio(1.6)
	if !(up > 1.1 && up < 2) || !(down < 0.95 && down > 0.5) {
		t.Errorf("rates by %v and %v; expected was %v kg", up, down, plain)
	}
	if plain < 1.5 || plain > 4 { // evidence base §5.3: 1 to 1.25 kg a month, 33–50 g a day
		t.Errorf("61 days from November are expected to cost %v kg", plain)
	}
}

// Pairs with feed, ripening syrup or new woodenware between, and such as lie too
// near, are not learned from.
func TestWhatIsNotLearnedFrom(t *testing.T) {
	dec := units.DayOf(2026, time.December, 1)
	fed := winterHerd(t, 1, func(int) float64 { return 2 }, extra(200, dec, ledger.Given{Colony: "c0", Feed: ledger.Fondant, Mass: units.In(units.Mass(1))}))
	if l := fed.Learned(newYear); len(l) != 1 || l[0].Used != 0 || len(l[0].Aside) != 1 || l[0].Aside[0].Reason.Code != "fed-between" {
		t.Errorf("fed: %+v", l)
	}
	boxes := winterHerd(t, 1, func(int) float64 { return 2 }, extra(201, dec, apiary.Restacked{Colony: "c0"}))
	if l := boxes.Learned(newYear); len(l) != 0 {
		t.Errorf("another hive between: %+v", l)
	}
	unripe := winterHerd(t, 1, func(int) float64 { return 2 }, extra(202, units.DayOf(2026, time.October, 25), ledger.Given{Colony: "c0", Feed: ledger.Syrup, Volume: units.In(units.Volume(4))}))
	if l := unripe.Learned(newYear); len(l) != 1 || l[0].Used != 0 || l[0].Aside[0].Reason.Code != "unripe-between" {
		t.Errorf("unripe: %+v", l)
	}
	gained := winterHerd(t, 1, func(int) float64 { return -6 })
	if l := gained.Learned(newYear); len(l) != 1 || l[0].Used != 0 || l[0].Aside[0].Reason.Code != "forage-between" {
		t.Errorf("gained: %+v", l)
	}
}

// What was learned is used: a yard of great eaters is given more to last, and
// what a colony ate since its last reading goes by this winter and this colony.
func TestWhatWasLearnedIsUsed(t *testing.T) {
	greedy, frugal := winterHerd(t, 6, func(int) float64 { return 4.4 }), winterHerd(t, 6, func(int) float64 { return 1.6 })
	at := units.OnDay(units.DayOf(2027, time.February, 1))
	a, b := greedy.Short(at)[0], frugal.Short(at)[0]
	if !(a.Aim.Want > b.Aim.Want+1) {
		t.Errorf("targets %v and %v", a.Aim.Want, b.Aim.Want)
	}
	lossA := greedy.Judge(newYear)[0].Stores().Mean - a.Stores().Mean
	lossB := frugal.Judge(newYear)[0].Stores().Mean - b.Stores().Mean
	if !(lossA > 1.15*lossB) || lossB <= 0 || lossA > 4 {
		t.Errorf("eaten in four weeks: %v and %v kg", lossA, lossB)
	}
	for _, r := range a.Track.Now.Reasons {
		if r.Code == "plain-use" {
			t.Errorf("still by the plain figure: %v", r)
		}
	}
	if math.IsNaN(lossA) {
		t.Fatal("not known")
	}
}

// Where the plan has work, it is held against the days left; a typed day wins.
func TestStoppingHoldsWorkAgainstDays(t *testing.T) {
	j, at := herdAt(t, 30)
	st := j.AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	all := st.Stopping(at, &p)
	if len(all) != 1 || all[0].Hives != 30 || len(all[0].Years) != 3 || len(all[0].Sures) != 3 || !all[0].Few {
		t.Fatalf("%+v", all)
	}
	s := all[0]
	if s.Loads == 0 || s.Days == 0 || s.Syrup <= 0 || s.Loads < s.Days {
		t.Errorf("work left: %d loads on %d days, %v", s.Loads, s.Days, s.Syrup)
	}
	for i := 1; i < 3; i++ {
		if s.Sures[i].Days > s.Sures[i-1].Days || s.Sures[i].Stop > s.Sures[i-1].Stop {
			t.Errorf("surer, but more: %+v", s.Sures)
		}
	}
	if s.Stop.Day > s.Sures[0].Stop {
		t.Errorf("the stop day %s is later than one in two %s", s.Stop.Day, s.Sures[0].Stop)
	}
	stop := units.DayOf(2026, time.September, 14)
	y, _ := st.Yard("y0")
	y.Stop = stop
	j, _ = herdAt(t, 30, extra(1, at.Day(), y))
	st = j.AsOf(at)
	if p, err = st.Plan(at, 1); err != nil {
		t.Fatal(err)
	}
	s = st.Stopping(at, &p)[0]
	if !s.Typed || s.Stop.Day != stop || s.Sures[0].Stop != stop || s.Sures[0].Days > 4 {
		t.Errorf("typed: %+v", s)
	}
	for _, l := range p.Loads { // the plan itself keeps to it
		if l.Day > stop {
			t.Errorf("load %d goes out on %s, after the typed stop day", l.N, l.Day)
		}
	}
}
