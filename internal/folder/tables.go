package folder

import (
	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// The units of bare numbers, by the house: us, metric, uk. "" = it has to be
// said, since more than one unit is usual.
var (
	usualMass  = [3]string{"lb", "kg", "lb"}
	usualFeed  = [3]string{"", "L", ""} // gallons, quarts and pints are all usual
	usualTemp  = [3]string{"F", "C", "C"}
	usualPart  = [3]string{"%", "%", "%"}
	usualElev  = [3]string{"ft", "m", ""}
	usualRoad  = [3]string{"mi", "km", "mi"}
	usualTime  = [3]string{"min", "min", "min"}
	usualLever = [3]string{"in", "cm", ""}
)

// tables are the tables of a folder, in the order in which they are read,
// written and documented. Names of files and columns never change.
var tables = []*table{
	settingsTable, yardsTable, coloniesTable, movesTable, stacksTable, feedersTable, unitesTable, splitsTable, endsTable,
	looksTable, readingsTable, givenTable, notFedTable, leftTable, takenTable, agreedTable, choresTable, batchesTable, purchasesTable, stockTable, labelsTable, spoonsTable,
	weatherTable, stationsTable, roadsTable, trucksTable, workdaysTable, feedableTable, needsTable, sourcesTable, plansTable, strikesTable, otherTable,
}

var settingsTable = ending(tableOf("settings", "setting",
	"Settings told after season.toml, or at another day: the later one holds. What a key means stands under season.toml above.",
	named("key", "name of the setting, as table.key: rig.tank; an own figure is figure. and its key", "rig.tank",
		func(b *season.Setting) *string { return &b.Key }).needed(),
	text("value", "its value, with its unit", "45 US gal",
		func(b *season.Setting) *string { return &b.Value }).void("takes the setting back"),
), func(b *season.Setting, r *row) error {
	if !r.m.systemTold {
		return nil // amounts stay as they are typed
	}
	v, err := settled(b.Key, b.Value, units.Locale{Decimal: '.', System: r.m.system})
	if err != nil {
		return in("value", err)
	}
	b.Value = v
	return nil
})

var yardsTable = tableOf("yards", "yard", "One row for each yard; a later row for the same yard replaces what was told before.",
	named("yard", "your short name for it; it never changes", "ridge", func(b *apiary.Yard) *string { return &b.ID }).needed().or("yard id", "site"),
	named("name", "its name in full", "Ridge Road", func(b *apiary.Yard) *string { return &b.Name }).or("full name"),
	numeric("lat", "degrees north, south negative", "42.44", func(b *apiary.Yard) (*float64, *bool) { return &b.Lat, &b.HasPlace }).within(-90, 90, "°", func(b *apiary.Yard) float64 { return b.Lat }).or("latitude").void("not told"),
	numeric("lon", "degrees east, west negative", "-76.5", func(b *apiary.Yard) (*float64, *bool) { return &b.Lon, &b.HasPlace }).within(-180, 180, "°", func(b *apiary.Yard) float64 { return b.Lon }).or("longitude", "long").void("not told"),
	amount(sLength, "elev", "height above the sea", "310 m", usualElev, func(b *apiary.Yard) *units.Length { return &b.Elev }).or("elevation", "altitude", "height").void("not told, as is 0"),
	choice("climate", "class of winter, by the mean temperature of January (in the south, July)",
		[]apiary.Climate{apiary.Warm, apiary.Mild, apiary.Temperate, apiary.Cold, apiary.VeryCold}, nil,
		func(b *apiary.Yard) *apiary.Climate { return &b.Climate }).void("not told"),
	named("station", "weather series used for it", "ithaca", func(b *apiary.Yard) *string { return &b.Station }).or("weather", "weather station").void("the series called like the yard, else that of the nearest station"),
	day("stop", "your own last day of syrup", "2026-10-20", func(b *apiary.Yard) *units.Day { return &b.Stop }).or("stop day", "stop date", "last day of syrup").void("worked out"),
	amount(sTime, "setup", "time lost at each visit before the first lid", "10 min", usualTime, func(b *apiary.Yard) *units.Duration { return &b.Setup }).or("setup time").void("the published figure, as is 0"),
	text("access", "gate, key, hours: printed on the yard's sheet", "gate code on the key ring", func(b *apiary.Yard) *string { return &b.Access }),
	yesno("closed", "no longer used", func(b *apiary.Yard) *bool { return &b.Closed }).seldom(),
	clockTime("opens", "time of day from which one can work there: a gate, a tenant's hours", "08:00", func(b *apiary.Yard) *units.Duration { return &b.Opens }).or("gate opens").void("any time").seldom(),
	clockTime("shuts", "time of day by which the last lid must be on", "17:00", func(b *apiary.Yard) *units.Duration { return &b.Shuts }).or("gate shuts").void("the end of the day").seldom(),
	shutDays("shut", "days on which nobody gets in: days of the week and dates, with ; between them", "sun; 2026-09-12", func(b *apiary.Yard) *string { return &b.Shut }).or("shut days", "gate shut").void("none").seldom(),
	yesno("windy", "its stands are exposed to wind in winter: the winter model then lets its hives lose more heat", func(b *apiary.Yard) *bool { return &b.Windy }).or("in the wind").seldom(),
	yesno("wrapped", "all its hives are wrapped in winter; where only some are, say so in colonies.csv", func(b *apiary.Yard) *bool { return &b.Wrapped }).or("wrapped in winter").seldom(),
).holding().place()

// shutDays is a list of days of the week and dates.
func shutDays(name, what, example string, at func(*apiary.Yard) *string) col[apiary.Yard] {
	return col[apiary.Yard]{column: column{name: name, sort: sText, what: what, example: example},
		put: func(b *apiary.Yard) string { return *at(b) },
		take: func(b *apiary.Yard, c *cell) error {
			d, err := season.ReadShutDays(c.text)
			*at(b) = d.String()
			return err
		},
	}
}

// place checks that a place has both its degrees.
func (t *table) place() *table {
	t.blame = map[string]string{"latitude": "lat", "longitude": "lon", "setup": "setup", "station": "station", "height above the sea (m)": "elev", "opens": "opens", "shuts": "shuts", "shut": "shut"}
	return ending(t, func(b *apiary.Yard, r *row) error { return bothDegrees(r) })
}

// stationPlace is place for stations.
func stationPlace(t *table) *table {
	t.blame = map[string]string{"latitude": "lat", "longitude": "lon", "height above the sea (m)": "elev"}
	return ending(t, func(b *weather.Station, r *row) error { return bothDegrees(r) })
}

func bothDegrees(r *row) error {
	if r.has("lat") == r.has("lon") {
		return nil
	}
	which := "lat"
	if r.has("lat") {
		which = "lon"
	}
	return in(which, fault.New(fault.Missing, "", "nothing stands here").WithHint("a place needs both lat and lon, in degrees: 42.44 and -76.5"))
}

// stackColumns are the columns of a stack: the boxes as text, and beside them
// what a spreadsheet would rather have apart.
func stackColumns[B any](need bool, at func(*B) *hive.Stack) []col[B] {
	boxes := col[B]{column: column{name: "stack", also: []string{"boxes", "woodenware"}, sort: sStack, need: need,
		what: "boxes from the bottom up, as box + box; box:9 for nine frames in it, box x2 for two alike", example: "lang10-deep + lang10-medium", blank: "not told"},
		put: func(b *B) string { return hive.Stack{Boxes: at(b).Boxes}.String() },
		take: func(b *B, c *cell) error {
			s, err := hive.ParseStack(c.text)
			s.Poly = s.Poly || at(b).Poly
			if at(b).TareKnown {
				s.Tare, s.TareKnown = at(b).Tare, true
			}
			*at(b) = s
			return err
		},
	}
	material := col[B]{column: column{name: "material", also: []string{"made of"}, sort: sChoice, rare: true, what: "wood or poly", example: "poly", blank: "wood"},
		put: func(b *B) string {
			if at(b).Poly {
				return "poly"
			}
			return ""
		},
		take: func(b *B, c *cell) error {
			switch folded(c.text) {
			case "poly", "polystyrene", "styrofoam":
				at(b).Poly = true
			case "wood", "wooden", "timber":
			default:
				return fault.Newf(fault.NotUnderstood, "", "%q is not a material we know", c.text).WithHint("wood or poly")
			}
			return nil
		},
	}
	tare := known(sMass, "tare", "measured empty weight of the whole: floor, boxes, drawn comb, covers", "18.5 kg", usualMass,
		func(b *B) (*units.Mass, *bool) { return &at(b).Tare, &at(b).TareKnown }).or("empty weight").void("worked out from the boxes; 0 is a weight").seldom()
	return []col[B]{boxes, material, tare}
}

// feederColumn is the key of a feeder kind; off is what stands for none.
func feederColumn[B any](what, off, blank string, at func(*B) *string) col[B] {
	return col[B]{column: column{name: "feeder", also: []string{"feeder kind"}, sort: sChoice, what: what, example: "tray-2", blank: blank, text: true},
		put: func(b *B) string { return firstOf(*at(b), off) },
		take: func(b *B, c *cell) error {
			key := folded(unguard(c.text))
			if key == "off" || key == "none" || key == "no" {
				return nil
			}
			for _, k := range hive.Default().Feeders() {
				if key == folded(k.Key) || key == folded(k.Name) {
					*at(b) = k.Key
					return nil
				}
			}
			_, err := hive.Default().Feeder(unguard(c.text))
			return err
		},
	}
}

// colonyColumns are the columns of a colony as it is put in a place.
func colonyColumns[B any](at func(*B) *apiary.Colony) []col[B] {
	cols := []col[B]{
		named("colony", "your name for it, the only one of its name", "14", func(b *B) *string { return &at(b).ID }).needed().or("hive", "hive no", "hive number", "colony id", "name"),
		named("yard", "yard it stands in", "ridge", func(b *B) *string { return &at(b).Yard }).needed().or("site", "location"),
		whole("stand", "place in the walking order, from 1", "3", func(b *B) *int { return &at(b).Stand }).or("position", "place").void("not told, as is 0"),
		choice("kind", "what it is", []apiary.Kind{apiary.Full, apiary.Nuc}, map[string]apiary.Kind{"nucleus": apiary.Nuc, "fullhive": apiary.Full, "hive": apiary.Full},
			func(b *B) *apiary.Kind { return &at(b).Kind }).void("told from its boxes"),
	}
	cols = append(cols, stackColumns(false, func(b *B) *hive.Stack { return &at(b).Stack })...)
	return append(cols,
		feederColumn("feeder now on it, one of the kinds below", "", "none", func(b *B) *string { return &at(b).Feeder }),
		amount(sVolume, "feeder_volume", "your own measure of that feeder", "2 US gal", usualFeed, func(b *B) *units.Volume { return &at(b).FeederVolume }).void("the kind's, as is 0").seldom(),
		amount(sMass, "target", "your own target of stores for it", "60 lb", usualMass, func(b *B) *units.Mass { return &at(b).Target }).or("stores target").void("worked out, as is 0"),
		yesno("never_empty", "its feeder is never to run empty, once filled, until it has all it needs; where days allow", func(b *B) *bool { return &at(b).NeverEmpty }).or("keep filled").seldom(),
		yesno("wrapped", "this hive is wrapped in winter: the winter model then lets it lose less heat", func(b *B) *bool { return &at(b).Wrapped }).or("wrapped in winter").seldom(),
		text("note", "anything", "moved from the orchard", func(b *B) *string { return &at(b).Note }).or("notes", "remark", "remarks", "comment", "comments"),
		choice("state", "written by the program", []apiary.State{apiary.Alive, apiary.Dead, apiary.Joined, apiary.Sold}, nil, func(b *B) *apiary.State { return &at(b).State }).seldom(),
		named("joined_into", "written by the program", "12", func(b *B) *string { return &at(b).Into }).seldom(),
		named("split_from", "written by the program", "12", func(b *B) *string { return &at(b).From }).seldom(),
	)
}

// kindFromBoxes fills in what kind of colony it is when that was not told.
func kindFromBoxes(c *apiary.Colony) {
	if c.Kind == "" {
		c.Kind = apiary.KindOf(c.Stack, hive.Default())
	}
}

var coloniesTable = ending(tableOf("colonies", "colony",
	"One row for each colony: where it stands, in what woodenware. A later row for the same colony replaces what was told before.",
	colonyColumns(func(b *apiary.Placed) *apiary.Colony { return &b.Colony })...,
).holding(), func(b *apiary.Placed, _ *row) error {
	kindFromBoxes(&b.Colony)
	return nil
})

var movesTable = tableOf("moves", "move", "Colonies moved to another yard or stand.",
	named("colony", "the colony moved", "14", func(b *apiary.Moved) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	named("yard", "where it stands from then on", "orchard", func(b *apiary.Moved) *string { return &b.Yard }).needed().or("to", "to yard"),
	whole("stand", "its place there, from 1", "2", func(b *apiary.Moved) *int { return &b.Stand }).or("position", "place").void("not told, as is 0"),
)

var stacksTable = tableOf("stacks", "stack", "Woodenware changed: what the stack is from then on.",
	append([]col[apiary.Restacked]{
		named("colony", "the colony", "14", func(b *apiary.Restacked) *string { return &b.Colony }).needed().or("hive no", "hive number"),
	}, stackColumns(true, func(b *apiary.Restacked) *hive.Stack { return &b.Stack })...)...,
)

var feedersTable = tableOf("feeders", "feeder", "Feeders put on and taken off.",
	named("colony", "the colony", "14", func(b *apiary.FeederSet) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	feederColumn("feeder now on it, one of the kinds below, or off", "off", "", func(b *apiary.FeederSet) *string { return &b.Feeder }).needed(),
	amount(sVolume, "volume", "your own measure of that feeder", "2 US gal", usualFeed, func(b *apiary.FeederSet) *units.Volume { return &b.Volume }).or("feeder volume").void("the kind's, as is 0").seldom(),
)

var unitesTable = tableOf("unites", "unite", "Colonies joined: the stores add up, the need is that of the one they went into.",
	named("from", "colony that is no more", "15", func(b *apiary.United) *string { return &b.From }).needed(),
	named("into", "colony it was joined into", "14", func(b *apiary.United) *string { return &b.Into }).needed().or("to"),
)

var splitsTable = ending(tableOf("splits", "split", "Colonies split: a new colony made from part of another.",
	append(append([]col[apiary.Split]{
		named("from", "colony it was made from", "12", func(b *apiary.Split) *string { return &b.From }).needed(),
	}, colonyColumns(func(b *apiary.Split) *apiary.Colony { return &b.New })...),
		amount(sMass, "stores", "stores that went with it", "10 lb", usualMass, func(b *apiary.Split) *units.Mass { return &b.Stores }).void("none, as is 0"),
	)...,
), func(b *apiary.Split, _ *row) error {
	kindFromBoxes(&b.New)
	return nil
})

var endsTable = tableOf("ends", "end", "Colonies that are no more.",
	named("colony", "the colony", "15", func(b *apiary.Ended) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	choice("state", "what became of it", []apiary.State{apiary.Dead, apiary.Sold}, nil, func(b *apiary.Ended) *apiary.State { return &b.State }).needed(),
	text("cause", "starved, queenless, mites, mice, damp, robbed, unknown …", "queenless", func(b *apiary.Ended) *string { return &b.Cause }).or("why", "reason"),
	known(sMass, "left", "stores still in the hive, if weighed", "12 lb", usualMass, func(b *apiary.Ended) (*units.Mass, *bool) { return &b.Left, &b.LeftKnown }).or("stores left").
		void("not weighed, as is -; 0 is an empty hive"),
)

var strikesTable = tableOf("strikes", "strike", "Facts taken out of force: they stay readable, nothing counts them.",
	col[season.Strike]{column: column{name: "fact", also: []string{"struck"}, sort: sID, need: true, what: "id of the fact that is struck", example: "0198f2a4-5b6c-7d8e-9f00-112233445566"},
		put:  func(b *season.Strike) string { return b.Fact.String() },
		take: func(b *season.Strike, c *cell) (err error) { b.Fact, err = c.id(); return err },
	},
	text("why", "why it is struck", "wrong hive", func(b *season.Strike) *string { return &b.Why }).or("reason", "note"),
)

var roadsTable = ending(tableOf("roads", "road", "Distances as you know them; they hold both ways unless the other way is told too. Square tables and the matrices of routing engines can be put into a folder roads/ beside it: see below.",
	place("from", "yard, or home", "home", func(b *season.Road) *string { return &b.From }),
	place("to", "yard, or home", "ridge", func(b *season.Road) *string { return &b.To }),
	amount(sRoad, "dist", "distance on the road", "12.4 mi", usualRoad, func(b *season.Road) *units.Length { return &b.Dist }).or("distance", "km", "miles", "mi", "mileage").void("not told, as is 0"),
	amount(sTime, "time", "driving time", "25 min", usualTime, func(b *season.Road) *units.Duration { return &b.Time }).or("driving time", "minutes", "min", "duration").void("not told, as is 0"),
).holding().blaming(map[string]string{"distance": "dist", "driving time": "time"}), func(b *season.Road, r *row) error {
	if b.From == b.To {
		return in("to", fault.New(fault.Conflict, "", "a road leads from one place to another").WithHint("where the truck starts is called home"))
	}
	if b.Dist == 0 && b.Time == 0 && !r.has("dist", "time") {
		return in("dist", fault.New(fault.Missing, "", "neither a distance nor a driving time stands here").WithHint("write for example 12.4 mi"))
	}
	return nil
})

var trucksTable = tableOf("trucks", "truck", "Further trucks, each with a tank and a crew of its own; the first is told in season.toml under rig and crew. One called as rig.truck stands in its place. A later row for the same truck replaces what was told before.",
	named("truck", "what you call it", "flatbed", func(b *season.Truck) *string { return &b.Name }).needed().or("name"),
	amount(sVolume, "tank", "usable volume: what really comes out", "100 US gal", usualFeed, func(b *season.Truck) *units.Volume { return &b.Tank }).void("only where it is gone"),
	amount(sMass, "payload", "what it may carry as syrup, after tank, gear and people", "900 lb", usualMass, func(b *season.Truck) *units.Mass { return &b.Payload }).void("not told, as is 0"),
	amount(sFlow, "pump", "flow at its nozzle", "2.5 US gal/min", [3]string{}, func(b *season.Truck) *units.Flow { return &b.Pump }).void("as with the first truck, as is 0"),
	amount(sTime, "per_hive", "time from lid to lid without the pumping", "1 min", usualTime, func(b *season.Truck) *units.Duration { return &b.PerHive }).void("as with the first truck, as is 0"),
	amount(sTime, "filling", "time to fill its tank", "15 min", usualTime, func(b *season.Truck) *units.Duration { return &b.Filling }).void("as with the first truck, as is 0"),
	amount(sTime, "per_day", "working time of its crew in a day", "8 h", usualTime, func(b *season.Truck) *units.Duration { return &b.PerDay }).void("that of crew, as is 0"),
	whole("loads_per_day", "most loads it drives out in a day", "3", func(b *season.Truck) *int { return &b.Loads }).void("as time allows, as is 0"),
	yesno("gone", "no longer used", func(b *season.Truck) *bool { return &b.Gone }).seldom(),
).holding()

var workdaysTable = tableOf("workdays", "workday", "Days of work unlike the others: helpers come, there is little time, or nobody works.",
	day("on", "the day it is about", "2026-09-19", func(b *season.WorkingDay) *units.Day { return &b.Day }).needed().or("working day"),
	amount(sTime, "per_day", "working time of each crew that day", "4 h", usualTime, func(b *season.WorkingDay) *units.Duration { return &b.PerDay }).void("as usual, as is 0"),
	whole("people", "people at work in each crew that day", "4", func(b *season.WorkingDay) *int { return &b.People }).void("as usual, as is 0"),
	yesno("off", "nobody works", func(b *season.WorkingDay) *bool { return &b.Off }),
	text("note", "anything", "the club comes", func(b *season.WorkingDay) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
).holding()

var feedableTable = tableOf("feedable", "feedable", "Days of one yard as you know them: whether a round can be made there, and how much the bees take. What is typed here wins over the weather. A later row for the same yard and day replaces what was told before; a row with neither takes it back.",
	named("yard", "the yard", "ridge", func(b *season.Feedable) *string { return &b.Yard }).needed(),
	day("on", "the day it is about", "2026-09-19", func(b *season.Feedable) *units.Day { return &b.Day }).needed(),
	answerOf("feedable", "whether a round can be made", func(b *season.Feedable) *apiary.Answer { return &b.Round }).void("by the weather, as are ? and -"),
	numeric("factor", "part of what they take on a warm day, 0 to 1", "0.5", func(b *season.Feedable) (*float64, *bool) { return &b.Factor, &b.FactorKnown }).within(0, 1, "", func(b *season.Feedable) float64 { return b.Factor }).or("uptake").void("by the weather"),
	text("note", "anything", "south slope", func(b *season.Feedable) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
).holding()

var needsTable = tableOf("needs", "need", "Syrup that you say a colony is still to be given, from then on; it wins over what is worked out. What is given after counts off, litre for litre whatever its strength: on the same day too where the row has no time.",
	named("colony", "the colony", "14", func(b *season.Need) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	entered(sVolume, "volume", "still to be given, of this season's syrup", "3 US gal", usualFeed, func(b *season.Need) *units.Entered[units.Volume] { return &b.Volume }).or("need", "syrup").void("worked out again; 0 is none"),
	text("note", "anything", "by eye", func(b *season.Need) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
)

var sourcesTable = ending(tableOf("sources", "source", "Mixed syrup that stands elsewhere: at a yard, or at any other place. The plan fills a tank there where that shortens the way. What stands there is as of the day of the row; loads of plans taken out that are filled there and driven after count off by themselves, on the same day too where the row has no time. A later row for the same place replaces what was told before. The way there is that of its yard, or by the map, or told in roads.csv under its name.",
	named("place", "your name for it, no yard's", "Hill shed", func(b *season.Source) *string { return &b.Place }).needed().or("name", "source"),
	named("yard", "the yard it stands at", "ridge", func(b *season.Source) *string { return &b.Yard }).void("at a place of its own"),
	numeric("lat", "degrees north, south negative", "42.44", func(b *season.Source) (*float64, *bool) { return &b.Lat, &b.HasPlace }).within(-90, 90, "°", func(b *season.Source) float64 { return b.Lat }).or("latitude").void("that of its yard, else not told"),
	numeric("lon", "degrees east, west negative", "-76.5", func(b *season.Source) (*float64, *bool) { return &b.Lon, &b.HasPlace }).within(-180, 180, "°", func(b *season.Source) float64 { return b.Lon }).or("longitude", "long").void("that of its yard, else not told"),
	entered(sVolume, "on_hand", "syrup that stands there", "275 US gal", usualFeed, func(b *season.Source) *units.Entered[units.Volume] { return &b.OnHand }).or("on hand", "litres", "liters").void("only where it is gone; 0 is none left"),
	strength("of what strength; where it differs from what you feed, no tank is filled there", func(b *season.Source) *units.Strength { return &b.Strength }).void("as you feed"),
	day("from", "first day on which it is there", "2026-09-12", func(b *season.Source) *units.Day { return &b.From }).void("at once"),
	amount(sTime, "filling", "time to fill the tank there", "10 min", usualTime, func(b *season.Source) *units.Duration { return &b.Fill }).void("as at home, as is 0"),
	yesno("gone", "no longer used", func(b *season.Source) *bool { return &b.Gone }).seldom(),
	text("note", "anything", "ring before", func(b *season.Source) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
).holding().blaming(map[string]string{"latitude": "lat", "longitude": "lon", "litres": "on_hand"}), func(_ *season.Source, r *row) error { return bothDegrees(r) })

// homeWord stands for home in the roads.
const homeWord = "home"

// place is one end of a road: a yard, or nothing for home.
func place(name, what, example string, at func(*season.Road) *string) col[season.Road] {
	c := named(name, what, example, at).needed()
	c.blank = "not allowed; home is called home"
	c.put = func(b *season.Road) string { return firstOf(*at(b), homeWord) }
	take := c.take
	c.take = func(b *season.Road, x *cell) error {
		err := take(b, x)
		if folded(*at(b)) == homeWord {
			*at(b) = ""
		}
		return err
	}
	return c
}

var batchesTable = tableOf("batches", "batch", "Syrup mixed: one row for each mixing. What is left of it counts for the plan as mixed syrup in store; where kitchen.on_hand was told later than the batch, it is in that amount.",
	named("batch", "your name for it", "B7", func(b *ledger.Batch) *string { return &b.ID }).needed().or("batch no", "batch number"),
	entered(sVolume, "volume", "syrup made", "40 US gal", usualFeed, func(b *ledger.Batch) *units.Entered[units.Volume] { return &b.Volume }).or("made volume", "syrup").void("not told"),
	strength("its strength", func(b *ledger.Batch) *units.Strength { return &b.Strength }),
	entered(sMass, "sugar", "sugar that went in", "300 lb", usualMass, func(b *ledger.Batch) *units.Entered[units.Mass] { return &b.Sugar }).void("not told"),
	entered(sVolume, "water", "water that went in", "18 US gal", usualFeed, func(b *ledger.Batch) *units.Entered[units.Volume] { return &b.Water }).void("not told"),
	known(sTemp, "temp", "temperature at which the volume was measured", "68 F", usualTemp, func(b *ledger.Batch) (*units.Temp, *bool) { return &b.Temp, &b.TempKnown }).or("temperature").void("not told; 0 is a temperature"),
	list("lots", "lots of sugar and supplement that went in, with ; between them", "S-114; S-115", func(b *ledger.Batch) *[]string { return &b.Lots }).or("lot"),
	text("note", "anything", "hose left to drain", func(b *ledger.Batch) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
	usedColumn,
)

var purchasesTable = tableOf("purchases", "purchase", "Sugar, feed and supplements bought.",
	named("item", "what it is", "white sugar", func(b *ledger.Purchase) *string { return &b.Item }).needed().or("what", "product"),
	named("lot", "number on the bag", "S-114", func(b *ledger.Purchase) *string { return &b.Lot }).or("lot no", "lot number"),
	entered(sMass, "mass", "weight of the whole", "1000 lb", usualMass, func(b *ledger.Purchase) *units.Entered[units.Mass] { return &b.Mass }).or("weight", "amount").void("not told"),
	entered(sVolume, "volume", "volume of the whole, for liquids", "5 US gal", usualFeed, func(b *ledger.Purchase) *units.Entered[units.Volume] { return &b.Volume }).void("not told"),
	money("price", "price of the whole", "590.00 USD", func(b *ledger.Purchase) *units.Money { return &b.Price }).or("cost", "paid").void("not told; 0 is a gift"),
	text("supplier", "who sold it", "the mill", func(b *ledger.Purchase) *string { return &b.Supplier }).or("from", "seller"),
	day("best_before", "day printed on it", "2027-06-30", func(b *ledger.Purchase) *units.Day { return &b.BestBefore }).or("best before", "use by", "expires").void("not told"),
	text("note", "anything", "40 bags", func(b *ledger.Purchase) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
	choice("goods", "what sort of thing it is", ledger.AllGoods(), nil, func(b *ledger.Purchase) *ledger.Goods { return &b.Goods }).void("told from its name").seldom(),
	entered(sMass, "sack", "weight of one sack", "50 lb", usualMass, func(b *ledger.Purchase) *units.Entered[units.Mass] { return &b.Sack }).or("bag", "sack weight", "bag weight").void("not told").seldom(),
)
