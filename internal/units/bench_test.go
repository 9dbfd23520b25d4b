package units_test

import (
	"testing"

	"larder/internal/units"
)

// 600,000 facts are read in 3 s when a book is opened: 5 µs a fact, of which
// an amount may take 300 ns and one allocation (its words).
func BenchmarkUnmarshalEntered(b *testing.B) {
	for _, s := range []string{"48 lb", "2.5 US gal", "12.34 kg"} {
		text := []byte(s)
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if s == "2.5 US gal" {
					var e units.Entered[units.Volume]
					if err := e.UnmarshalText(text); err != nil {
						b.Fatal(err)
					}
					continue
				}
				var e units.Entered[units.Mass]
				if err := e.UnmarshalText(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkUnmarshalMass(b *testing.B) {
	text := []byte("48 lb")
	b.ReportAllocs()
	for b.Loop() {
		var m units.Mass
		if err := m.UnmarshalText(text); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := units.ParseMass("25 lb 4 oz", units.Locale{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStyleMass(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if (units.Style{}).MassPM(18.6, 3.6) == "" {
			b.Fatal("nothing")
		}
	}
}

// Reading an amount allocates nothing but, for what was entered, its words.
func TestReadingAllocatesLittle(t *testing.T) {
	text := []byte("48 lb")
	var m units.Mass
	if n := testing.AllocsPerRun(100, func() { _ = m.UnmarshalText(text) }); n > 0 {
		t.Errorf("Mass: %v allocations", n)
	}
	var e units.Entered[units.Mass]
	if n := testing.AllocsPerRun(100, func() { _ = e.UnmarshalText(text) }); n > 1 {
		t.Errorf("Entered[Mass]: %v allocations", n)
	}
}
