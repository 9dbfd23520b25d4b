package verify

import (
	"strconv"

	"larder/internal/units"
)

// list holds what the plan says of each colony, and of each need left, against
// what the fills come to. Every hive of the facts must be spoken for.
func (b *book) list() {
	said := make([]bool, len(b.f.Hives))
	for i := range b.s.Colonies {
		c := &b.s.Colonies[i]
		h, ok := b.hive[c.ID]
		if !ok || said[h] || b.f.Hives[h].Yard != c.Yard {
			b.bad(Row, "%s at %s is in the plan twice, or not in the facts", c.ID, c.Yard)
			continue
		}
		said[h] = true
		if c.Need != b.f.Hives[h].Need {
			b.bad(Sum, "%s at %s needs %.2f L, the plan says %.2f L", c.ID, c.Yard, b.f.Hives[h].Need.L(), c.Need.L())
		}
		if off(c.Given.L(), b.given[h], slackL) || off(c.Taken.L(), b.taken[h], slackL) || c.Fills != len(b.got[h]) {
			b.bad(Sum, "%s at %s gets %.3f L in %d fills, of which it takes %.3f L; the plan says %.3f L in %d, of which %.3f L taken",
				c.ID, c.Yard, b.given[h], len(b.got[h]), b.taken[h], c.Given.L(), c.Fills, c.Taken.L())
		}
	}
	left := make([]float64, len(b.f.Hives))
	listed := make([]bool, len(b.f.Hives))
	for i := range b.s.Unmet {
		u := &b.s.Unmet[i]
		h, ok := b.hive[u.Colony]
		if !ok || listed[h] || b.f.Hives[h].Yard != u.Yard || !(u.Volume > 0) {
			b.bad(Unmet, "%s at %s is listed as not served twice, with %v L, or is not in the facts", u.Colony, u.Yard, u.Volume.L())
			continue
		}
		listed[h], left[h] = true, u.Volume.L()
	}
	for i := range b.f.Hives {
		h := &b.f.Hives[i]
		if !said[i] {
			b.bad(Row, "the plan does not speak of %s at %s", h.ID, h.Yard)
		}
		lack := max(0, h.Need.L()-b.soaks(i)-b.taken[i])
		if off(lack, left[i], crumb) {
			b.bad(Unmet, "%s at %s lacks %.3f L of its %.3f L, the plan lists %.3f L as not served", h.ID, h.Yard, lack, h.Need.L(), left[i])
		}
	}
}

// add holds the totals against the parts, and the bounds against the totals.
func (b *book) add() {
	t := &b.s.Totals
	var sugar, water, batches float64
	for i := range b.s.Batches {
		c := &b.s.Batches[i]
		sugar, water, batches = sugar+c.Sugar.Kg(), water+c.Water.L(), batches+c.Syrup.L()
	}
	n := float64(1 + len(b.s.Loads) + len(b.s.Batches))
	mixing := float64(len(b.s.Batches)) * float64(b.f.Kitchen.Mixing)
	for _, x := range []struct {
		what, unit     string
		is, said, slip float64
	}{
		{"loads", "", float64(len(b.s.Loads)), float64(t.Loads), 0},
		{"stops", "", float64(b.visits), float64(t.Visits), 0},
		{"fills", "", float64(b.fills), float64(t.Fills), 0},
		{"syrup", " L", b.litres, t.Syrup.L(), slackL * n},
		{"road", " m", b.dist, float64(t.Dist), slackM * (n + float64(b.visits))},
		{"time", " s", b.time, float64(t.Time), slackS * n},
		{"mixing", " s", mixing, float64(t.Mixing), slackS},
		{"sugar", " kg", sugar, t.Sugar.Kg(), 1e-6 * (1 + sugar)},
		{"water", " L", water, t.Water.L(), 1e-6 * (1 + water)},
	} {
		if off(x.is, x.said, x.slip) {
			b.bad(Sum, "the %s of the plan come to %.3f%s, the plan says %.3f%s", x.what, x.is, x.unit, x.said, x.unit)
		}
	}
	if over(batches, max(0, b.home-b.f.Kitchen.OnHand.L()), slackL*n) {
		b.bad(Stock, "%.2f L are mixed for %.2f L driven out and %.2f L in hand", batches, b.home, b.f.Kitchen.OnHand.L())
	}
	b.pay(sugar, mixing)
	b.bound(mixing)
}

// bound holds the bounds against what they bound, and the gaps against both.
func (b *book) bound(mixing float64) {
	l := &b.s.Bounds
	for _, x := range []struct {
		what, unit            string
		least, is, slip, said float64
	}{
		{"loads", "", float64(l.Loads), float64(len(b.s.Loads)), 0, l.Gap.Loads},
		{"stops", "", float64(l.Visits), float64(b.visits), 0, l.Gap.Visits},
		{"road", " m", float64(l.Dist), b.dist, slackM * float64(1+2*len(b.s.Loads)+b.visits), l.Gap.Dist},
		{"work", " s", float64(l.Time), b.time + mixing, slackS * float64(1+len(b.s.Loads)), l.Gap.Time},
	} {
		if over(x.least, x.is, x.slip) || x.least < 0 {
			b.bad(Bound, "no plan is said to do with less %s than %.0f%s, and this one has %.0f%s", x.what, x.least, x.unit, x.is, x.unit)
		}
		gap := 0.0
		if x.is > 0 {
			gap = max(0, 1-x.least/x.is)
		}
		if off(gap, x.said, 0.001+x.slip/max(1, x.is)) {
			b.bad(Bound, "the %s of the plan is %.4f above its bound, the plan says %.4f", x.what, gap, x.said)
		}
	}
}

// pay prices the plan again, each part and the sum of the parts. Prices in
// several currencies have parts and no sum. A plan may round to the gram, the
// metre of each leg and a third of a second before it prices.
func (b *book) pay(sugar, mixing float64) {
	p, t := &b.f.Price, &b.s.Totals
	var sum units.Money
	var slips int64
	told, mixed := 0, false
	for _, x := range []struct {
		what    string
		per     units.Money
		n, slip float64
	}{
		{"sugar", p.SugarPerKg, sugar, 0.001},
		{"km", p.PerKm, b.dist / 1000, 0.001 * float64(1+b.visits+len(b.s.Loads))},
		{"hours", p.PerHour, b.time / 3600, 0.0001},
		{"mixing", p.PerHour, mixing / 3600, 0.0001},
	} {
		said := t.CostParts[x.what]
		if x.per.IsZero() {
			if !said.IsZero() {
				b.bad(Sum, "the plan has a cost of %s, %s, for which no price is told", x.what, said)
			}
			continue
		}
		told++
		is, slip := priced(x.per, x.n), coins(priced(x.per, x.slip))+1
		if !near(is, said, slip) {
			b.bad(Sum, "the cost of %s comes to %s, the plan says %s", x.what, is, said)
		}
		slips += slip
		if s, err := sum.Plus(is); err == nil {
			sum = s
		} else {
			mixed = true
		}
	}
	switch {
	case told != len(t.CostParts):
		b.bad(Sum, "the plan has %d parts of cost, %d have a price", len(t.CostParts), told)
	case (told == 0 || mixed) && !t.Cost.IsZero():
		b.bad(Sum, "the plan has a cost of %s that cannot be added up", t.Cost)
	case told > 0 && !mixed && !near(sum, t.Cost, slips):
		b.bad(Sum, "the cost comes to %s, the plan says %s", sum, t.Cost)
	}
}

// priced gives n times a price, no amount when n is no number.
func priced(per units.Money, n float64) units.Money {
	m, err := per.Times(strconv.FormatFloat(n, 'f', 9, 64))
	if err != nil {
		return units.Money{}
	}
	return m
}

// coins counts an amount in its smallest coin; -1 is too much to count.
func coins(m units.Money) int64 {
	n, err := m.Minor()
	if err != nil {
		return -1
	}
	return n
}

// near tells whether two amounts are of one currency and no more than slip of
// its smallest coins apart.
func near(a, b units.Money, slip int64) bool {
	x, y := coins(a), coins(b)
	return x >= 0 && y >= 0 && a.Currency() == b.Currency() && x-y <= slip && y-x <= slip
}
