package units_test

import (
	"math"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
)

const (
	lb    = 0.45359237
	usGal = 3.785411784
	ukGal = 4.54609
)

var (
	untold = units.Locale{}
	us     = units.Locale{Decimal: '.'}
	metric = units.Locale{Decimal: ',', System: units.Metric}
	uk     = units.Locale{Decimal: '.', System: units.UK}
)

// What people type into number fields, worked out by hand:
// typed, value inside, canonical spelling.
func TestReads(t *testing.T) {
	tests := []struct {
		kind, typed string
		l           units.Locale
		want        float64
		as          string
	}{
		{"Volume", "40gal", us, 40 * usGal, "40 US gal"},
		{"Volume", "40 gal", us, 40 * usGal, "40 US gal"},
		{"Volume", "40 gallons", us, 40 * usGal, "40 US gal"},
		{"Volume", "40 GAL.", us, 40 * usGal, "40 US gal"},
		{"Volume", "40 gal", metric, 40 * usGal, "40 US gal"},
		{"Volume", "40 gal", uk, 40 * ukGal, "40 UK gal"},
		{"Volume", "40impgal", us, 40 * ukGal, "40 UK gal"},
		{"Volume", "40 imp gal", us, 40 * ukGal, "40 UK gal"},
		{"Volume", "40 imp. gal.", us, 40 * ukGal, "40 UK gal"},
		{"Volume", "40 UK gal", us, 40 * ukGal, "40 UK gal"},
		{"Volume", "40 US gal", uk, 40 * usGal, "40 US gal"},
		{"Volume", "3 qt", us, 3 * usGal / 4, "3 US qt"},
		{"Volume", "3 qt", uk, 3 * ukGal / 4, "3 UK qt"},
		{"Volume", "3pt", uk, 3 * ukGal / 8, "3 UK pt"},
		{"Volume", "9 fl oz", us, 9 * usGal / 128, "9 US fl oz"},
		{"Volume", "9 fl. oz.", uk, 9 * ukGal / 160, "9 UK fl oz"},
		{"Volume", "2 cups", us, 2 * usGal / 16, "2 US cup"},
		{"Volume", "2½ gal", us, 2.5 * usGal, "2 1/2 US gal"},
		{"Volume", "2 ½ gal", us, 2.5 * usGal, "2 1/2 US gal"},
		{"Volume", "1 1/2 gal", us, 1.5 * usGal, "1 1/2 US gal"},
		{"Volume", "1-1/2 gal", us, 1.5 * usGal, "1 1/2 US gal"},
		{"Volume", "1\u00a01/2\u00a0gal", us, 1.5 * usGal, "1 1/2 US gal"},
		{"Volume", "1⁄2 gal", us, 0.5 * usGal, "1/2 US gal"},
		{"Volume", "1 gal 2 qt", us, 1.5 * usGal, "1 US gal 2 US qt"},
		{"Volume", "150L", us, 150, "150 L"},
		{"Volume", "150 l", us, 150, "150 L"},
		{"Volume", "150 litres", us, 150, "150 L"},
		{"Volume", "2 dl", us, 0.2, "2 dL"},
		{"Volume", "250 ml", us, 0.25, "250 mL"},
		{"Volume", "250 ML", us, 0.25, "250 mL"},
		{"Volume", "1.2 m3", us, 1200, "1.2 m³"},
		{"Volume", "1 L 250 mL", us, 1.25, "1 L 250 mL"},
		{"Mass", "48 lb", us, 48 * lb, "48 lb"},
		{"Mass", "48lb", us, 48 * lb, "48 lb"},
		{"Mass", " 48  lbs. ", us, 48 * lb, "48 lb"},
		{"Mass", "048 LB", us, 48 * lb, "48 lb"},
		{"Mass", "50#", us, 50 * lb, "50 lb"},
		{"Mass", "25 lb 4 oz", us, 25.25 * lb, "25 lb 4 oz"},
		{"Mass", "25lb4oz", us, 25.25 * lb, "25 lb 4 oz"},
		{"Mass", "25 lb 4½ oz", us, (25 + 4.5/16) * lb, "25 lb 4 1/2 oz"},
		{"Mass", "11.3kg", us, 11.3, "11.3 kg"},
		{"Mass", "11,3 kg", metric, 11.3, "11.3 kg"},
		{"Mass", "450 g", us, 0.45, "450 g"},
		{"Mass", "1 kg 500 g", us, 1.5, "1 kg 500 g"},
		{"Mass", "22\u202fkg", us, 22, "22 kg"},
		{"Mass", "２２．５ｋｇ", us, 22.5, "22.5 kg"},
		{"Mass", ".5 lb", us, 0.5 * lb, "0.5 lb"},
		{"Mass", "0 lb", us, 0, "0 lb"},
		{"Mass", "0 kg", us, 0, "0 kg"},
		{"Length", "1/2in", us, 0.0127, "1/2 in"},
		{"Length", "3/4 in", us, 0.01905, "3/4 in"},
		{"Length", "1-5/8\"", us, 0.041275, "1 5/8 in"},
		{"Length", "5 ft 3 in", us, 1.6002, "5 ft 3 in"},
		{"Length", "5'3\"", us, 1.6002, "5 ft 3 in"},
		{"Length", "5′ 3½″", us, 1.6129, "5 ft 3 1/2 in"},
		{"Length", "5 ft 3 1/2 in", us, 1.6129, "5 ft 3 1/2 in"},
		{"Length", "19mm", us, 0.019, "19 mm"},
		{"Length", "100ft", us, 30.48, "100 ft"},
		{"Length", "12 mi", us, 19312.128, "12 mi"},
		{"Strength", "66,7 %", us, 0.667, "66.7 %"},
		{"Strength", "66.7%", us, 0.667, "66.7 %"},
		{"Strength", "66.7 Bx", us, 0.667, "66.7 %"},
		{"Strength", "66.7 °Brix", us, 0.667, "66.7 %"},
		{"Strength", "2:1", us, 2. / 3, "2:1 by weight"},
		{"Strength", "2:1 by weight", us, 2. / 3, "2:1 by weight"},
		{"Strength", "5 : 3 w/w", us, 0.625, "5:3 by weight"},
		{"Temp", "68F", us, 20, "68 F"},
		{"Temp", "68 °F", us, 20, "68 F"},
		{"Temp", "20C", us, 20, "20 C"},
		{"Temp", "20 ℃", us, 20, "20 C"},
		{"Temp", "-4 C", us, -4, "-4 C"},
		{"Temp", "−4 °C", us, -4, "-4 C"},
		{"Temp", "- 4 c", us, -4, "-4 C"},
		{"Temp", "+4 C", us, 4, "4 C"},
		{"Duration", "45 min", us, 2700, "45 min"},
		{"Duration", "1 h 30 min", us, 5400, "1 h 30 min"},
		{"Duration", "1h30m", us, 5400, "1 h 30 min"},
		{"Duration", "1½ hours", us, 5400, "1 1/2 h"},
		{"Duration", "2 days 3 h", us, 183600, "2 d 3 h"},
		{"Voltage", "12V", us, 12, "12 V"},
		{"Voltage", "12.6", us, 12.6, "12.6 V"},
		{"Current", "150 mA", us, 0.15, "150 mA"},
		{"Pressure", "2 bar", us, 2e5, "2 bar"},
		{"Pressure", "0.4 MPa", us, 4e5, "0.4 MPa"},
		{"Power", "1.5 kW", us, 1500, "1.5 kW"},
		{"Pressure", "0.4 Mpa", us, 4e5, "0.4 MPa"},
		{"Energy", "4 Megajoules", us, 4e6, "4 MJ"},
		{"Energy", "4 megajoules", us, 4e6, "4 MJ"},
		{"Duration", "45 Min", us, 2700, "45 min"},
		{"Length", "12 Miles", us, 19312.128, "12 mi"},
		{"Length", "19 MM", us, 0.019, "19 mm"},
		{"Energy", "1.2 kWh", us, 4.32e6, "1.2 kWh"},
		{"Flow", "20 L/min", us, 20. / 60, "20 L/min"},
		{"Flow", "20 l / min", us, 20. / 60, "20 L/min"},
		{"Flow", "3 gal/min", us, 3 * usGal / 60, "3 US gal/min"},
		{"Flow", "3 gpm", uk, 3 * ukGal / 60, "3 UK gal/min"},
		{"Flow", "2 m3/h", us, 2000. / 3600, "2 m³/h"},
		{"Density", "1.33 kg/L", us, 1330, "1.33 kg/L"},
		{"Density", "1330 kg/m3", us, 1330, "1330 kg/m³"},
		{"Viscosity", "40 cP", us, 40, "40 mPa·s"},
		{"Area", "140 sq in", us, 140 * 0.064516, "140 in²"},
		{"Area", "9 dm2", us, 9, "9 dm²"},
	}
	for _, tt := range tests {
		got, as, err := reading(t, tt.kind, tt.typed, tt.l)
		if err != nil {
			t.Errorf("%s %q: %v", tt.kind, tt.typed, err)
			continue
		}
		if math.Abs(got-tt.want) > 1e-14*math.Abs(tt.want) {
			t.Errorf("%s %q = %v, want %v", tt.kind, tt.typed, got, tt.want)
		}
		if as != tt.as {
			t.Errorf("%s %q kept as %q, want %q", tt.kind, tt.typed, as, tt.as)
		}
		again, _, err := reading(t, tt.kind, as, untold)
		if err != nil || again != got {
			t.Errorf("%s %q kept as %q reads %v, %v; want %v", tt.kind, tt.typed, as, again, err, got)
		}
	}
}

// One number in four countries' marks. NaN: asked about or refused.
func TestDecimalMarks(t *testing.T) {
	no := math.NaN()
	tests := []struct {
		typed                 string
		untold, point, commas float64
	}{
		{"48", 48, 48, 48},
		{"48.5", 48.5, 48.5, 48.5},
		{"48,5", 48.5, 48.5, 48.5},
		{"1,234", no, 1234, 1.234},
		{"1.234", 1.234, 1.234, no},
		{"12,345", no, 12345, 12.345},
		{"0,125", 0.125, 0.125, 0.125},
		{"0.125", 0.125, 0.125, 0.125},
		{"1234,567", 1234.567, 1234.567, 1234.567},
		{"1234.567", 1234.567, 1234.567, 1234.567},
		{"1,234,567", 1234567, 1234567, 1234567},
		{"1.234.567", 1234567, 1234567, 1234567},
		{"1,234.5", 1234.5, 1234.5, 1234.5},
		{"1.234,5", 1234.5, 1234.5, 1234.5},
		{"1'234", 1234, 1234, 1234},
		{"1’234.50", 1234.5, 1234.5, 1234.5},
		{"1\u00a0234", 1234, 1234, 1234},
		{"1\u202f234,5", 1234.5, 1234.5, 1234.5},
		{"1\u2009234.567", 1234.567, 1234.567, 1234.567},
		{"1 234", no, no, no},
		{"12,34,5", no, no, no},
		{"1,23,456", no, no, no},
		{"1.2.3", no, no, no},
		{"1,2.3,4", no, no, no},
		{"0,123,456", no, no, no},
		{"1234,567,890", no, no, no},
		{"1'23", no, no, no},
		{"1,234'567", no, no, no},
	}
	for _, tt := range tests {
		for i, want := range []float64{tt.untold, tt.point, tt.commas} {
			l := []units.Locale{{}, {Decimal: '.'}, {Decimal: ','}}[i]
			got, err := units.ParseMass(tt.typed+" kg", l)
			if math.IsNaN(want) {
				if err == nil {
					t.Errorf("%q in %q read as %v", tt.typed, l.Decimal, got)
				}
				continue
			}
			if err != nil || float64(got) != want {
				t.Errorf("%q in %q = %v, %v; want %v", tt.typed, l.Decimal, got, err, want)
			}
		}
	}
}

// Everything refused says why and how to mend it, and is never the program's
// fault.
func TestRefuses(t *testing.T) {
	tests := []struct {
		kind, typed string
		l           units.Locale
		want        fault.Kind
		say         string
	}{
		{"Mass", "", us, fault.Missing, "missing"},
		{"Mass", " \t\u00a0", us, fault.Missing, "missing"},
		{"Mass", "48", us, fault.NotUnderstood, "no unit"},
		{"Mass", "lb", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "-4 lb", us, fault.OutOfRange, "below zero"},
		{"Mass", "1e3 kg", us, fault.NotUnderstood, "plain number"},
		{"Mass", "1E-3kg", us, fault.NotUnderstood, "plain number"},
		{"Mass", "0x10 kg", us, fault.NotUnderstood, "plain number"},
		{"Mass", "Inf kg", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "NaN", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "∞ kg", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "48 52 lb", us, fault.NotUnderstood, "more than one number"},
		{"Mass", "48 lb 52", us, fault.NotUnderstood, "more than one number"},
		{"Mass", "48/52 lb", us, fault.NotUnderstood, "fraction"},
		{"Mass", "10/11", us, fault.NotUnderstood, "fraction"},
		{"Mass", "3/2 lb", us, fault.NotUnderstood, "fraction"},
		{"Mass", "1/0 lb", us, fault.NotUnderstood, "fraction"},
		{"Mass", "1.5 1/2 lb", us, fault.NotUnderstood, "fraction"},
		{"Mass", "1/2/3 lb", us, fault.NotUnderstood, "fraction"},
		{"Mass", "40-45 lb", us, fault.NotUnderstood, "not a unit"},
		{"Mass", "25 lb 20 oz", us, fault.NotUnderstood, "more than one amount"},
		{"Mass", "25.5 lb 4 oz", us, fault.NotUnderstood, "more than one amount"},
		{"Mass", "25 lb 4 lb", us, fault.NotUnderstood, "more than one amount"},
		{"Mass", "4 oz 25 lb", us, fault.NotUnderstood, "more than one amount"},
		{"Mass", "25 lb 300 g", us, fault.NotUnderstood, "more than one amount"},
		{"Mass", "25 lb -4 oz", us, fault.NotUnderstood, "not a unit"},
		{"Mass", "~48 lb", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "3 tons", us, fault.NotUnderstood, "not a unit"},
		{"Mass", "48 gal", us, fault.NotUnderstood, "not a unit"},
		{"Mass", "٣٤ kg", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "\u202e48 kg", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "48\x00 kg", us, fault.NotUnderstood, "not a unit"},
		{"Mass", "=48 kg", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "<script>", us, fault.NotUnderstood, "not a weight"},
		{"Mass", "48 <b>kg</b>", us, fault.NotUnderstood, "not a unit"},
		{"Mass", strings.Repeat("9", 400) + " kg", us, fault.OutOfRange, "more than can be"},
		{"Mass", strings.Repeat("a", 10000), us, fault.NotUnderstood, "too long"},
		{"Volume", "3 oz", us, fault.NotUnderstood, "not a unit"},
		{"Volume", "2 cups", uk, fault.NotUnderstood, "not a unit"},
		{"Volume", "3 lb", us, fault.NotUnderstood, "not a unit"},
		{"Volume", "1,234 L", untold, fault.NotUnderstood, "two ways"},
		{"Volume", "1 US gal 2 UK qt", us, fault.NotUnderstood, "more than one amount"},
		{"Temp", "20", us, fault.NotUnderstood, "no unit"},
		{"Temp", "20°", us, fault.NotUnderstood, "not a unit"},
		{"Temp", "-300 C", us, fault.OutOfRange, "colder"},
		{"Strength", "66.7", us, fault.NotUnderstood, "no unit"},
		{"Strength", "0 %", us, fault.OutOfRange, "not a strength"},
		{"Strength", "100 %", us, fault.OutOfRange, "not a strength"},
		{"Strength", "-5 %", us, fault.OutOfRange, "below zero"},
		{"Strength", "2:1 by volume", us, fault.NotUnderstood, "by volume"},
		{"Strength", "2:0", us, fault.OutOfRange, "no sugar"},
		{"Strength", "2:1:1", us, fault.NotUnderstood, "not a ratio"},
		{"Strength", "2:", us, fault.NotUnderstood, "not a ratio"},
		{"Strength", ":1", us, fault.NotUnderstood, "not a ratio"},
		{"Strength", "2:1 by hand", us, fault.NotUnderstood, "not a ratio"},
		{"Strength", "-2:1", us, fault.NotUnderstood, "not a ratio"},
		{"Pressure", "3 mpa", us, fault.NotUnderstood, "not a unit"},
		{"Pressure", "3 mPa", us, fault.NotUnderstood, "not a unit"},
		{"Energy", "4 mJ", us, fault.NotUnderstood, "not a unit"},
		{"Duration", "1:30", us, fault.NotUnderstood, "not a unit"},
		{"Length", "5'3", us, fault.NotUnderstood, "more than one number"},
		{"Current", "10", us, fault.NotUnderstood, "no unit"},
	}
	for _, tt := range tests {
		got, _, err := reading(t, tt.kind, tt.typed, tt.l)
		if err == nil {
			t.Errorf("%s %.40q read as %v", tt.kind, tt.typed, got)
			continue
		}
		if fault.KindOf(err) != tt.want || !strings.Contains(err.Error(), tt.say) {
			t.Errorf("%s %.40q: %v: %q, want %v with %q", tt.kind, tt.typed, fault.KindOf(err), err, tt.want, tt.say)
		}
		if fault.HintOf(err) == "" {
			t.Errorf("%s %.40q: no hint with %q", tt.kind, tt.typed, err)
		}
		if len(err.Error()) > 300 {
			t.Errorf("%s %.40q: the sentence has %d bytes", tt.kind, tt.typed, len(err.Error()))
		}
	}
}

func TestDefaultUnit(t *testing.T) {
	if m, err := units.ParseMassIn("48", "lb", us); err != nil || m != units.MustMass("48 lb") {
		t.Errorf("48 in lb = %v, %v", m, err)
	}
	if m, err := units.ParseMassIn("22 kg", "lb", us); err != nil || m != 22 {
		t.Errorf("22 kg in a lb column = %v, %v", m, err)
	}
	if m, err := units.ParseMassIn("1 1/2", "pounds", us); err != nil || m != units.MustMass("1.5 lb") {
		t.Errorf("1 1/2 in pounds = %v, %v", m, err)
	}
	if v, err := units.ParseVolumeIn("3", "gal", uk); err != nil || v != units.MustVolume("3 UK gal") {
		t.Errorf("3 in gal = %v, %v", v, err)
	}
	if x, err := units.ParseTempIn("-4", "°F", us); err != nil || x != units.MustTemp("-4F") {
		t.Errorf("-4 in °F = %v, %v", x, err)
	}
	if x, err := units.ParseStrengthIn("66.7", "%", us); err != nil || x != 0.667 {
		t.Errorf("66.7 in %% = %v, %v", x, err)
	}
	if x, err := units.ParseStrengthIn("1:1", "%", us); err != nil || x != 0.5 {
		t.Errorf("1:1 in %% = %v, %v", x, err)
	}
	for _, s := range []string{"48 52", "25 lb 4", "5 ft 3"} {
		if m, err := units.ParseMassIn(s, "lb", us); err == nil {
			t.Errorf("%q read as %v", s, m)
		}
	}
	if _, err := units.ParseMassIn("48", "gal", us); !fault.Is(err, fault.NotUnderstood) {
		t.Errorf("a weight in gal: %v", err)
	}
}

func TestUnitName(t *testing.T) {
	for typed, want := range map[string]string{"pounds": "lb", "LBS": "lb", "kg": "kg", "Kilograms": "kg"} {
		if got, err := units.UnitName[units.Mass](typed, us); err != nil || got != want {
			t.Errorf("%q is %q, %v; want %q", typed, got, err, want)
		}
	}
	if got, err := units.UnitName[units.Volume]("gal", uk); err != nil || got != "UK gal" {
		t.Errorf("gal is %q, %v", got, err)
	}
	if got, err := units.UnitName[units.Volume]("stones", us); err == nil || fault.HintOf(err) == "" {
		t.Errorf("stones is %q, %v", got, err)
	}
}

func TestAbout(t *testing.T) {
	tests := []struct {
		typed, rest string
		about       bool
	}{
		{"~48", "48", true}, {"~ 48 lb", "48 lb", true}, {" ≈48 lb", "48 lb", true},
		{"about 48 lb", "48 lb", true}, {"About 48", "48", true}, {"ca. 48 kg", "48 kg", true},
		{"ca 2½ gal", "2½ gal", true}, {"approx. 3 qt", "3 qt", true}, {"～48", "48", true}, {"~-4 C", "-4 C", true},
		{"48 lb", "48 lb", false}, {"can 48", "can 48", false}, {"~", "~", false},
		{"about", "about", false}, {"", "", false}, {"~~48", "~~48", false},
	}
	for _, tt := range tests {
		if rest, about := units.ParseAbout(tt.typed); rest != tt.rest || about != tt.about {
			t.Errorf("%q: %q, %v; want %q, %v", tt.typed, rest, about, tt.rest, tt.about)
		}
	}
}

func TestRatio(t *testing.T) {
	tests := []struct {
		typed string
		want  units.Ratio
	}{
		{"2:1", units.Ratio{Sugar: 2, Water: 1}},
		{"2 : 1 by weight", units.Ratio{Sugar: 2, Water: 1, Stated: true}},
		{"1:1 by volume", units.Ratio{Sugar: 1, Water: 1, By: units.ByVolume, Stated: true}},
		{"1.5:1 v/v", units.Ratio{Sugar: 1.5, Water: 1, By: units.ByVolume, Stated: true}},
		{"1,5:1", units.Ratio{Sugar: 1.5, Water: 1}},
		{"5 to 3", units.Ratio{Sugar: 5, Water: 3}},
		{"２：１", units.Ratio{Sugar: 2, Water: 1}},
	}
	for _, tt := range tests {
		got, err := units.ParseRatio(tt.typed, us)
		if err != nil || got != tt.want {
			t.Errorf("%q = %+v, %v; want %+v", tt.typed, got, err, tt.want)
		}
		again, err := units.ParseRatio(got.String(), untold)
		again.Stated = got.Stated
		if err != nil || again != got {
			t.Errorf("%q printed %q reads %+v, %v", tt.typed, got, again, err)
		}
	}
	if s, ok := (units.Ratio{Sugar: 2, Water: 1}).ByWeight(); !ok || s != units.Strength(2./3) {
		t.Errorf("2:1 by weight is %v, %v", s, ok)
	}
	if _, ok := (units.Ratio{Sugar: 2, Water: 1, By: units.ByVolume}).ByWeight(); ok {
		t.Error("2:1 by volume was taken for a strength")
	}
}

func TestMustPanics(t *testing.T) {
	defer func() {
		if r := recover(); r == nil || !strings.HasPrefix(r.(string), "units: ") {
			t.Errorf("panicked with %v", r)
		}
	}()
	units.MustMass("many")
}
