package stores

import (
	"math"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/units"
)

// Context is what must be known beside a reading to judge it: plain facts of
// that colony as they stood at the moment of the reading.
type Context struct {
	Catalogue hive.Catalogue // the zero Catalogue stands for hive.Default()
	Stack     hive.Stack
	At        units.Moment // when the reading was made; zero = not told

	Feeder       string       // key of the feeder on at that moment, "" = none
	FeederVolume units.Volume // the keeper's own measure of it; 0 = the kind's
	// InFeeder is what the facts say was still in the feeder, in litres, for a
	// reading that does not say itself. Nothing ever given is a known 0; not
	// known is anything from empty to full, and costs its spread.
	InFeeder figure.Estimate
	// Density of the syrup in the feeder; 0 = not told.
	Density units.Density

	Look   *apiary.Look // the look at the bees nearest to the reading, one before it or of its day first; nil = none
	LookAt units.Moment
	// Brood is the brood to expect on that day when it was not looked at, in
	// dm² of one side; not known = a plain figure.
	Brood figure.Estimate

	Yard   string   // of the colony, for the hand
	Hefted []Hefted // the keeper's own hives both hefted and weighed

	Figures figure.Set
}

// Part is one thing taken off a gross weight.
type Part struct {
	Name string // "woodenware, comb and feeder", "bees", "brood", "pollen", "syrup in the feeder" …
	Kg   figure.Estimate
}

// Shared is an error that comes again in every reading of the same kind:
// weighings of one hive share the error of its empty weight. Key tells which.
type Shared struct {
	Key string
	SD  float64 // kg, part of the SD of the estimate
}

// Estimate is a judgement of stores: kg of ripe stores the bees can use, with
// spread. Not Known when a question must be answered first.
type Estimate struct {
	figure.Estimate
	Way      Way
	Gross    figure.Estimate // the weight found, for the ways that weigh
	Parts    []Part          // what was taken off it
	Shared   Shared
	Reasons  []Reason // what widens the spread, and what was taken for granted
	Question *Reason  // what cannot be so; nil = nothing to ask
}

// Judge turns one reading into stores.
//
// A result that cannot be (less than the empty hive by more than two standard
// deviations, more than the combs hold) is not Known and carries a Question;
// one just below nothing counts as 0 and asks as well.
//
// Faults: those of [hive.Stack.Check] for the stack; fault.Missing for a reading without the
// numbers its way needs; fault.OutOfRange for impossible ones; fault.WontFit
// for more frames of stores than the box has.
func Judge(r Reading, c Context) (Estimate, error) {
	if c.Catalogue.IsZero() {
		c.Catalogue = hive.Default()
	}
	if err := c.Stack.Check(c.Catalogue, ""); err != nil {
		return Estimate{}, fault.Wrap(err, "stores.Judge")
	}
	// A feeder noted wrongly must not cost the whole reading: it is left out.
	unfit := c.Stack.Check(c.Catalogue, c.Feeder) != nil
	if unfit {
		c.Feeder = ""
	}
	var e Estimate
	var err error
	switch r.Way {
	case Full, Scale, LiftBoth, LiftOne:
		e, err = weighed(r, c)
	case Frames:
		e, err = counted(r, c)
	case Hand:
		e, err = hefted(r, c)
	case "":
		err = fault.New(fault.Missing, r.Colony, "how the stores were judged is not told").
			WithHint("one of full, lift2, lift1, frames, hand, scale")
	default:
		err = fault.Newf(fault.NotUnderstood, r.Colony, "%q is no way of judging stores", r.Way).
			WithHint("one of full, lift2, lift1, frames, hand, scale")
	}
	if err != nil {
		return Estimate{}, fault.Wrap(err, "stores.Judge")
	}
	e.Way = r.Way
	if unfit {
		e.Reasons = append(e.Reasons, because("feeder-unfit", "the feeder noted does not go on this hive and is left out"))
	}
	return e.settled(r, c)
}

// settled asks about what cannot be, and takes off what bees cannot use.
func (e Estimate) settled(r Reading, c Context) (Estimate, error) {
	room, err := c.Catalogue.Room(c.Catalogue.Beside(c.Stack, c.Feeder), c.Figures)
	if err != nil {
		return Estimate{}, fault.Wrap(err, "stores.Judge")
	}
	switch {
	case e.Mean < -2*e.SD:
		q := because("below-empty", "the hive weighs {0} less than it should weigh empty: is the reading, the stack or the empty weight wrong?", units.Mass(-e.Mean))
		e.Question, e.Estimate = &q, figure.Estimate{}
		return e, nil
	case e.Mean < 0:
		q := because("near-empty", "by its weight the hive holds nothing: look in, or weigh the empty hive")
		e.Question, e.Mean = &q, 0
	case e.Mean-2*e.SD > room.Mean+2*room.SD:
		q := because("above-room", "{0} is more than the combs of this stack can hold, which is {1}: is there a box that is not told?",
			units.Mass(e.Mean), units.Mass(room.Mean))
		e.Question, e.Estimate = &q, figure.Estimate{}
		return e, nil
	}
	bad := r.Unusable
	if bad == 0 && c.Look != nil {
		bad = c.Look.Granulated
	}
	if bad > 0 {
		// Seen through the comb, not weighed: a third of it either way.
		e.take("stores the bees cannot use", figure.Est(bad.Kg(), bad.Kg()/3))
		e.Mean = max(0, e.Mean)
		e.Reasons = append(e.Reasons, because("unusable", "{0} of granulated or fermenting stores are not counted", bad))
	}
	return e, nil
}

// take subtracts a part and notes it.
func (e *Estimate) take(name string, kg figure.Estimate) {
	e.Parts = append(e.Parts, Part{name, kg})
	e.Estimate = e.Minus(kg)
}

// positive checks that a number the way needs was told and can be.
func positive(colony, what string, q units.Entered[units.Mass]) error {
	switch x := q.Q.Kg(); {
	case q.IsZero():
		return fault.Newf(fault.Missing, colony, "%s is not told", what).WithHint("read it off the scale and note it with its unit, for example 48 lb")
	case math.IsNaN(x) || x <= 0 || x > 500:
		return fault.Newf(fault.OutOfRange, colony, "%s of %s cannot be", what, q).WithHint("more than nothing and less than 500 kg")
	}
	return nil
}
