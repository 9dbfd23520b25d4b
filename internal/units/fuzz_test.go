package units_test

import (
	"math"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"larder/internal/fault"
	"larder/internal/units"
)

// nasty are texts that end up in boxes for numbers, by paste or by malice.
var nasty = []string{
	"", " ", "48 lb", "25 lb 4 oz", "2½ gal", "1 1/2 gal", "66,7 %", "2:1 by weight", "68 °F", "-4 C", "5'3\"", "1 h 30 min",
	"1,234.5 kg", "1.234,5 kg", "1\u00a0234 kg", "1'234 L", "12,34,5", "1e999 kg", "0x1p3 L", "NaN kg", "Infinity L", "١٢ kg",
	"２２．５ｋｇ", "\u202e48 kg", "\ufeff48 kg", "48\x00kg", "=1+1", "<script>", "../..", "%2e%2e", "CON", "🐝 kg", "½½ L", "1/2/3 in",
	"1-1/2-1/2 in", "-", "--4 C", "+-4 C", "1 ½ ½", ".", ",", "'", "1.", ",5 L", "1..2 L", "½/2 L", "\xff\xfe lb", "9 fl. oz.",
	"1 1 1 1 1 1 L", "1:2:3", ": :", "2:1 to 1", "0:1", "$18.40", "€12,50", "USD USD", "-£-3", "18.40 USD USD", "2026-10-03T18:02Z",
	"1'234'567 m", "1 234", "5 ft 3 in 2 mm", "3 m3", "3 m33", "3 kg/m3 2", "100000000000000000000000 L", "0.0000000000000000000000001 L",
}

func locales() []units.Locale {
	return []units.Locale{{}, {Decimal: '.'}, {Decimal: ','}, {Decimal: '.', System: units.UK}, {Decimal: ',', System: units.Metric}}
}

// checkQuantity holds what is true of any text in a box for a Q: it is read,
// and then kept so that it reads back to the same float without a locale; or
// it is refused in words.
func checkQuantity[Q units.Quantity](t *testing.T, s string) {
	t.Helper()
	for _, l := range locales() {
		e, err := units.Enter[Q](s, l)
		if err != nil {
			refused(t, s, err)
			continue
		}
		if x := float64(e.Q); math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("%q read as %v", s, x)
		}
		again, err := units.Enter[Q](e.String(), units.Locale{})
		if err != nil || again != e {
			t.Fatalf("%q kept as %q reads %+v, %v; want %+v", s, e, again, err, e)
		}
		if q, err := units.Parse[Q](s, l); err != nil || q != e.Q {
			t.Fatalf("%q parsed %v, %v; entered %v", s, q, err, e.Q)
		}
	}
}

func refused(t *testing.T, s string, err error) {
	t.Helper()
	if fault.KindOf(err) == fault.Internal || err.Error() == "" || fault.HintOf(err) == "" {
		t.Fatalf("%q refused without a word: %v", s, err)
	}
	if !utf8.ValidString(err.Error()) || len(err.Error()) > 700 || strings.ContainsAny(err.Error(), "\x00\n\x1b") {
		t.Fatalf("%q refused with %q", s, err)
	}
}

func FuzzQuantities(f *testing.F) {
	for _, s := range nasty {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		checkQuantity[units.Mass](t, s)
		checkQuantity[units.Volume](t, s)
		checkQuantity[units.Temp](t, s)
		checkQuantity[units.Strength](t, s)
		checkQuantity[units.Length](t, s)
		checkQuantity[units.Duration](t, s)
		checkQuantity[units.Density](t, s)
		checkQuantity[units.Flow](t, s)
		units.ParseAbout(s)
		if e, err := units.EnterMassIn(s, "lb", units.Locale{}); err == nil {
			if again, err := units.EnterMass(e.String(), units.Locale{}); err != nil || again != e {
				t.Fatalf("%q in lb kept as %q reads %+v, %v", s, e, again, err)
			}
		}
	})
}

// Stored text is read the same by the quick and the long way, and never as
// something that does not print and read back.
func FuzzStoredText(f *testing.F) {
	for _, s := range nasty {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var m units.Mass
		if m.UnmarshalText(b) == nil {
			var back units.Mass
			if err := back.UnmarshalText([]byte(m.String())); err != nil || back != m {
				t.Fatalf("%q is %v, reads back as %v, %v", b, m, back, err)
			}
			if typed, err := units.ParseMass(string(b), units.Locale{}); err == nil && typed != m {
				t.Fatalf("%q stored is %v, typed %v", b, m, typed)
			}
		}
		var e units.Entered[units.Volume]
		if e.UnmarshalText(b) == nil && len(b) > 0 {
			text, err := e.MarshalText()
			if err != nil {
				t.Fatal(err)
			}
			var back units.Entered[units.Volume]
			if err := back.UnmarshalText(text); err != nil || back != e {
				t.Fatalf("%q is %+v, reads back as %+v, %v", b, e, back, err)
			}
		}
	})
}

func FuzzRoundTrip(f *testing.F) {
	for _, x := range []float64{0, 0.667, 2. / 3, 1e300, 5e-324, -1.5} {
		f.Add(x)
	}
	f.Fuzz(func(t *testing.T, x float64) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return
		}
		for _, bad := range allRoundTrips(x) {
			if bad != "" {
				t.Fatal(bad)
			}
		}
	})
}

func FuzzMoney(f *testing.F) {
	for _, s := range nasty {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, l := range locales() {
			m, err := units.ParseMoney(s, l)
			if err != nil {
				refused(t, s, err)
				continue
			}
			again, err := units.ParseMoney(m.String(), units.Locale{Decimal: '.'})
			if err != nil || again.String() != m.String() {
				t.Fatalf("%q is %q, reads %q, %v", s, m, again, err)
			}
		}
	})
}

func FuzzMoment(f *testing.F) {
	for _, s := range []string{"2026-10-03", "2026-10-03T18:02", "2026-10-03T18:02:05.123-04:00", "2026-10-03 18:02", "2026-02-29", "1969-12-31T23:59:59.9999Z", strings.Repeat("0\xd4", 400)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := units.ParseMoment(s, time.FixedZone("", -4*3600))
		if err != nil {
			refused(t, s, err)
			return
		}
		again, err := units.ParseMoment(m.String(), time.UTC)
		if err != nil || again != m {
			t.Fatalf("%q is %q, reads %q, %v", s, m, again, err)
		}
	})
}

func FuzzSay(f *testing.F) {
	for _, s := range []string{"feed {0} by {1}", "{", "}", "{0", "{{0}}", "{18446744073709551616}", "{-0}"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := (units.Style{}).Say(s, []any{"a", "b"})
		if want := strings.NewReplacer("{0}", "a", "{1}", "b").Replace(s); got != want && !strings.Contains(s, "{0") && !strings.Contains(s, "{1") {
			t.Fatalf("%q: %q, want %q", s, got, want)
		}
	})
}
