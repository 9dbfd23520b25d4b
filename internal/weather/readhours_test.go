package weather

import (
	"fmt"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
)

// hourly writes an open hourly file: day d from hour first to 23 and the whole
// day after it, each hour one degree and 0.1 mm more than the one before.
func hourly(first int) string {
	var times, temps, mm []string
	for h := first; h < 48; h++ {
		times = append(times, fmt.Sprintf("%q", fmt.Sprintf("2026-10-%02dT%02d:00", 1+h/24, h%24)))
		temps = append(temps, fmt.Sprint(h%24-5))
		mm = append(mm, "0.1")
	}
	return `{"latitude":43.1,"longitude":-88.2,"hourly_units":{"temperature_2m":"°C","precipitation":"mm"},"hourly":{"time":[` + strings.Join(times, ",") +
		`],"temperature_2m":[` + strings.Join(temps, ",") + `],"precipitation":[` + strings.Join(mm, ",") + `]}}`
}

func TestHourly(t *testing.T) {
	whole := Day{Station: "a", TMin: -5, TMax: 18, HasMin: true, HasMax: true, Rain: 2.4, HasRain: true, Forecast: true}
	on := func(d int, change func(*Day)) Day { x := whole; x.Day = day(2026, 10, d); change(&x); return x }
	dry := func(x *Day) { x.Rain, x.HasRain = 0, false }
	for _, c := range []struct {
		first int
		want  []Day
		cut   bool
	}{
		{0, []Day{on(1, func(*Day) {}), on(2, func(*Day) {})}, false},
		{1, []Day{on(1, func(x *Day) { x.TMin, x.Rain = -4, 2.3 }), on(2, func(*Day) {})}, false}, // the clocks went forward
		{3, []Day{on(1, func(x *Day) { x.TMin = -2; dry(x) }), on(2, func(*Day) {})}, false},      // three hours
		{4, []Day{on(2, func(*Day) {})}, true},                                                    // more: the night is missing
	} {
		f, err := Read([]byte(hourly(c.first)), Options{As: "a"})
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Series[0].Days(); fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("from hour %d:\n got %+v\nwant %+v", c.first, got, c.want)
		}
		if n := codes(f.Notes); !n["from-readings"] || n["part-days"] != c.cut {
			t.Errorf("from hour %d: %v", c.first, f.Notes)
		}
	}
	f, err := Read([]byte(hourly(0)), Options{As: "a", Issued: day(2026, 10, 2)})
	if err != nil || f.Series[0].Days()[0].Forecast || !f.Series[0].Days()[1].Forecast {
		t.Errorf("%v", err)
	}
}

func TestLog(t *testing.T) {
	in := "timestamp;weight_kg;temperature;outside_temp_f\n"
	for h := 0; h < 24; h += 2 {
		in += fmt.Sprintf("2026-10-01 %02d:30:00;41,2;35;%d\n", h, 32+h) // 32 to 54 °F
	}
	in += "2026-10-02 12:00:00;41,1;35;80\n2026-10-02 13:00;41,1;35;\n" // two readings make no day
	f, err := Read([]byte(in), Options{As: "a"})
	if err != nil || f.Format != Log {
		t.Fatal(f.Format, err)
	}
	if d := f.Series[0].Days(); len(d) != 1 || d[0].TMin != 0 || units.Temp(12.2) > d[0].TMax || d[0].TMax > 12.3 || d[0].HasRain || d[0].Forecast {
		t.Errorf("%+v", d)
	}
	if n := codes(f.Notes); !n["part-days"] {
		t.Errorf("%v", f.Notes)
	}
}

func TestHoursRefused(t *testing.T) {
	cut := func(a, b string) string { return strings.Replace(hourly(0), a, b, 1) }
	for _, c := range []struct {
		name, in string
		kind     fault.Kind
		say      string
	}{
		{"lengths", cut(`"2026-10-01T00:00",`, ""), fault.Damaged, "48 values for 47 hours"},
		{"unit", cut(`"temperature_2m":"°C"`, `"x":"°C"`), fault.Missing, "in what unit"},
		{"zone", cut("2026-10-01T00:00", "2026-10-01T00:00Z"), fault.NotUnderstood, "not a time"},
		{"number", cut(`[-5,`, `["-5",`), fault.NotUnderstood, "is not a number"},
		{"hot", cut(`[-5,`, `[500,`), fault.OutOfRange, "cannot be the high"},
		{"nothing", `{"hourly":{"time":["2026-10-01T00:00"]}}`, fault.Missing, "neither temperatures"},
		{"in the hive", "timestamp,temperature\n2026-10-01 00:00,35\n", fault.Missing, "temperature outside"},
		{"log, unit", "timestamp,outside_temp\n2026-10-01 00:00,35\n", fault.Missing, "in what unit"},
		{"log, time", "timestamp,outside_temp_c\n1.10.2026 00:00,35\n", fault.NotUnderstood, "a date we can be sure of"},
		{"log, number", "timestamp,outside_temp_c\n2026-10-01 00:00,warm\n", fault.NotUnderstood, "not a number"},
		{"log, too few", "timestamp,outside_temp_c\n2026-10-01 00:00,3\n", fault.Missing, "no day in it"},
	} {
		_, err := Read([]byte(c.in), Options{As: "a"})
		if list, ok := err.(fault.List); ok {
			err = list[0]
		}
		if !fault.Is(err, c.kind) || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if _, err := Read([]byte("timestamp,outside_temp_c\n2026-10-01 00:00,3\n"), Options{}); !fault.Is(err, fault.Missing) {
		t.Errorf("nameless: %v", err)
	}
}
