package supplement

import (
	"reflect"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
)

// typed is the invented label of powder, as one would type it.
func typed() Typed {
	return Typed{Text: map[string]string{
		LineProduct: "powder in the blue tub", LineForm: "powder", LinePerSyrup: "2.5 g per L", LineStrongest: "60 %", LineWarmest: "30 °C",
		LineCarrier: "20 mL of water per 5 g", LineOrder: "add to cooled syrup\nstir for ten minutes", LineKept: "dark and dry", LineOpened: "90 days",
		LineMixed: "5", LineMedicine: "no",
	}, Silent: map[string]bool{LineSeasonMost: true, LineTimes: true}}
}

func TestTypedLabel(t *testing.T) {
	l, bad := typed().Read("C", plain)
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	want := powder(t)
	want.Strongest, want.Warmest, want.Carrier.Is.Water.As = l.Strongest, l.Warmest, "20 mL" // read from words of their own
	if !reflect.DeepEqual(l, want) {
		t.Errorf("read %+v\nwant %+v", l, want)
	}
	if err := l.Check(); err != nil {
		t.Error(err)
	}
	for _, s := range []units.Style{{System: units.US}, {System: units.Metric, Decimal: ',', Lang: "es"}, {System: units.UK}} {
		again, bad := l.Typed(s).Read("C", s.Locale())
		if len(bad) > 0 || !reflect.DeepEqual(again, l) {
			t.Errorf("%+v: typed back %+v %v", s, again, bad)
		}
	}
	// "5 g" in the box for one colony is a dose for one colony.
	x := typed()
	x.Text[LinePerColony] = "5 g"
	if l, bad := x.Read("C", plain); len(bad) > 0 || l.PerColony.String() != "5 g per colony" {
		t.Errorf("%v %v", l.PerColony, bad)
	}
}

func TestTypedTrouble(t *testing.T) {
	for line, text := range map[string]string{
		LinePerSyrup: "5 g per colony", LinePerColony: "5 g per 10 L", LineTimes: "0", LineOpened: "-1", LineCarrier: "5 g per 20 mL of", LineStrongest: "very", LineSeasonMost: "a spoon",
		LineWithdrawal: "soon", LineMixed: "1.5",
	} {
		x := typed()
		x.Text[line] = text
		delete(x.Silent, line)
		_, bad := x.Read("C", plain)
		if len(bad) != 1 || bad[0].Line != line || fault.HintOf(bad[0].Err) == "" {
			t.Errorf("%s %q: %v", line, text, bad)
		}
	}
	x := typed()
	x.Silent[LineKept] = true
	if _, bad := x.Read("C", plain); len(bad) != 1 || !fault.Is(bad[0].Err, fault.Conflict) {
		t.Errorf("typed and silent: %v", bad)
	}
}

// A label locks until each of its lines has been copied or said to be silent.
func TestHalfALabelLocks(t *testing.T) {
	for _, line := range Lines() {
		x := typed()
		delete(x.Text, line)
		delete(x.Silent, line)
		l, bad := x.Read("C", plain)
		if len(bad) > 0 {
			t.Fatal(bad)
		}
		_, err := l.ForBatch(batch(100), Spoon{}, none)
		free := line == LinePerColony || line == LineSeasonMost || line == LineTimes || line == LineAuthority || line == LineWithdrawal
		if free != (err == nil) {
			t.Errorf("without %s: %v", line, err)
		}
	}
}

func FuzzReadLabel(f *testing.F) {
	f.Add("2.5 g per L", "5 g", "60 %", "30 C", "20 mL per 5 g", "stir; stir", "90 days")
	f.Add("1 tsp per gal", "1/2 oz per hive", "1:1", "86 F", "1 L/1 kg", "", "x")
	f.Add("5 g por 10 L", "\xff", "NaN", "1e999", " per ", ";;;\n", "-1")
	f.Fuzz(func(t *testing.T, perSyrup, perColony, strongest, warmest, carrier, order, days string) {
		x := Typed{Text: map[string]string{LineProduct: "x", LinePerSyrup: perSyrup, LinePerColony: perColony, LineStrongest: strongest, LineWarmest: warmest, LineCarrier: carrier,
			LineOrder: order, LineOpened: days, LineTimes: days, LineSeasonMost: perColony}}
		l, bad := x.Read("C", plain)
		for _, b := range bad {
			if fault.KindOf(b.Err) == fault.Internal || fault.HintOf(b.Err) == "" {
				t.Fatalf("%s: %v has no kind or hint", b.Line, b.Err)
			}
		}
		// What was understood is written so that it is understood again, in the same sense.
		y := l.Typed(units.Style{Decimal: '.'})
		back, bad := y.Read("C", plain)
		if len(bad) > 0 {
			t.Fatalf("%q came back as %q: %v", x.Text, y.Text, bad)
		}
		for _, p := range [][2]string{{back.PerSyrup.String(), l.PerSyrup.String()}, {back.Carrier.Is.String(), l.Carrier.Is.String()}, {strings.Join(back.Order.Is, "|"), strings.Join(l.Order.Is, "|")}} {
			if p[0] != p[1] {
				t.Fatalf("%q came back as %q", p[1], p[0])
			}
		}
	})
}
