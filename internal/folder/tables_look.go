package folder

import (
	"math"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
)

// answer is yes, no or not known.
func answer(name, what string, at func(*apiary.Look) *apiary.Answer) col[apiary.Look] {
	return answerOf(name, what, at)
}

// answerOf is answer for any body.
func answerOf[B any](name, what string, at func(*B) *apiary.Answer) col[B] {
	return col[B]{column: column{name: name, sort: sAnswer, what: what, example: "yes", blank: "not known, as are ? and -"},
		put: func(b *B) string { return at(b).String() },
		take: func(b *B, c *cell) error {
			v, err := c.yes()
			*at(b) = apiary.No
			if v {
				*at(b) = apiary.Yes
			}
			return err
		},
	}
}

var looksTable = tableOf("looks", "look", "What was seen of the bees at a visit.",
	named("colony", "the colony", "14", func(b *apiary.Look) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	numeric("bees", "frames of bees, both sides counted as one frame", "8", func(b *apiary.Look) (*float64, *bool) { return &b.Bees, &b.BeesKnown }).within(0, 60, " frames", func(b *apiary.Look) float64 { return b.Bees }).or("frames of bees", "bee frames").
		void("not looked at, as is -; 0 is none"),
	numeric("brood", "frames of brood, both sides counted as one frame", "3½", func(b *apiary.Look) (*float64, *bool) { return &b.Brood, &b.BroodKnown }).within(0, 60, " frames", func(b *apiary.Look) float64 { return b.Brood }).or("frames of brood", "brood frames").
		void("not looked at, as is -; 0 is none"),
	answer("queen", "queen or fresh eggs seen", func(b *apiary.Look) *apiary.Answer { return &b.Queen }).or("queen seen", "queenright"),
	answer("disease", "disease seen or suspected", func(b *apiary.Look) *apiary.Answer { return &b.Disease }),
	answer("treatment", "under a treatment whose label forbids feeding", func(b *apiary.Look) *apiary.Answer { return &b.Treatment }).or("treated", "under treatment"),
	answer("super", "a honey super is on", func(b *apiary.Look) *apiary.Answer { return &b.Super }).or("honey super", "super on", "honey super on"),
	answer("refuses", "left its last feed untouched", func(b *apiary.Look) *apiary.Answer { return &b.Refuses }),
	amount(sMass, "granulated", "stores seen that the bees cannot use (granulated, fermenting)", "4 lb", usualMass, func(b *apiary.Look) *units.Mass { return &b.Granulated }).void("none seen, as is 0"),
	text("note", "anything", "spotty brood", func(b *apiary.Look) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
).blaming(map[string]string{"frames of bees": "bees", "frames of brood": "brood", "granulated stores (kg)": "granulated"})

// lever is a distance of a tilt lift; the lever is made when one is told.
func lever(name, what string, at func(*stores.Levers) *units.Length) col[stores.Reading] {
	return col[stores.Reading]{column: column{name: name, sort: sLength, what: what, example: "20 in", blank: "the outer edges, as is 0", rare: true,
		usual: usualLever, unit: units.UnitName[units.Length], decimal: true},
		put: func(b *stores.Reading) string {
			if b.Levers != nil && *at(b.Levers) != 0 {
				return round(*at(b.Levers))
			}
			return ""
		},
		take: func(b *stores.Reading, c *cell) error {
			e, err := quantity[units.Length](c)
			if err != nil || e.Q == 0 {
				return err
			}
			if b.Levers == nil {
				b.Levers = new(stores.Levers)
			}
			*at(b.Levers) = e.Q
			return nil
		},
	}
}

func weight(name, what, example string, at func(*stores.Reading) *units.Entered[units.Mass]) col[stores.Reading] {
	c := entered(sMass, name, what, example, usualMass, at)
	take := c.take
	c.take = func(b *stores.Reading, x *cell) error {
		if rest, about := units.ParseAbout(x.text); about { // "~48 lb"
			b.About, x.text = true, rest
		}
		return take(b, x)
	}
	return c.within(0, 500, " kg", func(b *stores.Reading) float64 { return at(b).Q.Kg() }).void("not weighed; - if it was not read")
}

var readingsTable = ending(tableOf("readings", "reading",
	"Looks at the stores, one row for each. What was weighed, counted or hefted says which way it was done. A row with - where the weight would stand is passed over: it was not read.",
	named("colony", "the colony", "14", func(b *stores.Reading) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	choice("way", "how it was done", []stores.Way{stores.Full, stores.LiftBoth, stores.LiftOne, stores.Frames, stores.Hand, stores.Scale}, nil,
		func(b *stores.Reading) *stores.Way { return &b.Way }).or("method", "how").void("told from what is there"),
	weight("gross", "full, scale: everything on the scale", "96 lb", func(b *stores.Reading) *units.Entered[units.Mass] { return &b.Gross }).or("weight", "gross weight", "full weight", "total", "total weight"),
	weight("lift1", "lift2, lift1: spring scale at one side", "48 lb", func(b *stores.Reading) *units.Entered[units.Mass] { return &b.Lift1 }).or("lift", "heft weight", "side 1", "left lift", "first lift"),
	weight("lift2", "lift2: spring scale at the other side", "45 lb", func(b *stores.Reading) *units.Entered[units.Mass] { return &b.Lift2 }).or("side 2", "right lift", "second lift"),
	lever("arm1", "from the opposite pivot to the hook of the first lift", func(l *stores.Levers) *units.Length { return &l.Arm1 }),
	lever("arm2", "the same for the second lift", func(l *stores.Levers) *units.Length { return &l.Arm2 }),
	lever("pivots", "between the two pivots", func(l *stores.Levers) *units.Length { return &l.Pivots }),
	col[stores.Reading]{column: column{name: "frames", also: []string{"frames of stores", "stores frames"}, sort: sCount, decimal: true,
		what:    "frames full of sealed stores on both sides, box by box with ; between, + n open for unripe food",
		example: "lang10-deep 4¼ + 1 open; lang10-medium 2", blank: "not counted; an empty box is 0"},
		put:  func(b *stores.Reading) string { return framesText(b.Frames) },
		take: func(b *stores.Reading, c *cell) (err error) { b.Frames, err = parseFrames(c.text, c.m.loc); return err },
	},
	choice("heft", "by hand", []stores.Heft{stores.Light, stores.Fair, stores.Heavy}, nil, func(b *stores.Reading) *stores.Heft { return &b.Heft }).or("hand", "hand heft").void("not hefted"),
	entered(sVolume, "in_feeder", "syrup in the feeder while it was weighed", "0.5 US gal", usualFeed, func(b *stores.Reading) *units.Entered[units.Volume] { return &b.InFeeder }).or("feeder content", "syrup in feeder").
		void("not told; 0 is an empty feeder"),
	amount(sMass, "off", "weight of things on it that are no part of its stack (strap, stone, super)", "5 lb", usualMass, func(b *stores.Reading) *units.Mass { return &b.Off }).or("take off").void("none, as is 0").seldom(),
	amount(sMass, "unusable", "stores the bees cannot use (granulated, fermenting)", "4 lb", usualMass, func(b *stores.Reading) *units.Mass { return &b.Unusable }).void("none, as is 0").seldom(),
	yesno("wet", "rain-soaked wood, snow or ice on the lid", func(b *stores.Reading) *bool { return &b.Wet }),
	yesno("about", "the weight is a guess: one figure for many hives, or not read off a scale", func(b *stores.Reading) *bool { return &b.About }).seldom(),
	text("note", "anything", "windy", func(b *stores.Reading) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
), finishReading)

// finishReading tells the way of a reading from what was read.
func finishReading(b *stores.Reading, r *row) error {
	if b.Way != "" {
		if !r.has("gross", "lift1", "lift2", "frames", "heft") && r.dashed("gross", "lift1", "lift2", "frames", "heft") {
			r.skipped = true
			return nil
		}
		return lacking(b.Way, r)
	}
	ways := 0
	for _, w := range []struct {
		way  stores.Way
		cols []string
	}{{stores.Hand, []string{"heft"}}, {stores.Frames, []string{"frames"}}, {stores.LiftOne, []string{"lift1", "lift2"}}, {stores.Full, []string{"gross"}}} {
		if r.has(w.cols...) {
			b.Way = w.way
			ways++
		}
	}
	switch {
	case ways > 1:
		return in("way", fault.New(fault.NotUnderstood, "", "the row has more than one kind of reading").
			WithHint("write a row for each, or say which one counts: full, lift2, lift1, frames, hand or scale"))
	case ways == 0 && r.dashed("gross", "lift1", "lift2", "frames", "heft"):
		r.skipped = true
	case ways == 0:
		return in("gross", fault.New(fault.Missing, "", "nothing was read: no weight, lift, frames or heft stands in the row").
			WithHint("write for example 96 lb, or - if it was not read"))
	case r.has("lift1", "lift2") && b.Way == stores.LiftOne:
		if r.has("lift2") {
			b.Way = stores.LiftBoth
		}
	}
	return nil
}

// lacking tells which column the way of a reading cannot do without.
func lacking(w stores.Way, r *row) error {
	need := map[stores.Way][]string{stores.Full: {"gross"}, stores.Scale: {"gross"}, stores.LiftOne: {"lift1"}, stores.LiftBoth: {"lift1", "lift2"},
		stores.Frames: {"frames"}, stores.Hand: {"heft"}}
	for _, n := range need[w] {
		if !r.has(n) {
			return in(n, fault.Newf(fault.Missing, "", "nothing stands here, and the way is %s", w).WithHint("write for example %s, or - if it was not read", r.t.field(n).example))
		}
	}
	return nil
}

// framesText writes frames counted box by box, quarters as such.
func framesText(l []stores.FrameCount) string {
	var b strings.Builder
	for i, f := range l {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(f.Box + " " + quarters(f.Sealed))
		if f.Open != 0 {
			b.WriteString(" + " + quarters(f.Open) + " open")
		}
	}
	return b.String()
}

func quarters(x float64) string {
	w, q := math.Modf(x * 4)
	if q != 0 || w < 0 || w > 1000 {
		return digits(x)
	}
	n := int(w)
	s := [4]string{"", "¼", "½", "¾"}[n%4]
	if n >= 4 || s == "" {
		s = strconv.Itoa(n/4) + s
	}
	return s
}

// parseFrames reads what framesText writes, forgivingly.
func parseFrames(s string, l units.Locale) ([]stores.FrameCount, error) {
	bad := func(part string) error {
		return fault.Newf(fault.NotUnderstood, "", "%q is not a count of frames in a box", part).WithHint("write lang10-deep 4¼ + 1 open; lang10-medium 2")
	}
	var out []stores.FrameCount
	for part := range strings.FieldsFuncSeq(s, func(r rune) bool { return r == ';' || r == '\n' }) {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		sealed, open, _ := strings.Cut(part, "+")
		w := strings.Fields(strings.ReplaceAll(sealed, ":", " "))
		if len(w) < 2 {
			return nil, bad(part)
		}
		f := stores.FrameCount{Box: strings.ToLower(w[0])}
		if _, err := hive.Default().Box(f.Box); err != nil {
			return nil, err
		}
		var err error
		if f.Sealed, err = number(strings.Join(w[1:], " "), l); err != nil {
			return nil, bad(part)
		}
		if open = strings.TrimSpace(open); open != "" {
			n, ok := strings.CutSuffix(strings.ToLower(open), "open")
			if !ok {
				return nil, bad(part)
			}
			if f.Open, err = number(strings.TrimSpace(n), l); err != nil {
				return nil, bad(part)
			}
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		return nil, bad(s)
	}
	return out, nil
}

// strength is the strength of a syrup, written as a ratio where it is just one.
func strength[B any](what string, at func(*B) *units.Strength) col[B] {
	c := amount(sPart, "strength", what, "66.7 %", usualPart, at).or("brix", "ratio")
	c.blank = "not told, as is 0"
	c.put = func(b *B) string {
		s := *at(b)
		for _, r := range []units.Ratio{{Sugar: 1, Water: 1}, {Sugar: 3, Water: 2}, {Sugar: 5, Water: 3}, {Sugar: 2, Water: 1}} {
			if x, ok := r.ByWeight(); ok && x == s {
				return r.String() // "2:1" alone would turn into a time of day
			}
		}
		if s == 0 {
			return ""
		}
		return s.String()
	}
	take := c.take
	c.take = func(b *B, x *cell) error {
		if isBare(x.text) && x.b.unit == "" {
			if n, err := x.number(); err == nil && n > 0 && n < 1 {
				return fault.Newf(fault.NotUnderstood, "", "%q is either a part of one or very little percent", x.text).WithHint("write 66.7 %% or 2:1")
			}
		}
		return take(b, x)
	}
	return c
}

// list is several words in one cell.
func list[B any](name, what, example string, at func(*B) *[]string) col[B] {
	return col[B]{column: column{name: name, sort: sText, what: what, example: example, text: true},
		put: func(b *B) string { return strings.Join(*at(b), "; ") },
		take: func(b *B, c *cell) error {
			var out []string
			for w := range strings.FieldsFuncSeq(c.freeText(true), func(r rune) bool { return r == ';' || r == '\n' }) {
				if w = strings.TrimSpace(w); w != "" {
					out = append(out, w)
				}
			}
			*at(b) = out
			return nil
		},
	}
}

var givenTable = ending(tableOf("given", "given", "Feed given: one row for each colony at each visit.",
	named("colony", "the colony", "14", func(b *ledger.Given) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	choice("feed", "what was given", []ledger.Feed{ledger.Syrup, ledger.Fondant, ledger.DrySugar, ledger.Comb, ledger.Protein},
		map[string]ledger.Feed{"sugar": ledger.DrySugar, "comb": ledger.Comb, "candy": ledger.Fondant, "patty": ledger.Protein, "pollenpatty": ledger.Protein},
		func(b *ledger.Given) *ledger.Feed { return &b.Feed }).void("syrup, when a volume stands there"),
	entered(sVolume, "volume", "syrup", "2 US gal", usualFeed, func(b *ledger.Given) *units.Entered[units.Volume] { return &b.Volume }).within(0, 200, " L", func(b *ledger.Given) float64 { return b.Volume.Q.L() }).or("given", "amount", "syrup").void("not told; a row with - is passed over"),
	strength("strength of that syrup", func(b *ledger.Given) *units.Strength { return &b.Strength }),
	entered(sMass, "mass", "fondant, dry sugar, frames, protein", "5 lb", usualMass, func(b *ledger.Given) *units.Entered[units.Mass] { return &b.Mass }).within(0, 200, " kg", func(b *ledger.Given) float64 { return b.Mass.Q.Kg() }).or("weight").void("not told; a row with - is passed over"),
	named("batch", "batch the syrup came from", "B7", func(b *ledger.Given) *string { return &b.Batch }),
	named("from", "frames: the colony that gave them", "12", func(b *ledger.Given) *string { return &b.From }),
	named("plan", "plan it was on", "P3", func(b *ledger.Given) *string { return &b.Plan }).seldom(),
	text("note", "anything", "spilled a little", func(b *ledger.Given) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
	named("lot", "fondant, dry sugar, protein: the lot it came from", "F-1", func(b *ledger.Given) *string { return &b.Lot }).seldom(),
).blaming(map[string]string{"litres": "volume", "kg": "mass", "strength": "strength"}), func(b *ledger.Given, r *row) error {
	if !r.has("volume", "mass") && r.dashed("volume", "mass") {
		r.skipped = true
		return nil
	}
	if b.Feed != "" {
		return nil
	}
	if !r.has("volume") {
		return in("feed", fault.New(fault.Missing, "", "it is not said what was given").WithHint("syrup, fondant, dry-sugar, frames or protein"))
	}
	b.Feed = ledger.Syrup
	return nil
})

var notFedTable = tableOf("notfed", "not-fed", "Planned fills that were not made, and why.",
	named("colony", "the colony", "14", func(b *ledger.NotFed) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	text("why", "full, refused, robbing, drowned, dead, queenless, leak, wasps, super, other", "full", func(b *ledger.NotFed) *string { return &b.Why }).or("reason"),
	named("plan", "plan it was on", "P3", func(b *ledger.NotFed) *string { return &b.Plan }).seldom(),
	text("note", "anything", "lid stuck", func(b *ledger.NotFed) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
)

var agreedTable = tableOf("agreed", "agreed", "Sealed frames of stores that are to be moved from one colony to another before syrup is fed: agreed, not done. Moving them is a row of given.csv.",
	named("colony", "the colony that gets them", "14", func(b *ledger.Agreed) *string { return &b.Colony }).needed().or("to", "hive", "hive no", "hive number"),
	named("from", "the colony that gives them", "12", func(b *ledger.Agreed) *string { return &b.From }).needed(),
	named("frame", "kind of frame, one of the kinds below", "lang-deep", func(b *ledger.Agreed) *string { return &b.Frame }).or("kind of frame"),
	whole("frames", "how many, sealed on both sides", "2", func(b *ledger.Agreed) *int { return &b.Frames }).void("taken back, as is 0"),
	text("note", "anything", "the outer ones", func(b *ledger.Agreed) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
)

var choresTable = tableOf("chores", "chore", "What was done to open a yard for feeding and to close it again.",
	named("yard", "the yard", "ridge", func(b *apiary.Chore) *string { return &b.Yard }).needed(),
	text("what", "narrow, level, tight, leak; feeders-off, leftover, guard; in spring forage (first forage seen), build-up, split, draw-comb (a programme of thin feed begun), feed-ended", "narrow", func(b *apiary.Chore) *string { return &b.What }).or("chore"),
	text("note", "anything", "half a drum back", func(b *apiary.Chore) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
)

var leftTable = tableOf("left", "left", "What was still in the feeder at a visit. Nothing noted is no row at all; an empty feeder is 0.",
	named("colony", "the colony", "14", func(b *ledger.Left) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	entered(sVolume, "volume", "syrup left", "1 US qt", usualFeed, func(b *ledger.Left) *units.Entered[units.Volume] { return &b.Volume }).or("left", "amount", "syrup").dashed().
		void("asked about; 0 L is an empty feeder; a row with - is passed over: not looked at"),
	text("note", "anything", "mouldy", func(b *ledger.Left) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
)

var takenTable = tableOf("taken", "taken", "Amounts known to be taken without a look at what was left.",
	named("colony", "the colony", "14", func(b *ledger.Taken) *string { return &b.Colony }).needed().or("hive", "hive no", "hive number"),
	entered(sVolume, "volume", "syrup taken", "1.5 US gal", usualFeed, func(b *ledger.Taken) *units.Entered[units.Volume] { return &b.Volume }).or("taken", "amount", "syrup").dashed().
		void("asked about; 0 L is nothing taken; a row with - is passed over: not looked at"),
	text("note", "anything", "feeder weighed", func(b *ledger.Taken) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
)
