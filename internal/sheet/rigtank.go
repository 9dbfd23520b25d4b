package sheet

import (
	"math"

	"larder/internal/rig"
	"larder/internal/units"
)

// TankSide is what the side view of a tank shows.
type TankSide struct {
	Tank  rig.Tank
	Depth units.Length // of a full tank
	Level units.Length // on level ground; below 0 = not known
	Marks []TankMark   // a scale beside it
	Says  string       // beside the level
	Title string
	Desc  string
}

// TankMark is one line of the scale beside a tank.
type TankMark struct {
	At  units.Length // dip
	Say string
}

// outlineSteps is how many steps the outline of a tank is drawn in.
const outlineSteps = 32

// half gives half the width of a tank's side view at a height, in m.
func half(t rig.Tank, depth, y float64) float64 {
	switch t.Shape {
	case rig.Upright:
		r, cone := float64(t.Diameter)/2, float64(t.Cone)
		if cone > 0 && y < cone {
			tip := float64(t.Outlet) / 2
			return tip + (r-tip)*y/cone
		}
		return r
	case rig.Lying:
		r := float64(t.Diameter) / 2
		u := math.Min(1, math.Abs(y-r)/math.Max(r, 1e-9))
		out := 0.0
		switch t.End.Kind {
		case rig.Conical:
			out = float64(t.End.Depth) * (1 - u)
		case rig.Hemispherical:
			out = r * math.Sqrt(1-u*u)
		case rig.Elliptical, rig.Dished:
			// A dished end is drawn as an ellipse of its usual depth: a picture,
			// not the sum.
			a := float64(t.End.Depth)
			if a == 0 {
				a = r / 2
			}
			if t.End.Kind == rig.Dished {
				a = 0.34 * r
			}
			out = a * math.Sqrt(1-u*u)
		}
		return float64(t.Length)/2 + out
	case rig.Rectangular:
		return float64(t.Length) / 2
	}
	return depth * 0.55 // a tote or a tank known by its bucket table
}

// Draw draws the tank from the side with its level: the syrup is filled and
// hatched, its surface a thick line that reaches over the scale.
func (s TankSide) Draw() Drawing {
	const w, h, foot, head, scale = 340.0, 190.0, 12.0, 18.0, 150.0
	d := Drawing{W: w, H: h, Title: s.Title, Desc: s.Desc, Class: "rig"}
	depth := float64(s.Depth)
	if !(depth > 0) {
		return d
	}
	wide := 0.0
	for i := range outlineSteps + 1 {
		wide = math.Max(wide, half(s.Tank, depth, depth*float64(i)/outlineSteps))
	}
	k := math.Min((h-foot-head)/depth, (w-scale-8)/(2*wide))
	floorY, mid := h-foot, 4+wide*k
	at := func(x, y float64) Point { return Point{mid + x*k, floorY - y*k} }
	outline := func(top float64) []Point {
		var right, left []Point
		for i := range outlineSteps + 1 {
			y := top * float64(i) / outlineSteps
			x := half(s.Tank, depth, y)
			right = append(right, at(x, y))
			left = append(left, at(-x, y))
		}
		for i := len(left) - 1; i >= 0; i-- {
			right = append(right, left[i])
		}
		return right
	}
	level := float64(s.Level)
	if level > 0 {
		d.Add(Path{Runs: [][]Point{outline(math.Min(level, depth))}, Closed: true, Fill: Fill{Have, 0.35}})
	}
	d.Add(Path{Runs: [][]Point{outline(depth)}, Closed: true, Pen: Pen{Width: 2.2}})
	edge := mid + wide*k
	for _, m := range s.Marks {
		y := floorY - float64(m.At)*k
		d.Add(Line{edge + 4, y, edge + 12, y, Pen{Ink: Rule, Width: 1}})
		if s.Level < 0 || math.Abs(float64(m.At)-level)*k > 14 { // words need room
			d.Add(Text{X: edge + 16, Y: y + 5, Say: m.Say, Size: 14})
		}
	}
	if s.Level >= 0 {
		y := floorY - math.Min(level, depth)*k
		d.Add(Line{4, y, edge + 14, y, Pen{Width: 2.6}}, Text{X: edge + 18, Y: y + 5, Say: s.Says, Size: 14, Bold: true})
	}
	return d
}
