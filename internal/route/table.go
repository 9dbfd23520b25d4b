package route

import (
	"encoding/csv"
	"errors"
	"io"
	"strconv"
	"strings"
	"unicode"

	"larder/internal/fault"
	"larder/internal/units"
)

// Form is a shape in which a table of ways comes.
type Form string

// The forms that are read.
const (
	Rows   Form = "rows"   // a table with a row for each way: from,to,km,min
	Square Form = "square" // one row and one column for each place, the unit in the corner
	Engine Form = "engine" // a routing engine's matrix: JSON with durations (s) and distances (m)
)

// Sizes beyond which a table is not looked at. A matrix of the most places is
// 40,000 ways, which a book takes in seconds.
const (
	MaxTableBytes = 16 << 20
	MaxPlaces     = 200
)

// TableOptions is what the keeper says about a table beside the table itself.
type TableOptions struct {
	File string // its name, for what is said about it
	// In are the units of numbers whose unit the table does not say: one of km,
	// mi, m and one of min, s, h. Never more is taken for granted.
	In []string
	// Places names the places of a table that does not, in its order.
	Places []string
	Locale units.Locale
}

// Spot is one place of a table.
type Spot struct {
	Name     string // "" = the table does not say which place it is
	Near     string // what the table calls it otherwise: a street
	HasPlace bool
	Lat, Lon float64 // degrees
}

// TableLeg is one way of a table; zero is not known, unless HasDist or HasTime.
type TableLeg struct {
	From, To         int // of Table.From and Table.To
	Dist             units.Length
	Time             units.Duration
	HasDist, HasTime bool
}

// TableColumn is what a column, or a whole square, was taken for.
type TableColumn struct {
	Head string
	As   string // "from", "to", "distance", "time", "" = passed over
	Unit string // of its bare numbers; "" = each says its own
	Told bool   // the unit is the keeper's word, not the table's
}

// What a table may leave open, for those who ask the keeper about it.
const (
	SayNoNames = "the table does not name its places"
	SayNoKind  = "the table does not say whether it holds distances or driving times"
)

// Note is what has to be known of a table beside its numbers.
type Note struct {
	Code    string
	Say     string
	Amounts []any
}

// Table is a table of ways as it was read. Nothing is in it that the table, or
// the keeper's word, does not say.
type Table struct {
	Form     Form
	From, To []Spot // rows and columns; the same list where the table has one
	Legs     []TableLeg
	Columns  []TableColumn
	Notes    []Note
}

// ReadTable reads a table of ways: a CSV with a row for each way or a square
// one, or a routing engine's matrix JSON. Ways may differ by direction. Refused
// with a sentence and never guessed: numbers whose unit is not said, places that
// are not named, a way told twice with two lengths, amounts that are no way of a
// feeding round. Faults: fault.Missing where the keeper has to say something
// more, fault.NotUnderstood, fault.Conflict, fault.OutOfRange.
func ReadTable(text string, o TableOptions) (Table, error) {
	if len(text) > MaxTableBytes {
		return Table{}, fault.Newf(fault.OutOfRange, o.File, "%d MB is too large for a table of distances", len(text)>>20)
	}
	t := &tableReader{o: o, seen: map[[2]int]int{}}
	for _, u := range o.In {
		switch {
		case lengthUnits[u] != "" && t.dist == "":
			t.dist = lengthUnits[u]
		case timeUnits[u] != "" && t.time == "":
			t.time = timeUnits[u]
		default:
			return Table{}, fault.Newf(fault.NotUnderstood, o.File, "%q is not a unit of a way, or a second one", u).WithHint("one of km, mi, m and one of min, s, h")
		}
	}
	text = strings.TrimPrefix(text, "\ufeff")
	var err error
	if strings.HasPrefix(strings.TrimSpace(text), "{") {
		err = t.engine(text)
	} else {
		err = t.csv(text)
	}
	if err == nil && len(t.out.Legs) == 0 {
		err = fault.New(fault.Missing, o.File, "there is no distance and no driving time in this table")
	}
	if err != nil {
		return Table{}, placeFault(err, o.File)
	}
	return t.out, nil
}

// placeFault says in which file it was, where that is not said.
func placeFault(err error, file string) error {
	var e *fault.Error
	if errors.As(err, &e) && e.Thing == "" && file != "" {
		x := *e
		x.Thing = file
		return &x
	}
	return err
}

type tableReader struct {
	o          TableOptions
	dist, time string // units told
	out        Table
	seen       map[[2]int]int // where a way stands in out.Legs
	blank      int
}

// The units a way is told in, by how people write them.
var lengthUnits = map[string]string{"km": "km", "kilometer": "km", "kilometers": "km", "kilometre": "km", "kilometres": "km", "kilómetros": "km",
	"mi": "mi", "mile": "mi", "miles": "mi", "millas": "mi", "m": "m", "meter": "m", "meters": "m", "metre": "m", "metres": "m", "metros": "m"}

var timeUnits = map[string]string{"min": "min", "mins": "min", "minute": "min", "minutes": "min", "minutos": "min",
	"s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "segundos": "s", "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "horas": "h"}

var headWords = map[string]string{"from": "from", "origin": "from", "start": "from", "desde": "from", "origen": "from",
	"to": "to", "destination": "to", "end": "to", "hasta": "to", "destino": "to",
	"dist": "distance", "distance": "distance", "mileage": "distance", "length": "distance", "distancia": "distance",
	"time": "time", "duration": "time", "tiempo": "time", "duración": "time", "duracion": "time"}

// column tells what a head means. A head that means two things means none.
func column(head string) TableColumn {
	c := TableColumn{Head: strings.TrimSpace(head)}
	for w := range strings.FieldsFuncSeq(strings.ToLower(head), func(r rune) bool { return !unicode.IsLetter(r) }) {
		as, unit := headWords[w], ""
		switch {
		case lengthUnits[w] != "":
			as, unit = "distance", lengthUnits[w]
		case timeUnits[w] != "":
			as, unit = "time", timeUnits[w]
		case as == "":
			continue
		}
		if c.As != "" && c.As != as || unit != "" && c.Unit != "" && c.Unit != unit {
			return TableColumn{Head: c.Head}
		}
		c.As = as
		if unit != "" {
			c.Unit = unit
		}
	}
	return c
}

// csv reads a table with rows and columns.
func (t *tableReader) csv(text string) error {
	rows, err := t.split(text)
	if err != nil {
		return err
	}
	if len(rows) == 0 {
		return fault.New(fault.Missing, "", "the table is empty")
	}
	var cols []TableColumn
	at := map[string]int{}
	for i, h := range rows[0] {
		c := column(h)
		if c.As != "" {
			if _, twice := at[c.As]; twice {
				if c.As == "from" || c.As == "to" {
					return fault.Newf(fault.Conflict, "", "two columns of the table are both %s", c.As)
				}
				return fault.Newf(fault.Conflict, "", "two columns of the table are both the %s", c.As).WithHint("keep the one you go by")
			}
			at[c.As] = i
		}
		cols = append(cols, c)
	}
	_, from := at["from"]
	_, to := at["to"]
	switch {
	case from && to:
		return t.rows(rows, cols, at)
	case from || to:
		return fault.New(fault.Missing, "", "the table has only one of the columns from and to").WithHint("from,to,km,min and a row for each way")
	}
	return t.square(rows)
}

// split cuts the text at commas, semicolons or tabs: that which the first line
// has most of.
func (t *tableReader) split(text string) ([][]string, error) {
	first, _, _ := strings.Cut(strings.TrimLeft(text, "\r\n \t"), "\n")
	comma, most := ',', 0
	for _, c := range ",;\t" {
		if n := strings.Count(first, string(c)); n > most {
			comma, most = c, n
		}
	}
	if comma == ';' && t.o.Locale.Decimal == 0 {
		t.o.Locale.Decimal = ','
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes = comma, -1, true
	var out [][]string
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, fault.New(fault.NotUnderstood, "", "this is not a table of text").WithHint("save it as CSV, or copy the cells and paste them")
		}
		if strings.TrimSpace(strings.Join(row, "")) == "" {
			continue
		}
		if out = append(out, row); len(out) > MaxPlaces*MaxPlaces+1 {
			return nil, tooManyPlaces()
		}
	}
}

func tooManyPlaces() error {
	return fault.Newf(fault.OutOfRange, "", "more than %d places are too many for one table", MaxPlaces).WithHint("leave out the yards that are far apart: the map will do for them")
}

// unit settles in what a column's bare numbers are.
func (t *tableReader) unit(c *TableColumn) {
	told := t.dist
	if c.As == "time" {
		told = t.time
	}
	if c.Unit == "" && told != "" {
		c.Unit, c.Told = told, true
	}
}

// rows reads a table with a row for each way.
func (t *tableReader) rows(rows [][]string, cols []TableColumn, at map[string]int) error {
	t.out.Form = Rows
	_, hasDist := at["distance"]
	_, hasTime := at["time"]
	if !hasDist && !hasTime {
		return fault.New(fault.Missing, "", "the table has no column of distances or driving times").WithHint("from,to,km,min and a row for each way")
	}
	for i := range cols {
		if cols[i].As == "distance" || cols[i].As == "time" {
			t.unit(&cols[i])
		}
	}
	t.out.Columns = cols
	index := map[string]int{}
	spot := func(name string) int {
		i, ok := index[name]
		if !ok {
			i = len(t.out.From)
			index[name] = i
			t.out.From = append(t.out.From, Spot{Name: name})
		}
		return i
	}
	for n, row := range rows[1:] {
		cell := func(as string) string {
			if i, ok := at[as]; ok && i < len(row) {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		where := rowName(n + 2)
		if cell("from") == "" || cell("to") == "" {
			return fault.New(fault.Missing, where, "this way does not say from where to where").WithHint("where the truck starts is called home")
		}
		l := TableLeg{From: spot(cell("from")), To: spot(cell("to"))}
		if len(t.out.From) > MaxPlaces {
			return tooManyPlaces()
		}
		if hasDist {
			if err := t.take(&l, cell("distance"), &cols[at["distance"]], where); err != nil {
				return err
			}
		}
		if hasTime {
			if err := t.take(&l, cell("time"), &cols[at["time"]], where); err != nil {
				return err
			}
		}
		if err := t.add(l, where); err != nil {
			return err
		}
	}
	t.out.To = t.out.From
	t.sayBlank()
	return nil
}

func rowName(n int) string { return "row " + strconv.Itoa(n) }

// take reads one number into a leg.
func (t *tableReader) take(l *TableLeg, cell string, c *TableColumn, where string) error {
	switch cell = strings.TrimSpace(cell); cell {
	case "", "-", "–", "?", "null":
		return nil
	}
	var err error
	if c.As == "time" {
		l.Time, err = amountIn[units.Duration](cell, c, t.o.Locale)
		l.HasTime = true
	} else {
		l.Dist, err = amountIn[units.Length](cell, c, t.o.Locale)
		l.HasDist = true
	}
	if e, ok := err.(*fault.Error); ok {
		x := *e
		x.Thing = where
		return &x
	}
	return err
}

func amountIn[Q units.Quantity](cell string, c *TableColumn, l units.Locale) (Q, error) {
	var none Q
	if !strings.ContainsFunc(cell, unicode.IsLetter) {
		if c.Unit == "" {
			return none, fault.Newf(fault.Missing, "", "%q has no unit, and the table does not say in what it is", cell).
				WithHint("write km, mi or m into the head of distances and min, s or h into that of times, or say it beside the table")
		}
		e, err := units.EnterIn[Q](cell, c.Unit, l)
		return e.Q, err
	}
	e, err := units.Enter[Q](cell, l)
	return e.Q, err
}

// add checks a way and puts it with the others. A square may bring the driving
// time of a way whose distance stands in another.
func (t *tableReader) add(l TableLeg, where string) error {
	tos := t.out.To
	if t.out.Form == Rows {
		tos = t.out.From
	}
	if !l.HasDist && !l.HasTime {
		if !t.same(l, tos) {
			t.blank++
		}
		return nil
	}
	from, to := spotName(t.out.From, l.From), spotName(tos, l.To)
	if t.same(l, tos) {
		if l.Dist > 0 || l.Time > 0 {
			return fault.New(fault.Conflict, where, "a leg leads from one place to another")
		}
		return nil
	}
	if err := (Told{From: from, To: "to " + to, Dist: l.Dist, Time: l.Time}).check(); err != nil {
		return err
	}
	k := [2]int{l.From, l.To}
	i, there := t.seen[k]
	if !there {
		t.seen[k] = len(t.out.Legs)
		t.out.Legs = append(t.out.Legs, l)
		return nil
	}
	was := &t.out.Legs[i]
	if l.HasDist && was.HasDist && l.Dist != was.Dist || l.HasTime && was.HasTime && l.Time != was.Time {
		return fault.New(fault.Conflict, from+" to "+to, "this leg was told twice")
	}
	if l.HasDist {
		was.Dist, was.HasDist = l.Dist, true
	}
	if l.HasTime {
		was.Time, was.HasTime = l.Time, true
	}
	return nil
}

// same tells whether a way leads from a place to itself. Where the table names
// nothing its places are known by where they lie, else by their number.
func (t *tableReader) same(l TableLeg, tos []Spot) bool {
	a, b := t.out.From[l.From], tos[l.To]
	switch {
	case a.Name != "" && b.Name != "":
		return a.Name == b.Name
	case a.HasPlace && b.HasPlace:
		return a.Lat == b.Lat && a.Lon == b.Lon
	}
	return l.From == l.To && len(t.out.From) == len(tos)
}

// spotName gives a place a name to speak of: its own, or its number.
func spotName(spots []Spot, i int) string {
	if spots[i].Name != "" {
		return spots[i].Name
	}
	return strconv.Itoa(i + 1)
}

func (t *tableReader) sayBlank() {
	if t.blank > 0 {
		t.out.Notes = append(t.out.Notes, Note{"blank", "ways the table leaves open: {0}", []any{t.blank}})
	}
}
