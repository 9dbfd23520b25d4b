package winter

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// Level is how pressing it is.
type Level string

// The levels.
const (
	Enough  Level = "enough"
	LookOut Level = "watch"
	Alarm   Level = "feed now"
)

// Runway gives the days stores last at a steady use of perDay. Nothing used
// lasts for ever (+Inf); no stores last 0 days. When looking ahead from
// midwinter use the rate of March, not today's.
func Runway(stores, perDay units.Mass) float64 {
	switch {
	case !(stores > 0):
		return 0
	case !(perDay > 0):
		return math.Inf(1)
	}
	return float64(stores / perDay)
}

// RunwayOver gives the days stores last when each day eats its own (kg, as
// [Consumption] gives it); past the last of them the highest of the days known
// goes on, for spring eats more than winter.
func RunwayOver(stores units.Mass, daily []float64) float64 {
	left, most := stores.Kg(), 0.0
	if !(left > 0) {
		return 0
	}
	for i, kg := range daily {
		if kg > 0 && left <= kg {
			return float64(i) + left/kg
		}
		left -= math.Max(kg, 0)
		most = math.Max(most, kg)
	}
	return float64(len(daily)) + Runway(units.Mass(left), units.Mass(most))
}

// RunwayLevel judges a runway: below 21 days feed now, below 42 watch (figures,
// judged). NaN, not known, is to be watched.
func RunwayLevel(days float64, set figure.Set) Level {
	switch {
	case days < set.V(keyAlarm):
		return Alarm
	case !(days >= set.V(keyLookOut)):
		return LookOut
	}
	return Enough
}

// Floor judges stores against the published floors of late winter: from mid
// January to mid March below 4 kg is to be fed at once; 8 kg is wanted in the
// first half of February, 5 kg (single box) at the end of it, 10 kg in early
// March. The sources do not agree with each other, so a colony between is
// watched, not fed. Outside those weeks there is no floor: ok is false.
func Floor(stores units.Mass, day units.Day, south bool, set figure.Set) (level Level, why Reason, ok bool) {
	// Days from 1 July: 15 January 198, 1 February 215, 15 February 229, 1 March
	// 243, 15 March 257.
	x := dayOfSeason(day, south)
	if x < 198 || x > 257 {
		return "", Reason{}, false
	}
	want := set.V("winter.floor_feb_kg")
	switch {
	case x >= 243:
		want = set.V("winter.floor_march_kg")
	case x > 229:
		want = set.V("winter.floor_feb_end_kg")
	}
	switch least := set.V("winter.floor_feed_kg"); {
	case stores.Kg() < least:
		return Alarm, because("floor-feed", "{0} at this time is below {1}: feed it now", stores, units.Mass(least)), true
	case stores.Kg() < want:
		return LookOut, because("floor-watch", "{0} is less than the {1} wanted at this time", stores, units.Mass(want)), true
	}
	return Enough, because("floor-enough", "{0} is at least the {1} wanted at this time", stores, units.Mass(want)), true
}

// MiniTarget gives the stores of a mini-nucleus for the winter: 0.35 kg for each
// comb its bees cover (LWG Bavaria).
func MiniTarget(combs float64, set figure.Set) units.Mass {
	return units.Mass(math.Max(0, combs) * set.V("winter.mini_comb_kg"))
}

// Strong tells whether bees, brood and stores together are as heavy as those of
// colonies of which about 94 % came through in central Pennsylvania (Doeke et
// al.): 30 kg. It is a mark of strength, not a target.
func Strong(net units.Mass, set figure.Set) bool {
	return net.Kg() > set.V("winter.net_strong_kg")
}

// Weak says whether a colony met in late winter or spring is too weak to be
// helped by feed alone: fewer than 5 frames of bees in January or February
// (south: July, August), or no queen: unite it; fewer than 3 in spring: weak.
// Before that feeding.Weak judges. ok is false when it is not weak.
func Weak(frames float64, queenless bool, day units.Day, south bool, set figure.Set) (why Reason, ok bool) {
	x := dayOfSeason(day, south)
	switch unite, spring := set.V("winter.unite_frames"), set.V("winter.weak_spring_frames"); {
	case x < 184 || x > lastDay:
		return Reason{}, false
	case queenless:
		return because("queenless", "It has no queen: unite it, and see that the better queen stays"), true
	case x < 243 && frames < unite:
		return because("unite", "It covers {0} frames, fewer than {1} at this time: unite it if it is healthy, feed will not save it", frames, unite), true
	case x >= 243 && frames < spring:
		return because("weak-spring", "It covers {0} frames, fewer than {1}: weak in spring", frames, spring), true
	}
	return Reason{}, false
}
