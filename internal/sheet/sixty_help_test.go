package sheet_test

import (
	"fmt"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// roundDay is the day of the round of [manyHives].
var roundDay = units.DayOf(2026, time.October, 14)

// manyHives is a yard of n hives, all fed on one load, with every kind of note.
func manyHives(t testing.TB, lang string, system units.System, n int) *sheet.Source {
	t.Helper()
	s := source(t, lang, system)
	j := season.NewJournal()
	if _, err := j.Add(season.Fact{ID: season.ID{1, 2, 6: 0x70, 8: 0x80}, Seen: units.OnDay(roundDay - 9),
		Body: apiary.Yard{ID: "long", Name: "Long Meadow", Access: "ring at the farm; the dog is tied; close both gates"}}); err != nil {
		t.Fatal(err)
	}
	s.State, s.At, s.Short = j.Now(), units.OnDay(roundDay-1), nil
	p := &season.Planned{Problem: s.Plan.Problem}
	p.Strength, p.Start = 2.0/3, roundDay
	stop := feeding.Stop{Yard: "long"}
	for i := range n {
		x := season.Short{}
		x.Colony = &season.Colony{Colony: apiary.Colony{ID: fmt.Sprintf("A%d", i+1), Yard: "long", Stand: i + 1}}
		x.Track.Now.Estimate = figure.Est(11+float64(i%7), 3)
		x.Lack = feeding.Shortage{Known: true, Short: units.Mass(9 - i%7), Target: 25, Stores: x.Track.Now.Estimate}
		v := units.Volume(4 + float64(i%9)*0.25)
		switch i % 20 {
		case 3:
			x.Hold = []feeding.Reason{{Code: feeding.CodeSuper, Say: "a honey super is on"}}
			v = 0
		case 8:
			x.Lack = feeding.Shortage{Target: 25}
			v = 0
		case 15:
			x.Ask = []feeding.Reason{{Code: feeding.CodeAskQueen, Say: "is the queen there?"}}
		}
		s.Short = append(s.Short, x)
		if v > 0 {
			stop.Fills = append(stop.Fills, feeding.Fill{Colony: x.Colony.ID, Volume: v})
			p.Colonies = append(p.Colonies, feeding.ColonyPlan{Colony: x.Colony.ID, Yard: "long", Given: v, Fills: 1 + i%3})
		}
	}
	l := feeding.Load{N: 1, Day: roundDay, Truck: "pickup", Stops: []feeding.Stop{stop}}
	for _, f := range stop.Fills {
		l.Syrup += f.Volume
	}
	p.Loads = []feeding.Load{l}
	s.Plan = p
	return s
}
