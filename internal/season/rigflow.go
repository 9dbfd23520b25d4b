package season

import (
	"slices"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/rig"
	"larder/internal/syrup"
	"larder/internal/units"
)

// FlowAsk is which syrup is to be pumped, and into what.
type FlowAsk struct {
	Strength units.Strength          // 0 = the season's
	Temp     syrup.Maybe[units.Temp] // of the syrup; not told = that of the bucket test, else a figure
	Fills    []units.Volume          // feeders beside those on the hives
}

// FeederFill is how long the pump runs for one kind of feeder.
type FeederFill struct {
	Key    string // of the kind; "" = an amount asked for
	Name   string
	Hives  int // that have it
	Volume units.Volume
	rig.Fill
}

// CurvePoint is a flow, what the pump gives at it and what the line takes.
type CurvePoint struct {
	Flow       units.Flow
	Pump, Line units.Pressure
}

// PumpFlow is what comes out of the nozzle, and why.
type PumpFlow struct {
	rig.Delivery
	Setup     rig.Setup
	Strength  units.Strength
	Temp      units.Temp
	Fluid     rig.Fluid
	Described bool // pump and hose were told: what-ifs and curve are there
	Feeders   []FeederFill
	WhatIf    []rig.Outcome
	Bucket    *rig.Bucket      // the test, nil = none
	Back      *rig.Calibration // what it says of the syrup or pump, nil = none
	Curve     []CurvePoint
	Cautions  []feeding.Reason
	Reasons   []feeding.Reason
}

// pumpOf gives the pump as its plate says, filled up with a typical one's.
func (r *RigSettings) pumpOf(figs figure.Set) (rig.Pump, []feeding.Reason, error) {
	p, typical := r.Pump, rig.TypicalPump(figs)
	var why []feeding.Reason
	switch {
	case p.Open == 0 && p.ShutOff == 0 && p.CutOff == 0:
		current := p.Current
		p = typical
		if current > 0 {
			p.Current = current
		}
		why = append(why, rigReason("typical-pump", "nothing is told of the pump: a middling 12 V demand pump is taken, {0} against nothing", p.Open))
	case p.Open == 0:
		p.Open = typical.Open
		why = append(why, rigReason("typical-open", "the pump's flow against nothing is not told: {0} is taken", p.Open))
	}
	if p.ShutOff == 0 {
		if p.ShutOff = typical.ShutOff; p.CutOff > 0 {
			// It still delivers at its cut-off: see figure rig.pump_stall_part.
			p.ShutOff = p.CutOff * units.Pressure(figs.V(rig.KeyStallPart))
		}
	}
	if p.CutOff > 0 && p.CutIn == 0 {
		p.CutIn = max(p.CutOff/2, p.CutOff-units.Pressure(figs.V(rig.KeySwitchBand))*units.Bar)
	}
	if v := r.orVolts(); v != 12 {
		var err error
		if p, err = p.AtVolts(v, 12); err != nil {
			return p, why, err
		}
	}
	return p, why, nil
}

// setupOf gives pump, hose and syrup together. The valve at the nozzle is always
// there.
func (r *RigSettings) setupOf(f rig.Fluid, figs figure.Set) (rig.Setup, []feeding.Reason, error) {
	p, why, err := r.pumpOf(figs)
	h := r.Hose
	h.Rough = rig.RoughRubber
	return rig.Setup{Pump: p, Suction: r.Suction, Flooded: r.Flooded, Fluid: f,
		Line: rig.Line{Hose: h, Rise: r.Rise, Fittings: append([]rig.Fitting{rig.Trigger(figs)}, r.Fittings...)}}, why, err
}

// bucketTest gives the newest bucket test: the pours, else the flow the keeper
// wrote down, with the most scatter a good test may have. nil = none.
func (s *Settings) bucketTest(figs figure.Set) *rig.Bucket {
	if len(s.Rig.Pours) > 0 {
		if b, err := rig.TestBucket(s.Rig.Pours, figs); err == nil {
			return &b
		}
	}
	if s.Pump > 0 {
		return &rig.Bucket{N: 1, Flow: s.Pump, Mean: s.Pump, SD: s.Pump * units.Flow(figs.V(rig.KeyBucketCV))}
	}
	return nil
}

// PumpRate gives the measured flow at the nozzle and the lag of hand and valve,
// by the bucket test; 0 where nothing was measured.
func (s *Settings) PumpRate() (units.Flow, units.Duration) {
	figs, _ := s.FigureSet()
	b := s.bucketTest(figs)
	if b == nil {
		return 0, 0
	}
	return b.Flow, b.Lag
}

// PumpFlow gives the flow at the nozzle. A bucket test goes before all theory:
// at its temperature and strength the answer is what was measured, elsewhere
// what the test taught is carried over. Where neither a test nor the hose was
// told it is fault.Missing; syrup outside what the sources cover is
// fault.NotKnownHere.
func (st *State) PumpFlow(a FlowAsk) (PumpFlow, error) {
	s := &st.Settings
	figs, _ := s.FigureSet()
	out := PumpFlow{Strength: a.Strength, Bucket: s.bucketTest(figs)}
	if out.Strength == 0 {
		out.Strength = s.Syrup
	}
	tested := s.Rig.PourTemp
	out.Temp = a.Temp.Or(tested.Or(units.Temp(figs.V("season.pour_c"))))
	if !a.Temp.Told && !tested.Told {
		out.Reasons = append(out.Reasons, rigReason("temp-taken", "syrup of {0} is taken: nobody said how warm it is", out.Temp))
	}
	var err error
	if out.Fluid, err = rigFluid(out.Strength, out.Temp, figs); err != nil {
		return out, err
	}
	hose := s.Rig.Hose.Bore > 0 && s.Rig.Hose.Length > 0
	if !hose && out.Bucket == nil {
		return out, missing("hose.bore", "neither the hose nor a bucket test has been told", "length and inside diameter of the hose, or a pail filled by the watch")
	}
	var why []feeding.Reason
	if out.Setup, why, err = s.Rig.setupOf(out.Fluid, figs); err != nil {
		return out, err
	}
	if hose {
		out.Described = true
		err = out.byTheory(s, tested, why, figs)
	} else {
		err = out.byBucket(tested, figs)
	}
	if err != nil {
		return out, err
	}
	return out, out.fills(st, a.Fills)
}

// byTheory works the working point out, through the bucket test where there is
// one.
func (f *PumpFlow) byTheory(s *Settings, tested syrup.Maybe[units.Temp], why []feeding.Reason, figs figure.Set) error {
	var back []rig.Caution
	if f.Bucket != nil {
		at := f.Setup
		if tested.Told {
			fluid, err := rigFluid(s.Syrup, tested.Q, figs)
			if err != nil {
				return err
			}
			at.Fluid = fluid
		}
		c, err := at.Calibrate(*f.Bucket, figs)
		switch {
		case fault.Is(err, fault.NotKnownHere):
			f.Reasons = append(f.Reasons, rigReason("no-back-fit", "no syrup explains the bucket test with this pump and hose: the test alone is counted with. Check plate, bore and battery"))
			f.Described = false
			return f.byBucket(tested, figs)
		case err != nil:
			return err
		}
		f.Back, back = &c, c.Cautions
		f.Reasons = append(f.Reasons, rigReason("by-test", "by your bucket test of {0}: it goes before the theory", f.Bucket.Flow))
		if p, err := at.ShutOffFrom(f.Bucket.Flow); err == nil && len(c.Cautions) > 0 {
			f.Reasons = append(f.Reasons, rigReason("pump-fit", "or the syrup is as told and the pump stops at {0}", p))
		}
	} else {
		f.Reasons = append(append(f.Reasons, why...), rigReason("by-theory", "worked out from pump and hose: a bucket test is better"))
	}
	deliver := func(x rig.Setup) (rig.Delivery, error) {
		if f.Back != nil {
			return x.DeliverAs(*f.Back, figs)
		}
		return x.Deliver(figs)
	}
	var err error
	if f.Delivery, err = deliver(f.Setup); err != nil {
		return err
	}
	for _, v := range f.variants(figs) {
		d, err := deliver(v.Setup)
		if err != nil {
			return err
		}
		o := rig.Outcome{Variant: v, Delivery: d}
		if f.Delivery.Flow > 0 {
			o.Times = float64(d.Flow / f.Delivery.Flow)
		}
		f.WhatIf = append(f.WhatIf, o)
	}
	f.curve()
	watch := [][]rig.Caution{back, f.Delivery.Cautions}
	if f.Bucket != nil {
		watch = [][]rig.Caution{f.Bucket.Cautions, back, f.retest(tested, figs), f.Delivery.Cautions}
	}
	f.Cautions = cautioned(watch...)
	return nil
}

func (f *PumpFlow) retest(tested syrup.Maybe[units.Temp], figs figure.Set) []rig.Caution {
	if !tested.Told {
		return nil
	}
	c, yes := rig.Retest(tested.Q, f.Temp, figs)
	if !yes {
		return nil
	}
	return []rig.Caution{c}
}

// byBucket counts with the test alone.
func (f *PumpFlow) byBucket(tested syrup.Maybe[units.Temp], figs figure.Set) error {
	f.Delivery = rig.Delivery{Flow: f.Bucket.Flow, SD: f.Bucket.SD, State: rig.Running, Duty: 1, Lag: f.Bucket.Lag, Measured: true}
	f.Reasons = append(f.Reasons, rigReason("test-alone", "your bucket test of {0}, as it was measured", f.Bucket.Flow))
	f.Cautions = cautioned(f.Bucket.Cautions, f.retest(tested, figs))
	return nil
}

// variants are the usual questions: a 1 inch hose, syrup 10 °C warmer, both,
// and half the hose.
func (f *PumpFlow) variants(figs figure.Set) []rig.Variant {
	warm, err := rigFluid(f.Strength, f.Temp+10, figs)
	hot := err == nil
	vs := f.Setup.Variants(rig.Fluid{})
	if hot {
		vs = f.Setup.Variants(warm)
	}
	if next, ok := rig.NextBore(f.Setup.Line.Hose.Bore); ok && next < units.Inch {
		v := f.Setup
		v.Line.Hose.Bore = units.Inch
		vs = slices.Insert(vs, 1, rig.Variant{Code: "inch-hose", Say: "with a {0} hose", Amounts: []any{units.Inch}, Setup: v})
	}
	for i := range vs {
		if vs[i].Code == "warmer" {
			vs[i].Say, vs[i].Amounts = "with syrup of {0}", []any{f.Temp + 10}
		}
		if vs[i].Code == "both" {
			vs[i].Say, vs[i].Amounts = "with a {0} hose and syrup of {1}", []any{vs[i].Amounts[0], f.Temp + 10}
		}
	}
	return vs
}

// curvePoints is how many points a curve is drawn through.
const curvePoints = 40

// curve gives pump and line over the flow, from nothing to the open flow. With a
// bucket test the line is that of the syrup as thick as the test found it.
func (f *PumpFlow) curve() {
	x := f.Setup
	if f.Back != nil {
		x.Fluid.Viscosity *= units.Viscosity(f.Back.Factor)
	}
	for i := range curvePoints + 1 {
		q := x.Pump.Open * units.Flow(float64(i)/curvePoints)
		l, err := x.Line.Loss(q, x.Fluid)
		if err != nil {
			return
		}
		f.Curve = append(f.Curve, CurvePoint{q, x.Pump.ShutOff * units.Pressure(1-q/x.Pump.Open), l.Total()})
	}
}

// usualFeeders are those the trade fills by pump, for a season without hives.
var usualFeeders = []string{"nuc-tray", "tray-1", "tray-2", "frame"}

// fills times the feeders on the hives, by kind and volume, and what else was
// asked for.
func (f *PumpFlow) fills(st *State, more []units.Volume) error {
	if f.Delivery.Flow <= 0 {
		return nil // nothing runs: said in the cautions
	}
	cat := catalogue()
	add := func(key, name string, v units.Volume) {
		for i := range f.Feeders {
			if x := &f.Feeders[i]; x.Key == key && x.Volume == v {
				x.Hives++
				return
			}
		}
		f.Feeders = append(f.Feeders, FeederFill{Key: key, Name: name, Volume: v, Hives: 1})
	}
	for _, c := range st.Colonies() {
		if c.State != apiary.Alive || c.Feeder == "" {
			continue
		}
		v, _, _, err := cat.Holds(c.Stack, c.Feeder, c.FeederVolume)
		k, err2 := cat.Feeder(c.Feeder)
		if err == nil && err2 == nil && v > 0 {
			add(k.Key, k.Name, v)
		}
	}
	slices.SortStableFunc(f.Feeders, func(a, b FeederFill) int { return b.Hives - a.Hives })
	if len(f.Feeders) == 0 && len(more) == 0 {
		for _, key := range usualFeeders {
			if k, err := cat.Feeder(key); err == nil {
				add(key, k.Name, k.Volume)
			}
		}
		for i := range f.Feeders {
			f.Feeders[i].Hives = 0
		}
	}
	for _, v := range more {
		f.Feeders = append(f.Feeders, FeederFill{Volume: v})
	}
	volumes := make([]units.Volume, len(f.Feeders))
	for i := range volumes {
		volumes[i] = f.Feeders[i].Volume
	}
	times, err := f.Delivery.FillTimes(volumes)
	if err != nil {
		return err
	}
	for i := range times {
		f.Feeders[i].Fill = times[i]
	}
	return nil
}
