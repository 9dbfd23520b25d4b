package sheet

import (
	"math"
	"slices"
	"strconv"

	"larder/internal/season"
	"larder/internal/units"
)

// MapPicture is the places of a plan seen from above, north up, with the ways
// driven.
type MapPicture struct {
	Map   season.PlanMap
	Home  string // the word for it
	North string // the letter for it
	Load  string
	Style units.Style
	Title string
	Desc  string
}

const (
	mapWide   = 340.0
	mapSide   = 26.0
	mapMost   = 320.0 // high
	mapFoot   = 34.0
	mapMark   = 14.0  // from mark to mark at least
	leastSpan = 500.0 // metres across at least, so that one yard is no dot in nothing
)

// Draw makes the picture. Home is a square, a yard with a call a filled spot, a
// yard without one a ring, syrup elsewhere a triangle. The ways of loads are straight lines, told apart by
// how they are broken; names that would stand on one another are left out (the
// table beside the map has them all).
func (m *MapPicture) Draw() Drawing {
	minX, maxX, minY, maxY := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range m.Map.Places {
		minX, maxX = math.Min(minX, float64(p.East)), math.Max(maxX, float64(p.East))
		minY, maxY = math.Min(minY, float64(p.North)), math.Max(maxY, float64(p.North))
	}
	if len(m.Map.Places) == 0 {
		minX, maxX, minY, maxY = 0, 0, 0, 0
	}
	wide, high := math.Max(maxX-minX, leastSpan), math.Max(maxY-minY, leastSpan)
	k := math.Min((mapWide-2*mapSide)/wide, (mapMost-2*mapSide)/high)
	h := high*k + 2*mapSide
	d := Drawing{W: mapWide, H: h + mapFoot, Title: m.Title, Desc: m.Desc}
	midX, midY := (minX+maxX)/2, (minY+maxY)/2
	at := func(p season.MapPlace) Point {
		return Point{mapWide/2 + (float64(p.East)-midX)*k, h/2 - (float64(p.North)-midY)*k}
	}
	d.Add(Rect{Box: Box{0.5, 0.5, mapWide - 1, h - 1}, Fill: Fill{Ground, 1}, Pen: Pen{Ink: Rule, Width: 1}})
	dashes := []Dash{Solid, Dashed, Dotted}
	for i, t := range m.Map.Trips {
		var run []Point
		for _, id := range t.Places {
			if p, ok := m.Map.Place(id); ok {
				run = append(run, at(p))
			}
		}
		if len(run) > 1 {
			d.Add(Path{Runs: [][]Point{run}, Pen: Pen{Width: 1.6, Dash: dashes[i%len(dashes)]}})
		}
	}
	spot := func(p season.MapPlace) Point {
		q := at(p)
		if p.Syrup && slices.ContainsFunc(m.Map.Places, func(o season.MapPlace) bool {
			return !o.Syrup && math.Hypot(at(o).X-q.X, at(o).Y-q.Y) < mapMark
		}) {
			q.X -= mapMark // beside the yard it stands at
		}
		return q
	}
	for _, p := range m.Map.Places {
		q := spot(p)
		switch {
		case p.Syrup:
			f := Fill{Ground, 1}
			if len(p.Loads) > 0 {
				f = Fill{Have, 1}
			}
			d.Add(Path{Runs: [][]Point{{{q.X, q.Y - 8}, {q.X + 8, q.Y + 6}, {q.X - 8, q.Y + 6}}}, Closed: true, Fill: f, Pen: Pen{Width: 1.2}})
		case p.ID == "":
			d.Add(Rect{Box: Box{q.X - 5, q.Y - 5, 10, 10}, Fill: Fill{Plain, 1}})
		case len(p.Loads) > 0:
			d.Add(Dot{X: q.X, Y: q.Y, R: 5.5, Fill: Fill{Have, 1}, Pen: Pen{Width: 1.2}})
		default:
			d.Add(Dot{X: q.X, Y: q.Y, R: 4, Fill: Fill{Ground, 1}, Pen: Pen{Width: 1.2}})
		}
	}
	m.names(&d, spot, h)
	m.scale(&d, k, h)
	return d
}

// names puts a name beside each place where there is room: those called at come
// first.
func (m *MapPicture) names(d *Drawing, at func(season.MapPlace) Point, h float64) {
	var taken []Box
	for _, p := range m.Map.Places {
		q := at(p)
		taken = append(taken, Box{q.X - 6, q.Y - 6, 12, 12})
	}
	put := func(p season.MapPlace) {
		say := p.Name
		if p.ID == "" {
			say = m.Home
		}
		q, w := at(p), wordsWide(say)*1.1
		for i, b := range []Box{{q.X + 9, q.Y - 8, w, 16}, {q.X - 9 - w, q.Y - 8, w, 16}, {q.X - w/2, q.Y - 25, w, 16}, {q.X - w/2, q.Y + 9, w, 16}} {
			if b.X < 2 || b.X+b.W > mapWide-2 || b.Y < 2 || b.Y+b.H > h-2 || meets(b, taken) {
				continue
			}
			taken = append(taken, b)
			text := Text{X: b.X, Y: b.Y + 13, Say: say, Size: 14, Bold: p.ID == ""}
			switch i {
			case 1:
				text.X, text.At = b.X+b.W, End
			case 2, 3:
				text.X, text.At = q.X, Middle
			}
			d.Add(Rect{Box: b, Fill: Fill{Ground, 1}}, text)
			return
		}
	}
	for _, first := range []bool{true, false} {
		for _, p := range m.Map.Places {
			if (p.ID == "" || len(p.Loads) > 0) == first {
				put(p)
			}
		}
	}
}

func meets(b Box, all []Box) bool {
	for _, o := range all {
		if b.X < o.X+o.W && o.X < b.X+b.W && b.Y < o.Y+o.H && o.Y < b.Y+b.H {
			return true
		}
	}
	return false
}

// scale draws the bar of the scale, a round distance of up to a third of the
// width, and the arrow north.
func (m *MapPicture) scale(d *Drawing, k, h float64) {
	col := m.Style.RoadCol()
	one := float64(units.Kilometre) // metres of one of the keeper's units
	if col.Unit == "mi" {
		one = float64(units.Mile)
	}
	most := mapWide / 3 / k / one
	n := math.Pow(10, math.Floor(math.Log10(most)))
	for _, f := range []float64{5, 2} {
		if n*f <= most {
			n *= f
			break
		}
	}
	y, w := h+14, n*one*k
	say := strconv.FormatFloat(n, 'f', -1, 64)
	if n < 1 {
		say = m.Style.Num(n, int(math.Ceil(-math.Log10(n))))
	}
	d.Add(Line{2, y, 2 + w, y, Pen{Width: 2}}, Line{2, y - 5, 2, y + 5, Pen{Width: 2}}, Line{2 + w, y - 5, 2 + w, y + 5, Pen{Width: 2}},
		Text{X: 10 + w, Y: y + 5, Say: say + " " + col.Unit, Size: 14})
	d.Add(Line{mapWide - 14, y + 12, mapWide - 14, y - 8, Pen{Width: 2}},
		Path{Runs: [][]Point{{{mapWide - 19, y - 2}, {mapWide - 14, y - 10}, {mapWide - 9, y - 2}}}, Pen: Pen{Width: 2}},
		Text{X: mapWide - 26, Y: y + 7, Say: m.North, Size: 14, Bold: true, At: End})
}
