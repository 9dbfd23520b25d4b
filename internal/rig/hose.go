package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/units"
)

// Hose is a hose or pipe.
type Hose struct {
	Bore   units.Length // true inside diameter: "3/4 in" is 19.05 mm, or less
	Length units.Length // all of it, also what is still on the reel
	Rough  units.Length // 0 = smooth; see RoughRubber
	Reel   units.Length // diameter of the reel it is still on; 0 = laid out
}

func (h Hose) check(op string) error {
	return firstErr(positive(op, "the bore of the hose", float64(h.Bore)), amount(op, "the length of the hose", float64(h.Length)),
		amount(op, "the roughness", float64(h.Rough)), amount(op, "the reel", float64(h.Reel)))
}

// Holds gives what is in the hose: neither given nor in the tank. π/4·D²·L.
func (h Hose) Holds() units.Volume {
	return units.Volume(1000 * math.Pi / 4 * float64(h.Bore*h.Bore*h.Length))
}

// Fitting resists with K = K1/Re + KInf·(1 + 1/D) + K, D in inches: Hooper's
// two-K method, which holds at low Reynolds numbers where a plain K is too
// small. K alone is for what is known only as a plain number.
type Fitting struct {
	Key      string
	Name     string
	K1, KInf float64
	K        float64
	Source   string
}

const (
	srcHooper = "Hooper, Chem. Eng. 88 (1981) 17, pp. 96–100, as carried in open-source fluid libraries"
	srcMemory = "Hooper's method, from memory"
)

// Fittings lists the fittings we know. The valve at the nozzle has no
// published value: it stands in for a diaphragm valve until a bucket test says
// better (figures rig.trigger_k1, rig.trigger_kinf).
func Fittings() []Fitting {
	return []Fitting{
		{"elbow", "elbow, 90°, screwed", 800, 0.40, 0, srcHooper},
		{"long-elbow", "elbow, 90°, long radius", 800, 0.20, 0, srcHooper},
		{"half-elbow", "elbow, 45°", 500, 0.20, 0, srcHooper},
		{"tee-turn", "tee, round the corner", 500, 0.70, 0, srcHooper},
		{"tee-through", "tee, straight through", 200, 0.10, 0, srcHooper},
		{"ball", "gate or ball valve, full bore", 300, 0.10, 0, srcHooper},
		{"ball-reduced", "ball valve, reduced bore", 500, 0.15, 0, srcHooper},
		{"globe", "globe valve", 1500, 4.0, 0, srcHooper},
		{"angle", "angle or Y valve", 1000, 2.0, 0, srcHooper},
		{"swing-check", "check valve, swing", 1500, 1.5, 0, srcHooper},
		{"lift-check", "check valve, lift", 2000, 10, 0, srcHooper},
		{"diaphragm", "diaphragm valve", 1000, 2.0, 0, srcHooper},
		{"entrance", "out of the tank into the hose", 160, 0, 0.5, srcMemory},
		{"exit", "out of the nozzle", 0, 0, 1.0, srcMemory},
	}
}

// FittingByKey finds one of [Fittings].
func FittingByKey(key string) (Fitting, error) {
	for _, f := range Fittings() {
		if f.Key == key {
			return f, nil
		}
	}
	return Fitting{}, trouble(fault.NotFound, "rig.FittingByKey", "there is no fitting called %q", key).WithHint("elbow, ball, swing-check … see the list")
}

// Resist gives the K of f in a bore at a Reynolds number.
func (f Fitting) Resist(re float64, bore units.Length) float64 {
	return f.K1/math.Max(re, leastRe) + f.KInf*(1+float64(units.Inch/bore)) + f.K
}

// Line is all between the pump and the nozzle.
type Line struct {
	Hose     Hose
	Fittings []Fitting
	// Rise is how far the nozzle is above the syrup in the tank; below zero
	// where it is lower. So the height of the tank on the truck is counted.
	Rise units.Length
}

func (l Line) check(op string) error {
	if err := firstErr(l.Hose.check(op), finite(op, "the rise", float64(l.Rise))); err != nil {
		return err
	}
	for _, f := range l.Fittings {
		if err := firstErr(amount(op, "the resistance of a fitting", f.K1), amount(op, "the resistance of a fitting", f.KInf), amount(op, "the resistance of a fitting", f.K)); err != nil {
			return err
		}
	}
	return nil
}

// Loss is what a flow costs in pressure.
type Loss struct {
	Hose, Fittings units.Pressure
	Lift           units.Pressure // ρ g Rise; below zero downhill
	Reynolds       float64
	Friction       float64 // Darcy
	Velocity       float64 // m/s
}

// Total is all of it.
func (l Loss) Total() units.Pressure { return l.Hose + l.Fittings + l.Lift }

// Loss gives the loss of pressure at the flow q:
//
//	Δp = f·(L/D)·ρv²/2 + ΣK·ρv²/2 + ρ·g·Rise
//
// with [Friction], [CoilFactor] while laminar, and [Fitting.Resist].
func (l Line) Loss(q units.Flow, f Fluid) (Loss, error) {
	const op = "rig.Line.Loss"
	if err := firstErr(l.check(op), f.check(op), amount(op, "the flow", float64(q))); err != nil {
		return Loss{}, err
	}
	return l.loss(q, f), nil
}

func (l Line) loss(q units.Flow, f Fluid) Loss {
	out := Loss{Lift: units.Pressure(f.rho() * g * float64(l.Rise))}
	if q <= 0 {
		return out
	}
	h := l.Hose
	v := velocity(q, h.Bore)
	re := Reynolds(q, h.Bore, f)
	out.Velocity, out.Reynolds, out.Friction = v, re, Friction(re, float64(h.Rough/h.Bore))
	if RegimeOf(re) == Laminar {
		out.Friction *= CoilFactor(re, h.Bore, h.Reel)
	}
	head := f.rho() * v * v / 2
	out.Hose = units.Pressure(out.Friction * float64(h.Length/h.Bore) * head)
	for _, fit := range l.Fittings {
		out.Fittings += units.Pressure(fit.Resist(re, h.Bore) * head)
	}
	return out
}

// FlowAt gives the flow a fixed pressure drives through the line, in L/s; 0
// where the rise alone is too much. Found by halving: the loss grows with flow.
func (l Line) FlowAt(p units.Pressure, f Fluid) (units.Flow, error) {
	const op = "rig.Line.FlowAt"
	if err := firstErr(l.check(op), f.check(op), amount(op, "the pressure", float64(p))); err != nil {
		return 0, err
	}
	if l.Hose.Length <= 0 && len(l.Fittings) == 0 {
		return 0, trouble(fault.Missing, op, "nothing resists the flow").WithHint("give the length of the hose")
	}
	return l.flowAt(p, f), nil
}

func (l Line) flowAt(p units.Pressure, f Fluid) units.Flow {
	over := func(q float64) float64 { return float64(l.loss(units.Flow(q), f).Total() - p) }
	if over(0) >= 0 {
		return 0
	}
	hi := 1e-3
	for over(hi) < 0 && hi < 1e6 {
		hi *= 2
	}
	return units.Flow(root(over, 0, hi))
}

// bores are the usual hoses, by their nominal inches.
var bores = [...]units.Length{
	units.Inch / 4, units.Inch * 3 / 8, units.Inch / 2, units.Inch * 5 / 8, units.Inch * 3 / 4,
	units.Inch, units.Inch * 5 / 4, units.Inch * 3 / 2, units.Inch * 2,
}

// NextBore gives the next bigger usual hose, false above 2 inches.
func NextBore(b units.Length) (units.Length, bool) {
	for _, x := range bores {
		if x > b*1.05 {
			return x, true
		}
	}
	return b, false
}
