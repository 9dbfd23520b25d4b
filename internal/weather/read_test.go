package weather

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/fault"
	"larder/internal/units"
	"larder/internal/weather/demodata"
)

func testdata(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// fourDays is what every file of the four made-up days must give.
func fourDays(station string, forecast bool) []Day {
	d := func(k int, d Day) Day {
		d.Station, d.Day, d.Forecast = station, day(2026, 10, k), forecast
		return d
	}
	return []Day{
		d(1, Day{TMax: 17.2, TMin: 6.1, HasMax: true, HasMin: true, HasRain: true}),
		d(2, Day{TMax: 14.4, TMin: 3.9, Rain: 2.5, HasMax: true, HasMin: true, HasRain: true}),
		d(4, Day{TMax: 9.8, TMin: -1.1, HasMax: true, HasMin: true}),
		d(5, Day{TMax: 12.2, Rain: 0.3, HasMax: true, HasRain: true}),
	}
}

func TestEveryFormatGivesTheSameDays(t *testing.T) {
	for _, c := range []struct {
		file    string
		format  Format
		o       Options
		station string
		notes   []string
	}{
		{"own.csv", CSV, Options{As: "home"}, "home", nil},
		{"own_us.csv", CSV, Options{}, "TESTSTN0001", nil},
		{"own_us.csv", CSV, Options{As: "home"}, "home", nil},
		{"own_comma.csv", CSV, Options{As: "home"}, "home", nil},
		{"own.dly", DLY, Options{}, "TESTSTN0001", []string{"flagged"}},
		{"own_long.csv", GHCNByYear, Options{Only: "TESTSTN0001"}, "TESTSTN0001", []string{"flagged"}},
		{"own_long.csv", GHCNByYear, Options{Only: "TESTSTN0001", As: "home"}, "home", []string{"flagged"}},
		{"own_wide.csv", GHCNWide, Options{Scale: Tenths}, "TESTSTN0001", []string{"flagged"}},
		{"produkt_klima_tag_test.txt", DWD, Options{}, "9999", nil},
		{"forecast.json", JSON, Options{As: "home"}, "home", nil},
		{"forecast.json", JSON, Options{As: "home", Issued: day(2026, 10, 6)}, "home", nil},
		{"city.csv", CityCSV, Options{}, "TESTSTN0001", []string{"units-by-format"}},
	} {
		c.o.File = c.file
		f, err := Read(testdata(t, c.file), c.o)
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		if f.Format != c.format || len(f.Series) != 1 || f.Series[0].Station() != c.station {
			t.Errorf("%s: read as %q, %d stations", c.file, f.Format, len(f.Series))
			continue
		}
		if got, want := f.Series[0].Days(), fourDays(c.station, c.format == JSON && c.o.Issued == 0); !slices.Equal(got, want) {
			t.Errorf("%s:\ngot  %+v\nwant %+v", c.file, got, want)
		}
		var notes []string
		for _, n := range f.Notes {
			notes = append(notes, n.Code)
		}
		if !slices.Equal(notes, c.notes) {
			t.Errorf("%s: notes %v, want %v", c.file, notes, c.notes)
		}
		// With a byte-order mark and told the format it is the same.
		c.o.Format = c.format
		again, err := Read(append([]byte("\xef\xbb\xbf"), testdata(t, c.file)...), c.o)
		if err != nil || !slices.Equal(again.Series[0].Days(), f.Series[0].Days()) {
			t.Errorf("%s with a byte-order mark: %v", c.file, err)
		}
	}
}

func TestPlacesAreRead(t *testing.T) {
	for _, c := range []struct {
		file string
		o    Options
		want Station
	}{
		{"own_wide.csv", Options{Scale: Tenths}, Station{ID: "TESTSTN0001", Name: "TEST YARD, WI US", HasPlace: true, Lat: 43.1, Lon: -88.2, HasElev: true, Elev: 210}},
		{"own_wide.csv", Options{Scale: Tenths, As: "home"}, Station{ID: "home", Name: "TEST YARD, WI US", HasPlace: true, Lat: 43.1, Lon: -88.2, HasElev: true, Elev: 210}},
		{"forecast.json", Options{As: "home"}, Station{ID: "home", HasPlace: true, Lat: 43.1, Lon: -88.2, HasElev: true, Elev: 210}},
	} {
		f, err := Read(testdata(t, c.file), c.o)
		if err != nil || len(f.Stations) != 1 || f.Stations[0] != c.want {
			t.Errorf("%s: %+v, %v", c.file, f.Stations, err)
		}
	}
}

func TestIssuedParts(t *testing.T) {
	f, err := Read(testdata(t, "forecast.json"), Options{As: "home", Issued: day(2026, 10, 4)})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range f.Series[0].Days() {
		if d.Forecast != (d.Day >= day(2026, 10, 4)) {
			t.Errorf("%+v", d)
		}
	}
}

// TestForecastColumn: a keeper's own table may hold what was foretold and what
// came of it, on the same day.
func TestForecastColumn(t *testing.T) {
	in := "date,forecast,tmax_c\n2026-10-01,yes,12\n2026-10-01,,15\n2026-10-02,x,9\n"
	f, err := Read([]byte(in), Options{As: "home"})
	if err != nil {
		t.Fatal(err)
	}
	want := []Day{
		{Station: "home", Day: day(2026, 10, 1), TMax: 15, HasMax: true},
		{Station: "home", Day: day(2026, 10, 2), TMax: 9, HasMax: true, Forecast: true},
	}
	if got := f.Series[0].Days(); !slices.Equal(got, want) {
		t.Errorf("%+v", got)
	}
}

func TestDemoDataIsWhole(t *testing.T) {
	f, err := Read(demodata.CSV(), Options{File: "weather.csv"})
	if err != nil || f.Format != CityCSV || len(f.Series) != 2 {
		t.Fatalf("%+v, %v", f.Format, err)
	}
	for _, s := range f.Series {
		first, last, _ := s.Span()
		if s.Len() != 1461 || first != day(2012, 1, 1) || last != day(2015, 12, 31) || len(s.Gaps()) != 0 {
			t.Errorf("%s: %d days, %v to %v", s.Station(), s.Len(), first, last)
		}
	}
	// The first row: Seattle, 1 January 2012, 0 mm, 12.8 and 5.0 °C.
	d, _ := f.Series[1].At(day(2012, 1, 1))
	if d != (Day{Station: "Seattle", Day: day(2012, 1, 1), TMax: 12.8, TMin: 5, HasMax: true, HasMin: true, HasRain: true}) {
		t.Errorf("%+v", d)
	}
}

// TestUnitsByHand: 68 °F is 20 °C, 32 °F is 0, −40 is −40; an inch is 25.4 mm.
func TestUnitsByHand(t *testing.T) {
	for _, c := range []struct {
		x    float64
		k    kind
		s    Scale
		want float64
	}{
		{68, high, Fahrenheit, 20}, {32, low, Fahrenheit, 0}, {-40, low, Fahrenheit, -40}, {35.96, high, Fahrenheit, 2.2},
		{1, rain, Fahrenheit, 25.4}, {0.01, rain, Fahrenheit, 0.254}, {128, high, Tenths, 12.8}, {3, rain, Tenths, 0.3},
		{12.8, high, Celsius, 12.8}, {3, rain, Celsius, 3},
	} {
		if got := toInside(c.x, c.k, c.s); got != c.want {
			t.Errorf("%g %v as %v: %g, want %g", c.x, c.k, c.s, got, c.want)
		}
	}
	for _, s := range []Scale{NotTold, Celsius, Fahrenheit, Tenths} {
		if got, err := ParseScale(s.String()); err != nil || got != s {
			t.Errorf("%v: %v, %v", s, got, err)
		}
	}
	if _, err := ParseScale("k"); !fault.Is(err, fault.NotUnderstood) {
		t.Errorf("%v", err)
	}
}

func TestParseNumberAndDate(t *testing.T) {
	for s, want := range map[string]float64{"12": 12, "-1.5": -1.5, "−1,5": -1.5, "+3": 3, ".5": 0.5, "0012": 12} {
		if got, ok := parseNumber(s); !ok || got != want {
			t.Errorf("%q: %g %v", s, got, ok)
		}
	}
	for _, s := range []string{"", "-", ".", "1.2.3", "1,2.3", "1e5", "0x10", "NaN", "inf", "12 C", "--1", "1-"} {
		if got, ok := parseNumber(s); ok {
			t.Errorf("%q was read as %g", s, got)
		}
	}
	for _, s := range []string{"2026-10-03", "2026/10/03", "20261003"} {
		if got, err := parseDate(s); err != nil || got != day(2026, 10, 3) {
			t.Errorf("%q: %v %v", s, got, err)
		}
	}
	for _, s := range []string{"", "3/10/2026", "10-03-2026", "2026-13-01", "2026-02-30", "2026-1-1", "26-10-03", "20261301", "2026-10-0x", "1600-01-01"} {
		if got, err := parseDate(s); err == nil {
			t.Errorf("%q was read as %v", s, got)
		}
	}
}

// TestOwnCSVRoundTrip: days written as a keeper would write them read back as
// they were.
func TestOwnCSVRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		want := mustSeries(t, "home", rapid.SliceOfN(rapid.Custom(drawDay), 1, 30).Draw(rt, "days"))
		if want.Len() == 0 {
			return
		}
		sep := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(rt, "separator")
		comma := sep != "," && rapid.Bool().Draw(rt, "decimal comma")
		var b bytes.Buffer
		b.WriteString(strings.Join([]string{"date", "tmax_c", "tmin_c", "rain_mm", "forecast"}, sep) + "\n")
		for _, d := range want.Days() {
			cell := func(x float64, has bool) string {
				if !has {
					return ""
				}
				s := strings.TrimSuffix(units.Temp(x).String(), " C")
				if comma {
					s = strings.Replace(s, ".", ",", 1)
				}
				return s
			}
			fc := map[bool]string{true: "yes", false: "no"}[d.Forecast]
			b.WriteString(strings.Join([]string{d.Day.String(), cell(d.TMax.C(), d.HasMax), cell(d.TMin.C(), d.HasMin), cell(d.Rain, d.HasRain), fc}, sep) + "\n")
		}
		f, err := Read(b.Bytes(), Options{As: "home", Format: CSV})
		if err != nil {
			rt.Fatalf("%v\n%s", err, b.String())
		}
		if !slices.Equal(f.Series[0].Days(), want.Days()) {
			rt.Fatalf("%+v\n%+v", f.Series[0].Days(), want.Days())
		}
	})
}
