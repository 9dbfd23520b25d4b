package feeding

import (
	"math"

	"larder/internal/units"
)

// micro is a volume in whole microlitres. The planner counts in them: sums do
// not depend on the order of adding, and a limit is kept to the last drop.
type micro int64

// dust is what is too little to speak of: ten millilitres, two teaspoons.
const dust = micro(10_000)

// most is more than any tank, store or yard of ours holds.
const most = micro(1) << 50

// nearest rounds an amount to whole microlitres; absurd amounts stop at most.
func nearest(v units.Volume) micro { return bounded(math.Round(float64(v) * 1e6)) }

// within rounds a limit down; a thousandth of a microlitre forgives the
// rounding of the multiplication.
func within(v units.Volume) micro { return bounded(math.Floor(float64(v)*1e6 + 1e-3)) }

func bounded(x float64) micro {
	switch {
	case !(x > 0):
		return 0
	case x > float64(most):
		return most
	}
	return micro(x)
}

func (m micro) volume() units.Volume { return units.Volume(float64(m) / 1e6) }

// tick is a span of time in whole milliseconds.
type tick int64

// longest is more than any working day.
const longest = tick(1) << 50

// ticks rounds a span up, so that days are never overrun by rounding.
func ticks(d units.Duration) tick {
	switch x := math.Ceil(float64(d)*1000 - 1e-3); {
	case !(x > 0):
		return 0
	case x > float64(longest):
		return longest
	default:
		return tick(x)
	}
}

func (t tick) duration() units.Duration { return units.Duration(float64(t) / 1000) }

// steps rounds an amount down to whole handy steps.
func steps(m, step micro) micro {
	if step <= 0 {
		return m
	}
	return m - m%step
}

// ceilDiv gives the whole number of parts of size b that hold a.
func ceilDiv(a, b micro) int {
	if a <= 0 {
		return 0
	}
	if b <= 0 {
		return math.MaxInt32
	}
	return int((a + b - 1) / b)
}
