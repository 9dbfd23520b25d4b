package folder

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// read reads the text of a CSV table.
func (s *sheet) read(text string) {
	if strings.TrimSpace(text) == "" {
		s.warn(s.name, "the file is empty", "")
		return
	}
	delim, at := s.findHead(text)
	if at < 0 {
		s.tell(0, fault.Newf(fault.NotUnderstood, s.name, "no row looks like the head of this table").
			WithHint("the head of %s has at least: %s", s.t.file(), strings.Join(s.t.needs(), ", ")))
		return
	}
	s.delim = delim
	s.m.loc = localeOf(s.m.house, delim)
	limit := maxCell
	if s.t == otherTable {
		limit = maxFile
	}
	s.table(splitter{file: s.name, s: text, delim: delim, limit: limit, tell: s.tell}.rows(), at)
}

// findHead tells which sign stands between the cells and which row is the head:
// those with which most columns are recognised.
func (s *sheet) findHead(text string) (delim byte, at int) {
	tries := delimiters
	first, told := forced(text)
	if told && strings.IndexByte(delimiters, first) >= 0 {
		tries = string(first)
	}
	best := 0
	at = -1
	for i := range len(tries) {
		rows := splitter{s: top(text), delim: tries[i], limit: maxCell, tell: func(int, error) {}}.rows()
		if k, n := s.t.headRow(rows); n > best {
			best, delim, at = n, tries[i], k
		}
	}
	return delim, at
}

// headRow finds the row that has most heads of the table.
func (t *table) headRow(rows [][]string) (at, n int) {
	at = -1
	for i, r := range rows[:min(len(rows), titleTop)] {
		if k := t.heads(r); k > n {
			at, n = i, k
		}
	}
	return at, n
}

// table reads the rows of a table whose head is row at (from 0).
func (s *sheet) table(rows [][]string, at int) {
	s.above(rows[:at])
	head := rows[at]
	cols := s.bind(head, at+1)
	if s.t == otherTable {
		s.joinParts(rows, cols)
	}
	for _, b := range cols {
		if b.f.sort == sDay || b.f.sort == sMoment {
			s.learnOrder(rows[at+1:], b)
		}
	}
	bare := s.bare(head)
	missing := len(s.errs) > 0 && !s.complete(cols)
	for i := at + 1; i < len(rows); i++ {
		if blank(rows[i]) {
			continue
		}
		s.count.Rows++
		if !s.overhang(rows[i], head, bare, i+1) || missing {
			continue
		}
		s.row(rows[i], cols, i+1)
	}
	s.afterwards(cols)
}

// complete tells whether all needed columns were found; if not, telling of
// every row that they are missing would bury the rest.
func (s *sheet) complete(cols []*bound) bool {
	for i := range s.t.fields {
		f := &s.t.fields[i]
		if f.need && !slices.ContainsFunc(cols, func(b *bound) bool { return b.f == f }) {
			return false
		}
	}
	return true
}

// above tells of rows over the head that are passed over.
func (s *sheet) above(rows [][]string) {
	for i, r := range rows {
		if !blank(r) && (i > 0 || len(strings.Join(r, "")) > 5 || !strings.HasPrefix(strings.ToLower(strings.Join(r, "")), "sep=")) {
			s.warn(s.at(i+1, ""), "the row stands above the head and was passed over", "")
		}
	}
}

func blank(r []string) bool {
	for _, c := range r {
		if c != "" && strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// bare finds the cells of the head that are blank.
func (s *sheet) bare(head []string) []int {
	var out []int
	for i, h := range head {
		if strings.TrimSpace(h) == "" {
			out = append(out, i)
		}
	}
	return out
}

// overhang looks at cells that no head stands over. It is false when the row
// cannot be trusted: a decimal comma between commas shifts all that follows.
func (s *sheet) overhang(r, head []string, bare []int, n int) bool {
	shifted := func() {
		s.tell(n, fault.New(fault.NotUnderstood, s.at(n, ""), "the row has more cells than the head").
			WithHint("a decimal comma wants quotes around its number, or semicolons between the cells"))
	}
	for i := len(head); i < len(r); i++ {
		if strings.TrimSpace(r[i]) != "" {
			shifted()
			return false
		}
	}
	for _, i := range bare {
		if i >= len(r) || strings.TrimSpace(r[i]) == "" {
			continue
		}
		if s.delim == ',' && i > 0 && allDigits(r[i]) && endsInDigit(r[i-1]) {
			shifted()
			return false
		}
		if !slices.ContainsFunc(s.warns, func(w Warning) bool { return w.Thing == fmt.Sprintf("%s, %s", s.name, place26(i)) }) {
			s.warn(fmt.Sprintf("%s, %s", s.name, place26(i)), "the column has no head and was passed over", "")
		}
	}
	return true
}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

// place26 names a column as spreadsheets do: column C.
func place26(i int) string {
	name := ""
	for i++; i > 0; i = (i - 1) / 26 {
		name = string(rune('A'+(i-1)%26)) + name
	}
	return "column " + name
}

// learnOrder finds out how a column writes days that are not year-month-day.
func (s *sheet) learnOrder(rows [][]string, b *bound) {
	for _, r := range rows {
		if b.at < len(r) && strings.ContainsAny(r[b.at], "/-") && !isISO(r[b.at]) {
			s.m.order = s.m.order.learn(strings.TrimSpace(r[b.at]))
		}
	}
}

// row reads one row.
func (s *sheet) row(cells []string, cols []*bound, n int) {
	f, r, errs := s.t.decode(cells, cols, s.m)
	if len(errs) > 0 {
		for _, err := range errs {
			s.rowTrouble(err, cells, cols, n)
		}
		return
	}
	if r.skipped {
		s.count.NotSeen++
		if r.why != "" && !s.said[r.why] {
			if s.said == nil {
				s.said = map[string]bool{}
			}
			s.said[r.why] = true
			s.warn(s.at(n, ""), r.why, "")
		}
		return
	}
	s.got = append(s.got, placedFact{fact: f, file: s.name, row: n})
}

// rowTrouble notes what is wrong with a row, at the column it concerns.
func (s *sheet) rowTrouble(err error, cells []string, cols []*bound, n int) {
	c, ok := err.(*inColumn)
	if !ok {
		s.trouble(err, n, "", "")
		return
	}
	label, text := c.name, c.text
	for _, b := range cols {
		if b.f.name == c.name {
			label = b.label
			if text == "" && b.at < len(cells) {
				text = strings.TrimSpace(cells[b.at])
			}
		}
	}
	err = c.err
	if e, ok := err.(*fault.Error); ok && e.Hint == "" {
		if f := s.t.field(c.name); f.example != "" {
			err = fault.New(e.Kind, e.Thing, e.Say).WithHint("write for example %s", f.example)
		}
	}
	s.trouble(err, n, label, text)
}

// afterwards tells what was taken for granted while the rows were read.
func (s *sheet) afterwards(cols []*bound) {
	for _, b := range cols {
		if b.usual > 0 {
			u := b.f.usual[s.m.system]
			s.warn(fmt.Sprintf("%s, column %s", s.name, b.label), count(b.usual, "number")+" without a unit taken as "+u,
				fmt.Sprintf("put the unit into the head, as in %s_%s, to be sure", b.f.name, strings.ReplaceAll(u, " ", "_")))
		}
	}
	if s.m.zoneless > 0 && !s.m.zoneTold {
		s.warn(s.name, count(s.m.zoneless, "time")+" without an offset taken as UTC", "put zone under [house] in season.toml")
	}
	switch s.m.order {
	case dayFirst:
		s.warn(s.name, "days such as 3/10/2026 were read as day/month/year", hintDay)
	case monthFirst:
		s.warn(s.name, "days such as 3/10/2026 were read as month/day/year", hintDay)
	}
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// joinParts puts the parts of long facts together: a row with part 2 goes on
// where the row above it stops.
func (s *sheet) joinParts(rows [][]string, cols []*bound) {
	var fact, part *bound
	for _, b := range cols {
		switch b.f.name {
		case otherFact:
			fact = b
		case "part":
			part = b
		}
	}
	if fact == nil || part == nil {
		return
	}
	var whole []string
	for i := range rows {
		r := rows[i]
		if part.at >= len(r) || fact.at >= len(r) {
			whole = nil
			continue
		}
		n, err := number(strings.TrimSpace(r[part.at]), units.Locale{})
		if err != nil || n < 2 {
			whole = r
			continue
		}
		if whole != nil {
			whole[fact.at] += unguard(r[fact.at])
			rows[i] = nil
		}
	}
}
