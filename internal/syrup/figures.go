package syrup

import "larder/internal/figure"

// Keys of this package's figures.
const (
	KeyBulk         = "syrup.bulk_kg_l"
	KeyConversion   = "syrup.conversion_c"
	KeyModel        = "syrup.conversion_model_sd"
	KeyStoresWater  = "syrup.stores_water"
	KeyLossSucrose  = "syrup.loss_sucrose"
	KeyLossInvert   = "syrup.loss_invert"
	KeyDrying       = "syrup.drying_cost"
	KeyDryFeedSD    = "syrup.dry_feed_sd"
	KeyHFCSDensity  = "syrup.hfcs_density"
	KeyInvDensity   = "syrup.invert_density"
	KeyFondantBulk  = "syrup.fondant_kg_l"
	KeySolidsWhite  = "syrup.solids_white"
	KeySolidsInvert = "syrup.solids_invert"
	KeySolidsMedium = "syrup.solids_medium_invert"
	KeySolids42     = "syrup.solids_hfcs42"
	KeySolids55     = "syrup.solids_hfcs55"
	KeySolidsFond   = "syrup.solids_fondant"
	KeyHMFWarn      = "syrup.hmf_warn_mg_kg"
	KeyHMFRefuse    = "syrup.hmf_refuse_mg_kg"
	KeyGrainMargin  = "syrup.grain_margin_k"
	KeyStoreSigma   = "syrup.store_sigma"
	KeyCrystalSD    = "syrup.crystal_sd_k"
	KeyMeterSD      = "syrup.meter_sd"
	KeyHeatLoss     = "syrup.heat_loss"
	KeySolutionSD   = "syrup.solution_heat_sd"
	KeyMixMax       = "syrup.mix_max_c"
	KeyScald        = "syrup.scald_c"
	KeyFoodWarm     = "syrup.hfcs_max_c"
	KeyKeepThinWarm = "syrup.keep_thin_warm_d"
	KeyKeepThinCool = "syrup.keep_thin_cool_d"
	KeyKeepThick    = "syrup.keep_thick_d"
)

// Sources quoted more than once.
const (
	srcCurth   = "fitted to Curth, Hohenheim 1981, table quoted by BZV Merkstein (1:1, 3:2 and 2:1 within 2 %)"
	srcTrade   = "trade norm; Wartman, Bridges & Eliason, J. Chem. Eng. Data 1980, Table I"
	srcNone    = "common practice, no source"
	srcHMFTool = "our suggestion, from the Belgian food agency's 40 mg/kg (Sci Com Advice 32-2010) and Jachimowicz & El Sherbiny 1975 as in EFSA J. 2022;20(4):7227, Table 2"
)

// Figures lists what can be argued about in this package. Physical formulas
// are not figures; they carry their range and source themselves.
func Figures() []figure.Figure {
	var all []figure.Figure
	all = append(all, conversionFigures()...)
	all = append(all, foodFigures()...)
	return append(all, practiceFigures()...)
}

// conversionFigures turn sugar taken into ripe stores.
func conversionFigures() []figure.Figure {
	return []figure.Figure{
		{Key: KeyConversion, Name: "part of the possible stores a colony really makes", Value: 0.92, Unit: "fraction",
			Low: 0.80, High: 1.00, SD: 0.05, Grade: figure.Derived,
			Source: "set between the model (1.00) and BienenSchweiz 0.93 kg per kg of sugar in 3:2 (0.88) and the producers' 7 lb per US gal (0.83)",
			Note:   "robbing, spill and comb building; the range is taken as two standard deviations; learned from re-weighings"},
		{Key: KeyModel, Name: "misfit of the stores formula", Value: 0.02, Unit: "fraction", Low: 0.01, High: 0.05,
			Source: srcCurth, Grade: figure.Derived, Note: "widens the spread of stores made"},
		{Key: KeyStoresWater, Name: "water in ripe stores", Value: 0.18, Unit: "fraction", Low: 0.15, High: 0.20, SD: 0.01,
			Source: "13–18 % Somerville, NSW Agnote DAI/178, 2000; 15–18 % BZV Merkstein; cap about 17–20 %", Grade: figure.Peer},
		{Key: KeyLossSucrose, Name: "sugar used up in handling and inverting sucrose", Value: 0.03, Unit: "fraction",
			Low: 0, High: 0.10, SD: 0.01, Source: srcCurth, Grade: figure.Derived},
		{Key: KeyLossInvert, Name: "sugar used up in handling invert or HFCS", Value: 0.01, Unit: "fraction",
			Low: 0, High: 0.05, SD: 0.005, Source: "derived: the sucrose loss less the work of inverting", Grade: figure.Derived},
		{Key: KeyDrying, Name: "sugar used up per kg of water dried off", Value: 0.375, Unit: "kg/kg",
			Low: 0.147, High: 0.50, SD: 0.03, Source: srcCurth + "; about 2.55 times the latent heat (2.45 of 16.7 MJ/kg = 0.147)", Grade: figure.Derived},
		{Key: KeyDryFeedSD, Name: "spread of stores made from dry feed", Value: 0.10, Unit: "fraction", Low: 0.05, High: 0.20,
			Source: "no source; the bees must fetch water for it, at a cost nobody has measured", Grade: figure.Practice},
	}
}

// foodFigures are what is sold: its solids and weight.
func foodFigures() []figure.Figure {
	const fr = "fraction"
	return []figure.Figure{
		{Key: KeyBulk, Name: "loose weight of granulated sugar", Value: 0.845, Unit: "kg/L", Low: 0.80, High: 0.90, SD: 0.025,
			Source: "200 g per US cup, USDA SR Legacy (from memory); USDA FoodData Central item 746784 gives 0.795–0.803; 0.90 for a settled bag is common practice, no source",
			Grade:  figure.Memory, Note: "weigh one measure of your own sugar: it decides every recipe by volume"},
		{Key: KeyHFCSDensity, Name: "weight of HFCS against sucrose of the same solids", Value: 0.994, Unit: fr,
			Low: 0.9922, High: 0.9948, SD: 0.0015, Source: "worked out from Buck, in Alternative Sweeteners, Table 5 (60–100 °F)", Grade: figure.Derived},
		{Key: KeyInvDensity, Name: "weight of invert syrup against sucrose of the same solids", Value: 0.995, Unit: fr,
			Low: 0.990, High: 1.0, SD: 0.0025, Source: "by analogy with HFCS", Grade: figure.Derived},
		{Key: KeyFondantBulk, Name: "density of fondant", Value: 1.375, Unit: "kg/L", Low: 1.35, High: 1.40, SD: 0.0125,
			Source: "from memory", Grade: figure.Memory},
		{Key: KeySolidsWhite, Name: "dry solids of white sugar", Value: 0.9994, Unit: fr, Low: 0.99, High: 1, SD: 0.0003,
			Source: "Directive 2001/111/EC, Annex A.2 (loss on drying at most 0.06 %)", Grade: figure.Peer},
		{Key: KeySolidsInvert, Name: "dry solids of invert syrup", Value: 0.72, Unit: fr, Low: 0.62, High: 0.78, SD: 0.01,
			Source: "BZV Merkstein and makers' data (72–72.7 %); Directive 2001/111/EC, Annex A.5–6: at least 62 %", Grade: figure.Trade, Note: "the label says"},
		{Key: KeySolidsMedium, Name: "dry solids of medium invert", Value: 0.779, Unit: fr, Low: 0.76, High: 0.79, SD: 0.005,
			Source: srcTrade, Grade: figure.Peer},
		{Key: KeySolids42, Name: "dry solids of HFCS-42", Value: 0.71, Unit: fr, Low: 0.70, High: 0.72, SD: 0.003,
			Source: srcTrade + " (70.7 % measured)", Grade: figure.Trade},
		{Key: KeySolids55, Name: "dry solids of HFCS-55", Value: 0.77, Unit: fr, Low: 0.76, High: 0.78, SD: 0.003,
			Source: srcTrade + " (76.9 % measured)", Grade: figure.Trade},
		{Key: KeySolidsFond, Name: "dry solids of fondant", Value: 0.88, Unit: fr, Low: 0.86, High: 0.92, SD: 0.01,
			Source: "Austrian Food Code B16 §1.2.2 (water at most 12 %)", Grade: figure.Peer, Note: "the label says"},
	}
}

// practiceFigures are limits and habits of the syrup kitchen.
func practiceFigures() []figure.Figure {
	return []figure.Figure{
		{Key: KeyHMFWarn, Name: "HMF in feed to be warned of", Value: 20, Unit: "mg/kg", Low: 5, High: 40, Source: srcHMFTool, Grade: figure.Derived},
		{Key: KeyHMFRefuse, Name: "HMF in feed that is not to be fed", Value: 40, Unit: "mg/kg", Low: 10, High: 40, Source: srcHMFTool, Grade: figure.Derived,
			Note: "a trade limit, no proof of safety: winter stores are eaten for months"},
		{Key: KeyGrainMargin, Name: "warmer than saturation so that the last grains dissolve", Value: 10, Unit: "K", Low: 5, High: 20, Source: srcNone, Grade: figure.Practice},
		{Key: KeyStoreSigma, Name: "supersaturation above which stored syrup grains", Value: 1.0, Unit: "ratio", Low: 0.95, High: 1.2,
			Source: "solubility itself; new crystals without seeds only above about 1.2 (classical pan-boiling rule, from memory; Van Hook)", Grade: figure.Derived},
		{Key: KeyCrystalSD, Name: "spread of the crystallisation temperature", Value: 2, Unit: "K", Low: 1, High: 3,
			Source: "2:1 by Bubník & Kadlec 19.6, Charles 20.5, older tables about 17 °C", Grade: figure.Derived},
		{Key: KeyMeterSD, Name: "spread of one strength reading", Value: 0.002, Unit: "fraction", Low: 0.0005, High: 0.01,
			Source: srcNone, Grade: figure.Practice, Note: "a hand refractometer is divided in 0.2 °Bx"},
		{Key: KeyHeatLoss, Name: "heat lost to the air while heating", Value: 0.15, Unit: "fraction", Low: 0.10, High: 0.20, SD: 0.025, Source: srcNone, Grade: figure.Practice},
		{Key: KeySolutionSD, Name: "spread of the heat of solution", Value: 3, Unit: "kJ/kg", Low: 2, High: 4,
			Source: "20 ± 3 kJ per kg of sugar: Gucker, Pickard & Planck 1939 (from memory) against a teaching page (15.8)", Grade: figure.Memory},
		{Key: KeyMixMax, Name: "hottest that syrup need ever be", Value: 60, Unit: "°C", Low: 45, High: 70,
			Source: "reasoned from HMF growth (White, Kushnir & Subers 1964); no direct measurement in plain syrup found", Grade: figure.Derived},
		{Key: KeyScald, Name: "hot enough to burn skin in minutes", Value: 48, Unit: "°C", Low: 45, High: 50,
			Source: "US CPSC tap water statement: 48.9 °C burns in 5 min, 60 °C in 6 s; Moritz & Henriques 1947", Grade: figure.Peer},
		{Key: KeyFoodWarm, Name: "warmest store for invert and HFCS", Value: 30, Unit: "°C", Low: 20, High: 32,
			Source: "LeBlanc et al., J. Agric. Food Chem. 57 (2009) 7369–7376: little change near 32 °C, marked rise from 40 °C", Grade: figure.Peer},
		{Key: KeyKeepThinWarm, Name: "1:1 made cold keeps above 20 °C", Value: 3, Unit: "days", Low: 2, High: 4, SD: 0.5, Source: srcNone, Grade: figure.Practice},
		{Key: KeyKeepThinCool, Name: "1:1 made cold keeps at 10 °C", Value: 7, Unit: "days", Low: 4, High: 10, SD: 1.5, Source: srcNone, Grade: figure.Practice},
		{Key: KeyKeepThick, Name: "60–67 % keeps cool and closed", Value: 17, Unit: "days", Low: 14, High: 21, SD: 2, Source: srcNone, Grade: figure.Practice},
	}
}

// or gives fig, or the published figures where fig is empty.
func or(fig figure.Set) figure.Set {
	if _, ok := fig.Default(KeyBulk); ok {
		return fig
	}
	return figure.NewSet(Figures())
}
