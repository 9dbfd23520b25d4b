package folder

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

const (
	seasonFile = "season.toml"
	// format is the version of the folder. Tables and columns may be added
	// without changing it; it changes when an older larder would misread.
	format = 1

	figuresTable = "figures" // in season.toml; as settings they are called figure.…
	figurePrefix = "figure."
)

// entry is one line of season.toml, or one row of the sheet season.
type entry struct {
	key, value string
	at         string // "season.toml row 7, rig.tank"
}

// tomlEntries reads the lines of a season.toml. Its tables are flattened to
// dotted keys; [figures] to figure.…, as the settings are called.
//
// A line that cannot be read is told and passed over, so that all such lines
// are told at once.
func tomlEntries(b []byte, tell func(error)) (out []entry) {
	lines := bytes.SplitAfter(b, []byte("\n"))
	for range maxBadLines {
		entries, lists, row, err := tomlOnce(bytes.Join(lines, nil))
		if err == nil {
			for _, e := range lists {
				tell(e)
			}
			return entries
		}
		tell(err)
		if row < 1 || row > len(lines) || len(bytes.TrimSpace(lines[row-1])) == 0 || bytes.TrimSpace(lines[row-1])[0] == '[' {
			return nil
		}
		lines[row-1] = []byte("\n")
	}
	return nil
}

// maxBadLines is how many lines of a season.toml are told to be unreadable.
const maxBadLines = 20

// tomlOnce reads the whole, or tells what stops it and in which row. lists are
// what is good TOML but no setting.
func tomlOnce(b []byte) (out []entry, lists []error, row int, err error) {
	defer func() { // the walker panics on what the reader below did not refuse
		if r := recover(); r != nil {
			err = fault.New(fault.Damaged, seasonFile, "the file cannot be read").WithHint("is it TOML? see the manual for an example")
		}
	}()
	var all map[string]any
	if err := toml.Unmarshal(b, &all); err != nil { // finds doubled keys, which the walk below would not
		return nil, nil, rowOf(err), badLine(b, err)
	}
	var p unstable.Parser
	p.Reset(b)
	var prefix []string
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table:
			prefix = keyOf(e.Key())
		case unstable.ArrayTable:
			k := keyOf(e.Key())
			prefix = k
			lists = append(lists, fault.Newf(fault.NotUnderstood, seasonFile, "[[%s]] stands there, but no setting is a list", strings.Join(k, ".")).
				WithHint("write [%s]", strings.Join(k, ".")))
		case unstable.KeyValue:
			out = flatten(&p, out, &lists, prefix, e)
		}
	}
	return out, lists, 0, p.Error()
}

// rowOf gives the row a trouble with the file is in, 0 if it does not say.
func rowOf(err error) int {
	var d *toml.DecodeError
	if !errors.As(err, &d) {
		return 0
	}
	row, _ := d.Position()
	return row
}

// badLine says which line cannot be read, in words of ours.
func badLine(b []byte, err error) error {
	e := &fault.Error{Kind: fault.NotUnderstood, Thing: seasonFile, Say: "the file cannot be read", Hint: `a line looks like tank = "40 US gal"`, Err: err}
	row := rowOf(err)
	lines := bytes.Split(b, []byte("\n"))
	if row < 1 || row > len(lines) {
		return e
	}
	e.Thing = fmt.Sprintf("%s row %d", seasonFile, row)
	e.Say = "the line cannot be read"
	if strings.Contains(err.Error(), "already") {
		e.Say, e.Hint = "this is said twice", "keep one of the two lines"
	}
	if line := strings.TrimSpace(string(lines[row-1])); line != "" {
		e.Say = foundSay(line, &fault.Error{Say: e.Say})
	}
	return e
}

func keyOf(it unstable.Iterator) []string {
	var k []string
	for it.Next() {
		k = append(k, string(it.Node().Data))
	}
	return k
}

// flatten adds the key and value of an expression, or those inside of it.
func flatten(p *unstable.Parser, out []entry, lists *[]error, prefix []string, e *unstable.Node) []entry {
	path := append(append([]string{}, prefix...), keyOf(e.Key())...)
	row := 1
	for it := e.Key(); it.Next(); {
		row = p.Shape(it.Node().Raw).Start.Line
		break
	}
	key := strings.Join(path, ".")
	if path[0] == figuresTable && len(path) > 1 {
		key = figurePrefix + strings.Join(path[1:], ".")
	}
	at := fmt.Sprintf("%s row %d, %s", seasonFile, row, key)
	v := e.Value()
	switch v.Kind {
	case unstable.InlineTable:
		for it := v.Children(); it.Next(); {
			out = flatten(p, out, lists, path, it.Node())
		}
		return out
	case unstable.Array:
		*lists = append(*lists, fault.New(fault.NotUnderstood, at, "a list stands there, but no setting is one").WithHint("write one value"))
		return out
	case unstable.Float, unstable.Integer:
		return append(out, entry{key, plainLiteral(string(v.Data)), at})
	}
	return append(out, entry{key, string(v.Data), at})
}

// plainLiteral writes a number of TOML as plain decimals: 1_000, +5 and 1e3
// are numbers there.
func plainLiteral(s string) string {
	if strings.Trim(s, "-0123456789.") == "" {
		return s
	}
	t := strings.ReplaceAll(s, "_", "")
	if i, err := strconv.ParseInt(t, 0, 64); err == nil {
		return strconv.FormatInt(i, 10)
	}
	if x, err := strconv.ParseFloat(t, 64); err == nil && x-x == 0 {
		return digits(x)
	}
	return s
}

// head is what season.toml says before all else.
type head struct {
	house
	settings []season.Fact
}

// readSeason makes the house and the settings of the entries. All that is wrong
// is told.
func readSeason(entries []entry, tell func(error)) head {
	h := head{house: house{zone: time.UTC}}
	rest := make([]entry, 0, len(entries))
	var sinceAt, decimalTop string
	for _, e := range entries {
		switch e.key {
		case "format":
			if e.value != strconv.Itoa(format) {
				tell(fault.Newf(fault.Damaged, e.at, "found %q, but this larder reads folders of format %d", e.value, format).
					WithHint("a newer larder may read it"))
			}
		case "since":
			d, err := units.ParseDay(e.value)
			if err != nil {
				tell(placed(err, e.at, e.value, "write since = 2026-01-01"))
				d = 1 // some day, so that no row is blamed for it
			}
			h.since, sinceAt = d, e.at
		case "decimal":
			decimalTop = h.takeDecimal(e, tell)
		default:
			rest = append(rest, e)
		}
	}
	for _, e := range rest {
		h.take(e, decimalTop != "", tell)
	}
	for _, e := range rest {
		h.setting(e, tell)
	}
	if len(rest) > 0 && h.since == 0 && sinceAt == "" {
		tell(fault.New(fault.Missing, seasonFile, "it does not say since when these settings hold").WithHint("write since = 2026-01-01 at the top"))
	}
	return h
}

func (h *head) takeDecimal(e entry, tell func(error)) string {
	switch folded(e.value) {
	case "point":
		h.decimal = '.'
	case "comma", ",":
		h.decimal = ','
	default:
		if e.value != "." {
			tell(fault.Newf(fault.NotUnderstood, e.at, "found %q, which is not a decimal sign", e.value).WithHint("point or comma"))
			return ""
		}
		h.decimal = '.'
	}
	return e.value
}

// take remembers what the tables need to be read. What is wrong with it is told
// when it becomes a setting, except for the zone, which the core cannot check.
func (h *head) take(e entry, decimalTold bool, tell func(error)) {
	switch e.key {
	case "house.units":
		h.systemTold = true // or told wrongly, which is told once and not for each number
		for _, u := range []units.System{units.US, units.Metric, units.UK} {
			if strings.EqualFold(e.value, u.String()) {
				h.system = u
			}
		}
	case "house.decimal":
		if !decimalTold {
			h.takeDecimal(e, func(error) {})
		}
	case "house.currency":
		if code, err := currencyName(e.value, units.Locale{}); err == nil {
			h.currency = code
		}
	case "house.zone":
		// "Local" would mean the zone of whatever machine reads the folder.
		loc, err := time.LoadLocation(e.value)
		if err != nil || e.value == "Local" || e.value == "" {
			tell(fault.Newf(fault.NotFound, e.at, "found %q, which is not a time zone we know", e.value).
				WithHint("for example America/New_York or Europe/London"))
			return
		}
		h.zone, h.zoneTold = loc, true
	}
}

// setting makes a fact of an entry.
func (h *head) setting(e entry, tell func(error)) {
	value, err := settled(e.key, e.value, units.Locale{Decimal: h.decimal, System: h.system})
	f := season.Fact{ID: someID, Seen: units.OnDay(max(h.since, 1)), Body: season.Setting{Key: e.key, Value: value}}
	if err == nil {
		err = f.Check()
	}
	if err != nil {
		hint := ""
		if k := nearKey(e.key); k != "" && fault.Is(err, fault.NotFound) {
			hint = "did you mean " + k + "?"
		}
		tell(placed(err, e.at, e.value, hint))
		return
	}
	f.ID, f.Seen = season.ID{}, units.OnDay(h.since)
	h.settings = append(h.settings, f)
}

// placed puts an error where it was found. hint is used where it has none.
func placed(err error, at, text, hint string) error {
	e, ok := err.(*fault.Error)
	if !ok {
		return &fault.Error{Kind: fault.Internal, Thing: at, Err: err}
	}
	c := *e
	c.Thing = at
	c.Say = foundSay(text, e)
	if c.Hint == "" || hint != "" && e.Kind == fault.NotFound {
		c.Hint = firstOf(hint, c.Hint)
	}
	return &c
}

// settled spells an amount among the settings so that it means the same
// without this house: "40 gal" of a UK house is "40 UK gal". What sort of
// amount a setting is shows in its example.
func settled(key, value string, l units.Locale) (string, error) {
	if strings.TrimSpace(value) == "" {
		return "", nil
	}
	for _, k := range season.SettingKeys() {
		if k.Key != key {
			continue
		}
		if v, ok, err := k.Settle(value, l); ok {
			return v, err
		}
		for _, spell := range []func(s string, l units.Locale) (string, error){spell[units.Mass], spell[units.Volume], spell[units.Flow], spell[units.Duration], spell[units.Length]} {
			if _, err := spell(k.Example, units.Locale{}); err == nil {
				return spell(value, l)
			}
		}
		if _, err := units.ParseMoney(k.Example, units.Locale{}); err == nil && l.Decimal == ',' {
			m, err := units.ParseMoney(value, l)
			return m.String(), err
		}
	}
	return value, nil
}

func spell[Q units.Quantity](s string, l units.Locale) (string, error) {
	e, err := units.Enter[Q](s, l)
	return e.String(), err
}

// nearKey gives the setting that differs least from a key that is none.
func nearKey(key string) string {
	best, least := "", 4
	for _, k := range season.SettingKeys() {
		if d := distance(folded(key), folded(k.Key)); d < least {
			best, least = k.Key, d
		}
	}
	return best
}

// distance counts the letters to change, add or take out between two words.
func distance(a, b string) int {
	if len(a) > 64 || len(b) > 64 {
		return 64
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diag := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diag
			if a[i] != b[j] {
				cost++
			}
			diag = row[j+1]
			row[j+1] = min(cost, row[j]+1, diag+1)
		}
	}
	return row[len(b)]
}

// readFile reads one file, up to the limit.
func readFile(fsys fs.FS, name, label string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		k, say := fault.Damaged, "the file cannot be opened"
		if errors.Is(err, fs.ErrNotExist) {
			k, say = fault.NotFound, "there is no such file"
		}
		return nil, &fault.Error{Kind: k, Thing: label, Say: say, Err: err}
	}
	defer f.Close()
	var b bytes.Buffer
	if n, err := b.ReadFrom(io.LimitReader(f, maxFile+1)); err != nil {
		return nil, &fault.Error{Kind: fault.Damaged, Thing: label, Say: "the file cannot be read", Err: err}
	} else if n > maxFile {
		return nil, fault.Newf(fault.OutOfRange, label, "the file has more than %d MB", maxFile>>20).WithHint("split it by years")
	}
	return b.Bytes(), nil
}
