package units

import (
	"strings"

	"larder/internal/fault"
)

// Basis says what the two numbers of a ratio count.
type Basis uint8

// The bases of a ratio. By weight is what "2:1" means unless it says otherwise.
const (
	ByWeight Basis = iota
	ByVolume
)

func (b Basis) String() string {
	if b == ByVolume {
		return "by volume"
	}
	return "by weight"
}

// Ratio is sugar to water as the trade speaks of it. Both are above zero.
// Stated is false where the basis was not said and is by weight by convention;
// a screen should then say so.
type Ratio struct {
	Sugar, Water float64
	By           Basis
	Stated       bool
}

// String gives the ratio in full, "2:1 by weight".
func (r Ratio) String() string {
	return exactDigits(r.Sugar) + ":" + exactDigits(r.Water) + " " + r.By.String()
}

// ByWeight gives the strength of a ratio by weight, sugar/(sugar+water). false
// for a ratio by volume: that needs the bulk density of the sugar, see package
// syrup.
func (r Ratio) ByWeight() (Strength, bool) {
	if r.By != ByWeight || !(r.Sugar > 0) || !(r.Water > 0) {
		return 0, false
	}
	return Strength(r.Sugar / (r.Sugar + r.Water)), true
}

// ratioReader reads the bare numbers of a ratio.
var ratioDim = newDimension(dimension{what: "a ratio", eg: "2:1 by weight", units: []unit{{name: ":"}}})

// ParseRatio reads sugar to water: "2:1", "5 : 3 by weight", "1:1 by volume",
// "2 to 1 w/w". Without a basis it is by weight and Stated is false.
func ParseRatio(s string, l Locale) (Ratio, error) {
	rd := reader{d: &ratioDim, l: l}
	bad := fault.Newf(fault.NotUnderstood, "", "%s is not a ratio of sugar to water", quoted(s)).WithHint("write 2:1 by weight or 1:1 by volume")
	t := normalise(s)
	if len(s) > longest || t == "" || !startsNumber(t, 0) {
		return Ratio{}, bad
	}
	a, i, err := rd.scan(t)
	if err != nil {
		return Ratio{}, hinted(err, &ratioDim)
	}
	t = strings.TrimLeft(t[i:], space)
	switch {
	case strings.HasPrefix(t, ":"):
		t = t[1:]
	case strings.HasPrefix(t, "to "):
		t = t[3:]
	default:
		return Ratio{}, bad
	}
	t = strings.TrimLeft(t, space)
	if t == "" || !startsNumber(t, 0) {
		return Ratio{}, bad
	}
	b, i, err := rd.scan(t)
	if err != nil {
		return Ratio{}, hinted(err, &ratioDim)
	}
	r := Ratio{Sugar: a.value(0), Water: b.value(0)}
	if a.zero() || b.zero() {
		return Ratio{}, fault.Newf(fault.OutOfRange, "", "%s has no sugar or no water in it", quoted(s)).WithHint("write 2:1 by weight")
	}
	var ok bool
	if r.By, r.Stated, ok = basis(t[i:]); !ok {
		return Ratio{}, bad
	}
	return r, nil
}

// basis reads what stands behind a ratio.
func basis(s string) (by Basis, stated, ok bool) {
	switch fold(s) {
	case "":
		return ByWeight, false, true
	case "byweight", "w/w", "bymass", "m/m", "weight":
		return ByWeight, true, true
	case "byvolume", "v/v", "volume", "byvol":
		return ByVolume, true, true
	}
	return 0, false, false
}

// ParseStrength reads a strength: "66.7 %", "66,7 Bx", "2:1", "2:1 by weight".
// A ratio without a basis is by weight; use [ParseRatio] where the screen must
// say so. A ratio by volume is refused here: what it weighs depends on the
// sugar. Percent must be above 0 and below 100.
func ParseStrength(s string, l Locale) (Strength, error) { return Parse[Strength](s, l) }

// ParseStrengthIn is [ParseStrength], but a number without a unit is in unit.
func ParseStrengthIn(s, unit string, l Locale) (Strength, error) {
	return ParseIn[Strength](s, unit, l)
}

// isRatio tells whether s is meant as a ratio rather than a percentage.
func isRatio(s string) bool {
	return strings.ContainsAny(s, ":：∶") || strings.Contains(s, " to ")
}

func weightOnly(r Ratio, s string) (Strength, error) {
	x, ok := r.ByWeight()
	if !ok || x <= 0 || x >= 1 {
		return 0, fault.Newf(fault.NotUnderstood, "", "%s is by volume, and what that weighs depends on the sugar", quoted(s)).
			WithHint("write it by weight, or mix by volume with the sugar named")
	}
	return x, nil
}

// ratioAmount reads a ratio as a strength.
func ratioAmount(s string, l Locale) (Strength, Ratio, error) {
	r, err := ParseRatio(s, l)
	if err != nil {
		return 0, r, err
	}
	x, err := weightOnly(r, s)
	return x, r, err
}
