package rig

import "math"

// This file is bare geometry in metres; nothing here knows of tanks.

// segment is the area in m² of a circle of radius r wetted to the depth h:
// r² acos((r−h)/r) − (r−h)·√(2rh−h²) = r²/2·(φ − sin φ), φ the wet angle. h is
// clamped to 0…2r.
func segment(r, h float64) float64 {
	if r <= 0 || h <= 0 {
		return 0
	}
	phi := 4 * math.Asin(math.Sqrt(clamp(h/(2*r), 0, 1)))
	if phi < 0.1 {
		// φ − sin φ loses its digits there; the series does not.
		p2 := phi * phi
		return r * r / 2 * phi * p2 / 6 * (1 - p2/20*(1-p2/42))
	}
	return r * r / 2 * (phi - math.Sin(phi))
}

func clamp(x, lo, hi float64) float64 { return math.Min(math.Max(x, lo), hi) }

// piece is a stretch of the outline of a head of revolution, as a curve with
// parameter t: at(t) gives the distance x outwards from the joint with the
// shell, the radius there, and |dx/dt|.
type piece struct {
	from, to float64
	at       func(t float64) (x, r, dx float64)
}

// outline gives the pieces of one head of kind e on a shell of radius R. Where
// the outline runs square to the axis, an angle is the better parameter: the
// integrand stays smooth.
func (e End) outline(r float64) []piece {
	a := e.depth(r)
	switch e.Kind {
	case Conical:
		return []piece{{0, a, func(x float64) (float64, float64, float64) { return x, r * (1 - x/a), 1 }}}
	case Elliptical, Hemispherical:
		return []piece{{0, math.Pi / 2, func(p float64) (float64, float64, float64) {
			return a * math.Sin(p), r * math.Cos(p), a * math.Cos(p)
		}}}
	case Dished:
		crown, knuckle, alpha := e.dish(r)
		return []piece{
			{0, math.Pi/2 - alpha, func(p float64) (float64, float64, float64) {
				return knuckle * math.Sin(p), r - knuckle*(1-math.Cos(p)), knuckle * math.Cos(p)
			}},
			{0, alpha, func(p float64) (float64, float64, float64) {
				return a - crown*(1-math.Cos(p)), crown * math.Sin(p), crown * math.Sin(p)
			}},
		}
	}
	return nil
}

// dish gives crown and knuckle radius and the half angle of the crown, of a
// torispherical head: sin α = (1−2k)/(2(f−k)) with f = crown/D, k = knuckle/D.
func (e End) dish(r float64) (crown, knuckle, alpha float64) {
	f, k := e.Crown, e.Knuckle
	return f * 2 * r, k * 2 * r, math.Asin(clamp((1-2*k)/(2*(f-k)), -1, 1))
}

// headSlices is the volume in m³ of one head by slices square to the axis:
// ∫ segment(r(x), level(x) − (R − r(x))) dx, where level(x) is the depth above
// the shell's lowest line. Exact for any head of revolution.
func (e End) headSlices(r float64, level func(x float64) float64) float64 {
	var v float64
	for _, p := range e.outline(r) {
		v += integrate(func(t float64) float64 {
			x, rx, dx := p.at(t)
			return segment(rx, level(x)-(r-rx)) * dx
		}, p.from, p.to)
	}
	return v
}

// headClosed is the volume in m³ of one head wetted to h on level ground, in
// closed form; ok is false for heads that have none. Source: Jones, Calculating
// Tank Volume (ellipsoidal and conical horizontal tanks), per head.
func (e End) headClosed(r, h float64) (v float64, ok bool) {
	a := e.depth(r)
	h = clamp(h, 0, 2*r)
	switch e.Kind {
	case Flat:
		return 0, true
	case Elliptical, Hemispherical:
		// π a h² (1 − h/(3r)) for two.
		return math.Pi * a * h * h * (1 - h/(3*r)) / 2, true
	case Conical:
		m := math.Abs((r - h) / r)
		k := math.Pi / 2
		if m > 0 {
			k = math.Acos(clamp(m, 0, 1)) + m*m*m*math.Acosh(math.Max(1, 1/m)) - 2*m*math.Sqrt(math.Max(0, 1-m*m))
			if h > r {
				k = math.Pi - k
			}
		}
		// Near an empty tank the sum loses its digits and may fall below nothing.
		return a * r * r / 3 * math.Max(0, k), true
	}
	return 0, false
}

// head is one head on level ground, closed if it can be.
func (e End) head(r, h float64) float64 {
	if v, ok := e.headClosed(r, h); ok {
		return v
	}
	return e.headSlices(r, func(float64) float64 { return h })
}

// Gauss-Legendre nodes and weights on [−1,1], 16 points; fixed once worked out.
var nodes, weights = gaussLegendre(16)

// panels is into how many parts a stretch is cut; the wet edge inside a part
// costs accuracy, and 12 keep a dished head within 1e-7 of its volume.
const panels = 12

// integrate is ∫ f over [a,b].
func integrate(f func(float64) float64, a, b float64) float64 {
	var sum float64
	w := (b - a) / panels
	for i := range panels {
		mid := a + (float64(i)+0.5)*w
		for j, x := range nodes {
			sum += weights[j] * f(mid+x*w/2)
		}
	}
	return sum * w / 2
}

// gaussLegendre finds the roots of the Legendre polynomial of degree n by
// Newton's method. Source: Abramowitz & Stegun, 25.4.29–30, from memory.
func gaussLegendre(n int) (x, w []float64) {
	x, w = make([]float64, n), make([]float64, n)
	for i := range n {
		z := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		var d float64
		for range 100 {
			p, q := 1.0, 0.0
			for k := range n {
				p, q = ((2*float64(k)+1)*z*p-float64(k)*q)/float64(k+1), p
			}
			d = float64(n) * (z*p - q) / (z*z - 1)
			step := p / d
			z -= step
			if math.Abs(step) < 1e-15 {
				break
			}
		}
		x[i], w[i] = z, 2/((1-z*z)*d*d)
	}
	return x, w
}
