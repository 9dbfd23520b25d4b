package web

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// typedRow is one row of the form and what it comes to.
type typedRow struct {
	i     int
	typed season.Cells // as typed, "/" and all
	kept  string       // what was typed when it was said to be unlikely
	draft season.Drafted
	makes rowSays
}

// leftover is what stays typed after the good rows of a sheet were saved.
type leftover struct {
	sheet season.Sheet
	day   string
	rows  []typedRow
}

// key is what was typed, to know it again.
func (t *typedRow) key() string { return cellsKey(t.typed) }

func cellsKey(c season.Cells) string {
	return strings.Join([]string{c.First, c.Second, c.Way, c.Unit}, "|")
}

// bad gives what is wrong with the cells, in words.
func (t *typedRow) bad(b *Base) map[string]cellSays {
	out := map[string]cellSays{}
	for _, x := range t.draft.Trouble {
		out[x.Cell] = cellSays{b.Say(x.Say), b.sc.texts.sentence(b.S, x.Hint, nil)}
	}
	return out
}

// sheetOf reads what holds for the whole sheet.
func sheetOf(b *Base, f url.Values) (season.Sheet, error) {
	sh := season.Sheet{Way: stores.Way(f.Get("way")), Unit: f.Get("unit"), FeedUnit: b.S.VolumeSmallCol().Unit, Locale: b.S.Locale()}
	if !slices.Contains(sheetWays, sh.Way) {
		sh.Way = stores.Full
	}
	if sh.Unit != "kg" && sh.Unit != "lb" {
		sh.Unit = b.S.MassCol().Unit
	}
	day := f.Get("day")
	if strings.TrimSpace(day) == "" {
		day = b.Facts.Day().String()
	}
	d, err := season.ReadDay(day, season.OrderNotTold, b.Facts.Day())
	if err == nil && d > b.Facts.Day() {
		err = fault.New(fault.OutOfRange, "", "this day is still to come")
	}
	if err != nil {
		sh.Seen = units.OnDay(b.Facts.Day())
		return sh, err
	}
	sh.Seen = units.OnDay(d)
	return sh, nil
}

// typedRows reads and judges the rows of a form: hive.0, first.0 and so on; not
// all numbers need be there.
func (s *Server) typedRows(b *Base, sh season.Sheet, f url.Values) ([]typedRow, error) {
	var rows []typedRow
	for name := range f {
		n, ok := strings.CutPrefix(name, "hive.")
		if !ok {
			continue
		}
		i, err := strconv.Atoi(n)
		if err != nil {
			continue
		}
		at := func(cell string) string { return f.Get(cell + "." + n) }
		rows = append(rows, typedRow{i: i, kept: at("kept"), typed: season.Cells{
			Colony: f.Get(name), Way: at("way"), First: at("first"), Second: at("second"), Unit: at("unit"), Feeder: at("feeder"), Note: at("note")}})
	}
	slices.SortFunc(rows, func(a, b typedRow) int { return a.i - b.i })
	cells := make([]season.Cells, len(rows))
	for i := range rows {
		cells[i] = rows[i].typed
	}
	var made []season.Makes
	var drafts []season.Drafted
	var err error
	s.house.view(func(st *season.State, at units.Moment) {
		rows = slices.DeleteFunc(rows, func(t typedRow) bool { _, ok := st.Colony(t.typed.Colony); return !ok })
		cells = cells[:0]
		for i := range rows {
			cells = append(cells, rows[i].typed)
		}
		drafts = st.Draft(sh, cells)
		made, err = st.JudgeDraft(sh, drafts, at)
	})
	for i := range drafts {
		rows[i].draft = drafts[i]
	}
	for _, m := range made {
		rows[m.Row].makes = rowSays{Read: readAs(b, &drafts[m.Row]), Say: b.stands(&m.Short), Ask: b.says(m.Ask)}
	}
	return rows, err
}

// readAs says how a reading was understood.
func readAs(b *Base, d *season.Drafted) string {
	r := d.Reading
	switch r.Way {
	case stores.Full:
		return r.Gross.String()
	case stores.LiftOne:
		return b.T("readings.as.lift1", "Lift", r.Lift1.String())
	case stores.LiftBoth:
		return b.T("readings.as.lift2", "Lift1", r.Lift1.String(), "Lift2", r.Lift2.String())
	case stores.Hand:
		return b.T("heft." + string(r.Heft))
	}
	return b.T("way." + string(r.Way))
}
