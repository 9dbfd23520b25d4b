package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Calibration carries a bucket test over to other hoses, strengths and
// temperatures: the viscosity that would have given what was measured.
type Calibration struct {
	Factor   float64         // effective viscosity against the stated one
	Rest     float64         // what no viscosity explains: measured against worked out, near 1
	Spread   float64         // one standard deviation of the measured flow, as a fraction
	Lag      units.Duration  // of hand and valve
	Fluid    units.Viscosity // effective viscosity at the test
	Flow     units.Flow      // measured
	Cautions []Caution
}

// widest is how far the effective viscosity is searched, either way.
const widest = 50

// Calibrate finds the effective viscosity that makes s give what the bucket
// test b measured. More than the figure rig.refit_max off is said. Where not
// even water-thin or tar-thick syrup would explain it, the pump or the hose is
// not what s says, and it is refused.
func (s Setup) Calibrate(b Bucket, fig figure.Set) (Calibration, error) {
	const op = "rig.Setup.Calibrate"
	if err := firstErr(s.check(op), positive(op, "the measured flow", float64(b.Flow)), amount(op, "its spread", float64(b.SD))); err != nil {
		return Calibration{}, err
	}
	fig = or(fig)
	over := func(lnK float64) float64 { return float64(s.thicker(math.Exp(lnK)).point().Flow - b.Flow) }
	lim := math.Log(widest)
	if over(-lim) < 0 || over(lim) > 0 {
		return Calibration{}, trouble(fault.NotKnownHere, op, "no syrup explains the measured flow with this pump and hose").
			WithHint("check the pump's figures, the true bore of the hose and the battery; or count with the bucket test alone")
	}
	k := math.Exp(root(over, -lim, lim))
	c := Calibration{Factor: k, Lag: b.Lag, Spread: float64(b.SD / b.Flow), Fluid: s.Fluid.Viscosity * units.Viscosity(k), Flow: b.Flow}
	// At the edge of the switch's cut-off the flow jumps, and no viscosity hits
	// the jump: what is missing there is carried as a plain factor.
	c.Rest = float64(b.Flow / s.thicker(k).point().Flow)
	if math.Abs(k-1) > fig.V(KeyRefit) {
		c.Cautions = append(c.Cautions, caution("bucket-off", "It flows as if the syrup were {0} times as thick as stated. Suspect strength, temperature, strainer or voltage", math.Round(k*100)/100))
	}
	return c, nil
}

func (s Setup) thicker(k float64) Setup {
	s.Fluid.Viscosity *= units.Viscosity(k)
	return s
}

// ShutOffFrom gives the shut-off pressure of the pump that would explain the
// measured flow, the rest being as in s: p0 = Δp(Q)/(1 − Q/Q0). A flow of the
// open flow or more is not known here.
func (s Setup) ShutOffFrom(q units.Flow) (units.Pressure, error) {
	const op = "rig.Setup.ShutOffFrom"
	if err := firstErr(s.check(op), positive(op, "the measured flow", float64(q))); err != nil {
		return 0, err
	}
	p := s.Line.loss(q, s.Fluid).Total()
	if q >= s.Pump.Open || p <= 0 {
		return 0, trouble(fault.NotKnownHere, op, "that is as much as the pump gives against nothing").WithHint("the pump's open flow is more than told")
	}
	return p / units.Pressure(1-q/s.Pump.Open), nil
}

// DeliverAs is [Setup.Deliver] with what a bucket test taught. For the rig and
// syrup of the test it gives the measured flow; for others it carries the
// effective viscosity over. The spread is the test's; the theory's comes in as
// far as the flow has moved away from the tested one, in full at e times it.
func (s Setup) DeliverAs(c Calibration, fig figure.Set) (Delivery, error) {
	const op = "rig.Setup.DeliverAs"
	if err := firstErr(s.check(op), positive(op, "the calibration", c.Factor), positive(op, "the calibration", c.Rest), positive(op, "the calibration", float64(c.Flow)), amount(op, "its spread", c.Spread)); err != nil {
		return Delivery{}, err
	}
	d, err := s.thicker(c.Factor).Deliver(fig)
	if err != nil {
		return d, err
	}
	if d.Flow > 0 {
		theory := float64(d.SD / d.Flow)
		d.Flow *= units.Flow(c.Rest)
		away := math.Min(1, math.Abs(math.Log(float64(d.Flow/c.Flow))))
		d.SD = d.Flow * units.Flow(math.Hypot(c.Spread, theory*away))
	}
	d.Lag, d.Measured = c.Lag, true
	return d, nil
}

// Retest tells whether the syrup is so much warmer or colder than at the
// bucket test that the pump should be tested again (figure rig.retest_k).
func Retest(tested, now units.Temp, fig figure.Set) (Caution, bool) {
	if math.Abs(float64(now-tested)) < or(fig).V(KeyRetest) {
		return Caution{}, false
	}
	return caution("bucket-retest", "The syrup is at {0}, the pump was tested at {1}: test it again", now, tested), true
}

// Tally compares what the fills add up to with what the dips say went out. It
// gives the difference in L (more given than missing is positive) and a caution
// where it is more than the figure rig.tally_max or two standard deviations of
// the two together, whichever is more: below its spread a difference says
// nothing.
func Tally(given, before, after figure.Estimate, fig figure.Set) (figure.Estimate, []Caution) {
	gone := before.Minus(after)
	diff := given.Minus(gone)
	if !diff.Known {
		return diff, nil
	}
	off := math.Abs(diff.Mean)
	if off > or(fig).V(KeyTally)*math.Abs(gone.Mean) && off > 2*diff.SD {
		return diff, []Caution{caution("tally-off", "Fills and dips disagree by {0}: a dip misread, a leak, or a fill not noted", units.Volume(off))}
	}
	return diff, nil
}
