package folder

import (
	"larder/internal/units"
)

// roundUnits are the units an amount without words of its own is written in, if
// that comes out round: "60 lb" says more than "27.2155422 kg". The inside unit
// first.
func roundUnits(q any) []string {
	switch q.(type) {
	case units.Mass:
		return []string{"kg", "lb", "g", "oz"}
	case units.Volume:
		return []string{"L", "US gal", "US qt", "UK gal", "UK pt", "mL"}
	case units.Length:
		return []string{"m", "km", "mi", "ft", "in", "cm"}
	case units.Duration:
		return []string{"min", "h", "s"}
	}
	return nil
}

// round writes an amount exactly: in the unit in which it takes the fewest
// letters and reads back to the last bit, else in the inside unit.
func round[Q units.Quantity](q Q) string {
	best, least := q.String(), 0
	for _, u := range roundUnits(q) {
		one, err := units.ParseIn[Q]("1", u, units.Locale{})
		if err != nil || one == 0 {
			continue
		}
		// Four decimals are enough for what anybody measures; the proof is in the
		// reading.
		n := digits(float64(int64(float64(q/one)*1e4+0.5)) / 1e4)
		if least > 0 && len(n) >= least {
			continue
		}
		if back, err := units.ParseIn[Q](n, u, units.Locale{}); err == nil && back == q {
			best, least = n+" "+u, len(n)
		}
	}
	return best
}
