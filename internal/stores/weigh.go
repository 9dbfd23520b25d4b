package stores

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Parts of a weight that are no part of the hive.
const (
	PartThings = "things on it"
	PartWater  = "water in the wood, snow or ice"
	PartSyrup  = "syrup in the feeder"
)

// weighed judges the ways that find the weight of the whole hive.
func weighed(r Reading, c Context) (Estimate, error) {
	gross, why, err := gross(r, c.Figures)
	if err != nil {
		return Estimate{}, err
	}
	if r.About {
		guess := c.Figures.V("stores.se_about_kg")
		gross.SD = math.Hypot(gross.SD, guess)
		why = append(why, because("about", "the weight is a guess for this hive: it may be off by {0}", units.Mass(guess)))
	}
	e := Estimate{Estimate: gross, Gross: gross, Reasons: why}
	fs := c.Figures
	if r.Off < 0 || math.IsNaN(r.Off.Kg()) {
		return Estimate{}, fault.New(fault.OutOfRange, r.Colony, "what lay on the hive cannot weigh less than nothing")
	}
	if r.Off > 0 {
		e.take(PartThings, figure.Est(r.Off.Kg(), 0))
	}
	if r.Wet {
		e.take(PartWater, figure.Est(fs.V("stores.wet_kg"), fs.SD("stores.wet_kg")))
		e.Reasons = append(e.Reasons, because("wet", "the wood was wet or snow lay on it: {0} taken off, give or take as much", units.Mass(fs.V("stores.wet_kg"))))
	}
	tare, err := c.Catalogue.Tare(c.Stack, c.Feeder, fs)
	if err != nil {
		return Estimate{}, err
	}
	e.take("woodenware, comb and feeder", tare)
	bare, err := c.Catalogue.Tare(c.Stack, "", fs)
	if err != nil {
		return Estimate{}, err
	}
	// The feeder comes and goes; what stays wrong is the rest.
	e.Shared = Shared{Key: c.Stack.String(), SD: bare.SD}
	if !c.Stack.TareKnown {
		e.Reasons = append(e.Reasons, because("tare-table", "the empty weight is not known: {0} is from a table, and it may be off by {1}", units.Mass(tare.Mean), units.Mass(tare.SD)))
	}
	if err := e.takeBallast(c); err != nil {
		return Estimate{}, err
	}
	return e, e.takeSyrup(r, c)
}

// gross gives the weight found, with the spread of the way it was found.
func gross(r Reading, fs figure.Set) (figure.Estimate, []Reason, error) {
	none := figure.Estimate{}
	switch r.Way {
	case LiftBoth:
		if err := positive(r.Colony, "the lift at the first side", r.Lift1); err != nil {
			return none, nil, err
		}
		if err := positive(r.Colony, "the lift at the second side", r.Lift2); err != nil {
			return none, nil, err
		}
		w, err := LiftWeight(r.Lift1.Q, r.Lift2.Q, r.Levers)
		if err != nil {
			return none, nil, err
		}
		return figure.Est(w.Kg(), max(fs.V("stores.se_lift2_kg"), fs.V("stores.se_lift2_share")*w.Kg())), nil, nil
	case LiftOne:
		if err := positive(r.Colony, "the lift", r.Lift1); err != nil {
			return none, nil, err
		}
		w, err := OneLiftWeight(r.Lift1.Q, r.Levers)
		if err != nil {
			return none, nil, err
		}
		sd := max(fs.V("stores.se_lift1_kg"), fs.V("stores.se_lift1_share")*w.Kg())
		return figure.Est(w.Kg(), sd), []Reason{because("one-side", "lifted at one side only: the weight may lie off the middle, which is worth {0}", units.Mass(sd))}, nil
	}
	if err := positive(r.Colony, "the weight", r.Gross); err != nil {
		return none, nil, err
	}
	return figure.Est(r.Gross.Q.Kg(), fs.V("stores.se_scale_kg")), nil, nil
}

// takeSyrup takes off the syrup in the feeder.
func (e *Estimate) takeSyrup(r Reading, c Context) error {
	fs := c.Figures
	litres := c.InFeeder
	switch {
	case !r.InFeeder.IsZero():
		if v := r.InFeeder.Q.L(); v < 0 || math.IsNaN(v) || v > 200 {
			return fault.Newf(fault.OutOfRange, r.Colony, "%s in a feeder cannot be", r.InFeeder)
		}
		// A glance at a level is good to about a tenth.
		litres = figure.Est(r.InFeeder.Q.L(), 0.1*r.InFeeder.Q.L())
	case c.Feeder == "":
		return nil
	case !litres.Known:
		v, _, _, err := c.Catalogue.Holds(c.Stack, c.Feeder, c.FeederVolume)
		if err != nil {
			return err
		}
		// Anything from empty to full is as likely: mean ½, sd 1/√12.
		litres = figure.Est(v.L()/2, v.L()/math.Sqrt(12))
		e.Reasons = append(e.Reasons, because("feeder-not-seen", "a feeder was on and what was in it is not known: it may hold anything up to {0}", v))
	}
	if litres.Mean == 0 && litres.SD == 0 {
		return nil
	}
	d, dsd := float64(c.Density)/1000, 0.005
	if d == 0 {
		d, dsd = fs.V("stores.syrup_kg_l"), fs.SD("stores.syrup_kg_l")
	}
	e.take(PartSyrup, figure.Est(litres.Mean*d, math.Hypot(litres.SD*d, litres.Mean*dsd)))
	return nil
}
