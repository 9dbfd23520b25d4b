package folder

import "larder/internal/units"

var proofLocale = units.Locale{System: units.US}

var someDay = units.OnDay(units.DayOf(2026, 9, 5))
