package sheet

import (
	"net/url"

	qr "github.com/piglig/go-qr"

	"larder/internal/fault"
)

// HivePath gives the deep link of a hive, as the QR code of its label has it.
func HivePath(id string) string { return "/hive/" + url.PathEscape(id) }

// YardPath gives the deep link of a yard.
func YardPath(id string) string { return "/yard/" + url.PathEscape(id) }

// Code makes a QR code as boxes in a square of side w, quiet margin of four
// modules included. Fault: fault.OutOfRange if the text is too long for one.
func Code(text string, w float64) (Blocks, error) {
	c, err := qr.EncodeText(text, qr.Medium)
	if err != nil {
		return Blocks{}, &fault.Error{Kind: fault.OutOfRange, Op: "sheet.Code", Thing: text, Say: "this address is too long for a QR code", Err: err}
	}
	const quiet = 4
	n := c.Size()
	m := w / float64(n+2*quiet)
	b := Blocks{Fill: Fill{Plain, 1}}
	for y := range n {
		for x := 0; x < n; x++ {
			from := x
			for x < n && c.Module(x, y) {
				x++
			}
			if x > from { // a run of modules is one box: no seams between them
				b.Boxes = append(b.Boxes, Box{float64(from+quiet) * m, float64(y+quiet) * m, float64(x-from) * m, m})
			}
		}
	}
	return b, nil
}

// HiveLabels makes labels for the living colonies of a yard, to be cut apart:
// name, yard, and a QR code that opens the hive's page. Faults: fault.NotFound,
// fault.Missing without colonies or without an address for the codes.
func HiveLabels(s *Source, yard string) (Doc, error) {
	y, err := s.yard(yard)
	if err != nil {
		return Doc{}, err
	}
	shorts := s.inYard(yard)
	if len(shorts) == 0 {
		return Doc{}, fault.New(fault.Missing, yard, "no living colony stands in this yard").WithHint("see Yards and hives")
	}
	d := s.doc("hives", y.Name)
	d.File = FileName("labels", yard)
	g := Grid{Wide: 62, High: 36}
	for _, x := range shorts {
		c, err := s.label(g, x.Colony.ID, y.Name, HivePath(x.Colony.ID))
		if err != nil {
			return Doc{}, err
		}
		g.Cells = append(g.Cells, c)
	}
	d.Parts = []Part{g}
	d.Foot = []string{s.T("sheets.label.note", "Address", s.Base)}
	return d, nil
}

// YardLabels makes a label for every yard in use. Faults as [HiveLabels].
func YardLabels(s *Source) (Doc, error) {
	d := s.doc("yards", s.T("sheets.yards.name"))
	d.File = FileName("labels", "yards")
	g := Grid{Wide: 93, High: 54}
	for _, y := range s.State.Yards() {
		if y.Closed {
			continue
		}
		c, err := s.label(g, s.yardName(y.ID), s.State.Settings.Name, YardPath(y.ID))
		if err != nil {
			return Doc{}, err
		}
		g.Cells = append(g.Cells, c)
	}
	if len(g.Cells) == 0 {
		return Doc{}, fault.New(fault.Missing, "yards", "there are no yards yet").WithHint("see Yards and hives")
	}
	d.Parts = []Part{g}
	d.Foot = []string{s.T("sheets.label.note", "Address", s.Base)}
	return d, nil
}

// label draws one label: the code to the left, the name as large as it fits to
// the right, a line to cut along.
func (s *Source) label(g Grid, name, under, path string) (Drawing, error) {
	if s.Base == "" {
		return Drawing{}, fault.New(fault.Missing, "address", "the address for the codes is not known")
	}
	side := g.High - 8
	code, err := Code(s.Base+path, side)
	if err != nil {
		return Drawing{}, err
	}
	const edge = 3.0
	for i := range code.Boxes {
		code.Boxes[i].X += 1
		code.Boxes[i].Y += edge
	}
	d := Drawing{W: g.Wide, H: g.High, Unit: MM, Title: s.T("sheets.label.title", "Name", name)}
	left := side + 2
	room := g.Wide - left - 2
	size, lines := fit(name, room)
	d.Add(Rect{Box: Box{0, 0, g.Wide, g.High}, Pen: Pen{Width: 0.2, Dash: Dashed}}, code)
	y := g.High/2 - 3 - float64(len(lines)-1)*size*0.5 + size*0.36
	for _, l := range lines {
		d.Add(Text{X: left, Y: y, Say: l, Size: size, Bold: true})
		y += size * 1.05
	}
	d.Add(Text{X: left, Y: y - size*1.05 + 6, Say: cut(under, ptBody, room), Size: 3.4},
		Text{X: 4, Y: g.High - 2, Say: cut(s.Base+path, ptSmall, g.Wide-6), Size: 2.8})
	return d, nil
}

// fit gives the largest type in which a name stands on no more than two lines.
func fit(name string, room float64) (size float64, lines []string) {
	for size = 14; size > 5; size-- {
		lines = wrap(name, size/mmPerPt, true, room)
		if len(lines) == 1 || len(lines) == 2 && size <= 9 {
			return size, lines
		}
	}
	if len(lines) > 2 {
		lines = append(lines[:1], lines[1]+"…")
	}
	return size, lines
}

// cut shortens words that are wider than room.
func cut(s string, pt, room float64) string {
	s = clean(s)
	if width(s, pt, false) <= room {
		return s
	}
	head, _ := breakWord(s, pt, false, room-width("…", pt, false))
	return head + "…"
}
