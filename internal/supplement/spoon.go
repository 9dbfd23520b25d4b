package supplement

import (
	"math"

	"larder/internal/fault"
	"larder/internal/units"
)

// Spoon is the keeper's own spoon or scoop, level full. The zero Spoon is
// none.
type Spoon struct {
	Holds units.Volume // 0 = not measured
	// Weighs is what it holds of this product, on his scale; 0 = not weighed.
	Weighs units.Mass
	Of     string // the product it was weighed with
}

// WeighSpoon makes a spoon from a few level spoonfuls weighed together: five or
// more average out the hand.
func WeighSpoon(holds units.Volume, product string, spoonfuls int, together units.Mass) (Spoon, error) {
	const op = "supplement.WeighSpoon"
	if spoonfuls < 1 || !(together > 0) || math.IsInf(float64(together), 0) || !(holds >= 0) || math.IsInf(float64(holds), 0) {
		return Spoon{}, trouble(fault.OutOfRange, product, op, "that is no weighing of spoonfuls").WithHint("weigh five level spoonfuls together")
	}
	return Spoon{Holds: holds, Weighs: together / units.Mass(spoonfuls), Of: product}, nil
}

// Weighing is the keeper's spoon weighed with a product, as it is written down.
type Weighing struct {
	Product   string                      `json:"product,omitzero"`
	Spoonfuls int                         `json:"spoonfuls,omitzero"` // level, weighed together
	Together  units.Entered[units.Mass]   `json:"together,omitzero"`
	Holds     units.Entered[units.Volume] `json:"holds,omitzero"` // empty = not measured
}

// Spoon gives the spoon of a weighing. The zero Weighing is no spoon; one that
// only measured what the spoon holds is a spoon not weighed.
func (w Weighing) Spoon() (Spoon, error) {
	if w.Together.IsZero() {
		return Spoon{Holds: w.Holds.Q, Of: w.Product}, nil
	}
	return WeighSpoon(w.Holds.Q, w.Product, w.Spoonfuls, w.Together.Q)
}

// mass is what a level spoonful of the product weighs.
func (s Spoon) mass(product string) (units.Mass, error) {
	const op = "supplement.Spoon"
	switch {
	case !(s.Weighs > 0):
		return 0, trouble(fault.Missing, product, op, "a spoon is a volume: this one has not been weighed with this product").WithHint("weigh five level spoonfuls together and divide by five")
	case s.Of != product:
		return 0, trouble(fault.Missing, product, op, "the spoon was weighed with another product").WithHint("weigh five level spoonfuls of this one")
	}
	return s.Weighs, nil
}

// bulk is kg per litre of the product in the spoon.
func (s Spoon) bulk(product string) (float64, error) {
	m, err := s.mass(product)
	if err != nil {
		return 0, err
	}
	if !(s.Holds > 0) {
		return 0, trouble(fault.Missing, product, "supplement.Spoon", "how much the spoon holds has not been measured").WithHint("fill it with water from a syringe and count the mL")
	}
	return float64(m) / float64(s.Holds), nil
}

// as gives a in the kind of like, by the product's weight in the spoon.
func (s Spoon) as(a, like Amount, product string) (Amount, error) {
	if a.same(like) {
		return a, nil
	}
	bulk, err := s.bulk(product)
	if err != nil {
		return Amount{}, err
	}
	if like.Weighed() {
		return ByMass(units.Mass(float64(a.Volume.Q) * bulk)), nil
	}
	return ByVolume(units.Volume(float64(a.Mass.Q) / bulk)), nil
}

// count gives how many spoonfuls a is, and why not.
func (s Spoon) count(a Amount, l Label) (float64, error) {
	if !a.Weighed() && l.Form == Liquid {
		// A liquid labelled by volume is measured by volume.
		if !(s.Holds > 0) {
			return 0, trouble(fault.Missing, l.Product, "supplement.Spoon", "how much the spoon holds has not been measured").WithHint("fill it with water from a syringe and count the mL")
		}
		return float64(a.Volume.Q / s.Holds), nil
	}
	m, err := s.mass(l.Product)
	if err != nil {
		return 0, err
	}
	if !a.Weighed() {
		if a, err = s.as(a, ByMass(1), l.Product); err != nil {
			return 0, err
		}
	}
	return float64(a.Mass.Q / m), nil
}

// down rounds x down to a multiple of step, never above x. The slack takes up
// the last bit of a product that should have come out even; what it lifts above
// x is taken back.
func down(x, step float64) float64 {
	if !(step > 0) {
		return x
	}
	n := math.Floor(x/step + 1e-9)
	if y := n * step; y <= x*(1+1e-12) {
		return math.Min(y, x)
	}
	return (n - 1) * step
}
