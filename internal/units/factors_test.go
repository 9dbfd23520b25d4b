package units_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"larder/internal/units"
)

// reading gives the inside number and the exact text of what s is as a
// quantity called kind.
func reading(t *testing.T, kind, s string, l units.Locale) (float64, string, error) {
	t.Helper()
	switch kind {
	case "Mass":
		return one(units.Enter[units.Mass](s, l))
	case "Volume":
		return one(units.Enter[units.Volume](s, l))
	case "Temp":
		return one(units.Enter[units.Temp](s, l))
	case "Strength":
		return one(units.Enter[units.Strength](s, l))
	case "Length":
		return one(units.Enter[units.Length](s, l))
	case "Pressure":
		return one(units.Enter[units.Pressure](s, l))
	case "Power":
		return one(units.Enter[units.Power](s, l))
	case "Energy":
		return one(units.Enter[units.Energy](s, l))
	case "Voltage":
		return one(units.Enter[units.Voltage](s, l))
	case "Current":
		return one(units.Enter[units.Current](s, l))
	case "Duration":
		return one(units.Enter[units.Duration](s, l))
	case "Density":
		return one(units.Enter[units.Density](s, l))
	case "Viscosity":
		return one(units.Enter[units.Viscosity](s, l))
	case "Area":
		return one(units.Enter[units.Area](s, l))
	case "Flow":
		return one(units.Enter[units.Flow](s, l))
	}
	t.Fatalf("no quantity %s", kind)
	return 0, "", nil
}

func one[Q units.Quantity](e units.Entered[Q], err error) (float64, string, error) {
	return float64(e.Q), e.String(), err
}

func TestFactorsAsPrinted(t *testing.T) {
	f, err := os.Open("testdata/factors.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 30 {
		t.Fatalf("only %d factors", len(rows))
	}
	for _, row := range rows {
		kind, unit, inside := row[0], row[1], row[2]
		printed, err := strconv.ParseFloat(row[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := reading(t, kind, "1 "+unit, units.Locale{})
		if err != nil {
			t.Errorf("1 %s: %v", unit, err)
			continue
		}
		tolerance := 1e-15 // a rounding or two
		if row[4] != "exact" {
			// Half a unit in the seventh digit.
			e := math.Floor(math.Log10(printed))
			tolerance = 0.5 * math.Pow(10, e-6) / printed * 1.0000001
		}
		if math.Abs(got-printed)/printed > tolerance {
			t.Errorf("1 %s = %v %s, printed %s (%s)", unit, got, inside, row[3], row[5])
		}
		if _, s, err := reading(t, kind, "1 "+inside, units.Locale{}); err != nil || !strings.HasSuffix(s, " "+inside) {
			t.Errorf("inside unit of %s: %s, %v", kind, s, err)
		}
	}
}

// Fixed points of the two scales: NIST SP 811 (2008), B.8, "degree Fahrenheit":
// t/°C = (t/°F - 32)/1.8; both scales meet at -40.
func TestTemperatureScales(t *testing.T) {
	for f, c := range map[string]float64{"-40 F": -40, "32 F": 0, "68 F": 20, "212 F": 100, "50 F": 10, "14 F": -10} {
		if got := units.MustTemp(f); got.C() != c {
			t.Errorf("%s = %v C, want %v", f, got.C(), c)
		}
	}
}
