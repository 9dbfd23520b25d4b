package sheet

import (
	"strconv"

	"larder/internal/rig"
	"larder/internal/units"
)

// dipLines is the most lines of a dip chart: as many as fit on one page of
// either paper, in columns side by side.
const (
	dipLines   = 112
	dipColumns = 4
)

// DipChart makes the dip chart of the tank: what is in it for each dip of the
// stick, in the keeper's units, to hang beside the tank. It holds for level
// ground. A tank that was not described is fault.Missing.
func DipChart(s *Source) (Doc, error) {
	st := s.Style
	rows, step, err := s.State.DipChart(dipLines)
	if err != nil {
		return Doc{}, err
	}
	last := rows[len(rows)-1]
	tank := s.State.Settings.Rig.Tank
	d := s.doc("dip", s.State.Settings.Truck)
	matter := []string{"dip", step.String()}
	for _, r := range rows {
		matter = append(matter, r.Dip.String(), r.Contents.String())
	}
	d.Code = code(s.T("sheets.dip.letter"), matter...)
	d.File = FileName("dip-chart", s.State.Settings.Truck)
	d.Head = []Field{s.field("dip.full", st.VolumeBig(last.Contents)), s.field("dip.deep", st.Length(last.Dip)), s.field("dip.step", st.Length(step)),
		s.field("dip.heel", st.VolumeBig(tank.Heel))}
	d.Cautions = s.cautions("axle")
	how := s.T("sheets.dip.sizes")
	if len(tank.Strap) > 0 {
		how = s.T("sheets.dip.bucket")
	}
	mid := rows[len(rows)/2]
	d.Parts = []Part{Para{Say: s.T("sheets.dip.level")}, Para{Say: how + " " + s.T("sheets.dip.spread", "Spread", st.VolumeTwo(mid.SD))}, s.dipTable(rowsOf(st, rows))}
	d.Foot = []string{s.T("sheets.dip.home", "Code", d.Code)}
	return d, nil
}

// dipRow is one line in words.
type dipRow struct {
	dip, holds string
	full       bool
}

// rowsOf writes the lines: tenths of a gallon or whole litres, which is as fine
// as a dip is good for.
func rowsOf(st units.Style, rows []rig.ChartRow) []dipRow {
	col := st.VolumeCol()
	if st.System == units.Metric {
		col = st.VolumeBigCol()
	}
	out := make([]dipRow, len(rows))
	for i, r := range rows {
		out[i] = dipRow{st.Length(r.Dip), col.Num(r.Contents), r.TooFull}
	}
	return out
}

func (s *Source) dipTable(rows []dipRow) Table {
	_, gallon := split(s.Style.VolumeBig(40 * units.USGallon))
	t := Table{Least: 5.4}
	for range dipColumns {
		t.Cols = append(t.Cols, Col{Head: s.T("sheets.dip.col.dip"), Kind: Number, Share: 1},
			Col{Head: s.T("sheets.dip.col.holds"), Sub: gallon, Kind: Number, Share: 1}, Col{Wide: 8})
	}
	per := (len(rows) + dipColumns - 1) / dipColumns
	for i := range per {
		var cells []Cell
		for c := range dipColumns {
			k := c*per + i
			if k >= len(rows) {
				cells = append(cells, Cell{}, Cell{}, Cell{})
				continue
			}
			full := ""
			if rows[k].full {
				full = s.T("sheets.dip.toofull")
			}
			cells = append(cells, Cell{Say: rows[k].dip}, Cell{Say: rows[k].holds}, Cell{Say: full})
		}
		t.Rows = append(t.Rows, Row{Cells: cells})
	}
	t.Caption = s.T("sheets.dip.caption", "N", strconv.Itoa(len(rows)))
	return t
}
