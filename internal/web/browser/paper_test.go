package browser

import (
	"bytes"
	"compress/zlib"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf16"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
)

// What the browser itself prints of the main screens and of the sheets, on Letter
// and A4: nothing to press and no way elsewhere, no row cut by the end of a page,
// the head of a table on each page it goes on to, no letter beside the paper and
// the page not made smaller to fit. PRINTS=2 prints every screen; SHOTS keeps the
// PDFs.
func TestBrowsersOwnPrint(t *testing.T) {
	t.Parallel()
	status := map[string]int{}
	for _, s := range book.Stories {
		status[s.Name()] = s.Status()
	}
	names := []string{"short/typical", "plan/typical", "load/typical", "mix/typical", "print/day"}
	if howMany(t, "PRINTS", 1) > 1 {
		names = nil
		for _, s := range book.Stories {
			// Two pages are wide grids to type in, and have sheets of their own for paper.
			if grid := s.Screen == "readings" || s.Screen == "given-sheet"; !grid && (s.State == "typical" || s.Screen == "print") {
				names = append(names, s.Name())
			}
		}
	}
	b := open(t, bookURL)
	rows := 0
	for _, name := range names {
		b.must(chromium.Look(1280, 900, false), media("screen"))
		b.goTo("/story/" + name)
		for _, paper := range []struct {
			name       string
			wide, high float64
		}{{"letter", 8.5, 11}, {"a4", 210 / 25.4, 297 / 25.4}} {
			what := name + " on " + paper.name
			b.must(media("print"), chromedp.EmulateViewport(int64((paper.wide-2*margin)*96), 900))
			if strings.HasPrefix(name, "print/") { // its paper is its own, and what is on it is read in its PDF
				if paper.name == "letter" {
					b.none(what, "probe.pressed()")
					said, pages := eval[int](b, `document.querySelectorAll("section.sheet").length`), readPaper(t, b.printed(paper.wide, paper.high))
					for i, p := range pages {
						if p.astray != "" {
							t.Errorf("%s, page %d: %s", what, i+1, p.astray)
						}
					}
					if len(pages) != said || said == 0 {
						t.Errorf("%s: %d pages were printed of %d", what, len(pages), said)
					}
				}
				continue
			}
			if ink := eval[string](b, `(document.documentElement.dataset.theme = "dark", getComputedStyle(document.documentElement).getPropertyValue("--ink"))`); ink != "#111111" {
				t.Errorf("%s: with the dark colours chosen, it is printed in %s", what, ink)
			}
			b.none(what, "probe.wide()", "probe.pressed()")
			tables := eval[[][][]string](b, `probe.sheet(".visually-hidden, select { display: none !important }") || [...document.querySelectorAll("main table")].filter((t) => t.checkVisibility()).map((t) => [...t.rows].filter((r) => r.checkVisibility()).map((r) => [...r.cells].map((c) => c.innerText))).filter((t) => t.length > 1)`)
			eval[chromedp.Void](b, `void probe.sheet("")`)
			raw := b.printed(paper.wide, paper.high)
			if dir := os.Getenv("SHOTS"); dir != "" {
				if err := os.WriteFile(filepath.Join(dir, strings.ReplaceAll(what, "/", "-")+".pdf"), raw, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			pages := readPaper(t, raw)
			for i, p := range pages {
				if p.astray != "" {
					t.Errorf("%s, page %d: %s", what, i+1, p.astray)
				}
			}
			for _, table := range tables {
				for i, row := range table {
					on := -1
					for k := range pages {
						if pages[k].has(row) {
							on = k
							break
						}
					}
					if on < 0 {
						t.Errorf("%s: a row is on no page as a whole: %q", what, row)
						continue
					}
					if rows++; i > 0 && len(table) > 8 && !pages[on].has(table[0]) {
						t.Errorf("%s, page %d: %q stands under no head", what, on+1, row)
					}
				}
			}
		}
		b.must(media(""))
		b.quiet(status[name], name)
	}
	if rows < 120 {
		t.Errorf("only %d rows were looked for", rows)
	}
	t.Logf("%d rows", rows)
}

// margin is what the browser leaves free around a page, in inches.
const margin = 1 / 2.54

// media shows the page as on the screen or on paper.
func media(kind string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
		_, err := cdp.Call(ctx, tg, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: kind})
		return err
	})
}

// printed is the page as the browser prints it, in inches.
func (b *tab) printed(wide, high float64) []byte {
	b.t.Helper()
	var out []byte
	b.must(chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
		sheet := true // what @page says of its size goes first
		r, err := cdp.Call(ctx, tg, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: wide, PaperHeight: high, PreferCSSPageSize: &sheet})
		if err != nil {
			return err
		}
		out = r.Data
		return nil
	}))
	return out
}

// paperPage is a page as the browser printed it: its letters in the order they
// were written, without spaces, and the first that is not where it should be.
type paperPage struct{ text, astray string }

// has tells whether the cells stand one after the other on the page, each whole.
func (p *paperPage) has(cells []string) bool {
	var first string
	var rest []string
	for _, c := range cells {
		if c = packed(c); c == "" {
			continue
		}
		if first == "" {
			first = c
		} else {
			rest = append(rest, c)
		}
	}
	for from := 0; ; {
		at := strings.Index(p.text[from:], first)
		if at < 0 {
			return false
		}
		from += at + len(first)
		at, ok := from, true
		for _, c := range rest {
			i := strings.Index(p.text[at:min(len(p.text), at+len(c)+300)], c)
			if ok = ok && i >= 0; !ok {
				break
			}
			at += i + len(c)
		}
		if ok {
			return true
		}
	}
}

// packed is a text without its spaces.
func packed(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == 0xad || r == 0x200b {
			return -1
		}
		return r
	}, joined.Replace(s))
}

// joined parts letters that a typeface joins.
var joined = strings.NewReplacer("ﬁ", "fi", "ﬂ", "fl", "ﬀ", "ff", "ﬃ", "ffi", "ﬄ", "ffl")

var (
	pdfObject = regexp.MustCompile(`(?s)(?:^|\n)(\d+) 0 obj\n(.*?)\nendobj`)
	pdfFont   = regexp.MustCompile(`/(F\d+) (\d+) 0 R`)
	pdfUni    = regexp.MustCompile(`/ToUnicode (\d+) 0 R`)
	pdfPage   = regexp.MustCompile(`/Type /Page\s`)
	pdfBox    = regexp.MustCompile(`/MediaBox \[([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+)\]`)
	pdfBody   = regexp.MustCompile(`/Contents (\d+) 0 R`)
	pdfToken  = regexp.MustCompile(`\((?:[^\\)]|\\.)*\)|<<|>>|<[0-9A-Fa-f]*>|[^\s<>()\[\]]+|\[|\]`)
	pdfMap    = regexp.MustCompile(`(?s)begin(bfchar|bfrange)\n(.*?)\nend`)
	pdfHex    = regexp.MustCompile(`<([0-9A-Fa-f]+)>`)
)

// readPaper reads the pages of a PDF as Chromium writes them: whole objects,
// letters as numbers of a typeface that has a table of what they mean.
func readPaper(t *testing.T, raw []byte) []paperPage {
	t.Helper()
	objects := map[string][]byte{}
	var order []string
	for _, m := range pdfObject.FindAllSubmatch(raw, -1) {
		objects[string(m[1])] = m[2]
		order = append(order, string(m[1]))
	}
	stream := func(no string) string {
		head, body, ok := bytes.Cut(objects[no], []byte("stream\n"))
		if !ok {
			t.Fatalf("object %s has no content", no)
		}
		body = bytes.TrimSuffix(body, []byte("\nendstream"))
		if !bytes.Contains(head, []byte("/FlateDecode")) {
			return string(body)
		}
		z, err := zlib.NewReader(bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		out, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	faces := map[string]map[uint64]string{}
	var pages []paperPage
	for _, no := range order {
		o := objects[no]
		if !pdfPage.Match(o) {
			continue
		}
		box, body := pdfBox.FindSubmatch(o), pdfBody.FindSubmatch(o)
		if box == nil || body == nil {
			t.Fatalf("a page without size or content: %.300s", o)
		}
		fonts := map[string]map[uint64]string{}
		for _, f := range pdfFont.FindAllSubmatch(o, -1) {
			if u := pdfUni.FindSubmatch(objects[string(f[2])]); u != nil {
				if faces[string(u[1])] == nil {
					faces[string(u[1])] = meanings(stream(string(u[1])))
				}
				fonts[string(f[1])] = faces[string(u[1])]
			}
		}
		wide, _ := strconv.ParseFloat(string(box[3]), 64)
		high, _ := strconv.ParseFloat(string(box[4]), 64)
		pages = append(pages, lettersOf(stream(string(body[1])), fonts, wide, high))
	}
	if len(pages) == 0 {
		t.Fatal("no page was printed")
	}
	return pages
}

// meanings reads what the letters of a typeface mean.
func meanings(table string) map[uint64]string {
	out := map[uint64]string{}
	for _, m := range pdfMap.FindAllStringSubmatch(table, -1) {
		for line := range strings.Lines(m[2]) {
			var x []string
			for _, h := range pdfHex.FindAllStringSubmatch(line, -1) {
				x = append(x, h[1])
			}
			if len(x) < 2 {
				continue
			}
			from, _ := strconv.ParseUint(x[0], 16, 32)
			if m[1] == "bfchar" {
				out[from] = utf16Of(x[1])
				continue
			}
			to, _ := strconv.ParseUint(x[1], 16, 32)
			first := []rune(utf16Of(x[2]))
			for i := from; i <= to && len(first) == 1; i++ {
				out[i] = string(first[0] + rune(i-from))
			}
		}
	}
	return out
}

func utf16Of(hex string) string {
	var u []uint16
	for ; len(hex) >= 4; hex = hex[4:] {
		x, _ := strconv.ParseUint(hex[:4], 16, 16)
		u = append(u, uint16(x))
	}
	return string(utf16.Decode(u))
}

// lettersOf goes through what is drawn on a page of so many points.
func lettersOf(content string, fonts map[string]map[uint64]string, wide, high float64) paperPage {
	type matrix [6]float64
	mul := func(a, b matrix) matrix {
		return matrix{a[0]*b[0] + a[1]*b[2], a[0]*b[1] + a[1]*b[3], a[2]*b[0] + a[3]*b[2], a[2]*b[1] + a[3]*b[3], a[4]*b[0] + a[5]*b[2] + b[4], a[4]*b[1] + a[5]*b[3] + b[5]}
	}
	at, text := matrix{1, 0, 0, 1, 0, 0}, matrix{1, 0, 0, 1, 0, 0}
	var kept []matrix
	var args []string
	var face map[uint64]string
	var p paperPage
	var out strings.Builder
	number := func(back int) float64 {
		x, _ := strconv.ParseFloat(args[len(args)-back], 64)
		return x
	}
	six := func() matrix {
		return matrix{number(6), number(5), number(4), number(3), number(2), number(1)}
	}
	for _, k := range pdfToken.FindAllString(content, -1) {
		switch k {
		case "q":
			kept = append(kept, at)
		case "Q":
			at, kept = kept[len(kept)-1], kept[:len(kept)-1]
		case "cm":
			at = mul(six(), at)
		case "Tm":
			text = six()
		case "Td":
			text = mul(matrix{1, 0, 0, 1, number(2), number(1)}, text)
		case "Tf":
			face = fonts[strings.TrimPrefix(args[len(args)-2], "/")]
		case "Tj":
			for hex := strings.Trim(args[len(args)-1], "<>"); len(hex) >= 4; hex = hex[4:] {
				n, _ := strconv.ParseUint(hex[:4], 16, 16)
				s := packed(face[n])
				out.WriteString(s)
				on := mul(text, at)
				if s == "" || p.astray != "" {
					continue
				}
				if x, y := on[4], on[5]; x < 0 || y < 0 || x > wide-4 || y > high {
					p.astray = fmt.Sprintf("%q stands at %.0f, %.0f of %.0f × %.0f points", s, x, y, wide, high)
				}
			}
		default:
			args = append(args, k)
			continue
		}
		args = args[:0]
	}
	p.text = out.String()
	return p
}
