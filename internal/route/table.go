package route

import (
	"encoding/csv"
	"encoding/json"
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

// square reads one or two square tables, one under the other: distances and
// driving times.
func (t *tableReader) square(rows [][]string) error {
	t.out.Form = Square
	if namesOver(rows[0]) || numbersOver(rows) {
		for len(rows) > 0 {
			n := 1
			for n < len(rows) && !namesOver(rows[n]) {
				n++
			}
			if err := t.oneSquare(rows[0], rows[1:n]); err != nil {
				return err
			}
			rows = rows[n:]
		}
		t.sayBlank()
		return nil
	}
	// Numbers alone: the keeper says whose they are.
	if len(t.o.Places) == 0 {
		return fault.New(fault.Missing, "", SayNoNames).
			WithHint("put the names over the columns and before the rows, or say the order of the places: home, ridge, orchard")
	}
	if len(rows) != len(t.o.Places) {
		return fault.Newf(fault.Conflict, "", "the table has %d rows, and %d places were told", len(rows), len(t.o.Places))
	}
	for i, r := range rows {
		rows[i] = append([]string{t.o.Places[i]}, r...)
	}
	if err := t.oneSquare(append([]string{""}, t.o.Places...), rows); err != nil {
		return err
	}
	t.sayBlank()
	return nil
}

// namesOver tells whether a row is the head of a square: names, not numbers.
func namesOver(row []string) bool {
	names, numbers := 0, 0
	for i, c := range row {
		c = strings.TrimSpace(c)
		switch {
		case c == "" || c == "-" || i == 0:
		case c[0] >= '0' && c[0] <= '9' && looksNumber(c):
			numbers++
		default:
			names++
		}
	}
	return names > 0 && numbers == 0
}

// numbersOver tells whether yards called 1, 2, 3 stand over the columns: the same
// stand before the rows.
func numbersOver(rows [][]string) bool {
	first := strings.TrimSpace(rows[0][0])
	if first != "" && looksNumber(first) && first[0] >= '0' && first[0] <= '9' || len(rows[0]) < 2 || len(rows) < 2 {
		return false
	}
	heads := map[string]bool{}
	for _, h := range rows[0][1:] {
		heads[strings.TrimSpace(h)] = true
	}
	for _, r := range rows[1:] {
		if n := strings.TrimSpace(r[0]); n == "" || !heads[n] {
			return false
		}
	}
	return true
}

// looksNumber tells whether a text that begins with a digit is an amount:
// "12", "12.5 km"; yards may be called "12b" or "1st".
func looksNumber(c string) bool {
	i := strings.IndexFunc(c, unicode.IsLetter)
	if i < 0 {
		return true
	}
	u := strings.ToLower(strings.TrimSpace(c[i:]))
	return lengthUnits[u] != "" || timeUnits[u] != ""
}

// oneSquare reads a square: its head, whose first cell says what it holds and in
// what, and its rows, each with its place first.
func (t *tableReader) oneSquare(head []string, rows [][]string) error {
	c := column(head[0])
	if c.As == "" || c.As == "from" || c.As == "to" {
		c = TableColumn{Head: strings.TrimSpace(head[0])}
		switch { // the corner does not say it: the keeper may have
		case t.dist != "" && t.time == "":
			c.As = "distance"
		case t.time != "" && t.dist == "":
			c.As = "time"
		default:
			return fault.New(fault.Missing, "", SayNoKind).
				WithHint("write km, mi or min into its first cell, or say it beside the table")
		}
	}
	t.unit(&c)
	t.out.Columns = append(t.out.Columns, c)
	to, err := t.spots(&t.out.To, head[1:])
	if err != nil {
		return err
	}
	for _, r := range rows {
		from, err := t.spots(&t.out.From, r[:1])
		if err != nil {
			return err
		}
		if len(r)-1 > len(to) && strings.TrimSpace(strings.Join(r[len(to)+1:], "")) != "" {
			return fault.New(fault.Conflict, r[0], "this row has more numbers than the table has places")
		}
		for i := range min(len(to), len(r)-1) {
			if to[i] < 0 {
				continue
			}
			l := TableLeg{From: from[0], To: to[i]}
			if err := t.take(&l, r[i+1], &c, strings.TrimSpace(r[0])+" to "+strings.TrimSpace(head[i+1])); err != nil {
				return err
			}
			if err := t.add(l, strings.TrimSpace(r[0])); err != nil {
				return err
			}
		}
	}
	return nil
}

// spots finds names in a list of places, and adds those that are new; -1 for an
// empty head with nothing under it to name.
func (t *tableReader) spots(list *[]Spot, names []string) ([]int, error) {
	out := make([]int, len(names))
	used := map[int]bool{}
next:
	for i, n := range names {
		n = strings.TrimSpace(n)
		if n == "" {
			if out[i] = -1; len(names) == 1 {
				return nil, fault.New(fault.Missing, "", "a row of the table does not name its place")
			}
			continue
		}
		for j, s := range *list {
			if s.Name == n {
				if used[j] {
					return nil, fault.New(fault.Conflict, n, "this place is in the list twice")
				}
				out[i], used[j] = j, true
				continue next
			}
		}
		out[i] = len(*list)
		used[out[i]] = true
		if *list = append(*list, Spot{Name: n}); len(*list) > MaxPlaces {
			return nil, tooManyPlaces()
		}
	}
	return out, nil
}

// engineDoc is a routing engine's answer about a matrix, in the open shape that
// several of them share: seconds and metres, rows by source, columns by
// destination, null where there is no way, locations as [lon, lat]. places is
// ours: the names, in the order in which the engine was asked.
type engineDoc struct {
	Code         *string         `json:"code"`
	Message      string          `json:"message"`
	Durations    [][]*float64    `json:"durations"`
	Distances    [][]*float64    `json:"distances"`
	Sources      []engineSpot    `json:"sources"`
	Destinations []engineSpot    `json:"destinations"`
	Places       []string        `json:"places"`
	PlacesTo     []string        `json:"places_to"`
	Metadata     *engineMetadata `json:"metadata"`
}

type engineSpot struct {
	Location []float64 `json:"location"`
	Name     string    `json:"name"`
}

type engineMetadata struct {
	Query struct {
		Units string `json:"units"`
	} `json:"query"`
}

// engine reads a routing engine's matrix.
func (t *tableReader) engine(text string) error {
	t.out.Form = Engine
	var in engineDoc
	if err := json.Unmarshal([]byte(text), &in); err != nil {
		return &fault.Error{Kind: fault.NotUnderstood, Say: "this is not the matrix of a routing engine", Hint: "JSON with durations and distances, one list for each place", Err: err}
	}
	if in.Code != nil && !strings.EqualFold(*in.Code, "ok") {
		return fault.Newf(fault.Damaged, "", "the routing engine could not answer: %.60q", *in.Code+" "+in.Message)
	}
	if len(in.Durations) == 0 && len(in.Distances) == 0 {
		return fault.New(fault.Missing, "", "there are neither durations nor distances in it").WithHint("ask the engine for both")
	}
	scale := units.Metre
	unit := "m"
	if in.Metadata != nil && in.Metadata.Query.Units != "" {
		unit = strings.ToLower(in.Metadata.Query.Units)
		switch unit {
		case "m":
		case "km":
			scale = units.Kilometre
		case "mi":
			scale = units.Mile
		default:
			return fault.Newf(fault.NotUnderstood, "", "%q is not a unit of a way, or a second one", in.Metadata.Query.Units).WithHint("one of km, mi, m and one of min, s, h")
		}
	}
	rows, cols, err := matrixSize(in.Durations, in.Distances)
	if err != nil {
		return err
	}
	if rows > MaxPlaces || cols > MaxPlaces {
		return tooManyPlaces()
	}
	if t.out.From, err = t.engineSpots(in.Sources, firstList(t.o.Places, in.Places), rows); err != nil {
		return err
	}
	to := in.Places
	if in.PlacesTo != nil {
		to = in.PlacesTo
	}
	if t.out.To, err = t.engineSpots(in.Destinations, firstList(t.o.Places, to), cols); err != nil {
		return err
	}
	if in.Durations != nil {
		t.out.Columns = append(t.out.Columns, TableColumn{Head: "durations", As: "time", Unit: "s"})
	}
	if in.Distances != nil {
		t.out.Columns = append(t.out.Columns, TableColumn{Head: "distances", As: "distance", Unit: unit})
	}
	for i := range rows {
		for j := range cols {
			l := TableLeg{From: i, To: j}
			if in.Durations != nil && in.Durations[i][j] != nil {
				l.Time, l.HasTime = units.Duration(*in.Durations[i][j]), true
			}
			if in.Distances != nil && in.Distances[i][j] != nil {
				l.Dist, l.HasDist = units.Length(*in.Distances[i][j])*scale, true
			}
			if err := t.add(l, spotName(t.out.From, i)+" to "+spotName(t.out.To, j)); err != nil {
				return err
			}
		}
	}
	t.sayBlank()
	return nil
}

func firstList(a, b []string) []string {
	if len(a) > 0 {
		return a
	}
	return b
}

// matrixSize gives rows and columns of the matrices, which must agree.
func matrixSize(all ...[][]*float64) (rows, cols int, err error) {
	for _, m := range all {
		if m == nil {
			continue
		}
		if rows != 0 && len(m) != rows {
			return 0, 0, fault.New(fault.Damaged, "", "durations and distances are of different sizes")
		}
		rows = len(m)
		for _, r := range m {
			if cols == 0 {
				cols = len(r)
			}
			if len(r) != cols || cols == 0 {
				return 0, 0, fault.New(fault.Damaged, "", "the rows of the matrix are not of one length")
			}
		}
	}
	return rows, cols, nil
}

// engineSpots gives the places of a side of the matrix.
func (t *tableReader) engineSpots(told []engineSpot, names []string, n int) ([]Spot, error) {
	if len(names) > 0 && len(names) != n {
		return nil, fault.Newf(fault.Conflict, "", "the table has %d rows, and %d places were told", n, len(names))
	}
	if len(told) > 0 && len(told) != n {
		return nil, fault.New(fault.Damaged, "", "sources or destinations do not go with the size of the matrix")
	}
	out := make([]Spot, n)
	used := map[string]bool{}
	for i := range out {
		if len(names) > 0 {
			out[i].Name = strings.TrimSpace(names[i])
			if used[out[i].Name] {
				return nil, fault.New(fault.Conflict, out[i].Name, "this place is in the list twice")
			}
			used[out[i].Name] = true
		}
		if len(told) > 0 {
			out[i].Near = told[i].Name
			if l := told[i].Location; len(l) == 2 {
				if _, err := GreatCircle(l[1], l[0], 0, 0); err != nil {
					return nil, err
				}
				out[i].HasPlace, out[i].Lon, out[i].Lat = true, l[0], l[1]
			}
		}
	}
	return out, nil
}
