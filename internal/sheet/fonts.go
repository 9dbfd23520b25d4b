package sheet

import (
	"bytes"
	"compress/gzip"
	"embed"
	"io"
	"strings"
	"sync"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
)

// DejaVu Sans Condensed 2.37 draws Latin, Greek and Cyrillic. Its notice is
// fonts/LICENSE: free to use, embed and pass on. The two files are those of the
// release, packed by gzip -9n: half a megabyte less in the program, unpacked when
// the first sheet is drawn.
//
//go:embed fonts/*.ttf.gz
var packed embed.FS

var (
	regularTTF = unpacked("DejaVuSansCondensed")
	boldTTF    = unpacked("DejaVuSansCondensed-Bold")
)

// unpacked gives a face of the fonts that come with the program, which a test
// reads too: it cannot fail.
func unpacked(name string) func() []byte {
	return sync.OnceValue(func() []byte {
		f, err := packed.Open("fonts/" + name + ".ttf.gz")
		if err != nil {
			panic(err)
		}
		z, err := gzip.NewReader(f)
		if err != nil {
			panic(err)
		}
		b, err := io.ReadAll(z)
		if err != nil {
			panic(err)
		}
		return b
	})
}

// FontNotice is the notice that goes with the fonts.
//
//go:embed fonts/LICENSE
var FontNotice string

const fontName = "dejavu"

// mmPerPt is one point of type in millimetres.
const mmPerPt = 25.4 / 72

// addFonts gives a document both faces. The library writes into the bytes it is
// given, so it gets copies.
func addFonts(f *fpdf.Fpdf) {
	f.AddUTF8FontFromBytes(fontName, "", bytes.Clone(regularTTF()))
	f.AddUTF8FontFromBytes(fontName, "B", bytes.Clone(boldTTF()))
}

// advances are the widths of all characters up to U+FFFF, regular and bold, in
// thousandths of the height of the type. Worked out once: laying out a page
// must not read fonts.
var advances = sync.OnceValue(func() (w [2][]uint16) {
	f := fpdf.New("P", "mm", "A4", "")
	addFonts(f)
	for i, style := range [...]string{"", "B"} {
		f.SetFont(fontName, style, 10)
		w[i] = make([]uint16, 0x10000)
		for r := range w[i] {
			if r < 0xD800 || r > 0xDFFF {
				w[i][r] = uint16(f.GetStringSymbolWidth(string(rune(r))))
			}
		}
	}
	return w
})

// width gives how wide a line is in millimetres.
func width(s string, pt float64, bold bool) float64 {
	w := advances()[0]
	if bold {
		w = advances()[1]
	}
	n := 0
	for _, r := range s {
		if r < 0x10000 {
			n += int(w[r])
		}
	}
	return float64(n) / 1000 * pt * mmPerPt
}

// clean makes words the PDF library can write: whole UTF-8, one line, nothing
// above U+FFFF (it knows no further) and no control characters.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "?")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case r < 0x20 || r == 0x7F || r > 0xFFFF || r == 0xFEFF || r == 0xFFFE || r == 0xFFFF:
			return -1
		}
		return r
	}, s)
}

// wrap breaks words into lines no wider than w millimetres. A word wider than
// that is broken within. No words give no lines.
func wrap(s string, pt float64, bold bool, w float64) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsFuncSeq(clean(s), func(r rune) bool { return r == ' ' }) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if width(longer, pt, bold) <= w {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for line = word; ; {
			head, tail := breakWord(line, pt, bold, w)
			if tail == "" {
				break
			}
			lines, line = append(lines, head), tail
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// breakWord takes as many characters as fit, at least one; tail is what is left.
func breakWord(s string, pt float64, bold bool, w float64) (head, tail string) {
	for i := range s {
		if i > 0 && width(s[:next(s, i)], pt, bold) > w {
			return s[:i], s[i:]
		}
	}
	return s, ""
}

// next gives where the character that begins at i ends.
func next(s string, i int) int {
	_, n := utf8.DecodeRuneInString(s[i:])
	return i + n
}
