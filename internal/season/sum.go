package season

import (
	"strings"

	"larder/internal/feeding"
	"larder/internal/units"
)

// Totals add up who is short.
type Totals struct {
	Colonies int
	Feed     int // short, and may be fed
	Waiting  int // short, but all of it stands in their feeders
	NoRoom   int // lack food, and their combs hold no more
	Enough   int
	NotKnown int // no reading, or no target
	Held     int // may get no syrup now, short or not
	Short    units.Mass
	Syrup    units.Volume // still to be given to those that may be fed
	Feeders  units.Volume // what of their need, and of those that wait, stands in feeders
}

// Sum adds up.
func Sum(shorts []Short) Totals {
	t := Totals{Colonies: len(shorts)}
	for i := range shorts {
		x := &shorts[i]
		if x.Lack.Known {
			t.Short += x.Lack.Short
		}
		switch {
		case len(x.Hold) > 0:
			t.Held++
		case !x.Lack.Known && !x.NeedTyped:
			t.NotKnown++
		case x.ToFeed():
			t.Feed++
			t.Syrup += x.Give
			t.Feeders += x.InFeeder()
		case x.Waiting():
			t.Waiting++
			t.Feeders += x.InFeeder()
		case x.Tight:
			t.NoRoom++
		default:
			t.Enough++
		}
	}
	return t
}

// Headline gives the reasons that matter most for a line of a table: why it may
// not be fed, what is to be asked, what does not fit. Nothing special gives
// nothing: the numbers speak. Questions of one look are put into one.
func (s *Short) Headline() []feeding.Reason {
	var out []feeding.Reason
	var asked []string
	for _, r := range append(s.Hold[:len(s.Hold):len(s.Hold)], s.Ask...) {
		if what, ok := strings.CutPrefix(r.Code, "ask-"); ok {
			asked = append(asked, what)
			continue
		}
		out = append(out, r)
	}
	if len(asked) > 0 {
		out = append(out, feeding.Reason{Code: "ask", Say: askSay(asked)})
	}
	out = append(out, s.tightWhy()...)
	out = append(out, s.Trouble...)
	if q := s.Track.Now.Question; q != nil {
		out = append(out, feeding.Reason(*q))
	}
	if len(out) == 0 && !s.Lack.Known {
		for _, r := range s.Lack.Why {
			if r.Code != "table-target" && r.Code != "own-target" && r.Code != "model-target" && r.Code != "no-model" {
				out = append(out, r)
			}
		}
	}
	for i := range s.Lack.Why {
		if c := s.Lack.Why[i].Code; len(out) == 0 && (c == "edge" || c == "comb-full" && !s.Aim.NoRoom) {
			out = append(out, s.Lack.Why[i])
		}
	}
	return out
}

// askSay says what nobody has told, in one sentence. Only the queen is asked
// without holding the feed.
func askSay(what []string) string {
	if len(what) == 1 && what[0] == "queen" {
		return "is the queen there? nobody has said"
	}
	words := map[string]string{"disease": "free of disease", "treatment": "free of treatment that forbids feed", "super": "honey supers off", "queen": "queen there"}
	for i, w := range what {
		if t, ok := words[w]; ok {
			what[i] = t
		}
	}
	return "no syrup until somebody says: " + strings.Join(what, "? ") + "?"
}
