package winter

import (
	"math"

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

// Eaten gives the same as stores.Carry takes it, with the spread of the sum as
// a share of it: that of the rates, of brood and of one colony against others.
// So a heft is carried on by this winter's own weather.
func Eaten(q UseQuery) (stores.Eaten, error) {
	daily, err := Consumption(q)
	if err != nil {
		return stores.Eaten{}, err
	}
	e := stores.Eaten{From: q.From, Daily: daily, South: q.South}
	mean, sd, err := q.sum()
	if err != nil {
		return stores.Eaten{}, err
	}
	if mean > 0 {
		e.Spread = sd / mean
	}
	return e, nil
}

// sum gives mean and spread of all that is eaten on the days: linear rates
// exactly, brood, bees and cold by the slope at their middle.
func (q *UseQuery) sum() (mean, sd float64, err error) {
	x, err := q.total()
	if err != nil {
		return 0, 0, err
	}
	p := &q.Params
	f := q.Colony.factor(p)
	for r := range x {
		mean += p.Rate[r].Mean * x[r] / 1000
	}
	v := mean * mean * f.SD * f.SD
	g2 := quadForm(&p.Cov, x) / 1e6
	shape, err := q.shapeVar()
	if err != nil {
		return 0, 0, err
	}
	return f.Mean * mean, math.Sqrt(v + f.Mean*f.Mean*(g2+shape)), nil
}

func (q *UseQuery) total() (x [nRates]float64, err error) {
	rows, err := q.shares()
	if err != nil {
		return x, err
	}
	for _, row := range rows {
		for r, v := range row {
			x[r] += v
		}
	}
	return x, nil
}

// shapeVar gives the variance, kg², that what is not linear brings: each moved
// one spread up and down.
func (q *UseQuery) shapeVar() (float64, error) {
	v := 0.0
	for _, move := range []struct {
		at *Vary
		of func(*UseQuery) *Vary
	}{
		{&q.Params.Cold, func(c *UseQuery) *Vary { return &c.Params.Cold }},
		{&q.Params.Deep, func(c *UseQuery) *Vary { return &c.Params.Deep }},
		{&q.Params.Stir, func(c *UseQuery) *Vary { return &c.Params.Stir }},
		{&q.Params.Shift, func(c *UseQuery) *Vary { return &c.Params.Shift }},
		{&q.Params.Amount, func(c *UseQuery) *Vary { return &c.Params.Amount }},
	} {
		var end [2]float64
		for i, z := range []float64{-1, 1} {
			c := *q
			move.of(&c).Mean = move.at.at(z)
			x, err := c.total()
			if err != nil {
				return 0, err
			}
			for r := range x {
				end[i] += q.Params.Rate[r].Mean * x[r] / 1000
			}
		}
		v += (end[1] - end[0]) * (end[1] - end[0]) / 4
	}
	// More or fewer bees move the second rate's share only.
	x, err := q.total()
	if err != nil {
		return 0, err
	}
	bees := q.Params.Bees.SD * q.Params.Rate[PerKg].Mean * x[PerKg] / 1000
	return v + bees*bees, nil
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

// Shares says what the food goes on, in kg over the days: the heat the cluster
// loses, the bees themselves, feeding brood, keeping brood warm.
func Shares(q UseQuery) ([nRates]units.Mass, error) {
	var out [nRates]units.Mass
	x, err := q.total()
	if err != nil {
		return out, err
	}
	f := q.Colony.factor(&q.Params).Mean
	for r := range x {
		out[r] = units.Mass(f*q.Params.Rate[r].Mean*x[r]) * units.Gram
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
