package units_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"larder/internal/units"
	"pgregory.net/rapid"
)

var (
	american = units.Style{}
	german   = units.Style{System: units.Metric, Decimal: ','}
	british  = units.Style{System: units.UK}
	spanish  = units.Style{System: units.Metric, Decimal: ',', Lang: "es"}
	tejano   = units.Style{Lang: "es"}
)

func TestStyleWrites(t *testing.T) {
	day := units.DayOf(2025, time.October, 14)
	noted := units.At(time.Date(2025, 10, 14, 18, 2, 0, 0, time.FixedZone("", -4*3600)))
	tests := []struct {
		v    any
		s    units.Style
		want string
	}{
		// A heft whose spread is not known: 1 lb or 0.5 kg.
		{units.MustMass("41.4 lb"), american, "41 lb"},
		{units.MustMass("41.5 lb"), british, "42 lb"},
		{units.Mass(18.6), german, "18,5 kg"},
		{units.Mass(18.9), german, "19 kg"},
		{units.Mass(0), american, "0 lb"},
		{units.Mass(0), german, "0 kg"},
		{units.Mass(-0.01), german, "-10 g"},
		{units.Mass(6000), american, "13,228 lb"},
		{units.Mass(12345), german, "12\u00a0345 kg"},
		{units.Mass(1234), german, "1234 kg"},
		{units.Mass(math.NaN()), american, "? lb"},
		// What is weighed on a small scale.
		{units.MustMass("12 oz"), american, "12 oz"},
		{units.MustMass("2.5 g"), american, "2.5 g"},
		{units.MustMass("350 g"), german, "350 g"},
		{units.MustVolume("3 qt"), american, "3 qt"},
		{units.MustVolume("2.5 gal"), american, "2.5 US gal"},
		{units.MustVolume("9 qt"), american, "2.25 US gal"},
		{units.MustVolume("3.99 qt"), american, "1 US gal"},
		{units.MustVolume("7.5 qt"), american, "7.5 qt"}, // "1.9 US gal" would be more
		{units.MustVolume("7.6 qt"), american, "1.9 US gal"},
		{units.MustVolume("13 UKpt"), units.Style{System: units.UK}, "13 UK pt"},
		{units.MustVolume("1 gal"), american, "1 US gal"},
		{units.MustVolume("40 gal"), american, "40 US gal"},
		{units.MustVolume("5 pt"), american, "2.5 qt"},
		{units.MustVolume("5 UK pt"), british, "5 UK pt"},
		{units.MustVolume("2.5 UK gal"), british, "2.5 UK gal"},
		{units.Volume(2.84), german, "2,8 L"},
		{units.Volume(150.4), german, "150 L"},
		{units.Volume(0), american, "0 US gal"},
		{units.MustVolume("5 mL"), american, "5 mL"},
		{units.MustVolume("2.4 mL"), german, "2,4 mL"},
		{units.Temp(20), american, "68 °F"},
		{units.Temp(20.3), german, "20,5 °C"},
		{units.Temp(-0.2), german, "0 °C"},
		{units.MustTemp("-0.3 F"), american, "0 °F"},
		{units.Temp(20), british, "20 °C"},
		{units.Strength(2. / 3), american, "66.7 % (2:1 by weight)"},
		{units.Strength(2. / 3), spanish, "66,7 % (2:1 en peso)"},
		{units.Strength(0.5), american, "50 % (1:1 by weight)"},
		{units.Strength(0.64), american, "64 %"},
		{units.MustLength("3/4 in"), american, "3/4 in"},
		{units.MustLength("19 mm"), american, "3/4 in"},
		{units.MustLength("1 5/8 in"), american, "1 5/8 in"},
		{units.MustLength("16.25 in"), american, "16 1/4 in"},
		{units.MustLength("12 mm"), american, "0.47 in"}, // rain
		{units.MustLength("25 mm"), american, "0.98 in"},
		{units.Length(0), american, "0 in"},
		{units.MustLength("5 ft 3 in"), american, "5 ft 3 in"},
		{units.MustLength("5 ft 11.8 in"), american, "6 ft"},
		{units.MustLength("100 ft"), british, "100 ft"},
		{units.MustLength("3/4 in"), german, "19 mm"},
		{units.Length(0.0025), german, "2,5 mm"},
		{units.Length(1.754), german, "1,75 m"},
		{units.MustLength("100 ft"), german, "30,5 m"},
		{units.MustLength("12.3 km"), american, "7.6 mi"},
		{units.MustLength("123 km"), german, "123 km"},
		{units.Duration(12000), american, "3 h 20 min"},
		{units.Duration(44.4), american, "44 s"},
		{units.Duration(3599), american, "1 h"},
		{units.Duration(2700), american, "45 min"},
		{units.Duration(5 * 86400), american, "5 days"},
		{units.Duration(84 * 3600), spanish, "3,5 días"},
		{units.Duration(-0.3), american, "0 s"},
		{units.Duration(-600), american, "-10 min"},
		{units.MustPressure("30 psi"), american, "30 psi"},
		{units.MustPressure("2.07 bar"), german, "2,1 bar"},
		{units.MustPressure("4.5 kPa"), german, "4,5 kPa"},
		{units.MustFlow("20 L/min"), american, "5.3 US gal/min"},
		{units.MustFlow("20 L/min"), german, "20 L/min"},
		{units.Density(1325), german, "1,325 kg/L"},
		{units.Density(1325), american, "11.06 lb/US gal"},
		{units.MustPower("1.5 kW"), american, "1.5 kW"},
		{units.Power(500), american, "500 W"},
		{units.MustEnergy("1.2 kWh"), german, "1,2 kWh"},
		{units.Voltage(12.62), american, "12.6 V"},
		{units.Current(7.5), german, "7,5 A"},
		{units.Current(0.15), american, "150 mA"},
		{units.Viscosity(38.23), american, "38 mPa·s"},
		{units.Area(9.1), german, "9,1 dm²"},
		{day, american, "Tue 14 Oct"},
		{day, tejano, "mar 14 oct"},
		{units.Day(0), american, ""},
		{noted, american, "Tue 14 Oct 18:02"},
		{units.OnDay(day), german, "Tue 14 Oct"},
		{units.MustMoney("1234.50 USD"), american, "$1,234.50"},
		{units.MustMoney("18.405 USD"), american, "$18.41"},
		{units.MustMoney("12.50 EUR"), spanish, "12,50\u00a0€"},
		{units.MustMoney("12.50 EUR"), german, "€12,50"},
		{units.MustMoney("12.50 EUR"), tejano, "€12.50"},
		{units.MustMoney("-3 GBP"), british, "-£3.00"},
		{units.MustMoney("0.001 USD"), american, "$0.00"},
		{units.Money{}, american, ""},
		{units.Ratio{Sugar: 1.5, Water: 1, By: units.ByVolume}, german, "1,5:1 by volume"},
		{units.ByVolume, spanish, "en volumen"},
		{time.January, spanish, "ene"},
		{time.Sunday, american, "Sun"},
		{12345, american, "12,345"},
		{int64(7), american, "7"},
		{-3.14159, german, "-3,14"},
		{-0.001, american, "0"},
		{"hive 14", american, "hive 14"},
		{nil, american, "?"},
		{true, american, "true"},
	}
	for _, tt := range tests {
		if got := tt.s.Amount(tt.v); got != tt.want {
			t.Errorf("%T %v as %+v: %q, want %q", tt.v, tt.v, tt.s, got, tt.want)
		}
	}
}

func TestStyleChoices(t *testing.T) {
	v := units.MustVolume("10 US qt")
	day := units.DayOf(2025, time.October, 14)
	for got, want := range map[string]string{
		american.VolumeBig(v):                      "2.5 US gal",
		american.VolumeSmall(v):                    "10 qt",
		german.VolumeSmall(v):                      "9,5 L",
		british.VolumeSmall(v):                     "16.7 UK pt",
		german.VolumeBig(151.4):                    "151 L",
		american.DayYear(day):                      "Tue 14 Oct 2025",
		american.Date(day):                         "14 Oct",
		american.Road(400):                         "0.2 mi",
		american.TempDiff(5):                       "9 °F",
		german.TempDiff(5):                         "5 °C",
		american.MassSmall(11.3):                   "24.9 lb",
		german.Percent(0.947):                      "95 %",
		german.Percent(0.001):                      "< 1 %",
		german.Percent(0.9999):                     "> 99 %",
		british.Percent(0.995):                     "> 99 %",
		german.Percent(0.994):                      "99 %",
		german.Percent(0):                          "0 %",
		german.Percent(1):                          "100 %",
		american.Num(12345.678, 1):                 "12,345.7",
		american.Num(0.125, 2):                     "0.13",
		american.Num(1250, -2):                     "1300",
		american.Strength(0.667):                   "66.7 %",
		american.Month(13) + american.Weekday(9):   "??",
		units.Style{Lang: "fi"}.Month(time.August): "Aug",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if r, ok := american.Ratio(0.6); !ok || r != "3:2 by weight" {
		t.Errorf("60 %% is %q, %v", r, ok)
	}
	if r, ok := american.Ratio(0.65); ok {
		t.Errorf("65 %% is %q", r)
	}
}

// Digits follow the spread: the two examples of the house rule and the
// neighbourhood of every limit.
func TestSpreadDecidesDigits(t *testing.T) {
	tests := []struct {
		m, sd units.Mass
		s     units.Style
		want  string
	}{
		{units.MustMass("41.3 lb"), units.MustMass("8 lb"), american, "41 ± 8 lb"},
		{18.63, 0.3, german, "18,6 ± 0,3 kg"},
		{18.63, 1.4, german, "18,6 ± 1,4 kg"},
		{18.63, 1.96, german, "18,6 ± 2,0 kg"},
		{18.63, 2, german, "19 ± 2 kg"},
		{18.63, 3.6, german, "19 ± 4 kg"},
		{18.637, 0.14, german, "18,64 ± 0,14 kg"},
		{18.637, 0.02, german, "18,64 ± 0,02 kg"},
		{1234, 23, german, "1234 ± 23 kg"},
		{1234, 230, german, "1230 ± 230 kg"},
		{-0.01, 3, german, "0 ± 3 kg"},
		{18.63, 0, german, "18,5 kg"},
		{18.63, units.Mass(math.NaN()), german, "18,5 kg"},
		{18.63, units.Mass(math.Inf(1)), german, "18,5 kg"},
		{units.Mass(math.NaN()), 2, german, "? kg"},
	}
	for _, tt := range tests {
		if got := tt.s.MassPM(tt.m, tt.sd); got != tt.want {
			t.Errorf("%v ± %v: %q, want %q", tt.m, tt.sd, got, tt.want)
		}
	}
	if got := american.TempPM(20, 5); got != "68 ± 9 °F" {
		t.Errorf("20 ± 5 °C: %q", got)
	}
	if got := american.VolumePM(units.MustVolume("2.51 gal"), units.MustVolume("0.3 gal")); got != "2.5 ± 0.3 US gal" {
		t.Errorf("2.51 ± 0.3 gal: %q", got)
	}
}

// Never more digits than the spread deserves: what rounding hides is at least
// a twentieth of the spread and at most half of it.
func TestSpreadDigitsProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := units.Mass(rapid.Float64Range(0, 500).Draw(t, "m"))
		sd := units.Mass(rapid.Float64Range(0.002, 300).Draw(t, "sd"))
		got := units.Style{System: units.Metric}.MassPM(m, sd)
		mean, spread, ok := strings.Cut(strings.TrimSuffix(got, " kg"), " ± ")
		if !ok {
			t.Fatalf("%v ± %v: %q", m, sd, got)
		}
		_, a, _ := strings.Cut(mean, ".")
		_, b, _ := strings.Cut(spread, ".")
		if len(a) != len(b) {
			t.Fatalf("%q: not the same decimals", got)
		}
		if digits := strings.TrimLeft(strings.ReplaceAll(spread, ".", ""), "0"); sd < 99.5 && len(digits) > 2 {
			t.Fatalf("%q: more than two digits of spread", got)
		}
		back, err := units.ParseMass(spread+" kg", us)
		if err != nil || math.Abs(float64(back-sd)) > 0.26*float64(sd) {
			t.Fatalf("%v ± %v: %q lost the spread (%v)", m, sd, got, err)
		}
	})
}

func TestColumns(t *testing.T) {
	m := american.MassCol()
	if m.Unit != "lb" || m.Num(units.MustMass("41.4 lb")) != "41" || m.PM(units.MustMass("41.4 lb"), units.MustMass("8 lb")) != "41 ± 8" {
		t.Errorf("US weights: %q %q", m.Unit, m.Num(units.MustMass("41.4 lb")))
	}
	k := german.MassCol()
	if k.Unit != "kg" || k.Num(18.9) != "19,0" || k.Num(18.63) != "18,5" || k.PM(18.63, 0) != "18,5" || k.Num(-0.1) != "0,0" {
		t.Errorf("kg: %q %q %q", k.Unit, k.Num(18.9), k.Num(-0.1))
	}
	if k.Num(units.Mass(math.NaN())) != "?" {
		t.Errorf("not known is %q", k.Num(units.Mass(math.NaN())))
	}
	v := american.VolumeCol()
	if v.Unit != "US gal" || v.Num(units.MustVolume("10 qt")) != "2.5" || math.Abs(v.Value(units.MustVolume("10 qt"))-2.5) > 1e-12 {
		t.Errorf("US volumes: %q %q", v.Unit, v.Num(units.MustVolume("10 qt")))
	}
	heads := []string{american.VolumeSmallCol().Unit, british.VolumeBigCol().Unit, american.TempCol().Unit, german.StrengthCol().Unit,
		american.RoadCol().Unit, german.DurationCol().Unit, american.TempCol().Num(20), german.StrengthCol().Num(2. / 3), german.DurationCol().Num(5400)}
	if got := strings.Join(heads, "|"); got != "qt|UK gal|°F|%|mi|min|68|66,7|90" {
		t.Error(got)
	}
	// The head of a column names the unit for reading it back.
	if got, err := units.ParseVolumeIn("10", american.VolumeSmallCol().Unit, american.Locale()); err != nil || got != units.MustVolume("10 US qt") {
		t.Errorf("10 qt from a column: %v, %v", got, err)
	}
}

func TestSay(t *testing.T) {
	say := func(s units.Style, text string, amounts ...any) string { return s.Say(text, amounts) }
	m, err := units.EnterMass("48.5 lb", us)
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct{ got, want string }{
		{say(american, "{0} at the warmest: hardly taken below {1}", units.Temp(8), units.Temp(10)), "46 °F at the warmest: hardly taken below 50 °F"},
		{say(german, "{1} before {0}", units.DayOf(2025, 10, 14), units.Volume(9.46)), "9,5 L before Tue 14 Oct"},
		{say(german, "read {0}", m), "read 48,5 lb"},
		{say(american, "{0} {0}", "{1}", "x"), "{1} {1}"},
		{say(american, "{2} {x} {} {-1} {0", 1), "{2} {x} {} {-1} {0"},
		{say(american, "{{0}}", 1), "{1}"},
		{say(american, "no amounts"), "no amounts"},
		{say(american, ""), ""},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("%q, want %q", tt.got, tt.want)
		}
	}
}

// Whatever is printed can be typed in again, in the same style, and is then the
// same to the last printed digit. And there is no "-0".
func TestPrintedReadsBack(t *testing.T) {
	styles := []units.Style{american, german, british, spanish, tejano, {System: units.Metric}, {System: units.UK, Decimal: ','}}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(styles).Draw(t, "style")
		x := rapid.OneOf(rapid.Float64Range(0.001, 100), rapid.Float64Range(0, 50000)).Draw(t, "x")
		near := func(what, printed string, got float64, err error, slack float64) {
			if err != nil || math.Abs(got-x) > slack {
				t.Fatalf("%s %v printed %q reads %v, %v", what, x, printed, got, err)
			}
		}
		p := s.Mass(units.Mass(x))
		m, err := units.ParseMass(p, s.Locale())
		near("mass", p, float64(m), err, 0.2501)
		p = s.MassSmall(units.Mass(x))
		m, err = units.ParseMass(p, s.Locale())
		near("small mass", p, float64(m), err, max(0.006*x, 0.0000006))
		p = s.Volume(units.Volume(x))
		v, err := units.ParseVolume(p, s.Locale())
		near("volume", p, float64(v), err, max(0.5*4.55, 0.03*x)*min(1, x))
		p = s.Temp(units.Temp(x))
		c, err := units.ParseTemp(p, s.Locale())
		near("temperature", p, float64(c), err, 0.2778)
		p = s.Length(units.Length(x))
		l, err := units.ParseLength(p, s.Locale())
		near("length", p, float64(l), err, max(0.0501*x, 0.000501))
		p = s.Duration(units.Duration(x))
		d, err := units.ParseDuration(p, s.Locale())
		near("duration", p, float64(d), err, 30.01)
		p = s.Duration(units.Duration(x * 20))
		d, err = units.ParseDuration(p, s.Locale())
		near("long duration", p, float64(d/20), err, 0.051*86400/20)
		p = s.Density(units.Density(x))
		q, err := units.ParseDensity(p, s.Locale())
		near("density", p, float64(q), err, max(0.006*x, 0.000001))
		for _, tiny := range []float64{-1e-9, math.Copysign(0, -1), -0.0004} {
			for _, a := range []any{units.Mass(tiny), units.Volume(tiny), units.Temp(tiny), units.Length(tiny), units.Duration(tiny), units.Strength(tiny), units.Flow(tiny), units.Pressure(tiny), tiny} {
				if t0 := s.Amount(a); strings.HasPrefix(t0, "-0 ") || t0 == "-0" || strings.HasPrefix(t0, "-0.0 ") {
					t.Fatalf("%T %v printed %q", a, tiny, t0)
				}
			}
		}
	})
}
