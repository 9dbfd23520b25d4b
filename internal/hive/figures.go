package hive

import "larder/internal/figure"

// Figures lists what can be argued about in woodenware. Weights of single
// kinds are not here: they are rows of the catalogue, and a keeper puts them
// right with a measured empty weight or a kind of his own.
func Figures() []figure.Figure {
	const judged = "judged; no published value found"
	up := func(key, name string, v, lo, hi float64) figure.Figure {
		return figure.Figure{Key: "hive.uptake_" + key, Name: "uptake from a " + name + " against a tray",
			Value: v, Unit: "fraction", Low: lo, High: hi, Source: judged, Grade: figure.Derived,
			Note: "multiplies what a colony takes in a day"}
	}
	return []figure.Figure{
		{Key: "hive.comb_g_dm2", Name: "stores in sealed comb, one side", Value: 150, Unit: "g/dm²", Low: 125, High: 175, SD: 15,
			Source: "125: Liebig and Aumeier, eighths of a side; 150: Swedish association, 300 g per dm² of both sides; " +
				"172–175: BBKA News 216, August 2013, 5 lb in a British Standard deep frame, and a German magazine, 350 g per dm² of both sides",
			Grade: figure.Trade, Note: "weigh one full comb of your own to put it right"},
		{Key: "hive.tare_scale_sd_kg", Name: "spread of a measured empty weight", Value: 0.2, Unit: "kg", Low: 0.05, High: 1,
			Source: "platform scale 0.2 kg: judged", Grade: figure.Derived},
		{Key: "hive.stores_share", Name: "most of the comb of one box that stores should fill", Value: 0.65, Unit: "fraction", Low: 0.5, High: 1,
			Source: "60–65 % of comb sides in a single box, judged from bienen&natur, BienenSchweiz and ATTTA, which all warn of crowded combs",
			Grade:  figure.Derived, Note: "the cluster needs empty comb to sit on"},
		up("tray", "tray on top", 1.0, 0.7, 1.3),
		up("frame", "frame feeder", 0.8, 0.5, 1.0),
		up("rapid", "round rapid feeder", 0.7, 0.4, 1.0),
		up("pail", "pail or contact feeder with many holes", 0.6, 0.3, 0.9),
		up("jar", "jar", 0.3, 0.1, 0.5),
		up("entrance", "jar at the entrance", 0.2, 0.1, 0.4),
	}
}
