package sheet_test

import (
	"encoding/xml"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

var update = flag.Bool("update", false, "write golden files anew")

var us = units.Style{System: units.US, Decimal: '.', Lang: "en"}

// golden compares with a file kept in testdata. It catches drift; that the
// picture is right is for the tests of structure and for eyes.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s is not as it was (look at it, then go test -update):\n%s", name, got)
	}
}

// el is one element of an SVG.
type el struct {
	name string
	attr map[string]string
	text string
}

func (e el) num(t testing.TB, key string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(e.attr[key], 64)
	if err != nil {
		t.Fatalf("<%s> %s=%q: %v", e.name, key, e.attr[key], err)
	}
	return x
}

// parse reads an SVG strictly and holds it to the rules: role img, a title
// first, no style, no script, nothing from elsewhere.
func parse(t testing.TB, d sheet.Drawing) []el {
	t.Helper()
	svg := string(d.SVG())
	dec := xml.NewDecoder(strings.NewReader(svg))
	var out []el
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, svg)
		}
		switch x := tok.(type) {
		case xml.StartElement:
			e := el{name: x.Name.Local, attr: map[string]string{}}
			for _, a := range x.Attr {
				e.attr[a.Name.Local] = a.Value
				if a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Value, "url(") || a.Name.Local == "href" {
					t.Fatalf("<%s> has %s=%q", e.name, a.Name.Local, a.Value)
				}
			}
			out = append(out, e)
		case xml.CharData:
			if len(out) > 0 {
				out[len(out)-1].text += string(x)
			}
		}
	}
	if len(out) < 2 || out[0].name != "svg" || out[0].attr["role"] != "img" || out[1].name != "title" || out[1].text == "" {
		t.Fatalf("no img with a title first:\n%s", svg)
	}
	return out
}

func byClass(es []el, class string) []el {
	var out []el
	for _, e := range es {
		if e.attr["class"] == class {
			out = append(out, e)
		}
	}
	return out
}

func bar(mean, sd float64, known bool, target units.Mass) sheet.Bar {
	b := sheet.Bar{Target: target, Scale: sheet.MassScale(40, us, 4), Title: "14: about 41 lb."}
	if known {
		b.Stores = figure.Est(mean, sd)
	}
	return b
}

func TestStoresBarShapes(t *testing.T) {
	scale := sheet.MassScale(40, us, 4)
	at := func(kg float64) float64 { return 2 + 116*kg/scale.Max } // the strip keeps 2 at each end
	d := sheet.StoresBar(bar(18, 3, true, 27))
	es := parse(t, d)

	have := byClass(es, "have")
	if len(have) != 1 || have[0].name != "rect" {
		t.Fatalf("want one thin bar, got %v", have)
	}
	// 8 cases in 10 of a normal spread lie within 1.2816 standard deviations.
	lo, hi := have[0].num(t, "x"), have[0].num(t, "x")+have[0].num(t, "width")
	if math.Abs(lo-at(18-1.2816*3)) > 0.02 || math.Abs(hi-at(18+1.2816*3)) > 0.02 {
		t.Errorf("bar from %g to %g, want %g to %g", lo, hi, at(18-1.2816*3), at(18+1.2816*3))
	}
	var tick, target *el
	for _, e := range byClass(es, "ink") {
		if e.name != "line" {
			continue
		}
		if e.num(t, "stroke-width") > 3 {
			tick = &e
		} else {
			target = &e
		}
	}
	if tick == nil || target == nil {
		t.Fatal("want a thick tick and a thin line")
	}
	if x := tick.num(t, "x1"); math.Abs(x-at(18)) > 0.02 {
		t.Errorf("tick at %g, want %g", x, at(18))
	}
	if x := target.num(t, "x1"); math.Abs(x-at(27)) > 0.02 || target.num(t, "y1") != 0 || target.num(t, "y2") != d.H {
		t.Errorf("target line %v, want the whole height at %g", target.attr, at(27))
	}
	// Black and white: tick and target differ in width and in height.
	if tick.num(t, "y2")-tick.num(t, "y1") >= d.H {
		t.Error("tick as high as the target line")
	}
	lack := byClass(es, "lack")
	if len(lack) != 2 || lack[0].name != "path" || strings.Count(lack[0].attr["d"], "M") < 3 {
		t.Fatalf("want hatching and its edge, got %v", lack)
	}
	if l, r := lack[1].num(t, "x"), lack[1].num(t, "x")+lack[1].num(t, "width"); math.Abs(l-at(18)) > 0.02 || math.Abs(r-at(27)) > 0.02 {
		t.Errorf("hatched from %g to %g, want from middle to target", l, r)
	}
	for _, e := range lack {
		if e.attr["fill"] != "none" {
			t.Error("what is missing is a plain area")
		}
	}
}

func TestStoresBarWithoutShortage(t *testing.T) {
	if l := byClass(parse(t, sheet.StoresBar(bar(30, 2, true, 27))), "lack"); len(l) != 0 {
		t.Errorf("hatched though not short: %v", l)
	}
	es := parse(t, sheet.StoresBar(bar(0, 0, false, 27)))
	if len(byClass(es, "have")) != 0 || len(byClass(es, "lack")) != 0 {
		t.Error("not known has a bar")
	}
	if e := es[len(es)-2]; e.text != "?" {
		t.Errorf("not known says %q", e.text)
	}
}

func TestGoldenDrawings(t *testing.T) {
	x := exampleSeason(t)
	words := catalogue(t, "en")
	s := x.st.Settings.Style()
	var short, unknown *season.Short
	for i := range x.plan.Short {
		switch c := &x.plan.Short[i]; c.Colony.ID {
		case "c3":
			short = c
		case "r10":
			unknown = c
		}
	}
	fixed := func(mean, sd float64, known bool, target units.Mass) sheet.Bar {
		b := bar(mean, sd, known, target)
		b.Title, b.Desc = "14: about 41 lb, likely 33 to 49. Target 60 lb.", "A & B <of> \"it\""
		return b
	}
	save := func(name string, d sheet.Drawing) {
		t.Helper()
		parse(t, d)
		golden(t, name, string(d.SVG())+"\n")
	}
	save("bar-short.svg", sheet.StoresBar(fixed(18.6, 3, true, 27.2)))
	save("bar-enough.svg", sheet.StoresBar(fixed(30, 2, true, 27.2)))
	save("bar-unknown.svg", sheet.StoresBar(fixed(0, 0, false, 27.2)))
	save("axis.svg", sheet.BarAxis(sheet.MassScale(40, us, 4), "Stores"))
	save("dots.svg", sheet.Dots(fixed(18.6, 3, true, 20)))
	f := fan()
	save("fan.svg", f.Draw())
	st := strip()
	save("strip.svg", st.Draw())

	if got := sheet.BarTitle(short, s, words); !strings.HasPrefix(got, "c3: about 3 lb, likely 0 to ") || !strings.HasSuffix(got, "Target 54 lb. Short by 51 lb.") {
		t.Errorf("title %q", got)
	}
	if got := sheet.BarTitle(unknown, s, words); got != "r10: stores not known. Target 77 lb." {
		t.Errorf("title %q", got)
	}
	if got := sheet.DotsTitle(short, s, words); got != "c3: in 20 of 20 cases it has less than 54 lb." {
		t.Errorf("title %q", got)
	}
}

func fan() sheet.Fan {
	f := sheet.Fan{Start: units.DayOf(2026, 10, 20), Style: us, Scale: sheet.MassScale(36, us, 5), Line: 6, Word: "runs low",
		Title: "14 runs low between 20 Feb and 25 Mar", Marks: []sheet.DayMark{{Day: units.DayOf(2027, 3, 25), Say: "first forage"}}}
	for _, w := range []float64{1.96, 1.2816, 0.6745} {
		b := sheet.Band{Share: map[float64]float64{1.96: 0.95, 1.2816: 0.8, 0.6745: 0.5}[w]}
		for k := range 160 {
			m, sd := 33-0.17*float64(k), 1.5+0.02*float64(k)
			b.Low, b.High = append(b.Low, math.Max(0, m-w*sd)), append(b.High, m+w*sd)
			if len(f.Middle) < 160 {
				f.Middle = append(f.Middle, m)
			}
		}
		f.Bands = append(f.Bands, b)
	}
	return f
}

func TestFanBands(t *testing.T) {
	f := fan()
	es := parse(t, f.Draw())
	var tints, dashes []string
	for _, e := range es {
		if e.attr["class"] == "have" {
			tints = append(tints, e.attr["fill-opacity"])
		}
		if e.name == "path" && e.attr["class"] == "ink" && e.attr["stroke-width"] == "1.2" {
			dashes = append(dashes, e.attr["stroke-dasharray"])
		}
	}
	// Three bands differ in lightness and, for those who see none, in dash.
	if len(tints) != 3 || tints[0] == tints[1] || tints[1] == tints[2] {
		t.Errorf("tints %v", tints)
	}
	if len(dashes) != 3 || dashes[0] == dashes[1] || dashes[1] == dashes[2] || dashes[0] == dashes[2] {
		t.Errorf("dashes %q", dashes)
	}
	var words []string
	for _, e := range es {
		if e.name == "text" {
			words = append(words, e.text)
		}
	}
	for _, want := range []string{"95 %", "80 %", "50 %", "runs low", "first forage", "lb", "Nov", "Mar"} {
		if !strings.Contains(strings.Join(words, "|"), want) {
			t.Errorf("no word %q in %q", want, words)
		}
	}
	if lines := byClass(es, "lack"); len(lines) != 1 || lines[0].attr["stroke-dasharray"] == "" {
		t.Errorf("run-low line %v", lines)
	}
}

func strip() sheet.Strip {
	start := units.DayOf(2026, 9, 5)
	feed := make([]bool, 30)
	for k := range feed {
		feed[k] = k%7 != 3
	}
	return sheet.Strip{Start: start, Days: 30, Style: us, Title: "4 loads, Sat 5 Sep to Thu 1 Oct", Yards: []sheet.StripYard{
		{Name: "Mill Lane", Feed: feed, Stop: start + 26, Loads: []sheet.StripLoad{{Day: start, N: 1}, {Day: start, N: 2}, {Day: start + 7, N: 3}}},
		{Name: "Hill <2>", Feed: feed[:20], Stop: start + 29, Loads: []sheet.StripLoad{{Day: start + 26, N: 4}}},
	}}
}

func TestStripPutsLoadsOnTheirDay(t *testing.T) {
	st := strip()
	es := parse(t, st.Draw())
	var marks []float64
	for _, e := range es {
		if e.attr["class"] == "solid" {
			marks = append(marks, e.num(t, "x"))
		}
	}
	// 328 of 340 units hold 30 days, from 6.
	for i, k := range []float64{0, 7, 26} {
		if want := 6 + 328*k/30 + 0.5; len(marks) != 3 || math.Abs(marks[i]-want) > 0.02 {
			t.Fatalf("marks at %v, want %g for day %g", marks, want, k)
		}
	}
	text := ""
	for _, e := range es {
		text += e.text + "|"
	}
	for _, want := range []string{"Mill Lane|", "Hill <2>|", "|1, 2|", "|3|", "|4|", "|7 Sep|"} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q: %s", want, text)
		}
	}
}

// TestStripOfPlan holds the strip of a plan to the plan.
func TestStripOfPlan(t *testing.T) {
	x := exampleSeason(t)
	st := sheet.StripOf(&x.plan, us, catalogue(t, "en"))
	n := 0
	for _, y := range st.Yards {
		for _, l := range y.Loads {
			if l.Day < st.Start || l.Day >= st.Start+units.Day(st.Days) {
				t.Errorf("%s: load %d lies outside", y.Name, l.N)
			}
			n++
		}
	}
	if n != x.plan.Totals.Visits {
		t.Errorf("%d loads drawn, %d visits planned", n, x.plan.Totals.Visits)
	}
}

// TestDrawingsStayInside draws whatever estimates there may be; nothing leaves
// the frame and nothing is not a number.
func TestDrawingsStayInside(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := sheet.Bar{Title: "t", Target: units.Mass(rapid.Float64Range(0, 80).Draw(rt, "target")),
			Scale: sheet.MassScale(units.Mass(rapid.Float64Range(0, 200).Draw(rt, "most")), us, rapid.IntRange(1, 8).Draw(rt, "steps"))}
		if rapid.Bool().Draw(rt, "known") {
			b.Stores = figure.Est(rapid.Float64Range(-20, 200).Draw(rt, "mean"), rapid.Float64Range(0, 60).Draw(rt, "sd"))
		}
		for _, d := range []sheet.Drawing{sheet.StoresBar(b), sheet.BarAxis(b.Scale, "t"), sheet.Dots(b)} {
			for _, e := range parse(t, d) {
				for _, k := range [...]string{"x", "x1", "x2", "cx"} {
					if v, ok := e.attr[k]; ok {
						if x := e.num(t, k); x < -0.01 || x > d.W+0.01 {
							rt.Fatalf("<%s> %s=%s outside 0…%g", e.name, k, v, d.W)
						}
					}
				}
				for k, v := range e.attr {
					if strings.Contains(v, "NaN") || strings.Contains(v, "Inf") {
						rt.Fatalf("<%s> %s=%q", e.name, k, v)
					}
				}
			}
		}
	})
}

func TestNiceTicks(t *testing.T) {
	// Worked out by hand: steps are 1, 2 or 5 times a power of ten.
	for _, c := range []struct {
		lo, hi float64
		most   int
		want   []float64
	}{
		{0, 10, 5, []float64{0, 2, 4, 6, 8, 10}},
		{0, 88, 4, []float64{0, 50}},
		{0, 97, 5, []float64{0, 20, 40, 60, 80}},
		{0, 1, 4, []float64{0, 0.5, 1}},
		{0, 0.07, 7, []float64{0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07}},
		{-3, 12, 3, []float64{0, 5, 10}},
		{7, 31, 6, []float64{10, 15, 20, 25, 30}},
	} {
		got := sheet.NiceTicks(c.lo, c.hi, c.most)
		ok := len(got) == len(c.want)
		for i := range min(len(got), len(c.want)) {
			ok = ok && math.Abs(got[i]-c.want[i]) < 1e-9
		}
		if !ok {
			t.Errorf("NiceTicks(%g, %g, %d) = %v, want %v", c.lo, c.hi, c.most, got, c.want)
		}
	}
}

func TestMassScale(t *testing.T) {
	sc := sheet.MassScale(60*units.Pound, us, 4)
	if sc.Unit != "lb" || len(sc.Ticks) != 4 || sc.Ticks[3].Say != "60" || math.Abs(sc.Max-60*0.45359237) > 1e-9 {
		t.Errorf("scale to 60 lb: %+v", sc)
	}
	es := units.Style{System: units.Metric, Decimal: ',', Lang: "es"}
	if sc = sheet.MassScale(1.9, es, 4); sc.Unit != "kg" || sc.Ticks[1].Say != "0,5" || sc.Max != 2 {
		t.Errorf("scale to 1.9 kg: %+v", sc)
	}
	if sc = sheet.MassScale(0, es, 4); sc.Max != 10 || len(sc.Ticks) < 2 {
		t.Errorf("scale to nothing: %+v", sc)
	}
}

// TestCases: the 20 cases are the middles of the twentieths. Quantiles of the
// normal distribution from a printed table: 2.5 % −1.960, 47.5 % −0.0627.
func TestCases(t *testing.T) {
	c := sheet.Cases(figure.Est(10, 2))
	if len(c) != 20 || math.Abs(c[0]-(10-1.960*2)) > 0.001 || math.Abs(c[9]-(10-0.0627*2)) > 0.001 || math.Abs(c[19]-(10+1.960*2)) > 0.001 {
		t.Errorf("cases %v", c)
	}
	if c := sheet.Cases(figure.Estimate{}); c != nil {
		t.Errorf("cases of nothing: %v", c)
	}
	if c := sheet.Cases(figure.Est(5, 0)); c[0] != 5 || c[19] != 5 {
		t.Errorf("cases without spread: %v", c)
	}
}
