package stores

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/units"
)

// Hefted is one of the keeper's own hives that was hefted by hand and weighed
// in the same visit: what his hand is checked by.
type Hefted struct {
	Yard   string
	Stack  hive.Stack
	Heft   Heft
	Stores figure.Estimate // by weighing
}

var hefts = []Heft{Light, Fair, Heavy}

// hefted judges a hand heft. Each class has a mean; before any weighing it is a
// judged figure with a wide spread, and every hive of the same stack that was
// also weighed pulls it to what the keeper's hand means by the word: the mean
// of a class is shrunk towards the figure by
//
//	posterior mean = (m0/τ² + Σ wᵢ·xᵢ/σ²) / (1/τ² + Σ wᵢ/σ²)
//
// with τ² = σ0² = half the variance of an unchecked hand, so that nothing
// weighed gives just that spread. σ², the scatter inside a class, is pooled
// over the classes and shrunk towards σ0² as if by four hives. Hives of the
// same yard weigh in full, of other yards by half; less sure weighings less.
func hefted(r Reading, c Context) (Estimate, error) {
	at := -1
	for i, h := range hefts {
		if h == r.Heft {
			at = i
		}
	}
	if at < 0 {
		return Estimate{}, fault.Newf(fault.Missing, r.Colony, "what the hand says is not told").WithHint("light, fair or heavy")
	}
	room, err := c.Catalogue.Room(c.Stack, c.Figures)
	if err != nil {
		return Estimate{}, err
	}
	m0, sd := c.unchecked(at, room.Mean)
	s0 := sd * sd / 2
	fit := fitHand(c, s0, room.Mean)
	n, sum := fit.n[at], fit.sum[at]
	precision := 1/s0 + n/fit.within
	e := Estimate{Estimate: figure.Est((m0/s0+sum/fit.within)/precision, math.Sqrt(fit.within+1/precision))}
	if fit.hives == 0 {
		e.Reasons = append(e.Reasons, because("hand-unchecked",
			"hefted by hand, and this hand has not been checked by weighing a hive like it: it may be off by {0}", units.Mass(e.SD)))
	} else {
		e.Reasons = append(e.Reasons, because("hand", "hefted by hand, checked by weighing {0} hives like it", fit.hives))
	}
	if c.Feeder != "" && !(c.InFeeder.Known && c.InFeeder.Mean == 0 && c.InFeeder.SD == 0) {
		e.Reasons = append(e.Reasons, because("hand-feeder", "a feeder was on while it was hefted"))
	}
	return e, nil
}

// unchecked gives mean and spread of a class for a hive of that room, before
// any weighing. The figures are told for a single full box; the hand judges a
// smaller hive by its size, a larger one by less than its size (square root).
// No spread is wider than that of any amount up to the room.
func (c Context) unchecked(class int, room float64) (mean, sd float64) {
	fs := c.Figures
	single := fullComb * fs.V("hive.comb_g_dm2") / 1000
	size := room / single
	if size > 1 {
		size = math.Sqrt(size)
	}
	key := []string{"stores.hand_light_kg", "stores.hand_fair_kg", "stores.hand_heavy_kg"}[class]
	return fs.V(key) * size, min(fs.V("stores.se_hand_kg"), room/math.Sqrt(12))
}

type handFit struct {
	n, sum [3]float64 // weights and weighted stores by class
	within float64    // variance inside a class
	hives  int
}

// fitHand pools the keeper's own hives of the same stack.
func fitHand(c Context, s0, room float64) handFit {
	var f handFit
	var squares [3]float64
	stack := c.Stack.Bare().String()
	for _, h := range c.Hefted {
		for i, heft := range hefts {
			if h.Heft != heft || !h.Stores.Known || h.Stack.Bare().String() != stack {
				continue
			}
			w := s0 / (s0 + h.Stores.SD*h.Stores.SD)
			if h.Yard != c.Yard {
				w /= 2
			}
			x := min(max(h.Stores.Mean, 0), 1.2*room)
			f.n[i] += w
			f.sum[i] += w * x
			squares[i] += w * x * x
			f.hives++
		}
	}
	// Four hives' worth of the figure, then what the classes scatter about
	// their own means.
	num, den := 4*s0, 4.0
	for i := range hefts {
		if f.n[i] > 1 {
			num += squares[i] - f.sum[i]*f.sum[i]/f.n[i]
			den += f.n[i] - 1
		}
	}
	f.within = num / den
	return f
}
