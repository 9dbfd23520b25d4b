package hive_test

import (
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/units"

	"pgregory.net/rapid"
)

func TestParseStack(t *testing.T) {
	deep, medium := hive.Box{Kind: "lang10-deep"}, hive.Box{Kind: "lang10-medium"}
	for text, want := range map[string]hive.Stack{
		"":                                       {},
		"  ":                                     {},
		"lang10-deep + lang10-medium":            {Boxes: []hive.Box{deep, medium}},
		"nuc5-deep":                              {Boxes: []hive.Box{{Kind: "nuc5-deep"}}},
		"bsn-deep:9 + bsn-shallow x2":            {Boxes: []hive.Box{{Kind: "bsn-deep", Frames: 9}, {Kind: "bsn-shallow"}, {Kind: "bsn-shallow"}}},
		"LANG10 Deep ×2":                         {Boxes: []hive.Box{deep, deep}},
		"lang10-deep+lang10-medium+poly":         {Boxes: []hive.Box{deep, medium}, Poly: true},
		"lang10-deep : 8":                        {Boxes: []hive.Box{{Kind: "lang10-deep", Frames: 8}}},
		"bs14x12 x2":                             {Boxes: []hive.Box{{Kind: "bs14x12"}, {Kind: "bs14x12"}}},
		"lang10-deep + poly + tare 12.3 kg":      {Boxes: []hive.Box{deep}, Poly: true, Tare: 12.3, TareKnown: true},
		"lang10-deep + tare 40 lb":               {Boxes: []hive.Box{deep}, Tare: 40 * units.Pound, TareKnown: true},
		"lang10-deep x1 + lang10-deep:10 + poly": {Boxes: []hive.Box{deep, {Kind: "lang10-deep", Frames: 10}}, Poly: true},
	} {
		got, err := hive.ParseStack(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if got.String() != want.String() || got.Poly != want.Poly || got.Tare != want.Tare {
			t.Errorf("%q: got %v, want %v", text, got, want)
		}
	}
}

func TestParseStackRefuses(t *testing.T) {
	for _, r := range []struct {
		text string
		kind fault.Kind
		hint string
	}{
		{"lang10-dep", fault.NotFound, "lang10-deep"},
		{"nuc5deep", fault.NotFound, "nuc5-deep"},
		{"lang-10-medium", fault.NotFound, "lang10-medium"},
		{"dadantblatt + poly", fault.NotFound, "dadant-blatt"},
		{"a box of some kind", fault.NotFound, "lang10-deep"}, // nothing near: all are named
		{"lang10-deep +", fault.NotUnderstood, "lang10-deep + lang10-medium"},
		{"lang10-deep:many", fault.NotUnderstood, "bsn-deep:9"},
		{"lang10-deep:0", fault.NotUnderstood, "bsn-deep:9"},
		{"lang10-deep x99", fault.OutOfRange, "x2"},
		{"lang10-deep x12 + lang10-deep", fault.OutOfRange, "x2"},
		{"lang10-deep + tare heavy", fault.NotUnderstood, "tare 18.5 kg"},
		{"x2", fault.NotFound, ""},
	} {
		s, err := hive.ParseStack(r.text)
		if !fault.Is(err, r.kind) || !strings.Contains(fault.HintOf(err), r.hint) {
			t.Errorf("%q: %v, %v, hint %q", r.text, s, err, fault.HintOf(err))
		}
	}
}

// stack draws any stack of known kinds, possible or not.
func stack(c hive.Catalogue) *rapid.Generator[hive.Stack] {
	return rapid.Custom(func(t *rapid.T) hive.Stack {
		var keys []string
		for _, b := range c.Boxes() {
			keys = append(keys, b.Key)
		}
		var s hive.Stack
		for range rapid.IntRange(0, 5).Draw(t, "boxes") {
			s.Boxes = append(s.Boxes, hive.Box{Kind: rapid.SampledFrom(keys).Draw(t, "kind"), Frames: rapid.IntRange(0, 14).Draw(t, "frames")})
		}
		s.Poly = rapid.Bool().Draw(t, "poly")
		if rapid.Bool().Draw(t, "tare known") {
			s.Tare, s.TareKnown = units.Mass(rapid.Float64Range(0, 200).Draw(t, "tare")), true
		}
		return s
	})
}

// legal draws a stack of wood that can be: boxes of one base, not too full.
func legal(c hive.Catalogue) *rapid.Generator[hive.Stack] {
	return rapid.Custom(func(t *rapid.T) hive.Stack {
		base := rapid.SampledFrom(c.Bases()).Draw(t, "base")
		var kinds []hive.BoxKind
		for _, b := range c.Boxes() {
			if b.Base == base.Key {
				kinds = append(kinds, b)
			}
		}
		var s hive.Stack
		for range rapid.IntRange(1, 4).Draw(t, "boxes") {
			k := rapid.SampledFrom(kinds).Draw(t, "kind")
			s.Boxes = append(s.Boxes, hive.Box{Kind: k.Key, Frames: rapid.IntRange(0, k.Frames).Draw(t, "frames")})
		}
		return s
	})
}

func same(a, b hive.Stack) bool {
	if len(a.Boxes) != len(b.Boxes) || a.Poly != b.Poly || a.Tare != b.Tare || a.TareKnown != b.TareKnown {
		return false
	}
	for i := range a.Boxes {
		if a.Boxes[i] != b.Boxes[i] {
			return false
		}
	}
	return true
}

func TestParseOfStringIsTheStack(t *testing.T) {
	c := hive.Default()
	rapid.Check(t, func(t *rapid.T) {
		s := stack(c).Draw(t, "stack")
		got, err := c.ParseStack(s.String())
		if err != nil || !same(got, s) {
			t.Fatalf("%q: got %+v, want %+v (%v)", s.String(), got, s, err)
		}
	})
}

func FuzzParseStack(f *testing.F) {
	for _, s := range []string{"", "lang10-deep + lang10-medium", "nuc5-deep", "bsn-deep:9 + bsn-shallow x2", "poly", "tare 3 kg", "x2", "lang10-deep ×2",
		"LANG10 DEEP:9 x 2", "+", ":", "lang10-deep::", "tare", "tare -1 kg", "lang10-deep + tare NaN kg", "lang10-deep x", "İ + ſwiss"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := hive.ParseStack(text)
		if err != nil {
			if fault.KindOf(err) == fault.Internal || fault.HintOf(err) == "" {
				t.Fatalf("%q: %v without a hint", text, err)
			}
			return
		}
		again, err := hive.ParseStack(s.String())
		if err != nil || !same(s, again) {
			t.Fatalf("%q: %+v then %+v (%v)", text, s, again, err)
		}
		_ = s.Check(hive.Default(), "frame") // must not panic
	})
}

func TestCheck(t *testing.T) {
	c := hive.Default()
	for _, r := range []struct {
		stack, feeder string
		kind          fault.Kind
		hint          string // "" = it can be
	}{
		{"lang10-deep", "tray-2", 0, ""},
		{"lang10-deep + lang10-medium x2", "frame", 0, ""},
		{"lang10-deep:9", "frame", 0, ""},
		{"nuc5-deep", "nuc-tray", 0, ""},
		{"nuc5-deep", "frame", 0, ""},
		{"bsn-deep + bs14x12 + commercial", "rapid", 0, ""},
		{"swiss", "pail", 0, ""},
		{"", "", fault.Missing, "lang10-deep"},
		{"lang10-deep:11", "", fault.WontFit, "10"},
		{"nuc5-deep", "tray-2", fault.WontFit, "nuc-tray"},
		{"lang10-deep", "nuc-tray", fault.WontFit, "tray-2"},
		{"lang10-deep:10", "frame", fault.WontFit, "lang10-deep:9"},
		{"swiss", "frame", fault.WontFit, "pail"},
		{"lang10-deep + bsn-deep", "", fault.WontFit, "your own"},
		{"lang10-deep", "tray-3", fault.NotFound, "tray"},
		{"smith-deep + poly", "", fault.NotFound, "weigh"},
	} {
		err := parse(t, c, r.stack).Check(c, r.feeder)
		if r.hint == "" {
			if err != nil {
				t.Errorf("%s, %s: %v", r.stack, r.feeder, err)
			}
			continue
		}
		if !fault.Is(err, r.kind) || !strings.Contains(fault.HintOf(err), r.hint) {
			t.Errorf("%s, %s: %v (%v), hint %q", r.stack, r.feeder, err, fault.KindOf(err), fault.HintOf(err))
		}
	}
	if err := (hive.Stack{Boxes: []hive.Box{{Kind: "lang10-depe"}}}).Check(c, ""); !fault.Is(err, fault.NotFound) || !strings.Contains(fault.HintOf(err), "lang10-deep") {
		t.Error(err, fault.HintOf(err))
	}
	// A measured empty weight needs no table of shells.
	if err := parse(t, c, "smith-deep + poly + tare 9 kg").Check(c, ""); err != nil {
		t.Error(err)
	}
}

func TestBesideAFrameFeeder(t *testing.T) {
	c := hive.Default()
	for text, want := range map[string]string{
		"lang10-deep":                 "lang10-deep:9",
		"lang10-deep + lang10-medium": "lang10-deep:9 + lang10-medium:10",
		"lang10-deep:9":               "lang10-deep:9",
		"lang10-deep:9 + lang10-deep": "lang10-deep:9 + lang10-deep:10",
	} {
		if got := c.Beside(parse(t, c, text), "frame").String(); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
	// One of two gallons takes two spaces.
	f, err := c.Feeder("frame")
	if err != nil {
		t.Fatal(err)
	}
	big, err := c.WithFeeder(hive.OwnFeeder(f, "frame-2gal", "two-gallon frame feeder", 2*units.USGallon, 0.8))
	if err != nil {
		t.Fatal(err)
	}
	if got := big.Beside(parse(t, c, "lang10-deep"), "frame-2gal").String(); got != "lang10-deep:8" {
		t.Error(got)
	}
	if err := parse(t, c, "lang10-deep:9").Check(big, "frame-2gal"); !fault.Is(err, fault.WontFit) {
		t.Error(err)
	}
}

func TestOwnKinds(t *testing.T) {
	c := hive.Default()
	own := hive.BoxKind{Key: "lang12-deep", Name: "my twelve-frame", Frame: "lang-deep", Frames: 12, Base: "lang10", Wood: hive.Shell{Mass: 5.2, SD: 0.1, Made: true}}
	d, err := c.With(own)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Box("lang12-deep"); err == nil {
		t.Error("the default catalogue has changed")
	}
	if _, err := d.ParseStack("lang12-deep + lang10-medium"); err != nil {
		t.Error(err)
	}
	near(t, "comb", area(t, d, "lang12-deep"), 12*2*8.7, 1e-9)
	for _, bad := range []hive.BoxKind{
		{},
		{Key: "Two Words", Frame: "lang-deep", Frames: 1, Base: "lang10", Wood: hive.Shell{Mass: 1, Made: true}},
		{Key: "x2", Frame: "lang-deep", Frames: 1, Base: "lang10", Wood: hive.Shell{Mass: 1, Made: true}},
		{Key: "poly", Frame: "lang-deep", Frames: 1, Base: "lang10", Wood: hive.Shell{Mass: 1, Made: true}},
		{Key: "a", Frame: "lang-deap", Frames: 1, Base: "lang10", Wood: hive.Shell{Mass: 1, Made: true}},
		{Key: "a", Frame: "lang-deep", Frames: 1, Base: "lang11", Wood: hive.Shell{Mass: 1, Made: true}},
		{Key: "a", Frame: "lang-deep", Frames: 0, Base: "lang10", Wood: hive.Shell{Mass: 1, Made: true}},
		{Key: "a", Frame: "lang-deep", Frames: 1, Base: "lang10"},
		{Key: "a", Frame: "lang-deep", Frames: 1, Base: "lang10", Wood: hive.Shell{Mass: -1, Made: true}},
	} {
		if _, err := c.With(bad); err == nil || fault.HintOf(err) == "" {
			t.Errorf("%+v: %v, hint %q", bad, err, fault.HintOf(err))
		}
	}
	e, err := d.WithBase(hive.Base{Key: "long", Name: "long hive", Plan: 40, Wood: hive.Parts{Floor: 4, Board: 3, Roof: 6, SD: 0.2, Made: true}})
	if err != nil {
		t.Fatal(err)
	}
	e, err = e.With(hive.BoxKind{Key: "long-hive", Name: "long hive", Frame: "lang-deep", Frames: 22, Base: "long", Wood: hive.Shell{Mass: 14, SD: 0.2, Made: true}})
	if err != nil {
		t.Fatal(err)
	}
	kg, err := e.Tare(parse(t, e, "long-hive"), "", figs)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "long hive", kg.Mean, 13+14+22*0.44, 1e-9)
	if _, err := c.WithBase(hive.Base{Key: "a", Plan: 20}); !fault.Is(err, fault.Missing) {
		t.Error(err)
	}
	if _, err := c.WithFrame(hive.FrameKind{Key: "a", Area: -1}); !fault.Is(err, fault.OutOfRange) {
		t.Error(err)
	}
}

// More comb never weighs less, holds less, or is surer.
func TestMoreBoxesWeighMore(t *testing.T) {
	c := hive.Default()
	fs := figure.NewSet(hive.Figures())
	rapid.Check(t, func(t *rapid.T) {
		s := legal(c).Draw(t, "stack")
		more := s
		more.Boxes = append(append([]hive.Box{}, s.Boxes...), s.Boxes[0])
		a, err := c.Tare(s, "", fs)
		b, err2 := c.Tare(more, "", fs)
		if err != nil || err2 != nil || b.Mean <= a.Mean || b.SD <= a.SD {
			t.Fatalf("%v: %v, with a box more %v (%v, %v)", s, a, b, err, err2)
		}
		ra, _ := c.Room(s, fs)
		rb, _ := c.Room(more, fs)
		if rb.Mean <= ra.Mean {
			t.Fatalf("%v: room %v, with a box more %v", s, ra, rb)
		}
	})
}
