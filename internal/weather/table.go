package weather

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"larder/internal/fault"
	"larder/internal/units"
)

// heads is a row of headings in plain spelling: lower case, "Tmax [°C]" as
// "tmax_c".
type heads []string

func normalHeads(raw []string) heads {
	h := make(heads, len(raw))
	for i, s := range raw {
		var b strings.Builder
		for _, r := range strings.ToLower(s) {
			switch {
			case unicode.IsLetter(r) || unicode.IsDigit(r):
				b.WriteRune(r)
			case r == '°' || r == '"' || r == '\'':
			case b.Len() > 0 && !strings.HasSuffix(b.String(), "_"):
				b.WriteByte('_')
			}
		}
		h[i] = strings.TrimRight(b.String(), "_")
	}
	return h
}

func (h heads) all(names ...string) bool {
	for _, n := range names {
		if !slices.Contains(h, n) {
			return false
		}
	}
	return true
}

// find gives the column of the first name that is there, −1 for none.
func (h heads) find(names ...string) int {
	for _, n := range names {
		if i := slices.Index(h, n); i >= 0 {
			return i
		}
	}
	return -1
}

// shape says where in a table what stands and how it is written. A column of −1
// is not there.
type shape struct {
	date, station, forecast int
	value                   [3]int   // by kind
	flag                    [3]int   // GHCN attributes, by kind
	scale                   [3]Scale // by kind
	lat, lon, elev, name    int
	missing                 []string // besides blank
}

func noShape() shape {
	return shape{date: -1, station: -1, forecast: -1, value: [3]int{-1, -1, -1}, flag: [3]int{-1, -1, -1},
		lat: -1, lon: -1, elev: -1, name: -1}
}

// doubtful tells whether the source has marked a value. GHCN attributes are
// measurement, quality and source flag between commas; any quality flag means
// the value failed a check.
func (s shape) doubtful(rec []string, k kind) bool {
	a := strings.Split(cellsOf(rec)(s.flag[k]), ",")
	return len(a) > 1 && strings.TrimSpace(a[1]) != ""
}

// cellsOf gives the cells of a row; those that are not there are blank.
func cellsOf(rec []string) func(int) string {
	return func(i int) string {
		if i < 0 || i >= len(rec) {
			return ""
		}
		return rec[i]
	}
}

// table is a delimited text with one row of headings.
type table struct {
	r    *csv.Reader
	raw  []string
	head heads
}

// openTable reads the headings.
func openTable(c *collector, b []byte, comma rune) (*table, error) {
	r := csv.NewReader(bytes.NewReader(b))
	r.Comma, r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace, r.ReuseRecord = comma, '#', -1, comma != '\t', true
	head, err := r.Read()
	if err != nil {
		return nil, fault.New(fault.NotUnderstood, c.o.File, "its line of headings cannot be read").
			WithHint("the first line should name the columns: date,tmax_c,tmin_c,rain_mm")
	}
	t := &table{r: r, raw: slices.Clone(head)}
	for i := range t.raw {
		t.raw[i] = strings.TrimSpace(t.raw[i])
	}
	t.head = normalHeads(t.raw)
	return t, nil
}

// separator finds what stands between the columns of the first line that is
// not a remark.
func separator(b []byte) rune {
	for line := range bytes.Lines(b) {
		if bytes.HasPrefix(line, []byte("#")) || len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		for _, sep := range ";\t" {
			if bytes.ContainsRune(line, sep) {
				return sep
			}
		}
		break
	}
	return ','
}

// rows reads the table into the collector.
func (t *table) rows(c *collector, s shape) error {
	if s.station < 0 {
		if err := c.needsName(); err != nil {
			return err
		}
	}
	seen := map[string]bool{}
	for {
		rec, err := t.r.Read()
		if errors.Is(err, io.EOF) || c.hopeless() {
			return nil
		}
		var pe *csv.ParseError
		if errors.As(err, &pe) {
			c.trouble(fault.New(fault.NotUnderstood, c.thing(pe.StartLine, ""), "its quotation marks do not match").
				WithHint("put a text with a comma or a quotation mark in it between quotation marks"))
			continue
		}
		if err != nil {
			return fault.Wrap(err, "read "+c.o.File)
		}
		row, _ := t.r.FieldPos(0)
		t.row(c, s, row, rec, seen)
	}
}

// row reads one row.
func (t *table) row(c *collector, s shape, row int, rec []string, seen map[string]bool) {
	blank := true
	for i := range rec {
		rec[i] = strings.TrimSpace(rec[i])
		blank = blank && rec[i] == ""
	}
	if blank {
		return
	}
	// More cells than headings: most often decimal commas that were taken for
	// separators, and then every number after the first is wrong.
	if len(rec) > len(t.raw) && slices.ContainsFunc(rec[len(t.raw):], func(f string) bool { return f != "" }) {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, ""), "it has %d columns where the headings have %d", len(rec), len(t.raw)).
			WithHint("decimal commas? then put ; between the columns"))
		return
	}
	cell := cellsOf(rec)
	id, ok := t.id(c, s, row, cell)
	if !ok || !c.wants(id) {
		return
	}
	d, err := parseDate(cell(s.date))
	if err != nil {
		err.Thing = c.thing(row, t.raw[s.date])
		c.trouble(err)
		return
	}
	if !c.usable(d) {
		return
	}
	forecast, ok := yes(cell(s.forecast))
	if !ok {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, t.raw[s.forecast]), "%q is neither yes nor no", cell(s.forecast)).
			WithHint("yes for a forecast, no or blank for a measured day"))
		return
	}
	// A station's place is taken from its first row; files repeat it in each.
	if !seen[id] {
		seen[id] = true
		t.place(c, s, id, cell)
	}
	for k := high; k <= rain; k++ {
		t.value(c, s, row, id, d, k, rec, forecast)
	}
}

// id gives the station a row is of.
func (t *table) id(c *collector, s shape, row int, cell func(int) string) (string, bool) {
	if s.station < 0 {
		return c.o.As, true
	}
	id := strings.Clone(cell(s.station))
	switch {
	case id == "":
		c.trouble(fault.New(fault.Missing, c.thing(row, t.raw[s.station]), "the row does not say which station it is of").
			WithHint("name the station in every row, or take the column out"))
	case !goodID(id):
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, t.raw[s.station]), "%q cannot be the name of a station", brief([]byte(id))).
			WithHint("up to 64 letters and digits"))
	default:
		return id, true
	}
	return "", false
}

// value reads one value of a row.
func (t *table) value(c *collector, s shape, row int, id string, d units.Day, k kind, rec []string, forecast bool) {
	cell := cellsOf(rec)
	i := s.value[k]
	w := cell(i)
	if i < 0 || w == "" || slices.ContainsFunc(s.missing, func(m string) bool { return strings.EqualFold(m, w) }) {
		return
	}
	if s.doubtful(rec, k) {
		c.flagged++
		return
	}
	if k == rain && strings.EqualFold(w, "T") { // a trace
		w = "0"
	}
	x, ok := parseNumber(w)
	if !ok {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, t.raw[i]), "%q is not a number", w).
			WithHint("a number such as 14.5; leave it blank when it was not measured"))
		return
	}
	c.put(row, t.raw[i], id, d, k, toInside(x, k, s.scale[k]), w, forecast)
}

// place keeps where a station is, if its first row tells.
func (t *table) place(c *collector, s shape, id string, cell func(int) string) {
	p := Station{ID: id, Name: strings.Clone(cell(s.name))}
	lat, ok1 := parseNumber(cell(s.lat))
	lon, ok2 := parseNumber(cell(s.lon))
	if ok1 && ok2 && lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180 {
		p.HasPlace, p.Lat, p.Lon = true, lat, lon
	}
	if e, ok := parseNumber(cell(s.elev)); ok && e >= -500 && e <= 5000 { // −999.9 is "not known"
		p.HasElev, p.Elev = true, units.Length(e)
	}
	if p.HasPlace {
		c.places = append(c.places, p)
	}
}

// parseNumber reads a plain decimal number, with a point or a comma.
func parseNumber(s string) (float64, bool) {
	s = strings.Replace(s, "−", "-", 1)
	digits, marks := 0, 0
	for i, r := range s {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r == '.' || r == ',':
			marks++
		case (r == '-' || r == '+') && i == 0:
		default:
			return 0, false
		}
	}
	if digits == 0 || marks > 1 {
		return 0, false
	}
	x, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	return x, err == nil
}

// parseDate reads 2026-10-03, 2026/10/03 or 20261003: the year first, since
// 3/10/2026 can be read in two ways.
func parseDate(s string) (units.Day, *fault.Error) {
	bad := func() *fault.Error {
		return fault.Newf(fault.NotUnderstood, "", "%q is not a date we can be sure of", s).
			WithHint("write the year first: 2026-10-03")
	}
	t := strings.ReplaceAll(s, "/", "-")
	if len(t) == 8 && !strings.Contains(t, "-") {
		t = t[:4] + "-" + t[4:6] + "-" + t[6:]
	}
	if len(t) != 10 || t[4] != '-' || t[7] != '-' {
		return 0, bad()
	}
	y, ok1 := digits(t[:4])
	m, ok2 := digits(t[5:7])
	d, ok3 := digits(t[8:])
	if !ok1 || !ok2 || !ok3 {
		return 0, bad()
	}
	day, ok := dayOf(y, m, d)
	if !ok {
		return 0, fault.Newf(fault.NotUnderstood, "", "there is no such day as %s", s).
			WithHint("years 1700 to 2199, months 01 to 12")
	}
	return day, nil
}

// digits reads a run of plain digits.
func digits(s string) (int, bool) {
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' {
			return 0, false
		}
		n = n*10 + int(r-'0')
	}
	return n, s != ""
}

// yes reads a yes or a no; blank is no.
func yes(s string) (is, ok bool) {
	switch strings.ToLower(s) {
	case "", "no", "n", "0", "false":
		return false, true
	case "yes", "y", "1", "true", "x":
		return true, true
	}
	return false, false
}
