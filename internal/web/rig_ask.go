package web

import (
	"strings"

	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

// rigAsks are the boxes of the question each page asks, beside how the rig is
// built.
var rigAsks = map[string][]string{
	"tank": {"dip", "holds", "nose", "left"}, "hose": {"at", "strength", "fill"}, "wire": {}, "heat": {"make", "start", "want", "air"},
	"truck": {"syrup"}, "lift": {"weight", "out", "from", "to", "twist", "per_min", "hives", "rounds", "each"},
}

// asks makes the boxes of the question.
func (p *rigPage) asks() {
	for _, k := range rigAsks[p.Part] {
		p.Ask = append(p.Ask, p.Field(k, "rig.ask."+k, p.Asked(k), "", "short"))
	}
}

// boxed reads one box of the question; an empty one is not told.
func boxed[Q any](p *rigPage, name, unit string, parse func(string, string, units.Locale) (Q, error)) syrup.Maybe[Q] {
	text := p.Asked(name)
	if text == "" {
		return syrup.Maybe[Q]{}
	}
	v, err := parse(text, unit, p.S.Locale())
	if err != nil {
		p.bad(name, err)
		return syrup.Maybe[Q]{}
	}
	return syrup.Told(v)
}

// number reads a plain number.
func (p *rigPage) number(name string) syrup.Maybe[float64] {
	return boxed(p, name, "", func(s, _ string, l units.Locale) (float64, error) { return season.ReadNumber(s, l) })
}

func (p *rigPage) bad(field string, err error) {
	p.Trouble = append(p.Trouble, p.says(err, field))
}

// says puts an error into words.
func (p *rigPage) says(err error, field string) Trouble {
	say, hint := faultWords(err)
	return Trouble{Field: field, Say: p.sc.texts.sentence(p.S, say, nil), Hint: p.sc.texts.sentence(p.S, hint, nil)}
}

func (p *rigPage) smallUnit() string {
	if p.S.System == units.Metric {
		return "cm"
	}
	return "in"
}

func (p *rigPage) degrees() string { return strings.TrimPrefix(p.S.TempCol().Unit, "°") }

func (p *rigPage) dipAsk() season.DipAsk {
	return season.DipAsk{Dip: boxed(p, "dip", p.smallUnit(), units.ParseLengthIn), Holds: boxed(p, "holds", p.S.VolumeCol().Unit, units.ParseVolumeIn).Q,
		Nose: rig.Angle(p.number("nose").Q), Left: rig.Angle(p.number("left").Q)}
}

func (p *rigPage) flowAsk() season.FlowAsk {
	a := season.FlowAsk{Temp: boxed(p, "at", p.degrees(), units.ParseTempIn), Strength: boxed(p, "strength", "%", units.ParseStrengthIn).Q}
	if v := boxed(p, "fill", p.S.VolumeSmallCol().Unit, units.ParseVolumeIn); v.Told {
		a.Fills = []units.Volume{v.Q}
	}
	return a
}

func (p *rigPage) heatAsk() season.HeatAsk {
	return season.HeatAsk{Volume: boxed(p, "make", p.S.VolumeCol().Unit, units.ParseVolumeIn).Q, From: boxed(p, "start", p.degrees(), units.ParseTempIn),
		To: boxed(p, "want", p.degrees(), units.ParseTempIn), Air: boxed(p, "air", p.degrees(), units.ParseTempIn)}
}

// liftAsk reads one lift; told is false where no weight was typed.
func (p *rigPage) liftAsk() (l rig.Lift, told bool) {
	w := boxed(p, "weight", p.S.MassCol().Unit, units.ParseMassIn)
	l = rig.Lift{Load: w.Q, Out: boxed(p, "out", p.smallUnit(), units.ParseLengthIn).Or(0.40), From: boxed(p, "from", p.smallUnit(), units.ParseLengthIn).Or(0.30),
		Twist: rig.Angle(p.number("twist").Q), PerMin: p.number("per_min").Or(1), For: units.Hour, Rest: units.Hour, Grip: rig.Fair,
		PartFilled: p.Asked("open") != "", Carried: p.Asked("carried") != "", OneHand: p.Asked("one_hand") != ""}
	l.To = boxed(p, "to", p.smallUnit(), units.ParseLengthIn).Or(l.From)
	return l, w.Told
}

// LiftTicks are what the lifting equation does not hold for.
func (p *rigPage) LiftTicks() []string {
	if p.Part != "lift" {
		return nil
	}
	return []string{"open", "carried", "one_hand"}
}

func (p *rigPage) wayAsk() season.WayAsk {
	return season.WayAsk{Hives: int(p.number("hives").Q), Rounds: int(p.number("rounds").Q), PerHive: boxed(p, "each", p.S.VolumeCol().Unit, units.ParseVolumeIn).Q}
}
