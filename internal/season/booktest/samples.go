package booktest

import (
	"encoding/binary"
	"encoding/json"
	"strings"
	"time"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/supplement"
	"larder/internal/units"
	"larder/internal/weather"
)

// ID makes the n-th id of a series: a UUID of version 7 whose time goes up with n.
func ID(n int) season.ID {
	var id season.ID
	binary.BigEndian.PutUint64(id[:8], uint64(0x0199_0000_0000+n)<<16|0x7000)
	binary.BigEndian.PutUint64(id[8:], 0x8000_0000_0000_0000|uint64(n))
	return id
}

// at gives the moment of an hour of 2026, counted from 1 August, four hours
// west of Greenwich.
func at(hour int) units.Moment {
	zone := time.FixedZone("", -4*3600)
	return units.At(time.Date(2026, 8, 1, 0, 0, 0, 0, zone).Add(time.Duration(hour) * time.Hour))
}

func lb(s string) units.Entered[units.Mass]    { return must(units.EnterMass(s, units.Locale{})) }
func gal(s string) units.Entered[units.Volume] { return must(units.EnterVolume(s, units.Locale{})) }

func must[V any](v V, err error) V {
	if err != nil {
		panic("booktest: " + err.Error())
	}
	return v
}

// Samples gives good facts of every kind, each kind in its plain and in its
// fullest form. Their ids and times go up.
func Samples() []season.Fact {
	stack := hive.Stack{Boxes: []hive.Box{{Kind: "lang10-deep"}, {Kind: "lang10-medium", Frames: 9}}, Poly: true, Tare: 17.5, TareKnown: true}
	full := apiary.Colony{ID: "north 12", Yard: "north", Stand: 3, Kind: apiary.Full, Stack: stack, Feeder: "top2", FeederVolume: 7.5,
		Target: 27.2, State: apiary.Alive, From: "north 11", Note: "gentle; <b>&amp;</b> \"quoted\"\nsecond line"}
	bodies := []any{
		apiary.Yard{ID: "north"},
		apiary.Yard{ID: "south", Name: "South of the creek", HasPlace: true, Lat: 42.4431, Lon: -76.4989, Elev: 312, Climate: apiary.Cold,
			Station: "ithaca", Stop: units.DayOf(2026, 10, 14), Setup: 480, Access: "key under the third stone", Closed: true},
		apiary.Chore{Yard: "north", What: "narrow", Note: "to two fingers"},
		apiary.Placed{Colony: apiary.Colony{ID: "north 11", Yard: "north", Kind: apiary.Nuc}},
		apiary.Placed{Colony: full},
		apiary.Moved{Colony: "north 11", Yard: "south", Stand: 2},
		apiary.Restacked{Colony: "north 11", Stack: stack},
		apiary.FeederSet{Colony: "north 11", Feeder: "jar", Volume: 1.9},
		apiary.FeederSet{Colony: "north 12"},
		apiary.United{From: "weak", Into: "north 12"},
		apiary.Split{From: "north 12", New: apiary.Colony{ID: "north 13", Yard: "north", Kind: apiary.Nuc}, Stores: 4.5},
		apiary.Ended{Colony: "north 9", State: apiary.Dead, Cause: "starved", Left: 0.5, LeftKnown: true},
		apiary.Look{Colony: "north 12", Bees: 8.5, BeesKnown: true, Brood: 2.25, BroodKnown: true, Queen: apiary.Yes, Disease: apiary.No,
			Treatment: apiary.No, Super: apiary.Yes, Refuses: apiary.No, Granulated: 1.2, Note: "calm"},
		stores.Reading{Colony: "north 12", Way: stores.Hand, Heft: stores.Light},
		stores.Reading{Colony: "north 12", Way: stores.Full, Gross: lb("98.5 lb"), InFeeder: gal("1 gal"), Off: 1.5, Unusable: 2, Wet: true, About: true},
		stores.Reading{Colony: "north 12", Way: stores.LiftBoth, Lift1: lb("48 lb"), Lift2: lb("44 lb"), Levers: &stores.Levers{Arm1: 0.5, Arm2: 0.51, Pivots: 0.42}},
		stores.Reading{Colony: "north 12", Way: stores.LiftOne, Lift1: lb("41 lb"), Note: "windy"},
		stores.Reading{Colony: "north 12", Way: stores.Frames, Frames: []stores.FrameCount{{Box: "lang10-deep", Sealed: 3.25, Open: 0.5}, {Box: "lang10-medium"}}},
		stores.Reading{Colony: "north 12", Way: stores.Scale, Gross: units.In(units.Mass(41.33))},
		ledger.Given{Colony: "north 12", Feed: ledger.Syrup, Volume: gal("1.5 gal"), Strength: 0.667, Batch: "b7", Plan: "p1", Note: "ok"},
		ledger.Given{Colony: "north 12", Feed: ledger.Comb, Mass: lb("5 lb"), From: "north 13"},
		ledger.NotFed{Colony: "north 12", Why: "robbing", Plan: "p1", Note: "wasps at the lid"},
		ledger.Left{Colony: "north 12", Volume: units.Entered[units.Volume]{As: "0 L"}},
		ledger.Left{Colony: "north 12", Volume: gal("1 qt"), Note: "thick"},
		ledger.Taken{Colony: "north 12", Volume: gal("3 qt"), Note: "weighed"},
		ledger.Batch{ID: "b7", Volume: gal("40 gal"), Strength: 0.6667, Sugar: lb("300 lb"), Water: gal("18 gal"), Temp: 48.5, TempKnown: true, Lots: []string{"L1", "L2"}, Note: "clear"},
		ledger.Purchase{Item: "white sugar", Lot: "L1", Mass: lb("2000 lb"), Price: must(units.NewMoney("1180.00", "USD")), Supplier: "mill", BestBefore: units.DayOf(2028, 1, 31), Note: "on a pallet"},
		weather.Day{Station: "ithaca", Day: units.DayOf(2026, 8, 2), TMax: 28.3, TMin: 14, Rain: 2.5, HasMax: true, HasMin: true, HasRain: true},
		weather.Day{Station: "ithaca", Day: units.DayOf(2026, 8, 9), TMax: 21, HasMax: true, Forecast: true},
		ledger.Purchase{Item: "invert syrup", Volume: gal("275 US gal")},
		season.Road{From: "north", To: "south", Dist: 3100},
		season.Road{From: "", To: "north", Dist: 12400, Time: 960},
		season.Setting{Key: "house.name", Value: "Ridge Road Bees"},
		season.Setting{Key: "feed.care"},
		apiary.Chore{Yard: "south", What: "leftover", Note: "3 gal back"},
		ledger.Purchase{Item: "powder in the blue tub", Lot: "P-9", Mass: lb("1 lb"), Goods: ledger.Supplement, Sack: lb("0.5 lb")},
		ledger.Batch{ID: "b8", Volume: gal("10 gal"), Strength: 0.5, Lots: []string{"L1"}, Used: []ledger.Used{{Item: "powder in the blue tub", Lot: "P-9", Mass: lb("95 g")}, {Item: "invert syrup", Volume: gal("2 gal")}}},
		ledger.Given{Colony: "north 12", Feed: ledger.Fondant, Mass: lb("5 lb"), Lot: "F-1"},
		ledger.Handled{What: ledger.Opened, Item: "powder in the blue tub", Lot: "P-9", Kept: "dark and dry", Note: "seal whole"},
		ledger.Handled{What: ledger.Spilt, Batch: "b7", Volume: gal("1 gal")},
		ledger.Handled{What: ledger.Counted, Item: "white sugar", Mass: units.Entered[units.Mass]{As: "0 lb"}},
		supplement.Label{Product: "powder in the blue tub"},
		sampleLabel(),
		oddLabel(),
		supplement.Weighing{Product: "powder in the blue tub", Spoonfuls: 5, Together: lb("45 g"), Holds: gal("15 mL")},
		weather.Station{ID: "ithaca", Name: "Ithaca, the valley", HasPlace: true, Lat: 42.4491, Lon: -76.4491, HasElev: true, Elev: 292.6},
		weather.Station{ID: "shore", HasPlace: true, HasElev: true},
		season.PlanOut{Plan: "p1", Content: json.RawMessage(`{"batches":[],"totals":{"loads":2}}`)},
		season.Truck{Name: "old", Gone: true},
		season.Truck{Name: "flatbed", Tank: 400, Payload: 500, Pump: 0.2, PerHive: 60, Filling: 900, PerDay: 28800, Loads: 3},
		season.WorkingDay{Day: units.DayOf(2026, 9, 19)},
		season.WorkingDay{Day: units.DayOf(2026, 9, 20), PerDay: 14400, People: 4, Off: true, Note: "the club comes"},
		ledger.Agreed{Colony: "north 11", From: "north 12"},
		ledger.Agreed{Colony: "north 11", From: "north 12", Frame: "lang-deep", Frames: 2, Note: "the outer ones"},
		apiary.Yard{ID: "east", Opens: 28800, Shuts: 61200, Shut: "sun; 2026-09-12"},
		season.Feedable{Yard: "east", Day: units.DayOf(2026, 9, 20)},
		season.Feedable{Yard: "east", Day: units.DayOf(2026, 9, 21), Round: apiary.Yes, Factor: 0.5, FactorKnown: true, Note: "south slope"},
		season.Need{Colony: "north 11"},
		season.Need{Colony: "north 11", Volume: gal("2 gal"), Note: "by eye"},
		apiary.Placed{Colony: apiary.Colony{ID: "east 1", Yard: "east", Kind: apiary.Full, NeverEmpty: true}},
		apiary.Placed{Colony: apiary.Colony{ID: "east 2", Yard: "east", Kind: apiary.Full, Wrapped: true}},
		apiary.Yard{ID: "east", Windy: true, Wrapped: true},
		season.Source{Place: "Hill shed", OnHand: gal("0 gal")},
		season.Source{Place: "barn", Gone: true},
		season.Source{Place: "co-op", Yard: "south", HasPlace: true, Lat: 42.4, Lon: -76.5, OnHand: gal("275 gal"), Strength: 0.66, From: units.DayOf(2026, 9, 12), Fill: 600, Note: "ring before"},
	}
	facts := make([]season.Fact, 0, len(bodies)+2)
	for i, b := range bodies {
		f := season.Fact{ID: ID(i + 1), Seen: at(i), Body: b}
		switch i % 4 { // moments in each of their forms
		case 1:
			f.Seen, f.By = units.OnDay(at(i).Day()), "desk"
		case 2:
			f.Made, f.By = at(i+5), "phone of Ann"
		case 3:
			f.Made = units.OnDay(at(i + 24).Day())
		}
		facts = append(facts, f)
	}
	// A correction of the first reading by hand, and a strike of the note on lifts.
	wrong := find(facts, func(f season.Fact) bool { r, ok := f.Body.(stores.Reading); return ok && r.Way == stores.Hand })
	n := len(facts)
	facts = append(facts,
		season.Fact{ID: ID(n + 1), Seen: wrong.Seen, Made: at(n), Replaces: wrong.ID, Body: stores.Reading{Colony: "north 12", Way: stores.Hand, Heft: stores.Fair}},
		season.Fact{ID: ID(n + 2), Seen: at(n + 1), Body: season.Strike{Fact: find(facts, func(f season.Fact) bool { r, ok := f.Body.(stores.Reading); return ok && r.Way == stores.LiftOne }).ID, Why: "wrong hive"}})
	return facts
}

// sampleLabel is a label in full, of a product that does not exist.
func sampleLabel() supplement.Label {
	l := units.Locale{}
	return supplement.Label{
		Product: "powder in the blue tub", Form: supplement.Powder,
		PerSyrup: must(supplement.ParseRule("2.5 g per 1 L", l)), PerColony: must(supplement.ParseRule("10 g per colony", l)),
		SeasonMost: supplement.Saying(must(supplement.ParseAmount("25 g", l))), SeasonTimes: supplement.Saying(3),
		Strongest: supplement.Saying(units.Strength(0.6)), Warmest: supplement.Saying(units.Temp(30)),
		Carrier: supplement.Saying(supplement.Carrier{Water: gal("20 mL"), Product: must(supplement.ParseAmount("5 g", l))}),
		Order:   supplement.Saying([]string{"add to cooled syrup", "stir"}), KeptWhere: supplement.Saying("dark and dry"),
		OpenedDays: supplement.Saying(supplement.Days(90)), MixedDays: supplement.Nothing[supplement.Days](),
		Medicine: supplement.Yes, Authority: "the vet, prescription 12", Withdrawal: supplement.Saying(supplement.Days(42)),
	}
}

// oddLabel is one that cannot be right, and is kept all the same.
func oddLabel() supplement.Label {
	v := supplement.Amount{Volume: gal("10 mL")}
	return supplement.Label{Product: "drops", Form: supplement.Liquid, PerSyrup: supplement.Rule{Product: v, Syrup: gal("1 L")}, PerColony: supplement.Rule{Product: v, Syrup: gal("2 L")},
		SeasonMost: supplement.Saying(v), Carrier: supplement.Saying(supplement.Carrier{Water: gal("1 L"), Product: v}), MixedDays: supplement.Saying(supplement.Days(5))}
}

func find(facts []season.Fact, is func(season.Fact) bool) season.Fact {
	for _, f := range facts {
		if is(f) {
			return f
		}
	}
	panic("booktest: no such sample")
}

// Awkward gives facts with texts that have broken other programs. All are good
// facts and must come back to the letter.
func Awkward() []season.Fact {
	texts := []string{
		"", " ", "'; DROP TABLE larder_fact; --", `\`, `\u0000`, "\x00", "a\x00b", "\ufeff", "\u202egnirts", "日本語", "𝒳🐝👩‍🌾", "é vs e\u0301",
		"<script>alert(1)</script>", "=cmd()", "%s%n$1?:a@b", "\u2028\u2029", "null", "true", "0", "1e999", "NaN", "٣٤", "ß ﬀ İ", "\t\r\n",
		strings.Repeat("long ", 2000), "\ufffd", "\x7f\u0080", "../../etc/passwd", "CON", "{}", `"`, "]]>",
	}
	facts := make([]season.Fact, len(texts))
	for i, s := range texts {
		facts[i] = season.Fact{ID: ID(1000 + i), Seen: at(i), Body: apiary.Look{Colony: "c", Note: s}}
	}
	return facts
}
