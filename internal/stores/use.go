package stores

import (
	"time"

	"larder/internal/figure"
	"larder/internal/units"
)

// Eaten is what the colony eats, day by day, as a model of it says.
type Eaten struct {
	From  units.Day
	Daily []float64 // kg of ripe stores on From, the day after, …
	// Spread is one standard deviation of the whole, as a share of it: days of
	// one stretch are wrong together. 0 = the figure "stores.daily_use_spread".
	Spread float64
	// South shifts the plain figures by half a year; they stand in for days
	// outside Daily.
	South bool
}

// PlainUse gives the plain published daily use in a month, kg of ripe stores:
// November to January without brood, February to April and October with some,
// May to September what a colony eats when nothing comes in. In the southern
// hemisphere half a year on. Forage is never counted.
func PlainUse(m time.Month, south bool, fs figure.Set) figure.Estimate {
	if south {
		m = (m+5)%12 + 1
	}
	key := "stores.daily_use_season"
	switch m {
	case time.November, time.December, time.January:
		key = "stores.daily_use_broodless"
	case time.October, time.February, time.March, time.April:
		key = "stores.daily_use_brood"
	}
	return figure.Est(fs.V(key), fs.SD(key))
}

// on gives what is eaten on a day, and whether the plain figure stood in.
func (e Eaten) on(d units.Day, fs figure.Set) (kg float64, plain bool) {
	if i := int(d - e.From); i >= 0 && i < len(e.Daily) {
		return max(0, e.Daily[i]), false
	}
	return PlainUse(d.Month(), e.South, fs).Mean, true
}

func (e Eaten) spread(fs figure.Set) float64 {
	if e.Spread > 0 {
		return e.Spread
	}
	return fs.V("stores.daily_use_spread")
}
