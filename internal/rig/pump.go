package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Pump is a pump on a straight curve p(Q) = ShutOff·(1 − Q/Open), with or
// without a pressure switch. At 12 V or whatever its curve was taken at.
type Pump struct {
	ShutOff units.Pressure // pressure at which nothing flows any more
	Open    units.Flow     // flow against nothing
	CutOff  units.Pressure // the switch stops it here; 0 = no switch
	CutIn   units.Pressure // and starts it here
	Current units.Current  // 0 = not told
}

func (p Pump) check(op string) error {
	err := firstErr(positive(op, "the pump's shut-off pressure", float64(p.ShutOff)), positive(op, "the pump's open flow", float64(p.Open)),
		amount(op, "the switch's cut-off", float64(p.CutOff)), amount(op, "the switch's cut-in", float64(p.CutIn)), amount(op, "the current", float64(p.Current)))
	if err == nil && p.CutOff > 0 && p.CutIn >= p.CutOff {
		return trouble(fault.OutOfRange, op, "the switch starts the pump at a higher pressure than it stops it").WithHint("the plate says off first, then on: 40/25 psi")
	}
	return err
}

// PumpFrom makes the straight curve through two points of a maker's table.
func PumpFrom(q1 units.Flow, p1 units.Pressure, q2 units.Flow, p2 units.Pressure) (Pump, error) {
	const op = "rig.PumpFrom"
	if err := firstErr(amount(op, "a flow", float64(q1)), amount(op, "a flow", float64(q2)), amount(op, "a pressure", float64(p1)), amount(op, "a pressure", float64(p2))); err != nil {
		return Pump{}, err
	}
	if q1 > q2 {
		q1, q2, p1, p2 = q2, q1, p2, p1
	}
	if !(q2 > q1 && p1 > p2) {
		return Pump{}, trouble(fault.OutOfRange, op, "the pump's pressure must fall where its flow grows").WithHint("give two different points, for example 8 L/min at 2 bar and 12 L/min at 1 bar")
	}
	slope := float64(p1-p2) / float64(q2-q1)
	shut := float64(p1) + slope*float64(q1)
	return Pump{ShutOff: units.Pressure(shut), Open: units.Flow(shut / slope)}, nil
}

// TypicalPump is a middling 12 V demand pump, for a keeper whose pump has no
// plate: common practice, no source. A bucket test is better.
func TypicalPump(fig figure.Set) Pump {
	fig = or(fig)
	off := units.Pressure(fig.V(KeyCutOff)) * units.Bar
	return Pump{
		// A diaphragm pump still delivers at its cut-off: its curve meets zero
		// flow beyond it.
		ShutOff: off * units.Pressure(fig.V(KeyStallPart)), Open: units.Flow(fig.V(KeyOpenFlow) / 60), CutOff: off,
		CutIn: off - units.Pressure(fig.V(KeySwitchBand))*units.Bar, Current: units.Current(fig.V(KeyPumpAmps)),
	}
}

// AtVolts gives the pump on a lower or higher voltage: speed goes with voltage,
// and open flow with speed. 10 % less is 10 % less flow. From 0.5 to 1.2 of
// the rated voltage; common practice, no source.
func (p Pump) AtVolts(v, rated units.Voltage) (Pump, error) {
	const op = "rig.Pump.AtVolts"
	if err := positive(op, "the rated voltage", float64(rated)); err != nil {
		return p, err
	}
	if err := covered(op, "a voltage", "of the rated", float64(v/rated), 0.5, 1.2); err != nil {
		return p, err
	}
	p.Open *= units.Flow(v / rated)
	return p, nil
}

// pressure is what the pump gives at the flow q.
func (p Pump) pressure(q units.Flow) units.Pressure {
	return p.ShutOff * units.Pressure(1-q/p.Open)
}

// flow is what the pump gives against the pressure x.
func (p Pump) flow(x units.Pressure) units.Flow {
	return p.Open * units.Flow(math.Max(0, 1-float64(x/p.ShutOff)))
}

// LaminarFlow gives the flow in closed form where all is laminar, the hose is
// laid out and fittings are left out:
//
//	R = 128 μ L/(π D⁴),  Q = (p0 − ρ g Rise)/(R + p0/Q0)
//
// (Hagen–Poiseuille on the straight pump curve.) It checks [Setup.Deliver].
func LaminarFlow(p Pump, l Line, f Fluid) (units.Flow, error) {
	const op = "rig.LaminarFlow"
	if err := firstErr(p.check(op), l.check(op), f.check(op)); err != nil {
		return 0, err
	}
	d := float64(l.Hose.Bore)
	r := 128 * f.mu() * float64(l.Hose.Length) / (math.Pi * d * d * d * d)
	q := (float64(p.ShutOff) - f.rho()*g*float64(l.Rise)) / (r + float64(p.ShutOff)/(float64(p.Open)/1000)) * 1000
	q = clamp(q, 0, float64(p.Open))
	if re := Reynolds(units.Flow(q), l.Hose.Bore, f); re >= 2000 {
		return 0, trouble(fault.NotKnownHere, op, "this flow is not laminar (Reynolds number %.0f)", re).WithHint("use the full calculation")
	}
	return units.Flow(q), nil
}
