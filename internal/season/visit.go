package season

import (
	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
)

// NotFedWhys are the reasons for not feeding, in the order in which they are
// offered in the yard: what happens often first.
func NotFedWhys() []string {
	return []string{"full", "refused", "robbing", "drowned", "dead", "queenless", "leak", "wasps", "super", "other"}
}

// Also gives what a reason for not feeding says beside itself, as facts about
// the colony: a dead one is ended, a full feeder is a look into it. holds is
// what its feeder holds, 0 = not known.
func Also(why, colony string, holds units.Volume) []any {
	switch {
	case why == "dead":
		return []any{apiary.Ended{Colony: colony, State: apiary.Dead, Cause: "unknown"}}
	case why == "full" && holds > 0:
		return []any{ledger.Left{Colony: colony, Volume: units.In(holds)}}
	}
	return nil
}

// oftenest is how often a feeder may be filled at one visit before the amount is
// taken for a slip (judged): 38 for 3.8 is ten times, and nobody pours three.
const oftenest = 3

// FitsFeeder asks about an amount of syrup that is many times what the feeder
// holds, a comma forgotten or the wrong unit. holds 0 = not known: nothing is
// asked.
func FitsFeeder(v units.Entered[units.Volume], holds units.Volume) error {
	if holds > 0 && v.Q > oftenest*holds {
		return fault.Newf(fault.OutOfRange, "", "%s is more than three times what its feeder holds", v).
			WithHint("is a comma or the unit wrong? If the feeder is larger now, tell it under Yards and hives first")
	}
	return nil
}

// brim is how much more than its printed size a feeder may hold (judged): sizes
// are printed to the nearest quart or half litre, and a jug is filled by eye.
const brim = 1.05

// OverFull is more syrup than the feeder of a hive holds. It can be so, of a
// feeder filled twice or a larger one put on: it is asked about.
type OverFull struct {
	Cell   string // [CellGiven] or [CellLeft]
	Volume units.Entered[units.Volume]
	Holds  units.Volume
}

func overFull(list []OverFull, cell string, v units.Entered[units.Volume], holds units.Volume) []OverFull {
	if holds <= 0 || v.Q <= brim*holds {
		return list
	}
	return append(list, OverFull{cell, v, holds})
}

// OverFull gives what is more than the feeder holds; what it holds being not
// known, nothing is.
func (v Visit) OverFull() []OverFull {
	var out []OverFull
	if v.Left != nil {
		out = overFull(out, CellLeft, *v.Left, v.Holds)
	}
	if v.Given != nil {
		out = overFull(out, CellGiven, *v.Given, v.Holds)
	}
	return out
}

// Visit is what was done and seen at one hive on a round. Zero fields were not
// noted.
type Visit struct {
	Colony string
	Plan   string       // what it was part of, see [OnPlan]
	Holds  units.Volume // of its feeder, 0 = not known
	Left   *units.Entered[units.Volume]
	Given  *units.Entered[units.Volume]
	NotFed string // one of [NotFedWhys]
	Heft   stores.Heft
	Weight *units.Entered[units.Mass]
	Way    stores.Way // of Weight
	Note   string
}

// Bodies gives the facts of a visit in the order in which they happened: what
// was left before what was given. Faults: fault.Conflict when it was both given
// and not fed.
func (v Visit) Bodies() ([]any, error) {
	if v.Given != nil && v.NotFed != "" {
		return nil, fault.New(fault.Conflict, v.Colony, "it was either given or not, not both")
	}
	if v.NotFed != "" {
		if err := oneOf("reason", v.NotFed, NotFedWhys()...); err != nil {
			return nil, err
		}
	}
	var out []any
	note := v.Note
	take := func() string { n := note; note = ""; return n } // it stands once, with what matters most
	acted := v.Given != nil || v.NotFed != ""
	if v.Left != nil {
		left := ledger.Left{Colony: v.Colony, Volume: *v.Left}
		if left.Volume.IsZero() { // empty is an answer
			left.Volume.As = "0 L"
		}
		if !acted {
			left.Note = take()
		}
		out = append(out, left)
	}
	if v.Given != nil {
		out = append(out, ledger.Given{Colony: v.Colony, Feed: ledger.Syrup, Volume: *v.Given, Plan: v.Plan, Note: take()})
	}
	if v.NotFed != "" {
		out = append(out, ledger.NotFed{Colony: v.Colony, Why: v.NotFed, Plan: v.Plan, Note: take()})
		for _, b := range Also(v.NotFed, v.Colony, v.Holds) {
			if _, left := b.(ledger.Left); !left || v.Left == nil {
				out = append(out, b)
			}
		}
	}
	switch {
	case v.Weight != nil:
		r := stores.Reading{Colony: v.Colony, Way: v.Way, Note: take()}
		if v.Way == stores.Full {
			r.Gross = *v.Weight
		} else {
			r.Lift1 = *v.Weight
		}
		out = append(out, r)
	case v.Heft != "":
		out = append(out, stores.Reading{Colony: v.Colony, Way: stores.Hand, Heft: v.Heft, Note: take()})
	}
	if note != "" {
		out = append(out, apiary.Look{Colony: v.Colony, Note: note})
	}
	return out, nil
}
