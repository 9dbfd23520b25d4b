package season

import (
	"strings"

	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/units"
)

// GiftSheet says what holds for all rows of a sheet of given and left.
type GiftSheet struct {
	Feed     ledger.Feed
	FeedUnit string // of a volume without one
	MassUnit string // of a weight without one
	Batch    string // of syrup; "" = not told
	Lot      string // of what is given by weight, but frames: the lot it came from; "" = not told
	Plan     string // the trip it belongs to, see [OnPlan]; "" = none
	All      bool   // every hive with a planned amount got it
	Locale   units.Locale
}

// GiftCells is one row of the sheet as typed.
type GiftCells struct {
	Colony  string
	Planned units.Volume // what was planned for it; 0 = nothing
	Was     string       // what the sheet showed as planned
	Holds   units.Volume // of its feeder; 0 = not known
	Tick    bool         // given as planned
	Given   string
	Left    string
	Why     string // not fed: why, one of [NotFedWhys]
	From    string // sealed frames: the colony that gave them
	Note    string
}

// The cells of such a row.
const (
	CellGiven = "given"
	CellLeft  = "left"
	CellWhy   = "why"
	CellFrom  = "from"
)

// DraftedGift is what such a row comes to. Left comes before given: a feeder is
// looked into before it is filled.
type DraftedGift struct {
	Cells   GiftCells
	Bodies  []any
	Trouble []CellTrouble
	Over    []OverFull // to be asked about
}

// DraftGifts reads a sheet of given and left. A row counts when it is ticked, or
// all are, or something else than what was planned was typed into it; an amount
// left as it was shown is no gift.
func (st *State) DraftGifts(s GiftSheet, rows []GiftCells) []DraftedGift {
	out := make([]DraftedGift, len(rows))
	for i, c := range rows {
		out[i] = s.draft(c)
	}
	return out
}

func (s GiftSheet) draft(c GiftCells) DraftedGift {
	for _, p := range []*string{&c.Was, &c.Given, &c.Left, &c.From, &c.Note} {
		*p = strings.TrimSpace(*p)
	}
	d := DraftedGift{Cells: c}
	trouble := Drafted{}
	if !notReadWords[c.Left] {
		if v, err := readFeeder(Sheet{FeedUnit: s.FeedUnit, Locale: s.Locale}, c.Left); err != nil {
			trouble.bad(CellLeft, err)
		} else if err := FitsFeeder(v, c.Holds); err != nil {
			trouble.bad(CellLeft, err)
		} else {
			d.Bodies = append(d.Bodies, ledger.Left{Colony: c.Colony, Volume: v})
			d.Over = overFull(d.Over, CellLeft, v, c.Holds)
		}
	}
	planned := c.Planned > 0 && (c.Given == c.Was || c.Given == "")
	typed := !notReadWords[c.Given] && c.Given != c.Was
	switch ticked := c.Tick || s.All && c.Planned > 0; {
	case c.Why != "" && (c.Tick || typed):
		trouble.bad(CellWhy, fault.New(fault.Conflict, "", "it cannot be both fed and not fed").WithHint("take out the amount or the reason"))
	case c.Why != "":
		if err := oneOf("reason", c.Why, NotFedWhys()...); err != nil {
			trouble.bad(CellWhy, err)
			break
		}
		looked := len(d.Bodies) > 0
		d.Bodies = append(d.Bodies, ledger.NotFed{Colony: c.Colony, Why: c.Why, Plan: s.Plan, Note: c.Note})
		for _, b := range Also(c.Why, c.Colony, c.Holds) {
			if _, left := b.(ledger.Left); !left || !looked {
				d.Bodies = append(d.Bodies, b)
			}
		}
	case typed:
		s.give(&d, &trouble, c)
	case ticked && planned:
		d.Bodies = append(d.Bodies, ledger.Given{Colony: c.Colony, Feed: ledger.Syrup, Volume: units.In(c.Planned), Batch: s.Batch, Plan: s.Plan, Note: c.Note})
	case c.Tick:
		trouble.bad(CellGiven, fault.New(fault.Missing, "", "how much was given is missing").WithHint("nothing was planned for this hive"))
	}
	d.Trouble = trouble.Trouble
	if len(d.Trouble) > 0 {
		d.Bodies = nil
	}
	return d
}

// give reads a typed amount.
func (s GiftSheet) give(d *DraftedGift, trouble *Drafted, c GiftCells) {
	g := ledger.Given{Colony: c.Colony, Feed: s.Feed, Note: c.Note}
	var err error
	if s.Feed == ledger.Syrup {
		g.Batch, g.Plan = s.Batch, s.Plan
		g.Volume, err = units.EnterVolumeIn(c.Given, s.FeedUnit, s.Locale)
		if err == nil && (g.Volume.Q <= 0 || g.Volume.Q > 200) {
			err = fault.Newf(fault.OutOfRange, "", "%s cannot be given to one hive", g.Volume).WithHint("a hive that got nothing is left blank, or says why")
		}
		if err == nil {
			err = FitsFeeder(g.Volume, c.Holds)
		}
	} else {
		g.Mass, err = units.EnterMassIn(c.Given, s.MassUnit, s.Locale)
		if err == nil && (g.Mass.Q <= 0 || g.Mass.Q > 200) {
			err = fault.Newf(fault.OutOfRange, "", "%s cannot be given to one hive", g.Mass)
		}
	}
	if err != nil {
		trouble.bad(CellGiven, err)
		return
	}
	if s.Feed != ledger.Syrup && s.Feed != ledger.Comb {
		g.Lot = strings.TrimSpace(s.Lot)
	}
	if s.Feed == ledger.Comb {
		if g.From = c.From; g.From == c.Colony {
			trouble.bad(CellFrom, fault.New(fault.Conflict, "", "frames come from another hive").WithHint("leave it blank when they come from the shed"))
			return
		}
	}
	d.Bodies = append(d.Bodies, g)
	if g.Feed == ledger.Syrup {
		d.Over = overFull(d.Over, CellGiven, g.Volume, c.Holds)
	}
}

// Ref gives what a gift of this round refers to, see [OnPlan]; "" for the plan
// as it stands, which nobody took out.
func (c *Coming) Ref() string {
	if c.Plan == "" {
		return ""
	}
	return OnPlan(c.Plan, c.Load)
}

// FeederHolds gives what the feeder on a colony holds; 0 = none, or not known.
func (c *Colony) FeederHolds() units.Volume {
	if c.Feeder == "" {
		return 0
	}
	v, _, _, err := catalogue().Holds(c.Stack, c.Feeder, c.FeederVolume)
	if err != nil {
		return 0
	}
	return v
}

// largest is how many times its usual size a feeder of one kind may be (judged):
// they are made up to four times as large, see the table of feeders.
const largest = 5

// CheckFeederSize asks about a size of a feeder that none of its kind has: a
// comma forgotten, or the wrong unit.
func CheckFeederSize(stack hive.Stack, feeder string, v units.Volume) error {
	usual, _, _, err := catalogue().Holds(stack, feeder, 0)
	if err != nil || usual <= 0 || v <= largest*usual {
		return nil // what is wrong with stack and feeder is said elsewhere
	}
	return fault.New(fault.OutOfRange, "", "no feeder of this kind holds so much").WithHint("is a comma or the unit wrong?")
}
