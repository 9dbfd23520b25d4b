package season

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"larder/internal/fault"
	"larder/internal/units"
)

// NewYard is one line of a box of yards: a yard and what is to stand there.
type NewYard struct {
	Line  int    // of the text, from 1
	Name  string // as typed: "Mill Lane"
	ID    string // "mill-lane"
	Count int    // hives counted and numbered from 1; 0 when named
	Hives []string
	Road  units.Length // from home, when told
}

// LineTrouble is what keeps a line of a typed text from being taken.
type LineTrouble struct {
	Line int // from 1; 0 = the text as a whole
	Text string
	Err  *fault.Error
}

// The most that one typed text makes: more is a slip of the finger.
const (
	maxYardsTyped = 200
	maxHivesTyped = 3000
)

// ReadYards reads yards and hives as people write them down, a yard to a line:
//
//	Home 24            24 hives, home-1 to home-24
//	Mill 18, 6 mi      and the way there from home
//	Hill: 14, 15, 16A  hives by name; 14-20 is a range
//
// Two columns pasted from a spreadsheet, yard and hive, are read too: a yard
// that comes more than once has hives by name. What cannot be read is told line
// by line; the other lines are read all the same.
func ReadYards(text string, l units.Locale) ([]NewYard, []LineTrouble) {
	var out []NewYard
	var bad []LineTrouble
	at := map[string]int{} // id → where in out
	columns := twoColumns(text)
	hives := 0
	n := 0
	for line := range strings.Lines(strings.ReplaceAll(text, "\r\n", "\n")) {
		n++
		raw := strings.TrimSpace(strings.TrimRight(line, "\r\n"))
		if raw == "" {
			continue
		}
		y, err := readYard(raw, columns, l)
		if err == nil && hives+y.Count+len(y.Hives) > maxHivesTyped {
			err = fault.Newf(fault.OutOfRange, "", "that would be more than %d hives at once", maxHivesTyped).WithHint("is there a slip in the number?")
		}
		if err == nil && len(out) >= maxYardsTyped {
			err = fault.Newf(fault.OutOfRange, "", "that would be more than %d yards at once", maxYardsTyped)
		}
		k, again := at[y.ID]
		if err == nil && again && (!columns || out[k].Count > 0 || y.Count > 0) {
			err = fault.Newf(fault.Conflict, "", "the yard %s is there twice", y.Name).WithHint("put all its hives in one line, or give one of them another name")
		}
		if err != nil {
			bad = append(bad, LineTrouble{n, raw, asFault(err)})
			continue
		}
		hives += y.Count + len(y.Hives)
		y.Line = n
		if again {
			out[k].Hives = append(out[k].Hives, y.Hives...)
			continue
		}
		at[y.ID] = len(out)
		out = append(out, y)
	}
	if n == 0 || len(out)+len(bad) == 0 {
		bad = append(bad, LineTrouble{0, "", fault.New(fault.Missing, "", "no yard is told").WithHint("a yard and how many hives it has, one to a line: Home 24")})
	}
	return out, bad
}

// twoColumns tells whether the text is a list of yard and hive: two columns in
// every line and some yard more than once.
func twoColumns(text string) bool {
	seen, twice := map[string]bool{}, false
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		yard, rest, ok := strings.Cut(line, "\t")
		if !ok || strings.Contains(rest, "\t") {
			return false
		}
		id := YardID(yard)
		twice = twice || seen[id]
		seen[id] = true
	}
	return twice
}

func readYard(raw string, columns bool, l units.Locale) (NewYard, error) {
	var y NewYard
	if columns {
		yard, hive, _ := strings.Cut(raw, "\t")
		y.Name, y.Hives = strings.TrimSpace(yard), []string{strings.TrimSpace(hive)}
		return y.named()
	}
	if name, names, ok := strings.Cut(raw, ":"); ok {
		y.Name = strings.TrimSpace(name)
		var err error
		if y, err = y.named(); err != nil {
			return y, err
		}
		y.Hives, err = ReadHives(names, y.ID, 1)
		if len(y.Hives) == 0 && err == nil {
			err = fault.Newf(fault.Missing, "", "no hive is told for %s", y.Name).WithHint("names with commas between: Hill: 14, 15, 16A")
		}
		return y, err
	}
	rest := raw
	if head, way, ok := strings.Cut(raw, ","); ok {
		e, err := units.EnterIn[units.Length](strings.TrimSpace(way), roadUnit(l), l)
		if err != nil {
			return y, err
		}
		if e.Q > 2000*units.Kilometre {
			return y, fault.Newf(fault.OutOfRange, "", "%s is no way to a yard", strings.TrimSpace(way))
		}
		y.Road, rest = e.Q, strings.TrimSpace(head)
	}
	rest = strings.ReplaceAll(rest, "\t", " ")
	i := strings.LastIndexFunc(rest, unicode.IsSpace)
	if i < 0 {
		return y, fault.Newf(fault.NotUnderstood, "", "how many hives stand at %s is not told", rest).WithHint("the yard and how many hives it has: Home 24")
	}
	n, err := strconv.Atoi(rest[i+1:])
	if err != nil || n < 1 || n > maxHivesTyped {
		return y, fault.Newf(fault.NotUnderstood, "", "%q is not how many hives a yard has", rest[i+1:]).WithHint("the yard and how many hives it has: Home 24")
	}
	y.Name, y.Count = strings.TrimSpace(rest[:i]), n
	return y.named()
}

func roadUnit(l units.Locale) string {
	if l.System == units.Metric {
		return "km"
	}
	return "mi"
}

// named checks the name and makes the id.
func (y NewYard) named() (NewYard, error) {
	y.ID = YardID(y.Name)
	if err := first(needName("yard", y.Name), needName("yard", y.ID)); err != nil {
		return y, err
	}
	for _, h := range y.Hives {
		if err := needName("colony", h); err != nil {
			return y, err
		}
	}
	return y, roomForNames(y.ID, y.Count)
}

// roomForNames refuses a yard whose hives, named after it, had names too long to
// be kept.
func roomForNames(yard string, n int) error {
	if n > 0 && len(HiveName(yard, n)) > maxName {
		return tooLongForNames(yard)
	}
	return nil
}

func tooLongForNames(yard string) *fault.Error {
	return fault.Newf(fault.OutOfRange, "", "the hives would be named after the yard, and the name %.20q… is too long for that", yard).WithHint("give the yard a shorter name, or name its hives: Hill: 14, 15, 16A")
}

// YardID makes the short name of a yard from what it is called: "Mill Lane" is
// "mill-lane". It never has a space in it and is "" when nothing is left.
func YardID(name string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(name) {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) {
			gap = b.Len() > 0
			continue
		}
		if gap {
			b.WriteByte('-')
			gap = false
		}
		b.WriteRune(r)
	}
	return b.String()
}

// HiveName makes the name of a numbered hive, "mill-4": unique in the book since
// the yard's is.
func HiveName(yard string, n int) string { return fmt.Sprintf("%s-%d", yard, n) }

// betweenNames tells what stands between names of hives.
func betweenNames(r rune) bool {
	return r == ',' || r == ';' || r == '\n' || r == '\r' || r == '\t'
}

// ReadHives reads names of hives: a number alone is how many, named after the
// yard and numbered from next; else names with commas, semicolons or lines
// between, in which "14-20" and "m1-m12" are ranges.
func ReadHives(text, yard string, next int) ([]string, error) {
	t := strings.TrimSpace(text)
	if n, what, ok := howMany(t); ok && what == anyHive {
		t = n
	}
	if n, err := strconv.Atoi(t); err == nil {
		if n < 1 || n > maxHivesTyped {
			return nil, fault.Newf(fault.OutOfRange, "", "%d hives cannot be made at once", n).WithHint("between 1 and %d", maxHivesTyped)
		}
		if err := roomForNames(yard, next+n-1); err != nil {
			return nil, err
		}
		out := make([]string, n)
		for i := range out {
			out[i] = HiveName(yard, next+i)
		}
		return out, nil
	}
	var out []string
	for _, part := range strings.FieldsFunc(t, betweenNames) {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		if n, what, ok := howMany(part); ok && what == aNuc {
			return nil, fault.Newf(fault.NotUnderstood, "", "%q is how many, not the name of a hive", part).
				WithHint("choose the boxes of a nuc as the hive, and type %s alone", n)
		} else if ok {
			return nil, fault.Newf(fault.NotUnderstood, "", "%q is how many, not the name of a hive", part).
				WithHint("either how many alone, or names with commas between")
		}
		names, err := hiveRange(part)
		if err != nil {
			return nil, err
		}
		out = append(out, names...)
		if len(out) > maxHivesTyped {
			return nil, fault.Newf(fault.OutOfRange, "", "that would be more than %d hives at once", maxHivesTyped)
		}
	}
	seen := map[string]bool{}
	for _, h := range out {
		if err := needName("colony", h); err != nil {
			return nil, err
		}
		if seen[h] {
			return nil, fault.Newf(fault.Conflict, "", "the hive %s is there twice", h).WithHint("each hive has a name of its own in the whole book")
		}
		seen[h] = true
	}
	return out, nil
}

// What a number of hives may be of.
const (
	anyHive = iota + 1
	aNuc
)

var hiveWords = map[string]int{
	"hive": anyHive, "hives": anyHive, "colony": anyHive, "colonies": anyHive, "colmena": anyHive, "colmenas": anyHive, "colonia": anyHive, "colonias": anyHive,
	"nuc": aNuc, "nucs": aNuc, "nuclei": aNuc, "nucleus": aNuc, "núcleo": aNuc, "núcleos": aNuc, "nucleo": aNuc, "nucleos": aNuc,
}

// howMany reads "4 nucs" or "12 colmenas": a number, and what it is of.
func howMany(text string) (n string, what int, ok bool) {
	i := strings.IndexFunc(text, func(r rune) bool { return r < '0' || r > '9' })
	if i < 1 {
		return "", 0, false
	}
	what, ok = hiveWords[strings.ToLower(strings.TrimSpace(text[i:]))]
	return text[:i], what, ok
}

// hiveRange reads "14-20" or "m1-m12"; anything else is one name ("mill-4").
func hiveRange(part string) ([]string, error) {
	a, b, ok := strings.Cut(part, "-")
	a, b = strings.TrimSpace(a), strings.TrimSpace(b)
	pa, na, okA := numbered(a)
	pb, nb, okB := numbered(b)
	if !ok || !okA || !okB || pb != "" && pb != pa {
		return []string{part}, nil
	}
	if nb < na || nb-na >= maxHivesTyped {
		return nil, fault.Newf(fault.NotUnderstood, "", "%s is no range of hives", part).WithHint("from the lower number to the higher: 14-20")
	}
	out := make([]string, 0, nb-na+1)
	for n := na; n <= nb; n++ {
		out = append(out, pa+strconv.Itoa(n))
	}
	return out, nil
}

// numbered splits "m12" into "m" and 12. Leading zeros are kept by refusing:
// "007" is a name, not a number.
func numbered(s string) (prefix string, n int, ok bool) {
	i := len(s)
	for i > 0 && s[i-1] >= '0' && s[i-1] <= '9' {
		i--
	}
	d := s[i:]
	if d == "" || len(d) > 6 || len(d) > 1 && d[0] == '0' {
		return "", 0, false
	}
	n, err := strconv.Atoi(d)
	return s[:i], n, err == nil
}

// asFault gives the trouble of an error of ours.
func asFault(err error) *fault.Error {
	var e *fault.Error
	if errors.As(err, &e) {
		return e
	}
	return &fault.Error{Kind: fault.Internal, Say: "this could not be read", Err: err}
}
