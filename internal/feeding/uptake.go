package feeding

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

// Uptake gives the syrup a colony takes in one day, in litres:
//
//	U = 0.30 · frames · fT(tmax) · fFeeder · fGrav, at most 4.5 L
//
// frames is frames of bees, both sides counted as one, 0…40; fFeeder what part
// of a tray's rate the feeder gives (hive.FeederKind.Uptake); fT is
// weather.Factor of tmax, the day's maximum air temperature; w the strength,
// 0.3…0.8. The constants are figures;
// the model is a judgement on reported rates, good to ±50 %, and a yard's own
// rates replace it. It does not know when the comb is full: the caller stops
// at the need and at the room.
func Uptake(frames, feeder float64, tmax units.Temp, w units.Strength, set figure.Set) (units.Volume, error) {
	full, err := raw(frames, feeder, w, set)
	if err != nil {
		return 0, err
	}
	day, err := DayFactor(tmax, w, set)
	if err != nil {
		return 0, err
	}
	return units.Volume(min(full*day, set.V("feeding.uptake_most_l"))), nil
}

// FullUptake gives Hive.Uptake: what the colony takes on a warm day, factor 1.
// With [DayFactor] it makes up [Uptake], except that the most a colony takes
// in a day is cut off before the weather is applied, which is the careful side.
func FullUptake(frames, feeder float64, w units.Strength, set figure.Set) (units.Volume, error) {
	full, err := raw(frames, feeder, w, set)
	return units.Volume(min(full, set.V("feeding.uptake_most_l"))), err
}

func raw(frames, feeder float64, w units.Strength, set figure.Set) (float64, error) {
	if !(frames >= 0 && frames <= 40) {
		return 0, fault.Newf(fault.OutOfRange, "", "%v frames of bees is not a colony", frames).
			WithHint("count frames covered on both sides; a strong colony has 8 to 20")
	}
	if err := strengthKnown(w); err != nil {
		return 0, err
	}
	if !(feeder >= 0 && feeder <= 2) {
		return 0, fault.Newf(fault.OutOfRange, "", "%v of a tray's rate is no feeder", feeder)
	}
	f := set.V("feeding.uptake_l_frame") * frames * feeder
	return f * thin(w, set), nil
}

func strengthKnown(w units.Strength) error {
	if !(w >= 0.3 && w <= 0.8) {
		return fault.Newf(fault.NotKnownHere, "", "nothing is known of how fast bees take syrup of %.0f %%", w.Brix()).
			WithHint("known from 30 to 80 %%; 2:1 by weight is 66.7 %%")
	}
	return nil
}

// thin is the advantage of thin syrup on a warm day: 1 at 2:1 and above, the
// figure at 1:1 and below, straight between.
func thin(w units.Strength, set figure.Set) float64 {
	return 1 + (set.V("feeding.uptake_thin")-1)*(1-thickness(w))
}

// thickness runs from 0 at 1:1 to 1 at 2:1.
func thickness(w units.Strength) float64 {
	return math.Max(0, math.Min(1, (float64(w)-0.5)/(2.0/3-0.5)))
}

// DayFactor gives Yard.Factor for a day: the part of a warm day's uptake that
// is taken at a daily maximum of tmax, 0…1. Cold thick syrup counts less.
func DayFactor(tmax units.Temp, w units.Strength, set figure.Set) (float64, error) {
	if !(tmax >= -50 && tmax <= 50) {
		return 0, fault.Newf(fault.OutOfRange, "", "%v °C is not a day's maximum", tmax.C())
	}
	t := weather.Factor(tmax, set)
	if err := strengthKnown(w); err != nil {
		return 0, err
	}
	if tmax < 15 {
		t *= 1 - (1-set.V("feeding.uptake_thick_cold"))*thickness(w)
	}
	return t, nil
}

// DaysToEmpty gives how long a colony takes to empty a feeder at a steady
// rate; +Inf at rate 0.
func DaysToEmpty(content, perDay units.Volume) float64 {
	if content <= 0 {
		return 0
	}
	if perDay <= 0 {
		return math.Inf(1)
	}
	return float64(content / perDay)
}
