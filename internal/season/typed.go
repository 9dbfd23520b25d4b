package season

import (
	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/units"
)

// Feedable is one day of one yard as the keeper knows it; it wins over the
// weather. With neither Round nor Factor it takes back what was typed before.
type Feedable struct {
	Yard        string        `json:"yard,omitzero"`
	Day         units.Day     `json:"day,omitzero"`
	Round       apiary.Answer `json:"round,omitzero"`  // can a round be made there? Unknown = by the weather
	Factor      float64       `json:"factor,omitzero"` // part of full uptake taken, 0…1, when FactorKnown
	FactorKnown bool          `json:"factor_known,omitzero"`
	Note        string        `json:"note,omitzero"`
}

// Need is the syrup that, by the keeper's own word, a colony is still to be given
// from then on; it wins over what is worked out. No Volume takes it back.
type Need struct {
	Colony string                      `json:"colony,omitzero"`
	Volume units.Entered[units.Volume] `json:"volume,omitzero"` // of the season's syrup
	Note   string                      `json:"note,omitzero"`
}

func feedableKey(yard string, d units.Day) string { return yard + "\x00" + d.String() }

func checkFeedable(f Feedable) error {
	if f.Day == 0 {
		return fault.New(fault.Missing, "day", "it is not said which day")
	}
	return first(needName("yard", f.Yard), between("factor", f.Factor, 0, 1), between("round", float64(f.Round), float64(apiary.Unknown), float64(apiary.No)))
}

// mostNeed is more than any colony takes in a season.
const mostNeed units.Volume = 500

func checkNeed(n Need) error {
	return first(needName("colony", n.Colony), between("volume", n.Volume.Q.L(), 0, mostNeed.L()))
}

// FeedableDays lists the days of yards that the keeper typed, by yard and day.
func (st *State) FeedableDays() []Feedable { return sorted(st.feedable) }

// typedDays puts what the keeper typed of a yard's days over what the weather
// gives.
func (b *bench) typedDays(y apiary.Yard, out *feeding.Yard, start units.Day) {
	if len(b.st.feedable) == 0 {
		return
	}
	n := 0
	for i := range out.Feed {
		if f, ok := b.st.feedable[feedableKey(y.ID, start+units.Day(i))]; ok {
			if b.typedDay(f, &out.Feed[i], &out.Factor[i]) {
				n++
			}
		}
	}
	if n > 0 {
		out.Why = append(out.Why[:len(out.Why):len(out.Why)], feeding.Reason{Code: "typed-days",
			Say: "{0}: days that count as you typed them, not by the weather: {1}", Amounts: []any{yardName(y), n}})
	}
}

// typedDay puts one typed day over a day's round and factor. A day typed good on
// which nothing is known to be taken counts as a middling one.
func (b *bench) typedDay(f Feedable, feed *bool, factor *float64) (typed bool) {
	if f.Round != apiary.Unknown {
		*feed, typed = f.Round == apiary.Yes, true
	}
	switch {
	case f.FactorKnown:
		*factor, typed = f.Factor, true
	case f.Round == apiary.Yes && *factor == 0:
		*factor = b.figs.V("season.unknown_factor")
	}
	return typed
}

// typedNeed puts the need the keeper typed, less what was given since, in place of
// the one worked out.
func (b *bench) typedNeed(s *Short) {
	var need Need
	var seen units.Moment
	var given units.Volume
	for _, f := range s.Colony.Events {
		if !b.at.Covers(f.Seen) {
			continue
		}
		switch e := f.Body.(type) {
		case Need:
			need, seen, given = e, f.Seen, 0
			if f.Seen.DayOnly() { // gifts of that day came after, in whatever order they were written down
				given = givenOn(s.Colony, f)
			}
		case ledger.Given:
			if e.Colony == s.Colony.ID && e.Feed == ledger.Syrup {
				given += e.Volume.Q
			}
		}
	}
	if need.Volume.IsZero() {
		return
	}
	left := max(0, need.Volume.Q-given)
	worked, known := s.Lack.Syrup, s.Lack.Known
	// What is in the feeder counts towards a need; the keeper's word is of what is
	// to be given beside it.
	s.NeedTyped, s.Lack.Syrup = true, left
	if left > 0 {
		s.Lack.Syrup += units.Volume(s.Feeder.Mean)
	}
	if c, ok := b.conversion(b.st.Settings.Syrup); ok {
		s.Typed = units.Mass(left.L() * c.PerL.Mean)
	}
	say := func(code, text string, amounts ...any) {
		s.Lack.Why = append(s.Lack.Why[:len(s.Lack.Why):len(s.Lack.Why)], feeding.Reason{Code: code, Say: text, Amounts: amounts})
	}
	say("typed-need", "you typed on {0} that {1} is still to be given; {2} was given since, so {3} is left", seen.Day(), need.Volume.Q, given, left)
	if known {
		say("worked-out-need", "worked out it would be {0}; what you typed counts", worked)
	}
}

// givenOn sums the syrup given on the day of a fact, before it in order of truth.
func givenOn(c *Colony, until *Fact) units.Volume {
	var v units.Volume
	for _, f := range c.Events {
		if f == until {
			break
		}
		if g, ok := f.Body.(ledger.Given); ok && g.Colony == c.ID && g.Feed == ledger.Syrup && f.Seen.Day() == until.Seen.Day() {
			v += g.Volume.Q
		}
	}
	return v
}
