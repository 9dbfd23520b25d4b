package sheet

import (
	"math"

	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/units"
)

// Tick is one mark of an axis.
type Tick struct {
	At  float64 // in the unit of the scale
	Say string
}

// Scale is an axis from 0 to Max with its ticks at handy numbers of the
// keeper's unit.
type Scale struct {
	Max   float64 // in kilograms
	Unit  string  // as the keeper says it, "lb"
	Ticks []Tick
}

// niceStep gives the step of 1, 2 or 5 times a power of ten that divides span
// into no more than most parts.
func niceStep(span float64, most int) float64 {
	if !(span > 0) || math.IsInf(span, 0) || most < 1 {
		return 1
	}
	raw := span / float64(most)
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range [...]float64{1, 2, 5} {
		if k*ten >= raw*(1-1e-9) {
			return k * ten
		}
	}
	return 10 * ten
}

// NiceTicks gives handy numbers from lo up to hi, no more than most + 1 of them.
func NiceTicks(lo, hi float64, most int) []float64 {
	step := niceStep(hi-lo, most)
	var out []float64
	for n := math.Ceil(lo/step - 1e-9); n*step <= hi+step*1e-9 && len(out) <= most; n++ {
		out = append(out, n*step)
	}
	return out
}

// MassScale makes an axis from 0 that reaches most, with at most so many steps,
// each a handy number of the keeper's unit. Nothing to show gives an axis to 10
// of them.
func MassScale(most units.Mass, s units.Style, steps int) Scale {
	col := s.MassCol()
	one := 1 / col.Value(1) // kilograms in the keeper's unit
	top := col.Value(most)
	if !(top > 0) || math.IsInf(top, 0) {
		top = 10
	}
	step := niceStep(top, steps)
	n := int(math.Ceil(top/step - 1e-9))
	sc := Scale{Max: float64(n) * step * one, Unit: col.Unit}
	for i := range n + 1 {
		x := float64(i) * step
		sc.Ticks = append(sc.Ticks, Tick{x * one, s.Num(x, decimals(step))})
	}
	return sc
}

// decimals gives the digits after the point that multiples of step need.
func decimals(step float64) int {
	if step >= 1 || !(step > 0) {
		return 0
	}
	return int(math.Ceil(-math.Log10(step) - 1e-9))
}

// StoresScale makes the one axis on which all rows of a table are drawn: it
// reaches the highest target and nine in ten of every estimate.
func StoresScale(shorts []season.Short, s units.Style) Scale {
	var most units.Mass
	for i := range shorts {
		x := &shorts[i]
		most = max(most, x.Lack.Target)
		if hi := high80(x.Stores()); hi > 0 {
			most = max(most, units.Mass(hi))
		}
	}
	return MassScale(most, s, 4)
}

// low80 and high80 give the ends of the range that holds 8 cases in 10.
func low80(e figure.Estimate) float64  { return quantile(e, 0.1) }
func high80(e figure.Estimate) float64 { return quantile(e, 0.9) }

func quantile(e figure.Estimate, p float64) float64 {
	if !e.Known {
		return math.NaN()
	}
	if e.SD == 0 {
		return e.Mean
	}
	return e.Quantile(p)
}

// x places a value of the scale on a run of w units from left, kept within it.
func (s Scale) x(v, left, w float64) float64 {
	if !(s.Max > 0) || math.IsNaN(v) {
		return left
	}
	return left + w*min(1, max(0, v/s.Max))
}
