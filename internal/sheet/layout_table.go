package sheet

import "strings"

// widths shares the width of the page among the columns.
func (t *Table) widths(w float64) []float64 {
	out := make([]float64, len(t.Cols))
	left, shares := w, 0.0
	for i, c := range t.Cols {
		switch {
		case c.Fit:
			out[i] = min(max(c.Wide, t.widest(i)), max(c.Wide, c.Most))
		case c.Wide > 0:
			out[i] = c.Wide
		case c.Kind == Digits || c.Kind == Choices:
			out[i] = c.pencil()
		default:
			shares += share(c)
			continue
		}
		left -= out[i]
	}
	for i, c := range t.Cols {
		if out[i] == 0 {
			out[i] = max(10, left*share(c)/shares)
		}
	}
	return out
}

// Steps between the boxes and words of a pencil column.
const (
	wordBefore, wordAfter = 0.7, 1.6
	signBefore, signAfter = 0.3, 0.6
)

// pencil gives the width the boxes of a column need.
func (c Col) pencil() float64 {
	w := 2 * padX
	for _, word := range c.Words {
		w += boxSide + wordBefore + width(clean(word), ptSmall, false) + wordAfter
	}
	for _, r := range c.Pattern {
		if r == '#' {
			w += boxSide
		} else {
			w += width(string(r), ptBig, true) + signAfter
		}
	}
	for word := range strings.FieldsSeq(clean(c.Head)) {
		w = max(w, width(word, ptSmall, true)+2*padX+0.2)
	}
	return w
}

func share(c Col) float64 {
	if c.Share > 0 {
		return c.Share
	}
	return 1
}

// widest gives the width the longest cell of a column wants.
func (t *Table) widest(i int) float64 {
	most := 0.0
	pt, _ := t.Cols[i].size()
	for _, r := range t.Rows {
		if i < len(r.Cells) {
			w := width(clean(r.Cells[i].Say), pt, t.Cols[i].Big)
			if u := r.Cells[i].Unit; u != "" {
				w += width(" "+clean(u), ptBody, false)
			}
			most = max(most, w)
		}
	}
	return most + 2*padX + 0.2
}

func (c Col) size() (pt, lh float64) {
	switch {
	case c.Big:
		return ptBig, lhBig
	case c.Small:
		return ptSmall, lhSmall
	}
	return ptBody, lhBody
}

func (t *Table) headHigh(wide []float64) float64 {
	most := 0
	for i, c := range t.Cols {
		n := len(wrap(c.Head, ptSmall, true, wide[i]-2*padX)) + len(wrap(c.Sub, ptSmall, false, wide[i]-2*padX))
		most = max(most, n)
	}
	if most == 0 {
		return 0
	}
	return float64(most)*lhSmall + 1.4
}

// rowHigh gives the height a row needs, at least the table's own.
func (t *Table) rowHigh(r *Row, wide []float64, extra float64) float64 {
	least := t.Least
	if t.Most > t.Least {
		least += extra
	}
	total := 0.0
	for _, w := range wide {
		total += w
	}
	switch {
	case len(r.Cautions) > 0:
		return cautionsHigh(r.Cautions, total) + 1.6
	case r.Wide != "":
		return max(t.Least, float64(len(wrap(r.Wide, ptBody, true, total-2*padX)))*lhBody+2*padY)
	}
	h := least
	for i, c := range t.Cols {
		if i >= len(r.Cells) {
			break
		}
		say, small := c.lines(r.Cells[i], wide[i])
		_, lh := c.size()
		h = max(h, float64(len(say))*lh+float64(len(small))*lhSmall+2*padY)
		if c.Kind >= Check && c.Kind <= Choices && !r.Cells[i].Off {
			h = max(h, boxSide+2*padY)
		}
	}
	return h
}

// lines breaks the words of a cell.
func (c Col) lines(cell Cell, w float64) (say, small []string) {
	pt, _ := c.size()
	w -= 2 * padX
	switch {
	case (c.Kind == Check || c.Kind == CheckLine) && !cell.Off:
		w -= boxSide + 1
	case cell.Unit != "":
		w -= width(" "+clean(cell.Unit), ptBody, false)
	}
	return wrap(cell.Say, pt, c.Big, w), wrap(cell.Small, ptSmall, false, w)
}
