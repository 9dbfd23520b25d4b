package weather

import "larder/internal/figure"

// Keys of the figures of this package.
const (
	keyFeedMin     = "weather.feed_min_max_c"
	keyFeedAt10    = "weather.feed_at_10"
	keyFeedAt12    = "weather.feed_at_12"
	keyFeedAt15    = "weather.feed_at_15"
	keyFeedFull    = "weather.feed_full_max_c"
	keyRoundMin    = "weather.round_min_max_c"
	keyRoundWarn   = "weather.round_warn_max_c"
	keyRoundRain   = "weather.round_rain_mm"
	keyStopMean    = "weather.stop_mean_max_c"
	keyStopWindow  = "weather.stop_window_days"
	keyStopFrom    = "weather.stop_from_day"
	keyRipenSyrup  = "weather.ripen_syrup_days"
	keyRipenInvert = "weather.ripen_invert_days"
	keyInvert      = "weather.invert_strength"
	keyStopWarn    = "weather.stop_warn_days"
	keyStopSD      = "weather.stop_sd_days"
	keyStopSDYears = "weather.stop_sd_years"
	keyStopChance  = "weather.stop_chance"
	keyFeedChance  = "weather.feed_chance"
	keyYears       = "weather.enough_years"
	keySpan        = "weather.calendar_span_days"
	keyKnown       = "weather.window_known"
	keyFill        = "weather.fill_days"
	keyLapse       = "weather.lapse_c_km"
	keyFar         = "weather.station_far_km"
)

// Sources named more than once.
const (
	srcUptake = "derived: no uptake curve has been published; laid through reports that syrup is hardly taken below 8–10 °C, that 5 L take up to a week above a mean of 10 °C (UK practice note), and that strong colonies take 4 L a day in August (Bavarian producer's log)"
	srcCut    = "French extension sheet and UK practice notes: not taken below about 10 °C (50 °F); Vancouver club: about 12 °C; Ontario wintering hand-out: feed before it is below about 13 °C (55 °F)"
	srcStop   = "derived from: Ontario wintering hand-out (feed before highs are below about 13 °C) and the weeks ripening takes; agrees with northern US ~15 October (Moeller, USDA ARS Production Research Report 169, 1977)"
	srcRipen  = "derived: finish so that two to three weeks with highs of 13 °C remain; late uncured stores ferment (N. J. Gates, Overwintering nucs)"
	srcWhole  = "replaying whole years keeps runs of cold days together; 20 years, better 30, are usual for climate normals (WMO uses 30)"
)

// Figures lists what can be argued about here, with defaults and sources.
func Figures() []figure.Figure {
	return append(feedFigures(), append(stopFigures(), dataFigures()...)...)
}

func feedFigures() []figure.Figure {
	return []figure.Figure{
		{Key: keyFeedMin, Name: "daily high at or below which no syrup is taken", Value: 8, Unit: "°C", Low: 4, High: 13, SD: 2,
			Source: srcUptake, Grade: figure.Derived, Note: "start of the uptake curve"},
		{Key: keyFeedAt10, Name: "share of full uptake at a daily high of 10 °C", Value: 0.15, Unit: "fraction", Low: 0, High: 1, SD: 0.08,
			Source: srcUptake, Grade: figure.Derived, Note: "the yard's own uptake, once measured, is better"},
		{Key: keyFeedAt12, Name: "share of full uptake at a daily high of 12 °C", Value: 0.35, Unit: "fraction", Low: 0, High: 1, SD: 0.17,
			Source: srcUptake, Grade: figure.Derived, Note: "the yard's own uptake, once measured, is better"},
		{Key: keyFeedAt15, Name: "share of full uptake at a daily high of 15 °C", Value: 0.6, Unit: "fraction", Low: 0, High: 1, SD: 0.3,
			Source: srcUptake, Grade: figure.Derived, Note: "the yard's own uptake, once measured, is better"},
		{Key: keyFeedFull, Name: "daily high from which syrup is taken at the full rate", Value: 20, Unit: "°C", Low: 15, High: 30, SD: 2,
			Source: srcUptake, Grade: figure.Derived, Note: "end of the uptake curve"},
		{Key: keyRoundMin, Name: "daily high below which a round is not driven", Value: 10, Unit: "°C", Low: 6, High: 15, SD: 1.5,
			Source: srcCut, Grade: figure.Trade, Note: "contested: 8, 10, 12 or 13 °C"},
		{Key: keyRoundWarn, Name: "daily high below which a round is driven with a warning", Value: 13, Unit: "°C", Low: 8, High: 18, SD: 1.5,
			Source: srcCut, Grade: figure.Trade, Note: "contested: 8, 10, 12 or 13 °C"},
		{Key: keyRoundRain, Name: "rain in a day above which a round is not driven", Value: 10, Unit: "mm", Low: 0, High: 50, SD: 5,
			Source: "common practice, no source", Grade: figure.Practice, Note: "soft tracks and open hives in the wet"},
		{Key: keyFeedChance, Name: "chance a day must have, from past years, to be planned as a day for a round", Value: 0.8, Unit: "fraction", Low: 0.5, High: 0.99,
			Source: "common practice, no source", Grade: figure.Practice, Note: "only for days beyond the forecast"},
	}
}

func stopFigures() []figure.Figure {
	return []figure.Figure{
		{Key: keyStopMean, Name: "mean of the daily highs below which feeding has come to its end", Value: 13, Unit: "°C", Low: 8, High: 18, SD: 1.5,
			Source: srcStop, Grade: figure.Derived, Note: "sets the stop day"},
		{Key: keyStopWindow, Name: "days the mean of the daily highs is taken over", Value: 10, Unit: "days", Low: 3, High: 30,
			Source: srcStop, Grade: figure.Derived, Note: "the day itself and the nine before it"},
		{Key: keyStopFrom, Name: "the stop rule looks at days after this one, counted from 1 July (south: 1 January)", Value: 45, Unit: "days", Low: 0, High: 92,
			Source: srcStop, Grade: figure.Derived, Note: "45 is 15 August (south: 15 February)"},
		{Key: keyRipenSyrup, Name: "days syrup needs to be taken, ripened and capped", Value: 14, Unit: "days", Low: 7, High: 28, SD: 4,
			Source: srcRipen, Grade: figure.Derived, Note: "taken off the first cold day"},
		{Key: keyRipenInvert, Name: "days ready invert syrup needs", Value: 7, Unit: "days", Low: 0, High: 21, SD: 3,
			Source: srcRipen, Grade: figure.Derived, Note: "taken off the first cold day"},
		{Key: keyInvert, Name: "strength from which invert syrup counts as ready", Value: 0.72, Unit: "fraction", Low: 0.65, High: 0.8,
			Source: "trade: ready winter feeds are sold at 72 % dry solids and above", Grade: figure.Trade, Note: "shorter time to ripen"},
		{Key: keyStopWarn, Name: "days before the stop day from which to warn", Value: 10, Unit: "days", Low: 0, High: 30,
			Source: "common practice, no source", Grade: figure.Practice, Note: ""},
		{Key: keyStopChance, Name: "chance that syrup given on the stop day still ripens", Value: 0.9, Unit: "fraction", Low: 0.5, High: 0.99,
			Source: "common practice, no source", Grade: figure.Practice, Note: "nine years in ten"},
		{Key: keyStopSD, Name: "spread of the stop day from year to year, where few years are known", Value: 10.5, Unit: "days", Low: 3, High: 20, SD: 1,
			Source: "derived: own count of the first cold day of 88 autumns, 1938–2025, NOAA GHCN-Daily, station USW00014839 (Milwaukee, 43° N); 9.5 days from the differences of following years, so little of it is warming",
			Grade:  figure.Derived, Note: "mixed with the spread of the years that are known"},
		{Key: keyStopSDYears, Name: "years of own weather that figure weighs as much as", Value: 4, Unit: "years", Low: 1, High: 20,
			Source: "common practice, no source", Grade: figure.Practice, Note: "fewer years, more trust in the general spread"},
		{Key: keyYears, Name: "years of weather that are enough", Value: 20, Unit: "years", Low: 5, High: 60,
			Source: srcWhole, Grade: figure.Practice, Note: "with fewer the range is made wider and it is said"},
	}
}

func dataFigures() []figure.Figure {
	return []figure.Figure{
		{Key: keySpan, Name: "days to either side of a date that past years are looked at", Value: 3, Unit: "days", Low: 0, High: 15,
			Source: "common practice, no source", Grade: figure.Practice, Note: "smooths a calendar made from few years"},
		{Key: keyKnown, Name: "share of a window of days that must be known", Value: 0.8, Unit: "fraction", Low: 0.5, High: 1,
			Source: "common practice, no source", Grade: figure.Practice, Note: "else the mean is not known"},
		{Key: keyFill, Name: "longest gap that is filled between its neighbours", Value: 3, Unit: "days", Low: 0, High: 10,
			Source: "common practice, no source", Grade: figure.Practice, Note: "straight line; longer gaps stay open"},
		{Key: keyLapse, Name: "how much colder it is per kilometre higher", Value: 6.5, Unit: "°C/km", Low: 3, High: 10, SD: 1.5,
			Source: "ICAO, Manual of the ICAO Standard Atmosphere, Doc 7488, 3rd ed. 1993 (same as ISO 2533:1975)", Grade: figure.Peer, Note: "a standard, not the day's own air: valleys with cold pools differ"},
		{Key: keyFar, Name: "distance from which a weather station counts as far", Value: 50, Unit: "km", Low: 5, High: 300,
			Source: "common practice, no source", Grade: figure.Practice, Note: "it is used all the same, and said"},
	}
}
