package feeding

import (
	"strconv"

	"larder/internal/units"
)

// totals adds the plan up.
func (j *job) totals(pl *Plan) Totals {
	var t Totals
	var q micro
	for i := range pl.Loads {
		l := &pl.Loads[i]
		t.Loads++
		t.Visits += len(l.Stops)
		t.Dist += l.Dist
		t.Time += l.Time
		q += nearest(l.Syrup)
		for k := range l.Stops {
			t.Fills += len(l.Stops[k].Fills)
		}
	}
	t.Syrup = q.volume()
	for i := range pl.Batches {
		b := &pl.Batches[i]
		t.Sugar += b.Sugar
		t.Water += b.Water
	}
	t.Mixing = units.Duration(len(pl.Batches)) * j.p.Kitchen.Mixing
	t.Cost, t.CostParts = j.cost(&t)
	return t
}

// cost prices the plan exactly: sugar by the gram, kilometres by the metre,
// hours by the second, in decimal arithmetic, not rounded to coins. Only what
// has a price is in it; prices in different currencies cannot be added, and
// then there is no total, only the parts.
//
// Syrup in hand at the start was paid for before: only sugar to be mixed
// counts.
func (j *job) cost(t *Totals) (units.Money, map[string]units.Money) {
	parts := map[string]units.Money{}
	price := func(key string, per units.Money, n string) {
		if per.IsZero() {
			return
		}
		// The number is one of ours, so it is always understood.
		if m, err := per.Times(n); err == nil {
			parts[key] = m
		}
	}
	p := &j.p.Price
	price("sugar", p.SugarPerKg, fixed(t.Sugar.Kg(), 3))
	price("km", p.PerKm, fixed(t.Dist.Km(), 3))
	price("hours", p.PerHour, fixed(float64(t.Time/units.Hour), 4))
	price("mixing", p.PerHour, fixed(float64(t.Mixing/units.Hour), 4))
	var sum units.Money
	for _, k := range [...]string{"sugar", "km", "hours", "mixing"} {
		s, err := sum.Plus(parts[k])
		if err != nil {
			return units.Money{}, parts
		}
		sum = s
	}
	if len(parts) == 0 {
		return units.Money{}, nil
	}
	return sum, parts
}

func fixed(x float64, digits int) string { return strconv.FormatFloat(x, 'f', digits, 64) }
