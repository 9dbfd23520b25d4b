package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Angle is in degrees.
type Angle float64

func (a Angle) rad() float64 { return float64(a) * math.Pi / 180 }

// Tilt is how the truck stands. Pitch is along the length of the tank, Roll
// across it; both are positive where the end you count Along from the middle,
// or the side you count Across, lies downhill. The zero Tilt is level ground.
type Tilt struct{ Pitch, Roll Angle }

// steepest is the steepest ground we work out anything for: the reference's
// examples stop at 3°, a truck is not parked for filling on more than 15°.
const steepest = 15

// Dip is a reading of the stick.
type Dip struct {
	Depth units.Length // wetted length
	// Along and Across tell where the dip hole is, from the middle of the
	// tank seen from above; see Tilt for the sign.
	Along, Across units.Length
	// Plumb is true for a tape that hangs, false for a stick held along the
	// wall of the tank.
	Plumb bool
}

// Contents gives the litres in the tank for a dip, with their spread: that of
// the dip itself (figure rig.dip_sd_mm: foam, film, the eye) times the surface,
// and that of the tank's sizes (rig.size_sd) or of the bucket (rig.bucket_sd).
//
// On a slope, an upright tank is exact while the surface meets only its walls,
// and not known where it meets bottom or top; a lying cylinder is exact always,
// by slices; a bucket table holds for level ground only.
func (t Tank) Contents(d Dip, at Tilt, fig figure.Set) (figure.Estimate, error) {
	const op = "rig.Tank.Contents"
	err := firstErr(t.Check(), amount(op, "the dip", float64(d.Depth)), finite(op, "the place of the dip hole", float64(d.Along+d.Across)),
		covered(op, "a slope", "°", float64(at.Pitch), -steepest, steepest), covered(op, "a slope", "°", float64(at.Roll), -steepest, steepest))
	if err != nil {
		return figure.Estimate{}, err
	}
	fig = or(fig)
	t = t.filled(fig)
	v, err := t.tilted(d, at)
	if err != nil {
		return figure.Estimate{}, err
	}
	sd, err := t.spread(d, at, v, fig)
	if err != nil {
		return figure.Estimate{}, err
	}
	return figure.Est(v, sd), nil
}

// tilted is the contents in L for a dip on a slope.
func (t Tank) tilted(d Dip, at Tilt) (float64, error) {
	const op = "rig.Tank.Contents"
	depth := t.depth()
	if float64(d.Depth) > depth*(1+1e-9) && at == (Tilt{}) {
		return 0, trouble(fault.OutOfRange, op, "a dip of %.0f mm is deeper than the tank, %.0f mm", float64(d.Depth)*1000, depth*1000).WithHint("read the stick again")
	}
	switch {
	case len(t.Strap) > 0:
		return t.strapped(d, at)
	case t.Shape == Lying:
		return t.lyingTilted(d, at), nil
	}
	return t.walls(d, at)
}

// strapped reads the bucket table.
func (t Tank) strapped(d Dip, at Tilt) (float64, error) {
	const op = "rig.Tank.Contents"
	if at != (Tilt{}) {
		return 0, trouble(fault.NotKnownHere, op, "a bucket table holds on level ground only").WithHint("level the truck, or dip at home")
	}
	if d.Depth < t.Strap[0].Dip {
		return 0, trouble(fault.NotKnownHere, op, "the bucket table begins at a dip of %.0f mm", float64(t.Strap[0].Dip)*1000).WithHint("add the dip of an empty tank to the table")
	}
	return table{t.Strap}.at(float64(d.Depth)), nil
}

// walls is a tank with upright walls on a slope. The depth in the middle of the
// plan is the dip less the hole's place times the slope; a tape that hangs is
// longer by 1/cos of the slope than the depth along the wall.
func (t Tank) walls(d Dip, at Tilt) (float64, error) {
	const op = "rig.Tank.Contents"
	tx, ty := math.Tan(at.Pitch.rad()), math.Tan(at.Roll.rad())
	h := float64(d.Depth)
	if d.Plumb {
		h /= math.Sqrt(1 + tx*tx + ty*ty)
	}
	h -= float64(d.Along)*tx + float64(d.Across)*ty
	half := t.swing(tx, ty)
	if at != (Tilt{}) && (h-float64(t.Cone) < half || h+half > t.depth()) {
		return 0, trouble(fault.NotKnownHere, op, "on this slope the surface meets the bottom or the top of the tank").WithHint("level the truck and dip again")
	}
	return t.litres(h), nil
}

// swing is how far the surface stands above and below its middle at the walls.
func (t Tank) swing(tx, ty float64) float64 {
	if t.Shape == Upright {
		return float64(t.Diameter) / 2 * math.Hypot(tx, ty)
	}
	return float64(t.Length)/2*math.Abs(tx) + float64(t.Width)/2*math.Abs(ty)
}

// lyingTilted is a lying cylinder on a slope. Roll about its own axis leaves
// the contents as they are but slants the stick: a reading along the rolled
// diameter crosses the surface at R + (h−R)/cos(roll). A tape that hangs is
// not slanted by the roll, but is by the pitch.
func (t Tank) lyingTilted(d Dip, at Tilt) float64 {
	r := float64(t.Diameter) / 2
	h := float64(d.Depth)
	if d.Plumb {
		h *= math.Cos(at.Pitch.rad())
	} else if at.Roll != 0 {
		h = r + (h-r)*math.Cos(at.Roll.rad())
	}
	slope := math.Tan(at.Pitch.rad())
	mid := h - float64(d.Along)*slope
	if slope == 0 {
		return t.litres(mid)
	}
	return 1000 * t.pitched(r, mid, slope)
}

// pitched is the contents in m³ of a lying cylinder with the depth mid at the
// middle of its length, rising by slope downhill: ∫ segment(R, mid + s·slope) ds
// over the shell, and the same in the heads.
func (t Tank) pitched(r, mid, slope float64) float64 {
	half := float64(t.Length) / 2
	// Where the bottom falls dry and where the shell runs full: between the
	// two the integrand is smooth.
	dry, full := -mid/slope, (2*r-mid)/slope
	if slope < 0 {
		dry, full = full, dry
	}
	a, b := clamp(dry, -half, half), clamp(full, -half, half)
	v := integrate(func(s float64) float64 { return segment(r, mid+s*slope) }, a, b)
	if slope > 0 {
		v += math.Pi * r * r * (half - b)
	} else {
		v += math.Pi * r * r * (a + half)
	}
	v += t.End.headSlices(r, func(x float64) float64 { return mid + (half+x)*slope })
	return v + t.End.headSlices(r, func(x float64) float64 { return mid - (half+x)*slope })
}

// spread is one standard deviation of the contents v, in L.
func (t Tank) spread(d Dip, at Tilt, v float64, fig figure.Set) (float64, error) {
	step := fig.V(KeyDip) / 1000
	surface := t.surface(d, at, step)
	sd := surface * step
	if len(t.Strap) > 0 {
		tb := table{t.Strap}
		h := float64(d.Depth)
		bends := math.Abs(tb.at(h) - tb.straight(h))
		return math.Sqrt(sd*sd + bends*bends + v*fig.V(KeyBucketSD)*v*fig.V(KeyBucketSD)), nil
	}
	size := fig.V(KeySize)
	if t.Shape == Tote {
		// The plan of a tote is a guess until dipped; the height goes with it.
		size = fig.SD(KeyTotePlan) / fig.V(KeyTotePlan)
	}
	return math.Hypot(sd, size*v), nil
}

// surface is litres per metre of dip around d.
func (t Tank) surface(d Dip, at Tilt, step float64) float64 {
	lo, hi := d, d
	lo.Depth = max(0, d.Depth-units.Length(step))
	hi.Depth = min(units.Length(t.depth()), d.Depth+units.Length(step))
	a, errA := t.tilted(lo, at)
	b, errB := t.tilted(hi, at)
	switch {
	case hi.Depth <= lo.Depth:
		return 0
	case errA != nil || errB != nil:
		// At the edge of what is known: the plan area, which is what a tank
		// with upright walls has everywhere.
		return 1000 * t.plan()
	}
	return (b - a) / float64(hi.Depth-lo.Depth)
}
