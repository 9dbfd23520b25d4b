package sheet

import (
	"html/template"
	"math"
	"strconv"
	"strings"
)

func floor(x float64) float64 { return math.Floor(x) }

// palette gives each ink a colour for lines and areas where no style sheet
// reaches. Screens override it by class.
type palette [5]string

var (
	onScreen = palette{Plain: "#111111", Have: "#00497a", Lack: "#a33f00", Rule: "#8a8578", Ground: "#ffffff"}
	onPaper  = palette{Plain: "#000000", Have: "#000000", Lack: "#000000", Rule: "#000000", Ground: "#ffffff"}
)

// classes of lines and areas on the screen; see screen/shared/page.css of
// package web.
var (
	lineClass = [5]string{Plain: "ink", Have: "ink", Lack: "lack", Rule: "rule", Ground: "rule"}
	areaClass = [5]string{Plain: "solid", Have: "have", Lack: "lack", Rule: "shade", Ground: "ground"}
)

// SVG gives the drawing for a page: role img, its title and description, then
// shapes with classes and presentation attributes only.
func (d *Drawing) SVG() template.HTML { return d.svg(onScreen) }

// Print gives the drawing for a printed page, in black.
func (d *Drawing) Print() template.HTML { return d.svg(onPaper) }

func (d *Drawing) svg(p palette) template.HTML {
	w := svgWriter{p: p}
	w.open(d)
	for _, m := range d.Marks {
		w.mark(m)
	}
	w.b.WriteString("</svg>")
	// Everything in it was written by svgWriter, which escapes all words.
	return template.HTML(w.b.String())
}

type svgWriter struct {
	b strings.Builder
	p palette
}

func (w *svgWriter) open(d *Drawing) {
	w.b.WriteString(`<svg class="chart`)
	if d.Class != "" {
		w.b.WriteString(" " + template.HTMLEscapeString(d.Class))
	}
	w.b.WriteString(`" role="img"`)
	if d.Unit == MM {
		w.b.WriteString(` width="` + num(d.W) + `mm" height="` + num(d.H) + `mm"`)
	}
	w.b.WriteString(` viewBox="0 0 ` + num(d.W) + " " + num(d.H) + `">`)
	w.b.WriteString("<title>" + template.HTMLEscapeString(d.Title) + "</title>")
	if d.Desc != "" {
		w.b.WriteString("<desc>" + template.HTMLEscapeString(d.Desc) + "</desc>")
	}
}

func (w *svgWriter) mark(m Mark) {
	switch m := m.(type) {
	case Line:
		if m.Pen.Width > 0 {
			w.b.WriteString(`<line x1="` + num(m.X1) + `" y1="` + num(m.Y1) + `" x2="` + num(m.X2) + `" y2="` + num(m.Y2) + `"`)
			w.pen(m.Pen)
		}
	case Rect:
		at := `<rect x="` + num(m.X) + `" y="` + num(m.Y) + `" width="` + num(m.W) + `" height="` + num(m.H) + `"`
		w.both(at, m.Fill, m.Pen)
	case Blocks:
		var d strings.Builder
		for _, b := range m.Boxes {
			d.WriteString("M" + num(b.X) + " " + num(b.Y) + "h" + num(b.W) + "v" + num(b.H) + "h" + num(-b.W) + "z")
		}
		w.both(`<path d="`+d.String()+`"`, m.Fill, Pen{})
	case Hatch:
		var d strings.Builder
		for _, l := range m.lines() {
			d.WriteString("M" + num(l[0].X) + " " + num(l[0].Y) + "L" + num(l[1].X) + " " + num(l[1].Y))
		}
		if d.Len() > 0 {
			w.both(`<path d="`+d.String()+`"`, Fill{}, m.Pen)
		}
	case Dot:
		w.both(`<circle cx="`+num(m.X)+`" cy="`+num(m.Y)+`" r="`+num(m.R)+`"`, m.Fill, m.Pen)
	case Path:
		w.both(`<path d="`+runs(m.Runs, m.Closed)+`"`, m.Fill, m.Pen)
	case Text:
		w.text(m)
	}
}

func runs(rs [][]Point, closed bool) string {
	var d strings.Builder
	for _, r := range rs {
		for i, p := range r {
			if i == 0 {
				d.WriteByte('M')
			} else {
				d.WriteByte('L')
			}
			d.WriteString(num(p.X) + " " + num(p.Y))
		}
		if closed && len(r) > 0 {
			d.WriteByte('z')
		}
	}
	return d.String()
}

// both writes a shape once for its area and once for its edge: an element is
// one or the other, so that a class can colour it.
func (w *svgWriter) both(open string, f Fill, p Pen) {
	if f.Tint > 0 {
		w.b.WriteString(open + ` class="` + areaClass[f.Ink] + `" fill="` + w.p[f.Ink] + `"`)
		if f.Tint < 1 {
			w.b.WriteString(` fill-opacity="` + num(f.Tint) + `"`)
		}
		w.b.WriteString("/>")
	}
	if p.Width > 0 {
		w.b.WriteString(open)
		w.pen(p)
	}
}

// pen writes the attributes of a line and closes the element.
func (w *svgWriter) pen(p Pen) {
	w.b.WriteString(` class="` + lineClass[p.Ink] + `" fill="none" stroke="` + w.p[p.Ink] + `" stroke-width="` + num(p.Width) + `"`)
	if d := p.pattern(); d != nil {
		w.b.WriteString(` stroke-dasharray="` + num(d[0]) + " " + num(d[1]) + `"`)
	}
	w.b.WriteString("/>")
}

// pattern gives the dash and the gap of a broken line, in proportion to its
// width; nil for a solid one.
func (p Pen) pattern() []float64 {
	switch p.Dash {
	case Dashed:
		return []float64{4 * p.Width, 3 * p.Width}
	case Dotted:
		return []float64{p.Width, 2 * p.Width}
	}
	return nil
}

func (w *svgWriter) text(t Text) {
	w.b.WriteString(`<text x="` + num(t.X) + `" y="` + num(t.Y) + `" font-size="` + num(t.Size) + `"`)
	switch t.At {
	case Middle:
		w.b.WriteString(` text-anchor="middle"`)
	case End:
		w.b.WriteString(` text-anchor="end"`)
	}
	if t.Bold {
		w.b.WriteString(` font-weight="700"`)
	}
	w.b.WriteString(">" + template.HTMLEscapeString(t.Say) + "</text>")
}

// num writes a coordinate to a hundredth, as short as it goes.
func num(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	x = math.Round(x*100) / 100
	if x == 0 {
		return "0" // no negative zero
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
