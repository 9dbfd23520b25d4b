package sheet

import (
	"strconv"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// FanOf makes the picture of what one colony is likely to have until forage. Scale
// is shared by the fans of a page.
func FanOf(w *season.Wintering, scale Scale, s units.Style, t Catalogue) Drawing {
	f := Fan{Start: w.Fan.From, Middle: w.Fan.Stores[3], Line: w.Fan.Reserve.Kg(), Word: t("chart.fan.line"), Scale: scale, Style: s,
		Marks: []DayMark{{Day: w.Forage.Day, Say: t("chart.fan.forage")}}}
	// The quantiles come as 5, 10, 25, 50, 75, 90 and 95 %.
	for i, share := range [...]float64{0.9, 0.8, 0.5} {
		f.Bands = append(f.Bands, Band{Share: share, Low: w.Fan.Stores[i], High: w.Fan.Stores[6-i]})
	}
	chance := s.Percent(w.Fan.ShortAtAll())
	if w.Fan.RunsShortOn != 0 {
		f.Title = t("chart.fan.low", "Hive", w.Colony.ID, "Day", s.Date(w.Fan.RunsShortOn), "Chance", chance)
	} else {
		f.Title = t("chart.fan.lasts", "Hive", w.Colony.ID, "Day", s.Date(w.Forage.Day), "Chance", chance)
	}
	f.Desc = t("chart.fan.desc")
	return f.Draw()
}

// WinterList makes the list of whom to heft, in that order, with boxes for what is
// found: of one yard, or of all ("" = all). Faults: fault.Missing where no living
// colony stands.
func WinterList(s *Source, yard string) (Doc, error) {
	name := s.T("sheets.winter.all")
	if yard != "" {
		y, err := s.yard(yard)
		if err != nil {
			return Doc{}, err
		}
		name = y.Name
	}
	d := s.doc("winter", name)
	mass := s.Style.MassCol()
	box := Col{Sub: mass.Unit, Kind: Digits, Pattern: s.digits()}
	left, right := box, box
	left.Head, right.Head = s.T("sheets.col.side1"), s.T("sheets.col.side2")
	t := Table{Least: 5.8, Most: 9, PerPage: perYardPage, Cols: []Col{
		{Head: s.T("sheets.col.row"), Kind: Number, Wide: 7, Small: true},
		{Head: s.T("sheets.col.hive"), Big: true, Fit: true, Wide: 15, Most: 38},
		{Head: s.T("sheets.col.last"), Sub: mass.Unit, Kind: Number, Wide: 20},
		{Head: s.T("sheets.col.low"), Small: true, Wide: 22},
		left, right,
		{Head: s.T("sheets.col.fed"), Sub: mass.Unit, Kind: Blank, Wide: 15},
		{Head: s.T("sheets.col.alive"), Kind: Choices, Words: []string{s.T("sheets.alive"), s.T("sheets.dead")}},
		{Head: s.T("sheets.col.notes"), Small: true},
	}}
	matter := []string{"winter", yard, s.At.Day().String()}
	for i := range s.Winter.Rows {
		w := &s.Winter.Rows[i]
		if yard != "" && w.Colony.Yard != yard {
			continue
		}
		matter = append(matter, w.Colony.ID)
		last, low, note := "?", s.T("sheets.winter.unknown"), ""
		if e := w.Stores(); e.Known {
			last = mass.PM(units.Mass(e.Mean), units.Mass(e.SD))
		}
		if d, ok := w.ShortOn(); ok {
			low = s.T("sheets.winter.lasts")
			if d != 0 {
				low = s.Style.Date(d)
			}
		}
		if w.Lack > 0 {
			note = s.T("sheets.winter.lack", "Kg", s.Style.Mass(w.Lack))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: strconv.Itoa(len(t.Rows) + 1)}, {Say: w.Colony.ID}, {Say: last}, {Say: low}, {}, {}, {}, {}, {Say: note}}})
	}
	if len(t.Rows) == 0 {
		return Doc{}, fault.New(fault.Missing, yard, "no living colony stands in this yard").WithHint("see Yards and hives")
	}
	d.Code = code(name, matter...)
	d.File = FileName("winter", yard, s.At.Day().String())
	d.Head = []Field{s.field("hives", strconv.Itoa(len(t.Rows)))}
	d.Cautions = s.cautions("cold", "sting")
	d.Parts = []Part{t, Write{[][]Field{{s.field("write.day", ""), s.field("write.who", ""), s.field("write.scale", ""), s.field("write.weather", "")}}}}
	d.Foot = []string{s.T("sheets.winter.how"), s.T("sheets.heft.home", "Page", s.T("nav.readings"), "Yard", name, "Code", d.Code)}
	return d, nil
}
