package units

import (
	"math"
	"strconv"
	"strings"
)

// Style writes amounts for people: in the units they think in, with their
// decimal mark, in their language, and with no more digits than the amount
// deserves. The zero Style is US units, a decimal point and English.
//
// What is not known (not a number) prints as "?", never as 0. There is never a
// "-0". A gallon is always named: "2.5 US gal", "2.5 UK gal".
//
// Whole digits are grouped from 10,000 up: by a comma where '.' is the decimal
// mark, else by a no-break space, so that everything printed can be read back
// in [Style.Locale].
type Style struct {
	System  System
	Decimal rune   // '.' or ','; 0 = '.'
	Lang    string // "en", "es"; anything else is English
}

const notKnown = "?"

// Locale gives the way to read what s writes.
func (s Style) Locale() Locale { return Locale{Decimal: s.mark(), System: s.System} }

func (s Style) mark() rune {
	if s.Decimal == ',' {
		return ','
	}
	return '.'
}

// Num writes x with a fixed number of decimals, 0 or more; below 0 it rounds
// to tens, hundreds and so on. Halves go away from zero.
func (s Style) Num(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return notKnown
	}
	p := math.Pow10(decimals)
	if r := math.Round(x*p) / p; !math.IsInf(r, 0) && !math.IsNaN(r) {
		x = r
	}
	if x == 0 {
		x = 0 // no negative zero
	}
	t := strconv.FormatFloat(x+0, 'f', max(decimals, 0), 64)
	return s.localised(t)
}

// trim is Num without zeros at the end: at most so many decimals.
func (s Style) trim(x float64, decimals int) string {
	t := s.Num(x, decimals)
	if decimals <= 0 || t == notKnown {
		return t
	}
	return strings.TrimRight(strings.TrimRight(t, "0"), string(s.mark()))
}

// sig writes x with at most n significant digits, but never rounds whole
// digits away: 0.357 → 0.36, 38.23 → 38, 1234.5 → 1235 for n = 2.
func (s Style) sig(x float64, n int) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return s.trim(x, 0)
	}
	lead := int(math.Floor(math.Log10(math.Abs(x))))
	return s.trim(x, min(max(n-1-lead, 0), 12))
}

// localised gives a plain decimal text the person's marks.
func (s Style) localised(t string) string {
	sign := ""
	if t[0] == '-' {
		sign, t = "-", t[1:]
	}
	whole, frac, has := strings.Cut(t, ".")
	group := ","
	if s.mark() == ',' {
		group = string(nbsp)
	}
	if len(whole) > 4 {
		for at := len(whole) - 3; at > 0; at -= 3 {
			whole = whole[:at] + group + whole[at:]
		}
	}
	if has {
		return sign + whole + string(s.mark()) + frac
	}
	return sign + whole
}

// spreadDecimals gives the decimals a value with the standard deviation sd
// deserves: down to the first digit of sd, to its second if the first is a 1
// (a rounding of 1.4 to 1 would lose a third of it); whole units from 2 to 100,
// two digits above. ok is false if sd says nothing.
func spreadDecimals(sd float64) (decimals int, ok bool) {
	if !(sd > 0) || math.IsInf(sd, 0) {
		return 0, false
	}
	e := int(math.Floor(math.Log10(sd)))
	switch {
	case sd >= 100:
		return 1 - e, true
	case sd >= 2:
		return 0, true
	case sd/math.Pow10(e) < 2:
		return min(1-e, 9), true
	}
	return min(-e, 9), true
}

// pm writes "41 ± 8 lb" in u, or without spread as plain does.
func (s Style) pm(x, sd float64, u *unit, plain func() string) string {
	sd /= u.size()
	d, ok := spreadDecimals(sd)
	if !ok || math.IsNaN(x) {
		return plain()
	}
	return s.Num(u.show(x), d) + " ± " + s.Num(sd, d) + " " + shown(u)
}

// shown is the unit as screens and sheets write it.
func shown(u *unit) string {
	switch u.name {
	case "C":
		return "°C"
	case "F":
		return "°F"
	case "US qt":
		return "qt"
	}
	return u.name
}

// rounded gives the nearest multiple of step.
func rounded(x, step float64) float64 { return math.Round(x/step) * step }

func (s Style) metric() bool { return s.System == Metric }

// pick gives the unit of d for the system.
func (s Style) pick(d *dimension, us, metric, uk string) *unit {
	switch s.System {
	case Metric:
		return d.unit(metric)
	case UK:
		return d.unit(uk)
	}
	return d.unit(us)
}

func (s Style) massUnit() *unit { return s.pick(&massUnits, "lb", "kg", "lb") }

// massStep is what a heft deserves when its spread is not known: 1 lb, 0.5 kg.
func (s Style) massStep() float64 {
	if s.metric() {
		return 0.5
	}
	return 1
}

// Mass writes a weight of stores, hives or sugar whose spread is not known, to
// 1 lb or 0.5 kg: "41 lb", "18.5 kg".
func (s Style) Mass(m Mass) string {
	u := s.massUnit()
	return s.trim(rounded(u.show(float64(m)), s.massStep()), 1) + " " + shown(u)
}

// MassPM writes a weight and its standard deviation, "41 ± 8 lb". A spread of
// zero says nothing and is left out.
func (s Style) MassPM(m, sd Mass) string {
	return s.pm(float64(m), float64(sd), s.massUnit(), func() string { return s.Mass(m) })
}

// MassSmall writes a weight as scales and labels give it, to three digits:
// "2.5 g", "450 g", "11.3 kg", "12.5 oz", "24.9 lb". Below 50 g it is in grams
// everywhere, since labels are.
func (s Style) MassSmall(m Mass) string {
	u := s.massUnit()
	switch a := math.Abs(float64(m)); {
	case a < 0.05, a < 1 && s.metric():
		u = massUnits.unit("g")
	case a < float64(Pound) && !s.metric():
		u = massUnits.unit("oz")
	}
	return s.sig(u.show(float64(m)), 3) + " " + shown(u)
}

// Temp writes a temperature to 1 °F or 0.5 °C.
func (s Style) Temp(t Temp) string {
	u := s.tempUnit()
	return s.trim(rounded(u.show(float64(t)), s.tempStep()), 1) + " " + shown(u)
}

// TempPM writes a temperature and its standard deviation.
func (s Style) TempPM(t, sd Temp) string {
	return s.pm(float64(t), float64(sd), s.tempUnit(), func() string { return s.Temp(t) })
}

// TempDiff writes a difference of temperatures: 5 °C are 9 °F.
func (s Style) TempDiff(d Temp) string {
	u := s.tempUnit()
	return s.trim(rounded(float64(d)/u.size(), s.tempStep()), 1) + " " + shown(u)
}

func (s Style) tempUnit() *unit { return s.pick(&tempUnits, "F", "C", "C") }

func (s Style) tempStep() float64 {
	if s.tempUnit().name == "C" {
		return 0.5
	}
	return 1
}

// Percent writes a fraction as whole percent, "95 %". A chance that is not
// certain is never shown as 0 or 100.
func (s Style) Percent(x float64) string {
	switch {
	case x > 0 && x < 0.005:
		return "< 1 %"
	case x < 1 && x >= 0.995:
		return "> 99 %"
	}
	return s.Num(x*100, 0) + " %"
}

// Strength writes the strength of syrup in percent by weight, "66.7 %".
func (s Style) Strength(x Strength) string { return s.trim(x.Brix(), 1) + " %" }

// StrengthFull writes percent and, if there is one, the usual ratio: "66.7 %
// (2:1 by weight)".
func (s Style) StrengthFull(x Strength) string {
	if r, ok := s.Ratio(x); ok {
		return s.Strength(x) + " (" + r + ")"
	}
	return s.Strength(x)
}

// usual are the ratios the trade mixes, sugar to water.
var usual = []Ratio{{1, 2, ByWeight, true}, {1, 1, ByWeight, true}, {3, 2, ByWeight, true}, {5, 3, ByWeight, true}, {2, 1, ByWeight, true}}

// Ratio gives the usual ratio a strength is within 0.2 percent of, in full:
// "2:1 by weight".
func (s Style) Ratio(x Strength) (string, bool) {
	for _, r := range usual {
		if w, _ := r.ByWeight(); math.Abs(float64(w-x)) <= 0.002 {
			return s.RatioText(r), true
		}
	}
	return "", false
}

// RatioText writes a ratio in full, in the person's language: "2:1 by weight".
func (s Style) RatioText(r Ratio) string {
	return s.trim(r.Sugar, 3) + ":" + s.trim(r.Water, 3) + " " + s.words().basis[r.By]
}

// Duration writes a span of time: "40 s", "45 min", "3 h 20 min", "3.5 days".
func (s Style) Duration(d Duration) string {
	x := math.Abs(float64(d))
	sign := ""
	if d < 0 && x >= 0.5 {
		sign = "-"
	}
	min := math.Round(x / 60)
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return notKnown
	case x < 89.5:
		return sign + s.Num(x, 0) + " s"
	case min < 60:
		return sign + s.Num(min, 0) + " min"
	case min < 72*60:
		h, m := math.Floor(min/60), math.Mod(min, 60)
		t := sign + s.Num(h, 0) + " h"
		if m > 0 {
			t += " " + s.Num(m, 0) + " min"
		}
		return t
	}
	return sign + s.trim(x/86400, 1) + " " + s.words().days
}
