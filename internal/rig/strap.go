package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/units"
)

// Strap is one line of a table made by filling the tank with known volumes on
// level ground: so much in it, so deep a dip.
type Strap struct {
	Dip      units.Length
	Contents units.Volume
}

// fewest is how many lines a bucket table should have: reference practice, 10
// points or more. Fewer are used, with the wider spread they earn.
const fewest = 10

// StrapFromBuckets makes the table from dips read after each bucket of the
// same size. The first dip, of the empty tank, may be 0.
func StrapFromBuckets(bucket units.Volume, empty units.Length, dips []units.Length) ([]Strap, error) {
	if err := positive("rig.StrapFromBuckets", "the size of the bucket", float64(bucket)); err != nil {
		return nil, err
	}
	out := []Strap{{Dip: empty}}
	for i, d := range dips {
		out = append(out, Strap{Dip: d, Contents: bucket * units.Volume(i+1)})
	}
	return strapping(out)
}

// StrapCautions says what a bucket table lacks.
func StrapCautions(s []Strap) []Caution {
	if len(s) >= fewest {
		return nil
	}
	return []Caution{caution("strap-few", "A bucket table of {0} lines is a rough one: ten or more", len(s))}
}

// strapping refuses a table that does not rise from line to line.
func strapping(s []Strap) ([]Strap, error) {
	const op = "rig.Strap"
	if len(s) < 2 {
		return nil, trouble(fault.Missing, op, "a bucket table needs at least two lines").WithHint("ten or more, with a weighed bucket, on level ground")
	}
	for i, l := range s {
		if err := firstErr(amount(op, "a dip", float64(l.Dip)), amount(op, "the contents", float64(l.Contents))); err != nil {
			return nil, err
		}
		if i > 0 && (l.Dip <= s[i-1].Dip || l.Contents <= s[i-1].Contents) {
			return nil, trouble(fault.OutOfRange, op, "line %d of the bucket table does not rise above the line before", i+1).WithHint("each bucket must raise the dip; check lines %d and %d", i, i+1)
		}
	}
	return s, nil
}

// table reads a checked strapping table. Between its lines it follows a
// monotone cubic (Fritsch & Butland 1984, weighted harmonic mean of the
// slopes, from memory), so it never rises and falls between two buckets and
// has no corner where there is none in the tank.
type table struct{ s []Strap }

// at gives litres at the dip h in m, clamped to the table.
func (t table) at(h float64) float64 {
	n := len(t.s)
	if h <= float64(t.s[0].Dip) {
		return float64(t.s[0].Contents)
	}
	if h >= float64(t.s[n-1].Dip) {
		return float64(t.s[n-1].Contents)
	}
	i := t.find(h)
	x0, x1 := float64(t.s[i].Dip), float64(t.s[i+1].Dip)
	y0, y1 := float64(t.s[i].Contents), float64(t.s[i+1].Contents)
	w := x1 - x0
	u := (h - x0) / w
	u2, u3 := u*u, u*u*u
	y := y0*(2*u3-3*u2+1) + w*t.slope(i)*(u3-2*u2+u) + y1*(3*u2-2*u3) + w*t.slope(i+1)*(u3-u2)
	return clamp(y, y0, y1)
}

// straight gives litres by straight lines between the table's lines; how far
// it lies from at is what the shape between two buckets may cost.
func (t table) straight(h float64) float64 {
	h = clamp(h, float64(t.s[0].Dip), float64(t.s[len(t.s)-1].Dip))
	i := t.find(h)
	u := (h - float64(t.s[i].Dip)) / float64(t.s[i+1].Dip-t.s[i].Dip)
	return float64(t.s[i].Contents) + u*float64(t.s[i+1].Contents-t.s[i].Contents)
}

// find gives the line at or before h.
func (t table) find(h float64) int {
	i := 0
	for i < len(t.s)-2 && h >= float64(t.s[i+1].Dip) {
		i++
	}
	return i
}

// rise is the slope in L/m between lines i and i+1.
func (t table) rise(i int) float64 {
	return float64(t.s[i+1].Contents-t.s[i].Contents) / float64(t.s[i+1].Dip-t.s[i].Dip)
}

// slope is the slope in L/m at line i.
func (t table) slope(i int) float64 {
	n := len(t.s)
	switch {
	case n == 2:
		return t.rise(0)
	case i == 0:
		return t.endSlope(0, 1)
	case i == n-1:
		return t.endSlope(n-2, n-3)
	}
	h0, h1 := float64(t.s[i].Dip-t.s[i-1].Dip), float64(t.s[i+1].Dip-t.s[i].Dip)
	d0, d1 := t.rise(i-1), t.rise(i)
	w0, w1 := 2*h1+h0, h1+2*h0
	return (w0 + w1) / (w0/d0 + w1/d1)
}

// endSlope is the three-point slope at an end, kept within 0…3 times the
// slope of the end's own stretch, which is what keeps the curve monotone.
func (t table) endSlope(near, next int) float64 {
	h0 := math.Abs(float64(t.s[near+1].Dip - t.s[near].Dip))
	h1 := math.Abs(float64(t.s[next+1].Dip - t.s[next].Dip))
	d0, d1 := t.rise(near), t.rise(next)
	return clamp(((2*h0+h1)*d0-h0*d1)/(h0+h1), 0, 3*d0)
}
