package units

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"larder/internal/fault"
)

// number is one number as typed.
type number struct {
	neg      bool
	digits   string // "48.5": ASCII, '.' decimals, no grouping, no leading zeros
	num, den int    // fraction beside the whole digits, "1/2"; den 0 = none
}

// text gives the canonical spelling: "48.5", "1 1/2", "3/4".
func (n number) text() string {
	s := n.digits
	if n.den != 0 {
		f := strconv.Itoa(n.num) + "/" + strconv.Itoa(n.den)
		if s == "" {
			s = f
		} else {
			s += " " + f
		}
	}
	if n.neg {
		s = "-" + s
	}
	return s
}

// value gives the number times 10^ten, correctly rounded but for fractions,
// which are right to one unit in the last place.
func (n number) value(ten int) float64 {
	var x float64
	switch {
	case n.den != 0:
		w, _ := strconv.ParseFloat("0"+n.digits, 64)
		x = (w*float64(n.den) + float64(n.num)) / float64(n.den)
		if ten < 0 {
			x /= math.Pow10(-ten)
		} else {
			x *= math.Pow10(ten)
		}
	case ten == 0:
		x, _ = strconv.ParseFloat(n.digits, 64)
	default:
		x, _ = strconv.ParseFloat(n.digits+"e"+strconv.Itoa(ten), 64)
	}
	if n.neg && x != 0 {
		x = -x
	}
	return x
}

// zero tells whether the number is nought.
func (n number) zero() bool { return n.num == 0 && strings.Trim(n.digits, "0.") == "" }

// vulgar are the fractions that have a character of their own.
var vulgar = map[rune][2]int{
	'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4},
	'⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6},
	'⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8}, '⅒': {1, 10},
}

// Denominators people write: rulers, spanners and measuring jugs. "10/11" is
// far more often a date than a fraction and is asked about.
func usualDenominator(n int) bool {
	switch n {
	case 2, 3, 4, 5, 6, 8, 10, 16, 32, 64:
		return true
	}
	return false
}

const (
	nbsp  = '\u00a0'
	space = string(nbsp) + " "
	minus = '-'
	// grouping are the marks that only ever group digits.
	grouping = "'" + string(nbsp)
	digits   = "0123456789"
)

// normalise brings what keyboards, phones and spreadsheets make of a text to
// one form: full-width characters, dashes, quotes, degree signs, spaces. All
// no-break and thin spaces become NBSP, since they may group digits; all other
// white space becomes ' '.
func normalise(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] > '~' {
			plain = false
			break
		}
	}
	if plain {
		return strings.TrimSpace(s)
	}
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r >= '！' && r <= '～': // U+FF01…FF5E: full-width ASCII
			return r - '！' + '!'
		case r == '\t' || r == '\n' || r == '\r' || r == '\u3000':
			return ' '
		}
		switch r {
		case nbsp, '\u2007', '\u2009', '\u202f', '\u2008', '\u200a':
			return nbsp
		case '−', '–', '‐', '‑':
			return minus
		case '′', '’', '‘', '´':
			return '\''
		case '″', '”', '“':
			return '"'
		case 'º', '˚':
			return '°'
		case '⁄', '∕':
			return '/'
		case '∶':
			return ':'
		}
		return r
	}, s))
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// startsNumber tells whether a number begins at s[i].
func startsNumber(s string, i int) bool {
	if digit(s[i]) {
		return true
	}
	if (s[i] == '.' || s[i] == ',') && i+1 < len(s) && digit(s[i+1]) {
		return i == 0 || s[i-1] == ' '
	}
	_, _, ok := vulgarAt(s, i)
	return ok
}

func vulgarAt(s string, i int) (f [2]int, size int, ok bool) {
	if i >= len(s) || s[i] < 0x80 {
		return f, 0, false
	}
	for _, r := range s[i:] {
		f, ok = vulgar[r]
		return f, len(string(r)), ok
	}
	return f, 0, false
}

// scan reads one number at the start of s and tells how long it was.
func (rd reader) scan(s string) (n number, size int, err error) {
	i := 0
	if s[0] == minus || s[0] == '+' {
		n.neg = s[0] == minus
		i++
		for i < len(s) && s[i] == ' ' {
			i++
		}
	}
	from := i
	i += rd.runLength(s[i:])
	run := s[from:i]
	if run != "" {
		if n.digits, err = rd.decimal(run); err != nil {
			return n, 0, err
		}
	}
	j, err := rd.fraction(&n, s, i)
	if err != nil {
		return n, 0, err
	}
	if n.digits == "" && n.den == 0 {
		return n, 0, fault.Newf(fault.NotUnderstood, "", "%s is not a number", quoted(s))
	}
	return n, j, nil
}

// fraction reads what may follow the whole digits that end at s[i]: "½",
// " 1/2", "-1/2", or, if the digits are themselves the numerator, "/2".
func (rd reader) fraction(n *number, s string, i int) (int, error) {
	whole := strings.IndexByte(n.digits, '.') < 0
	j := i
	if n.digits != "" {
		if strings.HasPrefix(s[j:], " ") || strings.HasPrefix(s[j:], "-") {
			j++
		} else if strings.HasPrefix(s[j:], string(nbsp)) {
			j += len(string(nbsp))
		}
	}
	if f, size, ok := vulgarAt(s, j); ok && whole {
		n.num, n.den = f[0], f[1]
		return j + size, nil
	}
	if i < len(s) && s[i] == '/' && n.digits != "" {
		num := n.digits
		n.digits = ""
		return rd.over(n, num, s, i)
	}
	k := j
	for k < len(s) && digit(s[k]) {
		k++
	}
	if j > i && k > j && k < len(s) && s[k] == '/' && n.digits != "" {
		return rd.over(n, s[j:k], s, k)
	}
	return i, nil
}

// over reads "/den" at s[slash]; num is what stands before it.
func (rd reader) over(n *number, num, s string, slash int) (int, error) {
	k := slash + 1
	for k < len(s) && digit(s[k]) {
		k++
	}
	a, err1 := strconv.Atoi(num)
	b, err2 := strconv.Atoi(s[slash+1 : k])
	ends := k == len(s) || s[k] != '/' && s[k] != '.' && s[k] != ','
	if err1 != nil || err2 != nil || !ends || a <= 0 || a >= b || !usualDenominator(b) ||
		strings.IndexByte(n.digits, '.') >= 0 || n.den != 0 {
		return 0, fault.Newf(fault.NotUnderstood, "", "%s is not a fraction we can be sure of", quoted(num+s[slash:k])).
			WithHint("write it with decimals, or as 1/2, 3/4, 5/8")
	}
	n.num, n.den = a, b
	return k, nil
}

// runLength tells how far digits, marks and grouping reach from the start.
func (rd reader) runLength(s string) int {
	i := 0
	for i < len(s) {
		c := s[i]
		switch {
		case digit(c):
			i++
		case (c == '.' || c == ',') && i+1 < len(s) && digit(s[i+1]):
			i++
		case i > 0 && c == '\'' && !rd.d.feet && threeDigits(s[i+1:]):
			i++
		case i > 0 && strings.HasPrefix(s[i:], string(nbsp)) && threeDigits(s[i+len(string(nbsp)):]):
			i += len(string(nbsp))
		default:
			return i
		}
	}
	return i
}

// threeDigits tells whether s begins with exactly three digits that are no
// part of a fraction.
func threeDigits(s string) bool {
	n := 0
	for n < len(s) && digit(s[n]) {
		n++
	}
	return n == 3 && (n == len(s) || s[n] != '/')
}

// decimal brings digits with marks to plain decimals, or asks.
//
// A '.' and a ',' together are certain: the later one is the decimal mark. A
// single mark is certain unless exactly three digits follow one to three
// others ("1,234"); then the locale decides, or we ask. A dot in a country of
// decimal commas is asked about too: scales and calculators there still write
// 1.200 for one and a fifth.
func (rd reader) decimal(run string) (string, error) {
	if rd.text && (strings.ContainsAny(run, ","+grouping) || strings.Count(run, ".") > 1) {
		return "", fault.Newf(fault.NotUnderstood, "", "%s is not a plain number", quoted(run)).
			WithHint("in files numbers have a decimal point and no grouping, for example 1234.5")
	}
	mark, err := rd.decimalMark(run)
	if err != nil {
		return "", err
	}
	whole, frac := run, ""
	if mark != 0 {
		at := strings.LastIndexByte(run, mark)
		whole, frac = run[:at], "."+run[at+1:]
	}
	whole, ok := ungroup(whole)
	if !ok || mark != 0 && strings.Trim(frac[1:], digits) != "" {
		return "", fault.Newf(fault.NotUnderstood, "", "the digits of %s are not grouped in threes", quoted(run)).
			WithHint("write the number without grouping, for example 1234.5")
	}
	return trimZeros(whole + frac), nil
}

// decimalMark finds the mark that parts whole digits from decimals; 0 if there
// is none.
func (rd reader) decimalMark(run string) (byte, error) {
	last := strings.LastIndexAny(run, ".,")
	if last < 0 {
		return 0, nil
	}
	mark := run[last]
	dots, commas := strings.Count(run, "."), strings.Count(run, ",")
	switch {
	case dots > 0 && commas > 0:
		return mark, nil
	case dots+commas > 1:
		return 0, nil // several of one kind group
	case strings.ContainsAny(run, grouping) || !grouped(run, string(mark)):
		return mark, nil
	}
	switch {
	case rd.l.Decimal == ',' && mark == ',', rd.l.Decimal != ',' && mark == '.':
		return mark, nil
	case rd.l.Decimal == '.' && mark == ',':
		return 0, nil
	}
	return 0, rd.twoWays(run, string(mark))
}

// twoWays asks which number a single mark before three digits makes.
func (rd reader) twoWays(run, mark string) error {
	dec := "."
	if rd.l.Decimal == ',' {
		dec = ","
	}
	a, b, _ := strings.Cut(run, mark)
	return fault.Newf(fault.NotUnderstood, "", "%s can be read in two ways: is it %s%s, or %s and a bit?", run, a, b, a).
		WithHint("write %s%s, or %s%s%s0", a, b, a, dec, b)
}

// grouped tells whether run could be a grouped whole number: one to three
// digits, not led by 0, then groups of exactly three.
func grouped(run, mark string) bool {
	p := strings.Split(run, mark)
	if len(p) < 2 || p[0] == "" || len(p[0]) > 3 || p[0][0] == '0' {
		return false
	}
	for _, g := range p[1:] {
		if len(g) != 3 {
			return false
		}
	}
	return true
}

// ungroup takes correct grouping out; one kind of mark only.
func ungroup(s string) (string, bool) {
	at := strings.IndexAny(s, ".,"+grouping)
	if at < 0 {
		return s, true
	}
	_, size := utf8.DecodeRuneInString(s[at:])
	mark := s[at : at+size]
	w := strings.ReplaceAll(s, mark, "")
	return w, grouped(s, mark) && strings.Trim(w, digits) == ""
}

// trimZeros takes leading zeros off and puts one before a bare mark.
func trimZeros(s string) string {
	t := strings.TrimLeft(s, "0")
	if t == "" || t[0] == '.' {
		t = "0" + t
	}
	return t
}

// quoted shows what was typed, cut to a length that fits a sentence.
func quoted(s string) string {
	if r := []rune(s); len(r) > 40 {
		s = string(r[:40]) + "…"
	}
	return strconv.Quote(s)
}
