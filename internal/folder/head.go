package folder

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"larder/internal/fault"
	"larder/internal/units"
)

// bound is a column of ours found in a table.
type bound struct {
	f     *field
	at    int      // its place in a row
	label string   // its head, as it stands in the file
	unit  string   // the unit in its head, "" = none
	mixed []string // the units in its head, when there are several
	usual int      // numbers taken in the usual unit

	// met are the amounts read before: a column says the same few hundred over
	// and over.
	met map[string]any
}

// folded makes heads and words equal that differ only in case, spaces,
// underscores, hyphens and full stops.
func folded(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if c := s[i]; c < 'a' || c > 'z' {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), r == '_', r == '-', r == '.', r == '\ufeff', r == '‐', r == '–':
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

// splitHead cuts a remark in brackets, or behind a comma, off a head:
// "gross (lb)", "gross [kg]", "Gross weight, lb".
func splitHead(h string) (name, remark string) {
	h = strings.TrimSpace(h)
	for _, b := range []string{"()", "[]"} {
		if i := strings.LastIndexByte(h, b[0]); i > 0 && strings.HasSuffix(h, b[1:]) {
			return h[:i], strings.TrimSpace(h[i+1 : len(h)-1])
		}
	}
	if i := strings.LastIndexByte(h, ','); i > 0 {
		return h[:i], strings.TrimSpace(h[i+1:])
	}
	return h, ""
}

// match tells whether a head means the column, and in what unit. strength says
// how well: 3 its own name, 2 another name of it, less 1 with a unit behind it;
// longer names win.
func (f *field) match(h string, l units.Locale) (b bound, strength int, err error) {
	name, remark := splitHead(h)
	key := folded(name)
	best := bound{f: f, label: strings.TrimSpace(h)}
	for i, n := range append([]string{f.name}, f.also...) {
		n = folded(n)
		rank := 1000
		if i == 0 {
			rank = 2000
		}
		if key == n {
			best.unit, best.mixed, err = f.headUnit(remark, l)
			if remark == "" && i > 0 && f.unit != nil { // "km" and "brix" are names and units in one
				if u, e := f.unit(n, l); e == nil {
					best.unit = u
				}
			}
			return best, rank + 500 + len(n), err
		}
		end, ok := strings.CutPrefix(key, n)
		if !ok || f.unit == nil || len(n) <= strength-rank {
			continue
		}
		u, mixed, e := f.headUnit(end, l)
		if e != nil {
			u, mixed, e = f.headUnit(strings.TrimPrefix(end, "in"), l) // "gross in lb"
		}
		if e == nil && (u != "" || mixed != nil) {
			b = best
			b.unit, b.mixed = u, mixed
			strength = max(strength, rank+len(n))
		}
	}
	return b, strength, nil
}

// headUnit reads the unit in a head; several of them are told apart by a
// slash, a comma or "or".
func (f *field) headUnit(s string, l units.Locale) (unit string, mixed []string, err error) {
	if s == "" || f.unit == nil {
		return "", nil, nil
	}
	if unit, err = f.unit(s, l); err == nil {
		return unit, nil, nil
	}
	for _, sep := range []string{"/", " or ", "or", ",", "+", "&"} {
		if !strings.Contains(s, sep) {
			continue
		}
		for p := range strings.SplitSeq(s, sep) {
			u, e := f.unit(strings.TrimSpace(p), l)
			if e != nil {
				mixed = nil
				break
			}
			mixed = append(mixed, u)
		}
		if len(mixed) > 1 {
			return "", mixed, nil
		}
	}
	return "", nil, err
}

// bind finds the columns of a table in its head. A head that is none of ours is
// passed over and told.
func (s *sheet) bind(head []string, row int) []*bound {
	var out []*bound
	from := map[*field]string{}
	for i, h := range head {
		if strings.TrimSpace(h) == "" {
			continue
		}
		b, err := s.t.find(h, s.m.loc)
		switch {
		case err != nil:
			s.trouble(err, row, strings.TrimSpace(h), "")
			from[b.f] = h
		case b.f == nil:
			s.warn(s.at(row, strings.TrimSpace(h)), "the column is none of ours and was passed over", "the manual lists the columns of "+s.t.file())
		case from[b.f] != "":
			s.tell(row, fault.Newf(fault.Conflict, s.at(row, b.label), "the columns %q and %q both mean %s", from[b.f], b.label, b.f.name).
				WithHint("rename or remove one of them"))
		default:
			b.at = i
			from[b.f] = b.label
			out = append(out, &b)
		}
	}
	var missing []string
	for i := range s.t.fields {
		if f := &s.t.fields[i]; f.need && from[f] == "" {
			missing = append(missing, f.name)
		}
	}
	if len(missing) > 0 {
		s.tell(row, fault.Newf(fault.Missing, fmt.Sprintf("%s row %d", s.name, row), "the head has no column %s", strings.Join(missing, ", ")).
			WithHint("the head of %s has at least: %s", s.t.file(), strings.Join(s.t.needs(), ", ")))
	}
	return out
}

// find gives the column a head means; f is nil if there is none. err is set
// when the column is clear and its unit is not.
func (t *table) find(h string, l units.Locale) (bound, error) {
	var best bound
	var trouble error
	top := 0
	for i := range t.fields {
		b, n, err := t.fields[i].match(h, l)
		if n > top {
			best, top, trouble = b, n, err
		}
	}
	return best, trouble
}

// heads counts how many of the cells are heads of columns of t.
func (t *table) heads(row []string) int {
	var seen []*field
	for _, h := range row {
		if h = strings.TrimSpace(h); h == "" || len(h) > 100 {
			continue
		}
		if b, _ := t.find(h, units.Locale{}); b.f != nil && !slices.Contains(seen, b.f) {
			seen = append(seen, b.f)
		}
	}
	return len(seen)
}
