package route

import (
	"strings"
	"unicode"

	"larder/internal/fault"
)

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
