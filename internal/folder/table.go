package folder

import (
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// table is one file of a folder: the facts of one kind.
type table struct {
	name   string // of the file, without .csv; of the sheet
	kind   string // of the facts
	what   string // for the manual
	fields []field
	setup  bool // rows without a day hold since season.toml's since
	dated  bool // the fact has a day of its own, which says when

	fresh func() any              // a pointer to a new body
	body  func(p any) any         // the body it points to
	ptr   func(v any) (any, bool) // the other way; false = not of this kind

	// finish looks at a whole row once its cells are read. It may fill in what
	// follows from other cells.
	finish func(p any, r *row) error
	// blame gives the column for what a check of the fact complains about.
	blame map[string]string
}

// row is what was met while the cells of one row were read.
type row struct {
	t       *table
	fact    *season.Fact
	set     uint64 // columns with something in them, by their place in the table
	dash    uint64 // columns with a "-"
	skipped bool   // the row says that nothing was seen
	why     string // skipped for this, to be said once for the file; "" = it needs no saying
	m       *manner
}

// has tells whether one of the columns has something in it.
func (r *row) has(names ...string) bool { return r.set&r.t.bits(names) != 0 }

// dashed tells whether one of the columns has a "-" in it.
func (r *row) dashed(names ...string) bool { return r.dash&r.t.bits(names) != 0 }

func (t *table) bits(names []string) uint64 {
	var b uint64
	for _, n := range names {
		b |= t.field(n).bit
	}
	return b
}

// inColumn is trouble with one cell.
type inColumn struct {
	name string
	text string
	err  error
}

func (e *inColumn) Error() string { return e.err.Error() }

// in blames a column of ours.
func in(name string, err error) error {
	if err == nil {
		return nil
	}
	return &inColumn{name: name, err: err}
}

func (t *table) file() string { return t.name + ".csv" }

func (t *table) needs() []string {
	var out []string
	for _, f := range t.fields {
		if f.need {
			out = append(out, f.name)
		}
	}
	return out
}

func (t *table) field(name string) *field {
	for i := range t.fields {
		if t.fields[i].name == name {
			return &t.fields[i]
		}
	}
	panic("folder: no column " + name + " in " + t.name)
}

// tableOf makes a table of columns of a body, with the columns of every table
// around them.
func tableOf[B any](name, kind, what string, cols ...col[B]) *table {
	t := &table{name: name, kind: kind, what: what,
		fresh: func() any { return new(B) },
		body:  func(p any) any { return *p.(*B) },
		ptr: func(v any) (any, bool) {
			b, ok := v.(B)
			return &b, ok
		},
	}
	t.fields = append(t.fields, seenField)
	for _, c := range cols {
		t.fields = append(t.fields, c.field())
	}
	t.fields = append(t.fields, idField, madeField, byField, replacesField)
	for i := range t.fields {
		t.fields[i].bit = 1 << i
	}
	return t
}

// ending sets what looks at a whole row.
func ending[B any](t *table, finish func(*B, *row) error) *table {
	t.finish = func(p any, r *row) error { return finish(p.(*B), r) }
	return t
}

// holding makes rows without a day hold since season.toml's since.
func (t *table) holding() *table {
	t.setup = true
	f := t.field("seen")
	f.blank = "since, of season.toml"
	return t
}

func (t *table) blaming(m map[string]string) *table { t.blame = m; return t }

var seenField = field{
	column: column{name: "seen", also: []string{"date", "day", "when", "date seen", "seen on", "day seen", "date and time"}, sort: sMoment,
		what: "when it was so; a time without an offset is in house.zone", example: "2026-09-05T17:40-04:00"},
	put:  func(f *season.Fact, _ any) string { return f.Seen.String() },
	take: func(f *season.Fact, _ any, c *cell) (err error) { f.Seen, err = c.moment(); return err },
}

var idField = field{
	column: column{name: "id", also: []string{"fact id", "uuid"}, sort: sID, rare: true,
		what: "name of the fact; leave it empty and one is made from the row", blank: "made from the row"},
	put:  func(f *season.Fact, _ any) string { return f.ID.String() },
	take: func(f *season.Fact, _ any, c *cell) (err error) { f.ID, err = c.id(); return err },
}

var madeField = field{
	column: column{name: "made", also: []string{"written", "written down"}, sort: sMoment, rare: true,
		what: "when it was written down", blank: "when it was seen"},
	put:  func(f *season.Fact, _ any) string { return f.Made.String() },
	take: func(f *season.Fact, _ any, c *cell) (err error) { f.Made, err = c.moment(); return err },
}

var byField = field{
	column: column{name: "by", also: []string{"who", "seen by"}, sort: sText, rare: true, text: true,
		what: "who saw it or wrote it down", example: "Ann"},
	put:  func(f *season.Fact, _ any) string { return f.By },
	take: func(f *season.Fact, _ any, c *cell) error { f.By = c.freeText(false); return nil },
}

var replacesField = field{
	column: column{name: "replaces", also: []string{"corrects"}, sort: sID, rare: true,
		what: "id of the fact this row corrects", blank: "none"},
	put:  func(f *season.Fact, _ any) string { return f.Replaces.String() },
	take: func(f *season.Fact, _ any, c *cell) (err error) { f.Replaces, err = c.id(); return err },
}

// someID stands for the id of a row that has none yet, while it is checked.
var someID = season.DerivedID("folder", nil, 0)

// decode reads a row. It gives all that is wrong with it, not just the first.
// The id of the fact is zero when the row has none.
func (t *table) decode(cells []string, cols []*bound, m *manner) (season.Fact, *row, []error) {
	f := season.Fact{}
	p := t.fresh()
	r := &row{t: t, fact: &f, m: m}
	var errs []error
	for _, b := range cols {
		if b.at >= len(cells) {
			continue
		}
		if err := t.takeCell(cells[b.at], b, p, r); err != nil {
			errs = append(errs, err)
		}
	}
	if r.skipped {
		return f, r, errs
	}
	errs = append(errs, t.blanks(r, errs)...)
	if len(errs) > 0 {
		return f, r, errs
	}
	if t.finish != nil {
		if err := t.finish(p, r); err != nil {
			return f, r, []error{err}
		}
		if r.skipped {
			return f, r, nil
		}
	}
	f.Body = t.body(p)
	if err := t.check(&f); err != nil {
		return f, r, []error{err}
	}
	return f, r, nil
}

// takeCell reads one cell into the row.
func (t *table) takeCell(raw string, b *bound, p any, r *row) error {
	text := strings.TrimSpace(raw)
	if text == "" {
		if raw == "" || !b.f.text {
			return nil
		}
	}
	if !b.f.text {
		switch text {
		case "-", "–", "—", "?":
			if b.f.dash && text != "?" {
				r.skipped = true
			}
			r.dash |= b.f.bit
			return nil
		}
	}
	if text != "" {
		r.set |= b.f.bit
	}
	c := &r.m.cell // one for all, so that nothing is made anew for each
	*c = cell{text: text, raw: raw, b: b, m: r.m}
	if err := b.f.take(r.fact, p, c); err != nil {
		return &inColumn{name: b.f.name, text: text, err: err}
	}
	return nil
}

// blanks tells of cells that may not be blank. A day may be when the table says
// since when its rows hold.
func (t *table) blanks(r *row, had []error) []error {
	var errs []error
	for i := range t.fields {
		f := &t.fields[i]
		if !f.need || r.set&f.bit != 0 || blamed(had, f.name) {
			continue
		}
		e := fault.Newf(fault.Missing, "", "nothing stands here").WithHint("write for example %s", f.example)
		if f.dash {
			e = fault.Newf(fault.Missing, "", "nothing stands here").WithHint("write for example %s, 0 if there was none, or - if it was not looked at", f.example)
		}
		errs = append(errs, in(f.name, e))
	}
	if !r.fact.Seen.IsZero() || blamed(had, "seen") {
		return errs
	}
	if t.setup && r.m.since != 0 {
		r.fact.Seen = units.OnDay(r.m.since)
		return errs
	}
	if t.dated {
		return errs
	}
	e := fault.New(fault.Missing, "", "it is not said when this was").WithHint("write the day, for example 2026-10-03")
	if t.setup {
		e = e.WithHint("write the day into a column seen, or since = 2026-01-01 into season.toml")
	}
	return append(errs, in("seen", e))
}

func blamed(errs []error, name string) bool {
	return slices.ContainsFunc(errs, func(e error) bool {
		c, ok := e.(*inColumn)
		return ok && c.name == name
	})
}

// check asks the season whether the fact may be kept.
func (t *table) check(f *season.Fact) error {
	none := f.ID.IsZero()
	if none {
		f.ID = someID
	}
	err := f.Check()
	if none {
		f.ID = season.ID{}
	}
	if e, ok := err.(*fault.Error); ok {
		if c := t.blame[e.Thing]; c != "" {
			return in(c, e)
		}
		return e
	}
	return err
}

// encode writes a fact as a row, with all columns of the table.
func (t *table) encode(f *season.Fact) ([]string, bool) {
	p, ok := t.ptr(f.Body)
	if !ok {
		return nil, false
	}
	out := make([]string, len(t.fields))
	for i := range t.fields {
		c := &t.fields[i]
		s := c.put(f, p)
		if c.text {
			s = guard(valid(s))
		}
		out[i] = s
	}
	return out, true
}
