package units

import (
	"math"
	"strings"

	"larder/internal/fault"
)

// Locale says how to read what a person types.
//
// Decimal is the decimal mark of the person's country, '.' or ','. Zero means
// not told: '.' is the decimal mark, and "1,234" is asked about. With '.' a
// correctly grouped "1,234" is 1234; with ',' it is 1.234. What can only be
// read one way is read in every locale ("48,5", "1.234,50"). No-break space,
// thin space and apostrophe group digits everywhere, if they do so in threes.
//
// System decides what a bare "gal", "qt", "pt" or "fl oz" is: the US measure
// in US and Metric, the imperial one in UK. A bare cup is a US cup, and asked
// about in UK, where no law defines one. "impgal" and "UK gal" are always
// imperial, "US gal" always American.
type Locale struct {
	Decimal rune
	System  System
}

// Quantity is any of the quantity types of this package.
type Quantity interface {
	~float64
	String() string
	dim() *dimension
}

// longest is more than any amount needs; the longest exact float has about 330
// digits.
const longest = 512

// reader reads amounts of one dimension.
type reader struct {
	d    *dimension
	l    Locale
	text bool  // stored text: '.' decimals, no grouping, any sign
	unit *unit // for a number without unit; nil: there must be one
}

// part is a number with its unit; "25 lb 4 oz" has two.
type part struct {
	n number
	u *unit
}

// amount is what was read.
type amount struct {
	value float64
	parts []part
}

// canonical spells the amount so that it reads back to the same value without
// any locale: "25 lb 4 oz", "2 1/2 US gal".
func (a amount) canonical() string {
	var b strings.Builder
	for i, p := range a.parts {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(p.n.text())
		b.WriteByte(' ')
		b.WriteString(p.u.name)
	}
	return b.String()
}

// read reads an amount: a number and a unit, or several of one chain.
func (rd reader) read(s string) (amount, error) {
	var a amount
	if len(s) > longest {
		return a, fault.Newf(fault.NotUnderstood, "", "%s is too long to be %s", quoted(s), rd.d.what).WithHint("write %s", rd.d.eg)
	}
	t := normalise(s)
	if t == "" {
		return a, fault.Newf(fault.Missing, "", "%s is missing", rd.d.what).WithHint("write %s", rd.d.eg)
	}
	for rest := t; rest != ""; {
		p, size, err := rd.part(rest, len(a.parts) == 0)
		if err != nil {
			return a, hinted(err, rd.d)
		}
		if p.u == nil {
			if p.u, err = rd.missingUnit(rest[size:], s, len(a.parts)); err != nil {
				return a, err
			}
		}
		a.parts = append(a.parts, p)
		rest = strings.TrimLeft(rest[size:], space)
	}
	if err := rd.check(&a, s); err != nil {
		return a, err
	}
	return a, nil
}

// part reads one number and the unit behind it, if any.
func (rd reader) part(s string, first bool) (part, int, error) {
	sign := first && (s[0] == minus || s[0] == '+')
	if !sign && !startsNumber(s, 0) {
		return part{}, 0, fault.Newf(fault.NotUnderstood, "", "%s is not %s", quoted(s), rd.d.what)
	}
	n, i, err := rd.scan(s)
	if err != nil {
		return part{}, 0, err
	}
	if oddNumber(s[i:]) {
		return part{}, 0, fault.Newf(fault.NotUnderstood, "", "%s is not written as a plain number", quoted(s))
	}
	j := unitEnd(s, i)
	name := strings.Trim(s[i:j], space)
	if name == "" {
		return part{n: n}, i, nil
	}
	u := rd.d.find(name, rd.l.System)
	if u == nil {
		return part{}, 0, rd.unknownUnit(name, s)
	}
	return part{n, u}, j, nil
}

// unitEnd tells where the unit that starts at s[i] ends: before the next
// number. A digit right behind a letter and not followed by a further digit or
// letter is a power: "m3", "kg/m3".
func unitEnd(s string, i int) int {
	for j := i; j < len(s); j++ {
		if !startsNumber(s, j) {
			continue
		}
		power := j > i && (s[j] == '2' || s[j] == '3') && letter(s[j-1]) &&
			(j+1 == len(s) || s[j+1] == ' ' || s[j+1] == '/')
		if !power {
			return j
		}
	}
	return len(s)
}

// oddNumber tells whether what stands right behind a number makes it one of the
// forms of programmers: "1e3", "1E-3", "0x10".
func oddNumber(s string) bool {
	if len(s) < 2 || !strings.ContainsRune("eExX", rune(s[0])) {
		return false
	}
	return digit(s[1]) || len(s) > 2 && (s[1] == '+' || s[1] == '-') && digit(s[2])
}

func letter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

func (rd reader) missingUnit(rest, s string, before int) (*unit, error) {
	switch {
	case rest != "" || before > 0:
		return nil, fault.Newf(fault.NotUnderstood, "", "%s holds more than one number", quoted(s)).
			WithHint("one amount in one place, for example %s", rd.d.eg)
	case rd.unit != nil:
		return rd.unit, nil
	case rd.d.only:
		return rd.d.inside(), nil
	}
	return nil, fault.Newf(fault.NotUnderstood, "", "%s has no unit", quoted(s)).WithHint("write %s", rd.d.eg)
}

func (rd reader) unknownUnit(name, s string) error {
	e := fault.Newf(fault.NotUnderstood, "", "%s is not a unit for %s", quoted(name), rd.d.what)
	switch low := strings.ToLower(name); {
	case low == "oz" && rd.d == &volumeUnits:
		return e.WithHint("an ounce is a weight here; for the measure write fl oz")
	case strings.HasPrefix(low, "cup"):
		return e.WithHint("cups differ; write US cup or mL")
	case low == "ton" || low == "tons":
		return e.WithHint("tons differ; write t for 1000 kg, or so many lb")
	case low == ":" && rd.d == &durationUnits:
		return e.WithHint("write 1 h 30 min")
	}
	return e.WithHint("write %s", rd.d.eg)
}

// check adds the parts up and refuses what cannot be.
func (rd reader) check(a *amount, s string) error {
	for i, p := range a.parts {
		if i > 0 {
			if err := rd.follows(a.parts[i-1], p, s); err != nil {
				return err
			}
		}
		v := p.u.worth(p.n.value(p.u.ten))
		if a.parts[0].n.neg && i > 0 {
			v = -v
		}
		a.value += v
	}
	a.value += 0 // no negative zero
	switch {
	case math.IsInf(a.value, 0) || math.IsNaN(a.value):
		return fault.Newf(fault.OutOfRange, "", "%s is more than can be", quoted(s)).WithHint("write %s", rd.d.eg)
	case rd.text:
		return nil
	case a.parts[0].n.neg && !rd.d.signed:
		return fault.Newf(fault.OutOfRange, "", "%s cannot be below zero", rd.d.what).WithHint("write it without the minus: %s", rd.d.eg)
	case rd.d == &tempUnits && a.value < -273.15:
		return fault.Newf(fault.OutOfRange, "", "%s is colder than anything can be", quoted(s)).WithHint("write %s", rd.d.eg)
	}
	return nil
}

// follows tells whether p may stand behind o: "25 lb 4 oz" and "1 h 30 min",
// but not "25 lb 4 lb", "25 lb 20 oz" or "1½ ft 3 in".
func (rd reader) follows(o, p part, s string) error {
	whole := o.n.den == 0 && strings.IndexByte(o.n.digits, '.') < 0
	smaller := p.u.worth(p.n.value(p.u.ten)) < o.u.size()
	if o.u.chain != 0 && o.u.chain == p.u.chain && whole && smaller {
		return nil
	}
	return fault.Newf(fault.NotUnderstood, "", "%s holds more than one amount", quoted(s)).
		WithHint("one amount in one place, for example %s", rd.d.eg)
}

// hinted gives a hint of the dimension to an error that has none.
func hinted(err error, d *dimension) error {
	if e, ok := err.(*fault.Error); ok && e.Hint == "" {
		return e.WithHint("write %s", d.eg)
	}
	return err
}

// Parse reads an amount with its unit, as people write it.
func Parse[Q Quantity](s string, l Locale) (Q, error) {
	e, err := Enter[Q](s, l)
	return e.Q, err
}

// ParseIn is [Parse], but a number without a unit is in unit, as where a
// column head or the label of a box names it.
func ParseIn[Q Quantity](s, unit string, l Locale) (Q, error) {
	e, err := EnterIn[Q](s, unit, l)
	return e.Q, err
}

// ranged refuses typed amounts that no such quantity can have.
func ranged(d *dimension, a amount, s string) error {
	if d == &strengthUnits && (a.value <= 0 || a.value >= 1) {
		return fault.Newf(fault.OutOfRange, "", "%s is not a strength syrup can have", quoted(s)).
			WithHint("more than 0 %% and less than 100 %%; 2:1 by weight is 66.7 %%")
	}
	return nil
}

// UnitName gives the canonical name of a unit of Q as people write it: "lb"
// for "pounds", "UK gal" for "gal" in the UK system. It is for heads of columns.
func UnitName[Q Quantity](s string, l Locale) (string, error) {
	var q Q
	u := q.dim().find(normalise(s), l.System)
	if u == nil {
		return "", reader{d: q.dim()}.unknownUnit(s, s)
	}
	return u.name, nil
}

// ParseAbout takes a leading "~", "about", "ca." or "approx." off and tells
// whether there was one.
func ParseAbout(s string) (rest string, about bool) {
	t := strings.TrimSpace(s)
	for _, p := range []string{"~", "≈", "～", "about", "circa", "approx.", "approx", "ca.", "ca", "aprox.", "aprox"} {
		if len(t) < len(p) || !strings.EqualFold(t[:len(p)], p) {
			continue
		}
		r := strings.TrimLeft(t[len(p):], space)
		// "ca" must be a word of its own: what follows is a number.
		if n := normalise(r); n != "" && (startsNumber(n, 0) || n[0] == minus) {
			return r, true
		}
	}
	return s, false
}
