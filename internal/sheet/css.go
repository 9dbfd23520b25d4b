package sheet

import (
	_ "embed"
	"fmt"
	"strings"
)

//go:embed print.css
var printCSS string

// Heights of rows for which there is a class, in half millimetres, and the
// widest column, in millimetres.
const (
	minHalf, maxHalf = 8, 60
	maxWide          = 120
)

// CSS gives the style of printed pages on a paper: its size and margins, then
// what both papers share, then a class for every width and height in use, since
// the pages carry no style of their own.
func CSS(p Paper) []byte {
	w, h := p.Size()
	var b strings.Builder
	fmt.Fprintf(&b, "@page { size: %s portrait; margin: %gmm %gmm %gmm; }\n", p, clip, margin, margin)
	// The page is kept 3 mm short of its paper: a browser that rounds up must
	// not push the last line to a page of its own.
	fmt.Fprintf(&b, ".sheet { width: %gmm; min-height: %gmm; }\n", w-2*margin, h-clip-margin-3)
	b.WriteString(printCSS)
	for i := 1; i <= maxWide; i++ {
		fmt.Fprintf(&b, ".w%d{width:%dmm}", i, i)
	}
	b.WriteByte('\n')
	for i := minHalf; i <= maxHalf; i++ {
		fmt.Fprintf(&b, ".r%d{height:%gmm}", i, float64(i)/2)
	}
	b.WriteByte('\n')
	return []byte(b.String())
}
