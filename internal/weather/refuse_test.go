package weather

import (
	"errors"
	"strings"
	"testing"

	"larder/internal/fault"
)

// TestReadTells: every refusal names the place, what was found and what would
// be right.
func TestReadTells(t *testing.T) {
	dly := string(testdata(t, "own.dly"))
	for _, c := range []struct {
		name, in string
		o        Options
		kind     fault.Kind
		thing    string // of the error
		say      string // part of it
		hint     string // part of it
	}{
		{"empty", " \n", Options{}, fault.Missing, "f", "empty", "for each day"},
		{"packed", "PK\x03\x04", Options{}, fault.NotUnderstood, "f", "packed", "save the sheet as CSV"},
		{"UTF-16", "\xff\xfed\x00", Options{}, fault.NotUnderstood, "f", "UTF-16", "UTF-8"},
		{"typical year", "LOCATION,Golden,CO\n", Options{}, fault.NotUnderstood, "f", "typical-year", "whole years"},
		{"no such format", "x", Options{Format: "grib"}, fault.Usage, "f", "grib", "leave the format out"},
		{"unit not said", "date,tmax\n2026-10-01,12\n", Options{As: "a"}, fault.Missing, "f, tmax", "in what unit the high is", "tmax_c or tmax_f"},
		{"unit of rain not said", "date,tmax_c,rain\n2026-10-01,12,1\n", Options{As: "a"}, fault.Missing, "f, rain", "in what unit the rain is", "rain_mm or rain_in"},
		{"whose", "date,tmax_c\n2026-10-01,12\n", Options{}, fault.Missing, "f", "whose weather", "column called station"},
		{"no date", "tmax_c,tmin_c\n1,2\n", Options{As: "a"}, fault.Missing, "f", "no column is called date", "date,tmax_c"},
		{"nothing to read", "date,wind\n2026-10-01,3\n", Options{As: "a"}, fault.Missing, "f", `"date, wind"`, "tmax_c"},
		{"two highs", "date,tmax_c,high_f\n2026-10-01,3,3\n", Options{As: "a"}, fault.Conflict, "f", "tmax_c and high_f both say the high", "one of the two"},
		{"headings only", "date,tmax_c\n", Options{As: "a"}, fault.Missing, "f", "no day in it", "since 1900"},
		{"not a number", "date,tmax_c\n2026-10-01,12\n2026-10-02,warm\n", Options{As: "a"}, fault.NotUnderstood, "f row 3, tmax_c", `"warm" is not a number`, "leave it blank"},
		{"day first", "date,tmax_c\n3/10/2026,12\n", Options{As: "a"}, fault.NotUnderstood, "f row 2, date", `"3/10/2026"`, "2026-10-03"},
		{"no such day", "date,tmax_c\n2026-02-30,12\n", Options{As: "a"}, fault.NotUnderstood, "f row 2, date", "2026-02-30", "01 to 12"},
		{"wrong unit", "date,tmax_c\n2026-07-30,87\n", Options{As: "a"}, fault.OutOfRange, "f row 2, tmax_c", "87 cannot be the high", "is the unit right"},
		{"rain below nothing", "date,rain_mm\n2026-07-30,-1\n", Options{As: "a"}, fault.OutOfRange, "f row 2, rain_mm", "-1 cannot be the rain", "leave it blank"},
		{"decimal commas", "date,tmax_c,tmin_c\n2026-10-01,12,5,3,1\n", Options{As: "a"}, fault.NotUnderstood, "f row 2", "5 columns where the headings have 3", "put ; between"},
		{"twice", "date,tmax_c\n2026-10-01,12\n2026-10-01,13\n", Options{As: "a"}, fault.Conflict, "f row 3, tmax_c", "is 13 here, but row 2 has another", "one row for each day"},
		{"wrong way round", "date,tmax_c,tmin_c\n2026-10-01,2,12\n", Options{As: "a"}, fault.OutOfRange, "f row 2", "below its low", "wrong way round"},
		{"neither yes nor no", "date,tmax_c,forecast\n2026-10-01,2,perhaps\n", Options{As: "a"}, fault.NotUnderstood, "f row 2, forecast", "perhaps", "yes for a forecast"},
		{"nameless station", "date,station,tmax_c\n2026-10-01,,12\n", Options{}, fault.Missing, "f row 2, station", "which station", "every row"},
		{"two stations into one", "date,station,tmax_c\n2026-10-01,b,12\n2026-10-01,a,12\n", Options{As: "home"}, fault.Conflict, "f", "2 stations", "a, b"},
		{"station not there", "date,station,tmax_c\n2026-10-01,b,12\n", Options{Only: "z"}, fault.NotFound, "f", "station z", "it holds b"},
		{"quotes", "date,tmax_c\n2026-10-01,\"12\n", Options{As: "a"}, fault.NotUnderstood, "f row 2", "quotation marks", "between quotation marks"},
		{"wide, unit", string(testdata(t, "own_wide.csv")), Options{}, fault.Missing, "f", "three kinds of units", "is written 172"},
		{"wide, wrong unit", string(testdata(t, "own_wide.csv")), Options{Scale: Celsius}, fault.OutOfRange, "f row 2, TMAX", "172.0 °C", "is the unit right"},
		{"dly, short line", dly[:100] + "\n" + "TESTSTN0001", Options{Format: DLY}, fault.NotUnderstood, "f row 1, day 11", "is not a whole number", "-9999"},
		{"dly, cut", "TESTSTN00012026", Options{Format: DLY}, fault.Damaged, "f row 1", "15 characters", "269"},
		{"dly, month", strings.Replace(dly, "202610TMAX", "202613TMAX", 1), Options{}, fault.NotUnderstood, "f row 1, columns 12–17", "202613", "four digits"},
		{"dly, 31 November", strings.Replace(dly, "202610TMAX", "202611TMAX", 1)[:dlyWidth-8] + "  120  X\n", Options{}, fault.NotUnderstood, "f row 1, day 31", "120", "-9999"},
		{"long, few columns", "TESTSTN0001,20261001,TMAX,172\nTESTSTN0001,20261002\n", Options{}, fault.Damaged, "f row 2", "2 columns", "four"},
		{"long, date", "TESTSTN0001,20261001,TMAX,172\nTESTSTN0001,20261301,TMAX,1\n", Options{}, fault.NotUnderstood, "f row 2, column 2", "20261301", "eight digits"},
		{"long, not whole", "TESTSTN0001,20261001,TMAX,17.2\n", Options{}, fault.NotUnderstood, "f row 1, TMAX", "17.2", "whole tenths"},
		{"dwd, number", strings.Replace(string(testdata(t, "produkt_klima_tag_test.txt")), "   17.2", "   17x2", 1), Options{}, fault.NotUnderstood, "f row 2, TXK", "17x2", "14.5"},
		{"json, cut", string(testdata(t, "forecast.json"))[:300], Options{As: "a"}, fault.Damaged, "f row 16", "cut off", "fetch it again"},
		{"json, whose", string(testdata(t, "forecast.json")), Options{}, fault.Missing, "f", "whose weather", "name the yard"},
		{"json, no days", `{"hourly":{}}`, Options{As: "a"}, fault.Missing, "f", "daily.time", "daily values"},
		{"json, no values", `{"daily":{"time":["2026-10-01"]}}`, Options{As: "a"}, fault.Missing, "f", "neither highs", "temperature_2m_max"},
		{"json, unit", `{"daily":{"time":["2026-10-01"],"temperature_2m_max":[12]}}`, Options{As: "a"}, fault.Missing, "f daily_units.temperature_2m_max", "in what unit", "°C and mm"},
		{"json, odd unit", `{"daily_units":{"temperature_2m_max":"K"},"daily":{"time":["2026-10-01"],"temperature_2m_max":[290]}}`, Options{As: "a"}, fault.NotUnderstood, "f daily_units.temperature_2m_max", `"K"`, "°C or °F"},
		{"json, lengths", `{"daily_units":{"temperature_2m_max":"°C"},"daily":{"time":["2026-10-01"],"temperature_2m_max":[]}}`, Options{As: "a"}, fault.Damaged, "f daily.temperature_2m_max", "0 values for 1 days", "as long as"},
		{"json, text", `{"daily_units":{"temperature_2m_max":"°C"},"daily":{"time":["2026-10-01"],"temperature_2m_max":["12"]}}`, Options{As: "a"}, fault.NotUnderstood, "f daily.temperature_2m_max[0]", `"12" is not a number`, "null"},
		{"json, seconds", `{"daily":{"time":[1759276800],"temperature_2m_max":[12]},"daily_units":{"temperature_2m_max":"°C"}}`, Options{As: "a"}, fault.NotUnderstood, "f daily.time[0]", "1759276800", "ISO 8601"},
		{"json, 400 °C", `{"daily_units":{"temperature_2m_max":"°C"},"daily":{"time":["2026-10-01"],"temperature_2m_max":[400]}}`, Options{As: "a"}, fault.OutOfRange, "f row 1, daily.temperature_2m_max", "400", "−90 to 60"},
		{"json, shape", `{"daily":[1]}`, Options{As: "a"}, fault.NotUnderstood, "f daily", "a array", "lists"},
		{"too large", strings.Repeat(" ", MaxBytes+1), Options{}, fault.OutOfRange, "f", "32 MB", "up to 32 MB"},
		{"json too large", "{" + strings.Repeat(" ", MaxJSONBytes), Options{}, fault.OutOfRange, "f", "4 MB", "up to 4 MB"},
	} {
		c.o.File = "f"
		_, err := Read([]byte(c.in), c.o)
		var e *fault.Error
		if !errors.As(err, &e) {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if e.Kind != c.kind || e.Thing != c.thing || !strings.Contains(e.Say, c.say) || !strings.Contains(e.Hint, c.hint) {
			t.Errorf("%s:\n kind %v, want %v\n thing %q, want %q\n say  %q, want %q\n hint %q, want %q",
				c.name, e.Kind, c.kind, e.Thing, c.thing, e.Say, c.say, e.Hint, c.hint)
		}
	}
}

// TestGoodRowsSurviveBadOnes: nothing that could be read is lost, and all that
// could not is told, the first twenty one by one.
func TestGoodRowsSurviveBadOnes(t *testing.T) {
	in := "date,tmax_c\n2026-10-01,12\n" + strings.Repeat("2026-10-02,?\n", 25) + "2026-10-03,14\n"
	f, err := Read([]byte(in), Options{File: "f", As: "a"})
	var l fault.List
	if !errors.As(err, &l) || len(l) != maxTold+1 || !strings.Contains(l[maxTold].Error(), "5 more") {
		t.Fatalf("%v", err)
	}
	if len(f.Series) != 1 || f.Series[0].Len() != 2 {
		t.Errorf("%+v", f.Series)
	}
}

// TestHopelessFileIsGivenUp: a file of quite another kind is not read to its
// end.
func TestHopelessFileIsGivenUp(t *testing.T) {
	for name, in := range map[string]string{
		"csv":  "date,tmax_c\n2026-10-01,12\n" + strings.Repeat("2026-10-02,?\n", 5000) + "2026-10-03,14\n",
		"long": "TESTSTN0001,20261001,TMAX,172\n" + strings.Repeat("x\n", 5000),
		"dly":  string(testdata(t, "own.dly")) + strings.Repeat("x\n", 5000),
		"json": `{"daily_units":{"temperature_2m_max":"°C"},"daily":{"time":["2026-10-01"` + strings.Repeat(`,"x"`, 5000) +
			`],"temperature_2m_max":[12` + strings.Repeat(`,1`, 5000) + `]}}`,
	} {
		f, err := Read([]byte(in), Options{File: "f", As: "a"})
		var l fault.List
		if !errors.As(err, &l) || len(l) != maxTold+1 || !strings.Contains(l[maxTold].Error(), "not looked at") {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if name == "csv" && f.Series[0].Len() != 1 {
			t.Errorf("%s: %d days", name, f.Series[0].Len())
		}
	}
}

func TestOldDaysAreCounted(t *testing.T) {
	in := "date,tmax_c\n1899-12-31,1\n1970-01-01,2\n1970-01-02,3\n"
	f, err := Read([]byte(in), Options{As: "a"})
	if err != nil || f.Series[0].Len() != 1 || !codes(f.Notes)["too-old"] || !codes(f.Notes)["day-zero"] {
		t.Errorf("%+v, %v", f, err)
	}
}

// TestTrace: "T" in a rain column is rain too little to measure.
func TestTrace(t *testing.T) {
	f, err := Read([]byte("date,rain_in\n2026-10-01,T\n"), Options{As: "a"})
	if err != nil {
		t.Fatal(err)
	}
	if d, ok := f.Series[0].At(day(2026, 10, 1)); !ok || !d.HasRain || d.Rain != 0 {
		t.Errorf("%+v", d)
	}
}
