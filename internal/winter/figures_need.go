package winter

import "larder/internal/figure"

const (
	keyAlarm       = "winter.runway_alarm_days"
	keyLookOut     = "winter.runway_watch_days"
	keyHeftSD      = "winter.heft_sd_kg"
	keyLiquid      = "winter.liquid_min_high_c"
	keyTouch       = "winter.touching_below_c"
	keyMost        = "winter.need_most_kg"
	keyStep        = "winter.need_step_kg"
	keyFondant     = "winter.fondant_stores"
	keyDrySugar    = "winter.dry_sugar_stores"
	keyThinHigh    = "winter.thin_min_high_c"
	keyThinDays    = "winter.thin_start_days"
	keyThinNear    = "winter.thin_before_forage_days"
	keyThinFull    = "winter.thin_stop_kg"
	keyPairDays    = "winter.weigh_days"
	keyPairs       = "winter.weigh_pairs"
	keyPairsWanted = "winter.weigh_pairs_wanted"
	keyRatioLow    = "winter.weigh_ratio_low"
	keyRatioHigh   = "winter.weigh_ratio_high"
)

func feedingNeed() []figure.Figure {
	const emergency = "Imkerverein Extertal; Perennia, Nova Scotia; Moeller, USDA ARS Production Research Report 169, 1977: fondant or dry sugar right over the cluster, or combs touching it; nothing liquid while it is too cold"
	return []figure.Figure{
		{Key: keyAlarm, Name: "days of stores left below which to feed now", Value: 21, Unit: "days", Low: 7, High: 60, Source: "judged", Grade: figure.Derived},
		{Key: keyLookOut, Name: "days of stores left below which to keep an eye on it", Value: 42, Unit: "days", Low: 14, High: 120, Source: "judged", Grade: figure.Derived},
		{Key: "winter.floor_feed_kg", Name: "stores in February below which to feed at once", Value: 4, Unit: "kg", Low: 2, High: 8, Source: srcGermanLog, Grade: figure.Keeper},
		{Key: "winter.floor_feb_kg", Name: "stores wanted in the first half of February", Value: 8, Unit: "kg", Low: 4, High: 14, Source: srcGermanLog, Grade: figure.Keeper},
		{Key: "winter.floor_feb_end_kg", Name: "stores wanted at the end of February, single box", Value: 5, Unit: "kg", Low: 3, High: 10, Source: "Imkerverein Dorfen, February 2021", Grade: figure.Trade},
		{Key: "winter.floor_march_kg", Name: "stores wanted in early March", Value: 10, Unit: "kg", Low: 5, High: 15, Source: "a German beekeepers' association", Grade: figure.Trade, Note: "higher than the figure for the end of February: sources differ"},
		{Key: keyHeftSD, Name: "spread a heft leaves on stores", Value: 1.5, Unit: "kg", Low: 0.3, High: 5, Source: "worked out: 0.8 kg for two lifts with 1.2 kg for the empty weight of a single hive, both judged", Grade: figure.Derived},
		{Key: keyLiquid, Name: "daily high below which nothing liquid is given", Value: 10, Unit: "°C", Low: 6, High: 15, Source: emergency + "; limit: flight and uptake begin at about 10 °C (ATTTA 2023; French extension sheet)", Grade: figure.Trade},
		{Key: keyTouch, Name: "daily mean below which feed must touch the cluster", Value: 0, Unit: "°C", Low: -10, High: 7, Source: emergency + "; limit judged", Grade: figure.Derived, Note: "a tight cluster does not climb to dry sugar and cannot wet it"},
		{Key: keyMost, Name: "most feed laid on at one visit in the cold", Value: 2.5, Unit: "kg", Low: 0.5, High: 8, Source: practice, Grade: figure.Practice},
		{Key: keyStep, Name: "fondant and dry sugar are weighed out in steps of", Value: 0.5, Unit: "kg", Low: 0.1, High: 2.5, Source: practice, Grade: figure.Practice},
		{Key: keyFondant, Name: "stores a kilogram of fondant is worth", Value: 0.9, Unit: "kg/kg", Low: 0.8, High: 1, SD: 0.05, Source: "from memory: fondant is about 90 % sugar; a kilogram of sugar for a kilogram of stores (Buckfastimker Weser-Ems)", Grade: figure.Memory},
		{Key: keyDrySugar, Name: "stores a kilogram of dry sugar laid on is worth", Value: 0.8, Unit: "kg/kg", Low: 0.5, High: 1, SD: 0.15, Source: "judged: a kilogram of sugar for a kilogram of stores (Buckfastimker Weser-Ems), part of it carried out", Grade: figure.Derived},
		{Key: keyThinHigh, Name: "daily high from which thin feed may be given", Value: 12, Unit: "°C", Low: 8, High: 18, Source: "flight is usual from 12 °C: Imkerverein Dorfen", Grade: figure.Trade},
		{Key: keyThinDays, Name: "days running it must be that warm before thin feed is begun", Value: 3, Unit: "days", Low: 1, High: 10, Source: practice, Grade: figure.Practice},
		{Key: keyThinNear, Name: "days before the first forage from which a programme of thin feed may begin", Value: 42, Unit: "days", Low: 14, High: 70, Source: "judged: two rounds of brood; gain not proven", Grade: figure.Derived, Note: "once begun it must not stop before forage: brood reared on it starves"},
		{Key: keyThinFull, Name: "stores above which thin feed only fills the brood nest", Value: 10, Unit: "kg", Low: 5, High: 20, Source: "judged from the early March figure", Grade: figure.Derived},
	}
}

func calibrating() []figure.Figure {
	const rule = "derived: after each weighing the rates are multiplied by what was eaten over what was expected, between 0.5 and 2"
	return []figure.Figure{
		{Key: keyPairDays, Name: "fewest days between two weighings to learn from", Value: 14, Unit: "days", Low: 7, High: 60, Source: "judged: over 14 days in winter a colony eats about what a good scale is unsure of", Grade: figure.Derived},
		{Key: keyPairs, Name: "fewest pairs of weighings to learn from", Value: 1, Unit: "pairs", Low: 1, High: 20, Source: rule, Grade: figure.Derived, Note: "shrinkage keeps one pair from saying much"},
		{Key: keyPairsWanted, Name: "pairs of weighings below which the yard counts as little weighed", Value: 5, Unit: "pairs", Low: 1, High: 50, Source: "judged", Grade: figure.Derived},
		{Key: keyRatioLow, Name: "least that was eaten against what was expected, to learn from", Value: 0.5, Unit: "fraction", Low: 0.2, High: 1, Source: rule, Grade: figure.Derived},
		{Key: keyRatioHigh, Name: "most that was eaten against what was expected, to learn from", Value: 2, Unit: "fraction", Low: 1, High: 5, Source: rule, Grade: figure.Derived},
	}
}
