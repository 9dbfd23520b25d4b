package web

import (
	"errors"
	"math"
	"strconv"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// work works one part out.
func (p *rigPage) work(st *season.State) {
	var err error
	switch p.Part {
	case "tank":
		err = p.workTank(st)
	case "hose":
		err = p.workHose(st)
	case "wire":
		err = p.workWire(st)
	case "heat":
		err = p.workHeat(st)
	case "truck":
		err = p.workTruck(st)
	case "lift":
		err = p.workLift(st)
	}
	if err == nil || len(p.Trouble) > 0 {
		return
	}
	say := p.says(err, "")
	if fault.Is(err, fault.Missing) {
		p.Lacks = &say
	} else {
		p.Refused = &say
	}
}

// faultWords takes a fault apart into its sentence and its hint.
func faultWords(err error) (say, hint string) {
	var e *fault.Error
	if errors.As(err, &e) {
		return e.Say, e.Hint
	}
	return err.Error(), ""
}

func (p *rigPage) line(key, say string) { p.Lines = append(p.Lines, rigLine{p.T(key), say}) }

func (p *rigPage) caution(keys ...string) {
	for _, k := range keys {
		p.Cautions = append(p.Cautions, p.Caution("caution."+k))
	}
}

func (p *rigPage) workTank(st *season.State) error {
	d, err := st.TankDip(p.dipAsk())
	if err != nil {
		return err
	}
	s := p.S
	side := sheet.TankSide{Tank: d.Tank, Depth: d.Depth, Level: -1}
	switch {
	case d.Told:
		p.Big = s.VolumePM(units.Volume(d.Contents.Mean), units.Volume(d.Contents.SD))
		p.Lead = p.T("rig.tank.lead", "Part", s.Percent(d.Part), "Out", s.VolumeBig(d.Out))
		side.Level, side.Says = d.Level, s.VolumeBig(units.Volume(d.Contents.Mean))
		side.Title = p.T("rig.tank.title", "Volume", s.VolumeBig(units.Volume(d.Contents.Mean)), "Dip", s.Length(d.Level))
	case d.DipFor.Told:
		p.Big = s.Length(d.DipFor.Q)
		p.Lead = p.T("rig.tank.dipfor", "Volume", s.VolumeBig(d.Holds))
		side.Level, side.Says = d.DipFor.Q, s.VolumeBig(d.Holds)
		side.Title = p.T("rig.tank.title", "Volume", s.VolumeBig(d.Holds), "Dip", s.Length(d.DipFor.Q))
	default:
		p.Big = s.VolumeBig(d.Usable)
		p.Lead = p.T("rig.tank.usable")
		side.Title = p.T("rig.tank.empty")
	}
	if d.Told && d.DipFor.Told {
		p.line("rig.tank.for", s.VolumeBig(d.Holds)+": "+s.Length(d.DipFor.Q))
	}
	p.line("rig.tank.full", p.T("rig.tank.fullat", "Volume", s.VolumeBig(d.Full), "Dip", s.Length(d.Depth)))
	p.line("rig.tank.use", s.VolumeBig(d.Usable))
	rows, _, err := st.DipChart(12)
	if err != nil {
		return err
	}
	chart := rigTable{Caption: p.T("rig.tank.chart"), Heads: []string{p.T("rig.tank.dip"), p.T("rig.tank.holds"), p.T("rig.tank.out")}, Folded: true}
	for i, x := range rows {
		chart.Rows = append(chart.Rows, []string{s.Length(x.Dip), s.VolumePM(x.Contents, x.SD), s.VolumeBig(x.Out)})
		if i > 0 && (i%3 == 0 || i == len(rows)-1) {
			side.Marks = append(side.Marks, sheet.TankMark{At: x.Dip, Say: s.Length(x.Dip) + " · " + s.VolumeBig(x.Contents)})
		}
	}
	side.Desc = p.T("rig.tank.desc")
	draw := side.Draw()
	p.Drawing = draw.SVG()
	p.Tables = append(p.Tables, chart)
	p.Reasons, p.Sheet = d.Reasons, "/sheets/dip"
	p.mind(d.Cautions)
	return nil
}

func (p *rigPage) workHose(st *season.State) error {
	p.caution("pumpoff")
	f, err := st.PumpFlow(p.flowAsk())
	if err != nil {
		return err
	}
	s := p.S
	p.Big = s.FlowPM(f.Flow, f.SD)
	how := "rig.hose.theory"
	if f.Measured {
		how = "rig.hose.measured"
	}
	p.Lead = p.T(how, "Strength", s.Strength(f.Strength), "Temp", s.Temp(f.Temp))
	if f.Flow <= 0 {
		p.Lead = p.T("rig.hose.none")
	}
	if f.Described {
		p.line("rig.hose.takes", s.Pressure(f.Loss.Hose))
		p.line("rig.hose.fittings", s.Pressure(f.Loss.Fittings))
		p.line("rig.hose.rise", s.Pressure(f.Loss.Lift))
		p.line("rig.hose.stands", s.VolumeTwo(f.InHose))
		p.line("rig.hose.thick", s.Viscosity(f.Fluid.Viscosity))
		draw := sheet.PumpCurve(&f, s, p.T)
		p.Drawing = draw.SVG()
	}
	if f.Back != nil {
		p.line("rig.hose.back", p.T("rig.hose.times", "Times", s.Two(f.Back.Factor)))
	}
	fills := rigTable{Caption: p.T("rig.hose.fills"), Heads: []string{p.T("rig.hose.feeder"), p.T("rig.hose.hives"), p.T("rig.hose.fill"), p.T("rig.hose.time")}}
	for _, x := range f.Feeders {
		name, hives := p.T("rig.hose.asked"), ""
		if x.Key != "" {
			name = p.T("feeder." + x.Key)
		}
		if x.Hives > 0 {
			hives = strconv.Itoa(x.Hives)
		}
		fills.Rows = append(fills.Rows, []string{name, hives, s.Volume(x.Volume), s.SpanPM(x.Time, x.SD)})
	}
	p.table(fills)
	if len(f.WhatIf) > 0 {
		what := rigTable{Caption: p.T("rig.hose.whatif"), Heads: []string{p.T("rig.hose.change"), p.T("rig.hose.flow"), p.T("rig.hose.more")}}
		for _, o := range f.WhatIf {
			what.Rows = append(what.Rows, []string{p.Say(feeding.Reason{Say: o.Say, Amounts: o.Amounts}), s.FlowPM(o.Delivery.Flow, o.Delivery.SD), p.T("rig.hose.times", "Times", s.Two(o.Times))})
		}
		p.table(what)
		curve := rigTable{Caption: p.T("rig.curve.table"), Heads: []string{p.T("rig.hose.flow"), p.T("rig.curve.pump"), p.T("rig.curve.hose")}, Folded: true}
		for i := 0; i < len(f.Curve); i += 5 {
			c := f.Curve[i]
			curve.Rows = append(curve.Rows, []string{s.Flow(c.Flow), s.Pressure(c.Pump), s.Pressure(c.Line)})
		}
		p.table(curve)
	}
	p.Reasons = f.Reasons
	p.mind(f.Cautions)
	return nil
}

func (p *rigPage) table(t rigTable) {
	if len(t.Rows) > 0 {
		p.Tables = append(p.Tables, t)
	}
}

func (p *rigPage) workWire(st *season.State) error {
	p.caution("fuse", "electrician")
	w, err := st.WireFuse()
	if err != nil {
		return err
	}
	s := p.S
	fuse := func(x *rig.Wiring) string {
		if x.Fuse == 0 {
			return p.T("rig.wire.nofuse")
		}
		return s.Current(x.Fuse)
	}
	best := &w.Best
	if !best.Fits {
		p.Big, p.Lead = p.T("rig.wire.none"), p.T("rig.wire.none.lead")
	} else {
		p.Big = p.T("rig.wire.big", "Wire", best.Wire.String(), "Fuse", fuse(best))
		p.Lead = p.T("rig.wire.lead", "Current", s.Current(w.Current), "Run", s.Length(w.Run))
	}
	if w.As != nil {
		key := "rig.wire.asgood"
		if !w.As.Fits {
			key = "rig.wire.asbad"
		}
		p.line("rig.wire.as", p.T(key, "Wire", w.As.Wire.String(), "Part", s.Two(w.As.Part*100), "Fuse", fuse(w.As)))
	}
	if w.BestMM.Fits {
		p.line("rig.wire.mm", p.T("rig.wire.big", "Wire", w.BestMM.Wire.String(), "Fuse", fuse(&w.BestMM)))
	}
	if w.TankAh > 0 {
		p.line("rig.wire.tank", p.T("rig.wire.ah", "Ah", s.Two(w.TankAh), "Tank", s.VolumeBig(w.Tank)))
	}
	if w.Tanks > 0 {
		p.line("rig.wire.charge", p.T("rig.wire.tanks", "N", s.Two(w.Tanks)))
	}
	sizes := rigTable{Caption: p.T("rig.wire.sizes"), Heads: []string{p.T("rig.wire.size"), p.T("rig.wire.drop"), p.T("rig.wire.carries"), p.T("rig.wire.fuse"), p.T("rig.wire.fits")}}
	for i := range w.Sizes {
		x := &w.Sizes[i]
		fits := p.T("rig.wire.no")
		if x.Fits {
			fits = p.T("rig.wire.yes")
		}
		sizes.Rows = append(sizes.Rows, []string{x.Wire.String(), s.Two(x.Part*100) + " %", s.Current(x.Ampacity), fuse(x), fits})
	}
	p.table(sizes)
	p.Reasons = w.Reasons
	p.mind(w.Cautions)
	return nil
}

func (p *rigPage) workHeat(st *season.State) error {
	p.caution("mains", "scald", "fumes", "electrician")
	h, err := st.HeatUp(p.heatAsk())
	if err != nil {
		return err
	}
	s := p.S
	if h.Reaches {
		p.Big = s.SpanPM(h.Time, h.TimeSD)
		p.line("rig.heat.energy", s.EnergyPM(h.Energy, h.EnergySD))
	} else {
		p.Big = p.T("rig.heat.never", "Temp", s.Temp(h.Stall))
	}
	p.Lead = p.T("rig.heat.lead", "Volume", s.VolumeBig(h.Volume), "Strength", s.Strength(h.Strength), "From", s.Temp(h.From), "To", s.Temp(h.To), "Power", s.Power(h.Power))
	p.line("rig.heat.useful", s.Two(float64(h.Useful/units.KWh))+" kWh")
	if h.Stalls && h.Stall < 100 {
		p.line("rig.heat.stall", s.Temp(h.Stall))
	}
	p.line("rig.heat.gas", s.VolumeTwoPM(h.Gas, h.GasSD))
	if h.Reaches {
		p.line("rig.heat.overnight", p.T("rig.heat.after", "Temp", s.Temp(h.Overnight), "Air", s.Temp(h.Air)))
	}
	if h.Burns.Told {
		p.line("rig.heat.burn", s.Duration(h.Burns.Q))
	}
	p.Reasons = h.Reasons
	p.mind(h.Cautions)
	return nil
}

func (p *rigPage) workTruck(st *season.State) error {
	p.caution("axle", "plate")
	v := boxed(p, "syrup", p.S.VolumeCol().Unit, units.ParseVolumeIn).Or(st.Settings.TankUsable())
	l, err := st.LoadAxles(v, 0)
	if err != nil {
		return err
	}
	p.axles(&l)
	return nil
}

// axles puts a weighed load on the page.
func (p *rigPage) axles(l *season.LoadAxles) {
	s := p.S
	p.Big = p.T("rig.truck.fits")
	if !l.Fits {
		p.Big = p.T("rig.truck.over")
		if l.TakeOff > 0 {
			p.Big = p.T("rig.truck.off", "Volume", s.VolumeBig(l.TakeOff))
		}
	}
	p.Lead = p.T("rig.truck.lead", "Volume", s.VolumeBig(l.Syrup), "Mass", s.Mass(l.Mass))
	if l.Limit != "" {
		p.line("rig.truck.most", s.VolumeBig(l.Most)+" · "+p.T("rig.limit."+limitKey[l.Limit]))
	}
	p.line("rig.truck.hold", p.T("rig.truck.straps", "Forward", s.MassTwo(l.Hold.ForwardMass()), "Working", s.MassTwo(l.Hold.WorkingLoads)))
	if l.Slosh > 0 {
		p.line("rig.truck.slosh", s.Two(1/l.Slosh)+" s")
	}
	if l.Rise > 0 {
		p.line("rig.truck.bend", s.Length(units.Length(math.Round(float64(l.Rise)*100)/100)))
	}
	draw := sheet.AxleBars(l, s, p.T)
	p.Drawing = draw.SVG()
	p.Reasons = append(p.Reasons, l.Reasons...)
	p.mind(l.Cautions)
}

// limitKey turns what binds into the end of a key.
var limitKey = map[string]string{"tank": "tank", "payload": "payload", "rear axle": "rear", "front axle": "front"}

func (p *rigPage) workLift(st *season.State) error {
	p.caution("lift")
	s := p.S
	l, told := p.liftAsk()
	if told && len(p.Trouble) == 0 {
		x, err := st.LiftCheck(l)
		if err != nil {
			return err
		}
		p.Big = p.T("rig.lift.big", "Limit", s.MassTwo(x.Limit))
		p.Lead = p.T("rig.lift.lead", "Mass", s.Mass(l.Load), "Times", s.Two(x.Index))
		if x.Limit == 0 {
			p.Big, p.Lead = p.T("rig.lift.never"), ""
		}
		p.mind(x.Cautions)
	}
	lifts, err := st.UsualLifts()
	if err != nil {
		return err
	}
	usual := rigTable{Caption: p.T("rig.lift.usual"), Heads: []string{p.T("rig.lift.what"), p.T("rig.lift.weighs"), p.T("rig.lift.limit"), p.T("rig.lift.times")}}
	for _, x := range lifts {
		usual.Rows = append(usual.Rows, []string{p.T("rig.lift." + x.Code), s.MassTwo(x.Check.Lift.Load), s.MassTwo(x.Check.Limit), s.Two(x.Check.Index)})
	}
	p.table(usual)
	if !told {
		p.Big, p.Lead = p.T("rig.lift.pail.big", "Times", s.Two(lifts[2].Check.Index)), p.T("rig.lift.pail.lead")
	}
	return p.workWays(st)
}

// workWays sets pails beside the pump; where the flow is not known it is left
// out.
func (p *rigPage) workWays(st *season.State) error {
	s := p.S
	x, err := st.PailsOrPump(p.wayAsk())
	if fault.Is(err, fault.Missing) || fault.Is(err, fault.NotKnownHere) {
		return nil
	}
	if err != nil {
		return err
	}
	t := rigTable{Caption: p.T("rig.ways.caption", "Hives", x.Ask.Hives, "Rounds", x.Ask.Rounds, "Fill", s.Volume(x.Ask.PerHive)), Heads: []string{p.T("rig.ways.what"), p.T("rig.ways.pump"), p.T("rig.ways.pails")}}
	row := func(key, a, b string) { t.Rows = append(t.Rows, []string{p.T(key), a, b}) }
	row("rig.ways.hive", s.SpanPM(x.Pump.PerHive, 0), s.SpanPM(x.Pail.PerHive, 0))
	row("rig.ways.season", s.SpanPM(x.Pump.Hours, 0), s.SpanPM(x.Pail.Hours, 0))
	row("rig.ways.lifted", s.MassTwo(x.Pump.Lifted), s.MassTwo(x.Pail.Lifted))
	row("rig.ways.index", s.Two(x.Pump.Index), s.Two(x.Pail.Index))
	p.table(t)
	if x.Visits > 0 {
		p.line("rig.ways.pays", p.T("rig.ways.visits", "Visits", s.Two(x.Visits), "Seasons", s.Two(x.Seasons)))
	}
	p.Reasons = append(p.Reasons, x.Reasons...)
	p.mind(x.Cautions)
	return nil
}
