package season

import (
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/stores"
	"larder/internal/units"
)

// Field is what a column of a pasted table holds.
type Field string

// The fields. The empty Field is a column that is not taken.
const (
	FieldNone   Field = ""
	FieldHive   Field = "hive"
	FieldDate   Field = "date"
	FieldWeight Field = "weight"
	FieldUnit   Field = "unit"
	FieldLift1  Field = "lift1"
	FieldLift2  Field = "lift2"
	FieldFrames Field = "frames"
	FieldHeft   Field = "heft"
	FieldFeeder Field = "feeder"
	FieldNote   Field = "note"
)

// Fields lists what a column may be taken for, in the order of the screen.
var Fields = []Field{FieldHive, FieldDate, FieldWeight, FieldUnit, FieldLift1, FieldLift2, FieldFrames, FieldHeft, FieldFeeder, FieldNote, FieldNone}

// What may be done with a name that is no hive of ours. Anything else is the
// name of the hive it stands for.
const (
	NameLeave = ""
	NameNew   = "\x00new"
)

// Paste is a table from a spreadsheet, cut into cells, with what the keeper
// decided about it. Zero fields are worked out.
type Paste struct {
	Head  []string   // the head of the table; nil = it has none
	Rows  [][]string // below the head
	First int        // number of Rows[0] as the spreadsheet counts

	Fields   []Field           // of the columns; nil = guessed
	Unit     string            // of weights without one; "" = as the head says, else Usual
	Usual    string            // the unit the keeper thinks in
	FeedUnit string            // of volumes without one
	Order    DayOrder          // of days in digits; not told = as the column shows
	Day      units.Day         // for a table without days
	Today    units.Day         // no reading is later than this
	Locale   units.Locale      // of the keeper; a column of numbers may show another decimal mark
	Names    map[string]string // by the name as it stands in the table: see NameNew

	NewYard  string     // where new hives stand; made if it is not known
	NewStack hive.Stack // what they are made of
	NewFeed  string     // the feeder on them; "" = none
}

// PasteColumn is a column as it will be taken.
type PasteColumn struct {
	Head    string
	Field   Field
	Unit    string // of a weight: what the head says, "" = nothing
	Decimal rune   // of its numbers; 0 = it has none, or none with decimals
	Sure    bool   // the column itself shows its decimal mark
}

// PasteFate is what becomes of a row.
type PasteFate string

// The fates.
const (
	FateTake  PasteFate = "take"  // kept
	FateSame  PasteFate = "same"  // known already, to the letter: passed over
	FateBad   PasteFate = "bad"   // cannot be read
	FateName  PasteFate = "name"  // its hive is not known, and it is left
	FateBlank PasteFate = "blank" // nothing was read
)

// PasteRow is one row and what becomes of it.
type PasteRow struct {
	N      int    // as the spreadsheet counts
	Name   string // of the hive, as it stands there
	Colony string
	Seen   units.Moment
	Fate   PasteFate
	Draft  Drafted
	Why    []CellTrouble // FateBad: Cell is the head of the column
}

// PasteName is a name that is no hive of ours.
type PasteName struct {
	Name   string
	Rows   int      // with this name
	Near   []string // hives with a name like it
	Choice string   // NameNew, NameLeave or a hive
}

// PasteRead is a table as it will be kept.
type PasteRead struct {
	Columns  []PasteColumn
	Rows     []PasteRow
	Names    []PasteName
	NewYard  apiary.Yard     // yard that will be made; no id = none
	New      []apiary.Placed // hives that will be made
	Unit     string
	Order    DayOrder
	AskOrder bool    // days could be read in two ways: the keeper must say
	Twice    []Field // more than one column is to hold this: the first is taken
	NoHive   bool    // no column holds the hives
	NoRead   bool    // no column holds a reading
	Fates    map[PasteFate]int
}

// SeenBody is a fact to be: what, and when it was so.
type SeenBody struct {
	Seen units.Moment
	Body any
}

// Bodies gives what would be kept, a new yard and new hives first.
func (p *PasteRead) Bodies() []SeenBody {
	var out []SeenBody
	first := p.firstDays()
	for i, n := range p.New {
		if i == 0 && p.NewYard.ID != "" {
			out = append(out, SeenBody{first[n.Colony.ID], p.NewYard})
		}
		out = append(out, SeenBody{first[n.Colony.ID], n})
	}
	for i := range p.Rows {
		if r := &p.Rows[i]; r.Fate == FateTake {
			for _, b := range r.Draft.Bodies {
				out = append(out, SeenBody{r.Seen, b})
			}
		}
	}
	return out
}

// firstDays gives the day each hive of the table is first heard of.
func (p *PasteRead) firstDays() map[string]units.Moment {
	first := map[string]units.Moment{}
	for i := range p.Rows {
		r := &p.Rows[i]
		if old, ok := first[r.Colony]; r.Fate == FateTake && (!ok || r.Seen.Compare(old) < 0) {
			first[r.Colony] = r.Seen
		}
	}
	return first
}

// ReadPaste works out what a pasted table comes to. Nothing of it is kept.
func (st *State) ReadPaste(p Paste) PasteRead {
	out := PasteRead{Fates: map[PasteFate]int{}}
	if p.Fields == nil {
		p.Fields = st.guessFields(p)
	}
	out.Columns = columnsOf(p)
	out.Unit = unitOf(p, out.Columns)
	out.Order, out.AskOrder = p.Order, false
	if i := slices.Index(p.Fields, FieldDate); i >= 0 && p.Order == OrderNotTold {
		out.Order, out.AskOrder = OrderOfDays(columnCells(p.Rows, i))
	}
	for i, f := range p.Fields {
		if f != FieldNone && slices.Index(p.Fields, f) < i && !slices.Contains(out.Twice, f) {
			out.Twice = append(out.Twice, f)
		}
	}
	out.NoHive = !slices.Contains(p.Fields, FieldHive)
	out.NoRead = !slices.ContainsFunc(p.Fields, func(f Field) bool {
		return f == FieldWeight || f == FieldLift1 || f == FieldFrames || f == FieldHeft || f == FieldFeeder
	})
	r := pasteReader{st: st, p: &p, out: &out, byKey: st.namesByKey(), living: st.keyed(), taken: map[takenOn][]any{}, made: map[string]string{}}
	r.names()
	r.placeNew()
	for i, cells := range p.Rows {
		out.Rows = append(out.Rows, r.row(i, cells))
	}
	r.dropUnused()
	for i := range out.Rows {
		out.Fates[out.Rows[i].Fate]++
	}
	return out
}

func columnCells(rows [][]string, i int) []string {
	out := make([]string, 0, len(rows))
	for _, r := range rows {
		if i < len(r) {
			out = append(out, r[i])
		}
	}
	return out
}

// pasteReader reads the rows of one table.
type pasteReader struct {
	st     *State // with the new hives in it
	p      *Paste
	out    *PasteRead
	byKey  map[string][]string
	colony map[string]string // name in the table → hive, "" = left
	order  []string
	taken  map[takenOn][]any // of rows above
	living []keyed           // hives to suggest
	made   map[string]string // new hives by the key of their name
}

type takenOn struct {
	colony string
	day    units.Day
}

// suggestFor is for how many unknown names like ones are looked up: a table
// with more is of another house.
const suggestFor = 100

// names finds the hive of each name, and lists the names without one.
func (r *pasteReader) names() {
	r.colony = map[string]string{}
	at := slices.Index(r.p.Fields, FieldHive)
	if at < 0 {
		return
	}
	count := map[string]int{}
	for _, name := range columnCells(r.p.Rows, at) {
		name = strings.TrimSpace(name)
		if name == "" {
			continue
		}
		if count[name]++; count[name] == 1 {
			r.order = append(r.order, name)
		}
	}
	empty := len(r.st.colonies) == 0
	for _, name := range r.order {
		if id, ok := r.matches(name); ok {
			r.colony[name] = id
			continue
		}
		n := PasteName{Name: name, Rows: count[name]}
		if len(r.out.Names) < suggestFor {
			n.Near = r.near(name)
		}
		choice, said := r.p.Names[name]
		switch _, there := r.st.Colony(choice); {
		case !said && empty:
			n.Choice = NameNew
		case said && (choice == NameNew || there):
			n.Choice = choice
		}
		if n.Choice == NameNew {
			r.colony[name] = r.newID(name)
		} else {
			r.colony[name] = n.Choice
		}
		r.out.Names = append(r.out.Names, n)
	}
}

// newID gives the name a new hive gets: as it stands in the table, spaces put
// in order. Names of the same key are one new hive.
func (r *pasteReader) newID(name string) string {
	id := strings.Join(strings.Fields(name), " ")
	if other, ok := r.made[NameKey(id)]; ok {
		return other
	}
	r.made[NameKey(id)] = id
	kind := apiary.KindOf(r.p.NewStack, hive.Default())
	r.out.New = append(r.out.New, apiary.Placed{Colony: apiary.Colony{ID: id, Yard: r.p.NewYard, Kind: kind, Stack: r.p.NewStack, Feeder: r.p.NewFeed}})
	return id
}

// placeNew gives new hives their stands and supposes them to be there, so that
// their frames can be read.
func (r *pasteReader) placeNew() {
	if _, ok := r.st.Yard(r.p.NewYard); !ok {
		r.out.NewYard = apiary.Yard{ID: r.p.NewYard, Name: r.p.NewYard}
	}
	last := 0
	for _, c := range r.st.colonies {
		if c.Yard == r.p.NewYard {
			last = max(last, c.Stand)
		}
	}
	var facts []Fact
	for i := range r.out.New {
		n := &r.out.New[i]
		n.Colony.Stand = last + i + 1
		f := Fact{Seen: units.OnDay(r.p.Today), Body: *n}
		id, err := f.Derive(0)
		if err != nil {
			continue
		}
		f.ID = id
		facts = append(facts, f)
	}
	if st, err := r.st.Suppose(facts...); err == nil {
		r.st = st
	}
}

// dropUnused takes out new hives of which no row is kept.
func (r *pasteReader) dropUnused() {
	first := r.out.firstDays()
	r.out.New = slices.DeleteFunc(r.out.New, func(n apiary.Placed) bool { return first[n.Colony.ID].IsZero() })
}

// same tells whether two readings say the same of a colony.
func same(a, b stores.Reading) bool {
	return a.Way == b.Way && a.Gross.Q == b.Gross.Q && a.Lift1.Q == b.Lift1.Q && a.Lift2.Q == b.Lift2.Q && a.Heft == b.Heft &&
		slices.Equal(a.Frames, b.Frames) && a.InFeeder == b.InFeeder && a.About == b.About
}

// UsualHive gives the woodenware and feeder that most living hives of a yard
// have, or of all yards where that one has none; ok is false without any.
func (st *State) UsualHive(yard string) (stack hive.Stack, feeder string, ok bool) {
	type make struct{ stack, feeder string }
	count := map[make]int{}
	var best *Colony
	for _, only := range []bool{true, false} {
		for _, c := range st.Colonies() {
			if c.State != apiary.Alive || only && c.Yard != yard || len(c.Stack.Boxes) == 0 {
				continue
			}
			k := make{c.Stack.Bare().String(), c.Feeder}
			if count[k]++; best == nil || count[k] > count[make{best.Stack.Bare().String(), best.Feeder}] {
				best = c
			}
		}
		if best != nil {
			return best.Stack.Bare(), best.Feeder, true
		}
	}
	return hive.Stack{}, "", false
}
