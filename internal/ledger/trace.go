package ledger

import (
	"slices"
	"strings"

	"larder/internal/units"
)

// Tie is how feed of one colony came to another: joined into it, split off, or
// given as sealed frames.
type Tie struct {
	From, Into string
	At         units.Moment
	How        string // "unite", "split", "frames"
}

// Kin is a colony that holds, or held, feed given to another.
type Kin struct {
	Colony string
	// At bounds it: an heir has the feed from then on; of a forebear, what it
	// got until then counts. Zero = without bound.
	At  units.Moment
	How string // of the last step; "" = the colony itself
	Via string // the colony of the step before
}

// Heirs gives every colony that may hold feed given to one at a moment: itself,
// and those it came to by later ties. The same colony is listed once, by its
// soonest way.
func Heirs(fed string, at units.Moment, ties []Tie) []Kin {
	return walk(Kin{Colony: fed, At: at}, ties, func(k Kin, t Tie) (Kin, bool) {
		return Kin{Colony: t.Into, At: t.At, How: t.How, Via: k.Colony}, t.From == k.Colony && t.At.Compare(k.At) >= 0
	}, func(a, b units.Moment) bool { return a.Compare(b) < 0 })
}

// Forebears gives every colony whose feed may have come to one: itself, and
// those it came from by ties, each with the moment until which its feed counts.
// The same colony is listed once, by its latest way.
func Forebears(colony string, ties []Tie) []Kin {
	return walk(Kin{Colony: colony}, ties, func(k Kin, t Tie) (Kin, bool) {
		return Kin{Colony: t.From, At: t.At, How: t.How, Via: k.Colony}, t.Into == k.Colony && (k.At.IsZero() || t.At.Compare(k.At) <= 0)
	}, func(a, b units.Moment) bool { return a.IsZero() || !b.IsZero() && a.Compare(b) > 0 })
}

// walk follows ties until nothing new is found. better tells whether a bound
// reaches further than another.
func walk(from Kin, ties []Tie, step func(Kin, Tie) (Kin, bool), better func(a, b units.Moment) bool) []Kin {
	found := []Kin{from}
	for i := 0; i < len(found); i++ {
		for _, t := range ties {
			n, ok := step(found[i], t)
			if !ok {
				continue
			}
			at := slices.IndexFunc(found, func(k Kin) bool { return k.Colony == n.Colony })
			switch {
			case at < 0:
				found = append(found, n)
			case at > 0 && better(n.At, found[at].At):
				found[at] = n
				i = min(i, at-1) // what lies behind it may reach further too
			}
		}
	}
	slices.SortStableFunc(found[1:], func(a, b Kin) int {
		if c := a.At.Compare(b.At); c != 0 {
			return c
		}
		return strings.Compare(a.Colony, b.Colony)
	})
	return found
}
