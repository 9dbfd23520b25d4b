package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Impeller is a kind of stirrer.
type Impeller struct {
	Key, Name string
	// Power is the power number in turbulent flow, Low and High its published
	// spread; Creep is Kp in laminar flow, Np = Kp/Re (0 = not known).
	Power, Low, High, Creep float64
	Source                  string
}

// Impellers lists what is known: Np of the turbine also as printed by Harriott,
// Chemical Reactor Design; the rest from memory.
func Impellers() []Impeller {
	return []Impeller{
		{"turbine", "flat-blade turbine", 5.5, 5, 6, 70, "Harriott, Chemical Reactor Design (Np 6); else from memory"},
		{"pitched", "four blades at 45°", 1.27, 1.27, 1.7, 0, "Harriott, Chemical Reactor Design (1.7); 1.27 from memory"},
		{"propeller", "marine propeller", 0.335, 0.32, 0.35, 45, "from memory"},
	}
}

// Stirrer is one impeller in a tank.
type Stirrer struct {
	Impeller Impeller
	Diameter units.Length
	Turns    float64      // per second
	Tank     units.Length // diameter of the tank, filled about as deep as it is wide; 0 = not told
	Batch    units.Mass   // 0 = not told
	Fluid    Fluid
}

// Stirring is what it takes and does.
type Stirring struct {
	Reynolds float64 // ρ N D²/μ
	Power    units.Power
	PerKg    float64        // W/kg; 0 if the batch was not told
	Blend    units.Duration // to 95 % even; 0 in creeping flow, or if the tank was not told
	Cautions []Caution
}

// Stir gives the power at the shaft, Np·ρ·N³·D⁵, with Np from the table for
// Re ≥ 10 000 and Kp/Re for Re ≤ 10. From 1000 to 10 000 Np has nearly reached
// its turbulent value (from memory) and is taken with a caution; from 10 to 1000
// it is not known here. Blending by Grenville: N·θ95 = 5.2·Np^(−1/3)·(T/D)²
// (Paul et al., Handbook of Industrial Mixing, 2004). Sugar dissolves slower
// than that: plan 10 to 30 minutes above 40 °C (common practice, no source).
func (s Stirrer) Stir() (Stirring, error) {
	const op = "rig.Stirrer.Stir"
	if err := firstErr(s.Fluid.check(op), positive(op, "the stirrer's diameter", float64(s.Diameter)), positive(op, "its speed", s.Turns),
		positive(op, "its power number", s.Impeller.Power), amount(op, "the tank's diameter", float64(s.Tank)), amount(op, "the batch", float64(s.Batch))); err != nil {
		return Stirring{}, err
	}
	d := float64(s.Diameter)
	out := Stirring{Reynolds: s.Fluid.rho() * s.Turns * d * d / s.Fluid.mu()}
	np := s.Impeller.Power
	switch {
	case out.Reynolds >= 1e4:
	case out.Reynolds >= 1e3:
		out.Cautions = append(out.Cautions, caution("stir-between", "Between creeping and turbulent: power and time may be a fifth off"))
	case out.Reynolds <= 10 && s.Impeller.Creep > 0:
		np = s.Impeller.Creep / out.Reynolds
	default:
		return out, trouble(fault.NotKnownHere, op, "the power of this stirrer is not known in so thick a liquid (Reynolds number %.0f)", out.Reynolds).
			WithHint("known above 1000, or below 10 for some; warm the syrup")
	}
	out.Power = units.Power(np * s.Fluid.rho() * s.Turns * s.Turns * s.Turns * math.Pow(d, 5))
	if s.Batch > 0 {
		out.PerKg = float64(out.Power) / float64(s.Batch)
	}
	if t := float64(s.Tank); t > 0 && out.Reynolds >= 1e3 {
		out.Blend = units.Duration(5.2 * math.Pow(np, -1.0/3) * sq(t/d) / s.Turns)
	}
	return out, nil
}

// Turnovers gives how long the feeding pump takes to turn the tank over so many
// times; 3 to 5 mix it (figure rig.turnovers).
func Turnovers(tank units.Volume, q units.Flow, fig figure.Set) (units.Duration, error) {
	const op = "rig.Turnovers"
	if err := firstErr(positive(op, "the tank", float64(tank)), positive(op, "the flow", float64(q))); err != nil {
		return 0, err
	}
	return units.Duration(or(fig).V(KeyTurnovers) * float64(tank) / float64(q)), nil
}

// Keys of the figures of stirring.
const (
	KeyTurnovers = "rig.turnovers"
	KeyDissolve  = "rig.dissolve_min"
	KeyStirMild  = "rig.stir_w_kg"
)

func stirFigures() []figure.Figure {
	return []figure.Figure{
		practice(KeyTurnovers, "tank turnovers that mix a batch", 4, 3, 5, 0.5, "times", "recirculating with the feeding pump"),
		practice(KeyDissolve, "time for sugar to dissolve above 40 °C", 20, 10, 30, 5, "min", "log your own"),
		practice(KeyStirMild, "stirring power", 0.2, 0.2, 1.0, 0, "W/kg", "0.2 is mild, 1 is vigorous"),
	}
}
