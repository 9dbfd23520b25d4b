package sheet

import (
	"strconv"

	"larder/internal/fault"
	"larder/internal/units"
)

// HeftSheet makes a sheet for weighing and looking only: every living colony of
// a yard in walking order, room for a lift on each side, what is in the feeder
// and frames of bees. It needs no plan. Faults: fault.NotFound, fault.Missing
// where no colony stands there.
func HeftSheet(s *Source, yard string) (Doc, error) {
	y, err := s.yard(yard)
	if err != nil {
		return Doc{}, err
	}
	shorts := s.inYard(yard)
	if len(shorts) == 0 {
		return Doc{}, fault.New(fault.Missing, yard, "no living colony stands in this yard").WithHint("see Yards and hives")
	}
	d := s.doc("heft", y.Name)
	matter := []string{"heft", yard, s.At.Day().String()}
	mass := s.Style.MassCol()
	digits := Col{Sub: mass.Unit, Kind: Digits, Pattern: s.digits()}
	left, right := digits, digits
	left.Head, right.Head = s.T("sheets.col.side1"), s.T("sheets.col.side2")
	t := Table{Least: 5.8, Most: 9, PerPage: perYardPage, Cols: []Col{
		{Head: s.T("sheets.col.row"), Kind: Number, Wide: 7, Small: true},
		{Head: s.T("sheets.col.hive"), Big: true, Fit: true, Wide: 15, Most: 38},
		{Head: s.T("sheets.col.last"), Sub: mass.Unit, Kind: Number, Wide: 20},
		{Head: s.T("sheets.col.read"), Small: true, Wide: 16},
		left, right,
		{Head: s.T("sheets.col.feeder"), Kind: Choices, Words: []string{"0", "½", s.T("sheets.full")}},
		{Head: s.T("sheets.col.bees"), Kind: Blank, Wide: 15},
		{Head: s.T("sheets.col.notes"), Kind: Blank, Small: true},
	}}
	for i, x := range shorts {
		matter = append(matter, x.Colony.ID)
		last, read := "?", ""
		if e := x.Stores(); e.Known {
			last = mass.PM(units.Mass(e.Mean), units.Mass(e.SD))
		}
		if !x.ReadAt.IsZero() {
			read = s.Style.Date(x.ReadAt.Day())
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: strconv.Itoa(i + 1)}, {Say: x.Colony.ID}, {Say: last}, {Say: read}, {}, {}, {}, {}, {}}})
	}
	d.Code = code(y.Name, matter...)
	d.File = FileName("heft", yard, s.At.Day().String())
	d.Head = []Field{s.field("hives", strconv.Itoa(len(shorts)))}
	if y.Access != "" {
		d.Head = append(d.Head, s.field("access", y.Access))
	}
	d.Cautions = s.cautions("sting")
	d.Parts = []Part{t, Write{[][]Field{{s.field("write.day", ""), s.field("write.who", ""), s.field("write.scale", ""), s.field("write.weather", "")}}}}
	d.Foot = []string{s.T("sheets.heft.how"), s.T("sheets.heft.home", "Page", s.T("nav.readings"), "Yard", y.Name, "Code", d.Code)}
	return d, nil
}
