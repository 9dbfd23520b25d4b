package sheet

// Drawing is a picture in its own units, x to the right and y down. It says in
// words what is to be seen in it: a drawing without a Title is a mistake.
type Drawing struct {
	W, H  float64
	Unit  Unit
	Title string // the finding, in a few words
	Desc  string // the finding in full, for those who do not see it
	Class string // further classes on the screen, beside "chart"
	Marks []Mark // drawn in this order
}

// Unit is what the numbers of a drawing are counted in.
type Unit uint8

// The units. Px scales with the place it is put in; MM is life-size on paper.
const (
	Px Unit = iota
	MM
)

// Ink is what a mark stands for. Screens colour by it; paper is black.
type Ink uint8

// The inks. Lack is never a plain area: it is hatched.
const (
	Plain  Ink = iota // lines and words
	Have              // what is there
	Lack              // what is missing
	Rule              // axes and grid
	Ground            // the paper itself, to cover what lies below
)

// Dash is how a line is broken, so that lines differ without colour.
type Dash uint8

// The dashes.
const (
	Solid Dash = iota
	Dashed
	Dotted
)

// Pen draws lines. The zero Pen draws none.
type Pen struct {
	Ink   Ink
	Width float64
	Dash  Dash
}

// Fill covers an area. The zero Fill covers none; Tint 1 is the full ink.
type Fill struct {
	Ink  Ink
	Tint float64
}

// Point is a place in a drawing.
type Point struct{ X, Y float64 }

// Box is an upright rectangle.
type Box struct{ X, Y, W, H float64 }

// Anchor says which part of a word stands at its X.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Mark is one thing drawn: [Line], [Rect], [Blocks], [Hatch], [Dot], [Path] or
// [Text].
type Mark interface{ mark() }

// Line is a straight line.
type Line struct {
	X1, Y1, X2, Y2 float64
	Pen            Pen
}

// Rect is a box with an area, an edge or both.
type Rect struct {
	Box
	Fill Fill
	Pen  Pen
}

// Blocks are many boxes of one ink, drawn as one (the modules of a QR code).
type Blocks struct {
	Boxes []Box
	Fill  Fill
}

// Hatch is slanting lines within a box, Gap apart.
type Hatch struct {
	Box
	Gap float64
	Pen Pen
}

// Dot is a round spot.
type Dot struct {
	X, Y, R float64
	Fill    Fill
	Pen     Pen
}

// Path is one or more runs of straight pieces; Closed joins each run's end to
// its start.
type Path struct {
	Runs   [][]Point
	Closed bool
	Fill   Fill
	Pen    Pen
}

// Text is words on a base line.
type Text struct {
	X, Y float64
	Say  string
	Size float64 // height of the type
	Bold bool
	At   Anchor
}

func (Line) mark()   {}
func (Rect) mark()   {}
func (Blocks) mark() {}
func (Hatch) mark()  {}
func (Dot) mark()    {}
func (Path) mark()   {}
func (Text) mark()   {}

// Add draws marks on top of what is there.
func (d *Drawing) Add(m ...Mark) { d.Marks = append(d.Marks, m...) }

// lines gives the slanting lines of a hatch, each clipped to its box: from
// lower left to upper right, on a grid that belongs to the drawing and not to
// the box, so that neighbouring boxes match.
func (h Hatch) lines() [][2]Point {
	if !(h.Gap > 0) || !(h.W > 0) || !(h.H > 0) {
		return nil
	}
	const most = 10000 // of lines: a gap too fine for its box is a mistake, not a reason to run for ever
	var out [][2]Point
	// A line is x + y = c; c runs over whole gaps from the box's upper left to
	// its lower right corner.
	first, last := h.X+h.Y, h.X+h.W+h.Y+h.H
	for n := floor(first/h.Gap) + 1; n*h.Gap < last && len(out) < most; n++ {
		c := n * h.Gap
		x1, x2 := max(h.X, c-h.Y-h.H), min(h.X+h.W, c-h.Y)
		if x2-x1 > 1e-9 {
			out = append(out, [2]Point{{x1, c - x1}, {x2, c - x2}})
		}
	}
	return out
}
