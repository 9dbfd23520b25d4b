package supplement

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"pgregory.net/rapid"
)

var (
	none  figure.Set
	plain = units.Locale{Decimal: '.'}
)

func must[T any](t interface{ Fatal(...any) }) func(v T, err error) T {
	return func(v T, err error) T {
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// powder is a whole label, invented: 2.5 g for 1 L of syrup, at most 60 % and
// 30 °C, 20 mL of water for each 5 g. No product has it.
func powder(t interface{ Fatal(...any) }) Label {
	return Label{
		Product: "powder in the blue tub", Form: Powder,
		PerSyrup:    must[Rule](t)(ParseRule("2.5 g per L", plain)),
		SeasonMost:  Nothing[Amount](),
		SeasonTimes: Nothing[int](),
		Strongest:   Saying(units.Strength(0.60)), Warmest: Saying(units.Temp(30)),
		Carrier: Saying(Carrier{Water: units.In(20 * units.Millilitre), Product: must[Amount](t)(ParseAmount("5 g", plain))}),
		Order:   Saying([]string{"add to cooled syrup", "stir for ten minutes"}), KeptWhere: Saying("dark and dry"),
		OpenedDays: Saying(Days(90)), MixedDays: Saying(Days(5)), Medicine: No,
	}
}

func batch(litres float64) Batch {
	return Batch{Volume: units.Volume(litres), Strength: 0.5, Temp: 25, TempKnown: true}
}

// spoon holds 15 mL and weighs 9 g of it, level.
func spoon(t interface{ Fatal(...any) }) Spoon {
	return must[Spoon](t)(WeighSpoon(15*units.Millilitre, "powder in the blue tub", 5, 45*units.Gram))
}

func near(t interface{ Fatalf(string, ...any) }, what string, got, want, tol float64) {
	if !(math.Abs(got-want) <= tol) {
		t.Fatalf("%s: got %v, want %v ± %v", what, got, want, tol)
	}
}

func TestDose(t *testing.T) {
	d := must[Dose](t)(powder(t).ForBatch(batch(150.4), spoon(t), none))
	// 150.4 L × 2.5 g = 376 g; 376/9 = 41.78 spoonfuls, down to a quarter; 376/5 × 20 mL.
	near(t, "exact", float64(d.Exact.Mass.Q), 0.376, 1e-12)
	near(t, "grams", float64(d.Grams), 0.376, 1e-12)
	near(t, "spoons", d.Spoons, 41.75, 0)
	near(t, "water", float64(d.Carrier), 1.504, 1e-9)
	if d.GramsErr != nil || d.SpoonsErr != nil || d.Cut || !d.HasCarrier || !d.PerColony.IsZero() {
		t.Errorf("%+v", d)
	}
	codes := ""
	for _, s := range d.Steps {
		codes += s.Code + " "
	}
	if codes != "weigh dissolve label label stir " {
		t.Errorf("steps: %s", codes)
	}
	// Not measured yet: it has to cool first.
	b := batch(10)
	b.TempKnown = false
	if d := must[Dose](t)(powder(t).ForBatch(b, Spoon{}, none)); d.Steps[0].Code != "cool" {
		t.Errorf("steps: %+v", d.Steps)
	}
}

// TestSpoon: a spoon is a volume until it has been weighed, with this product.
func TestSpoon(t *testing.T) {
	l := powder(t)
	for name, s := range map[string]Spoon{"none": {}, "not weighed": {Holds: 15 * units.Millilitre}, "of another": {Holds: 0.015, Weighs: 0.009, Of: "something else"}} {
		d := must[Dose](t)(l.ForBatch(batch(100), s, none))
		if !fault.Is(d.SpoonsErr, fault.Missing) || fault.HintOf(d.SpoonsErr) == "" || d.Spoons != 0 {
			t.Errorf("%s: %v, %v spoons", name, d.SpoonsErr, d.Spoons)
		}
		if d.Grams != 0.25 {
			t.Errorf("%s: grams %v need no spoon", name, d.Grams)
		}
	}
	// A powder labelled by volume has no grams until a spoon has been weighed.
	l.PerSyrup = must[Rule](t)(ParseRule("5 mL per gal", plain))
	// And the water for so many grams of it cannot be told: locked.
	if _, err := l.ForBatch(batch(100), Spoon{Holds: 0.015}, none); !fault.Is(err, fault.Missing) {
		t.Errorf("water by the gram: %v", err)
	}
	l.Carrier = Nothing[Carrier]()
	d := must[Dose](t)(l.ForBatch(batch(40*float64(units.USGallon)), Spoon{Holds: 0.015}, none))
	if !fault.Is(d.GramsErr, fault.Missing) || !fault.Is(d.SpoonsErr, fault.Missing) {
		t.Errorf("grams %v, spoons %v", d.GramsErr, d.SpoonsErr)
	}
}

// TestTableSpoon: "a level tablespoon is 15 mL, so a spoon of powder has to be
// weighed" (common practice, no source): 5 mL a gallon for 40 gallons are 200 mL,
// 13⅓ tablespoons, and 120 g of a powder that weighs 9 g a spoonful.
func TestTableSpoon(t *testing.T) {
	l := powder(t)
	l.PerSyrup = must[Rule](t)(ParseRule("5 mL per gal", plain))
	fig := figure.NewSet(Figures())
	s := must[Spoon](t)(WeighSpoon(units.Volume(fig.V(KeySpoon))*units.Millilitre, l.Product, 1, 9*units.Gram))
	d := must[Dose](t)(l.ForBatch(batch(40*float64(units.USGallon)), s, none))
	near(t, "mL", float64(d.Exact.Volume.Q), 0.2, 1e-12)
	near(t, "grams", float64(d.Grams), 0.120, 1e-12)
	near(t, "spoons", d.Spoons, 13.25, 0)
	// A liquid is measured by volume, and its spoon need not be weighed.
	l.Form, l.Carrier = Liquid, Nothing[Carrier]()
	d = must[Dose](t)(l.ForBatch(batch(40*float64(units.USGallon)), Spoon{Holds: 0.015}, none))
	if d.SpoonsErr != nil || d.Spoons != 13.25 || d.Steps[0].Code != "measure" || !fault.Is(d.GramsErr, fault.Missing) {
		t.Errorf("liquid: %+v", d)
	}
}

// TestLocked: each line of the label that is missing locks the step with a
// sentence of its own, and the empty label with all of them.
func TestLocked(t *testing.T) {
	blank := map[string]func(l *Label){
		"name": func(l *Label) { l.Product = "  " }, "form": func(l *Label) { l.Form = "" }, "dose": func(l *Label) { l.PerSyrup = Rule{} },
		"season":    func(l *Label) { l.SeasonMost, l.SeasonTimes = Term[Amount]{}, Term[int]{} },
		"strongest": func(l *Label) { l.Strongest = Term[units.Strength]{} }, "warmest": func(l *Label) { l.Warmest = Term[units.Temp]{} },
		"carrier": func(l *Label) { l.Carrier = Term[Carrier]{} }, "order": func(l *Label) { l.Order = Term[[]string]{} },
		"kept": func(l *Label) { l.KeptWhere = Term[string]{} }, "opened": func(l *Label) { l.OpenedDays = Term[Days]{} },
		"mixed": func(l *Label) { l.MixedDays = Term[Days]{} }, "medicine": func(l *Label) { l.Medicine = "" },
		"authority":     func(l *Label) { l.Medicine, l.Withdrawal = Yes, Saying(Days(0)) },
		"withdrawal":    func(l *Label) { l.Medicine, l.Authority = Yes, "the vet" },
		"silent of it":  func(l *Label) { l.Medicine, l.Authority, l.Withdrawal = Yes, "the vet", Nothing[Days]() },
		"names nobody":  func(l *Label) { l.Medicine, l.Authority, l.Withdrawal = Yes, " ", Saying(Days(3)) },
		"nothing known": func(l *Label) { *l = Label{} },
	}
	if err := powder(t).Check(); err != nil {
		t.Fatalf("a whole label is locked: %v", err)
	}
	sentences := map[string]string{}
	for name, f := range blank {
		l := powder(t)
		f(&l)
		_, err := l.ForBatch(batch(10), Spoon{}, none)
		if !fault.Is(err, fault.Missing) || fault.HintOf(err) == "" {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if list, ok := err.(fault.List); !ok || name != "nothing known" && len(list) != 1 || name == "nothing known" && len(list) != 12 {
			t.Errorf("%s: %d sentences", name, strings.Count(err.Error(), "\n")+1)
		}
		sentences[err.Error()] = name
	}
	if len(sentences) != len(blank)-2 { // two of the withdrawal and two of the authority are one
		t.Errorf("%d different sentences for %d lines", len(sentences), len(blank))
	}
	for name, f := range map[string]func(l *Label){
		"form": func(l *Label) { l.Form = "paste" }, "no syrup": func(l *Label) { l.PerSyrup.Syrup = units.Entered[units.Volume]{} }, "minus": func(l *Label) { l.PerSyrup.Product.Mass.Q = -1 },
		"nan": func(l *Label) { l.PerSyrup.Product.Mass.Q = units.Mass(math.NaN()) }, "both": func(l *Label) { l.PerSyrup.Product.Volume = units.In(units.Litre) },
		"colony": func(l *Label) { l.PerColony = l.PerSyrup }, "season": func(l *Label) { l.SeasonMost = Saying(Amount{}) }, "times": func(l *Label) { l.SeasonTimes = Saying(0) },
		"strength": func(l *Label) { l.Strongest = Saying(units.Strength(60)) }, "warm": func(l *Label) { l.Warmest = Saying(units.Temp(200)) },
		"carrier": func(l *Label) { l.Carrier = Saying(Carrier{}) }, "steps": func(l *Label) { l.Order = Saying[[]string](nil) }, "days": func(l *Label) { l.MixedDays = Saying(Days(-1)) },
		"medicine": func(l *Label) { l.Medicine = "perhaps" }, "said": func(l *Label) { l.Warmest.Said = "mumbles" },
		"less than one feeding": func(l *Label) {
			l.PerColony, l.SeasonMost = Rule{Product: ByMass(2)}, Saying(ByMass(1))
		},
	} {
		l := powder(t)
		f(&l)
		if err := l.Check(); !fault.Is(err, fault.OutOfRange) || fault.HintOf(err) == "" {
			t.Errorf("wrong %s: %v", name, err)
		}
	}
}

func TestRefused(t *testing.T) {
	l := powder(t)
	for name, c := range map[string]struct {
		kind fault.Kind
		f    func(b *Batch)
	}{
		"too strong": {fault.Unsafe, func(b *Batch) { b.Strength = 0.667 }}, "too warm": {fault.Unsafe, func(b *Batch) { b.Temp = 31 }},
		"strength not told": {fault.Missing, func(b *Batch) { b.Strength = 0 }}, "nothing": {fault.Missing, func(b *Batch) { b.Volume = 0 }},
		"minus": {fault.OutOfRange, func(b *Batch) { b.Volume = -3 }}, "share": {fault.OutOfRange, func(b *Batch) { b.Share = 101 }},
		"too little": {fault.OutOfRange, func(b *Batch) { b.Volume = 0.1 }}, "nan": {fault.OutOfRange, func(b *Batch) { b.Temp = units.Temp(math.NaN()) }},
	} {
		b := batch(100)
		c.f(&b)
		if _, err := l.ForBatch(b, Spoon{}, none); !fault.Is(err, c.kind) || fault.HintOf(err) == "" {
			t.Errorf("%s: %v is not %v", name, err, c.kind)
		}
	}
	edge := batch(100)
	edge.Strength, edge.Temp = 0.60, 30
	if _, err := l.ForBatch(edge, Spoon{}, none); err != nil {
		t.Errorf("just what the label allows: %v", err)
	}
	l.PerColony = must[Rule](t)(ParseRule("4 g per colony", plain))
	if _, err := l.ForBatch(batch(100), Spoon{}, none); !fault.Is(err, fault.Missing) {
		t.Errorf("by colony without a share: %v", err)
	}
}

// TestLinear: twice the syrup is twice the dose; nothing taken is above the
// exact dose, and nothing in a colony's share above any limit of the label.
func TestLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := powder(t)
		l.PerSyrup.Product = ByMass(units.Mass(rapid.Float64Range(0.1, 20).Draw(t, "g")) * units.Gram)
		b := batch(rapid.Float64Range(40, 900).Draw(t, "L"))
		if rapid.Bool().Draw(t, "share") {
			b.Share = units.Volume(rapid.Float64Range(0.5, 15).Draw(t, "perColony"))
			if rapid.Bool().Draw(t, "byColony") {
				l.PerColony = Rule{Product: ByMass(units.Mass(rapid.Float64Range(0.5, 50).Draw(t, "colonyG")) * units.Gram)}
			}
			if rapid.Bool().Draw(t, "season") {
				l.SeasonMost = Saying(ByMass(l.PerColony.Product.Mass.Q + units.Mass(rapid.Float64Range(1, 80).Draw(t, "seasonG"))*units.Gram))
				b.Had.Amount = ByMass(l.SeasonMost.Is.Mass.Q * units.Mass(rapid.Float64Range(0, 1.2).Draw(t, "had")))
			}
		}
		d, err := l.ForBatch(b, spoon(t), none)
		if err != nil {
			used := l.SeasonMost.Said == Says && float64(b.Had.Amount.Mass.Q) >= float64(l.SeasonMost.Is.Mass.Q)*(1-1e-9)
			if !(fault.Is(err, fault.Unsafe) && used) && !fault.Is(err, fault.OutOfRange) {
				t.Fatal(err)
			}
			return
		}
		exact := float64(d.Exact.Mass.Q)
		if most := float64(l.PerSyrup.Product.Mass.Q) * float64(b.Volume); exact > most*(1+1e-12) || !d.Cut && math.Abs(exact-most) > most*1e-9 {
			t.Fatalf("exact %v of %v, cut %v", exact, most, d.Cut)
		}
		if float64(d.Take.Mass.Q) > exact || d.Spoons*0.009 > exact*(1+1e-9) || d.Grams > d.Exact.Mass.Q {
			t.Fatalf("rounded up: %+v", d)
		}
		if b.Share > 0 {
			in := float64(d.PerColony.Mass.Q)
			if p := float64(l.PerColony.Product.Mass.Q); p > 0 && in > p*(1+1e-9) {
				t.Fatalf("%v in one colony, the label allows %v", in, p)
			}
			if l.SeasonMost.Said == Says && in+float64(b.Had.Amount.Mass.Q) > float64(l.SeasonMost.Is.Mass.Q)*(1+1e-9) {
				t.Fatalf("over the season's most: %v", in)
			}
		}
		twice := b
		twice.Volume *= 2
		d2 := must[Dose](t)(l.ForBatch(twice, spoon(t), none))
		near(t, "twice", float64(d2.Exact.Mass.Q), 2*exact, exact*1e-12)
	})
}

// TestDown: never above, never a whole step below.
func TestDown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(0, 1e6).Draw(t, "x")
		step := rapid.SampledFrom([]float64{0.1, 0.25, 1, 1e-3, 1e-4, 3}).Draw(t, "step")
		y := down(x, step)
		if y > x || x-y > step*(1+1e-6) || y < 0 {
			t.Fatalf("%v by %v is %v", x, step, y)
		}
	})
	// 0.3 is three tenths although 0.3/0.1 is a hair less than three.
	near(t, "0.3", down(0.3, 0.1), 0.3, 1e-15)
}

// TestPrinted: the last digit the label prints.
func TestPrinted(t *testing.T) {
	for in, want := range map[string]float64{"2.5 g": 1e-4, "3 g": 1e-3, "0.50 oz": float64(units.Ounce) / 100, "1/2 oz": 0, "1 lb 2 oz": 0, "10 mL": 1e-3} {
		near(t, in, must[Amount](t)(ParseAmount(in, plain)).printed(), want, 1e-15)
	}
	// 2 g a litre, 100.7 L, a scale that shows 0.1 g: the label's own digit is
	// the whole gram, 201, not 201.4. A batch of 3.7 L is weighed as fine as can be.
	l := powder(t)
	l.PerSyrup = must[Rule](t)(ParseRule("2 g per L", plain))
	fine := must[figure.Set](t)(figure.NewSet(Figures()).With(KeyScale, 0.1))
	near(t, "201", float64(must[Dose](t)(l.ForBatch(batch(100.7), Spoon{}, fine)).Grams), 0.201, 1e-12)
	near(t, "7.4", float64(must[Dose](t)(l.ForBatch(batch(3.7), Spoon{}, fine)).Grams), 0.0074, 1e-12)
}

func TestSeason(t *testing.T) {
	l := powder(t)
	l.SeasonMost, l.SeasonTimes = Saying(ByMass(50*units.Gram)), Saying(3)
	b := batch(100)
	b.Share = 10 // 25 g by the label's dose
	b.Had = Spent{ByMass(30 * units.Gram), 1}
	d := must[Dose](t)(l.ForBatch(b, Spoon{}, none))
	if !d.Cut || d.Cautions[2].Code != "dose-cut" {
		t.Errorf("%+v", d)
	}
	near(t, "cut to what is left", float64(d.PerColony.Mass.Q), 0.020, 1e-12)
	near(t, "all of it", float64(d.Exact.Mass.Q), 0.200, 1e-12)
	b.Had.Amount = ByMass(50 * units.Gram)
	if _, err := l.ForBatch(b, Spoon{}, none); !fault.Is(err, fault.Unsafe) {
		t.Errorf("the season's most is given: %v", err)
	}
	b.Had = Spent{Times: 3}
	if _, err := l.ForBatch(b, Spoon{}, none); !fault.Is(err, fault.Unsafe) {
		t.Errorf("three times are three times: %v", err)
	}
	v, limited, err := l.MostSyrup(Spent{Amount: ByMass(30 * units.Gram)}, Spoon{})
	if err != nil || !limited {
		t.Fatal(limited, err)
	}
	near(t, "litres left", float64(v), 8, 1e-9)
	// Grams on one line and millilitres on the other: only with a weighed spoon.
	l.SeasonMost = Saying(ByVolume(0.1))
	b.Had = Spent{}
	if _, err := l.ForBatch(b, Spoon{Holds: 0.015}, none); !fault.Is(err, fault.Missing) {
		t.Errorf("two measures without a weighed spoon: %v", err)
	}
	if d := must[Dose](t)(l.ForBatch(b, spoon(t), none)); d.Cut {
		t.Errorf("100 mL are 60 g, more than 25 g: %+v", d)
	}
	if _, limited, err := powder(t).MostSyrup(Spent{}, Spoon{}); limited || err != nil {
		t.Error("no limit on the label is no limit here", err)
	}
}

func TestKeeping(t *testing.T) {
	l := powder(t)
	day := units.DayOf(2026, 9, 1)
	ok := Pack{Lot: "7", Opened: day, BestBefore: day + 400, Kept: "Dark and dry"}
	if c, err := l.Usable(ok, day+90); err != nil || len(c) != 0 {
		t.Errorf("on the last day: %v %v", c, err)
	}
	if _, err := l.Usable(ok, day+91); !fault.Is(err, fault.Unsafe) {
		t.Errorf("a day late: %v", err)
	}
	old := ok
	old.BestBefore = day
	if _, err := l.Usable(old, day+1); !fault.Is(err, fault.Unsafe) {
		t.Errorf("past its day: %v", err)
	}
	if _, err := l.Usable(ok, day-1); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("before it was opened: %v", err)
	}
	if c, err := l.Usable(Pack{Kept: "in the truck"}, day); err != nil || len(c) != 3 {
		t.Errorf("much not told: %v %v", c, err)
	}
	if last, told, err := l.MixedUntil(day); err != nil || !told || last != day+5 {
		t.Error(last, told, err)
	}
	if _, held, err := l.HoneyFrom(day); held || err != nil {
		t.Error("no medicine holds no honey back", err)
	}
	l.Medicine, l.Authority, l.Withdrawal = Yes, "the vet, prescription 12", Saying(Days(42))
	if from, held, err := l.HoneyFrom(day); err != nil || !held || from != day+43 {
		t.Error(from, held, err)
	}
	if _, _, err := l.HoneyFrom(0); !fault.Is(err, fault.Missing) {
		t.Error(err)
	}
	d := must[Dose](t)(l.ForBatch(batch(10), Spoon{}, none))
	codes := ""
	for _, c := range d.Cautions {
		codes += c.Code + " "
	}
	if codes != "label-law supers-off medicine withdrawal " {
		t.Errorf("cautions: %s", codes)
	}
	if s := d.Cautions[3].String(); !strings.Contains(s, "42 days") {
		t.Errorf("%q", s)
	}
}

func TestStoredLabel(t *testing.T) {
	l := powder(t)
	l.PerColony = must[Rule](t)(ParseRule("1/2 oz per colony", plain))
	l.SeasonMost = Saying(must[Amount](t)(ParseAmount("3 oz", plain)))
	b, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	var back Label
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(back, l) {
		t.Errorf("stored %s\nread %+v\nwas %+v", b, back, l)
	}
	if b, _ := json.Marshal(Label{}); string(b) != "{}" {
		t.Errorf("an empty label is %s", b)
	}
}

func TestParseRule(t *testing.T) {
	for in, want := range map[string]string{
		"2.5 g per L": "2.5 g per 1 L", "2,5g/L": "2.5 g per 1 L", "5 mL per 10 L": "5 mL per 10 L", "1/2 oz/gal": "1/2 oz per 1 US gal", "4 g per colony": "4 g per colony",
		"4 g/hive": "4 g per colony", " 10 mL / 5 US gal ": "10 mL per 5 US gal", "1 lb per 100 gal": "1 lb per 100 US gal",
	} {
		r, err := ParseRule(in, plain)
		if err != nil {
			t.Errorf("%q: %v", in, err)
			continue
		}
		got := r.String()
		if again, err := ParseRule(got, plain); err != nil || again != r {
			t.Errorf("%q is %q, reads back as %+v, %v", in, got, again, err)
		}
		// Litres are the inside unit and may be written bare.
		if got != want {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
	for in, kind := range map[string]fault.Kind{
		"": fault.NotUnderstood, "5 g": fault.NotUnderstood, "1 tsp per gal": fault.NotUnderstood, "2 tablespoons/gal": fault.NotUnderstood, "one scoop": fault.NotUnderstood,
		"5/10 L": fault.NotUnderstood, "0 g per L": fault.OutOfRange, "5 g per ": fault.NotUnderstood, "5 g per 0 L": fault.NotUnderstood, "5 g per kg": fault.NotUnderstood,
		"-5 g per L": fault.OutOfRange,
	} {
		if _, err := ParseRule(in, plain); !fault.Is(err, kind) || fault.HintOf(err) == "" {
			t.Errorf("%q: %v is not %v", in, err, kind)
		}
	}
}

// FuzzParseRule: what is read reads back from its own words, and every refusal
// has a kind and a hint.
func FuzzParseRule(f *testing.F) {
	for _, s := range []string{"2.5 g per L", "2,5g/L", "1/2 oz/gal", "4 g per colony", "1 tsp per gal", "5/10 L", "", "\xff per L", "1 lb 2 oz per 1 gal 2 qt", "5 g per per L", "½ oz per ½ gal"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRule(s, plain)
		if err != nil {
			if fault.KindOf(err) == fault.Internal || fault.HintOf(err) == "" {
				t.Fatalf("%q: %v without kind or hint", s, err)
			}
			return
		}
		if again, err := ParseRule(r.String(), plain); err != nil || again != r {
			t.Fatalf("%q is %q, reads back as %+v, %v", s, r, again, err)
		}
		if p := r.Product.printed(); !(p >= 0) || p > r.Product.q()*(1+1e-9)*10 {
			t.Fatalf("%q: last digit %v of %v", s, p, r.Product.q())
		}
	})
}

func TestFigures(t *testing.T) {
	for _, f := range Figures() {
		if !strings.HasPrefix(f.Key, "supplement.") || f.Name == "" || f.Unit == "" || f.Source == "" || !f.InRange(f.Value) {
			t.Errorf("%+v", f)
		}
	}
}
