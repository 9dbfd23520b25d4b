package weather

import (
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
)

// TestScenariosCountedByHand: 15 °C every day (0.6 of full uptake) and one run
// of days in each past year that is otherwise: too cold, too wet, not known.
// This season's own first day is known and stands in each.
func TestScenariosCountedByHand(t *testing.T) {
	day := func(y int, d units.Day, high units.Temp, rain float64) Day {
		return Day{Station: "s", Day: d, TMax: high, TMin: 2, HasMax: true, HasMin: true, Rain: rain, HasRain: true}
	}
	from := units.DayOf(2024, time.September, 20)
	days := []Day{day(2024, from, 25, 0)}
	for y := 2020; y < 2023; y++ {
		for d := units.DayOf(y, time.July, 1); d < units.DayOf(y+1, time.July, 1); d++ {
			x := day(y, d, 15, 0)
			if d > units.DayOf(y, time.November, 1) {
				x.TMax = 3
			}
			if d == units.DayOf(y, time.September, 20) {
				x.TMax = 2 // hidden behind this season's own
			}
			if d >= units.DayOf(y, time.September, 22) && d < units.DayOf(y, time.September, 24) {
				switch y {
				case 2020:
					x.TMax = 8
				case 2021:
					x.Rain = 30
				case 2022:
					continue
				}
			}
			days = append(days, x)
		}
	}
	s, err := MakeSeries("s", days)
	if err != nil {
		t.Fatal(err)
	}
	set := mustWith(t, published(), keyFill, 0) // a gap stays a gap
	all, few, err := Scenarios(StopQuery{Season: 2024, Series: s, Feed: Feed{Strength: 0.66}}, from, 5, set)
	if err != nil || len(all) != 3 || !few {
		t.Fatalf("%+v %v %v", all, few, err)
	}
	want := map[int]struct {
		feed   [5]bool
		factor [5]float64
		known  int
	}{
		2020: {[5]bool{true, true, false, false, true}, [5]float64{1, 0.6, 0, 0, 0.6}, 5},
		2021: {[5]bool{true, true, false, false, true}, [5]float64{1, 0.6, 0.6, 0.6, 0.6}, 5},
		2022: {[5]bool{true, true, false, false, true}, [5]float64{1, 0.6, 0, 0, 0.6}, 3},
	}
	for _, sc := range all {
		w := want[sc.Season]
		if [5]bool(sc.Feed) != w.feed || [5]float64(sc.Factor) != w.factor || sc.Known != w.known {
			t.Errorf("%d: %v %v %d, want %v", sc.Season, sc.Feed, sc.Factor, sc.Known, w)
		}
	}
	if _, _, err := Scenarios(StopQuery{Season: 2024}, from, 5, set); !fault.Is(err, fault.Missing) {
		t.Errorf("without weather: %v", err)
	}
	if _, _, err := Scenarios(StopQuery{Season: 2024, Series: s}, from, 0, set); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("no days: %v", err)
	}
}

// TestScenariosAgreeWithReplays: up to its stop day a scenario has the good
// days its replay counts.
func TestScenariosAgreeWithReplays(t *testing.T) {
	for name, s := range cities(t) {
		from := units.DayOf(2015, time.September, 1)
		all, _, err := Scenarios(StopQuery{Season: 2015, Series: s}, from, 200, published())
		if err != nil || len(all) == 0 {
			t.Fatalf("%s: %d, %v", name, len(all), err)
		}
		for _, sc := range all {
			n := 0
			for i, ok := range sc.Feed {
				if ok && from+units.Day(i) <= sc.Stop {
					n++
				}
			}
			if n != sc.Feedable {
				t.Errorf("%s %d: %d good days, the replay counts %d", name, sc.Season, n, sc.Feedable)
			}
		}
	}
}

func TestSureOf(t *testing.T) {
	ten := []int{9, 1, 8, 2, 7, 3, 6, 4, 5, 10}
	for p, want := range map[float64]int{0.9: 2, 0.95: 1, 0.8: 3, 0.5: 6} {
		if got := SureOf(ten, p); got != want {
			t.Errorf("%v: %d, want %d", p, got, want)
		}
	}
	if SureOf(nil, 0.9) != 0 {
		t.Error("of nothing")
	}
}
