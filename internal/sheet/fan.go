package sheet

import (
	"math"
	"slices"

	"larder/internal/units"
)

// Band is a range that holds Share of all cases on each day.
type Band struct {
	Share     float64   // 0.95, 0.8, 0.5
	Low, High []float64 // in kilograms, by day from the fan's Start
}

// DayMark is a day worth a line, with its word.
type DayMark struct {
	Day units.Day
	Say string
}

// Fan is stores over days to come: where they may lie, and the line below which
// a colony runs short.
type Fan struct {
	Start  units.Day
	Middle []float64 // in kilograms, by day
	Bands  []Band    // widest first
	Line   float64   // kilograms; 0 = none
	Word   string    // what the line is, "runs low"
	Marks  []DayMark
	Scale  Scale
	Style  units.Style
	Title  string // the finding
	Desc   string
}

// Frame of a fan: room left for the numbers of the axis, right for the words of
// the bands, below for the days.
const (
	fanW, fanH           = 340, 230
	fanLeft, fanRight    = 34, 46
	fanTop, fanFloor     = 16, fanH - 26
	fanWide, fanHigh     = fanW - fanLeft - fanRight, fanFloor - fanTop
	fanWordGap           = 15
	fanEdge, fanMidWidth = 1.2, 2.2
)

// Draw makes the picture. Bands differ in lightness and in how their edge is
// broken: dotted, dashed, solid from the widest in; each is named at its end.
// Days of which a band or the middle says nothing are left out.
func (f *Fan) Draw() Drawing {
	d := Drawing{W: fanW, H: fanH, Title: f.Title, Desc: f.Desc}
	f.grid(&d)
	dashes := [...]Dash{Dotted, Dashed, Solid}
	type end struct {
		y   float64
		say string
	}
	var ends []end
	for i, b := range f.Bands {
		n := min(len(b.Low), len(b.High))
		if n < 2 {
			continue
		}
		up, down := f.run(b.High[:n]), f.run(b.Low[:n])
		back := slices.Clone(down)
		slices.Reverse(back)
		ring := append(slices.Clone(up), back...)
		d.Add(Path{Runs: [][]Point{ring}, Closed: true, Fill: Fill{Have, 0.14 + 0.14*float64(i)}},
			Path{Runs: [][]Point{up, down}, Pen: Pen{Width: fanEdge, Dash: dashes[min(i, len(dashes)-1)]}})
		ends = append(ends, end{up[len(up)-1].Y, f.Style.Percent(b.Share)})
	}
	if len(f.Middle) > 1 {
		d.Add(Path{Runs: [][]Point{f.run(f.Middle)}, Pen: Pen{Width: fanMidWidth}})
	}
	last := math.Inf(-1)
	for i, e := range ends { // widest band ends highest: words go down from there
		y := math.Max(e.y, last+fanWordGap)
		// The words below must find room above the floor too.
		y = math.Min(y, fanFloor-fanWordGap*float64(len(ends)-1-i))
		last = y
		d.Add(Text{X: fanLeft + fanWide + 5, Y: y + 5, Say: e.say, Size: 14})
	}
	f.lines(&d)
	return d
}

// fanPoints is about how many corners a line gets: more are not seen at this
// size, and a page may have sixty fans.
const fanPoints = 48

// run gives the corners of a line, its last day always among them.
func (f *Fan) run(kg []float64) []Point {
	step := max(1, (len(kg)+fanPoints-1)/fanPoints)
	var out []Point
	for k := 0; k < len(kg); k += step {
		out = append(out, Point{f.x(k), f.y(kg[k])})
	}
	if last := len(kg) - 1; last%step != 0 {
		out = append(out, Point{f.x(last), f.y(kg[last])})
	}
	return out
}

func (f *Fan) days() int {
	n := len(f.Middle)
	for _, b := range f.Bands {
		n = max(n, len(b.Low), len(b.High))
	}
	return n
}

func (f *Fan) x(k int) float64 {
	return fanLeft + fanWide*float64(k)/float64(max(1, f.days()-1))
}

func (f *Fan) y(kg float64) float64 { return fanFloor - (f.Scale.x(kg, 0, fanHigh)) }

func (f *Fan) grid(d *Drawing) {
	for i, t := range f.Scale.Ticks {
		y := f.y(t.At)
		if i > 0 {
			d.Add(Line{fanLeft, y, fanLeft + fanWide, y, Pen{Ink: Rule, Width: 0.5}})
		}
		d.Add(Text{X: fanLeft - 5, Y: y + 5, Say: t.Say, Size: 14, At: End})
	}
	d.Add(Text{X: fanLeft + 4, Y: fanTop - 4, Say: f.Scale.Unit, Size: 14},
		Line{fanLeft, fanTop, fanLeft, fanFloor, Pen{Ink: Rule, Width: 1}},
		Line{fanLeft, fanFloor, fanLeft + fanWide, fanFloor, Pen{Ink: Rule, Width: 1}})
	free := math.Inf(-1)
	for _, t := range dayTicks(f.Start, f.days(), f.Style) {
		x := f.x(t.k)
		d.Add(Line{x, fanFloor, x, fanFloor + 5, Pen{Ink: Rule, Width: 1}})
		if half := 4 * float64(len([]rune(t.say))); x-half >= free {
			d.Add(Text{X: x, Y: fanFloor + 20, Say: t.say, Size: 14, At: Middle})
			free = x + half + 6
		}
	}
}

func (f *Fan) lines(d *Drawing) {
	if f.Line > 0 {
		y := f.y(f.Line)
		d.Add(Line{fanLeft, y, fanLeft + fanWide, y, Pen{Ink: Lack, Width: 1.8, Dash: Dashed}},
			Text{X: fanLeft + 6, Y: y - 5, Say: f.Word, Size: 14})
	}
	for _, m := range f.Marks {
		k := int(m.Day - f.Start)
		if k < 0 || k >= f.days() {
			continue
		}
		x := f.x(k)
		t := Text{X: x + 4, Y: fanTop + 10, Say: m.Say, Size: 14}
		if x > fanLeft+fanWide*0.7 {
			t.X, t.At = x-4, End
		}
		d.Add(Line{x, fanTop, x, fanFloor, Pen{Width: 1, Dash: Dotted}}, t)
	}
}

type dayTick struct {
	k   int
	say string
}

// dayTicks gives the days worth a mark: Mondays for up to seven weeks, the
// first of each month beyond.
func dayTicks(start units.Day, days int, s units.Style) []dayTick {
	var out []dayTick
	for k := range days {
		day := start + units.Day(k)
		switch {
		case days <= 50 && day.Weekday() == 1:
			out = append(out, dayTick{k, s.Date(day)})
		case days > 50 && day.DayOfMonth() == 1:
			out = append(out, dayTick{k, s.Month(day.Month())})
		}
	}
	return out
}
