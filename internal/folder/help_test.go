package folder

import "larder/internal/units"

var someDay = units.OnDay(units.DayOf(2026, 9, 5))
