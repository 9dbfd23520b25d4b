package stores

import "larder/internal/figure"

// Figures lists what can be argued about in judging stores.
func Figures() []figure.Figure {
	const judged = "judged; no published standard error found"
	return []figure.Figure{
		// Weighing.
		{Key: "stores.se_scale_kg", Name: "spread of a platform, hanging or automatic scale", Value: 0.2, Unit: "kg", Low: 0.05, High: 2, Source: judged, Grade: figure.Derived},
		{Key: "stores.se_lift2_kg", Name: "least spread of two lifts", Value: 0.8, Unit: "kg", Low: 0.3, High: 3,
			Source: "judged; Imkerverein Dorfen, February 2021: within a kilogram, good enough", Grade: figure.Derived},
		{Key: "stores.se_lift2_share", Name: "spread of two lifts", Value: 0.025, Unit: "fraction", Low: 0.01, High: 0.1, Source: judged, Grade: figure.Derived},
		{Key: "stores.se_lift1_kg", Name: "least spread of one lift doubled", Value: 2, Unit: "kg", Low: 0.8, High: 6, Source: judged, Grade: figure.Derived},
		{Key: "stores.se_lift1_share", Name: "spread of one lift doubled: the weight lies off the middle", Value: 0.07, Unit: "fraction", Low: 0.025, High: 0.2,
			Source: "statics: 3 cm off on a half-metre floor is 12 % of the weight; size judged", Grade: figure.Derived},
		{Key: "stores.se_about_kg", Name: "spread of a weight that is a guess, or one figure for a whole yard", Value: 6, Unit: "kg", Low: 2, High: 15,
			Source: "judged: hives of one kind in one yard differ by about as much", Grade: figure.Derived},
		{Key: "stores.wet_kg", Name: "water in soaked wood, snow or ice on the lid", Value: 1.0, Unit: "kg", Low: 0, High: 4, SD: 1.2,
			Source: "an Austrian scale log, 2021: up to several kilograms; size judged", Grade: figure.Keeper},

		// Ballast.
		{Key: "stores.bee_g", Name: "weight of a bee", Value: 0.11, Unit: "g", Low: 0.08, High: 0.15,
			Source: "Bienenjournal, Liebefeld article: 0.08–0.14 g by gut; Oliver, American Bee Journal, August 2016: about 4000 to the pound", Grade: figure.Trade},
		{Key: "stores.bees_dm2", Name: "bees on a fully covered side", Value: 125, Unit: "bees/dm²", Low: 100, High: 140,
			Source: "Austrian summary of the Liebefeld/Hohenheim method: 125 on an eighth of a Zander side, about 1 dm²", Grade: figure.Trade},
		{Key: "stores.bees_spread", Name: "spread of counted bees", Value: 0.2, Unit: "fraction", Low: 0.05, High: 0.5,
			Source: "judged: 0.4 kg on 2 kg of bees", Grade: figure.Derived},
		{Key: "stores.bees_drift", Name: "what a count of bees loses in sureness each day", Value: 0.004, Unit: "fraction/day", Low: 0, High: 0.02,
			Source: "judged from 1.35 times as many bees on 1 September as on 1 November", Grade: figure.Derived},
		{Key: "stores.bees_unseen_kg", Name: "bees of a full hive nobody looked into", Value: 2.0, Unit: "kg", Low: 1, High: 4, SD: 0.8,
			Source: "winter 1–2 kg: Imkerverein Dorfen and Extertal; 2 kg: Weser-Ems; early autumn 2–4 kg: a French club", Grade: figure.Trade,
			Note: "less in proportion where the comb is less than ten Langstroth deep frames"},
		{Key: "stores.brood_g_dm2", Name: "sealed brood on one side", Value: 55, Unit: "g/dm²", Low: 40, High: 65,
			Source: "400 cells of 0.13–0.15 g: worked out", Grade: figure.Derived},
		{Key: "stores.brood_spread", Name: "spread of counted brood", Value: 0.3, Unit: "fraction", Low: 0.1, High: 0.6, Source: judged, Grade: figure.Derived},
		{Key: "stores.brood_unseen_kg", Name: "brood of a full hive nobody looked into", Value: 0.6, Unit: "kg", Low: 0, High: 2.2, SD: 0.6,
			Source: "judged: 40 dm² on 1 September, 9 on 15 October, none in December, at 55 g", Grade: figure.Derived},
		{Key: "stores.pollen_kg", Name: "pollen in a full hive", Value: 0.6, Unit: "kg", Low: 0, High: 2, SD: 0.4,
			Source: "Bienenjournal: about 100 g on an eighth of a Zander side; amount judged", Grade: figure.Derived},
		{Key: "stores.syrup_kg_l", Name: "weight of a litre of syrup of untold strength", Value: 1.29, Unit: "kg/L", Low: 1.2, High: 1.38, SD: 0.04,
			Source: "sucrose tables at 20 °C: 1:1 1.230, 3:2 1.287, 2:1 1.326", Grade: figure.Derived},

		// Frames and hand.
		{Key: "stores.open_share", Name: "what open food counts against sealed", Value: 0.6, Unit: "fraction", Low: 0.3, High: 1, Source: "judged", Grade: figure.Derived},
		{Key: "stores.se_frames_share", Name: "spread of stores counted by frames", Value: 0.12, Unit: "fraction", Low: 0.05, High: 0.3,
			Source: "judged: trained about 10 %, novices 20–25 %; Delaplane, van der Steen and Guzman-Novoa, Journal of Apicultural Research 52(1), 2013, on training", Grade: figure.Derived},
		{Key: "stores.hand_light_kg", Name: "stores of a single full box that feels light", Value: 7, Unit: "kg", Low: 2, High: 14, Source: "judged", Grade: figure.Derived},
		{Key: "stores.hand_fair_kg", Name: "stores of a single full box that feels fair", Value: 14, Unit: "kg", Low: 8, High: 20, Source: "judged", Grade: figure.Derived},
		{Key: "stores.hand_heavy_kg", Name: "stores of a single full box that feels heavy", Value: 21, Unit: "kg", Low: 14, High: 30, Source: "judged", Grade: figure.Derived},
		{Key: "stores.se_hand_kg", Name: "spread of a hand nobody has checked", Value: 5, Unit: "kg", Low: 2, High: 10, Source: judged, Grade: figure.Derived},
		{Key: "stores.scale_step_kg", Name: "a sudden change on an automatic scale that is no foraging", Value: 1.0, Unit: "kg", Low: 0.3, High: 5, Source: "judged", Grade: figure.Derived},

		// Ripening.
		{Key: "stores.ripe_water", Name: "water in ripe stores", Value: 0.18, Unit: "fraction", Low: 0.15, High: 0.20,
			Source: "Somerville, NSW Agnote DAI/178, 2000: 13–18 %; BZV Merkstein: 15–18 %", Grade: figure.Peer},
		{Key: "stores.ripen_days", Name: "days until syrup taken is ripe", Value: 14, Unit: "days", Low: 7, High: 21,
			Source: "weigh 10–14 days after feeding: judged", Grade: figure.Derived},
		{Key: "stores.ripen_spread", Name: "spread of the water still to go from unripe syrup", Value: 0.3, Unit: "fraction", Low: 0.1, High: 0.6, Source: "judged", Grade: figure.Derived},

		// Eating, until a model of it is handed in.
		{Key: "stores.daily_use_broodless", Name: "eaten a day without brood", Value: 0.033, Unit: "kg/day", Low: 0.02, High: 0.05, SD: 0.013,
			Source: "bienen&natur: about 1 kg a month November to January; Norrström, Niklasson and Leidenberger, PLOS ONE 16(10) e0258398, 2021: 0.039 ± 0.013", Grade: figure.Trade},
		{Key: "stores.daily_use_brood", Name: "eaten a day with some brood", Value: 0.10, Unit: "kg/day", Low: 0.05, High: 0.2, SD: 0.04,
			Source: "bienen&natur: about 3 kg a month in October and February to April", Grade: figure.Trade},
		{Key: "stores.daily_use_season", Name: "eaten a day in the bees' season when nothing comes in", Value: 0.178, Unit: "kg/day", Low: 0.08, High: 0.35, SD: 0.07,
			Source: "worked out for 14 °C, 14 000 bees, 30 dm² of brood", Grade: figure.Derived, Note: "May to September; forage is not counted"},
		{Key: "stores.daily_use_spread", Name: "spread of what is eaten", Value: 0.4, Unit: "fraction", Low: 0.2, High: 0.8,
			Source: "40 % on a month, 25 % on a whole winter: judged from the check of the winter model against published cases", Grade: figure.Derived},
		{Key: "stores.question_sd", Name: "standard deviations from which a reading is asked about", Value: 3, Unit: "", Low: 2, High: 6, Source: "judged", Grade: figure.Derived},
	}
}
