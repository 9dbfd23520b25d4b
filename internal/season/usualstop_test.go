package season_test

import (
	"math"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// A yard of which only the class of winter is told stops on the usual day of that
// class; a day of its own wins over that, and so does the weather of past years.
func TestUsualStopGivesWay(t *testing.T) {
	s := newSmall(t)
	hill := apiary.Yard{ID: "hill", Station: "far", Climate: apiary.Cold}
	stop := func() season.YardStop {
		t.Helper()
		for _, y := range s.journal(t).Now().StopDays(units.OnDay(day(4))) {
			if y.Yard.ID == "hill" {
				return y
			}
		}
		t.Fatal("no hill")
		return season.YardStop{}
	}
	s.add(1, hill)
	first := stop()
	if !first.Known || !first.Usual || first.Typed || first.Stop.Day.Month() != time.October && first.Stop.Day.Month() != time.September {
		t.Errorf("%+v", first)
	}
	hill.Stop = day(20)
	s.add(2, hill)
	if own := stop(); !own.Typed || own.Usual || own.Stop.Day != day(20) {
		t.Errorf("%+v", own)
	}
	hill.Stop = 0
	s.add(3, hill)
	for y := 2015; y < 2026; y++ { // warm in July, cold in January
		for d := units.DayOf(y, time.January, 1); d < units.DayOf(y+1, time.January, 1); d++ {
			top := 12 + 15*math.Cos(2*math.Pi*float64(d-units.DayOf(y, time.July, 20))/365)
			id := season.ID{0x01, 0x97, 6: 0x70, 8: 0x80, 14: byte(d >> 8), 15: byte(d)}
			s.facts = append(s.facts, season.Fact{ID: id, Seen: units.OnDay(day(3)), Body: weather.Day{Station: "far", Day: d, TMax: units.Temp(top), TMin: units.Temp(top - 9), HasMax: true, HasMin: true}})
		}
	}
	if by := stop(); !by.Known || by.Usual || by.Typed || by.Stop.Basis == weather.Typed {
		t.Errorf("the usual day stays in the way of the weather: %+v", by)
	}
}
