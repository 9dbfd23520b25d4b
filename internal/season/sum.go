package season

import (
	"larder/internal/feeding"
	"larder/internal/units"
)

// Totals add up who is short.
type Totals struct {
	Colonies int
	Feed     int // short, and may be fed
	Enough   int
	NotKnown int // no reading, or no target
	Held     int // may get no syrup now, short or not
	Short    units.Mass
	Syrup    units.Volume // for those that may be fed
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
		case !x.Lack.Known:
			t.NotKnown++
		case x.Lack.Syrup > 0:
			t.Feed++
			t.Syrup += x.Lack.Syrup
		default:
			t.Enough++
		}
	}
	return t
}

// Headline gives the reasons that matter most for a line of a table: why it may
// not be fed, what is to be asked, what does not fit; failing these, how the
// shortage came about.
func (s *Short) Headline() []feeding.Reason {
	var out []feeding.Reason
	out = append(out, s.Hold...)
	out = append(out, s.Ask...)
	out = append(out, s.Trouble...)
	if q := s.Track.Now.Question; q != nil {
		out = append(out, feeding.Reason(*q))
	}
	if len(out) == 0 {
		out = s.Lack.Why
	}
	return out
}
