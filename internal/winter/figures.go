package winter

import (
	"larder/internal/apiary"
	"larder/internal/figure"
)

// Keys of the figures of this package. The weight of a bee is "stores.bee_g".
const (
	keyCluster   = "winter.cluster_g"
	keyPerKg     = "winter.bees_g_kg"
	keyCold      = "winter.cold_per_c"
	keyDeep      = "winter.deep_cold_per_c"
	keyDeepMore  = "winter.deep_cold_spread"
	keyRestLow   = "winter.rest_low_c"
	keyRestHigh  = "winter.rest_high_c"
	keyTight     = "winter.tight_c"
	keyStir      = "winter.stir_per_c"
	keyStirMost  = "winter.stir_most"
	keyBroodFood = "winter.brood_food_g"
	keyBroodHeat = "winter.brood_heat_g"
	keyNest      = "winter.nest_c"
	keyShift     = "winter.brood_shift_days"
	keyAmount    = "winter.brood_amount"
	keyBroodBees = "winter.brood_bees"
	keyBroodLow  = "winter.brood_size_low"
	keyBroodHigh = "winter.brood_size_high"
	keyBeesSD    = "winter.bees_spread"
	keyColonySD  = "winter.colony_spread"

	keyReserve    = "winter.reserve_kg"
	keyConfidence = "winter.confidence"
	keyForageSD   = "winter.forage_sd_days"
	keyForageOwn  = "winter.forage_own_years"
	keyYearsBack  = "winter.years_back"
	keyWinterSD   = "winter.winters_spread"
	keyWinterDF   = "winter.winters_spread_years"
	keyEnough     = "weather.enough_years"
	keyBeeG       = "stores.bee_g"
)

// Sources named more than once.
const (
	srcModel     = "derived: winter model fitted to Southwick, J Comp Physiol B 156, 1985, 143–149 (cluster of 1.2 kg at 2 °C) and Harbo 1983, abstract (4400, 8900 and 34 000 bees)"
	srcNoBelow   = "Severson and Erickson, Apidologie 21, 1990, 135–142 (the cluster shrinks to −23 °C); Melathopoulos, Beaverlodge (tightest at about −10 °C); size derived"
	srcRest      = "Melathopoulos, Beaverlodge Research Farm; Perennia, Nova Scotia, February 2018: least is eaten at 5–10 °C"
	srcGerman    = "derived from bienen&natur: about 3 kg a month in months with brood"
	srcLarva     = "derived: 59.4 mg of carbohydrate for a worker larva (Hrassnigg and Crailsheim 2005, in the COLOSS BEEBOOK) × 19 cells/dm²/day / 0.80 = 1.4, and what the nurses eat"
	srcCovers    = "direction: St. Clair, Beach and Dolezal, PLOS ONE 17(4) e0266219, 2022, and Moeller, USDA ARS Production Research Report 169, 1977 (wind); size judged"
	srcSpread    = "derived: with it the whole winter is known to 25 % and a spring month to 40 %, as the check of the model against published cases allows"
	srcGermanLog = "a German bee farm's rule"
	practice     = "common practice, no source"
)

// Figures lists what can be argued about in a colony's winter.
func Figures() []figure.Figure {
	var out []figure.Figure
	for _, l := range [][]figure.Figure{eating(), brooding(), protecting(), planning(), foraging(), feedingNeed(), calibrating()} {
		out = append(out, l...)
	}
	return out
}

func eating() []figure.Figure {
	return []figure.Figure{
		{Key: keyCluster, Name: "eaten a day to make up for the heat a cluster loses, whatever its size", Value: 13, Unit: "g/day", Low: 9, High: 18, SD: 2.25,
			Source: srcModel, Grade: figure.Derived, Note: "intercept of the two series; contested: see the next figure"},
		{Key: keyPerKg, Name: "eaten a day by each kilogram of resting bees", Value: 17, Unit: "g/kg/day", Low: 13, High: 22, SD: 2.25,
			Source: srcModel, Grade: figure.Derived,
			Note: "slope of the two series. Contested: Southwick's clusters eat less per bee the larger they are; Omholt, J. theor. Biol. 128, 1987, 219–231 says about the same; Harbo only below 9000 bees. A part for the cluster and a part per kilogram lies between"},
		{Key: keyCold, Name: "more eaten for each degree below the rest, down to −10 °C", Value: 0.020, Unit: "1/°C", Low: 0.01, High: 0.03, SD: 0.005,
			Source: srcNoBelow, Grade: figure.Derived, Note: "the weakest-supported part"},
		{Key: keyDeep, Name: "more eaten for each degree below −10 °C", Value: 0.035, Unit: "1/°C", Low: 0.025, High: 0.05, SD: 0.00625,
			Source: srcNoBelow, Grade: figure.Derived, Note: "no data below −10 °C"},
		{Key: keyDeepMore, Name: "spread of what is eaten in very cold weather", Value: 0.4, Unit: "fraction", Low: 0, High: 0.8,
			Source: "judged: below −10 °C the slope has no data behind it", Grade: figure.Derived, Note: "comes in between −10 and −15 °C"},
		{Key: keyRestLow, Name: "daily mean below which the cold costs food", Value: 5, Unit: "°C", Low: 0, High: 10, Source: srcRest, Grade: figure.Peer},
		{Key: keyRestHigh, Name: "daily mean above which bees stir and eat more", Value: 7, Unit: "°C", Low: 5, High: 10, Source: srcRest, Grade: figure.Peer,
			Note: "contested: Norrström, Niklasson and Leidenberger, PLOS ONE 16(10) e0258398, 2021, found more eaten the warmer it was around 3.5 °C"},
		{Key: keyTight, Name: "daily mean at which the cluster is tightest", Value: -10, Unit: "°C", Low: -15, High: -5, Source: "Melathopoulos, Beaverlodge Research Farm", Grade: figure.Peer},
		{Key: keyStir, Name: "more eaten for each degree above the rest", Value: 0.14, Unit: "1/°C", Low: 0.08, High: 0.20, SD: 0.03,
			Source: "derived: Harbo 1983 at about 12 °C against Southwick 1985 at 2 °C; sign: Norrström, Niklasson and Leidenberger 2021", Grade: figure.Derived},
		{Key: keyStirMost, Name: "most that stirring adds", Value: 1.5, Unit: "fraction", Low: 0.8, High: 2.5, Source: "judged", Grade: figure.Derived, Note: "reached at about 18 °C"},
		{Key: keyBeesSD, Name: "spread of the bees there are against those counted and carried on", Value: 0.12, Unit: "fraction", Low: 0.05, High: 0.5, Source: "judged", Grade: figure.Derived,
			Note: "bee numbers through winter are judged too: how many die varies"},
		{Key: keyColonySD, Name: "spread between colonies alike in bees, brood and hive", Value: 0.14, Unit: "fraction", Low: 0.05, High: 0.5, Source: srcSpread, Grade: figure.Derived},
	}
}

func brooding() []figure.Figure {
	return []figure.Figure{
		{Key: keyBroodFood, Name: "eaten a day for each dm² of brood comb, one side", Value: 2.0, Unit: "g/dm²/day", Low: 1.0, High: 3.0, SD: 0.5, Source: srcLarva, Grade: figure.Derived},
		{Key: keyBroodHeat, Name: "eaten a day to keep brood warm", Value: 0.26, Unit: "g/day/°C/dm²^(2/3)", Low: 0.15, High: 0.40, SD: 0.0625, Source: srcGerman, Grade: figure.Derived},
		{Key: keyNest, Name: "temperature brood is kept at", Value: 35, Unit: "°C", Low: 32, High: 36, Source: "Melathopoulos, Beaverlodge Research Farm: 32–36 °C", Grade: figure.Peer},
		{Key: keyShift, Name: "days your brood runs later than the calendar", Value: 0, Unit: "days", Low: -40, High: 40, SD: 16, Source: srcSpread + "; set it by when you see brood", Grade: figure.Derived},
		{Key: keyAmount, Name: "brood against the calendar", Value: 1, Unit: "fraction", Low: 0.3, High: 1.7, SD: 0.3, Source: srcSpread, Grade: figure.Derived},
		{Key: keyBroodBees, Name: "bees on 1 November the brood calendar is made for", Value: 11000, Unit: "bees", Low: 8000, High: 15000,
			Source: "judged; Free and Racey, Ent. exp. appl. 11, 1968: small colonies rear more brood for their bees", Grade: figure.Derived},
		{Key: keyBroodLow, Name: "least brood of a small colony against the calendar", Value: 0.4, Unit: "fraction", Low: 0.1, High: 1, Source: "judged, as the figure before", Grade: figure.Derived},
		{Key: keyBroodHigh, Name: "most brood of a large colony against the calendar", Value: 1.3, Unit: "fraction", Low: 1, High: 2, Source: "judged, as the figure before", Grade: figure.Derived},
	}
}

func protecting() []figure.Figure {
	k := func(name, what string, v float64) figure.Figure {
		return figure.Figure{Key: "winter.k_" + name, Name: "what a cluster loses against a plain wooden hive: " + what, Value: v, Unit: "fraction",
			Low: 0.8, High: 1.2, SD: 0.05, Source: srcCovers, Grade: figure.Derived}
	}
	return []figure.Figure{
		k(string(Plain), "plain wood, sheltered", 1), k(string(Wrapped), "wrapped", 0.9),
		k(string(Foam), "polystyrene", 0.85), k(string(Windy), "exposed to wind", 1.1),
	}
}

func planning() []figure.Figure {
	return []figure.Figure{
		{Key: keyReserve, Name: "reserve that is not to be touched", Value: 4, Unit: "kg", Low: 0, High: 10, Source: "judged; a German bee farm feeds at once below 4 kg in February", Grade: figure.Derived, Note: "a cluster in the cold does not reach every comb"},
		{Key: keyConfidence, Name: "chance that stores last to the first dependable forage", Value: 0.95, Unit: "fraction", Low: 0.5, High: 0.99, Source: practice, Grade: figure.Practice},
		{Key: keyYearsBack, Name: "past winters looked at, the latest", Value: 30, Unit: "winters", Low: 5, High: 100, Source: "30 years are usual for climate normals (WMO)", Grade: figure.Practice, Note: "older winters were colder; see the back-test"},
		{Key: keyWinterSD, Name: "spread of what is eaten from winter to winter, where few are known", Value: 0.02, Unit: "fraction", Low: 0.005, High: 0.2, SD: 0.01,
			Source: "derived: own count, 1.6 % over 88 winters 1938–2025 of NOAA GHCN-Daily, station USW00014839 (Milwaukee, 43° N), model colony of 12 000 bees, 1 October to 29 April; rounded up for other places", Grade: figure.Derived,
			Note: "mixed with the winters that are known. Small because the calendar of brood does not follow the weather; that doubt is in the figures of brood"},
		{Key: keyWinterDF, Name: "winters of own weather that figure weighs as much as", Value: 4, Unit: "winters", Low: 1, High: 20, Source: practice, Grade: figure.Practice},
		{Key: "winter.net_strong_kg", Name: "bees, brood and stores together from which a colony counts as strong", Value: 30, Unit: "kg", Low: 20, High: 45,
			Source: "Doeke et al., Journal of Economic Entomology, 2018/19; Penn State news: above 30 kg about 94 % came through in central Pennsylvania", Grade: figure.Peer},
		{Key: "winter.unite_frames", Name: "frames of bees in February below which to unite", Value: 5, Unit: "frames", Low: 2, High: 8,
			Source: "Beekeeping in Tennessee, University of Tennessee Extension, quoted by Knox County Beekeepers", Grade: figure.Trade},
		{Key: "winter.weak_spring_frames", Name: "frames of bees below which a colony is weak in spring", Value: 3, Unit: "frames", Low: 1, High: 6, Source: "Alberta survey 2007", Grade: figure.Peer},
		{Key: "winter.mini_comb_kg", Name: "stores for each occupied comb of a mini-nucleus, for the winter", Value: 0.35, Unit: "kg", Low: 0.25, High: 0.5, Source: "LWG Bavaria, quoted in a German club article, 2021: about 700 bees on a comb, 0.5 g a bee", Grade: figure.Trade},
	}
}

// foraging gives the first dependable forage, in days from 1 July (south: 1
// January), by class of winter.
func foraging() []figure.Figure {
	f := func(c apiary.Climate, v float64, src string, g figure.Grade, note string) figure.Figure {
		return figure.Figure{Key: forageKey(c), Name: "first dependable forage, " + string(c) + " winters", Value: v, Unit: "days from 1 July (south: 1 January)",
			Low: 180, High: 350, SD: 10, Source: src, Grade: g, Note: note}
	}
	return []figure.Figure{
		f(apiary.Warm, 258, "judged", figure.Derived, "16 March"),
		f(apiary.Mild, 288, "judged", figure.Derived, "15 April"),
		f(apiary.Temperate, 303, "bienen&natur counts October to April; Hørsholm Biavlerforening, Denmark: until some time in May; day judged", figure.Trade, "30 April; April income is not counted"),
		f(apiary.Cold, 303, "Seeley and Visscher 1985, as described later: an Ithaca colony lost weight nearly every week to mid-April; the check of the model runs to late April; day judged", figure.Trade, "30 April"),
		f(apiary.VeryCold, 318, "judged", figure.Derived, "15 May"),
		{Key: keyForageSD, Name: "spread of the first dependable forage from year to year", Value: 10, Unit: "days", Low: 0, High: 30, Source: "judged; compare the spread of the first cold day in autumn, 10.5 days", Grade: figure.Derived},
		{Key: keyForageOwn, Name: "springs of your own that spread and day weigh as much as", Value: 3, Unit: "springs", Low: 1, High: 20, Source: practice, Grade: figure.Practice},
	}
}

func forageKey(c apiary.Climate) string {
	if c == apiary.VeryCold {
		return "winter.forage_very_cold"
	}
	return "winter.forage_" + string(c)
}
