package sheet

import "codeberg.org/go-pdf/fpdf"

// draw puts a drawing on paper with its upper left corner at x, y, one of its
// units k millimetres long. All inks print black; an area with a tint prints in
// grey of that depth.
func (q *press) draw(d *Drawing, x, y, k float64) {
	at := func(p Point) (float64, float64) { return x + p.X*k, y + p.Y*k }
	box := func(b Box) (float64, float64, float64, float64) { return x + b.X*k, y + b.Y*k, b.W * k, b.H * k }
	for _, m := range d.Marks {
		switch m := m.(type) {
		case Line:
			if q.pen(m.Pen, k) {
				x1, y1 := at(Point{m.X1, m.Y1})
				x2, y2 := at(Point{m.X2, m.Y2})
				q.f.Line(x1, y1, x2, y2)
			}
		case Rect:
			bx, by, bw, bh := box(m.Box)
			if q.fill(m.Fill) {
				q.f.Rect(bx, by, bw, bh, "F")
			}
			if q.pen(m.Pen, k) {
				q.f.Rect(bx, by, bw, bh, "D")
			}
		case Blocks:
			if q.fill(m.Fill) {
				for _, b := range m.Boxes {
					bx, by, bw, bh := box(b)
					q.f.Rect(bx, by, bw, bh, "F")
				}
			}
		case Hatch:
			if q.pen(m.Pen, k) {
				for _, l := range m.lines() {
					x1, y1 := at(l[0])
					x2, y2 := at(l[1])
					q.f.Line(x1, y1, x2, y2)
				}
			}
		case Dot:
			cx, cy := at(Point{m.X, m.Y})
			if q.fill(m.Fill) {
				q.f.Circle(cx, cy, m.R*k, "F")
			}
			if q.pen(m.Pen, k) {
				q.f.Circle(cx, cy, m.R*k, "D")
			}
		case Path:
			q.path(m, at, k)
		case Text:
			q.word(m, at, k)
		}
	}
	q.f.SetDashPattern(nil, 0)
	q.f.SetFillColor(255, 255, 255)
}

func (q *press) path(m Path, at func(Point) (float64, float64), k float64) {
	if q.fill(m.Fill) {
		for _, r := range m.Runs {
			pts := make([]fpdf.PointType, len(r))
			for i, p := range r {
				pts[i].X, pts[i].Y = at(p)
			}
			q.f.Polygon(pts, "F")
		}
	}
	if !q.pen(m.Pen, k) {
		return
	}
	for _, r := range m.Runs {
		for i, p := range r {
			px, py := at(p)
			if i == 0 {
				q.f.MoveTo(px, py)
			} else {
				q.f.LineTo(px, py)
			}
		}
		if m.Closed {
			q.f.ClosePath()
		}
		q.f.DrawPath("D")
	}
}

func (q *press) word(m Text, at func(Point) (float64, float64), k float64) {
	pt := m.Size * k / mmPerPt
	style := ""
	if m.Bold {
		style = "B"
	}
	q.f.SetFont(fontName, style, pt)
	px, py := at(Point{m.X, m.Y})
	say := clean(m.Say)
	switch m.At {
	case Middle:
		px -= width(say, pt, m.Bold) / 2
	case End:
		px -= width(say, pt, m.Bold)
	}
	q.f.Text(px, py, say)
}

// pen sets line and dash; false if there is nothing to draw.
func (q *press) pen(p Pen, k float64) bool {
	if !(p.Width > 0) {
		return false
	}
	q.f.SetLineWidth(p.Width * k)
	dash := p.pattern()
	for i := range dash {
		dash[i] *= k
	}
	q.f.SetDashPattern(dash, 0)
	return true
}

func (q *press) fill(f Fill) bool {
	if !(f.Tint > 0) {
		return false
	}
	grey := int(255*(1-min(1, f.Tint)) + 0.5)
	if f.Ink == Ground {
		grey = 255
	}
	q.f.SetFillColor(grey, grey, grey)
	return true
}
