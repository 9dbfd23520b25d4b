package season

import (
	"cmp"
	"slices"
	"strings"

	"larder/internal/units"
)

// Sort is an order of the short list.
type Sort string

// The orders.
const (
	ByShortage Sort = "short" // those that lack most first, by the typed need where there is one; the unknown before those that have enough
	ByChance   Sort = "chance"
	ByName     Sort = "name"
	ByRead     Sort = "read" // the oldest reading first
)

// Show is a part of the short list.
type Show string

// The parts.
const (
	ShowAll     Show = "all"
	ShowFeed    Show = "feed"    // short, and may be fed
	ShowUnknown Show = "unknown" // no reading or no target
	ShowNoRoom  Show = "no-room" // their combs cannot hold what they need
	ShowHeld    Show = "held"    // may get no syrup now
)

// Choose picks and sorts lines of the short list. An empty yard is all yards;
// find, when not empty, is a part of the hive's name in any case.
func Choose(shorts []Short, show Show, yard, find string, by Sort) []*Short {
	var out []*Short
	find = strings.ToLower(find)
	for i := range shorts {
		x := &shorts[i]
		if yard != "" && x.Colony.Yard != yard || find != "" && !strings.Contains(strings.ToLower(x.Colony.ID), find) {
			continue
		}
		switch show {
		case ShowFeed:
			if !x.ToFeed() {
				continue
			}
		case ShowUnknown:
			if x.Lack.Known {
				continue
			}
		case ShowNoRoom:
			if !x.Tight {
				continue
			}
		case ShowHeld:
			if len(x.Hold) == 0 {
				continue
			}
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b *Short) int {
		switch by {
		case ByName:
			return NameOrder(a.Colony.ID, b.Colony.ID)
		case ByRead:
			return a.ReadAt.Compare(b.ReadAt)
		case ByChance:
			return cmp.Compare(chanceRank(b), chanceRank(a))
		}
		return cmp.Compare(shortRank(b), shortRank(a))
	})
	return out
}

// ToFeed tells whether the colony is short and may be fed, beyond what stands in its
// feeder.
func (s *Short) ToFeed() bool {
	return len(s.Hold) == 0 && (s.Lack.Known || s.NeedTyped) && s.Give > 0
}

func shortRank(x *Short) float64 {
	switch {
	case x.NeedTyped: // the keeper's word goes before what is worked out, and where nothing is
		return x.Typed.Kg()
	case !x.Lack.Known:
		return 0.001
	}
	return x.Lack.Short.Kg()
}

func chanceRank(x *Short) float64 {
	if !x.Lack.Known {
		return 0.5 // anybody's guess: between those on either side of the edge
	}
	return x.Lack.Chance
}

// PlanFor is Plan for some colonies only: skip names those to be left out. They
// are in nobody's list then, neither served nor unmet.
func (st *State) PlanFor(at units.Moment, seed uint64, skip map[string]bool) (Planned, error) {
	return st.plan(at, seed, 0, skip, nil, nil)
}

// MostStores gives the largest of all targets and of all stores as they may
// likely be (in nine cases of ten no more): what an axis has to reach.
func MostStores(shorts []Short) units.Mass {
	var most units.Mass
	for i := range shorts {
		most = max(most, shorts[i].Lack.Target)
		if e := shorts[i].Stores(); e.Known {
			most = max(most, units.Mass(e.Quantile(0.9)))
		}
	}
	return most
}
