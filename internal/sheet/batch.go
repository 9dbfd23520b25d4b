package sheet

import (
	"math"
	"strconv"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

// BatchCard makes the card of batch n of the plan, counted from 1: the steps of
// the mixing in order, each with its box and its caution, what to add if the
// refractometer says otherwise, and a label for the tank to cut out. Faults:
// fault.NotFound, fault.Missing without a plan.
func BatchCard(s *Source, n int) (Doc, error) {
	if s.Plan == nil {
		return Doc{}, s.noPlan()
	}
	if n < 1 || n > len(s.Plan.Batches) {
		return Doc{}, fault.Newf(fault.NotFound, "batch", "there is no batch %d in this plan", n)
	}
	b := &s.Plan.Batches[n-1]
	figs := s.Plan.Problem.Figures
	hot := units.Temp(figs.V(syrup.KeyMixMax))
	m, err := syrup.Mix(syrup.MixRequest{Strength: s.Plan.Strength, Make: b.Syrup, WaterTemp: syrup.Told(hot), Figures: figs})
	if err != nil {
		return Doc{}, err
	}
	st := s.Style
	d := s.doc("batch", s.T("sheets.batch.name", "No", n))
	d.When = s.T("sheets.batch.ready", "Day", st.DayYear(b.Day))
	d.Code = code(s.T("sheets.batch.letter"), "batch", strconv.Itoa(n), b.Day.String(), b.Syrup.String(), s.Plan.Strength.String())
	d.File = FileName("batch", strconv.Itoa(n), b.Day.String())
	d.Head = []Field{s.field("makes", s.rounded(st.VolumeBig(b.Syrup))), s.field("syrup", st.StrengthFull(s.Plan.Strength)),
		s.field("sugar", st.Mass(b.Sugar)), s.field("water", st.VolumeBig(b.Water))}
	keep, err := s.keeps(figs)
	if err != nil {
		return Doc{}, err
	}
	corrections, err := s.corrections(b, figs)
	if err != nil {
		return Doc{}, err
	}
	d.Parts = []Part{s.steps(b, &m, hot, units.Temp(figs.V(syrup.KeyScald)), keep), corrections, Picture{s.tankLabel(n, b), 120}}
	d.Foot = []string{s.T("sheets.batch.home", "Code", d.Code)}
	return d, nil
}

// keeps says how long the syrup keeps, as far as the trade has a figure.
func (s *Source) keeps(figs figure.Set) (string, error) {
	k, err := syrup.Keep(syrup.KeepRequest{Strength: s.Plan.Strength, At: 10, HotMade: true, Figures: figs})
	if err != nil {
		return "", err
	}
	if !k.Known {
		return s.T("sheets.batch.keep.unknown"), nil
	}
	return s.T("sheets.batch.keep", "Least", s.Style.Duration(k.Least), "Most", s.Style.Duration(k.Most)), nil
}

// steps is the order of work. A caution stands before the step it belongs to.
func (s *Source) steps(b *feeding.Batch, m *syrup.Mixing, hot, scald units.Temp, keep string) Table {
	st := s.Style
	t := Table{Least: 8.4, Cols: []Col{
		{Head: s.T("sheets.col.done"), Kind: Check, Wide: 14},
		{Head: s.T("sheets.col.step"), Share: 3},
		{Head: s.T("sheets.col.amount"), Kind: Number, Big: true, Fit: true, Wide: 24, Most: 44},
		{Head: s.T("sheets.col.wrote"), Kind: Blank, Wide: 40},
	}}
	step := func(say, small, amount string) {
		num, unit := split(amount)
		t.Rows = append(t.Rows, Row{Cells: []Cell{{}, {Say: say, Small: small}, {Say: num, Unit: unit}, {}}})
	}
	caution := func(keys ...string) { t.Rows = append(t.Rows, Row{Cautions: s.cautions(keys...)}) }
	step(s.T("sheets.step.weigh"), s.inSacks(b.Sugar), st.Mass(b.Sugar))
	step(s.T("sheets.step.water"), s.T("sheets.step.water.mass", "Mass", st.MassSmall(m.WaterMass)), st.VolumeBig(b.Water))
	caution("mains", "scald", "fumes")
	step(s.T("sheets.step.heat"), s.mixComesTo(m), st.Temp(hot))
	step(s.T("sheets.step.stir"), s.T("sheets.step.stir.how"), "")
	step(s.T("sheets.step.check"), s.T("sheets.step.check.how"), st.Strength(s.Plan.Strength))
	step(s.T("sheets.step.correct"), s.T("sheets.step.correct.how"), "")
	step(s.T("sheets.step.cool"), s.grains(m), st.Temp(scald))
	caution("label")
	s.doses(b, step)
	step(s.T("sheets.step.label"), keep, "")
	return t
}

// doses puts a line for each product whose label the keeper has copied, with the
// amount for this batch should it go in; without a label there is room to write.
// Nothing is recommended: which of them goes in, if any, is the keeper's to say.
func (s *Source) doses(b *feeding.Batch, step func(say, small, amount string)) {
	labels := s.State.Labels()
	if len(labels) == 0 {
		step(s.T("sheets.step.dose"), s.T("sheets.step.dose.how"), "")
		return
	}
	share := min(s.Plan.MostGiven(), b.Syrup) // the most that one colony can get of it
	for _, l := range labels {
		c := s.State.Dose(season.DoseAsk{Product: l.Product, Volume: b.Syrup, Strength: s.Plan.Strength, Share: share}, s.At)
		how := s.T("sheets.step.dose.how")
		switch {
		case len(c.Locked) > 0:
			how = s.T("sheets.step.dose.locked")
		case c.HasCarrier && c.Lot != "":
			how = s.T("sheets.step.dose.both", "Water", s.Style.VolumeSmall(c.Carrier), "Lot", c.Lot)
		case c.HasCarrier:
			how = s.T("sheets.step.dose.water", "Water", s.Style.VolumeSmall(c.Carrier))
		case c.Lot != "":
			how = s.T("sheets.step.dose.lot", "Lot", c.Lot)
		}
		step(s.T("sheets.step.dose.product", "Product", l.Product), how, c.Amount(s.Style))
	}
}

// inSacks says an amount of sugar in whole sacks and the rest.
func (s *Source) inSacks(m units.Mass) string {
	sack := s.sack()
	n := math.Floor(float64(m/sack) + 1e-9)
	rest := m - units.Mass(n)*sack
	if n == 0 {
		return ""
	}
	return s.T("sheets.step.sacks", "N", int(n), "Sack", s.Style.Mass(sack), "Rest", s.Style.Mass(max(0, rest)))
}

func (s *Source) mixComesTo(m *syrup.Mixing) string {
	if !m.MixTemp.Known {
		return ""
	}
	return s.T("sheets.step.heat.mix", "Temp", s.Style.Temp(units.Temp(m.MixTemp.Mean)), "Sugar", s.Style.Temp(15))
}

func (s *Source) grains(m *syrup.Mixing) string {
	if !m.Crystals {
		return s.T("sheets.step.cool.how")
	}
	return s.T("sheets.step.cool.grain", "Temp", s.Style.Temp(m.CrystalAt), "Give", s.Style.TempDiff(units.Temp(m.CrystalSD)))
}

// corrections tells what to add for what the refractometer reads, so that
// nobody has to work it out beside a hot tank.
func (s *Source) corrections(b *feeding.Batch, figs figure.Set) (Table, error) {
	st := s.Style
	t := Table{Caption: s.T("sheets.correct"), Least: 5.4, Cols: []Col{
		{Head: s.T("sheets.correct.reads"), Kind: Number, Wide: 26},
		{Head: s.T("sheets.correct.sugar"), Kind: Number, Wide: 34},
		{Head: s.T("sheets.correct.water"), Kind: Number, Wide: 34},
		{Head: s.T("sheets.correct.makes"), Kind: Number, Wide: 34},
		{Head: s.T("sheets.correct.added"), Kind: Blank},
	}}
	// Whole percents, as a scale has them: what is printed is what is reckoned with.
	near := math.Floor(s.Plan.Strength.Brix())
	for off := -2.0; off <= 3; off++ {
		reads := units.Strength((near + off) / 100)
		if reads <= 0 || reads > 0.76 || math.Abs(float64(reads-s.Plan.Strength)) < 0.001 {
			continue
		}
		c, err := syrup.Correct(syrup.CorrectRequest{Have: b.Syrup, Reads: reads, Want: s.Plan.Strength, Meter: syrup.ATC, Figures: figs})
		if err != nil {
			return Table{}, err
		}
		sugar, water := "0", "0"
		if c.AddSugar > 0 {
			sugar = st.MassSmall(c.AddSugar)
		}
		if c.AddWater > 0 {
			water = st.Volume(c.AddWater)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: st.Strength(reads)}, {Say: sugar}, {Say: water}, {Say: st.VolumeBig(c.Final)}, {}}})
	}
	return t, nil
}

// tankLabel is cut out and stuck on the tank: what is in it and since when.
func (s *Source) tankLabel(n int, b *feeding.Batch) Drawing {
	const w, h = 120, 41
	d := Drawing{W: w, H: h, Unit: MM, Title: s.T("sheets.tank.title", "No", n)}
	d.Add(Rect{Box: Box{0.5, 0.5, w - 1, h - 1}, Pen: Pen{Width: 0.3, Dash: Dashed}},
		Text{X: 6, Y: 11, Say: s.T("sheets.tank.syrup", "Strength", s.Style.StrengthFull(s.Plan.Strength)), Size: 7, Bold: true},
		Text{X: 6, Y: 18, Say: s.T("sheets.tank.batch", "No", n, "Day", s.Style.DayYear(b.Day)), Size: 4.5})
	for i, key := range []string{"sheets.tank.mixed", "sheets.tank.by", "sheets.tank.lot"} {
		y := 25 + 6.7*float64(i)
		say := s.T(key)
		d.Add(Text{X: 6, Y: y, Say: say, Size: 4}, Line{8 + width(say, 4/mmPerPt, false), y + 1, w - 6, y + 1, Pen{Width: 0.25}})
	}
	return d
}
