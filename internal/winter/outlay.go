package winter

import (
	"slices"

	"larder/internal/fault"
	"larder/internal/units"
)

// Outlays is an [Ensemble] that keeps only what is eaten to the first dependable
// forage, and not the days between: a hundredth of the memory, for the targets of
// many yards. With the same query its targets are those of the Ensemble to the
// last bit.
type Outlays struct{ e *Ensemble }

// NewOutlays draws one. Errors: those of [NewEnsemble].
func NewOutlays(q EnsembleQuery) (*Outlays, error) {
	if q.Draws == 0 {
		q.Draws = defaultDraws
	}
	if q.Draws < 50 || q.Draws > 100000 {
		return nil, fault.Newf(fault.OutOfRange, "winter", "%d draws are too few or too many", q.Draws).WithHint("between 50 and 100 000")
	}
	e, err := plan(q)
	if err != nil {
		return nil, err
	}
	e.first = e.days
	e.draw(q.Seed)
	return &Outlays{e}, nil
}

// Target is [Ensemble.Target].
func (o *Outlays) Target(q TargetQuery) (Target, error) { return o.e.Target(q) }

// Of gives what one colony eats, see [Outlay]. Error: fault.NotKnownHere for a
// colony outside the model.
func (o *Outlays) Of(c Colony) (Outlay, error) {
	if err := checkColony(c); err != nil {
		return Outlay{}, err
	}
	out := Outlay{use: make([]float64, o.e.draws), Until: o.e.forage.Day, Winters: len(o.e.winters.Temp)}
	o.e.eaten(out.use, c, o.e.days)
	slices.Sort(out.use)
	out.Mean, out.SD = moments(out.use)
	return out, nil
}

// Outlay is what one colony eats from the first day on to the first dependable
// forage, over the past winters and what is not known.
type Outlay struct {
	Mean, SD float64   // kg
	Until    units.Day // the first dependable forage it goes by
	Winters  int       // past winters it was taken from
	use      []float64 // draws, sorted
}

// Quantile gives what is not passed with chance p, 0…1.
func (o *Outlay) Quantile(p float64) units.Mass { return units.Mass(quantile(o.use, p)) }

// Lasts gives the chance that stores last with the reserve whole.
func (o *Outlay) Lasts(stores, reserve units.Mass) float64 {
	return shareBelow(o.use, (stores - reserve).Kg())
}
