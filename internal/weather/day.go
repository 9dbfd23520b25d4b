// Package weather holds daily weather by station, the means a yard's calendar
// is made from, and the rules that say on which days bees take and ripen syrup.
//
// # What it knows
//
//   - [Series]: the days of one station, sorted, each day once, gaps left open.
//   - [Factor] and [Round]: what part of full uptake a day allows, and whether
//     a round is worth driving.
//   - [StopDay]: the last day on which syrup may still be given time to ripen,
//     with its range over the years.
//   - [Calendar]: day by day, as measured or forecast where that is known and
//     from past years beyond it.
//   - [Read] and its readers: the files weather comes in.
//   - [Fill], [Nearest], [AtHeight], [Years], [Normals]: gaps, neighbours,
//     height, whole years and months.
//
// # Rules
//
// A day is the place's local day. What was not measured is not zero and not the
// mean: it is not known, and a rule that needs it says so. Measured beats
// forecast; a later report of the same day beats an earlier one. The unit of a
// number in a file is read from the file or asked for, never guessed.
//
// A season is the year from 1 July to 30 June in the north and from 1 January
// to 31 December in the south, so that autumn and the winter after it lie in
// one season and every rule counts in days from its start. The south is thereby
// six months behind: 15 August there is 15 February.
//
// # What it refuses to know
//
// Colonies, syrup, yards, the clock and the network. A place is a latitude, a
// longitude and a height; which yard uses which station is for others to say.
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
	Filled   bool       `json:"-"`                 // TMax, TMin or both worked out between neighbours by [Fill]; never kept as a fact
}

// TMean gives the mean temperature of the day as (TMax+TMin)/2, the usual
// meteorological convention for stations that report extremes. ok is false when
// either is not known.
func (d Day) TMean() (t units.Temp, ok bool) {
	if !d.HasMax || !d.HasMin {
		return 0, false
	}
	return (d.TMax + d.TMin) / 2, true
}

// IsBlank tells whether nothing at all is known of the day.
func (d Day) IsBlank() bool { return !d.HasMax && !d.HasMin && !d.HasRain }

// Reason says why, in a code a test can hold on to and a sentence for people.
// "{0}" in Say stands for the first of Amounts, so that a screen can say it in
// the keeper's units. It has the fields of feeding.Reason and converts to it.
type Reason struct {
	Code    string // stable, lower case: "rule", "few-years", "cold" …
	Say     string
	Amounts []any // units.Day, units.Temp …
}
