package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Setup is pump, hose and syrup together.
type Setup struct {
	Pump Pump
	Line Line
	// Suction is the hose from tank to pump; a Bore of 0 is "not told".
	Suction Hose
	// Flooded is how far the syrup in the tank stands above the pump; below
	// zero where the pump must lift it.
	Flooded units.Length
	Fluid   Fluid
}

func (s Setup) check(op string) error {
	err := firstErr(s.Pump.check(op), s.Line.check(op), s.Fluid.check(op), finite(op, "the height of the tank", float64(s.Flooded)))
	if err == nil && s.Suction.Bore != 0 {
		return s.Suction.check(op)
	}
	return err
}

// State is what the pump does.
type State string

// The states.
const (
	Running State = "running"
	Cycling State = "cycling"  // the pressure switch stops and starts it
	NoFlow  State = "no flow"  // the rise is more than the pump can give
	Siphon  State = "downhill" // runs by itself, faster than the pump
)

// Delivery is what comes out of the nozzle, and why.
type Delivery struct {
	Flow units.Flow
	SD   units.Flow // one standard deviation
	State
	Regime  Regime
	Loss    Loss           // where the pressure goes
	AtPump  units.Pressure // what the pump must give
	Duty    float64        // part of the time the pump runs
	Suction units.Pressure // loss on the suction side less the head of the tank; 0 if not told
	InHose  units.Volume   // neither given nor in the tank
	Lag     units.Duration // until it runs, from a bucket test; else 0
	// Measured is true where a bucket test carries the answer.
	Measured bool
	Cautions []Caution
}

// Deliver gives the flow at the nozzle: where the pump's curve meets the loss
// of the line, found by halving. Where that lies above the switch's cut-off the
// pump cycles; it then gives what the line takes at the middle of the switch's
// band, and runs for the part Duty of the time.
//
// The spread puts together those of viscosity, bore, pump curve and fittings
// (figures rig.viscosity_sd, rig.bore_sd_mm, rig.pump_sd, rig.fittings_sd).
func (s Setup) Deliver(fig figure.Set) (Delivery, error) {
	const op = "rig.Setup.Deliver"
	if err := s.check(op); err != nil {
		return Delivery{}, err
	}
	fig = or(fig)
	d := s.point()
	d.SD = units.Flow(s.spread(d.Flow, fig))
	d.InHose = s.Line.Hose.Holds()
	d.Regime = RegimeOf(d.Loss.Reynolds)
	d.Suction = s.suction(d.Flow)
	d.Cautions = s.cautions(d, fig)
	return d, nil
}

// point is the working point, without spread and cautions.
func (s Setup) point() Delivery {
	d := Delivery{State: Running, Duty: 1}
	over := func(q float64) float64 {
		return float64(s.Pump.pressure(units.Flow(q)) - s.Line.loss(units.Flow(q), s.Fluid).Total())
	}
	open := float64(s.Pump.Open)
	switch {
	case over(0) <= 0:
		d.State, d.Duty = NoFlow, 0
		d.Loss = s.Line.loss(0, s.Fluid)
		d.AtPump = s.Pump.ShutOff
		if s.Pump.CutOff > 0 {
			d.AtPump = min(d.AtPump, s.Pump.CutOff)
		}
		return d
	case over(open) >= 0:
		d.State, d.Flow = Siphon, s.Pump.Open
	default:
		d.Flow = units.Flow(root(over, 0, open))
	}
	d.AtPump = max(0, s.Pump.pressure(d.Flow))
	if off := s.Pump.CutOff; off > 0 && d.AtPump >= off {
		return s.cycling()
	}
	d.Loss = s.Line.loss(d.Flow, s.Fluid)
	return d
}

// cycling is the mean of a pump that its switch stops and starts.
func (s Setup) cycling() Delivery {
	mean := (s.Pump.CutOff + s.Pump.CutIn) / 2
	d := Delivery{State: Cycling, AtPump: mean, Flow: s.Line.flowAt(mean, s.Fluid)}
	if d.Flow == 0 {
		d.State = NoFlow
	}
	if q := s.Pump.flow(mean); q > 0 {
		d.Duty = math.Min(1, float64(d.Flow/q))
	}
	d.Loss = s.Line.loss(d.Flow, s.Fluid)
	return d
}

// suction is 128 μ L Q/(π D⁴) less the head of the tank.
func (s Setup) suction(q units.Flow) units.Pressure {
	if s.Suction.Bore == 0 {
		return 0
	}
	d := float64(s.Suction.Bore)
	loss := 128 * s.Fluid.mu() * float64(s.Suction.Length) * float64(q) / 1000 / (math.Pi * d * d * d * d)
	return units.Pressure(loss - s.Fluid.rho()*g*float64(s.Flooded))
}

// spread is one standard deviation of the flow: each uncertain thing is moved
// by its own, both ways, and half the differences add up by squares.
func (s Setup) spread(q units.Flow, fig figure.Set) float64 {
	mu := s.Fluid.Spread
	if mu == 0 {
		mu = fig.V(KeyViscositySD)
	}
	bore := units.Length(fig.V(KeyBoreSD) / 1000)
	pump, fit := fig.V(KeyPumpSD), fig.V(KeyFittingsSD)
	moves := []func(s *Setup, k float64){
		func(s *Setup, k float64) { s.Fluid.Viscosity *= units.Viscosity(math.Exp(k * mu)) },
		func(s *Setup, k float64) {
			s.Line.Hose.Bore = max(s.Line.Hose.Bore+units.Length(k)*bore, s.Line.Hose.Bore/2)
		},
		func(s *Setup, k float64) {
			s.Pump.ShutOff *= units.Pressure(1 + k*pump)
			s.Pump.Open *= units.Flow(1 + k*pump)
		},
		func(s *Setup, k float64) {
			fs := append([]Fitting(nil), s.Line.Fittings...)
			for i := range fs {
				fs[i].K1, fs[i].KInf, fs[i].K = fs[i].K1*(1+k*fit), fs[i].KInf*(1+k*fit), fs[i].K*(1+k*fit)
			}
			s.Line.Fittings = fs
		},
	}
	var sum float64
	for _, move := range moves {
		up, down := s, s
		move(&up, 1)
		move(&down, -1)
		half := float64(up.point().Flow-down.point().Flow) / 2
		sum += half * half
	}
	return math.Sqrt(sum)
}

func (s Setup) cautions(d Delivery, fig figure.Set) []Caution {
	var out []Caution
	switch d.State {
	case NoFlow:
		out = append(out, caution("rise-too-high", "The nozzle is too high for this pump: the rise alone takes {0}", d.Loss.Lift))
	case Siphon:
		out = append(out, caution("siphon", "It runs downhill by itself: close the valve, or the tank empties onto the ground"))
	case Cycling:
		out = append(out, caution("switch-cycling", "The pressure switch stops and starts the pump. A bigger hose, warmer syrup or a bypass cures it"))
	}
	if d.Regime == Unsettled {
		out = append(out, caution("unsettled-flow", "Between smooth and rough flow: this figure may be a third off"))
	}
	if most := units.Pressure(fig.V(KeySuction)) * units.Kilopascal; d.Suction > most {
		out = append(out, caution("suction-starved", "The suction hose takes {0}: the pump will starve. One size bigger, shorter, pump below the tank", d.Suction))
	}
	if d.State == Running || d.State == Cycling {
		surge := units.Pressure(s.Fluid.rho() * fig.V(KeyWaveSpeed) * d.Loss.Velocity)
		out = append(out,
			caution("surge", "Snapping the valve shut adds about {0} for a moment. Rated hose, close gently", surge),
			caution("hose-unattended", "Never leave the pump on unattended: a burst hose is a lost tank and a robbing yard"))
	}
	return append(out, caution("hose-cools", "Syrup standing in a cold hose is thicker: the first fill after a drive is slow"))
}

// Fill is how long one feeder takes.
type Fill struct {
	Volume units.Volume
	Time   units.Duration
	SD     units.Duration // one standard deviation
}

// FillTimes gives the seconds for each feeder: v/Q + lag. No flow is refused.
func (d Delivery) FillTimes(feeders []units.Volume) ([]Fill, error) {
	const op = "rig.Delivery.FillTimes"
	if d.Flow <= 0 {
		return nil, trouble(fault.OutOfRange, op, "nothing comes out of the nozzle").WithHint("bigger hose, warmer syrup, or a nozzle not so high")
	}
	out := make([]Fill, len(feeders))
	for i, v := range feeders {
		if err := amount(op, "a fill", float64(v)); err != nil {
			return nil, err
		}
		t := float64(v / units.Volume(d.Flow))
		out[i] = Fill{Volume: v, Time: units.Duration(t) + d.Lag, SD: units.Duration(t * float64(d.SD/d.Flow))}
	}
	return out, nil
}

// Variant is the same rig with one thing changed.
type Variant struct {
	Code    string // "next-hose", "warmer", "shorter", "both"
	Say     string // what is changed; "{0}" is the first of Amounts
	Amounts []any
	Setup   Setup
}

// Outcome is what a variant would give.
type Outcome struct {
	Variant
	Delivery Delivery
	Times    float64 // flow against the rig as it is; 0 where that has none
}

// Variants makes the usual questions: the next bigger hose, warmer syrup (its
// numbers come from the caller, at 10 °C more, say; a zero Fluid leaves the
// question out), half the hose, and hose and warmth together.
func (s Setup) Variants(warm Fluid) []Variant {
	var out []Variant
	bore, bigger := NextBore(s.Line.Hose.Bore)
	if bigger {
		v := s
		v.Line.Hose.Bore = bore
		out = append(out, Variant{"next-hose", "with a {0} hose", []any{bore}, v})
	}
	hot := warm.Viscosity > 0
	if hot {
		v := s
		v.Fluid = warm
		out = append(out, Variant{"warmer", "with the warmer syrup", nil, v})
	}
	half := s
	half.Line.Hose.Length /= 2
	out = append(out, Variant{"shorter", "with half the hose, {0}", []any{half.Line.Hose.Length}, half})
	if hot && bigger {
		v := s
		v.Fluid, v.Line.Hose.Bore = warm, bore
		out = append(out, Variant{"both", "with a {0} hose and warmer syrup", []any{bore}, v})
	}
	return out
}

// Compare gives the delivery of s and of each variant, in the order given.
func (s Setup) Compare(vs []Variant, fig figure.Set) (Delivery, []Outcome, error) {
	base, err := s.Deliver(fig)
	if err != nil {
		return Delivery{}, nil, err
	}
	out := make([]Outcome, len(vs))
	for i, v := range vs {
		d, err := v.Setup.Deliver(fig)
		if err != nil {
			return Delivery{}, nil, err
		}
		out[i] = Outcome{Variant: v, Delivery: d}
		if base.Flow > 0 {
			out[i].Times = float64(d.Flow / base.Flow)
		}
	}
	return base, out, nil
}

// Keys of the figures of pump and hose.
const (
	KeyViscositySD = "rig.viscosity_sd"
	KeyBoreSD      = "rig.bore_sd_mm"
	KeyPumpSD      = "rig.pump_sd"
	KeyFittingsSD  = "rig.fittings_sd"
	KeySuction     = "rig.suction_max_kpa"
	KeyWaveSpeed   = "rig.wave_speed_m_s"
	KeyTriggerK1   = "rig.trigger_k1"
	KeyTriggerKInf = "rig.trigger_kinf"
	KeyOpenFlow    = "rig.pump_open_l_min"
	KeyCutOff      = "rig.pump_off_bar"
	KeySwitchBand  = "rig.switch_band_bar"
	KeyStallPart   = "rig.pump_stall_part"
	KeyPumpAmps    = "rig.pump_amps"
)

// Trigger is the valve at the nozzle, by the figures in fig.
func Trigger(fig figure.Set) Fitting {
	fig = or(fig)
	return Fitting{Key: "trigger", Name: "trigger valve and nozzle", K1: fig.V(KeyTriggerK1), KInf: fig.V(KeyTriggerKInf), Source: srcNone}
}

func hoseFigures() []figure.Figure {
	return []figure.Figure{
		{Key: KeyViscositySD, Name: "spread of the syrup's viscosity", Value: 0.05, Low: 0.015, High: 0.25, Unit: "fraction", Grade: figure.Derived,
			Source: "table ±3 % (±6 % below 10 °C); one point of sugar at 66 % is 22 to 26 %, so a fifth of a point is 5 %", Note: "used where the caller states none"},
		{Key: KeyBoreSD, Name: "spread of a hose's bore", Value: 0.15, Low: 0.1, High: 0.5, Unit: "mm", Grade: figure.Practice,
			Source: srcNone, Note: "±0.3 mm is ±9 % of the flow at 13 mm, ±6 % at 19 mm"},
		practice(KeyPumpSD, "spread of a pump's curve", 0.05, 0.02, 0.15, 0, "fraction", "±10 %"),
		{Key: KeyFittingsSD, Name: "spread of the resistance of fittings", Value: 0.15, Low: 0.05, High: 0.25, Unit: "fraction", Grade: figure.Trade,
			Source: "Hydraulic Institute Engineering Data Book, K-variation table: ±10 to ±50 %"},
		practice(KeySuction, "most that the suction side may take", 20, 10, 40, 0, "kPa", "above it a diaphragm pump no longer fills its chamber"),
		practice(KeyWaveSpeed, "speed of a pressure wave in rubber hose", 400, 300, 500, 50, "m/s", "surge by Joukowsky, Δp = ρ·a·Δv"),
		practice(KeyTriggerK1, "trigger valve, laminar part of its resistance", 1000, 300, 3000, 0, "K1", "taken like a diaphragm valve; a bucket test says better"),
		practice(KeyTriggerKInf, "trigger valve, turbulent part of its resistance", 2, 0.5, 10, 0, "K∞", "taken like a diaphragm valve; a bucket test says better"),
		practice(KeyOpenFlow, "open flow of a 12 V demand pump", 16, 12, 20, 2, "L/min", "where the pump has no plate"),
		practice(KeyCutOff, "cut-off of its pressure switch", 3.45, 2.8, 4.1, 0.3, "bar", "40 to 60 psi"),
		practice(KeySwitchBand, "how much lower the switch starts it again", 1.0, 0.7, 1.4, 0.2, "bar", ""),
		practice(KeyStallPart, "pressure at which it would stall, against its cut-off", 1.3, 1.05, 1.8, 0.15, "times", "it still delivers at its cut-off"),
		practice(KeyPumpAmps, "current of a 12 V demand pump", 10, 7, 15, 2, "A", "read the plate"),
	}
}
