package winter

import (
	"math"
	"slices"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
)

// Colony is one colony as the model sees it.
type Colony struct {
	ID string
	// Stores is what it has on the morning of the first day, in kg; not known
	// gives no fan. A reading that was carried forward (stores.Carry) is right.
	Stores figure.Estimate
	// Bees is the adult bees of 1 November (south: 1 May); see [AtNovember].
	Bees float64
	// K is the protection of the hive, see [Protection.K]; 0 = plain wood.
	K float64
	// BroodScale is its brood against the calendar; 0 = by its bees, see
	// [Params.BroodScale].
	BroodScale float64
	// Factor is what it eats against others alike, from its own weighings, see
	// [Calibrate]; not known = 1, with the spread of the figure.
	Factor figure.Estimate
}

func (c Colony) k() float64 {
	if c.K == 0 {
		return 1
	}
	return c.K
}

func (c Colony) brood(p *Params) float64 {
	if c.BroodScale > 0 {
		return c.BroodScale
	}
	return p.BroodScale(c.Bees)
}

func (c Colony) factor(p *Params) figure.Estimate {
	if c.Factor.Known {
		return c.Factor
	}
	return figure.Est(p.Colony.Mean, p.Colony.SD)
}

// Place is what colonies of one yard share.
type Place struct {
	South bool
	Brood Brood
}

// UseQuery asks what one colony eats on given days.
type UseQuery struct {
	Place
	From   units.Day
	Temp   []float64 // °C, daily mean of From, the day after, …
	Colony Colony
	Params Params
}

// Consumption gives what a colony eats, kg a day from From on, at the middle of
// all figures, by the weather given. Errors: fault.NotKnownHere outside the
// seasons of the calendars and the range of [Params.Day].
func Consumption(q UseQuery) ([]float64, error) {
	rows, err := q.shares()
	if err != nil {
		return nil, err
	}
	f := q.Colony.factor(&q.Params).Mean
	out := make([]float64, len(rows))
	for i, x := range rows {
		for r, v := range x {
			out[i] += f * q.Params.Rate[r].Mean * v / 1000
		}
	}
	return out, nil
}

// shares gives, day by day, what each of the four rates is multiplied by.
func (q *UseQuery) shares() ([][nRates]float64, error) {
	if err := inSeason(q.From, len(q.Temp), q.South); err != nil {
		return nil, err
	}
	brood, err := broodCurve(q.Brood)
	if err != nil {
		return nil, err
	}
	p, bees := &q.Params, beesCurve()
	k, scale := q.Colony.k(), q.Colony.brood(p)*p.Amount.Mean
	out := make([][nRates]float64, len(q.Temp))
	for i, t := range q.Temp {
		x := dayOfSeason(q.From, q.South) + float64(i)
		n, a := q.Colony.Bees*bees.at(x), scale*brood.at(x-p.Shift.Mean)
		if err := inRange(t, n, a, k); err != nil {
			return nil, err
		}
		out[i] = p.shares(t, n*p.BeeKg, a, k)
	}
	return out, nil
}

// Eaten gives what stores.Carry takes: what is eaten day by day by this
// winter's own weather, as the mean over what is not known of brood, bees and
// cold, with the spread of the sum as a share of it. So a heft is carried on by
// this winter and no plain figure.
//
// The mean lies above [Consumption], which is at the middle of the figures:
// brood that comes earlier adds more than brood that comes later saves.
func Eaten(q UseQuery) (stores.Eaten, error) {
	rows, shape, err := q.meanShares()
	if err != nil {
		return stores.Eaten{}, err
	}
	p, f := &q.Params, q.Colony.factor(&q.Params)
	e := stores.Eaten{From: q.From, Daily: make([]float64, len(rows)), South: q.South}
	var x [nRates]float64
	total := 0.0
	for i, row := range rows {
		for r, v := range row {
			e.Daily[i] += f.Mean * p.Rate[r].Mean * v / 1000
			x[r] += v
		}
		total += e.Daily[i]
	}
	if total > 0 {
		rates := quadForm(&p.Cov, x) / 1e6
		own := total / f.Mean * f.SD
		e.Spread = math.Sqrt(f.Mean*f.Mean*(rates+shape)+own*own) / total
	}
	return e, nil
}

// meanShares gives the shares of [UseQuery.shares] as their mean over brood,
// bees and cold, and the variance, kg², those bring to the sum. Each is moved
// alone through three Gauss–Hermite nodes (0, ±√3 with weights 2/3, 1/6, 1/6);
// how they act together is left out.
func (q *UseQuery) meanShares() (rows [][nRates]float64, variance float64, err error) {
	middle, err := q.shares()
	if err != nil {
		return nil, 0, err
	}
	rows = slices.Clone(middle)
	base := q.kg(middle)
	for _, of := range []func(*Params) *Vary{
		func(p *Params) *Vary { return &p.Cold }, func(p *Params) *Vary { return &p.Deep }, func(p *Params) *Vary { return &p.Stir },
		func(p *Params) *Vary { return &p.Shift }, func(p *Params) *Vary { return &p.Amount },
	} {
		var m1, m2 float64
		for _, z := range []float64{-math.Sqrt(3), math.Sqrt(3)} {
			c := *q
			of(&c.Params).Mean = of(&q.Params).at(z)
			moved, err := c.shares()
			if err != nil {
				return nil, 0, err
			}
			for i := range rows {
				for r := range rows[i] {
					rows[i][r] += (moved[i][r] - middle[i][r]) / 6
				}
			}
			off := q.kg(moved) - base
			m1, m2 = m1+off/6, m2+off*off/6
		}
		variance += math.Max(0, m2-m1*m1)
	}
	// More or fewer bees move the second rate's share only, and straight.
	bees := 0.0
	for _, row := range middle {
		bees += q.Params.Bees.SD * q.Params.Rate[PerKg].Mean * row[PerKg] / 1000
	}
	return rows, variance + bees*bees, nil
}

// kg sums what is eaten by rows of shares, the colony's factor left out.
func (q *UseQuery) kg(rows [][nRates]float64) (kg float64) {
	for _, row := range rows {
		for r, v := range row {
			kg += q.Params.Rate[r].Mean * v / 1000
		}
	}
	return kg
}

func quadForm(m *[nRates][nRates]float64, x [nRates]float64) float64 {
	s := 0.0
	for i := range x {
		for j := range x {
			s += m[i][j] * x[i] * x[j]
		}
	}
	return math.Max(s, 0)
}

// Shares says what the food of [Consumption] goes on, in kg over the days: the
// heat the cluster loses, the bees themselves, feeding brood, keeping brood
// warm.
func Shares(q UseQuery) ([nRates]units.Mass, error) {
	var out [nRates]units.Mass
	rows, err := q.shares()
	if err != nil {
		return out, err
	}
	f := q.Colony.factor(&q.Params).Mean
	for _, row := range rows {
		for r, v := range row {
			out[r] += units.Mass(f*q.Params.Rate[r].Mean*v) * units.Gram
		}
	}
	return out, nil
}

// checkColony refuses what no colony is.
func checkColony(c Colony) error {
	if !(c.Bees >= 500 && c.Bees <= 80000) {
		return fault.Newf(fault.NotKnownHere, c.ID, "what a colony of %.0f bees eats is not known", c.Bees).
			WithHint("count its frames of bees: between 500 and 80 000 bees")
	}
	if k := c.k(); !(k >= 0.5 && k <= 1.5) {
		return fault.Newf(fault.NotKnownHere, c.ID, "no hive loses %.2f times the heat of a plain one", k)
	}
	if !(c.BroodScale >= 0 && c.BroodScale <= 4) {
		return fault.Newf(fault.NotKnownHere, c.ID, "%.1f times the usual brood is not known", c.BroodScale)
	}
	return nil
}
