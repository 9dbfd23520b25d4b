package sheet

import (
	_ "embed"
	"html/template"
	"math"
	"strings"

	"larder/internal/fault"
)

//go:embed print.html
var printText string

// printTemplate is parsed once; it never changes after that.
var printTemplate = template.Must(template.New("print").Parse(printText))

// HTML gives the sheets as the body of a page to be printed by a browser, one
// section for each page of paper, broken where the PDF breaks. It has classes
// only, no style; [CSS] has the style. Fault: fault.Internal.
func HTML(p Paper, docs ...Doc) (template.HTML, error) {
	type pageView struct {
		Page
		Sheet string
		Items []itemView
	}
	type docView struct {
		Doc   *Doc
		Pages []pageView
	}
	views := make([]docView, len(docs))
	for i := range docs {
		v := docView{Doc: &docs[i]}
		for _, page := range docs[i].Pages(p) {
			pv := pageView{Page: page, Sheet: docs[i].PageOf(page.N, page.Of)}
			for k := range page.Items {
				pv.Items = append(pv.Items, viewOf(page.Items[k].What))
			}
			v.Pages = append(v.Pages, pv)
		}
		views[i] = v
	}
	var b strings.Builder
	if err := printTemplate.Execute(&b, views); err != nil {
		return "", &fault.Error{Kind: fault.Internal, Op: "sheet.HTML", Say: "the page could not be made", Err: err}
	}
	// It comes from html/template, which has escaped all words.
	return template.HTML(b.String()), nil
}

// itemView is one piece of a page for the template; one field is set.
type itemView struct {
	Cautions []Caution
	Table    *tableView
	Write    [][]Field
	Para     *Para
	Pictures []template.HTML
	Foot     []string
}

type tableView struct {
	Caption string
	Headed  bool
	Cols    []colView
	Rows    []rowView
}

type colView struct {
	Head, Sub, Class string
	Wide             int // millimetres, 0 = a share
}

type rowView struct {
	Cautions []Caution
	Wide     string
	High     int // half millimetres
	Cells    []cellView
}

type cellView struct {
	Names            bool // the row is called by it
	Class            string
	Say, Unit, Small string
	Marks            []markView
}

// markView is a box, a line to write on or a sign, in a pencil cell.
type markView struct {
	Box, Line bool
	Say       string
}

func viewOf(what any) itemView {
	switch w := what.(type) {
	case []Caution:
		return itemView{Cautions: w}
	case tableBit:
		return itemView{Table: w.view()}
	case Write:
		return itemView{Write: w.Rows}
	case Para:
		return itemView{Para: &w}
	case Picture:
		return itemView{Pictures: []template.HTML{w.Drawing.Print()}}
	case gridBit:
		var v itemView
		for i := range w.cells {
			v.Pictures = append(v.Pictures, w.cells[i].Print())
		}
		return v
	case footBit:
		return itemView{Foot: w}
	}
	return itemView{}
}

func (b *tableBit) view() *tableView {
	v := &tableView{Headed: b.head > 0}
	if b.first {
		v.Caption = b.Caption
	}
	for i, c := range b.Cols {
		cv := colView{Head: c.Head, Sub: c.Sub, Class: c.class(false)}
		if c.Wide > 0 || c.Fit || c.Kind == Digits || c.Kind == Choices {
			cv.Wide = int(math.Ceil(b.wide[i] - 1e-6))
		}
		v.Cols = append(v.Cols, cv)
	}
	for i := range b.rows {
		r := &b.rows[i]
		rv := rowView{Cautions: r.Cautions, Wide: r.Wide, High: min(maxHalf, max(minHalf, int(b.high[i]*2+1e-6)))}
		named := false // the first column of words names its row
		for k, c := range b.Cols {
			if k >= len(r.Cells) {
				break
			}
			cell := r.Cells[k]
			x := cellView{Class: c.class(true), Say: cell.Say, Unit: cell.Unit, Small: cell.Small}
			if c.Kind == Words && !named && cell.Say != "" {
				x.Names, named = true, true
			}
			if !cell.Off {
				x.Marks = c.marks()
			}
			rv.Cells = append(rv.Cells, x)
		}
		v.Rows = append(v.Rows, rv)
	}
	return v
}

func (c Col) class(body bool) string {
	var out []string
	if c.Kind == Number {
		out = append(out, "num")
	}
	if c.Kind == Blank {
		out = append(out, "blank")
	}
	if body && c.Big {
		out = append(out, "big")
	}
	if body && c.Small {
		out = append(out, "little")
	}
	return strings.Join(out, " ")
}

// marks lists what stands in a pencil cell; nothing for a column of words.
func (c Col) marks() []markView {
	switch c.Kind {
	case Check:
		return []markView{{Box: true}}
	case CheckLine:
		return []markView{{Box: true}, {Line: true}}
	case Digits:
		var out []markView
		for _, r := range c.Pattern {
			if r == '#' {
				out = append(out, markView{Box: true})
			} else {
				out = append(out, markView{Say: string(r)})
			}
		}
		return out
	case Choices:
		var out []markView
		for _, w := range c.Words {
			out = append(out, markView{Box: true}, markView{Say: w})
		}
		return out
	}
	return nil
}
