package weather

import (
	"larder/internal/figure"
	"larder/internal/units"
)

// curve is the uptake curve, read once from the figures.
type curve struct {
	t [5]float64 // °C, rising
	f [5]float64
	n int
}

// makeCurve lays the curve through the keeper's figures. The points at 10, 12
// and 15 °C count only when they lie between the start and the end of the
// curve, so that moving either end keeps it a curve; each is at least the one
// before, so that a warmer day never counts for less.
func makeCurve(set figure.Set) curve {
	lo, hi := set.V(keyFeedMin), set.V(keyFeedFull)
	if hi <= lo {
		hi = lo + 1e-9 // a step
	}
	var c curve
	add := func(t, f float64) {
		if c.n > 0 {
			f = max(f, c.f[c.n-1])
		}
		c.t[c.n], c.f[c.n] = t, min(max(f, 0), 1)
		c.n++
	}
	add(lo, 0)
	for _, p := range []struct {
		t float64
		k string
	}{{10, keyFeedAt10}, {12, keyFeedAt12}, {15, keyFeedAt15}} {
		if p.t > lo && p.t < hi {
			add(p.t, set.V(p.k))
		}
	}
	add(hi, 1)
	return c
}

func (c curve) at(t float64) float64 {
	if t <= c.t[0] {
		return 0
	}
	for i := 1; i < c.n; i++ {
		if t < c.t[i] {
			return c.f[i-1] + (c.f[i]-c.f[i-1])*(t-c.t[i-1])/(c.t[i]-c.t[i-1])
		}
	}
	return 1
}

// Factor gives what part of its full daily uptake of syrup a colony takes on a
// day with the maximum tmax: 0 at 8 °C and below, 0.15 at 10, 0.35 at 12, 0.6
// at 15, 1 from 20 °C, straight lines between (all figures). Range 0…1.
//
// No uptake curve has been published; take it as ±50 % until the yard's own
// uptake is known.
func Factor(tmax units.Temp, set figure.Set) float64 { return makeCurve(set).at(tmax.C()) }

// Verdict says whether a round is worth driving on a day.
type Verdict struct {
	Known bool // false: the high is not known, and nothing else here means anything
	OK    bool // warm and dry enough
	Cool  bool // warm enough, but warn
	// Why says what speaks against it or gives pause; nil on a plain good day.
	Why []Reason
}

// roundRule holds the limits for a round, read once.
type roundRule struct{ min, warn, rain float64 }

func makeRoundRule(set figure.Set) roundRule {
	return roundRule{min: set.V(keyRoundMin), warn: set.V(keyRoundWarn), rain: set.V(keyRoundRain)}
}

func (r roundRule) ok(d Day) bool {
	return d.HasMax && d.TMax.C() >= r.min && !(d.HasRain && d.Rain > r.rain)
}

// Round judges one day: the high must reach 10 °C (below 13 °C with a warning)
// and rain must not pass its limit (figures). Rain that is not known is not
// held against a day, and said.
func Round(d Day, set figure.Set) Verdict {
	r := makeRoundRule(set)
	if !d.HasMax {
		return Verdict{Why: []Reason{{Code: "no-high", Say: "the day's high is not known"}}}
	}
	v := Verdict{Known: true, OK: r.ok(d)}
	switch t := d.TMax.C(); {
	case t < r.min:
		v.Why = append(v.Why, Reason{Code: "cold", Say: "{0} at the warmest: syrup is hardly taken below {1}",
			Amounts: []any{d.TMax, units.Temp(r.min)}})
	case t < r.warn:
		v.Cool = v.OK
		v.Why = append(v.Why, Reason{Code: "cool", Say: "{0} at the warmest: syrup is taken slowly below {1}",
			Amounts: []any{d.TMax, units.Temp(r.warn)}})
	}
	switch {
	case !d.HasRain:
		v.Why = append(v.Why, Reason{Code: "no-rain-known", Say: "whether it rains is not known"})
	case d.Rain > r.rain:
		// Rain is a depth: a Length inside, so that a screen can say inches.
		v.Why = append(v.Why, Reason{Code: "wet", Say: "{0} of rain: more than {1} is too wet for a round",
			Amounts: []any{units.Length(d.Rain) * units.Millimetre, units.Length(r.rain) * units.Millimetre}})
	}
	return v
}
