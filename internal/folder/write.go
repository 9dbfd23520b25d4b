package folder

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

var utc = time.UTC

// mark is the first line of a season.toml written here: a folder that begins
// with it may be written over.
const mark = "# A season of larder. What each line means: the manual, \"The season folder\".\n"

// Write writes facts as a season folder. w opens each file by its name
// ("season.toml", "readings.csv", "plans/P3.json"). Nothing is opened before all
// of it has been made and proved to read back to the same facts. The same facts
// give the same bytes.
func Write(w func(name string) (io.WriteCloser, error), facts []season.Fact) error {
	files, err := files(facts)
	if err != nil {
		return err
	}
	for _, f := range files {
		if err := writeOne(w, f); err != nil {
			return fault.Wrap(err, "write "+f.name)
		}
	}
	return nil
}

func writeOne(w func(string) (io.WriteCloser, error), f file) error {
	out, err := w(f.name)
	if err != nil {
		return err
	}
	if _, err := out.Write(f.data); err != nil {
		out.Close()
		return err
	}
	return out.Close()
}

// file is one file of a folder.
type file struct {
	name string
	data []byte
}

// files makes all files of a folder.
func files(facts []season.Fact) ([]file, error) {
	x, err := layOut(facts, false)
	if err != nil {
		return nil, err
	}
	out := []file{{seasonFile, x.toml()}}
	for _, t := range tables {
		rows, plans, err := x.table(t)
		if err != nil {
			return nil, err
		}
		if len(rows) < 2 {
			continue
		}
		if len(rows) > maxRows {
			return nil, fault.Newf(fault.WontFit, t.file(), "%d rows are more than a table may have", len(rows)).
				WithHint("at most %d; back the book up instead, or export fewer years of weather", maxRows)
		}
		delim := ','
		if x.comma {
			delim = ';'
		}
		data, err := writeCSV(rows, delim)
		if err != nil {
			return nil, fault.Wrap(err, "write "+t.file())
		}
		out = append(out, file{t.file(), data})
		out = append(out, plans...)
	}
	return out, nil
}

// layout is the facts of a folder, each with its row.
type layout struct {
	comma bool // decimal commas, with semicolons between the cells
	book  bool // a workbook, which holds less in a cell
	rows  map[*table][]laid
	since units.Day
	head  []season.Setting // those that stand in season.toml
	note  string           // the decimal sign, where season.toml must say it
}

// laid is one fact with its row: all columns of its table.
type laid struct {
	fact  *season.Fact
	cells []string
}

// layOut checks the facts and finds each its row.
func layOut(facts []season.Fact, book bool) (*layout, error) {
	facts, err := sole(facts)
	if err != nil {
		return nil, err
	}
	x := &layout{book: book, rows: map[*table][]laid{}}
	x.comma = !book && inForce(facts).Decimal == ','

	named := map[season.ID]bool{} // by another fact
	for i := range facts {
		if s, ok := facts[i].Body.(season.Strike); ok {
			named[s.Fact] = true
		}
		named[facts[i].Replaces] = true
	}
	rows := make([]laid, len(facts))
	bodies := make([][]byte, len(facts))
	homes := make([]*table, len(facts))
	p := newProof(x)
	for i := range facts {
		r, err := facts[i].Record()
		if err != nil {
			return nil, fault.Wrap(err, "folder.Write")
		}
		bodies[i] = r.Body
		if rows[i].cells, homes[i], err = p.row(&facts[i], r.Body); err != nil {
			return nil, err
		}
		rows[i].fact = &facts[i]
	}
	idless := spare(facts, bodies, func(i int) bool { return homes[i] != otherTable && !named[facts[i].ID] })
	top := x.chooseHead(facts, idless)
	for i := range facts {
		if top[i] {
			continue
		}
		if idless[i] {
			rows[i].cells[slices.IndexFunc(homes[i].fields, func(f field) bool { return f.name == "id" })] = ""
		}
		x.rows[homes[i]] = append(x.rows[homes[i]], rows[i])
	}
	return x, nil
}

// sole checks the facts, takes doubles out and puts them in order of truth.
func sole(facts []season.Fact) ([]season.Fact, error) {
	out := slices.Clone(facts)
	slices.SortFunc(out, order)
	kept := out[:0]
	byID := map[season.ID]int{}
	for i := range out {
		f := &out[i]
		if err := f.Check(); err != nil {
			return nil, fault.Wrap(err, "folder.Write")
		}
		if k, ok := byID[f.ID]; ok {
			if !season.Same(&kept[k], f) {
				return nil, &fault.Error{Kind: fault.Conflict, Op: "folder.Write", Thing: f.ID.String(), Say: "two different facts have this id"}
			}
			continue
		}
		byID[f.ID] = len(kept)
		kept = append(kept, *f)
	}
	return kept, nil
}

// inForce gives the settings that hold in the end.
func inForce(facts []season.Fact) season.Settings {
	j := season.NewJournal()
	var few []season.Fact
	for _, f := range facts {
		switch f.Body.(type) {
		case season.Setting, season.Strike:
			few = append(few, f)
		}
	}
	if _, err := j.Add(few...); err != nil {
		return season.DefaultSettings() // they were checked; a decimal point will do
	}
	return j.Now().Settings
}

// chooseHead picks the settings that go into season.toml: those told for a
// whole day and nothing else, of the day that has most of them. The others go
// into settings.csv.
func (x *layout) chooseHead(facts []season.Fact, idless []bool) []bool {
	top := make([]bool, len(facts))
	fits := func(i int) (season.Setting, bool) {
		s, ok := facts[i].Body.(season.Setting)
		f := &facts[i]
		if !ok || !idless[i] || !f.Seen.DayOnly() || !f.Made.IsZero() || f.By != "" || !f.Replaces.IsZero() {
			return s, false
		}
		return s, true
	}
	many := map[units.Day]int{}
	for i := range facts {
		if _, ok := fits(i); ok {
			many[facts[i].Seen.Day()]++
		}
	}
	for d, n := range many {
		if n > many[x.since] || n == many[x.since] && d < x.since {
			x.since = d
		}
	}
	// The sign and the units decide how the other values are read.
	system, decimal := units.US, rune(0)
	var mine []int
	keys := map[string]bool{}
	for i := range facts {
		s, ok := fits(i)
		if !ok || facts[i].Seen.Day() != x.since || keys[s.Key] || !tomlSafe(s) {
			continue
		}
		keys[s.Key] = true
		mine = append(mine, i)
		switch s.Key {
		case "house.units":
			for _, u := range []units.System{units.US, units.Metric, units.UK} {
				if strings.EqualFold(s.Value, u.String()) {
					system = u
				}
			}
		case "house.decimal":
			decimal = '.'
			if s.Value == "comma" || s.Value == "," {
				decimal = ','
			}
		}
	}
	switch own := decimal; {
	case x.comma && own != ',':
		x.note, decimal = "comma", ','
	case !x.comma && own == ',':
		x.note, decimal = "point", '.'
	}
	for _, i := range mine {
		s := facts[i].Body.(season.Setting)
		if v, err := settled(s.Key, s.Value, units.Locale{Decimal: decimal, System: system}); err != nil || v != s.Value {
			continue
		}
		if s.Key == "house.zone" && !zoneKnown(s.Value) || x.book && !(tidy(s.Value) == s.Value && bookSafe(s.Key) && bookSafe(s.Value)) {
			continue
		}
		top[i] = true
		x.head = append(x.head, s)
	}
	return top
}

func zoneKnown(name string) bool {
	_, err := time.LoadLocation(name)
	return err == nil && name != "Local" && name != ""
}

// tomlSafe tells whether key and value survive being written in season.toml.
func tomlSafe(s season.Setting) bool {
	known := strings.HasPrefix(s.Key, figurePrefix) ||
		slices.ContainsFunc(season.SettingKeys(), func(k season.SettingKey) bool { return k.Key == s.Key })
	return known && valid(s.Key) == s.Key && valid(s.Value) == s.Value && strings.IndexByte(s.Key+s.Value, 0) < 0
}

// toml writes season.toml, in the order of the manual.
func (x *layout) toml() []byte {
	var b bytes.Buffer
	b.WriteString(mark)
	fmt.Fprintf(&b, "format = %d\n", format)
	if x.since != 0 {
		fmt.Fprintf(&b, "since = %s\n", x.since)
	}
	if x.note != "" {
		fmt.Fprintf(&b, "decimal = %q # how the tables beside this file write numbers\n", x.note)
	}
	value := map[string]string{}
	for _, s := range x.head {
		value[s.Key] = s.Value
	}
	table := ""
	for _, k := range season.SettingKeys() {
		v, ok := value[k.Key]
		if !ok {
			continue
		}
		t, key, _ := strings.Cut(k.Key, ".")
		if t != table {
			table = t
			fmt.Fprintf(&b, "\n[%s]\n", t)
		}
		fmt.Fprintf(&b, "%s = %s\n", key, tomlValue(v))
	}
	slices.SortFunc(x.head, func(a, b season.Setting) int { return strings.Compare(a.Key, b.Key) })
	table = ""
	for _, s := range x.head {
		f, own := strings.CutPrefix(s.Key, figurePrefix)
		if !own {
			continue
		}
		if table == "" {
			table = figuresTable
			fmt.Fprintf(&b, "\n[%s]\n", figuresTable)
		}
		fmt.Fprintf(&b, "%s = %s\n", tomlString(f), tomlValue(s.Value))
	}
	return b.Bytes()
}

var bareTOML = regexp.MustCompile(`^(0|-?[1-9][0-9]{0,15}|-?(0|[1-9][0-9]{0,9})\.[0-9]{1,9})$`)

// tomlValue writes numbers and days as such when they read back to the letter.
func tomlValue(v string) string {
	if bareTOML.MatchString(v) {
		return v
	}
	if d, err := units.ParseDay(v); err == nil && d.String() == v {
		return v
	}
	return tomlString(v)
}

// tomlString writes a basic string.
func tomlString(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// table gives the rows of a table, the head first, and the files of its plans.
// Columns that are seldom used are left out when they are blank throughout.
func (x *layout) table(t *table) ([][]string, []file, error) {
	l := x.rows[t]
	var plans []file
	if t == plansTable && !x.book {
		var err error
		if plans, err = planFiles(t, l); err != nil {
			return nil, nil, err
		}
	}
	var cols []int
	for i := range t.fields {
		if !t.fields[i].rare || slices.ContainsFunc(l, func(r laid) bool { return r.cells[i] != "" }) {
			cols = append(cols, i)
		}
	}
	out := make([][]string, 0, len(l)+1)
	pick := func(from func(i int) string) {
		r := make([]string, len(cols))
		for k, i := range cols {
			r[k] = from(i)
		}
		out = append(out, r)
	}
	pick(func(i int) string { return t.fields[i].written() })
	for _, r := range l {
		pick(func(i int) string { return r.cells[i] })
	}
	return out, plans, nil
}

// planFiles moves the plans out of their rows into files.
func planFiles(t *table, l []laid) ([]file, error) {
	at := func(name string) int {
		return slices.IndexFunc(t.fields, func(f field) bool { return f.name == name })
	}
	fileAt, contentAt := at(planFile), at(planContent)
	var out []file
	used := map[string]bool{}
	for _, r := range l {
		raw := r.cells[contentAt]
		r.cells[contentAt] = ""
		if raw == "" {
			continue
		}
		b := r.fact.Body.(season.PlanOut)
		name := b.Plan
		if !fileName.MatchString(name) || used[strings.ToLower(name)] || reserved.MatchString(name) {
			name = r.fact.ID.String()
		}
		used[strings.ToLower(name)] = true
		name = plansFolder + "/" + name + ".json"
		r.cells[fileAt] = name
		var pretty bytes.Buffer
		if err := json.Indent(&pretty, b.Content, "", "  "); err != nil {
			return nil, fault.Wrap(err, "write "+name)
		}
		pretty.WriteByte('\n')
		out = append(out, file{name, pretty.Bytes()})
	}
	return out, nil
}

// Names that are files everywhere.
var (
	fileName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$`)
	reserved = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9]|lpt[0-9])$`)
)
