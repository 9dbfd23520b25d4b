package stores

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Water a kilogram of sucrose takes up when bees split it: the ratio of the
// molar masses of the two simple sugars and of sucrose, 360.3 / 342.3.
const inversion = 1.0526

// RipeningLoss gives the share of its weight that syrup taken by the bees loses
// until it is ripe, between pure drying (low) and drying with the work of
// handling it paid out of the sugar (high). fs gives the water in ripe stores.
//
//	low  = 1 − s·1.0526/(1−m)
//	high = 1 − s·Y,  Y = 1.0526/(1−m) · (1 − 0.03 − 0.375·(w − (1.0526/(1−m) − 1)))
//
// s strength, w = (1−s)/s, m = "stores.ripe_water". With m = 0.18: 2:1 14–24 %,
// 3:2 23–36 %, 1:1 36–55 %. The two constants of Y are fitted to Curth
// (Hohenheim 1981, table quoted by BZV Merkstein), within 2 %, for sucrose
// syrups from 1:1 to 2:1. Range: strength 0.48…0.69 (fault.NotKnownHere beyond).
func RipeningLoss(s units.Strength, fs figure.Set) (low, high float64, err error) {
	if !(s >= 0.48 && s <= 0.69) {
		return 0, 0, fault.Newf(fault.NotKnownHere, "", "what syrup of %.1f %% loses while it ripens is not known", s.Brix()).
			WithHint("known from 1:1 to 2:1")
	}
	dry := inversion / (1 - fs.V("stores.ripe_water"))
	w := float64((1 - s) / s)
	y := dry * (1 - 0.03 - 0.375*(w-(dry-1)))
	return max(0, 1-float64(s)*dry), min(1, 1-float64(s)*y), nil
}

// Unripe gives how much heavier syrup of mass m is, days after it was taken,
// than the ripe stores it will become, in kg. It fades in a straight line over
// "stores.ripen_days". A strength outside the range of [RipeningLoss] is put at
// its nearer end with double spread; strength 0 (not told) counts as 2:1 so.
func Unripe(m units.Mass, s units.Strength, days float64, fs figure.Set) figure.Estimate {
	left := 1 - max(0, days)/fs.V("stores.ripen_days")
	if left <= 0 || m <= 0 {
		return figure.Est(0, 0)
	}
	widen := 1.0
	if !(s >= 0.48 && s <= 0.69) {
		widen = 2
		if s == 0 {
			s = 2. / 3
		}
		s = min(max(s, 0.48), 0.69)
	}
	low, high, err := RipeningLoss(s, fs)
	if err != nil { // cannot be: s was put inside the range
		panic("stores: " + err.Error())
	}
	mid := (low + high) / 2
	// An even chance between the two ends, and how fast these bees dry it.
	sd := math.Hypot((high-low)/math.Sqrt(12), fs.V("stores.ripen_spread")*mid)
	return figure.Est(mid, widen*sd).Times(m.Kg() * left)
}
