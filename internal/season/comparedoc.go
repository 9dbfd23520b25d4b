package season

import (
	"larder/internal/feeding"
	"larder/internal/units"
)

// The JSON of a comparison, in SI. Its keys are documented in the manual,
// "Commands".
type (
	CompareDoc struct {
		AsOf  units.Moment `json:"as_of"`
		Same  bool         `json:"same"`
		First SideDoc      `json:"first"`
		Other SideDoc      `json:"second"`
		// More is the second less the first; cost only where both are told in one
		// currency.
		More  SumDoc         `json:"second_less_first"`
		Days  []CompareDay   `json:"days"`
		Moves []CompareMove  `json:"moves"`
		Hives []CompareHive  `json:"colonies"`
		OnlyA []CompareShort `json:"short_only_in_first"`
		OnlyB []CompareShort `json:"short_only_in_second"`
		Both  []CompareShort `json:"short_in_both"`
	}
	SideDoc struct {
		Key   string      `json:"side"`
		Say   string      `json:"say"`
		Notes []ReasonDoc `json:"notes"`
		Sum   SumDoc      `json:"totals"`
		Care  float64     `json:"care"`
		First *units.Day  `json:"first_day"`
		Last  *units.Day  `json:"last_day"`
		// Bounds is what no plan can beat that serves all that can be served; nil
		// where none is proven.
		Bounds *BoundsDoc `json:"bounds"`
	}
	SumDoc struct {
		ShortL     float64 `json:"short_l"`
		Short      int     `json:"colonies_short"`
		LeftL      float64 `json:"left_in_feeders_l"`
		Visits     int     `json:"visits"`
		Loads      int     `json:"loads"`
		Days       int     `json:"days"`
		TimeMin    float64 `json:"time_min"`
		DistanceKm float64 `json:"distance_km"`
		SyrupL     float64 `json:"syrup_l"`
		SugarKg    float64 `json:"sugar_kg"`
		CostMinor  *int64  `json:"cost_minor"`
		Currency   string  `json:"currency"`
	}
	CompareDay struct {
		Day   units.Day     `json:"day"`
		Yards []CompareYard `json:"yards"`
	}
	CompareYard struct {
		Yard   string  `json:"yard"`
		FirstL float64 `json:"first_l"`
		OtherL float64 `json:"second_l"`
		First  int     `json:"first_colonies"`
		Other  int     `json:"second_colonies"`
	}
	CompareMove struct {
		Yard  string      `json:"yard"`
		First []units.Day `json:"first_days"`
		Other []units.Day `json:"second_days"`
	}
	CompareHive struct {
		Colony  string      `json:"colony"`
		Yard    string      `json:"yard"`
		First   *HiveInDoc  `json:"first"`
		Other   *HiveInDoc  `json:"second"`
		Reasons []ReasonDoc `json:"reasons"`
	}
	HiveInDoc struct {
		NeedL  float64     `json:"need_l"`
		GivenL float64     `json:"given_l"`
		ShortL float64     `json:"short_l"`
		LeftL  float64     `json:"left_l"`
		Days   []units.Day `json:"days"`
	}
	CompareShort struct {
		Colony  string      `json:"colony"`
		Yard    string      `json:"yard"`
		FirstL  float64     `json:"first_l"`
		OtherL  float64     `json:"second_l"`
		Reasons []ReasonDoc `json:"reasons"`
	}
)

// Doc gives the comparison as it is printed. Of the hives it has those that
// differ. Fault: amounts of money that cannot be counted.
func (c *Comparison) Doc(at units.Moment, s units.Style) (CompareDoc, error) {
	out := CompareDoc{AsOf: at, Same: c.Same(), Days: []CompareDay{}, Moves: []CompareMove{}, Hives: []CompareHive{},
		OnlyA: shortDocs(c.OnlyA(), s), OnlyB: shortDocs(c.OnlyB(), s), Both: shortDocs(c.ShortBoth(), s)}
	var err error
	if out.First, err = sideDoc(&c.A, &c.OfA, s); err != nil {
		return out, err
	}
	if out.Other, err = sideDoc(&c.B, &c.OfB, s); err != nil {
		return out, err
	}
	a, b := &out.First.Sum, &out.Other.Sum
	out.More = SumDoc{ShortL: b.ShortL - a.ShortL, Short: b.Short - a.Short, LeftL: b.LeftL - a.LeftL, Visits: b.Visits - a.Visits, Loads: b.Loads - a.Loads,
		Days: b.Days - a.Days, TimeMin: b.TimeMin - a.TimeMin, DistanceKm: b.DistanceKm - a.DistanceKm, SyrupL: b.SyrupL - a.SyrupL, SugarKg: b.SugarKg - a.SugarKg}
	if a.CostMinor != nil && b.CostMinor != nil && a.Currency == b.Currency {
		d := *b.CostMinor - *a.CostMinor
		out.More.CostMinor, out.More.Currency = &d, a.Currency
	}
	for _, d := range c.Days {
		x := CompareDay{Day: d.Day, Yards: []CompareYard{}}
		for _, y := range d.Yards {
			x.Yards = append(x.Yards, CompareYard{y.Yard, y.A.L(), y.B.L(), y.HivesA, y.HivesB})
		}
		out.Days = append(out.Days, x)
	}
	for _, m := range c.Moves {
		out.Moves = append(out.Moves, CompareMove{m.Yard, noDays(m.A), noDays(m.B)})
	}
	for _, h := range c.Differing() {
		out.Hives = append(out.Hives, CompareHive{h.Colony, h.Yard, hiveInDoc(&h.A), hiveInDoc(&h.B), Reasons(h.Reasons(), s)})
	}
	return out, nil
}

func noDays(d []units.Day) []units.Day {
	if d == nil {
		return []units.Day{}
	}
	return d
}

func hiveInDoc(h *HiveIn) *HiveInDoc {
	if !h.In {
		return nil
	}
	return &HiveInDoc{h.Need.L(), h.Given.L(), h.Short.L(), h.Left.L(), noDays(h.Days)}
}

func shortDocs(l []HiveDiff, s units.Style) []CompareShort {
	out := []CompareShort{}
	for _, h := range l {
		out = append(out, CompareShort{h.Colony, h.Yard, h.A.Short.L(), h.B.Short.L(), Reasons(h.Reasons(), s)})
	}
	return out
}

func sideDoc(side *Side, sum *SideSum, s units.Style) (SideDoc, error) {
	out := SideDoc{Key: side.Key, Say: s.Say(side.Name.Say, side.Name.Amounts), Notes: Reasons(side.Notes, s), Care: sum.Care,
		Sum: SumDoc{ShortL: sum.Short.L(), Short: sum.Hives, LeftL: sum.Left.L(), Visits: sum.Visits, Loads: sum.Loads, Days: sum.Days, TimeMin: sum.Time.Min(),
			DistanceKm: sum.Dist.Km(), SyrupL: sum.Syrup.L(), SugarKg: sum.Sugar.Kg(), Currency: sum.Cost.Currency()}}
	if !sum.Cost.IsZero() {
		m, err := sum.Cost.Minor()
		if err != nil {
			return out, err
		}
		out.Sum.CostMinor = &m
	}
	if sum.Last != 0 {
		out.First, out.Last = &sum.First, &sum.Last
	}
	if b := side.Plan.Bounds; b.Loads > 0 || b.Visits > 0 || b.Dist > 0 || b.Time > 0 {
		d := boundsDoc(b, s)
		out.Bounds = &d
	}
	return out, nil
}

func boundsDoc(b feeding.Bounds, s units.Style) BoundsDoc {
	return BoundsDoc{b.Loads, b.Visits, b.Dist.Km(), b.Time.Min(),
		GapDoc{100 * b.Gap.Loads, 100 * b.Gap.Visits, 100 * b.Gap.Dist, 100 * b.Gap.Time}, Reasons(b.Why, s)}
}
