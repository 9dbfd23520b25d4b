package season

import (
	"errors"
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
)

// row reads one row of the table.
func (r *pasteReader) row(i int, cells []string) PasteRow {
	out := PasteRow{N: r.p.First + i}
	cell := func(f Field) (string, int) {
		k := slices.Index(r.p.Fields, f)
		if k < 0 || k >= len(cells) {
			return "", k
		}
		return strings.TrimSpace(cells[k]), k
	}
	out.Name, _ = cell(FieldHive)
	if out.Name == "" {
		out.Fate = FateBlank
		if strings.TrimSpace(strings.Join(cells, "")) != "" {
			out.bad(r, slices.Index(r.p.Fields, FieldHive), fault.New(fault.Missing, "", "the name of the hive is missing"))
		}
		return out
	}
	c, way, from := r.cells(cell)
	if way == "" {
		// Judged before the day, so that empty rows of a template are no trouble.
		out.Colony, out.Fate = r.colony[out.Name], FateBlank
		return out
	}
	if out.Colony = r.colony[out.Name]; out.Colony == "" {
		out.Fate = FateName
		return out
	}
	c.Colony = out.Colony
	day, k := cell(FieldDate)
	if err := r.day(&out, day, k); err != nil {
		out.bad(r, k, err)
		return out
	}
	if way == manyWays {
		out.bad(r, from[CellFirst], fault.New(fault.Conflict, "", "the row has more than one kind of reading").WithHint("leave one of these columns out, or paste them one after the other"))
		return out
	}
	s := Sheet{Way: stores.Way(way), Unit: r.out.Unit, FeedUnit: r.p.FeedUnit, Seen: out.Seen, Locale: r.p.Locale}
	if k := from[CellFirst]; k >= 0 && k < len(r.out.Columns) && r.out.Columns[k].Decimal != 0 {
		s.Locale.Decimal = r.out.Columns[k].Decimal
	}
	out.Draft = r.st.draftRow(s, c)
	r.judge(&out, from)
	return out
}

const manyWays = "many"

// cells puts a row of the table into the cells of a sheet and tells the way
// from what is there. from is the column each cell came from.
func (r *pasteReader) cells(cell func(Field) (string, int)) (c Cells, way string, from map[string]int) {
	from = map[string]int{CellFirst: -1}
	c.Note, from[CellNote] = cell(FieldNote)
	c.Feeder, from[CellFeeder] = cell(FieldFeeder)
	c.Unit, from[CellWay] = cell(FieldUnit)
	ways := []struct {
		f   Field
		way stores.Way
	}{{FieldWeight, stores.Full}, {FieldLift1, stores.LiftOne}, {FieldFrames, stores.Frames}, {FieldHeft, stores.Hand}}
	for _, w := range ways {
		text, k := cell(w.f)
		if notReadWords[text] {
			continue
		}
		if way != "" {
			return c, manyWays, from
		}
		way, c.First, from[CellFirst] = string(w.way), text, k
	}
	if text, k := cell(FieldLift2); !notReadWords[text] {
		c.Second, from[CellSecond] = text, k
		if way == string(stores.LiftOne) || way == "" {
			way = string(stores.LiftBoth)
		}
	}
	if way == "" && !notReadWords[c.Feeder] {
		way = string(stores.Full) // a look into the feeder alone
	}
	return c, way, from
}

// day reads when the row was so.
func (r *pasteReader) day(out *PasteRow, text string, column int) error {
	d := r.p.Day
	if column >= 0 {
		var err error
		if d, err = ReadDay(text, r.out.Order, r.p.Today); err != nil {
			return err
		}
	}
	if d > r.p.Today {
		return fault.New(fault.OutOfRange, "", "this day is still to come")
	}
	if d == 0 {
		return fault.New(fault.Missing, "", "the day of these readings is not told")
	}
	out.Seen = units.OnDay(d)
	return nil
}

// judge decides what becomes of a row that was read.
func (r *pasteReader) judge(out *PasteRow, from map[string]int) {
	switch d := &out.Draft; {
	case len(d.Trouble) > 0:
		out.Fate = FateBad
		for _, t := range d.Trouble {
			k, ok := from[t.Cell]
			t.Cell = ""
			if ok && k >= 0 && k < len(r.out.Columns) {
				t.Cell = r.out.Columns[k].Head
			}
			out.Why = append(out.Why, t)
		}
	case len(d.Bodies) == 0:
		out.Fate = FateBlank
	case r.known(out):
		out.Fate = FateSame
	default:
		out.Fate = FateTake
		k := takenOn{out.Colony, out.Seen.Day()}
		r.taken[k] = append(r.taken[k], d.Bodies...)
	}
}

// known tells whether all that a row says is kept already, or stands in a row
// above.
func (r *pasteReader) known(out *PasteRow) bool {
	here := r.pasted(out)
	for _, b := range out.Draft.Bodies {
		if !slices.ContainsFunc(here, func(h any) bool { return saysSame(h, b) }) {
			return false
		}
	}
	return true
}

// pasted gives what is known of the hive on that day, kept or in rows above.
func (r *pasteReader) pasted(out *PasteRow) []any {
	here := slices.Clone(r.taken[takenOn{out.Colony, out.Seen.Day()}])
	if c, ok := r.st.Colony(out.Colony); ok {
		for _, f := range c.Events {
			if f.Seen.Day() == out.Seen.Day() {
				here = append(here, f.Body)
			}
		}
	}
	return here
}

func saysSame(a, b any) bool {
	switch x := a.(type) {
	case stores.Reading:
		y, ok := b.(stores.Reading)
		return ok && same(x, y)
	case ledger.Left:
		y, ok := b.(ledger.Left)
		return ok && x.Volume.Q == y.Volume.Q
	case apiary.Look:
		y, ok := b.(apiary.Look)
		return ok && x == y
	case apiary.Ended:
		y, ok := b.(apiary.Ended)
		return ok && x.State == y.State
	}
	return false
}

// bad says what is wrong with a row, by the head of its column.
func (p *PasteRow) bad(r *pasteReader, column int, err error) {
	p.Fate = FateBad
	head := ""
	if column >= 0 && column < len(r.out.Columns) {
		head = r.out.Columns[column].Head
	}
	var e *fault.Error
	if !errors.As(err, &e) {
		e = &fault.Error{Say: err.Error()}
	}
	p.Why = append(p.Why, CellTrouble{Cell: head, Say: feeding.Reason{Code: e.Kind.String(), Say: e.Say}, Hint: e.Hint})
}
