package season

import (
	"math"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/units"
)

// Intake is syrup one colony took on one day.
type Intake struct {
	Day      units.Day
	Volume   figure.Estimate // litres
	Strength units.Strength
	Seen     bool // from what was given and what was left; false = by the uptake model
}

// feederLine is what went into the feeder of one colony and out of it.
type feederLine struct {
	Intakes []Intake
	// Now is what is still in the feeder, in litres.
	Now figure.Estimate
	// Trouble lists what cannot be: more left than was given.
	Trouble []feeding.Reason
}

// uptakeOn gives the litres a colony takes in a day at most, by the model.
type uptakeOn func(units.Day) float64

// runFeeder follows one feeder through the facts up to the end of day last.
//
// A fill comes first, then that day's uptake. Between two moments at which the
// content is known, what was taken is given minus left, whatever the model
// says; the model only spreads it over the days. After the last look the model
// is all there is, and its spread (±50 %, the range of the reported rates) is
// carried. Feed that was put on in kilograms is not syrup and not here.
func (st *State) runFeeder(c *Colony, last units.Day, model uptakeOn) feederLine {
	r := st.newFeederRun(c.ID, model)
	r.to(c.Events, last)
	return r.line()
}

// feederRun is a feeder followed so far. Asked for one later day after another it
// goes on from where it is: a hive on an automatic scale has a reading every night,
// and each asks what was in the feeder.
type feederRun struct {
	st    *State
	id    string
	model uptakeOn
	next  int // of the facts, the first not gone through

	day            units.Day
	content, given float64 // now, by the model; put in since it was last known
	known          float64 // when it was last known
	strength       units.Strength
	span           []Intake // days since the content was last known, by the model
	spread         float64  // of all of them, in litres
	out            feederLine
}

func (st *State) newFeederRun(id string, model uptakeOn) *feederRun {
	return &feederRun{st: st, id: id, model: model, strength: st.Settings.Syrup}
}

// settle closes the days since the last look: left is what was found.
func (r *feederRun) settle(left float64) {
	taken := r.known + r.given - left
	if taken < -0.05 {
		r.out.Trouble = append(r.out.Trouble, feeding.Reason{
			Code: "left-more-than-given", Say: "{0}: more was left in the feeder ({1}) than had been given ({2})",
			Amounts: []any{r.day, units.Volume(left), units.Volume(r.known + r.given)}})
	}
	r.out.Intakes = append(r.out.Intakes, share(r.span, math.Max(taken, 0))...)
	r.span, r.spread, r.known, r.given, r.content = nil, 0, left, 0, left
}

// advance takes the uptake of all days before to.
func (r *feederRun) advance(to units.Day) {
	for ; r.day != 0 && r.day < to; r.day++ {
		t := math.Min(r.content, r.model(r.day))
		r.content -= t
		if r.known+r.given > 0 {
			i := Intake{Day: r.day, Volume: figure.Est(t, 0.5*t), Strength: r.strength}
			r.span = append(r.span, i)
			r.spread += i.Volume.SD
		}
	}
	if r.day == 0 {
		r.day = to
	}
}

// to goes on through the facts to the end of day last. They are those it went
// through before, or more of the same.
func (r *feederRun) to(facts []*Fact, last units.Day) {
	for ; r.next < len(facts); r.next++ {
		f := facts[r.next]
		d := f.Seen.Day()
		if d > last {
			break
		}
		switch b := f.Body.(type) {
		case ledger.Given:
			if b.Feed != ledger.Syrup || b.Colony != r.id {
				continue
			}
			r.advance(d)
			r.content += b.Volume.Q.L()
			r.given += b.Volume.Q.L()
			r.strength = r.st.strengthOf(b)
		case ledger.Left:
			r.advance(d)
			r.settle(b.Volume.Q.L())
		case ledger.Taken:
			r.advance(d)
			r.settle(math.Max(r.known+r.given-b.Volume.Q.L(), 0))
		case apiary.FeederSet:
			if b.Feeder == "" && r.content > 0 {
				// Taken off without a word of what was in it: what the model left
				// is gone with it.
				r.advance(d)
				r.settle(r.content)
				r.content, r.known = 0, 0
			}
		}
	}
	if r.day != 0 {
		r.advance(last + 1)
	}
}

// line is what is known after the days gone through.
func (r *feederRun) line() feederLine {
	out := r.out
	out.Intakes = append(out.Intakes[:len(out.Intakes):len(out.Intakes)], r.span...)
	out.Now = r.now()
	return out
}

// now is what is in the feeder after the days gone through, in litres.
func (r *feederRun) now() figure.Estimate {
	return figure.Est(r.content, math.Min(r.spread, math.Max(r.content, r.known+r.given-r.content)))
}

// share spreads an amount known to be taken over the days it may have been
// taken on, as the model has it, or evenly where the model says none could be.
// The spread left is the reading of the feeder: a quarter of a litre in all
// (judged).
func share(span []Intake, taken float64) []Intake {
	if len(span) == 0 || taken == 0 {
		return nil
	}
	sum := 0.0
	for _, i := range span {
		sum += i.Volume.Mean
	}
	sd := math.Min(0.25, taken/2) / math.Sqrt(float64(len(span)))
	out := make([]Intake, 0, len(span))
	for _, i := range span {
		part := 1 / float64(len(span))
		if sum > 0 {
			part = i.Volume.Mean / sum
		}
		if part == 0 {
			continue
		}
		out = append(out, Intake{Day: i.Day, Volume: figure.Est(taken*part, sd), Strength: i.Strength, Seen: true})
	}
	return out
}

// strengthOf gives the strength of a gift: its own, that of its batch, or the
// season's.
func (st *State) strengthOf(g ledger.Given) units.Strength {
	if g.Strength > 0 {
		return g.Strength
	}
	if b, ok := st.Batch(g.Batch); ok && b.Strength > 0 {
		return b.Strength
	}
	return st.Settings.Syrup
}
