package sheet

import "math"

// Sizes of type in points and of lines in millimetres. Nothing is smaller than
// 8 points; hive and amount are the largest.
const (
	ptBody, ptSmall, ptBig, ptName = 10.0, 8.0, 14.0, 17.0
	lhBody, lhSmall, lhBig         = 4.4, 3.4, 5.0
	padX                           = 1.2 // on both sides of a cell
	padY                           = 0.4 // above and below
	boxSide                        = 5.0 // of a box for one digit: not less on any paper
	gapPart                        = 2.5
	writeHigh                      = 8.0 // a line to write on
	tiny                           = 1e-6
)

// Page is one page of a Doc, laid out.
type Page struct {
	N, Of int
	Items []Item
}

// Item is a piece of a part, placed on a page.
type Item struct {
	Y, H float64 // millimetres from the top of the paper
	What any     // tableBit, Write, Para, Picture, gridBit, []Caution or footBit
}

// tableBit is some rows of a table.
type tableBit struct {
	*Table
	first bool // carries the caption
	wide  []float64
	head  float64
	rows  []Row
	high  []float64
}

type gridBit struct {
	*Grid
	cells []Drawing
	cols  int
}

type footBit []string

// Pages lays a sheet on paper. Page breaks are the same for HTML and PDF.
func (d *Doc) Pages(p Paper) []Page {
	l := layout{d: d, room: p.room()}
	l.run()
	if n := len(l.pages); n > 1 && !l.pages[n-1].hasRows() && d.maySplit() {
		// Lines to write on, alone on the last page, are no use there: share the
		// rows out over all pages.
		l = layout{d: d, room: p.room(), split: n}
		l.run()
	}
	if extra := l.spare(); extra >= 0.5 {
		l = layout{d: d, room: p.room(), split: l.split, extra: math.Floor(extra*2) / 2}
		l.run()
	}
	for i := range l.pages {
		l.pages[i].N, l.pages[i].Of = i+1, len(l.pages)
	}
	return l.pages
}

func (p *Page) hasRows() bool {
	for _, it := range p.Items {
		if _, ok := it.What.(tableBit); ok {
			return true
		}
	}
	return false
}

// maySplit tells whether there is a table that is shared out evenly.
func (d *Doc) maySplit() bool {
	for _, p := range d.Parts {
		if t, ok := p.(Table); ok && t.PerPage > 0 {
			return true
		}
	}
	return false
}

type layout struct {
	d     *Doc
	room  Box
	extra float64 // added to rows that may grow
	split int     // least pages that the rows of an evenly shared table go on
	pages []Page
	y     float64
}

func (l *layout) run() {
	l.turn()
	if len(l.d.Cautions) > 0 {
		l.put(cautionsHigh(l.d.Cautions, l.room.W), l.d.Cautions)
	}
	for _, p := range l.d.Parts {
		switch p := p.(type) {
		case Table:
			l.table(&p)
		case Write:
			l.put(float64(len(p.Rows))*writeHigh, p)
		case Para:
			l.put(p.high(l.room.W), p)
		case Picture:
			l.put(p.high(), p)
		case Grid:
			l.grid(&p)
		}
	}
	if len(l.d.Foot) > 0 {
		h := 1.0
		for _, s := range l.d.Foot {
			h += float64(len(wrap(s, ptBody, false, l.room.W))) * lhBody
		}
		l.put(h, footBit(l.d.Foot))
	}
}

// turn begins a page.
func (l *layout) turn() {
	l.pages = append(l.pages, Page{})
	l.y = l.room.Y + headHigh(l.d, l.room.W)
}

func (l *layout) left() float64 { return l.room.Y + l.room.H - l.y }

func (l *layout) put(h float64, what any) {
	if h > l.left()+tiny && len(l.page().Items) > 0 {
		l.turn()
	}
	l.page().Items = append(l.page().Items, Item{l.y, h, what})
	l.y += h + gapPart
}

func (l *layout) page() *Page { return &l.pages[len(l.pages)-1] }

// table places rows one by one; a row that does not fit goes to the next page,
// whole.
func (l *layout) table(t *Table) {
	wide := t.widths(l.room.W)
	bit := tableBit{Table: t, wide: wide, head: t.headHigh(wide), first: true}
	per := len(t.Rows)
	if t.PerPage > 0 {
		pages := max(1, l.split, (per+t.PerPage-1)/t.PerPage)
		per = (per + pages - 1) / pages
	}
	at := func() float64 {
		h := bit.head
		if bit.first && t.Caption != "" {
			h += lhBody + 1
		}
		return h
	}
	flush := func() {
		if len(bit.rows) == 0 {
			return
		}
		h := at()
		for _, x := range bit.high {
			h += x
		}
		l.page().Items = append(l.page().Items, Item{l.y, h, bit})
		l.y += h + gapPart
		bit.rows, bit.high, bit.first = nil, nil, false
	}
	used := at()
	for i := range t.Rows {
		h := t.rowHigh(&t.Rows[i], wide, l.extra)
		full := used+h+t.tail(i, wide, l.extra) > l.left()+tiny || len(bit.rows) == per
		if full && (len(bit.rows) > 0 || len(l.page().Items) > 0) {
			flush()
			l.turn()
			used = at()
		}
		bit.rows, bit.high = append(bit.rows, t.Rows[i]), append(bit.high, h)
		used += h
	}
	flush()
}

// tail keeps a caution on the page of the row that follows it.
func (t *Table) tail(i int, wide []float64, extra float64) float64 {
	if len(t.Rows[i].Cautions) == 0 || i+1 >= len(t.Rows) {
		return 0
	}
	return t.rowHigh(&t.Rows[i+1], wide, extra)
}

func (l *layout) grid(g *Grid) {
	cols := max(1, int((l.room.W+tiny)/g.Wide))
	for rest := g.Cells; len(rest) > 0; {
		rows := int((l.left() + tiny) / g.High)
		if rows < 1 {
			if len(l.page().Items) == 0 {
				rows = 1 // taller than paper: one a page, and it is seen
			} else {
				l.turn()
				continue
			}
		}
		n := min(len(rest), rows*cols)
		h := float64((n+cols-1)/cols) * g.High
		l.page().Items = append(l.page().Items, Item{l.y, h, gridBit{g, rest[:n], cols}})
		l.y += h + gapPart
		rest = rest[n:]
		if len(rest) > 0 {
			l.turn()
		}
	}
}

// spare gives how much every growing row can be made higher so that all pages
// still hold what they hold.
func (l *layout) spare() float64 {
	least := math.Inf(1)
	for _, p := range l.pages {
		rows, most, end := 0, 0.0, 0.0
		for _, it := range p.Items {
			end = max(end, it.Y+it.H)
			if b, ok := it.What.(tableBit); ok && b.Most > b.Least {
				rows += len(b.rows)
				most = max(most, b.Most-b.Least)
			}
		}
		if rows > 0 {
			least = min(least, most, (l.room.Y+l.room.H-end)/float64(rows))
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// Heights of what stands on every page.

const nameHigh = 9.0

func headHigh(d *Doc, w float64) float64 {
	return nameHigh + float64(len(headLines(d, w)))*lhBody + 3
}

// headLines sets the fields of the head in lines, several to a line, none
// broken unless it is longer than a line.
func headLines(d *Doc, w float64) [][]Field {
	var lines [][]Field
	x := 0.0
	for _, f := range d.Head {
		fw := fieldWide(f)
		if len(lines) == 0 || x+fw > w+tiny {
			lines, x = append(lines, nil), 0
		}
		lines[len(lines)-1] = append(lines[len(lines)-1], f)
		x += fw + fieldGap
	}
	return lines
}

const fieldGap = 6.0

func fieldWide(f Field) float64 {
	return width(clean(f.Label)+" ", ptBody, false) + width(clean(f.Say), ptBody, true)
}

func (p Para) size() (pt, lh float64) {
	if p.Big {
		return ptBig, lhBig
	}
	return ptBody, lhBody
}

func (p Para) high(w float64) float64 {
	pt, lh := p.size()
	return float64(len(wrap(p.Say, pt, p.Bold, w))) * lh
}

func (p Picture) high() float64 { return p.Wide * p.Drawing.H / p.Drawing.W }

// A caution is its word, its text, and the English beneath in small type.

func cautionsHigh(cs []Caution, w float64) float64 {
	h := 2 * cautionPad
	for i := range cs {
		h += cs[i].high(w)
	}
	return h
}

const cautionPad = 0.8

// lines breaks a caution; the word is bold and takes a little more room than
// what is measured.
func (c *Caution) lines(w float64) (say, english []string) {
	w -= 2*padX + 3.5
	return wrap(c.Word+": "+c.Say, ptBody, false, w), wrap(c.English, ptSmall, false, w)
}

func (c *Caution) high(w float64) float64 {
	say, en := c.lines(w)
	return float64(len(say))*lhBody + float64(len(en))*lhSmall
}
