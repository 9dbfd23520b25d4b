package sheet

// table draws the rows of one page under their head.
func (q *press) table(b *tableBit, y float64) {
	left, right := q.room.X, q.room.X
	for _, w := range b.wide {
		right += w
	}
	if b.first && b.Caption != "" {
		q.say(left, y+lhBody/2, b.Caption, ptBody, true)
		y += lhBody + 1
	}
	q.tableHead(b, y)
	y += b.head
	if b.head > 0 {
		q.line(left, y, right, y, frameWide)
	} else {
		q.line(left, y, right, y, hairline)
	}
	for i := range b.rows {
		q.row(b, &b.rows[i], y, b.high[i])
		y += b.high[i]
		// A caution has a frame of its own: no line of the table beside it.
		if len(b.rows[i].Cautions) == 0 && (i+1 == len(b.rows) || len(b.rows[i+1].Cautions) == 0) {
			q.line(left, y, right, y, hairline)
		}
	}
}

// tableHead sets the heads of the columns on one base line.
func (q *press) tableHead(b *tableBit, y float64) {
	x := q.room.X
	for i, c := range b.Cols {
		w := b.wide[i]
		head, sub := wrap(c.Head, ptSmall, true, w-2*padX), wrap(c.Sub, ptSmall, false, w-2*padX)
		ly := y + b.head - 0.7 - float64(len(head)+len(sub))*lhSmall
		for n, l := range append(head, sub...) {
			bold := n < len(head)
			if c.Kind == Number {
				q.sayRight(x+w-padX, ly+lhSmall/2, l, ptSmall, bold)
			} else {
				q.say(x+padX, ly+lhSmall/2, l, ptSmall, bold)
			}
			ly += lhSmall
		}
		x += w
	}
}

func (q *press) row(b *tableBit, r *Row, y, h float64) {
	total := 0.0
	for _, w := range b.wide {
		total += w
	}
	switch {
	case len(r.Cautions) > 0:
		q.cautions(r.Cautions, q.room.X, y+0.8, total, h-1.6)
		return
	case r.Wide != "":
		lines := wrap(r.Wide, ptBody, true, total-2*padX)
		ly := y + (h-float64(len(lines))*lhBody)/2
		for _, l := range lines {
			q.say(q.room.X+padX, ly+lhBody/2, l, ptBody, true)
			ly += lhBody
		}
		return
	}
	x := q.room.X
	for i, c := range b.Cols {
		if i < len(r.Cells) {
			q.cell(c, r.Cells[i], x, y, b.wide[i], h)
		}
		x += b.wide[i]
	}
}

func (q *press) cell(c Col, cell Cell, x, y, w, h float64) {
	if c.Kind == Blank {
		q.line(x, y, x, y+h, hairline)
	}
	tx := x + padX
	if !cell.Off {
		tx = q.boxes(c, x+padX, y+h/2, x+w)
	}
	say, small := c.lines(cell, w)
	pt, lh := c.size()
	ly := y + (h-float64(len(say))*lh-float64(len(small))*lhSmall)/2
	for _, l := range say {
		if c.Kind == Number {
			right := x + w - padX
			if cell.Unit != "" {
				q.sayRight(right, ly+lh/2+0.5, cell.Unit, ptBody, false)
				right -= width(clean(cell.Unit)+" ", ptBody, false)
			}
			q.sayRight(right, ly+lh/2, l, pt, c.Big)
		} else {
			q.say(tx, ly+lh/2, l, pt, c.Big)
		}
		ly += lh
	}
	for _, l := range small {
		q.say(tx, ly+lhSmall/2, l, ptSmall, false)
		ly += lhSmall
	}
}

// boxes draws what the pencil needs, its middle at mid, and gives where words
// may stand behind it.
func (q *press) boxes(c Col, x, mid, right float64) float64 {
	top := mid - boxSide/2
	switch c.Kind {
	case Check:
		q.frame(x, top, boxSide, boxSide, lineWide)
		return x + boxSide + 1
	case CheckLine:
		q.frame(x, top, boxSide, boxSide, lineWide)
		q.line(x+boxSide+1, top+boxSide, right-padX, top+boxSide, lineWide)
		return x + boxSide + 1
	case Digits:
		for _, r := range c.Pattern {
			if r == '#' {
				q.frame(x, top, boxSide, boxSide, lineWide)
				x += boxSide
				continue
			}
			q.say(x+signBefore, mid+0.7, string(r), ptBig, true)
			x += width(string(r), ptBig, true) + signAfter
		}
	case Choices:
		for _, word := range c.Words {
			q.frame(x, top, boxSide, boxSide, lineWide)
			x += boxSide + wordBefore
			q.say(x, mid, word, ptSmall, false)
			x += width(clean(word), ptSmall, false) + wordAfter
		}
	}
	return x
}
