package folder

import (
	"io/fs"
	"strconv"
	"strings"
	"time"
	"unicode"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// house is what season.toml says about reading the tables.
type house struct {
	system     units.System
	systemTold bool
	decimal    rune // 0 = not told
	zone       *time.Location
	zoneTold   bool
	currency   string
	since      units.Day // 0 = not told
}

// manner is how the cells of one table are read. It is decided once for the
// whole table.
type manner struct {
	*house
	loc   units.Locale
	order dateOrder
	book  bool // from a workbook: numbers as programs write them, days as serials
	y1904 bool // serials count from 1904

	fsys fs.FS // where the plans are; nil in a workbook

	zoneless int // times met that do not say their offset

	cell     cell   // the one being read
	lastText string // people visit many hives on one day
	lastSeen units.Moment
}

// cell is one cell to be read. text has no spaces around it and is never blank.
type cell struct {
	text, raw string
	b         *bound
	m         *manner
}

// quantity reads an amount: its unit stands in the cell, else in the head, else
// it is the usual one of the house, which is counted so that it can be told.
func quantity[Q units.Quantity](c *cell) (units.Entered[Q], error) {
	if v, ok := c.b.met[c.text]; ok {
		return v.(units.Entered[Q]), nil
	}
	was := c.b.usual
	v, err := quantityOf[Q](c)
	if err == nil && c.b.usual == was && len(c.b.met) < 1<<12 { // each one in the usual unit is counted
		if c.b.met == nil {
			c.b.met = map[string]any{}
		}
		c.b.met[c.text] = v
	}
	return v, err
}

func quantityOf[Q units.Quantity](c *cell) (units.Entered[Q], error) {
	t := c.text
	if !isBare(t) {
		return units.Enter[Q](t, c.m.loc)
	}
	if c.m.book {
		t = tidy(t)
	}
	col := c.b.f
	switch usual := col.usual[c.m.system]; {
	case c.b.unit != "":
		return units.EnterIn[Q](t, c.b.unit, c.m.loc)
	case len(c.b.mixed) > 0:
		return units.Entered[Q]{}, fault.Newf(fault.NotUnderstood, "", "%q has no unit, and the head names %s", c.text, strings.Join(c.b.mixed, " and ")).
			WithHint("write %s %s or %s %s", c.text, c.b.mixed[0], c.text, c.b.mixed[1])
	case usual != "" && (c.m.systemTold || col.usual[0] == col.usual[1] && col.usual[1] == col.usual[2]):
		if col.sort != sPart { // percent is the only unit there is
			c.b.usual++
		}
		return units.EnterIn[Q](t, usual, c.m.loc)
	case col.sort != sTemp && strings.Trim(t, "0.,") == "": // nothing is nothing in every unit
		var none Q
		return units.Enter[Q](none.String(), units.Locale{})
	}
	e := fault.Newf(fault.NotUnderstood, "", "%q has no unit", c.text)
	return units.Entered[Q]{}, e.WithHint("write for example %s, or put the unit into the head of the column", col.example)
}

// isBare tells whether a text is a number without a unit, as far as its letters
// and signs go.
func isBare(s string) bool {
	for _, r := range s {
		if unicode.IsLetter(r) || strings.ContainsRune(`%°"'#:′″`, r) {
			return false
		}
	}
	return true
}

// tidy brings a number as a workbook stores it to plain decimals:
// "48.299999999999997" and "4.83E1" are the 48.3 that was typed.
func tidy(s string) string {
	if len(s) < 12 && !strings.ContainsAny(s, "eE") {
		return s
	}
	if x, err := strconv.ParseFloat(s, 64); err == nil && x-x == 0 {
		return digits(x)
	}
	return s
}

// digits writes x with the fewest digits that read back to it.
func digits(x float64) string { return strconv.FormatFloat(x+0, 'f', -1, 64) }

// number reads a number without a unit.
func (c *cell) number() (float64, error) {
	t := c.text
	if c.m.book {
		t = tidy(t)
	}
	return number(t, c.m.loc)
}

// number reads a plain number as people write it: "48.5", "48,5", "4½", "−3".
//
// Package units reads numbers only as amounts, and has the rules for marks,
// grouping and fractions. A temperature is the one amount that may be below
// zero, so a bare number is read as one; anything with letters is refused
// before that.
func number(s string, l units.Locale) (float64, error) {
	if plainNumber(s, l) {
		x, err := strconv.ParseFloat(s, 64)
		return x + 0, err // no negative zero
	}
	bad := fault.Newf(fault.NotUnderstood, "", "%q is not a number", s).WithHint("write a plain number, for example 4.5")
	if !isBare(s) {
		return 0, bad
	}
	t, err := units.ParseTempIn(s, "C", l)
	switch {
	case err == nil:
		return t.C(), nil
	case strings.Contains(err.Error(), "two ways"):
		return 0, err
	}
	return 0, bad
}

// plainNumber tells whether s is digits with at most one point, certain in l.
func plainNumber(s string, l units.Locale) bool {
	t := strings.TrimPrefix(s, "-")
	w, f, point := strings.Cut(t, ".")
	return len(s) < 32 && w != "" && strings.Trim(w, "0123456789") == "" && strings.Trim(f, "0123456789") == "" &&
		(!point || f != "" && (l.Decimal != ',' || len(f) != 3))
}

var yesWords = map[string]bool{
	"yes": true, "y": true, "1": true, "true": true, "x": true, "✓": true, "✔": true, "on": true,
	"no": false, "n": false, "0": false, "false": false, "off": false,
}

// yes reads yes or no.
func (c *cell) yes() (bool, error) {
	if v, ok := yesWords[strings.ToLower(c.text)]; ok {
		return v, nil
	}
	return false, fault.Newf(fault.NotUnderstood, "", "%q is neither yes nor no", c.text).WithHint("yes or no; blank where it was not looked at")
}

// money reads an amount of money. Plain stored text is taken to the digit.
func (c *cell) money() (units.Money, error) {
	var m units.Money
	if c.m.loc.Decimal != ',' && m.UnmarshalText([]byte(c.text)) == nil {
		return m, nil
	}
	if code := firstOf(c.b.unit, c.m.currency); code != "" {
		return units.ParseMoneyIn(c.text, code, c.m.loc)
	}
	return units.ParseMoney(c.text, c.m.loc)
}

// currencyName reads the currency in a head.
func currencyName(s string, _ units.Locale) (string, error) {
	code := strings.ToUpper(strings.TrimSpace(s))
	if _, err := units.NewMoney("1", code); err != nil {
		return "", err
	}
	return code, nil
}

func firstOf(s ...string) string {
	for _, x := range s {
		if x != "" {
			return x
		}
	}
	return ""
}

// id reads the id of a fact.
func (c *cell) id() (season.ID, error) { return season.ParseID(c.text) }

// freeText gives text as it was meant: without the guard against formulas, with
// line feeds. A name has no spaces around it.
func (c *cell) freeText(name bool) string {
	t := c.raw
	if name {
		t = c.text
	}
	t = unguard(t)
	if strings.IndexByte(t, '\r') >= 0 {
		t = strings.ReplaceAll(strings.ReplaceAll(t, "\r\n", "\n"), "\r", "\n")
	}
	return t
}

// A spreadsheet takes a text that begins with one of these for a formula.
const formulaStart = "=+-@\t\r"

// guard puts an apostrophe before text that a spreadsheet would run, and before
// text that already looks guarded, so that unguard takes off just what guard
// put on.
func guard(s string) string {
	if risky(s) {
		return "'" + s
	}
	return s
}

func unguard(s string) string {
	if strings.HasPrefix(s, "'") && risky(s[1:]) {
		return s[1:]
	}
	return s
}

func risky(s string) bool {
	t := strings.TrimLeft(s, "'")
	return t != "" && strings.IndexByte(formulaStart, t[0]) >= 0
}
