package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

// mixFields are the boxes of the recipe, carried from step to step.
var mixFields = []string{"strength", "by", "how", "make", "sugar", "sacks", "sack", "bulk", "sugar_at", "water_at", "want", "low", "power", "product", "share"}

// checkFields are the boxes of the check.
var checkFields = []string{"reads", "read_at", "meter", "have"}

type mixPage struct {
	Base
	Other   units.Style       // the second line, in the other system
	Typed   map[string]string // as typed, or what stands for it
	Card    *season.MixCard   // nil = there is nothing to mix, or it cannot be worked out
	Next    *feeding.Batch    // of the plan, nil = none to come
	NotPlan bool              // no plan could be made
	Enough  bool              // there is a plan, and all of its syrup is mixed
	Store   season.MixedStore // what is mixed already
	Check   *season.BatchCheck
	Blend   *syrup.Blending
	Dose    *season.DoseCard // nil = no product is to go in
	Labels  []string         // products with a label
	Batch   batchForm
	Query   string // of the recipe, for links to the steps
}

// batchForm is what is written down of a batch, as typed.
type batchForm struct{ ID, Day, Volume, Strength, Sugar, Water, Lots, Temp, Note, Product, Dose, DoseLot string }

// Strengths are those offered; any other may be typed.
func (mixPage) Strengths() []string {
	return []string{"2:1", "5:3", "3:2", "1:1", "66.7 %", "62.5 %", "60 %", "50 %"}
}

// Box is one box of the forms.
func (p *mixPage) Box(name, class string) Field {
	return p.Field(name, "mix."+name, p.Typed[name], "", class)
}

// Carried lists the boxes that go with a form of the page.
func (mixPage) Carried() []string { return mixFields }

// MeterBox is the choice of what the strength was read with.
func (p *mixPage) MeterBox() Field {
	var o []Option
	for _, m := range []syrup.Meter{syrup.ATC, syrup.Refractometer, syrup.BrixHydrometer} {
		o = append(o, Option{string(m), p.T("meter." + string(m))})
	}
	return p.Choose("meter", "mix.meter", p.Typed["meter"], "", o)
}

// Hows lists the ways to say how much.
func (mixPage) Hows() []string { return []string{"make", "sacks", "sugar"} }

// Is tells whether a choice was made.
func (p *mixPage) Is(field, value string) bool { return p.Typed[field] == value }

// mix works out a batch: by what was asked for, else by the next batch of the
// plan.
func (s *Server) mix(w http.ResponseWriter, r *http.Request) {
	p := s.mixPageOf(r, r.URL.Query())
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "mix", p)
}

// mixPageOf reads the forms of q and works out what they ask.
func (s *Server) mixPageOf(r *http.Request, q url.Values) *mixPage {
	p := &mixPage{Base: s.base(r, "mix", "title.mix"), Typed: map[string]string{}}
	p.Other = units.Style{System: units.Metric, Decimal: p.S.Decimal, Lang: p.S.Lang}
	if p.S.System == units.Metric {
		p.Other.System = units.US
	}
	for _, k := range slices.Concat(mixFields, checkFields, []string{"strong", "weak", "blend_want", "blend_make"}) {
		p.Typed[k] = strings.TrimSpace(q.Get(k))
	}
	plan, err := s.planFor(nil, nil)
	if err != nil {
		plan, p.NotPlan = nil, true
	}
	var mixer units.Volume
	var sack units.Mass
	var next string
	s.house.view(func(st *season.State, at units.Moment) {
		if b, ok := season.NextBatch(plan, at); ok {
			p.Next = &b
		}
		p.Enough = plan != nil && len(plan.Loads) > 0 && p.Next == nil
		p.Store = st.MixedStore(at)
		if p.Typed["strength"] == "" {
			p.Typed["strength"] = st.Settings.Strength
		}
		for _, l := range st.Labels() {
			p.Labels = append(p.Labels, l.Product)
		}
		mixer, sack, next = st.Settings.Mixer, st.Sack(), st.NextBatchID(at.Day())
	})
	s.defaults(p, q, mixer, sack)
	ask, told := p.ask()
	if told && len(p.Trouble) == 0 {
		s.work(p, ask)
	}
	p.blend()
	v := url.Values{}
	for _, k := range mixFields {
		if p.Typed[k] != "" {
			v.Set(k, p.Typed[k])
		}
	}
	if p.Check != nil { // what was read goes along, so that what is written down is what is in the tank
		for _, k := range checkFields {
			v.Set(k, p.Typed[k])
		}
	}
	p.Query = v.Encode()
	if p.Card != nil {
		s.dose(p)
		b := p.Card.Batch(next, p.Check)
		p.Batch = batchForm{ID: b.ID, Day: p.Facts.Day().String(), Volume: p.S.VolumeBig(b.Volume.Q), Strength: p.S.Strength(b.Strength),
			Sugar: p.S.MassSmall(b.Sugar.Q), Water: p.S.Volume(b.Water.Q)}
		p.doseDown()
		if p.Typed["have"] == "" {
			p.Typed["have"] = p.S.VolumeBig(p.Card.Syrup)
		}
	}
	return p
}

// defaults fills in what was not said: the amount of the plan's next batch, and
// without one nothing, unless it is to be mixed anyway.
func (s *Server) defaults(p *mixPage, q url.Values, mixer units.Volume, sack units.Mass) {
	if p.Typed["by"] != "volume" {
		p.Typed["by"] = "weight"
		if strings.Contains(p.Typed["strength"], "volume") {
			p.Typed["by"] = "volume"
		}
	}
	for _, by := range []string{" by weight", " by volume"} {
		p.Typed["strength"] = strings.TrimSuffix(p.Typed["strength"], by)
	}
	if !slices.Contains(p.Hows(), p.Typed["how"]) {
		p.Typed["how"] = "make"
	}
	if p.Typed["make"] == "" && p.Typed["how"] == "make" {
		switch {
		case p.Next != nil:
			p.Typed["make"] = p.S.VolumeBig(p.Next.Syrup)
		case q.Has("anyway") && mixer > 0:
			p.Typed["make"] = p.S.VolumeBig(mixer)
		case q.Has("anyway"):
			p.Typed["make"] = p.S.VolumeBig(10 * units.USGallon)
		}
	}
	if p.Typed["sack"] == "" {
		p.Typed["sack"] = p.S.Mass(sack)
	}
	if p.Typed["meter"] == "" {
		p.Typed["meter"] = string(syrup.ATC)
	}
}

// read reads one box; an empty one is not told.
func read[Q any](p *mixPage, field, unit string, parse func(string, string, units.Locale) (Q, error)) (syrup.Maybe[Q], bool) {
	text := p.Typed[field]
	if text == "" {
		return syrup.Maybe[Q]{}, true
	}
	v, err := parse(text, unit, p.S.Locale())
	if err != nil {
		p.bad(field, err)
		return syrup.Maybe[Q]{}, false
	}
	return syrup.Told(v), true
}

func (p *mixPage) bad(field string, err error) {
	p.Trouble = append(p.Trouble, Trouble{Field: field, Say: p.sc.texts.sentence(p.S, err.Error(), nil), Hint: p.sc.texts.sentence(p.S, fault.HintOf(err), nil)})
}

// ask reads the recipe. told is false when it does not say how much.
func (p *mixPage) ask() (a season.MixAsk, told bool) {
	litres, lb, deg := p.S.VolumeCol().Unit, p.S.MassCol().Unit, strings.TrimPrefix(p.S.TempCol().Unit, "°")
	a = season.MixAsk{Strength: p.Typed["strength"], Locale: p.S.Locale()}
	if strings.Contains(a.Strength, ":") {
		a.Strength += " by " + p.Typed["by"]
	}
	switch p.Typed["how"] {
	case "make":
		v, _ := read(p, "make", litres, units.ParseVolumeIn)
		a.Make = v.Q
		told = p.Typed["make"] != ""
	case "sugar":
		m, _ := read(p, "sugar", lb, units.ParseMassIn)
		a.Sugar = m.Q
		told = p.Typed["sugar"] != ""
	case "sacks":
		n, _ := read(p, "sacks", "", func(s, _ string, l units.Locale) (float64, error) { return season.ReadNumber(s, l) })
		m, _ := read(p, "sack", lb, units.ParseMassIn)
		a.Sacks, a.Sack = n.Q, m.Q
		told = p.Typed["sacks"] != ""
	}
	bulk, _ := read(p, "bulk", "kg/L", units.ParseDensityIn)
	a.Bulk = bulk.Q
	a.Sugars, _ = read(p, "sugar_at", deg, units.ParseTempIn)
	a.Water, _ = read(p, "water_at", deg, units.ParseTempIn)
	a.Want, _ = read(p, "want", deg, units.ParseTempIn)
	a.Low, _ = read(p, "low", deg, units.ParseTempIn)
	power, _ := read(p, "power", "kW", units.ParsePowerIn)
	a.Power = power.Q
	return a, told
}

// work works out the card and, if it was read, the check.
func (s *Server) work(p *mixPage, ask season.MixAsk) {
	reads, ok1 := read(p, "reads", "%", units.ParseStrengthIn)
	at, ok2 := read(p, "read_at", strings.TrimPrefix(p.S.TempCol().Unit, "°"), units.ParseTempIn)
	have, ok3 := read(p, "have", p.S.VolumeCol().Unit, units.ParseVolumeIn)
	s.house.view(func(st *season.State, moment units.Moment) {
		card, err := st.MixCard(ask, moment)
		if err != nil {
			p.bad(p.Typed["how"], err)
			return
		}
		p.Card = &card
		if !reads.Told || !ok1 || !ok2 || !ok3 {
			return
		}
		if !have.Told {
			have.Q = card.Syrup
		}
		c, err := st.CheckBatch(have.Q, reads.Q, card.Strength, at, syrup.Meter(p.Typed["meter"]))
		if err != nil {
			p.bad("reads", err)
			return
		}
		p.Check = &c
	})
}

// blend works out the two syrups of the form for joining, when it is filled in.
func (p *mixPage) blend() {
	if p.Typed["strong"] == "" && p.Typed["weak"] == "" {
		return
	}
	strong, ok1 := read(p, "strong", "%", units.ParseStrengthIn)
	weak, ok2 := read(p, "weak", "%", units.ParseStrengthIn)
	want, ok3 := read(p, "blend_want", "%", units.ParseStrengthIn)
	volume, ok4 := read(p, "blend_make", p.S.VolumeCol().Unit, units.ParseVolumeIn)
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return
	}
	b, err := syrup.Blend(syrup.BlendRequest{Strong: strong.Q, Weak: weak.Q, Want: want.Q, Make: volume.Q})
	if err != nil {
		p.bad("strong", err)
		return
	}
	p.Blend = &b
}

// mixStep is one step of the batch card.
type mixStep struct {
	N, Of    int
	Code     string
	Title    string
	Figure   string // what to measure, large
	Other    string // the same in the other system
	Say      string
	Cautions []Caution
	Link     string // of the step on a page of its own
}

// Steps lists the steps of the card, in the order of the hands.
func (p *mixPage) Steps() []mixStep {
	if p.Card == nil {
		return nil
	}
	c := p.Card
	add := func(l []mixStep, code, figure, other, say string, cautions ...string) []mixStep {
		x := mixStep{Code: code, Title: p.T("mix.step." + code), Figure: figure, Other: other, Say: say}
		for _, k := range cautions {
			x.Cautions = append(x.Cautions, p.Caution("caution."+k))
		}
		return append(l, x)
	}
	var l []mixStep
	l = add(l, "water", p.S.Volume(c.Water), p.Other.Volume(c.Water), p.T("mix.say.water", "Mass", p.S.MassSmall(c.WaterMass)))
	if c.WaterNeed.Told || c.Heat.Told {
		figure, say := p.S.Temp(c.Want.Q), p.T("mix.say.heatmix", "Want", p.S.Temp(c.Want.Q))
		other := p.Other.Temp(c.Want.Q)
		if c.WaterNeed.Told {
			figure, other = p.S.Temp(c.WaterNeed.Q), p.Other.Temp(c.WaterNeed.Q)
			say = p.T("mix.say.heat", "Want", p.S.Temp(c.Want.Q))
		}
		if c.Heat.Told {
			say += " " + p.T("mix.say.energy", "Energy", p.S.Energy(c.Heat.Q.Energy))
			if c.Heat.Q.Time > 0 {
				say += " " + p.T("mix.say.time", "Time", p.S.Duration(c.Heat.Q.Time))
			}
		}
		l = add(l, "heat", figure, other, say, "mains", "scald", "fumes")
	}
	sacks := ""
	if c.Sacks > 0 {
		sacks = p.T("mix.say.sacks", "Sacks", p.S.Num(c.Sacks, 1), "Sack", p.Typed["sack"]) + " "
	}
	l = add(l, "sugar", p.S.MassSmall(c.Sugar), p.Other.MassSmall(c.Sugar), sacks+p.T("mix.say.sugar"), "lift")
	l = add(l, "stir", "", "", p.T("mix.say.stir"), "noboil")
	l = add(l, "check", p.S.Strength(c.Strength), "", p.T("mix.say.check"))
	l = add(l, "cool", p.S.VolumeBig(c.Syrup), p.Other.VolumeBig(c.Syrup), p.T("mix.say.cool", "Id", p.Batch.ID, "Strength", p.S.Strength(c.Strength), "Day", p.S.Date(p.Facts.Day())), "hot")
	if p.Dose != nil {
		l = add(l, "dose", p.DoseFigure(), p.DoseSpoons(), p.DoseSays(), "label", "supers")
	}
	l = add(l, "write", "", "", p.T("mix.say.write"))
	for i := range l {
		l[i].N, l[i].Of = i+1, len(l)
		l[i].Link = "/mix/step/" + strconv.Itoa(i+1) + "?" + p.Query
	}
	return l
}

// CheckSays puts the check into words.
func (p *mixPage) CheckSays() string {
	c := p.Check
	x := c.Correct
	switch {
	case c.Right:
		return p.T("mix.check.right", "True", p.S.Strength(c.True))
	case x.AddSugar > 0:
		return p.T("mix.check.sugar", "True", p.S.Strength(c.True), "Mass", p.S.MassPM(x.AddSugar, x.SugarSD), "Final", p.S.VolumeBig(x.Final))
	}
	return p.T("mix.check.water", "True", p.S.Strength(c.True), "Volume", p.S.VolumePM(x.AddWater, x.WaterSD), "Final", p.S.VolumeBig(x.Final))
}

// Adds tells what the temperature of the reading changed, "" for nothing.
func (p *mixPage) Adds() string {
	if p.Check.Adds == 0 {
		return ""
	}
	return p.T("mix.check.adds", "Adds", p.S.Num(p.Check.Adds.Brix(), 1))
}

// ColdSays tells the coming low and where it is from.
func (p *mixPage) ColdSays() string {
	c := p.Card.Cold
	switch {
	case !c.Known:
		return p.T("mix.cold.unknown")
	case c.Day != 0:
		return p.T("mix.cold.forecast", "Temp", p.S.Temp(c.Temp), "Day", p.S.Day(c.Day))
	case c.Years > 0:
		return p.T("mix.cold.years", "N", c.Years, "Temp", p.S.Temp(c.Temp), "Until", p.S.Date(c.Until))
	}
	return p.T("mix.cold.typed", "Temp", p.S.Temp(c.Temp))
}
