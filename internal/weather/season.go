package weather

import (
	"time"

	"larder/internal/units"
)

// South tells whether a latitude in degrees lies in the southern hemisphere.
// The equator counts as north.
func South(lat float64) bool { return lat < 0 }

// Season gives the year in which the season of day d began: for 3 October 2026
// and for 3 January 2027 it is 2026 in the north; in the south it is the
// calendar year.
func Season(d units.Day, south bool) int {
	if south || d.Month() >= time.July {
		return d.Year()
	}
	return d.Year() - 1
}

// SeasonStart gives the first day of a season: 1 July in the north, 1 January
// in the south.
func SeasonStart(season int, south bool) units.Day {
	if south {
		return units.DayOf(season, time.January, 1)
	}
	return units.DayOf(season, time.July, 1)
}

// sameDay gives the same calendar date k years on (or back, k < 0). 29 February
// becomes 1 March in a year without it.
func sameDay(d units.Day, k int) units.Day {
	t := d.Time()
	return units.DayOf(t.Year()+k, t.Month(), t.Day())
}
