package units

import (
	"math"
	"strconv"
)

// Volume writes a volume as the trade says it. US: quarts below a gallon ("3
// qt"), gallons above ("2.5 US gal"); UK: pints and gallons; metric: litres.
// Below 0.1 L it is in millilitres everywhere, since labels are.
func (s Style) Volume(v Volume) string {
	u := s.volumeUnit(v)
	x := u.show(float64(v))
	switch a := math.Abs(x); {
	case u.name == "mL":
		return s.sig(x, 3) + " mL"
	case u.name != "L" && a < 20 && math.Abs(x*4-math.Round(x*4)) < 0.04:
		return s.trim(rounded(x, 0.25), 2) + " " + shown(u) // quarters are whole quarts
	case u.name != "L" && u == s.gallon() && a < 5 && math.Abs(x*8-math.Round(x*8)) < 0.01:
		// An odd eighth of a gallon is half a quart, or a pint: "1.9 US gal" would
		// be another amount.
		return s.trim(s.jug().show(float64(v)), 1) + " " + shown(s.jug())
	case a < 20:
		return s.trim(x, 1) + " " + shown(u)
	}
	return s.trim(x, 0) + " " + shown(u)
}

// VolumePM writes a volume and its standard deviation, "2.5 ± 0.3 US gal".
func (s Style) VolumePM(v, sd Volume) string {
	return s.pm(float64(v), float64(sd), s.volumeUnit(v), func() string { return s.Volume(v) })
}

// VolumeBig writes what is in tanks and batches, in gallons or litres: "40 US
// gal", "12.5 US gal", "150 L".
func (s Style) VolumeBig(v Volume) string {
	u := s.gallon()
	x := u.show(float64(v))
	d := 0
	if math.Abs(x) < 20 {
		d = 1
	}
	return s.trim(x, d) + " " + shown(u)
}

// VolumeSmall writes what goes into a feeder or jug, in quarts, pints or
// litres: "10 qt".
func (s Style) VolumeSmall(v Volume) string {
	u := s.jug()
	return s.trim(u.show(float64(v)), 1) + " " + shown(u)
}

func (s Style) gallon() *unit { return s.pick(&volumeUnits, "US gal", "L", "UK gal") }
func (s Style) jug() *unit    { return s.pick(&volumeUnits, "US qt", "L", "UK pt") }

func (s Style) volumeUnit(v Volume) *unit {
	a, big, small := math.Abs(float64(v)), s.gallon(), s.jug()
	switch {
	case a > 0 && a < 0.09995:
		return volumeUnits.unit("mL")
	case a > 0 && math.Round(small.show(a)*10)/10*small.size() < big.size():
		return small
	}
	return big
}

// Length writes a size that is measured with a rule or tape: "3/4 in", "5 ft 3
// in", "100 ft"; "19 mm", "1.75 m", "30 m".
func (s Style) Length(l Length) string {
	if s.metric() {
		return s.metres(float64(l))
	}
	in := float64(l / Inch)
	a := math.Abs(in)
	switch {
	case math.IsNaN(in) || math.IsInf(in, 0):
		return notKnown
	case a < 36:
		return s.inches(in) + " in"
	case a >= 240:
		return s.trim(in/12, 0) + " ft"
	}
	whole := math.Round(a)
	t := s.trim(math.Copysign(math.Floor(whole/12), in), 0) + " ft"
	if r := math.Mod(whole, 12); r > 0 {
		t += " " + s.trim(r, 0) + " in"
	}
	return t
}

func (s Style) metres(x float64) string {
	switch a := math.Abs(x); {
	case a < 0.01:
		return s.trim(x*1e3, 1) + " mm"
	case a < 0.9995:
		return s.trim(x*1e3, 0) + " mm"
	case a < 10:
		return s.trim(x, 2) + " m"
	case a < 100:
		return s.trim(x, 1) + " m"
	}
	return s.trim(x, 0) + " m"
}

// inches writes eighths where the size is one (to 0.1 mm), else decimals.
func (s Style) inches(x float64) string {
	const close = 0.1e-3 / float64(Inch)
	n := math.Round(math.Abs(x) * 8)
	if n == 0 || math.Abs(math.Abs(x)-n/8) > close {
		if math.Abs(x) < 1 {
			return s.trim(x, 2)
		}
		return s.trim(x, 1)
	}
	t := ""
	if x < 0 {
		t = "-"
	}
	whole, part := int(n)/8, int(n)%8
	if whole > 0 || part == 0 {
		t += strconv.Itoa(whole)
	}
	if part == 0 {
		return t
	}
	if whole > 0 {
		t += " "
	}
	den := 8
	for part%2 == 0 {
		part, den = part/2, den/2
	}
	return t + strconv.Itoa(part) + "/" + strconv.Itoa(den)
}

// Road writes a distance driven: "3.4 mi", "12 km".
func (s Style) Road(l Length) string {
	u := s.roadUnit()
	x := u.show(float64(l))
	if math.Abs(x) < 9.95 {
		return s.trim(x, 1) + " " + shown(u)
	}
	return s.trim(x, 0) + " " + shown(u)
}

func (s Style) roadUnit() *unit { return s.pick(&lengthUnits, "mi", "km", "mi") }

// Density writes "11.05 lb/US gal" or "1.325 kg/L".
func (s Style) Density(d Density) string {
	u := s.pick(&densityUnits, "lb/US gal", "kg/L", "lb/UK gal")
	return s.sig(u.show(float64(d)), 4) + " " + shown(u)
}

// Pressure writes "30 psi", "2.1 bar" or, below 0.1 bar, "4.5 kPa".
func (s Style) Pressure(p Pressure) string {
	u := s.pick(&pressureUnits, "psi", "bar", "psi")
	if s.metric() && math.Abs(float64(p)) < 1e4 {
		u = pressureUnits.unit("kPa")
	}
	return s.sig(u.show(float64(p)), 2) + " " + shown(u)
}

// Flow writes "5.3 US gal/min" or "20 L/min".
func (s Style) Flow(f Flow) string {
	u := s.pick(&flowUnits, "US gal/min", "L/min", "UK gal/min")
	return s.sig(u.show(float64(f)), 2) + " " + shown(u)
}

// Power writes "500 W" or "1.5 kW".
func (s Style) Power(p Power) string { return s.kilo(float64(p), "W", "kW") }

// Energy writes "350 Wh" or "1.2 kWh".
func (s Style) Energy(e Energy) string { return s.kilo(float64(e)/3600, "Wh", "kWh") }

func (s Style) kilo(x float64, one, kilo string) string {
	if math.Abs(x) < 999.5 {
		return s.sig(x, 3) + " " + one
	}
	return s.sig(x/1e3, 3) + " " + kilo
}

// Voltage writes "12.6 V".
func (s Style) Voltage(v Voltage) string { return s.sig(float64(v), 3) + " V" }

// Current writes "7.5 A" or "150 mA".
func (s Style) Current(c Current) string {
	if a := math.Abs(float64(c)); a > 0 && a < 0.9995 {
		return s.sig(float64(c)*1e3, 3) + " mA"
	}
	return s.sig(float64(c), 3) + " A"
}

// Viscosity writes "38 mPa·s".
func (s Style) Viscosity(v Viscosity) string { return s.sig(float64(v), 2) + " mPa·s" }

// Area writes an area of comb: "140 in²" or "9.1 dm²".
func (s Style) Area(a Area) string {
	u := s.pick(&areaUnits, "in²", "dm²", "in²")
	return s.sig(u.show(float64(a)), 2) + " " + shown(u)
}
