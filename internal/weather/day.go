// Package weather holds daily weather by station, the means a yard's calendar
// is made from, and the rules that say on which days bees take and ripen syrup.
package weather

import "larder/internal/units"

// Day is one station's weather on one local day. What was not measured is
// marked so; it is never zero.
type Day struct {
	Station  string     `json:"station,omitzero"`
	Day      units.Day  `json:"day,omitzero"`
	TMax     units.Temp `json:"tmax,omitzero"`
	TMin     units.Temp `json:"tmin,omitzero"`
	Rain     float64    `json:"rain,omitzero"` // mm
	HasMax   bool       `json:"has_max,omitzero"`
	HasMin   bool       `json:"has_min,omitzero"`
	HasRain  bool       `json:"has_rain,omitzero"`
	Forecast bool       `json:"forecast,omitzero"` // not measured: a forecast for that day
}
