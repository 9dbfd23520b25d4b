package units_test

import (
	"encoding"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"larder/internal/units"
	"pgregory.net/rapid"
)

// anyFloat draws finite floats of every size, and often the kind people make:
// short decimals.
func anyFloat() *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Custom(func(t *rapid.T) float64 {
			x := math.Float64frombits(rapid.Uint64().Draw(t, "bits"))
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return 0
			}
			return x
		}),
		rapid.Custom(func(t *rapid.T) float64 {
			n := rapid.Int64Range(-1e7, 1e7).Draw(t, "n")
			return float64(n) / math.Pow10(rapid.IntRange(0, 6).Draw(t, "decimals"))
		}),
		rapid.Float64Range(-1e6, 1e6),
		rapid.Float64Range(0, 1),
	)
}

// roundTrip checks one type: text and back is the same float to the last bit.
func roundTrip[Q units.Quantity, P interface {
	*Q
	encoding.TextUnmarshaler
}](x float64) string {
	if x == 0 {
		x = 0 // there is no text for a negative zero
	}
	q := Q(x)
	var back Q
	if err := P(&back).UnmarshalText([]byte(q.String())); err != nil {
		return err.Error()
	}
	if math.Float64bits(float64(back)) != math.Float64bits(float64(q)) {
		return q.String() + " reads back as " + strconv.FormatFloat(float64(back), 'g', -1, 64) +
			", was " + strconv.FormatFloat(x, 'g', -1, 64)
	}
	if strings.ContainsAny(strings.SplitN(q.String(), " ", 2)[0], "eE") {
		return q.String() + " has an exponent"
	}
	e := units.Entered[Q]{Q: q, As: ""}
	var entered units.Entered[Q]
	b, err := e.MarshalText()
	if err == nil {
		err = entered.UnmarshalText(b)
	}
	if err != nil || entered != e {
		return "entered " + string(b) + " reads back as " + entered.String()
	}
	return ""
}

func allRoundTrips(x float64) []string {
	return []string{
		roundTrip[units.Mass](x), roundTrip[units.Volume](x), roundTrip[units.Temp](x), roundTrip[units.Strength](x),
		roundTrip[units.Length](x), roundTrip[units.Pressure](x), roundTrip[units.Power](x), roundTrip[units.Energy](x),
		roundTrip[units.Voltage](x), roundTrip[units.Current](x), roundTrip[units.Duration](x), roundTrip[units.Density](x),
		roundTrip[units.Viscosity](x), roundTrip[units.Area](x), roundTrip[units.Flow](x),
	}
}

func TestTextIsExact(t *testing.T) {
	edges := []float64{0, 1, -1, 0.1, 0.3, 2. / 3, 0.667, 1e21, 1e22, 1e23, 1e-7, math.MaxFloat64, -math.MaxFloat64,
		math.SmallestNonzeroFloat64, 0x1p-1022, 0x1.fffffffffffffp-1, 123456789012345, 1234567890123456, 9007199254740993, math.Pi}
	for _, x := range edges {
		for _, bad := range allRoundTrips(x) {
			if bad != "" {
				t.Error(bad)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		for _, bad := range allRoundTrips(anyFloat().Draw(t, "x")) {
			if bad != "" {
				t.Fatal(bad)
			}
		}
	})
}

// Percent has no more digits than the fraction itself: 0.667 is 66.7 %, though
// 0.667·100 is 66.7000000000000028….
func TestPercentIsShort(t *testing.T) {
	for n := 1; n < 100000; n++ {
		x, err := strconv.ParseFloat("0."+strings.Repeat("0", 5-len(strconv.Itoa(n)))+strconv.Itoa(n), 64)
		if err != nil {
			t.Fatal(err)
		}
		want := strconv.Itoa(n/1000) + "." + strconv.Itoa(1000 + n%1000)[1:]
		want = strings.TrimSuffix(strings.TrimRight(want, "0"), ".") + " %"
		s := units.Strength(x)
		if s.String() != want {
			t.Fatalf("%v prints %q, want %q", x, s, want)
		}
		if back, err := units.ParseStrength(want, untold); err != nil || back != s {
			t.Fatalf("%q reads %v, %v; want %v", want, float64(back), err, x)
		}
	}
}

// A person may type what we print: the value is the same.
func TestParseReadsString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(0, 1e9).Draw(t, "x")
		m, v := units.Mass(x), units.Volume(x)
		if got, err := units.ParseMass(m.String(), us); err != nil || got != m {
			t.Fatalf("%s: %v, %v", m, got, err)
		}
		if got, err := units.ParseVolume(v.String(), us); err != nil || got != v {
			t.Fatalf("%s: %v, %v", v, got, err)
		}
		if s := units.Strength(rapid.Float64Range(1e-9, 1-1e-9).Draw(t, "s")); true {
			if got, err := units.ParseStrength(s.String(), us); err != nil || got != s {
				t.Fatalf("%s: %v, %v", s, got, err)
			}
		}
		c := units.Temp(rapid.Float64Range(-270, 1000).Draw(t, "c"))
		if got, err := units.ParseTemp(c.String(), us); err != nil || got != c {
			t.Fatalf("%s: %v, %v", c, got, err)
		}
	})
}

func TestStoredText(t *testing.T) {
	tests := []struct {
		text string
		want units.Volume
	}{
		{"3 qt", units.MustVolume("3 US qt")}, {"40 US gal", units.MustVolume("40gal")}, {"40 UK gal", units.MustVolume("40impgal")},
		{"-3 L", -3}, {"3L", 3}, {"1 1/2 L", 1.5}, {"1 L 250 mL", 1.25}, {"0 L", 0}, {"-0 L", 0}, {"007 L", 7},
		{"0.000001 L", 1e-6}, {"12345678901234567890 L", 12345678901234567890},
	}
	for _, tt := range tests {
		var v units.Volume
		if err := v.UnmarshalText([]byte(tt.text)); err != nil || v != tt.want || math.Signbit(float64(v)) != (tt.want < 0) {
			t.Errorf("%q = %v, %v; want %v", tt.text, v, err, tt.want)
		}
	}
	for _, s := range []string{"", "3", "3,5 L", "1,234 L", "1'234 L", "1\u00a0234 L", "3e2 L", "NaN L", "Inf L", "3 kg", "3 L 4", ". L", "3. L 5", "- L"} {
		v := units.Volume(7)
		if err := v.UnmarshalText([]byte(s)); err == nil || v != 7 {
			t.Errorf("%q was read as %v, %v", s, v, err)
		}
	}
	var s units.Strength
	if err := s.UnmarshalText([]byte("2:1 by weight")); err != nil || s != units.Strength(2./3) {
		t.Errorf("2:1 by weight = %v, %v", s, err)
	}
	if err := s.UnmarshalText([]byte("2:1 by volume")); err == nil {
		t.Error("2:1 by volume was read as a strength")
	}
}

// The quick reading of stored text and the long one agree to the last bit.
func TestQuickAgreesWithLong(t *testing.T) {
	names := []string{"lb", "kg", "g", "mg", "oz", "t"}
	rapid.Check(t, func(t *rapid.T) {
		digits := rapid.StringMatching(`[0-9]{1,12}(\.[0-9]{1,9})?`).Draw(t, "digits")
		unit := rapid.SampledFrom(names).Draw(t, "unit")
		var quick units.Mass
		if err := quick.UnmarshalText([]byte(digits + " " + unit)); err != nil {
			t.Fatal(err)
		}
		long, err := units.ParseMass(digits+"  "+unit, untold)
		if err != nil || long != quick {
			t.Fatalf("%s %s: quick %v, long %v, %v", digits, unit, float64(quick), float64(long), err)
		}
	})
}

// An entered amount keeps its words through text and JSON, and a blank one
// stays blank.
func TestEntered(t *testing.T) {
	type row struct {
		M units.Entered[units.Mass]   `json:"m,omitzero"`
		V units.Entered[units.Volume] `json:"v,omitzero"`
	}
	tests := []struct{ m, want string }{
		{"48lb", `{"m":"48 lb"}`}, {"22,5 kg", `{"m":"22.5 kg"}`}, {"22.50 kg", `{"m":"22.50 kg"}`},
		{"0 lb", `{"m":"0 lb"}`}, {"0 kg", `{"m":"0 kg"}`}, {"25lb 4oz", `{"m":"25 lb 4 oz"}`},
	}
	for _, tt := range tests {
		m, err := units.EnterMass(tt.m, us)
		if err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(row{M: m})
		if err != nil || string(b) != tt.want {
			t.Errorf("%q is stored as %s, %v; want %s", tt.m, b, err, tt.want)
		}
		var back row
		if err := json.Unmarshal(b, &back); err != nil || back.M != m || !back.V.IsZero() {
			t.Errorf("%s reads back as %+v, %v", b, back, err)
		}
	}
	if m, _ := units.EnterMass("22.5 kg", us); m.As != "" {
		t.Errorf("the inside unit was kept as %q", m.As)
	}
	if m, err := units.EnterMassIn("48", "lb", us); err != nil || m.As != "48 lb" {
		t.Errorf("48 in a lb column is kept as %q, %v", m.As, err)
	}
	if v, err := units.EnterVolumeIn("2½", "gal", uk); err != nil || v.As != "2 1/2 UK gal" {
		t.Errorf("2½ in a UK gal column is kept as %q, %v", v.As, err)
	}
	if _, err := units.EnterVolumeIn("2", "miles", uk); err == nil {
		t.Error("a volume in miles")
	}
	var e units.Entered[units.Mass]
	if err := e.UnmarshalText([]byte("48lb")); err != nil || e.String() != "48lb" {
		t.Errorf("stored spelling became %q, %v", e, err)
	}
}

// What was entered survives any change of units: canonical spelling reads back
// to the same float without a locale, and is a fixed point.
func TestEnteredKeeps(t *testing.T) {
	locales := []units.Locale{untold, us, metric, uk}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.StringMatching(`[0-9]{1,4}([.,][0-9]{1,2})?|[0-9]{1,2}[ -](1/2|3/4|5/8)|[1-9]?[½¼¾⅓⅔]`).Draw(t, "n")
		unit := rapid.SampledFrom([]string{"gal", "qt", "pt", "fl oz", "UK gal", "US gal", "L", "ml", "dl", "m3"}).Draw(t, "unit")
		gap := rapid.SampledFrom([]string{"", " ", "\u00a0", "  "}).Draw(t, "gap")
		l := rapid.SampledFrom(locales).Draw(t, "locale")
		e, err := units.EnterVolume(n+gap+unit, l)
		if err != nil {
			t.Fatalf("%q: %v", n+gap+unit, err)
		}
		for _, later := range locales[:2] {
			again, err := units.EnterVolume(e.String(), later)
			if err != nil || again != e {
				t.Fatalf("%q kept as %q reads %+v, %v", n+gap+unit, e, again, err)
			}
		}
		var stored units.Entered[units.Volume]
		if err := stored.UnmarshalText([]byte(e.String())); err != nil || stored != e {
			t.Fatalf("%q stored reads %+v, %v; want %+v", e, stored, err, e)
		}
	})
}
