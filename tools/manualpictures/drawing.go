package main

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// drawing is a picture 720 wide with a plot in it, and the table behind it.
type drawing struct {
	title, desc string
	high        float64
	b           strings.Builder
	table       [][]string // first row = heads

	// The plot: its box on the paper and the ranges of its axes.
	x0, x1, y0, y1 float64
	lo, hi         float64 // along
	bottom, top    float64 // up
}

const wide = 720

// plot makes a drawing with a plot in it.
func plot(title, desc string, high, lo, hi, bottom, top float64) *drawing {
	return &drawing{title: title, desc: desc, high: high, x0: 64, x1: wide - 20, y0: high - 48, y1: 24, lo: lo, hi: hi, bottom: bottom, top: top}
}

func (d *drawing) x(v float64) float64 { return d.x0 + (d.x1-d.x0)*(v-d.lo)/(d.hi-d.lo) }
func (d *drawing) y(v float64) float64 { return d.y0 - (d.y0-d.y1)*(v-d.bottom)/(d.top-d.bottom) }

func n(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
}

func (d *drawing) line(class, extra string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&d.b, `<line class="%s"%s x1="%s" y1="%s" x2="%s" y2="%s"/>`+"\n", class, extra, n(x1), n(y1), n(x2), n(y2))
}

func (d *drawing) text(x, y float64, anchor, s string) {
	fmt.Fprintf(&d.b, `<text x="%s" y="%s" text-anchor="%s">%s</text>`+"\n", n(x), n(y), anchor, html.EscapeString(s))
}

func (d *drawing) box(class, extra string, x, y, w, h float64) {
	fmt.Fprintf(&d.b, `<rect class="%s"%s x="%s" y="%s" width="%s" height="%s"/>`+"\n", class, extra, n(x), n(y), n(w), n(h))
}

// curve draws a line through points in the units of the plot.
func (d *drawing) curve(class, extra string, points [][2]float64) {
	var p []string
	for _, q := range points {
		p = append(p, n(d.x(q[0]))+","+n(d.y(q[1])))
	}
	fmt.Fprintf(&d.b, `<polyline class="%s"%s stroke-width="2.5" points="%s"/>`+"\n", class, extra, strings.Join(p, " "))
}

// axes draws both axes, with marks at the values given.
func (d *drawing) axes(along, up string, xs, ys []float64, xSay func(float64) string) {
	d.line("ink", "", d.x0, d.y0, d.x1, d.y0)
	d.line("ink", "", d.x0, d.y0, d.x0, d.y1)
	for _, v := range ys {
		d.line("rule", ` stroke-dasharray="2 5"`, d.x0, d.y(v), d.x1, d.y(v))
		d.text(d.x0-8, d.y(v)+5, "end", n(v))
	}
	for _, v := range xs {
		d.line("ink", "", d.x(v), d.y0, d.x(v), d.y0+5)
		d.text(d.x(v), d.y0+20, "middle", xSay(v))
	}
	d.text(d.x1, d.y0+40, "end", along)
	d.text(d.x0-54, d.y1-8, "start", up)
}

// svg gives the file.
func (d *drawing) svg(name string) string {
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" class="chart" viewBox="0 0 %d %s" role="img" aria-labelledby="%s-title %s-desc" fill="none" stroke-width="1.5">
<title id="%s-title">%s</title>
<desc id="%s-desc">%s</desc>
%s</svg>
`, wide, n(d.high), name, name, name, html.EscapeString(d.title), name, html.EscapeString(d.desc), d.b.String())
}

// markdown gives the table.
func (d *drawing) markdown() string {
	var b strings.Builder
	for i, r := range d.table {
		b.WriteString("| " + strings.Join(r, " | ") + " |\n")
		if i == 0 {
			b.WriteString(strings.Repeat("|---", len(r)) + "|\n")
		}
	}
	return b.String()
}
