package sheet

import (
	"math"
	"strconv"

	"larder/internal/season"
	"larder/internal/units"
)

// Shopping makes the list of what the plan needs bought: sugar in whole sacks,
// rounded up, less what is in the shed, and feeders for colonies that have none.
// Fault: fault.Missing without a plan.
func Shopping(s *Source) (Doc, error) {
	if s.Plan == nil {
		return Doc{}, s.noPlan()
	}
	st, tot := s.Style, &s.Plan.Totals
	d := s.doc("shopping", s.T("sheets.shopping.name"))
	d.When = st.DayYear(s.At.Day())
	d.Code = code(s.T("sheets.shopping.letter"), "shopping", tot.Sugar.String(), s.sack().String(), s.At.Day().String())
	d.File = FileName("shopping", s.At.Day().String())
	d.Head = []Field{s.field("makes", s.rounded(st.VolumeBig(tot.Syrup))), s.field("syrup", st.StrengthFull(s.Plan.Strength)),
		s.field("batches", strconv.Itoa(len(s.Plan.Batches)))}
	t := Table{Least: 12, Most: 12, Cols: []Col{
		{Head: s.T("sheets.col.item"), Big: true, Share: 2},
		{Head: s.T("sheets.col.needed"), Kind: Number, Fit: true, Wide: 24, Most: 40},
		{Head: s.T("sheets.col.shed"), Kind: Number, Fit: true, Wide: 24, Most: 40},
		{Head: s.T("sheets.col.buy"), Kind: Number, Big: true, Fit: true, Wide: 28, Most: 60},
		{Head: s.T("sheets.col.done"), Kind: Check, Wide: 14},
	}}
	buy := s.State.ToBuy(s.Plan, s.sack(), s.At)
	sacks := buy.Sacks
	num, unit := split(s.T("sheets.sacks", "N", sacks, "Sack", st.Mass(s.sack())))
	t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: s.T("sheets.item.sugar"), Small: s.T("sheets.item.sugar.note", "Mass", st.Mass(units.Mass(sacks)*s.sack()))},
		{Say: s.rounded(st.Mass(tot.Sugar))}, {Say: st.Mass(buy.OnHand)}, {Say: num, Unit: unit}, {}}})
	if n := withoutFeeder(s.Plan); n > 0 {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: s.T("sheets.item.feeders"), Small: s.T("sheets.item.feeders.note")}, {Say: strconv.Itoa(n)}, {}, {Say: strconv.Itoa(n)}, {}}})
	}
	for range 4 {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{}, {}, {}, {}, {}}})
	}
	d.Parts = []Part{t}
	if buy.Untold > 0 {
		d.Parts = append(d.Parts, Para{Say: s.T("sheets.shopping.untold", "Mass", st.Mass(buy.Untold))})
	}
	if !buy.Price.IsZero() {
		d.Parts = append(d.Parts, Para{Say: s.T("sheets.shopping.price", "Money", st.Money(buy.Price))})
	}
	d.Parts = append(d.Parts, Write{[][]Field{
		{s.field("write.supplier", ""), s.field("write.lot", "")},
		{s.field("write.best-before", ""), s.field("write.paid", "")},
	}})
	d.Foot = []string{s.T("sheets.shopping.note")}
	return d, nil
}

// Sacks gives how many whole sacks hold m, rounded up.
func Sacks(m, sack units.Mass) int {
	if !(sack > 0) || !(m > 0) {
		return 0
	}
	return int(math.Ceil(float64(m/sack) - 1e-9)) // a grain over a full sack is the rounding of a sum
}

// withoutFeeder counts the colonies that need syrup and have no feeder on.
func withoutFeeder(p *season.Planned) int {
	n := 0
	for _, u := range p.Unmet {
		for _, r := range u.Why {
			if r.Code == "no-feeder" {
				n++
				break
			}
		}
	}
	return n
}
