package sheet

import "larder/internal/fault"

// Paper is a size of paper.
type Paper string

// The papers, upright.
const (
	Letter Paper = "letter"
	A4     Paper = "a4"
)

// Papers lists them.
func Papers() []Paper { return []Paper{Letter, A4} }

// ReadPaper reads the name of a paper. Fault: fault.NotUnderstood.
func ReadPaper(s string) (Paper, error) {
	switch p := Paper(s); p {
	case Letter, A4:
		return p, nil
	}
	return "", fault.Newf(fault.NotUnderstood, "paper", "%q is not a paper we print on", s).WithHint("letter or a4")
}

// Size gives width and height in millimetres.
func (p Paper) Size() (w, h float64) {
	if p == A4 {
		return 210, 297
	}
	return 215.9, 279.4
}

// Margins in millimetres: 12 all round, but 20 at the top, which goes under the
// clip of a clipboard.
const (
	margin  = 12.0
	clip    = 20.0
	imprint = 5.0 // last line of a page: what it was printed from
)

// room gives the box that a page's matter may fill.
func (p Paper) room() Box {
	w, h := p.Size()
	return Box{margin, clip, w - 2*margin, h - clip - margin - imprint}
}
