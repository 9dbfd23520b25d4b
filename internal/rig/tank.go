package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Shape is the shape of a tank.
type Shape string

// The shapes. The zero Shape is "not told".
const (
	Rectangular Shape = "rectangular"
	Upright     Shape = "upright" // cylinder standing, flat or cone bottom
	Lying       Shape = "lying"   // cylinder lying, any ends
	Tote        Shape = "tote"    // cage tote, by its contents alone
)

// EndKind is the shape of the ends of a lying cylinder.
type EndKind string

// The kinds of ends. The zero EndKind is Flat.
const (
	Flat          EndKind = ""
	Conical       EndKind = "conical"
	Elliptical    EndKind = "elliptical"
	Hemispherical EndKind = "hemispherical"
	Dished        EndKind = "dished" // torispherical
)

// End is one end of a lying cylinder; both are alike.
type End struct {
	Kind EndKind
	// Depth is how far the end stands out, for Conical and Elliptical; 0 for
	// Elliptical is a quarter of the diameter (the usual 2:1 head).
	Depth units.Length
	// Crown and Knuckle are radii as parts of the diameter, for Dished. Both 0
	// is the usual 1 and 0.06. A plain dished end without a knuckle, Crown 1 and
	// Knuckle 0, holds a third less: do not take one for the other.
	Crown, Knuckle float64
}

// depth is how far the end stands out, in m.
func (e End) depth(r float64) float64 {
	switch e.Kind {
	case Conical, Elliptical:
		return float64(e.Depth)
	case Hemispherical:
		return r
	case Dished:
		crown, knuckle, alpha := e.dish(r)
		return crown*(1-math.Cos(alpha)) + knuckle*math.Cos(alpha)
	}
	return 0
}

// Tank is what holds the syrup; all sizes are inside sizes. The zero Tank is
// no tank. Which fields count depends on Shape; Strap counts before all.
type Tank struct {
	Shape    Shape
	Length   units.Length // Rectangular: along the truck. Lying: of the shell, without ends
	Width    units.Length // Rectangular
	Height   units.Length // Rectangular, Upright: in all, with the cone
	Diameter units.Length // Upright, Lying
	Corner   units.Length // Rectangular: radius of the four upright corners
	End      End          // Lying
	Cone     units.Length // Upright: depth of the cone bottom, 0 for none
	Outlet   units.Length // Upright: diameter at the tip of the cone, 0 for a point
	Holds    units.Volume // Tote: its contents, 1000 L say

	// Strap is a table made by the keeper with a bucket. It overrides geometry.
	Strap []Strap

	Heel units.Volume // what stays in below the outlet and never comes out
}

// filled gives t with the usual sizes put in where none were told. A tote
// becomes a box of the figure's plan area.
func (t Tank) filled(fig figure.Set) Tank {
	e := &t.End
	if e.Kind == Elliptical && e.Depth == 0 {
		e.Depth = t.Diameter / 4
	}
	if e.Kind == Dished && e.Crown == 0 && e.Knuckle == 0 {
		e.Crown, e.Knuckle = 1, 0.06
	}
	if t.Shape == Tote {
		plan := or(fig).V(KeyTotePlan)
		t.Length, t.Width = units.Length(math.Sqrt(plan)), units.Length(math.Sqrt(plan))
		t.Height = units.Length(float64(t.Holds) / 1000 / plan)
	}
	return t
}

// Check tells what is missing or cannot be.
func (t Tank) Check() error {
	const op = "rig.Tank"
	if err := amount(op, "what stays in the tank", float64(t.Heel)); err != nil {
		return err
	}
	if len(t.Strap) > 0 {
		_, err := strapping(t.Strap)
		return err
	}
	t = t.filled(figure.Set{})
	switch t.Shape {
	case Rectangular:
		if err := firstErr(positive(op, "the length of the tank", float64(t.Length)), positive(op, "the width of the tank", float64(t.Width)),
			positive(op, "the height of the tank", float64(t.Height)), amount(op, "the radius of the corners", float64(t.Corner))); err != nil {
			return err
		}
		if 2*t.Corner > min(t.Length, t.Width) {
			return trouble(fault.OutOfRange, op, "the corners are rounder than the tank is wide").WithHint("measure the radius of one corner, not its diameter")
		}
	case Tote:
		return positive(op, "what the tote holds", float64(t.Holds))
	case Upright:
		if err := firstErr(positive(op, "the diameter of the tank", float64(t.Diameter)), positive(op, "the height of the tank", float64(t.Height)),
			amount(op, "the depth of the cone", float64(t.Cone)), amount(op, "the outlet", float64(t.Outlet))); err != nil {
			return err
		}
		if t.Cone > t.Height || t.Outlet > t.Diameter {
			return trouble(fault.OutOfRange, op, "the cone is bigger than the tank").WithHint("give the height of the whole tank, cone and all")
		}
	case Lying:
		return firstErr(positive(op, "the diameter of the tank", float64(t.Diameter)), amount(op, "the length of the shell", float64(t.Length)), t.End.check(op, t))
	case "":
		return trouble(fault.Missing, op, "the shape of the tank has not been told").WithHint("rectangular, upright, lying or tote; or fill it with a bucket and keep the table")
	default:
		return trouble(fault.NotFound, op, "there is no tank of the shape %q", string(t.Shape)).WithHint("rectangular, upright, lying or tote")
	}
	return nil
}

func (e End) check(op string, t Tank) error {
	switch e.Kind {
	case Flat, Hemispherical:
		if e.Kind == Flat {
			return positive(op, "the length of the shell", float64(t.Length))
		}
		return nil
	case Conical, Elliptical:
		return positive(op, "how far the ends stand out", float64(e.Depth))
	case Dished:
		// The crown must reach the rim: f ≥ ½, and the knuckle must be the
		// smaller of the two.
		if !(e.Crown >= 0.5 && e.Crown <= 10 && e.Knuckle >= 0 && e.Knuckle < 0.5 && e.Knuckle < e.Crown) {
			return trouble(fault.OutOfRange, op, "such a dished end cannot be").WithHint("crown radius ½ to 10 times the diameter, knuckle less than half of it; the usual end is 1 and 0.06")
		}
		return nil
	}
	return trouble(fault.NotFound, op, "there is no end of the kind %q", string(e.Kind)).WithHint("flat, conical, elliptical, hemispherical or dished")
}

// Depth gives the greatest dip: a full tank.
func (t Tank) Depth(fig figure.Set) (units.Length, error) {
	if err := t.Check(); err != nil {
		return 0, err
	}
	return units.Length(t.filled(fig).depth()), nil
}

func (t Tank) depth() float64 {
	switch {
	case len(t.Strap) > 0:
		return float64(t.Strap[len(t.Strap)-1].Dip)
	case t.Shape == Lying:
		return float64(t.Diameter)
	}
	return float64(t.Height)
}

// litres is what t, checked and filled, holds at the dip h in m on level
// ground, in L. h is clamped to the tank.
//
//	rectangular  (a·b − (4−π)r²)·h
//	upright      π R² h; in the cone π h (r0² + r0 r + r²)/3 with r the radius at h
//	lying        segment(R,h)·L + 2 heads
func (t Tank) litres(h float64) float64 {
	if len(t.Strap) > 0 {
		return table{t.Strap}.at(h)
	}
	h = clamp(h, 0, t.depth())
	switch t.Shape {
	case Upright:
		return 1000 * t.upright(h)
	case Lying:
		r := float64(t.Diameter) / 2
		return 1000 * (segment(r, h)*float64(t.Length) + 2*t.End.head(r, h))
	}
	return 1000 * t.plan() * h
}

func (t Tank) upright(h float64) float64 {
	top, tip, cone := float64(t.Diameter)/2, float64(t.Outlet)/2, float64(t.Cone)
	in := math.Min(h, cone)
	var v float64
	if cone > 0 {
		r := tip + (top-tip)*in/cone
		v = math.Pi * in * (tip*tip + tip*r + r*r) / 3
	}
	return v + math.Pi*top*top*(h-in)
}

// plan is the area in m² of a tank with upright walls, seen from above.
func (t Tank) plan() float64 {
	switch t.Shape {
	case Upright:
		return math.Pi * float64(t.Diameter) * float64(t.Diameter) / 4
	case Rectangular, Tote:
		return float64(t.Length)*float64(t.Width) - (4-math.Pi)*float64(t.Corner)*float64(t.Corner)
	}
	return 0
}

// Full gives what t holds to the brim. Never fill it so: see [Tank.Usable].
func (t Tank) Full(fig figure.Set) (units.Volume, error) {
	if err := t.Check(); err != nil {
		return 0, err
	}
	t = t.filled(fig)
	return units.Volume(t.litres(t.depth())), nil
}

// Usable gives what may be filled in and really comes out: the full tank less
// the room left on top (figure rig.ullage), less the heel. A heel bigger than
// that is refused.
func (t Tank) Usable(fig figure.Set) (units.Volume, error) {
	full, err := t.Full(fig)
	if err != nil {
		return 0, err
	}
	v := full*units.Volume(1-or(fig).V(KeyUllage)) - t.Heel
	if v <= 0 {
		return 0, trouble(fault.OutOfRange, "rig.Tank.Usable", "what stays in the tank is as much as it may hold").WithHint("check the heel and the size of the tank")
	}
	return v, nil
}

// DipFor gives the dip at which the tank holds v on level ground. More than it
// holds is [fault.WontFit]. Found by halving; the volume is monotone in the dip.
func (t Tank) DipFor(v units.Volume, fig figure.Set) (units.Length, error) {
	const op = "rig.Tank.DipFor"
	full, err := t.Full(fig)
	if err := firstErr(err, amount(op, "the contents", float64(v))); err != nil {
		return 0, err
	}
	if v > full*(1+1e-12) {
		return 0, trouble(fault.WontFit, op, "the tank holds %.0f L to the brim, not %.0f L", float64(full), float64(v)).WithHint("load less, or twice")
	}
	t = t.filled(fig)
	lo := 0.0
	if n := len(t.Strap); n > 0 {
		lo = float64(t.Strap[0].Dip)
		if v < t.Strap[0].Contents {
			return 0, trouble(fault.NotKnownHere, op, "the bucket table begins at %.1f L", float64(t.Strap[0].Contents)).WithHint("add the dip of an empty tank to the table")
		}
	}
	return units.Length(root(func(h float64) float64 { return t.litres(h) - float64(v) }, lo, t.depth())), nil
}
