package weather

import (
	"math"
	"strings"
	"testing"

	"larder/internal/fault"
)

func TestReadScale(t *testing.T) {
	for _, c := range []struct{ text, unit string }{
		{"timestamp,weight_kg\n2026-10-03 02:00,52.4\n", ""},
		{"Date;Time;Hive weight (kg);outside_temp_c\n2026-10-03;02:00;52,4;9\n", ""},
		{"time,weight\n2026-10-03T02:00:00,52.4\n,\n2026-10-03T03:00:00,\n", "kg"},
		{"datetime,gross_lb\n2026-10-03 02:00,115.52\n", ""},
		{"timestamp,weight_g\n2026-10-03 02:00,52400\n", "lb"}, // the heading rules
	} {
		got, err := ReadScale([]byte(c.text), ScaleOptions{Unit: c.unit})
		if err != nil || len(got.Rows) != 1 {
			t.Errorf("%q: %+v, %v", c.text, got, err)
			continue
		}
		if r := got.Rows[0]; r.Day != day(2026, 10, 3) || r.Minute != 120 || math.Abs(r.Mass.Kg()-52.4) > 0.002 {
			t.Errorf("%q: %+v", c.text, r)
		}
	}
	for _, c := range []struct {
		text, say string
		kind      fault.Kind
	}{
		{"timestamp,weight\n2026-10-03 02:00,52\n", "in what unit", fault.Missing},
		{"timestamp,weight_kg,gross_lb\n2026-10-03 02:00,52,1\n", "two columns are weights", fault.Conflict},
		{"timestamp,outside_temp_c\n2026-10-03 02:00,9\n", "no column is the weight", fault.Missing},
		{"day,weight_kg\n2026-10-03,9\n", "no column is the time", fault.Missing},
		{"timestamp,weight_kg\n", "no weight in it", fault.Missing},
		{"", "empty", fault.Missing},
		{"timestamp,weight_kg\n2026-10-03 02:00,heavy\n", "not a number", fault.NotUnderstood},
		{"timestamp,weight_kg\n2026-10-03 02:00,52400\n", "cannot be the weight of a hive", fault.OutOfRange},
		{"timestamp,weight_kg\n3/10/26 2 am,52.4\n", "not a", fault.NotUnderstood},
	} {
		_, err := ReadScale([]byte(c.text), ScaleOptions{})
		if err == nil || !strings.Contains(err.Error(), c.say) || !fault.Is(err, c.kind) {
			t.Errorf("%q: %v", c.text, err)
		}
	}
}

func FuzzReadScale(f *testing.F) {
	f.Add([]byte("timestamp,weight_kg\n2026-10-03 02:00,52.4\n"))
	f.Add([]byte("Date;Time;Weight lb\n2026-10-03;02:00;\"115,5\"\n1970-01-01;00:00;50\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := ReadScale(b, ScaleOptions{Unit: "kg"})
		if err != nil && fault.KindOf(err) == fault.Internal {
			t.Fatalf("%q: %v", b, err)
		}
		if err == nil && len(got.Rows) == 0 {
			t.Fatalf("%q: no weights and no error", b)
		}
		for _, r := range got.Rows {
			if r.Day == 0 || r.Day.Year() < 1900 || r.Minute < 0 || r.Minute >= 24*60 || !(r.Mass > 0 && r.Mass <= heaviest) {
				t.Fatalf("%q: %+v", b, r)
			}
		}
	})
}
