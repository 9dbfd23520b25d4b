package web

import (
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// ProductBox is the choice of what goes into the batch besides sugar.
func (p *mixPage) ProductBox() Field {
	o := []Option{{"", p.T("mix.product.none")}}
	for _, l := range p.Labels {
		o = append(o, Option{l, l})
	}
	return p.Choose("product", "mix.product", p.Typed["product"], "", o)
}

// dose works out the product for the batch of the card, if one was chosen. It
// counts with the strength that was read, where it was.
func (s *Server) dose(p *mixPage) {
	if p.Typed["product"] == "" {
		return
	}
	share, ok := read(p, "share", p.S.VolumeCol().Unit, units.ParseVolumeIn)
	if !ok {
		return
	}
	b := p.Card.Batch("", p.Check)
	s.house.view(func(st *season.State, at units.Moment) {
		d := st.Dose(season.DoseAsk{Product: p.Typed["product"], Volume: b.Volume.Q, Strength: b.Strength, Share: share.Q}, at)
		p.Dose = &d
	})
}

// doseDown carries the dose into what is written down.
func (p *mixPage) doseDown() {
	if p.Dose != nil && len(p.Dose.Locked) == 0 {
		p.Batch.Product, p.Batch.Dose, p.Batch.DoseLot = p.Dose.Label.Product, p.DoseFigure(), p.Dose.Lot
	}
}

// DoseFigure is what to weigh or measure out: grams, wherever they are known.
func (p *mixPage) DoseFigure() string { return p.Dose.Amount(p.S) }

// DoseSpoons is the same in the keeper's spoon; "" until it has been weighed.
func (p *mixPage) DoseSpoons() string {
	if len(p.Dose.Locked) > 0 || p.Dose.SpoonsErr != nil {
		return ""
	}
	return p.T("mix.dose.spoons", "Count", p.S.Num(p.Dose.Spoons, 2))
}

// DoseSays is what to do, or why there is no dose.
func (p *mixPage) DoseSays() string {
	d := p.Dose
	var out []string
	say := func(words string, amounts []any) { out = append(out, p.sc.texts.sentence(p.S, words, amounts)) }
	if len(d.Locked) > 0 {
		out = append(out, p.T("mix.dose.locked"))
		for _, e := range d.Locked {
			say(e.Error(), nil)
			if h := fault.HintOf(e); h != "" {
				say(h, nil)
			}
		}
		return strings.Join(out, ". ") + "."
	}
	for _, s := range d.Steps {
		if s.Code != "weigh" && s.Code != "measure" { // the figure says it
			say(s.Say, s.Amounts)
		}
	}
	for _, r := range d.Reminders() {
		say(r.Say, r.Amounts)
	}
	if d.SpoonsErr != nil {
		say(d.SpoonsErr.Error(), nil)
	}
	for _, c := range d.Cautions {
		if c.Code != "label-law" && c.Code != "supers-off" { // stand as cautions of the step
			say(c.Say, c.Amounts)
		}
	}
	return strings.Join(out, ". ") + "."
}
