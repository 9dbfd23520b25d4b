package sheet

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// Bar is one colony's stores against its target.
type Bar struct {
	Stores figure.Estimate // in kilograms
	Target units.Mass      // 0 = not known
	Scale  Scale           // the same for all rows
	Title  string          // the finding, see [BarTitle]
	Desc   string
}

// Size of a row's strip, and the room kept at its ends for the width of lines.
const (
	stripW, stripH = 120, 20
	stripEnd       = 2
)

// StoresBar draws a row's strip: a thin bar for the range of 8 cases in 10, a
// thick tick for the middle, a thin line over the whole height for the target,
// and hatching from the middle up to the target where it is short. Shape and
// place say all of it; colour only repeats it. What is not known has no bar but
// a question mark.
func StoresBar(b Bar) Drawing {
	d := Drawing{W: stripW, H: stripH, Title: b.Title, Desc: b.Desc, Class: "strip"}
	at := func(kg float64) float64 { return b.Scale.x(kg, stripEnd, stripW-2*stripEnd) }
	const mid = stripH / 2
	d.Add(Line{stripEnd, stripH - 1, stripW - stripEnd, stripH - 1, Pen{Ink: Rule, Width: 1}})
	target := at(b.Target.Kg())
	if b.Stores.Known {
		m, lo, hi := at(b.Stores.Mean), at(low80(b.Stores)), at(high80(b.Stores))
		if b.Target > 0 && target-m >= 1 {
			box := Box{m, mid - 6, target - m, 12}
			d.Add(Hatch{box, 4, Pen{Ink: Lack, Width: 1.4}}, Rect{Box: box, Pen: Pen{Ink: Lack, Width: 1}})
		}
		d.Add(Rect{Box: Box{lo, mid - 2, max(1, hi-lo), 4}, Fill: Fill{Have, 1}})
		d.Add(Line{m, mid - 7, m, mid + 7, Pen{Width: 3.5}})
	} else {
		d.Add(Text{X: stripEnd + 2, Y: mid + 5, Say: "?", Size: 14, Bold: true})
	}
	if b.Target > 0 {
		d.Add(Line{target, 0, target, stripH, Pen{Width: 1.6}})
	}
	return d
}

// BarAxis draws the axis of the strips, to stand over their column.
func BarAxis(s Scale, title string) Drawing {
	const h = 30
	d := Drawing{W: stripW, H: h, Title: title, Class: "strip"}
	d.Add(Line{stripEnd, h - 1, stripW - stripEnd, h - 1, Pen{Ink: Rule, Width: 1}})
	for i, t := range s.Ticks {
		x := s.x(t.At, stripEnd, stripW-2*stripEnd)
		d.Add(Line{x, h - 6, x, h, Pen{Ink: Rule, Width: 1}})
		txt := Text{X: x, Y: h - 9, Say: t.Say, Size: 14, At: Middle}
		switch i {
		case 0:
			txt.At, txt.X = Start, 0
		case len(s.Ticks) - 1:
			txt.At, txt.X = End, stripW
		default:
			if len(s.Ticks) > 3 && i%2 == 1 {
				continue // words need room; the mark stands
			}
		}
		d.Add(txt)
	}
	return d
}

// Dots draws 20 cases of an estimate as 20 dots, each one case in 20: those
// below the target are filled. A reader counts them instead of trusting a
// number. What is not known has no dots.
func Dots(b Bar) Drawing {
	const w, r, axis = 340, 6.5, 24
	cases := Cases(b.Stores)
	piles := map[int]int{}
	most := 0
	const left, wide = 8, w - 16
	type spot struct {
		pile, n int
		short   bool
	}
	var spots []spot
	for _, kg := range cases {
		p := int(floor(b.Scale.x(kg, 0, wide) / (2 * r)))
		spots = append(spots, spot{p, piles[p], kg < b.Target.Kg()})
		piles[p]++
		most = max(most, piles[p])
	}
	h := float64(max(most, 3))*2*r + axis + 8
	d := Drawing{W: w, H: h, Title: b.Title, Desc: b.Desc}
	floorY := h - axis
	for _, s := range spots {
		dot := Dot{X: left + (float64(s.pile)+0.5)*2*r, Y: floorY - (float64(s.n)+0.5)*2*r, R: r - 0.8, Pen: Pen{Width: 1.2}}
		if s.short {
			dot.Fill = Fill{Plain, 1}
		}
		d.Add(dot)
	}
	d.Add(Line{left, floorY, left + wide, floorY, Pen{Ink: Rule, Width: 1}})
	d.axis(b.Scale, left, wide, floorY)
	if b.Target > 0 {
		x := b.Scale.x(b.Target.Kg(), left, wide)
		d.Add(Line{x, 0, x, floorY, Pen{Width: 1.6, Dash: Dashed}})
	}
	return d
}

// Cases gives 20 equally likely values of an estimate, least first: the middles
// of its twentieths. Nothing for what is not known.
func Cases(e figure.Estimate) []float64 {
	if !e.Known {
		return nil
	}
	out := make([]float64, 20)
	for i := range out {
		out[i] = quantile(e, (float64(i)+0.5)/20)
	}
	return out
}

// axis writes ticks and numbers under a floor; the last number has the unit.
func (d *Drawing) axis(s Scale, left, wide, y float64) {
	for i, t := range s.Ticks {
		x := s.x(t.At, left, wide)
		d.Add(Line{x, y, x, y + 5, Pen{Ink: Rule, Width: 1}})
		txt := Text{X: x, Y: y + 20, Say: t.Say, Size: 14, At: Middle}
		switch i {
		case 0:
			txt.At, txt.X = Start, math.Max(0, x-4)
		case len(s.Ticks) - 1:
			txt.At, txt.X, txt.Say = End, math.Min(d.W, x+8), t.Say+" "+s.Unit
		}
		d.Add(txt)
	}
}
