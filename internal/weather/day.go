// Package weather holds daily weather by station, the means a yard's calendar
// is made from, and the rules that say on which days bees take and ripen syrup.
package weather

import "larder/internal/units"

// Day is one station's weather on one local day. What was not measured is
// marked so; it is never zero.
type Day struct {
	Station  string
	Day      units.Day
	TMax     units.Temp
	TMin     units.Temp
	Rain     float64 // mm
	HasMax   bool
	HasMin   bool
	HasRain  bool
	Forecast bool // not measured: a forecast for that day
}
