package season

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/feeding"
	"larder/internal/units"
)

// Comparison is two plans set beside each other. All of it is worked out from
// what each gives to whom on which day, feeder by feeder, not from what the plans
// say of themselves.
type Comparison struct {
	A, B   Side
	OfA    SideSum
	OfB    SideSum
	Hives  []HiveDiff // every hive of either, by yard, then name
	Days   []DayDiff  // days on which a yard gets more in one than in the other
	Calls  []YardDays // yards called at, by yard
	Moves  []YardDays // those of them called at on other days
	Yards  map[string]string
	InBoth bool // some hive is in both
}

// SideSum is what one of the two comes to.
type SideSum struct {
	Short  units.Volume // litres lacking when the stop day is over, crumbs with them
	Hives  int          // that lack more than a crumb: see [HiveIn.Lacks]
	Known  int          // hives of which the need is known
	Left   units.Volume // in feeders when the stop day is over
	Syrup  units.Volume
	Visits int
	Loads  int
	Days   int // with work
	First  units.Day
	Last   units.Day      // of the loads; 0 = none
	Time   units.Duration // loads and mixing
	Dist   units.Length
	Sugar  units.Mass
	Cost   units.Money // zero = not told
	Care   float64     // chance of being short that is accepted
	Bounds []BoundRow
}

// HiveDiff is one hive in both plans.
type HiveDiff struct {
	Colony, Yard string
	A, B         HiveIn
}

// HiveIn is one hive in one plan.
type HiveIn struct {
	In      bool // the plan speaks of it
	Unknown bool // what it needs is not known
	Need    units.Volume
	Given   units.Volume
	Short   units.Volume
	Left    units.Volume
	Days    []units.Day // on which it is filled
	Why     []feeding.Reason
}

// Lacks tells whether the hive is short: of more than a quarter of a litre, which
// is less than is worth a lid.
func (h *HiveIn) Lacks() bool { return h.Short.L() > lookLitres }

// DayDiff is one day on which the two differ.
type DayDiff struct {
	Day   units.Day
	Yards []DayYard // by yard
}

// DayYard is what a yard gets on a day.
type DayYard struct {
	Yard           string
	A, B           units.Volume
	HivesA, HivesB int
}

// YardDays are the days of the calls at a yard.
type YardDays struct {
	Yard string
	A, B []units.Day
}

// Moved tells whether the days of the calls differ.
func (y *YardDays) Moved() bool { return !slices.Equal(y.A, y.B) }

// Compare sets two plans beside each other. The order of rows in either changes
// nothing.
func Compare(a, b *Side) Comparison {
	c := Comparison{A: *a, B: *b, Yards: map[string]string{}}
	hives := map[string]*HiveDiff{}
	days := map[units.Day]map[string]*DayYard{}
	calls := map[string]*YardDays{}
	c.OfA = c.add(a, hives, days, calls, false)
	c.OfB = c.add(b, hives, days, calls, true)
	for _, h := range hives {
		c.InBoth = c.InBoth || h.A.In && h.B.In
		c.Hives = append(c.Hives, *h)
	}
	slices.SortFunc(c.Hives, func(x, y HiveDiff) int {
		return cmp.Or(cmp.Compare(x.Yard, y.Yard), NameOrder(x.Colony, y.Colony))
	})
	for d, yards := range days {
		x := DayDiff{Day: d}
		for _, y := range yards {
			if y.HivesA != y.HivesB || differ(y.A, y.B) {
				x.Yards = append(x.Yards, *y)
			}
		}
		if len(x.Yards) > 0 {
			slices.SortFunc(x.Yards, func(p, q DayYard) int { return cmp.Compare(p.Yard, q.Yard) })
			c.Days = append(c.Days, x)
		}
	}
	slices.SortFunc(c.Days, func(x, y DayDiff) int { return cmp.Compare(x.Day, y.Day) })
	for _, y := range calls {
		slices.Sort(y.A)
		slices.Sort(y.B)
		y.A, y.B = slices.Compact(y.A), slices.Compact(y.B)
		c.Calls = append(c.Calls, *y)
	}
	slices.SortFunc(c.Calls, func(x, y YardDays) int { return cmp.Compare(x.Yard, y.Yard) })
	for _, y := range c.Calls {
		if y.Moved() {
			c.Moves = append(c.Moves, y)
		}
	}
	return c
}

// differ tells whether two amounts differ by more than anybody pours.
func differ(a, b units.Volume) bool { return math.Abs((a - b).L()) >= aboutLitres }

// add goes through one of the two.
func (c *Comparison) add(s *Side, hives map[string]*HiveDiff, days map[units.Day]map[string]*DayYard, calls map[string]*YardDays, second bool) SideSum {
	p := s.Plan
	t := &p.Totals
	sum := SideSum{Syrup: t.Syrup, Visits: t.Visits, Loads: t.Loads, Time: t.Time + t.Mixing, Dist: t.Dist, Sugar: t.Sugar, Cost: t.Cost,
		Last: p.LastDay(), Care: p.Problem.Figures.V("feeding.care"), Bounds: p.BoundRows()}
	why := map[string][]feeding.Reason{}
	unknown := map[string]bool{}
	for _, u := range p.NotServed() {
		why[u.Colony], unknown[u.Colony] = u.Why, u.Volume == 0
	}
	for i := range p.Problem.Yards {
		y := &p.Problem.Yards[i]
		c.Yards[y.ID] = cmp.Or(y.Name, y.ID)
	}
	filled := map[string][]units.Day{}
	work := map[units.Day]bool{}
	for _, b := range p.Batches {
		work[b.Day] = true
	}
	for i := range p.Loads {
		l := &p.Loads[i]
		work[l.Day] = true
		if sum.First == 0 || l.Day < sum.First {
			sum.First = l.Day
		}
		for k := range l.Stops {
			x := &l.Stops[k]
			if calls[x.Yard] == nil {
				calls[x.Yard] = &YardDays{Yard: x.Yard}
			}
			if days[l.Day] == nil {
				days[l.Day] = map[string]*DayYard{}
			}
			if days[l.Day][x.Yard] == nil {
				days[l.Day][x.Yard] = &DayYard{Yard: x.Yard}
			}
			y, m := calls[x.Yard], days[l.Day][x.Yard]
			on, v, n := &y.A, &m.A, &m.HivesA
			if second {
				on, v, n = &y.B, &m.B, &m.HivesB
			}
			*on = append(*on, l.Day)
			for _, f := range x.Fills {
				*v += f.Volume
				*n++
				filled[f.Colony] = append(filled[f.Colony], l.Day)
			}
		}
	}
	sum.Days = len(work)
	fates := feeding.Fates(&p.Problem, &p.Plan)
	order := make([]int, len(p.Problem.Hives)) // sums of floats hang on their order
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, k int) int { return cmp.Compare(p.Problem.Hives[i].Colony, p.Problem.Hives[k].Colony) })
	for _, i := range order {
		h, f := &p.Problem.Hives[i], &fates[i]
		in := HiveIn{In: true, Unknown: unknown[h.Colony], Need: h.Need, Given: f.Given, Short: f.Short, Left: f.Left, Days: filled[h.Colony], Why: why[h.Colony]}
		if w := s.Why[h.Colony]; len(w) > 0 {
			in.Why = w
		}
		sum.Short += f.Short
		sum.Left += f.Left
		if !in.Unknown {
			sum.Known++
		}
		if in.Lacks() {
			sum.Hives++
		}
		d := hives[h.Colony]
		if d == nil {
			d = &HiveDiff{Colony: h.Colony, Yard: h.Yard}
			hives[h.Colony] = d
		}
		if second {
			d.B = in
		} else {
			d.A = in
		}
	}
	return sum
}

// Differs tells whether the hive gets, lacks or is left with another amount.
func (h *HiveDiff) Differs() bool {
	return h.A.In != h.B.In || differ(h.A.Given, h.B.Given) || differ(h.A.Short, h.B.Short) || differ(h.A.Left, h.B.Left)
}

// Reasons tells why, as far as it is known: what it needs, where that differs, then
// what each plan has to say of it.
func (h *HiveDiff) Reasons() []feeding.Reason {
	var out []feeding.Reason
	if h.A.In && h.B.In && differ(h.A.Need, h.B.Need) {
		out = append(out, feeding.Reason{Code: "compare-need", Say: "the first counts on a need of {0}, the second of {1}", Amounts: []any{h.A.Need, h.B.Need}})
	}
	out = append(out, h.A.Why...)
	for _, r := range h.B.Why {
		if !slices.ContainsFunc(h.A.Why, func(x feeding.Reason) bool {
			return x.Code == r.Code && x.Say == r.Say && slices.Equal(x.Amounts, r.Amounts)
		}) {
			out = append(out, r)
		}
	}
	return out
}

// Differing lists the hives that differ.
func (c *Comparison) Differing() []HiveDiff {
	return slices.DeleteFunc(slices.Clone(c.Hives), func(h HiveDiff) bool { return !h.Differs() })
}

// OnlyA and OnlyB list who is short in one of the two alone, ShortBoth who is in
// both.
func (c *Comparison) OnlyA() []HiveDiff {
	return c.pick(func(h *HiveDiff) bool { return h.A.Lacks() && !h.B.Lacks() })
}

// OnlyB lists who is short in the second plan alone.
func (c *Comparison) OnlyB() []HiveDiff {
	return c.pick(func(h *HiveDiff) bool { return h.B.Lacks() && !h.A.Lacks() })
}

// ShortBoth lists who is short in both.
func (c *Comparison) ShortBoth() []HiveDiff {
	return c.pick(func(h *HiveDiff) bool { return h.A.Lacks() && h.B.Lacks() })
}

func (c *Comparison) pick(is func(h *HiveDiff) bool) []HiveDiff {
	return slices.DeleteFunc(slices.Clone(c.Hives), func(h HiveDiff) bool { return !is(&h) })
}

// Same tells whether the two come to the same, day by day and hive by hive.
func (c *Comparison) Same() bool {
	return len(c.Days) == 0 && len(c.Moves) == 0 && len(c.Differing()) == 0 && !slices.ContainsFunc(c.Rows(), func(r CompareRow) bool { return r.More != nil })
}

// CompareRow is one line of the two sums.
type CompareRow struct {
	What string // "short", "hives", "left", "visits", "loads", "days", "last", "hours", "road", "sugar", "syrup", "cost", "care"
	A, B any    // nil = not known, or there is none
	More any    // B less A; nil = they are the same, or it cannot be said
	// Down tells that B has less of it: More is then how much less, never below 0.
	Down bool
}

// Rows lists what the two come to, side by side.
func (c *Comparison) Rows() []CompareRow {
	a, b := &c.OfA, &c.OfB
	out := []CompareRow{
		row("short", a.Short, b.Short, aboutLitres),
		row("hives", a.Hives, b.Hives, 1),
		row("left", a.Left, b.Left, aboutLitres),
		row("visits", a.Visits, b.Visits, 1), row("loads", a.Loads, b.Loads, 1), row("days", a.Days, b.Days, 1),
		{What: "last", A: day0(a.Last), B: day0(b.Last)},
		row("hours", a.Time, b.Time, 30),
		row("road", a.Dist, b.Dist, 50),
		row("syrup", a.Syrup, b.Syrup, aboutLitres),
		row("sugar", a.Sugar, b.Sugar, aboutLitres),
	}
	if a.Last != 0 && b.Last != 0 {
		r := row("last", int(a.Last), int(b.Last), 1)
		out[6].More, out[6].Down = r.More, r.Down
	}
	if !a.Cost.IsZero() || !b.Cost.IsZero() {
		r := CompareRow{What: "cost"}
		if !a.Cost.IsZero() {
			r.A = a.Cost
		}
		if !b.Cost.IsZero() {
			r.B = b.Cost
		}
		if k, err := b.Cost.Cmp(a.Cost); err == nil && k != 0 {
			r.Down = k < 0
			more, less := b.Cost, a.Cost
			if r.Down {
				more, less = a.Cost, b.Cost
			}
			if d, err := more.Minus(less); err == nil {
				r.More = d
			}
		}
		out = append(out, r)
	}
	if a.Care != b.Care {
		out = append(out, CompareRow{What: "care", A: a.Care, B: b.Care})
	}
	return out
}

func day0(d units.Day) any {
	if d == 0 {
		return nil
	}
	return d
}

func row[Q ~int | ~float64](what string, a, b Q, least float64) CompareRow {
	r := CompareRow{What: what, A: a, B: b}
	switch d := float64(b) - float64(a); {
	case d >= least:
		r.More = b - a
	case -d >= least:
		r.More, r.Down = a-b, true
	}
	return r
}
