package season

import (
	"math"
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/units"
)

// GiftKind says what an entry of the log of given and taken is.
type GiftKind string

// The kinds.
const (
	GiftGiven  GiftKind = "given"
	GiftLeft   GiftKind = "left"
	GiftTaken  GiftKind = "taken"
	GiftNotFed GiftKind = "not-fed"
)

// Gift is one entry of the log: what one colony was given, what was still
// there, what it took.
type Gift struct {
	Fact     ID
	Seen     units.Moment
	Made     units.Moment
	By       string
	Corrects bool // it stands in place of an earlier entry
	Colony   string
	Yard     string // where the colony stands now
	Stand    int

	Kind     GiftKind
	Feed     ledger.Feed
	Volume   units.Entered[units.Volume] // syrup given, left or taken
	Mass     units.Entered[units.Mass]   // what was given in kilograms
	Strength units.Strength              // of syrup given
	Batch    string
	Lot      string // fondant, dry sugar, protein: the lot it came from, as told
	From     string // sealed frames: the colony that gave them
	Plan     string
	Why      string // not fed: why
	Note     string

	// Taken is what went since the feeder was last looked into: what was in it
	// then and what was given since, less what is left. TakenKnown is false for
	// entries that do not tell, and where nothing had been given.
	Taken      units.Volume
	TakenKnown bool
	// Trouble is what cannot be: more left than was given.
	Trouble *feeding.Reason
}

// GiftSum adds up entries.
type GiftSum struct {
	Fills   int // gifts of syrup
	Syrup   units.Volume
	Fondant units.Mass
	Dry     units.Mass
	Comb    units.Mass
	Protein units.Mass
	Taken   units.Volume
	Looks   int // entries that tell what was taken
}

func (s *GiftSum) add(g *Gift) {
	if g.TakenKnown {
		s.Taken += g.Taken
		s.Looks++
	}
	if g.Kind != GiftGiven {
		return
	}
	switch g.Feed {
	case ledger.Syrup:
		s.Fills++
		s.Syrup += g.Volume.Q
	case ledger.Fondant:
		s.Fondant += g.Mass.Q
	case ledger.DrySugar:
		s.Dry += g.Mass.Q
	case ledger.Comb:
		s.Comb += g.Mass.Q
	case ledger.Protein:
		s.Protein += g.Mass.Q
	}
}

// GiftDay is the entries of one day, in the order of yards, stands and time.
type GiftDay struct {
	Day   units.Day
	Gifts []Gift
	Sum   GiftSum
}

// GiftFilter picks entries. Zero fields pick all.
type GiftFilter struct {
	Yard     string
	Colony   string
	From, To units.Day
	Kind     GiftKind
}

// Gifts gives the log of what was given, left and taken as of at, the latest
// day first, and the sum of it all. What was taken is worked out from all
// entries, whatever the filter shows.
func (st *State) Gifts(f GiftFilter, at units.Moment) ([]GiftDay, GiftSum) {
	byDay := map[units.Day]*GiftDay{}
	var sum GiftSum
	for _, c := range st.Colonies() {
		if f.Colony != "" && c.ID != f.Colony || f.Yard != "" && c.Yard != f.Yard {
			continue
		}
		for _, g := range st.giftsOf(c, at) {
			d := g.Seen.Day()
			if f.From != 0 && d < f.From || f.To != 0 && d > f.To || f.Kind != "" && g.Kind != f.Kind {
				continue
			}
			if byDay[d] == nil {
				byDay[d] = &GiftDay{Day: d}
			}
			byDay[d].Gifts = append(byDay[d].Gifts, g)
			byDay[d].Sum.add(&g)
			sum.add(&g)
		}
	}
	out := make([]GiftDay, 0, len(byDay))
	for _, d := range byDay {
		out = append(out, *d)
	}
	slices.SortFunc(out, func(a, b GiftDay) int { return int(b.Day) - int(a.Day) })
	return out, sum
}

// giftsOf goes through the entries of one colony, keeping the account of its
// feeder: see runFeeder, which does the same with the uptake model between.
func (st *State) giftsOf(c *Colony, at units.Moment) []Gift {
	var out []Gift
	known, given := 0.0, 0.0 // litres: when last looked into, and put in since
	for _, e := range c.Events {
		if !at.Covers(e.Seen) {
			break
		}
		if b, ok := e.Body.(apiary.FeederSet); ok && b.Feeder == "" {
			known, given = 0, 0 // taken off: what was in it is gone unseen
		}
		g, ok := st.giftOf(c, e)
		if !ok {
			continue
		}
		there, litres := known+given, g.Volume.Q.L()
		switch {
		case g.Kind == GiftGiven && g.Feed == ledger.Syrup:
			given += litres
		case g.Kind == GiftLeft:
			g.settle(there, litres)
			known, given = litres, 0
		case g.Kind == GiftTaken:
			known, given = math.Max(there-litres, 0), 0
			g.Taken, g.TakenKnown = units.Volume(there-known), there > 0
		}
		out = append(out, g)
	}
	return out
}

// giftOf makes an entry of a fact; not ok for facts that are none.
func (st *State) giftOf(c *Colony, e *Fact) (Gift, bool) {
	g := Gift{Fact: e.ID, Seen: e.Seen, Made: e.WrittenAt(), By: e.By, Corrects: !e.Replaces.IsZero(), Colony: c.ID, Yard: c.Yard, Stand: c.Stand}
	switch b := e.Body.(type) {
	case ledger.Given:
		g.Kind, g.Feed, g.Volume, g.Mass = GiftGiven, b.Feed, b.Volume, b.Mass
		g.Batch, g.Lot, g.From, g.Plan, g.Note = b.Batch, b.Lot, b.From, b.Plan, b.Note
		if b.Feed == ledger.Syrup {
			g.Strength = st.strengthOf(b)
		}
		return g, b.Colony == c.ID // combs given to another are the other's entry
	case ledger.Left:
		g.Kind, g.Feed, g.Volume, g.Note = GiftLeft, ledger.Syrup, b.Volume, b.Note
	case ledger.Taken:
		g.Kind, g.Feed, g.Volume, g.Note = GiftTaken, ledger.Syrup, b.Volume, b.Note
	case ledger.NotFed:
		g.Kind, g.Feed, g.Why, g.Plan, g.Note = GiftNotFed, ledger.Syrup, b.Why, b.Plan, b.Note
	default:
		return g, false
	}
	return g, true
}

// settle works out what was taken of what had been there. Five hundredths of a
// litre more left than was given is the reading of a feeder, not a mistake.
func (g *Gift) settle(there, left float64) {
	if left > there+0.05 {
		g.Trouble = &feeding.Reason{Code: "left-more-than-given", Say: "more left ({0}) than was given ({1}): check hive {2}",
			Amounts: []any{units.Volume(left), units.Volume(there), g.Colony}}
	}
	g.Taken, g.TakenKnown = units.Volume(math.Max(there-left, 0)), there > 0
}

// Gift finds one entry of the log that is in force, by its fact.
func (st *State) Gift(id ID, at units.Moment) (Gift, bool) {
	for _, c := range st.Colonies() {
		for _, e := range c.Events {
			if e.ID != id {
				continue
			}
			for _, g := range st.giftsOf(c, at) {
				if g.Fact == id {
					return g, true
				}
			}
		}
	}
	return Gift{}, false
}

// Former gives what stood in place of an entry before it was put right, the
// latest first.
func (j *Journal) Former(id ID) []Gift {
	var out []Gift
	st := j.Now()
	for seen := map[ID]bool{}; !seen[id]; {
		seen[id] = true
		f, ok := j.Fact(id)
		if !ok {
			break
		}
		if len(seen) > 1 {
			if g, ok := st.giftOf(&Colony{Colony: apiary.Colony{ID: colonyOf(&f)}}, &f); ok {
				out = append(out, g)
			}
		}
		if id = f.Replaces; id.IsZero() {
			break
		}
	}
	return out
}

// StruckGifts gives the entries that no longer count, struck or put right, the
// latest first.
func (j *Journal) StruckGifts(f GiftFilter) []Gift {
	var out []Gift
	st := j.Now()
	for _, c := range st.Colonies() {
		if f.Colony != "" && c.ID != f.Colony || f.Yard != "" && c.Yard != f.Yard {
			continue
		}
		for _, e := range j.History(colony(c.ID), units.Moment{}) {
			if g, ok := st.giftOf(c, &e.Fact); ok && !e.InForce {
				out = append(out, g)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Gift) int { return b.Seen.Compare(a.Seen) })
	return out
}

// colonyOf gives the colony an entry of the log is about.
func colonyOf(f *Fact) string {
	switch b := f.Body.(type) {
	case ledger.Given:
		return b.Colony
	case ledger.Left:
		return b.Colony
	case ledger.Taken:
		return b.Colony
	case ledger.NotFed:
		return b.Colony
	}
	return ""
}
