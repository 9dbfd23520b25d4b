package weather

import (
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
)

// In made-up weather that is 20 °C up to a day and 5 °C after it, the stop day
// of each replay, and its feedable days, can be counted by hand.
func TestReplaysCountedByHand(t *testing.T) {
	var days []Day
	turn := map[int]int{2020: 20, 2021: 10, 2022: 25, 2023: 15} // last warm day of October
	for y, last := range turn {
		for d := units.DayOf(y, time.July, 1); d < units.DayOf(y+1, time.July, 1); d++ {
			high := units.Temp(20)
			if d > units.DayOf(y, time.October, last) && d < units.DayOf(y+1, time.May, 1) {
				high = 5
			}
			days = append(days, Day{Station: "s", Day: d, TMax: high, TMin: 2, HasMax: true, HasMin: true, Rain: 0, HasRain: true})
		}
	}
	s, err := MakeSeries("s", days)
	if err != nil {
		t.Fatal(err)
	}
	q := StopQuery{Season: 2024, Series: s, Feed: Feed{Strength: 0.66}}
	from := units.DayOf(2024, time.September, 20)
	o, err := Replays(q, from, published())
	if err != nil {
		t.Fatal(err)
	}
	// Ten highs of 20 turn below a mean of 13 with the fifth of 5 °C among them
	// (20·5 + 5·5 = 125 < 130); 14 days less for ripening.
	want := []struct{ season, day int }{{2021, 1}, {2023, 6}, {2020, 11}, {2022, 16}}
	if len(o.Years) != 4 || !o.Few {
		t.Fatalf("%+v", o)
	}
	for i, w := range want {
		stop := units.DayOf(2024, time.October, w.day)
		y := o.Years[i]
		if y.Season != w.season || y.Stop != stop || y.Feedable != int(stop-from)+1 || y.Open {
			t.Errorf("%d: %+v, want season %d, stop %s, %d days", i, y, w.season, stop, int(stop-from)+1)
		}
	}
	for p, i := range map[float64]int{0.95: 0, 0.8: 0, 0.75: 1, 0.5: 2, 0.25: 3} {
		if o.Feedable(p) != o.Years[i].Feedable || o.Stop(p) != o.Years[i].Stop {
			t.Errorf("%v: %d days to %s", p, o.Feedable(p), o.Stop(p))
		}
	}
	q.Typed = units.DayOf(2024, time.September, 25)
	o, err = Replays(q, from, published())
	if err != nil || o.Feedable(0.95) != 6 || o.Stop(0.5) != q.Typed {
		t.Errorf("typed: %+v, %v", o, err)
	}
	if _, err := Replays(StopQuery{Season: 2024}, from, published()); fault.KindOf(err) != fault.Missing {
		t.Errorf("without weather: %v", err)
	}
}
