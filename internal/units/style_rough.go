package units

import "math"

// What follows is for what is worked out from rough things (a hose, a pump's
// plate, a tape in a tank): never more than two figures, and no finer than the
// spread.

// roughly rounds x to two figures.
func roughly(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	p := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
	return math.Round(x/p) * p
}

// places gives the decimals of what was rounded by roughly; at least 0.
func places(x float64) int {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return min(max(1-int(math.Floor(math.Log10(math.Abs(roughly(x))))), 0), 9)
}

// Two writes a plain number with at most two figures: "0.097", "5.9", "150".
func (s Style) Two(x float64) string { return s.trim(roughly(x), places(x)) }

// roughPM writes "5.9 ± 0.3", both to the same place: the second figure of x, or
// the first of the spread where that is coarser. A spread below that place is
// written as one of it: nothing rough is exact. No spread, no "±".
func (s Style) roughPM(x, sd float64) string {
	if !(sd > 0) || math.IsInf(sd, 0) || x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return s.Two(x)
	}
	e := max(math.Floor(math.Log10(math.Abs(x)))-1, math.Floor(math.Log10(sd)))
	p := math.Pow(10, e)
	d := min(max(int(-e), 0), 9)
	return s.Num(math.Round(x/p)*p, d) + " ± " + s.Num(math.Max(1, math.Round(sd/p))*p, d)
}

// FlowPM writes a flow and its standard deviation: "1.5 ± 0.1 US gal/min".
func (s Style) FlowPM(f, sd Flow) string {
	u := s.pick(&flowUnits, "US gal/min", "L/min", "UK gal/min")
	return s.roughPM(u.show(float64(f)), float64(sd)/u.size()) + " " + shown(u)
}

// SpanPM writes a rough span of time and its standard deviation, in seconds up
// to five minutes, minutes up to two hours, else hours: "58 ± 6 s", "3.0 ± 0.1 h".
func (s Style) SpanPM(d, sd Duration) string {
	one, name := Duration(1), "s"
	switch x := Duration(math.Abs(float64(d))); {
	case x >= 2*Hour:
		one, name = Hour, "h"
	case x >= 5*Minute:
		one, name = Minute, "min"
	}
	return s.roughPM(float64(d/one), float64(sd/one)) + " " + name
}

// EnergyPM writes an energy and its standard deviation in kWh: "9.1 ± 0.2 kWh".
func (s Style) EnergyPM(e, sd Energy) string {
	return s.roughPM(float64(e/KWh), float64(sd/KWh)) + " kWh"
}

// VolumeTwo and MassTwo write amounts with at most two figures, in gallons or
// litres, pounds or kilograms.
func (s Style) VolumeTwo(v Volume) string {
	u := s.gallon()
	return s.Two(u.show(float64(v))) + " " + shown(u)
}

// MassTwo: see [Style.VolumeTwo].
func (s Style) MassTwo(m Mass) string {
	u := s.massUnit()
	return s.Two(u.show(float64(m))) + " " + shown(u)
}

// VolumeTwoPM is [Style.VolumeTwo] with the standard deviation.
func (s Style) VolumeTwoPM(v, sd Volume) string {
	u := s.gallon()
	return s.roughPM(u.show(float64(v)), float64(sd)/u.size()) + " " + shown(u)
}
