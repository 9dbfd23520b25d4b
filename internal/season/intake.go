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
	var out feederLine
	var span []Intake          // days since the content was last known, by the model
	content, given := 0.0, 0.0 // now, by the model; put in since it was last known
	known := 0.0               // when it was last known
	strength := st.Settings.Syrup
	day := units.Day(0)

	// close settles the days since the last look: taken is the sum found.
	settle := func(left float64) {
		taken := known + given - left
		if taken < -0.05 {
			out.Trouble = append(out.Trouble, feeding.Reason{
				Code: "left-more-than-given", Say: "{0}: more was left in the feeder ({1}) than had been given ({2})",
				Amounts: []any{day, units.Volume(left), units.Volume(known + given)}})
		}
		out.Intakes = append(out.Intakes, share(span, math.Max(taken, 0))...)
		span, known, given, content = nil, left, 0, left
	}
	advance := func(to units.Day) { // takes the uptake of all days before to
		for ; day != 0 && day < to; day++ {
			t := math.Min(content, model(day))
			content -= t
			if known+given > 0 {
				span = append(span, Intake{Day: day, Volume: figure.Est(t, 0.5*t), Strength: strength})
			}
		}
		if day == 0 {
			day = to
		}
	}
	for _, f := range c.Events {
		d := f.Seen.Day()
		if d > last {
			break
		}
		switch b := f.Body.(type) {
		case ledger.Given:
			if b.Feed != ledger.Syrup || b.Colony != c.ID {
				continue
			}
			advance(d)
			content += b.Volume.Q.L()
			given += b.Volume.Q.L()
			strength = st.strengthOf(b)
		case ledger.Left:
			advance(d)
			settle(b.Volume.Q.L())
		case ledger.Taken:
			advance(d)
			settle(math.Max(known+given-b.Volume.Q.L(), 0))
		case apiary.FeederSet:
			if b.Feeder == "" && content > 0 {
				// Taken off without a word of what was in it: what the model left
				// is gone with it.
				advance(d)
				settle(content)
				content, known = 0, 0
			}
		}
	}
	if day != 0 {
		advance(last + 1)
	}
	out.Intakes = append(out.Intakes, span...)
	spread := 0.0
	for _, i := range span {
		spread += i.Volume.SD
	}
	out.Now = figure.Est(content, math.Min(spread, math.Max(content, known+given-content)))
	return out
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
