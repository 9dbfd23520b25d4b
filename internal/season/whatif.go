package season

import "larder/internal/units"

// Difference is what one plan takes more (or less) than another.
type Difference struct {
	Loads, Visits int
	Dist          units.Length
	Time          units.Duration // loads and mixing
	Sugar         units.Mass
	Syrup         units.Volume
	Unmet         units.Volume
	Cost          units.Money // zero when either is not told
	CostLess      bool        // Cost is what the second plan saves
	LastDay       int         // days later that the last load goes out
}

// Against gives what q takes more than p.
func (p *Planned) Against(q *Planned) Difference {
	d := Difference{
		Loads: q.Totals.Loads - p.Totals.Loads, Visits: q.Totals.Visits - p.Totals.Visits,
		Dist: q.Totals.Dist - p.Totals.Dist, Time: q.Totals.Time + q.Totals.Mixing - p.Totals.Time - p.Totals.Mixing,
		Sugar: q.Totals.Sugar - p.Totals.Sugar, Syrup: q.Totals.Syrup - p.Totals.Syrup, Unmet: q.Unserved() - p.Unserved(),
		LastDay: int(q.LastDay() - p.LastDay()),
	}
	if !p.Totals.Cost.IsZero() && !q.Totals.Cost.IsZero() {
		more, err := q.Totals.Cost.Minus(p.Totals.Cost)
		if err == nil {
			d.Cost = more
			zero, _ := more.Minus(more) // same currency: cannot fail
			if c, err := more.Cmp(zero); err == nil && c < 0 {
				d.CostLess = true
				d.Cost, _ = p.Totals.Cost.Minus(q.Totals.Cost) // the same two amounts, turned round
			}
		}
	}
	return d
}

// Unserved gives the litres the plan cannot serve.
func (p *Planned) Unserved() units.Volume {
	var v units.Volume
	for _, u := range p.Unmet {
		v += u.Volume
	}
	return v
}

// LastDay gives the day of the last load, 0 without loads.
func (p *Planned) LastDay() units.Day {
	if n := len(p.Loads); n > 0 {
		return p.Loads[n-1].Day
	}
	return 0
}
