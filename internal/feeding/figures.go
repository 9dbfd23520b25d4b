package feeding

import "larder/internal/figure"

const (
	practice = "common practice, no source"
	uptake41 = "uptake model fitted by judgement to reported rates of 0.24-4 L a day (Coweta Beekeepers, Killowen and producers' notes); range ±50 %"
)

// Figures lists what feeding assumes and anybody may argue about.
func Figures() []figure.Figure {
	out := planFigures()
	out = append(out, deficitFigures()...)
	out = append(out, uptakeFigures()...)
	return append(out, weakFigures()...)
}

func planFigures() []figure.Figure {
	return []figure.Figure{
		{Key: "feeding.step_l", Name: "handy step of a fill", Value: 0.25, Unit: "L", Low: 0.05, High: 2,
			Source: practice, Grade: figure.Practice,
			Note: "what the keeper meters out: fills are whole steps, or an empty feeder to the brim, unless tank or days allow none; while you set none of your own it is half a quart, half a litre or a pint, by your units"},
		{Key: "feeding.top_up_part", Name: "least top-up, as a part of the feeder", Value: 0.5, Unit: "fraction", Low: 0, High: 1,
			Source: practice, Grade: figure.Practice,
			Note: "a smaller top-up waits for the next round if nothing is lost by waiting: one lid less to lift"},
		{Key: "feeding.setup_min", Name: "time at a yard before the first lid", Value: 10, Unit: "min", Low: 2, High: 60,
			Source: practice + " (5-10 and 10-15 min are both usual)", Grade: figure.Practice,
			Note: "for Yard.Setup where the keeper told none"},
		{Key: "feeding.per_hive_min", Name: "time per hive without pumping", Value: 1, Unit: "min", Low: 0.3, High: 8,
			Source: practice + " (lift lid, fill by nozzle, close: 0.5-1.5 min)", Grade: figure.Practice,
			Note: "for Rig.PerHive where the keeper told none"},
		{Key: "feeding.fill_tank_min", Name: "time to fill the tank at home", Value: 15, Unit: "min", Low: 2, High: 90,
			Source: practice, Grade: figure.Practice, Note: "for Rig.Fill where the keeper told none"},
		{Key: "feeding.pump_l_min", Name: "flow at the nozzle", Value: 10, Unit: "L/min", Low: 0.5, High: 40,
			Source: practice + " (10-30 L/min for warm 2:1, slower cold)", Grade: figure.Practice,
			Note: "for Rig.Pump where nothing was measured; a bucket test is worth more"},
		{Key: "feeding.mixing_min", Name: "the crew's time for one batch", Value: 60, Unit: "min", Low: 5, High: 480,
			Source: practice, Grade: figure.Practice, Note: "for Kitchen.Mixing where the keeper told none"},
		{Key: "feeding.mix_ahead_days", Name: "longest that syrup is mixed ahead only to save a batch", Value: 7, Unit: "d", Low: 0, High: 30,
			Source: practice + " (clean 2:1 in a closed tank keeps for weeks, 1:1 for days)", Grade: figure.Practice,
			Note: "0 mixes every batch as late as time allows, however small"},
		{Key: "feeding.crew_h", Name: "working time of one feeding day", Value: 8, Unit: "h", Low: 1, High: 16,
			Source: practice, Grade: figure.Practice, Note: "for Crew.PerDay where the keeper told none"},
		{Key: "feeding.risk_band", Name: "risks taken as equal", Value: 0.05, Unit: "fraction", Low: 0.001, High: 0.5,
			Source: practice, Grade: figure.Practice,
			Note: "when days or hours are short, colonies whose chance of being short differs by less count as equal, so that one stop serves them together"},
	}
}

func deficitFigures() []figure.Figure {
	return []figure.Figure{
		{Key: "feeding.care", Name: "still short after feeding, at most in this part of cases", Value: 0.1, Unit: "fraction", Low: 0.02, High: 0.5,
			Source: "the keeper's choice: 1 in 5, 1 in 10 or 1 in 20; no source", Grade: figure.Practice,
			Note: "0.5 feeds to the middle of the estimate, with no reserve for a poor reading"},
		{Key: "feeding.care_cap_kg", Name: "most stores fed for doubt in the reading", Value: 3, Unit: "kg", Low: 0, High: 10,
			Source: "1.28 standard deviations of a careful two-side lift with a tare from the table: 1.28 × √(1.2² + 1.7²) = 2.7 kg, rounded", Grade: figure.Derived,
			Note: "a reading wider than that is answered by another heft, not by a bucket"},
		{Key: "feeding.comb_full", Name: "most of the comb that may hold stores", Value: 0.65, Unit: "fraction", Low: 0.4, High: 0.9,
			Source: "60-65 % of comb sides in a single box, suggested after bienen&natur, BienenSchweiz and ATTTA 2024", Grade: figure.Derived,
			Note: "late brood and the cluster need empty comb; feeding stops there"},
	}
}

func uptakeFigures() []figure.Figure {
	f := func(key, name string, v, lo, hi float64, unit string) figure.Figure {
		return figure.Figure{Key: "feeding." + key, Name: name, Value: v, Low: lo, High: hi, Unit: unit,
			Source: uptake41, Grade: figure.Derived, Note: "overwritten by what a yard's own colonies are seen to take"}
	}
	return []figure.Figure{
		f("uptake_l_frame", "syrup taken a day per frame of bees", 0.30, 0.15, 0.45, "L/day"),
		f("uptake_most_l", "most a colony takes in a day", 4.5, 2, 7, "L/day"),
		f("uptake_thin", "1:1 against 2:1 on a warm day", 1.1, 1, 1.3, "factor"),
		f("uptake_thick_cold", "2:1 below 15 °C against 2:1 above", 0.85, 0.5, 1, "factor"),
	}
}

func weakFigures() []figure.Figure {
	f := func(key, what string, v, lo, hi float64, src string, g figure.Grade) figure.Figure {
		return figure.Figure{Key: "feeding.weak_" + key, Name: "fewest frames of bees that winter, " + what,
			Value: v, Low: lo, High: hi, Unit: "frames", Source: src, Grade: g,
			Note: "below it the colony is better united than fed; Langstroth deep frames, both sides covered"}
	}
	return []figure.Figure{
		f("warm", "warm winters", 4, 2, 8, "one frame under the mild figure (Ontario wintering hand-out, Farms.com 2014: milder, fewer); judged", figure.Derived),
		f("mild", "mild maritime winters", 5, 3, 8, "5-7 frames covered in October, Willamette Valley Beekeepers Association; lower end", figure.Trade),
		f("temperate", "temperate continental winters", 5, 3, 9, "unite in February if bees cover fewer than 5 frames: Beekeeping in Tennessee, University of Tennessee Extension, quoted by Knox County Beekeepers", figure.Trade),
		f("cold", "cold winters", 7, 4, 10, "7 frames of bees: Atlantic Tech Transfer Team for Apiculture, Fall, 10 Oct 2024; 7-8: Ontario wintering hand-out", figure.Peer),
		f("very_cold", "very cold winters", 8, 5, 12, "7-8 frames of bees: Ontario wintering hand-out, reprinted by Farms.com, 2014; upper end", figure.Trade),
		f("nuc", "a nuc of selected stock", 3, 2, 8, "selected stock winters at 3 frames, first trials needed about 8: N. J. Gates, Overwintering nucs", figure.Trade),
	}
}
