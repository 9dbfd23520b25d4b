package sheet

import (
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"larder/internal/fault"
)

// Print says how to print.
type Print struct {
	Paper Paper
	Title string    // of the file
	Lang  string    // "en", "es"
	Made  time.Time // stands in the file as its date: not the clock's business
	Plain bool      // text uncompressed, for tests
}

// PDF writes sheets one after the other, each with its own page numbers. The
// same sheets and Print give the same bytes. Fault: fault.Internal if the
// writer fails or the library refuses.
func PDF(w io.Writer, p Print, docs ...Doc) error {
	wide, high := p.Paper.Size()
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: wide, Ht: high}})
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetCompression(!p.Plain)
	f.SetCatalogSort(true)
	f.SetCreationDate(p.Made.UTC())
	f.SetModificationDate(p.Made.UTC())
	f.SetCreator("Larder", true)
	f.SetProducer("Larder", true)
	f.SetTitle(clean(p.Title), true)
	if p.Lang != "" {
		f.SetLang(p.Lang)
	}
	f.SetDisplayMode("fullpage", "continuous")
	addFonts(f)
	f.SetFont(fontName, "", ptBody)
	f.SetTextColor(0, 0, 0)
	f.SetDrawColor(0, 0, 0)
	for i := range docs {
		for _, page := range docs[i].Pages(p.Paper) {
			f.AddPage()
			q := press{f: f, room: p.Paper.room()}
			q.page(&docs[i], &page)
		}
	}
	if len(docs) == 0 {
		f.AddPage()
	}
	if err := f.Output(w); err != nil {
		return &fault.Error{Kind: fault.Internal, Op: "sheet.PDF", Say: "the paper could not be made", Err: err}
	}
	return nil
}

// press puts a page on paper. Lines are hairline, line or frame wide.
type press struct {
	f    *fpdf.Fpdf
	room Box
}

const (
	hairline  = 0.15
	lineWide  = 0.25
	frameWide = 0.45
)

// capHigh is the height of a capital over the height of the type, half of it:
// what lifts a base line so that words stand in the middle of their line.
const capHalf = 0.365

// say writes words with the middle of their capitals at y.
func (q *press) say(x, y float64, s string, pt float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	q.f.SetFont(fontName, style, pt)
	q.f.Text(x, y+capHalf*pt*mmPerPt, clean(s))
}

func (q *press) sayRight(x, y float64, s string, pt float64, bold bool) {
	q.say(x-width(clean(s), pt, bold), y, s, pt, bold)
}

func (q *press) line(x1, y1, x2, y2, wide float64) {
	q.f.SetLineWidth(wide)
	q.f.Line(x1, y1, x2, y2)
}

func (q *press) frame(x, y, w, h, wide float64) {
	q.f.SetLineWidth(wide)
	q.f.Rect(x, y, w, h, "D")
}

func (q *press) page(d *Doc, p *Page) {
	q.head(d, p)
	for i := range p.Items {
		it := &p.Items[i]
		switch what := it.What.(type) {
		case []Caution:
			q.cautions(what, q.room.X, it.Y, q.room.W, it.H)
		case tableBit:
			q.table(&what, it.Y)
		case Write:
			q.write(what, it.Y)
		case Para:
			q.para(what, it.Y)
		case Picture:
			k := what.Wide / what.Drawing.W
			q.draw(&what.Drawing, q.room.X, it.Y, k)
		case gridBit:
			for n := range what.cells {
				x, y := q.room.X+float64(n%what.cols)*what.Wide, it.Y+float64(n/what.cols)*what.High
				q.draw(&what.cells[n], x, y, 1)
			}
		case footBit:
			y := it.Y + 1
			for _, s := range what {
				for _, l := range wrap(s, ptBody, false, q.room.W) {
					q.say(q.room.X, y+lhBody/2, l, ptBody, false)
					y += lhBody
				}
			}
		}
	}
	q.imprint(d)
}

// head stands on every page: name, what and when, which sheet of how many, then
// what to know before setting out.
func (q *press) head(d *Doc, p *Page) {
	x, y, right := q.room.X, q.room.Y, q.room.X+q.room.W
	mid := y + nameHigh/2 - 0.5
	of := d.PageOf(p.N, p.Of)
	q.sayRight(right, mid, of, ptBody, true)
	left := right - width(of, ptBody, true) - 5
	kind := d.Kind
	if d.When != "" {
		kind += "  ·  " + d.When
	}
	kw := width(clean(kind), ptBody, false)
	name := wrap(d.Name, ptName, true, left-x-kw-5)
	say := ""
	if len(name) > 0 {
		say = name[0]
	}
	if len(name) > 1 {
		say += " …"
	}
	q.say(x, mid, say, ptName, true)
	q.say(x+width(clean(say), ptName, true)+5, mid+0.6, kind, ptBody, false)
	y += nameHigh
	for _, line := range headLines(d, q.room.W) {
		fx := x
		for _, f := range line {
			q.say(fx, y+lhBody/2, f.Label+" ", ptBody, false)
			q.say(fx+width(clean(f.Label)+" ", ptBody, false), y+lhBody/2, f.Say, ptBody, true)
			fx += fieldWide(f) + fieldGap
		}
		y += lhBody
	}
	q.line(x, y+1, right, y+1, frameWide)
}

// imprint is the last line: what it was printed from, and the code.
func (q *press) imprint(d *Doc) {
	y := q.room.Y + q.room.H + imprint - 2
	say := d.Printed
	if d.House != "" {
		say = d.House + "  ·  " + say
	}
	q.say(q.room.X, y, say, ptSmall, false)
	if d.Code != "" {
		q.sayRight(q.room.X+q.room.W, y, d.Code, ptBody, true)
	}
}

// cautions are words in a plain frame; the word CAUTION is bold.
func (q *press) cautions(cs []Caution, x, y, w, h float64) {
	q.frame(x, y, w, h, frameWide)
	y += cautionPad
	for i := range cs {
		c := &cs[i]
		say, en := c.lines(w)
		for n, l := range say {
			lx := x + padX + 0.5
			if rest, ok := cutWord(l, c.Word); ok && n == 0 {
				q.say(lx, y+lhBody/2, c.Word+":", ptBody, true)
				lx += width(clean(c.Word)+": ", ptBody, true)
				l = rest
			}
			q.say(lx, y+lhBody/2, l, ptBody, false)
			y += lhBody
		}
		for _, l := range en {
			q.say(x+padX+0.5, y+lhSmall/2, l, ptSmall, false)
			y += lhSmall
		}
	}
}

// cutWord takes the word and its colon off the front of a line.
func cutWord(line, word string) (string, bool) {
	front := clean(word) + ": "
	if len(line) >= len(front) && line[:len(front)] == front {
		return line[len(front):], true
	}
	return line, false
}

// write draws words each followed by a line to write on.
func (q *press) write(w Write, y float64) {
	for _, row := range w.Rows {
		slot := q.room.W / float64(max(1, len(row)))
		for i, f := range row {
			x := q.room.X + slot*float64(i)
			base := y + writeHigh - 1.5
			q.say(x, base-1.6, f.Label, ptBody, false)
			from := x + width(clean(f.Label), ptBody, false) + 1.5
			if f.Say != "" {
				q.say(from, base-1.6, f.Say, ptBody, true)
				from += width(clean(f.Say), ptBody, true) + 1.5
			}
			q.line(from, base, x+slot-3, base, lineWide)
		}
		y += writeHigh
	}
}

func (q *press) para(p Para, y float64) {
	pt, lh := p.size()
	for _, l := range wrap(p.Say, pt, p.Bold, q.room.W) {
		q.say(q.room.X, y+lh/2, l, pt, p.Bold)
		y += lh
	}
}
