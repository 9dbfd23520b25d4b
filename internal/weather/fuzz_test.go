package weather

import (
	"testing"

	"larder/internal/fault"
	"larder/internal/weather/demodata"
)

// fuzzFormat lets any bytes at one reader: it must not panic, and what it gives
// must hold.
func fuzzFormat(f *testing.F, format Format, o Options, seeds ...string) {
	for _, s := range seeds {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		o := o
		o.Format = format
		got, err := Read(b, o)
		if err != nil && fault.KindOf(err) == fault.Internal {
			t.Fatalf("%q: %v", b, err)
		}
		if err == nil && len(got.Series) == 0 {
			t.Fatalf("%q: no days and no error", b)
		}
		last := ""
		for i, s := range got.Series {
			if i > 0 && s.Station() <= last {
				t.Fatalf("%q: stations out of order", b)
			}
			last = s.Station()
			days := s.Days()
			for j, d := range days {
				switch {
				case j > 0 && days[j-1].Day >= d.Day, d.Day == 0, d.IsBlank(), d.Station != s.Station(), d.Day.Year() < 1900:
					t.Fatalf("%q: %+v", b, d)
				case d.HasMax && !(d.TMax >= coldest && d.TMax <= hottest), d.HasMin && !(d.TMin >= coldest && d.TMin <= hottest),
					d.HasRain && !(d.Rain >= 0 && d.Rain <= wettest), d.HasMax && d.HasMin && d.TMax < d.TMin:
					t.Fatalf("%q: %+v", b, d)
				}
			}
		}
	})
}

func FuzzCSV(f *testing.F) {
	fuzzFormat(f, CSV, Options{As: "a"}, string(testdata(f, "own.csv")), string(testdata(f, "own_us.csv")), string(testdata(f, "own_comma.csv")),
		"date,tmax,forecast\n2026-10-01,12,yes\n2026-10-01,13,\n", "date;tmax_c\n2026-10-01;\"1,5")
}

func FuzzDLY(f *testing.F) {
	fuzzFormat(f, DLY, Options{}, string(testdata(f, "own.dly")), "TESTSTN0001202610TMAX  172")
}

func FuzzGHCNWide(f *testing.F) {
	fuzzFormat(f, GHCNWide, Options{Scale: Tenths, As: "a"}, string(testdata(f, "own_wide.csv")), "date,tmax,prcp,snow\n2026-10-01,12,T,0\n")
}

func FuzzGHCNByYear(f *testing.F) {
	fuzzFormat(f, GHCNByYear, Options{}, string(testdata(f, "own_long.csv")), "ID,DATE,ELEMENT,DATA_VALUE\nTESTSTN0001,20261001,TMAX,172\n")
}

func FuzzDWD(f *testing.F) {
	fuzzFormat(f, DWD, Options{}, string(testdata(f, "produkt_klima_tag_test.txt")))
}

func FuzzJSON(f *testing.F) {
	fuzzFormat(f, JSON, Options{As: "a"}, hourly(20), string(testdata(f, "forecast.json")), `{"daily":{"time":null}}`, `{"daily_units":{"temperature_2m_max":1}}`)
}

func FuzzCityCSV(f *testing.F) {
	fuzzFormat(f, CityCSV, Options{As: "a"}, string(testdata(f, "city.csv")), string(demodata.CSV()[:400]))
}

func FuzzLog(f *testing.F) {
	fuzzFormat(f, Log, Options{As: "a"}, "timestamp;outside_temp_c\n2026-10-01 00:00;3\n2026-10-01T23:59:59;-3,5\n", "time,ambient_f\n,\n")
}

// FuzzSniff lets any bytes in without saying what they are.
func FuzzSniff(f *testing.F) {
	fuzzFormat(f, AnyFormat, Options{As: "a", Scale: Celsius}, string(testdata(f, "own.csv")), string(testdata(f, "own.dly")),
		string(testdata(f, "forecast.json")), string(testdata(f, "own_long.csv")), "\xef\xbb\xbfdate;tmax\n", "PK\x03\x04")
}
