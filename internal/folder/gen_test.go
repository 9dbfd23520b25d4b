package folder

import (
	"encoding/json"
	"time"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/supplement"
	"larder/internal/units"
	"larder/internal/weather"
)

// The generators below make facts of every kind, as wild as Fact.Check lets
// them be.

var (
	wildText = rapid.OneOf(
		rapid.Just(""), rapid.SampledFrom([]string{
			"windy", "=cmd|' /C calc'!A0", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "'=1", "''=1", "'plain", "a;b,c", "two\nlines", "two\r\nlines", "cr\ronly",
			`he said "no"`, ` leading`, `trailing `, "  ", "\u00a0", "käse", "日本", "🐝", "\u200frtl", "null\x00byte", "\x01", "_x0041_", "\ufffe", "\ufeffbom", "1e5", "007", "?", "-", "–", "0",
			"2026-10-03", "3/10/2026", "sep=;", "\xff\xfe", "a\xc3", "'", "<script>", "&amp;", "\u2028", "home", "off",
		}), rapid.String(),
	)
	word = rapid.OneOf(rapid.SampledFrom([]string{"14", "07", "1E5", "-", "?", "0", "=A1", "'=A1", "-3", "ridge", "Ridge Road", "home", "off", "none", "é", "a;b", `"q"`, "x,y", "TRUE", "no", "M 2", "_x0041_"}),
		rapid.StringMatching(`[A-Za-z0-9äö=+@'_;,."-]([A-Za-z0-9äö=+@' _;,."-]{0,12}[A-Za-z0-9])?`))
	maybeWord = rapid.OneOf(rapid.Just(""), word)
	coin      = rapid.Bool()
)

func amountGen(max float64) *rapid.Generator[float64] {
	return rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, max), rapid.Custom(func(t *rapid.T) float64 {
		return float64(rapid.IntRange(0, int(max)).Draw(t, "whole"))
	}), rapid.SampledFrom([]float64{0.25, 1.5, 1.234, 12.345, 0.1, 1.0 / 3}))
}

func enteredGen[Q units.Quantity](max float64, us ...string) *rapid.Generator[units.Entered[Q]] {
	return rapid.Custom(func(t *rapid.T) units.Entered[Q] {
		switch rapid.IntRange(0, 3).Draw(t, "how") {
		case 0:
			return units.Entered[Q]{}
		case 1:
			return units.In(Q(amountGen(max).Draw(t, "inside")))
		case 2:
			var e units.Entered[Q] // as stored by something that did not settle the spelling
			if e.UnmarshalText([]byte(rapid.SampledFrom([]string{"48lb", "48 pounds", "3 gal", "0 kg", "0 L", "0 lb", "2 1/2 US gal", "25 lb 4 oz"}).Draw(t, "stored"))) == nil {
				return e
			}
		}
		n := rapid.StringMatching(`[1-9][0-9]{0,1}(\.[0-9]{1,3})?|0|1 1/2|0\.[0-9]{1,2}`).Draw(t, "number")
		e, err := units.Enter[Q](n+" "+rapid.SampledFrom(us).Draw(t, "unit"), units.Locale{Decimal: '.'})
		if err != nil {
			t.Fatalf("generator: %v", err)
		}
		return e
	})
}

var (
	massGen   = enteredGen[units.Mass](200, "lb", "kg", "g", "oz")
	volumeGen = enteredGen[units.Volume](200, "US gal", "L", "UK gal", "US qt", "mL")
)

var stackGen = rapid.Custom(func(t *rapid.T) hive.Stack {
	box := rapid.Custom(func(t *rapid.T) hive.Box {
		return hive.Box{Kind: rapid.SampledFrom([]string{"lang10-deep", "lang10-medium", "bsn-deep", "bs14x12", "no-such-box", "odd.name"}).Draw(t, "box"), Frames: rapid.SampledFrom([]int{0, 0, 9}).Draw(t, "frames")}
	})
	s := hive.Stack{Boxes: rapid.SliceOfN(box, 0, 4).Draw(t, "boxes"), Poly: coin.Draw(t, "poly"), TareKnown: coin.Draw(t, "tare known")}
	if len(s.Boxes) == 0 {
		s.Boxes = nil
	}
	if s.TareKnown {
		s.Tare = units.Mass(amountGen(60).Draw(t, "tare"))
	}
	return s
})

var feederKey = rapid.SampledFrom([]string{"", "tray-2", "pail", "jar", "my own", "off", "=x"})

var colonyGen = rapid.Custom(func(t *rapid.T) apiary.Colony {
	return apiary.Colony{ID: word.Draw(t, "colony"), Yard: word.Draw(t, "yard"), Stand: rapid.IntRange(0, 40).Draw(t, "stand"),
		Kind: rapid.SampledFrom([]apiary.Kind{apiary.Full, apiary.Nuc}).Draw(t, "kind"), Stack: stackGen.Draw(t, "stack"), Feeder: feederKey.Draw(t, "feeder"),
		FeederVolume: units.Volume(amountGen(20).Draw(t, "fv")), Target: units.Mass(amountGen(60).Draw(t, "target")), NeverEmpty: coin.Draw(t, "never"), Wrapped: coin.Draw(t, "wrapped"),
		State: rapid.SampledFrom([]apiary.State{"", apiary.Alive, apiary.Dead, "odd"}).Draw(t, "state"), Into: maybeWord.Draw(t, "into"), From: maybeWord.Draw(t, "from"), Note: wildText.Draw(t, "note")}
})

var dayGen = rapid.Custom(func(t *rapid.T) units.Day {
	return units.Day(rapid.IntRange(18000, 21000).Draw(t, "day"))
})

var momentGen = rapid.Custom(func(t *rapid.T) units.Moment {
	d := dayGen.Draw(t, "day")
	if coin.Draw(t, "day only") {
		return units.OnDay(d)
	}
	zone := time.FixedZone("", 60*rapid.SampledFrom([]int{0, -240, 330, 60, -570}).Draw(t, "offset"))
	ms := rapid.SampledFrom([]int{0, 0, 60000, 61000, 61250}).Draw(t, "ms") + 1000*60*rapid.IntRange(0, 1439).Draw(t, "minute")
	return units.At(d.Time().Add(time.Duration(ms) * time.Millisecond).In(zone))
})

var answerGen = rapid.SampledFrom([]apiary.Answer{apiary.Unknown, apiary.Yes, apiary.No})

var settingGen = rapid.Custom(func(t *rapid.T) season.Setting {
	return rapid.SampledFrom([]season.Setting{
		{Key: "house.name", Value: "Ridge \"Road\" \\Bees"}, {Key: "house.units", Value: "us"}, {Key: "house.units", Value: "uk"}, {Key: "house.decimal", Value: "comma"}, {Key: "house.decimal", Value: "point"},
		{Key: "house.zone", Value: "America/New_York"}, {Key: "house.zone", Value: "Nowhere/At_All"}, {Key: "house.currency", Value: "USD"}, {Key: "home.lat", Value: "42.44"}, {Key: "home.lat", Value: "42.440"},
		{Key: "home.lon", Value: "-76.5"}, {Key: "feed.strength", Value: "2:1 by weight"}, {Key: "feed.care", Value: "1 in 10"}, {Key: "rig.tank", Value: "40 US gal"}, {Key: "rig.tank", Value: "40 gal"}, {Key: "rig.tank", Value: "1.234 L"},
		{Key: "rig.truck", Value: "=pickup"}, {Key: "rig.pump", Value: "2.5 US gal/min"}, {Key: "kitchen.on_hand", Value: "0 L"}, {Key: "crew.loads_per_day", Value: "3"}, {Key: "price.sugar_per_kg", Value: "1.30 USD"},
		{Key: "plan.start", Value: "2026-09-12"}, {Key: "plan.days", Value: "45"}, {Key: "rig.tank", Value: ""}, {Key: "figure.stores.comb_g_dm2", Value: "28.5"}, {Key: "figure.odd key\"\\", Value: "1e3"}, {Key: "figure.a", Value: "0.50"},
	}).Draw(t, "setting")
})

var wildJSON = rapid.SampledFrom([]string{"", "null", "{}", `{"a":[1,2.50,1e3],"b":"<x> & \u2028","c":null}`, `"plain"`, `{"long":"` + string(make11k()) + `"}`})

func make11k() []byte {
	b := make([]byte, 40000)
	for i := range b {
		b[i] = byte('a' + i%26)
	}
	return b
}

var roadGen = rapid.Custom(func(t *rapid.T) season.Road {
	return season.Road{From: maybeWord.Draw(t, "from"), To: maybeWord.Draw(t, "to") + "x", Dist: units.Length(amountGen(90000).Draw(t, "dist")), Time: units.Duration(amountGen(9000).Draw(t, "time"))}
})

var lookGen = rapid.Custom(func(t *rapid.T) apiary.Look {
	l := apiary.Look{Colony: word.Draw(t, "colony"), BeesKnown: coin.Draw(t, "bk"), BroodKnown: coin.Draw(t, "rk"), Queen: answerGen.Draw(t, "q"), Disease: answerGen.Draw(t, "d"), Treatment: answerGen.Draw(t, "t"),
		Super: answerGen.Draw(t, "s"), Refuses: answerGen.Draw(t, "r"), Granulated: units.Mass(amountGen(20).Draw(t, "g")), Note: wildText.Draw(t, "note")}
	if l.BeesKnown || rapid.IntRange(0, 9).Draw(t, "odd") == 0 {
		l.Bees = amountGen(30).Draw(t, "bees")
	}
	if l.BroodKnown {
		l.Brood = amountGen(30).Draw(t, "brood")
	}
	return l
})

var readingGen = rapid.Custom(func(t *rapid.T) stores.Reading {
	r := stores.Reading{Colony: word.Draw(t, "colony"), Way: rapid.SampledFrom([]stores.Way{stores.Full, stores.LiftBoth, stores.LiftOne, stores.Frames, stores.Hand, stores.Scale}).Draw(t, "way"),
		Gross: massGen.Draw(t, "gross"), Lift1: massGen.Draw(t, "lift1"), Lift2: massGen.Draw(t, "lift2"), InFeeder: volumeGen.Draw(t, "in"), Off: units.Mass(amountGen(9).Draw(t, "off")),
		Unusable: units.Mass(amountGen(9).Draw(t, "un")), Wet: coin.Draw(t, "wet"), About: coin.Draw(t, "about"), Note: wildText.Draw(t, "note")}
	if coin.Draw(t, "levers") {
		r.Levers = &stores.Levers{Arm1: units.Length(amountGen(2).Draw(t, "a1")), Arm2: units.Length(amountGen(2).Draw(t, "a2")), Pivots: units.Length(amountGen(2).Draw(t, "p"))}
	}
	if r.Way == stores.Frames || coin.Draw(t, "frames") {
		r.Frames = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) stores.FrameCount {
			return stores.FrameCount{Box: rapid.SampledFrom([]string{"lang10-deep", "lang10-medium", "", "odd"}).Draw(t, "box"), Sealed: amountGen(20).Draw(t, "sealed"), Open: amountGen(9).Draw(t, "open")}
		}), 1, 3).Draw(t, "count")
	}
	if r.Way == stores.Hand || coin.Draw(t, "hefted") {
		r.Heft = rapid.SampledFrom([]stores.Heft{stores.Light, stores.Fair, stores.Heavy}).Draw(t, "heft")
	}
	return r
})

var weatherGen = rapid.Custom(func(t *rapid.T) weather.Day {
	d := weather.Day{Station: word.Draw(t, "station"), Day: dayGen.Draw(t, "date"), Forecast: coin.Draw(t, "fc"), HasMax: coin.Draw(t, "max"), HasMin: coin.Draw(t, "min"), HasRain: coin.Draw(t, "rain")}
	if d.HasMax {
		d.TMax = units.Temp(rapid.Float64Range(0, 50).Draw(t, "tmax"))
	}
	if d.HasMin {
		d.TMin = units.Temp(rapid.OneOf(rapid.Float64Range(-50, 0), rapid.Just(0.0)).Draw(t, "tmin"))
	}
	if d.HasRain {
		d.Rain = amountGen(200).Draw(t, "mm")
	}
	return d
})

var strengthGen = rapid.OneOf(rapid.SampledFrom([]units.Strength{0, 0.5, 2.0 / 3, 0.6, 0.625, 0.667}), rapid.Custom(func(t *rapid.T) units.Strength {
	return units.Strength(rapid.Float64Range(0.01, 0.99).Draw(t, "s"))
}))

var moneyGen = rapid.Custom(func(t *rapid.T) units.Money {
	if coin.Draw(t, "none") {
		return units.Money{}
	}
	return units.MustMoney(rapid.SampledFrom([]string{"12.50 USD", "590 USD", "0.00 EUR", "1234.567 EUR", "-3.20 USD", "7 JPY"}).Draw(t, "money"))
})

// bodies makes bodies of each kind; the test below looks that none is missing.
var bodies = map[string]*rapid.Generator[any]{
	"yard": rapid.Custom(func(t *rapid.T) any {
		y := apiary.Yard{ID: word.Draw(t, "yard"), Name: maybeWord.Draw(t, "name"), HasPlace: coin.Draw(t, "place"), Elev: units.Length(amountGen(3000).Draw(t, "elev")),
			Climate: rapid.SampledFrom([]apiary.Climate{"", apiary.Warm, apiary.VeryCold}).Draw(t, "climate"), Station: maybeWord.Draw(t, "station"), Setup: units.Duration(amountGen(900).Draw(t, "setup")),
			Access: wildText.Draw(t, "access"), Closed: coin.Draw(t, "closed")}
		if y.HasPlace {
			y.Lat, y.Lon = rapid.Float64Range(-90, 90).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")
		}
		if coin.Draw(t, "stop") {
			y.Stop = dayGen.Draw(t, "day")
		}
		if coin.Draw(t, "gate") {
			y.Opens = units.Duration(rapid.IntRange(0, 600).Draw(t, "opens")) * units.Minute
			y.Shuts = units.Duration(rapid.SampledFrom([]int{0, 601, 1440}).Draw(t, "shuts")) * units.Minute
			y.Shut = rapid.SampledFrom([]string{"", "sun", "mon; sat; 2026-09-12"}).Draw(t, "shut")
		}
		return y
	}),
	"colony": rapid.Custom(func(t *rapid.T) any { return apiary.Placed{Colony: colonyGen.Draw(t, "colony")} }),
	"station": rapid.Custom(func(t *rapid.T) any {
		s := weather.Station{ID: word.Draw(t, "station"), Name: maybeWord.Draw(t, "name"), HasPlace: coin.Draw(t, "place"), HasElev: coin.Draw(t, "high")}
		if s.HasPlace {
			s.Lat, s.Lon = rapid.Float64Range(-90, 90).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")
		}
		if s.HasElev {
			s.Elev = units.Length(amountGen(3000).Draw(t, "elev"))
		}
		return s
	}),
	"move": rapid.Custom(func(t *rapid.T) any {
		return apiary.Moved{Colony: word.Draw(t, "c"), Yard: word.Draw(t, "y"), Stand: rapid.IntRange(0, 9).Draw(t, "s")}
	}),
	"stack": rapid.Custom(func(t *rapid.T) any { return apiary.Restacked{Colony: word.Draw(t, "c"), Stack: stackGen.Draw(t, "s")} }),
	"feeder": rapid.Custom(func(t *rapid.T) any {
		return apiary.FeederSet{Colony: word.Draw(t, "c"), Feeder: feederKey.Draw(t, "f"), Volume: units.Volume(amountGen(20).Draw(t, "v"))}
	}),
	"unite": rapid.Custom(func(t *rapid.T) any {
		w := word.Draw(t, "c")
		return apiary.United{From: w, Into: w + "b"}
	}),
	"split": rapid.Custom(func(t *rapid.T) any {
		c := colonyGen.Draw(t, "new")
		return apiary.Split{From: c.ID + "a", New: c, Stores: units.Mass(amountGen(20).Draw(t, "stores"))}
	}),
	"end": rapid.Custom(func(t *rapid.T) any {
		e := apiary.Ended{Colony: word.Draw(t, "c"), State: rapid.SampledFrom([]apiary.State{apiary.Dead, apiary.Sold}).Draw(t, "s"), Cause: wildText.Draw(t, "cause"), LeftKnown: coin.Draw(t, "k")}
		if e.LeftKnown {
			e.Left = units.Mass(amountGen(30).Draw(t, "left"))
		}
		return e
	}),
	"look":    rapid.Custom(func(t *rapid.T) any { return lookGen.Draw(t, "look") }),
	"reading": rapid.Custom(func(t *rapid.T) any { return readingGen.Draw(t, "reading") }),
	"given": rapid.Custom(func(t *rapid.T) any {
		return ledger.Given{Colony: word.Draw(t, "c"), Feed: rapid.SampledFrom([]ledger.Feed{ledger.Syrup, ledger.Fondant, ledger.DrySugar, ledger.Comb, ledger.Protein}).Draw(t, "feed"),
			Volume: volumeGen.Draw(t, "v"), Strength: strengthGen.Draw(t, "s"), Mass: massGen.Draw(t, "m"), Batch: maybeWord.Draw(t, "b"), From: maybeWord.Draw(t, "from"), Plan: maybeWord.Draw(t, "p"), Note: wildText.Draw(t, "n")}
	}),
	"not-fed": rapid.Custom(func(t *rapid.T) any {
		return ledger.NotFed{Colony: word.Draw(t, "c"), Why: wildText.Draw(t, "w"), Plan: maybeWord.Draw(t, "p"), Note: wildText.Draw(t, "n")}
	}),
	"left": rapid.Custom(func(t *rapid.T) any {
		return ledger.Left{Colony: word.Draw(t, "c"), Volume: volumeGen.Draw(t, "v"), Note: wildText.Draw(t, "n")}
	}),
	"truck": rapid.Custom(func(t *rapid.T) any {
		return season.Truck{Name: "t" + word.Draw(t, "n"), Tank: units.Volume(rapid.IntRange(1, 900).Draw(t, "tank")), Payload: units.Mass(rapid.IntRange(0, 900).Draw(t, "kg")), Pump: units.Flow(rapid.IntRange(0, 60).Draw(t, "flow")) / 60,
			PerHive: units.Duration(60 * rapid.IntRange(0, 9).Draw(t, "lid")), Filling: units.Duration(60 * rapid.IntRange(0, 90).Draw(t, "fill")), PerDay: units.Duration(3600 * rapid.IntRange(0, 12).Draw(t, "day")),
			Loads: rapid.IntRange(0, 9).Draw(t, "loads"), Gone: rapid.Bool().Draw(t, "gone")}
	}),
	"workday": rapid.Custom(func(t *rapid.T) any {
		return season.WorkingDay{Day: units.DayOf(2026, 9, rapid.IntRange(1, 28).Draw(t, "day")), PerDay: units.Duration(3600 * rapid.IntRange(0, 12).Draw(t, "hours")), People: rapid.IntRange(0, 12).Draw(t, "people"),
			Off: rapid.Bool().Draw(t, "off"), Note: wildText.Draw(t, "n")}
	}),
	"feedable": rapid.Custom(func(t *rapid.T) any {
		f := season.Feedable{Yard: word.Draw(t, "y"), Day: dayGen.Draw(t, "day"), Round: apiary.Answer(rapid.IntRange(0, 2).Draw(t, "round")), FactorKnown: coin.Draw(t, "known"), Note: wildText.Draw(t, "n")}
		if f.FactorKnown {
			f.Factor = float64(rapid.IntRange(0, 10).Draw(t, "factor")) / 10
		}
		return f
	}),
	"need": rapid.Custom(func(t *rapid.T) any {
		return season.Need{Colony: word.Draw(t, "c"), Volume: volumeGen.Draw(t, "v"), Note: wildText.Draw(t, "n")}
	}),
	"source": rapid.Custom(func(t *rapid.T) any {
		s := season.Source{Place: "s" + word.Draw(t, "p"), Yard: maybeWord.Draw(t, "y"), HasPlace: coin.Draw(t, "place"), OnHand: volumeGen.Draw(t, "have"), Strength: strengthGen.Draw(t, "s"), Fill: units.Duration(60 * rapid.IntRange(0, 90).Draw(t, "fill")),
			Gone: coin.Draw(t, "gone"), Note: wildText.Draw(t, "n")}
		if s.HasPlace {
			s.Lat, s.Lon = rapid.Float64Range(-90, 90).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")
		}
		if coin.Draw(t, "later") {
			s.From = dayGen.Draw(t, "from")
		}
		if s.OnHand.IsZero() || s.Place == s.Yard {
			s.Gone, s.Yard = true, ""
		}
		return s
	}),
	"agreed": rapid.Custom(func(t *rapid.T) any {
		return ledger.Agreed{Colony: "c" + word.Draw(t, "c"), From: "f" + word.Draw(t, "f"), Frame: rapid.SampledFrom([]string{"", "lang-deep"}).Draw(t, "k"), Frames: rapid.IntRange(0, 40).Draw(t, "m"), Note: wildText.Draw(t, "n")}
	}),
	"chore": rapid.Custom(func(t *rapid.T) any {
		return apiary.Chore{Yard: word.Draw(t, "y"), What: rapid.SampledFrom(append(season.OpeningChores(), season.ClosingChores()...)).Draw(t, "w"), Note: wildText.Draw(t, "n")}
	}),
	"taken": rapid.Custom(func(t *rapid.T) any {
		return ledger.Taken{Colony: word.Draw(t, "c"), Volume: volumeGen.Draw(t, "v"), Note: wildText.Draw(t, "n")}
	}),
	"batch": rapid.Custom(func(t *rapid.T) any {
		b := ledger.Batch{ID: word.Draw(t, "b"), Volume: volumeGen.Draw(t, "v"), Strength: strengthGen.Draw(t, "s"), Sugar: massGen.Draw(t, "m"), Water: volumeGen.Draw(t, "w"), TempKnown: coin.Draw(t, "k"),
			Lots: rapid.SampledFrom([][]string{nil, {"S-1"}, {"S-1", "S-2"}, {"a;b"}, {"=x"}, {}}).Draw(t, "lots"), Note: wildText.Draw(t, "n")}
		if b.TempKnown {
			b.Temp = units.Temp(rapid.Float64Range(-20, 90).Draw(t, "t"))
		}
		if coin.Draw(t, "used") {
			b.Used = []ledger.Used{{Item: word.Draw(t, "i"), Lot: maybeWord.Draw(t, "ul"), Mass: massGen.Draw(t, "um")}}
		}
		return b
	}),
	"stock": rapid.Custom(func(t *rapid.T) any {
		h := ledger.Handled{What: rapid.SampledFrom(ledger.Happenings()).Draw(t, "what"), Note: wildText.Draw(t, "n")}
		if h.What != ledger.Opened && coin.Draw(t, "batch") {
			h.Batch, h.Volume = word.Draw(t, "b"), volumeGen.Draw(t, "v")
			return h
		}
		h.Item, h.Lot = word.Draw(t, "i"), maybeWord.Draw(t, "l")
		switch {
		case h.What == ledger.Opened:
			h.Kept = maybeWord.Draw(t, "k")
		case coin.Draw(t, "mass"):
			h.Mass = massGen.Draw(t, "m")
		default:
			h.Volume = volumeGen.Draw(t, "v")
		}
		return h
	}),
	"label": rapid.Custom(func(t *rapid.T) any {
		l := supplement.Label{Product: word.Draw(t, "p"), Authority: rapid.SampledFrom([]string{"", "the vet", "=x", " two\nlines "}).Draw(t, "a"),
			Form:     rapid.SampledFrom([]supplement.Form{"", supplement.Powder, supplement.Liquid, "paste"}).Draw(t, "f"),
			Medicine: rapid.SampledFrom([]supplement.YesNo{"", supplement.Yes, supplement.No}).Draw(t, "med")}
		said := func(name string) supplement.Said {
			return rapid.SampledFrom([]supplement.Said{supplement.NotCopied, supplement.Silent, supplement.Says}).Draw(t, name)
		}
		if coin.Draw(t, "dose") {
			l.PerSyrup = supplement.Rule{Product: supplement.Amount{Mass: massGen.Draw(t, "m")}, Syrup: volumeGen.Draw(t, "v")}
		}
		l.Strongest = supplement.Term[units.Strength]{Said: said("s1"), Is: strengthGen.Draw(t, "s")}
		l.OpenedDays = supplement.Term[supplement.Days]{Said: said("s2"), Is: supplement.Days(rapid.IntRange(-3, 400).Draw(t, "d"))}
		l.Order = supplement.Term[[]string]{Said: said("s3"), Is: rapid.SampledFrom([][]string{nil, {"stir"}, {"a", "b"}, {"a;b"}, {" x "}}).Draw(t, "o")}
		l.KeptWhere = supplement.Term[string]{Said: said("s4"), Is: rapid.SampledFrom([]string{"", "dark", "silent", "=x"}).Draw(t, "k")}
		return l
	}),
	"spoon": rapid.Custom(func(t *rapid.T) any {
		return supplement.Weighing{Product: word.Draw(t, "p"), Spoonfuls: rapid.IntRange(1, 9).Draw(t, "n"), Together: massGen.Draw(t, "m"), Holds: volumeGen.Draw(t, "v")}
	}),
	"purchase": rapid.Custom(func(t *rapid.T) any {
		p := ledger.Purchase{Item: word.Draw(t, "i"), Lot: maybeWord.Draw(t, "l"), Mass: massGen.Draw(t, "m"), Volume: volumeGen.Draw(t, "v"), Price: moneyGen.Draw(t, "p"), Supplier: wildText.Draw(t, "s"), Note: wildText.Draw(t, "n")}
		p.Goods = rapid.SampledFrom(append(ledger.AllGoods(), "")).Draw(t, "g")
		if coin.Draw(t, "sack") {
			p.Sack = massGen.Draw(t, "sk")
		}
		if coin.Draw(t, "bb") {
			p.BestBefore = dayGen.Draw(t, "best")
		}
		return p
	}),
	"weather": rapid.Custom(func(t *rapid.T) any { return weatherGen.Draw(t, "day") }),
	"road":    rapid.Custom(func(t *rapid.T) any { return roadGen.Draw(t, "road") }),
	"setting": rapid.Custom(func(t *rapid.T) any { return settingGen.Draw(t, "set") }),
	"plan": rapid.Custom(func(t *rapid.T) any {
		p := season.PlanOut{Plan: word.Draw(t, "plan")}
		if s := wildJSON.Draw(t, "json"); s != "" {
			p.Content = json.RawMessage(s)
		}
		return p
	}),
	"strike": rapid.Custom(func(t *rapid.T) any { return season.Strike{Fact: idGen.Draw(t, "id"), Why: wildText.Draw(t, "why")} }),
}

var idGen = rapid.Custom(func(t *rapid.T) season.ID {
	var id season.ID
	copy(id[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "id"))
	id[6], id[8] = id[6]&0x0f|rapid.SampledFrom([]byte{0x70, 0x80}).Draw(t, "version"), id[8]&0x3f|0x80
	return id
})

// factsGen makes a book: facts with ids of their own, facts from rows without
// ids (some of them equal), strikes and corrections of these.
var factsGen = rapid.Custom(func(t *rapid.T) []season.Fact {
	var out []season.Fact
	used := map[season.ID]bool{}
	x := newNamer()
	common := momentGen.Draw(t, "common day")
	if coin.Draw(t, "has a season.toml") {
		since := units.OnDay(dayGen.Draw(t, "since"))
		for _, s := range rapid.SliceOfNDistinct(settingGen, 0, 9, func(s season.Setting) string { return s.Key }).Draw(t, "head") {
			f := season.Fact{Seen: since, Body: s}
			b, err := season.EncodeBody(&f)
			if err != nil {
				t.Fatalf("generator: %v", err)
			}
			f.ID = x.derive("setting", f.RowContent(b, nil))
			used[f.ID] = true
			out = append(out, f)
		}
	}
	for range rapid.IntRange(0, 14).Draw(t, "facts") {
		kind := rapid.SampledFrom(season.Kinds()).Draw(t, "kind")
		f := season.Fact{Seen: common, Body: bodies[kind].Draw(t, kind)}
		if coin.Draw(t, "own moment") {
			f.Seen = momentGen.Draw(t, "seen")
		}
		if kind == "weather" && coin.Draw(t, "on its day") {
			f.Seen = units.OnDay(f.Body.(weather.Day).Day)
		}
		if coin.Draw(t, "dressed") {
			f.Made = momentGen.Draw(t, "made")
			f.By = rapid.OneOf(rapid.Just("Ann"), rapid.StringMatching(`[=a-z é']{0,6}`)).Draw(t, "by")
		}
		if len(out) > 0 && rapid.IntRange(0, 5).Draw(t, "replaces") == 0 {
			f.Replaces = out[rapid.IntRange(0, len(out)-1).Draw(t, "which")].ID
		}
		if s, ok := f.Body.(season.Strike); ok && len(out) > 0 && coin.Draw(t, "strikes ours") {
			s.Fact = out[rapid.IntRange(0, len(out)-1).Draw(t, "which")].ID
			f.Body = s
		}
		for range rapid.SampledFrom([]int{1, 1, 1, 2, 3}).Draw(t, "times") {
			g := f
			g.ID = idGen.Draw(t, "id")
			if b, err := season.EncodeBody(&g); err == nil && rapid.IntRange(0, 3).Draw(t, "from a row") > 0 {
				c := g.RowContent(b, nil)
				if coin.Draw(t, "skip one") {
					x.derive(g.Kind(), c)
				}
				g.ID = x.derive(g.Kind(), c)
			}
			if used[g.ID] || g.Check() != nil {
				continue
			}
			used[g.ID] = true
			out = append(out, g)
		}
	}
	return out
})
