package season_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// twoStations is a yard, and two stations with a day each, one in the valley
// 11 km off and one 100 km off.
func twoStations(t *testing.T, yard apiary.Yard, more ...any) *season.State {
	t.Helper()
	today := units.DayOf(2026, 9, 10)
	bodies := append([]any{yard,
		weather.Station{ID: "valley", HasPlace: true, Lat: 42.5, Lon: -76.5, HasElev: true, Elev: 200},
		weather.Station{ID: "away", HasPlace: true, Lat: 43.4, Lon: -76.5},
		weather.Day{Station: "valley", Day: today, TMax: 20, HasMax: true, TMin: 10, HasMin: true},
		weather.Day{Station: "away", Day: today, TMax: 15, HasMax: true},
	}, more...)
	j := season.NewJournal()
	for i, b := range bodies {
		if _, err := j.Add(season.Fact{ID: season.ID{15: byte(i + 1)}, Seen: units.OnDay(today), Body: b}); err != nil {
			t.Fatal(err)
		}
	}
	return j.Now()
}

func TestStationFor(t *testing.T) {
	here := apiary.Yard{ID: "ridge", HasPlace: true, Lat: 42.4, Lon: -76.5, Elev: 507}
	with := func(change func(*apiary.Yard)) apiary.Yard { y := here; change(&y); return y }
	own := weather.Day{Station: "ridge", Day: units.DayOf(2026, 9, 9), TMax: 30, HasMax: true}
	at := units.OnDay(units.DayOf(2026, 9, 10))
	for _, c := range []struct {
		name    string
		yard    apiary.Yard
		more    []any
		station string
		how     season.How
		says    string // metric
	}{
		// 300 m (307 in steps of 15) × 6.5 °C/km = 1.95 °C; 0.1° of latitude are 11.1 km.
		{"nearest", here, nil, "valley", season.StationNearest, "weather of valley, the nearest station, 11 km away|taken 2 °C colder than there, for a yard 300 m higher"},
		{"lower", with(func(y *apiary.Yard) { y.Elev = 50 }), nil, "valley", season.StationNearest, "weather of valley, the nearest station, 11 km away|taken 1 °C warmer than there, for a yard 150 m lower"},
		{"typed wins", with(func(y *apiary.Yard) { y.Station = "away" }), nil, "away", season.StationTyped, "weather of away, as you chose, 111 km away|not corrected for height: the station's is not told|that is far: single days there may be other than here"},
		{"typed, not placed", with(func(y *apiary.Yard) { y.Station, y.Elev = "else", 0 }), nil, "else", season.StationTyped, "weather of else, as you chose|not corrected for height: neither the yard's nor the station's is told"},
		{"own series", here, []any{own}, "ridge", season.StationOwn, ""},
		{"yard's height not told", with(func(y *apiary.Yard) { y.Elev = 0 }), nil, "valley", season.StationNearest, "weather of valley, the nearest station, 11 km away|not corrected for height: the yard's is not told"},
		{"yard's place not told", apiary.Yard{ID: "ridge"}, nil, "", season.StationNone, ""},
	} {
		got := twoStations(t, c.yard, c.more...).StationFor("ridge", at)
		var says []string
		for _, r := range got.Why {
			says = append(says, units.Style{System: units.Metric, Decimal: '.'}.Say(r.Say, r.Amounts))
		}
		if got.Station != c.station || got.How != c.how || strings.Join(says, "|") != c.says {
			t.Errorf("%s: %q %q\n got %s\nwant %s", c.name, got.Station, got.How, strings.Join(says, "|"), c.says)
		}
	}
}

// The corrected weather is what the yard is judged by: 15.2 °C at the station is
// warm enough for a class of winter that the mountain yard is too cold for.
func TestHeightReachesTheJudging(t *testing.T) {
	january := func(y apiary.Yard) apiary.Climate {
		var days []any
		for yr := 2020; yr < 2026; yr++ {
			for d := units.DayOf(yr, 1, 1); d <= units.DayOf(yr, 1, 31); d++ {
				days = append(days, weather.Day{Station: "valley", Day: d, TMax: 5, HasMax: true, TMin: 0, HasMin: true}) // mean 2.5 °C
			}
		}
		j := season.NewJournal()
		for i, b := range append([]any{y, weather.Station{ID: "valley", HasElev: true, Elev: 200}}, days...) {
			if _, err := j.Add(season.Fact{ID: season.ID{14: byte(i >> 8), 15: byte(i + 1)}, Seen: units.OnDay(units.DayOf(2026, 2, 1)), Body: b}); err != nil {
				t.Fatal(err)
			}
		}
		return j.Now().Winter("ridge", units.OnDay(units.DayOf(2026, 2, 2)))
	}
	if got := january(apiary.Yard{ID: "ridge"}); got != apiary.Mild {
		t.Errorf("at the station's height: %s", got)
	}
	// 600 m × 6.5 °C/km = 3.9 °C: −1.4 °C.
	if got := january(apiary.Yard{ID: "ridge", Elev: 800}); got != apiary.Temperate {
		t.Errorf("600 m up: %s", got)
	}
}

func TestOldForecastIsSaid(t *testing.T) {
	made := units.DayOf(2026, 9, 5)
	j := season.NewJournal()
	for i, b := range []any{
		apiary.Yard{ID: "ridge", Stop: units.DayOf(2026, 10, 1)},
		weather.Day{Station: "ridge", Day: made + 6, TMax: 20, HasMax: true, Forecast: true},
	} {
		if _, err := j.Add(season.Fact{ID: season.ID{15: byte(i + 1)}, Seen: units.OnDay(made), Body: b}); err != nil {
			t.Fatal(err)
		}
	}
	for after, want := range map[units.Day]bool{0: false, 2: false, 3: true, 6: true, 7: false} { // on the 7th no day to come rests on it
		at := units.OnDay(made + after)
		why := j.AsOf(at).StopDays(at)[0].Why
		said := slices.ContainsFunc(why, func(r feeding.Reason) bool { return r.Code == "forecast-old" })
		if said != want {
			t.Errorf("%d days on: said %v", after, said)
		}
	}
}

func TestPlacesAreChecked(t *testing.T) {
	nan := math.NaN()
	for name, body := range map[string]any{
		"yard's height":           apiary.Yard{ID: "y", Elev: units.Length(nan)},
		"yard's height, endless":  apiary.Yard{ID: "y", Elev: units.Length(math.Inf(1))},
		"yard in the sky":         apiary.Yard{ID: "y", Elev: 9000},
		"yard's latitude":         apiary.Yard{ID: "y", HasPlace: true, Lat: nan},
		"station's height":        weather.Station{ID: "s", HasElev: true, Elev: units.Length(nan)},
		"station's longitude":     weather.Station{ID: "s", HasPlace: true, Lon: 181},
		"station without a name":  weather.Station{HasElev: true},
		"station below the ocean": weather.Station{ID: "s", HasElev: true, Elev: -1000},
	} {
		f := season.Fact{ID: season.ID{15: 1}, Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: body}
		if err := f.Check(); !fault.Is(err, fault.OutOfRange) && !fault.Is(err, fault.Missing) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
