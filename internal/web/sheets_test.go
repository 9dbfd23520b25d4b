package web

import (
	"bytes"
	"compress/zlib"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"golang.org/x/net/html"

	"larder/internal/season"
	"larder/internal/units"
)

// paperWords gives the words of a PDF of ours in the order they were written:
// streams are unpacked, text stands as UTF-16 in "(…) Tj".
func paperWords(t *testing.T, pdf string) []string {
	t.Helper()
	var out []string
	for rest := []byte(pdf); ; {
		_, after, ok := bytes.Cut(rest, []byte("\nstream\n"))
		if !ok {
			return out
		}
		packed, tail, _ := bytes.Cut(after, []byte("\nendstream"))
		rest = tail
		z, err := zlib.NewReader(bytes.NewReader(packed))
		if err != nil {
			continue
		}
		stream, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range shownText.FindAllSubmatch(stream, -1) {
			raw := escaped.ReplaceAll(m[1], []byte("$1"))
			u := make([]uint16, len(raw)/2)
			for k := range u {
				u[k] = uint16(raw[2*k])<<8 | uint16(raw[2*k+1])
			}
			out = append(out, string(utf16.Decode(u)))
		}
	}
}

var (
	shownText = regexp.MustCompile(`(?s) Td \(((?:[^\\)]|\\.)*)\) Tj`)
	escaped   = regexp.MustCompile(`(?s)\\(.)`)
)

// planFills reads from the Plan page what each hive gets on each load, as it
// stands on the screen.
func planFills(t *testing.T, a *answer) [][2]string {
	t.Helper()
	var out [][2]string
	each(a.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "ul" && attr(n, "class") == "fills" {
			each(n, func(li *html.Node) {
				if li.Type == html.ElementNode && li.Data == "li" {
					hive, amount, _ := strings.Cut(strings.Join(strings.Fields(inner(li)), " "), " ")
					out = append(out, [2]string{hive, amount})
				}
			})
		}
	})
	return out
}

// TestPaperHasWhatTheScreenHas: each amount on the Plan page stands in the row
// of its hive on the yard sheets, in the PDF and in the page to print.
func TestPaperHasWhatTheScreenHas(t *testing.T) {
	s := newExampleSite(t)
	for _, system := range []string{"us", "metric", "uk"} {
		s.done("/units", "units", system, "back", "/sheets")
		fills := planFills(t, s.get("/plan"))
		var paper, screen []string
		for _, o := range optionsOf(s.get("/sheets"), "day") {
			paper = append(paper, paperWords(t, s.get("/sheets/day.pdf?day="+o).Body)...)
			screen = append(screen, strings.Fields(s.get("/sheets/day?day="+o).text())...)
		}
		if len(fills) < 30 {
			t.Fatalf("the plan shows %d fills", len(fills))
		}
		for _, f := range fills {
			number, unit, _ := strings.Cut(f[1], " ")
			if !rowHas(paper, f[0], number) || !strings.Contains(strings.Join(paper, " "), unit) {
				t.Errorf("%s: the PDF lacks %s for %s", system, f[1], f[0])
			}
			if !rowHas(screen, f[0], number) {
				t.Errorf("%s: the page to print lacks %s for %s", system, f[1], f[0])
			}
		}
	}
}

// rowHas tells whether an amount stands shortly behind a hive's name.
func rowHas(words []string, hive, number string) bool {
	for i, w := range words {
		if w != hive {
			continue
		}
		for _, x := range words[i+1 : min(len(words), i+4)] {
			if x == number {
				return true
			}
		}
	}
	return false
}

func optionsOf(a *answer, name string) []string {
	var out []string
	each(a.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "select" && attr(n, "name") == name {
			each(n, func(o *html.Node) {
				if o.Type == html.ElementNode && o.Data == "option" {
					out = append(out, attr(o, "value"))
				}
			})
		}
	})
	return out
}

func TestSheetsListsTheDay(t *testing.T) {
	s := newExampleSite(t)
	a := s.get("/sheets")
	a.has("Everything for Sun 13 Sep 2015", "Batch card", "Load card", "Yard sheet", "Mill Lane", "Heft sheet", "Shopping list", "Hive labels", "Yard labels")
	a.hasNot("Cannot be printed yet")
	n := 0
	for _, l := range a.links() {
		if !strings.HasPrefix(l, "/sheets/") {
			continue
		}
		n++
		b := s.get(l)
		if pdf := strings.Contains(l, ".pdf?"); pdf != strings.HasPrefix(b.Head.Get("Content-Type"), "application/pdf") || pdf && !strings.HasPrefix(b.Body, "%PDF-") {
			t.Errorf("%s gives %s", l, b.Head.Get("Content-Type"))
		}
	}
	if n < 20 {
		t.Errorf("%d sheets to print", n)
	}
	// One yard only: no other yard's sheet.
	one := s.get("/sheets?yard=mill&paper=a4")
	if one.field("yard") != "mill" || one.field("paper") != "a4" {
		t.Error("what was chosen is not chosen")
	}
	for _, l := range one.links() {
		if strings.HasPrefix(l, "/sheets/yard?") && !strings.Contains(l, "yard=mill") {
			t.Errorf("another yard: %s", l)
		}
		if strings.HasPrefix(l, "/sheets/") && !strings.Contains(l, "paper=a4") {
			t.Errorf("the paper is lost: %s", l)
		}
	}
}

// TestSheetsSaysWhatLacks: an empty book, a book without a tank, a day without
// a round.
func TestSheetsSaysWhatLacks(t *testing.T) {
	newSite(t, smallNow).get("/sheets").has("No hives yet.", "Start with your yards")

	var facts []season.Fact
	for _, f := range smallSeason(t) {
		if set, ok := f.Body.(season.Setting); !ok || set.Key != "rig.tank" {
			facts = append(facts, f)
		}
	}
	s := newSite(t, smallNow, facts...)
	a := s.get("/sheets")
	a.has("Cannot be printed yet", "tank", "Heft sheet")
	for _, l := range a.links() {
		if strings.HasPrefix(l, "/sheets/") {
			s.get(l) // what is offered can be had
		}
	}
	if b := s.do(httptest.NewRequest(http.MethodGet, "/sheets/shopping", nil)); b.Code != http.StatusUnprocessableEntity {
		t.Errorf("shopping without a tank: %d", b.Code)
	}
	newSmallSite(t).get("/sheets?day=2026-12-24").has("no load goes out on that day.", "no round goes there on that day.")
}

func TestSheetsKeepsWhatWasTyped(t *testing.T) {
	s := newSmallSite(t)
	a := s.do(httptest.NewRequest(http.MethodGet, "/sheets?sack=heavy&address=somewhere&yard=mill", nil))
	if a.Code != http.StatusUnprocessableEntity {
		t.Fatalf("%d", a.Code)
	}
	if a.field("sack") != "heavy" || a.field("address") != "somewhere" || a.field("yard") != "mill" {
		t.Error("what was typed is lost")
	}
	a.has("Error:", "There is a problem")
	for _, q := range []string{"paper=foolscap", "day=tomorrow", "sack=9000+lb", "address=javascript:alert(1)", "address=http://x/y", "address=http://a@b"} {
		if b := s.do(httptest.NewRequest(http.MethodGet, "/sheets?"+q, nil)); b.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", q, b.Code)
		}
	}
}

func TestSheetsThatAreNotThere(t *testing.T) {
	s := newSmallSite(t)
	for path, want := range map[string]int{
		"/sheets/nonsense": http.StatusNotFound, "/sheets/load?n=77": http.StatusNotFound, "/sheets/load.pdf?n=x": http.StatusNotFound, "/sheets/batch?n=-1": http.StatusNotFound,
		"/sheets/yard?yard=nowhere&day=2026-09-05": http.StatusNotFound, "/sheets/yard?yard=mill&day=soon": http.StatusUnprocessableEntity,
		"/sheets/heft?yard=%22%3E%3Cb%3E": http.StatusNotFound, "/sheets/heft?paper=foolscap": http.StatusUnprocessableEntity,
	} {
		if a := s.do(httptest.NewRequest(http.MethodGet, path, nil)); a.Code != want {
			t.Errorf("%s: %d, want %d", path, a.Code, want)
		}
	}
}

// TestPDFsAreFiles: type, length and a name that is safe everywhere; the same
// facts and minute give the same bytes; nothing is written down by printing.
func TestPDFsAreFiles(t *testing.T) {
	s := newExampleSite(t)
	before := s.count()
	a, b := s.get("/sheets/yard.pdf?yard=mill&paper=letter"), s.get("/sheets/yard.pdf?yard=mill&paper=letter")
	if a.Body != b.Body {
		t.Error("printing twice gives other bytes")
	}
	if got := a.Head.Get("Content-Disposition"); !regexp.MustCompile(`^inline; filename=yard-mill-2015-09-\d\d\.pdf$`).MatchString(got) {
		t.Errorf("name %q", got)
	}
	if got := s.get("/sheets/day.pdf?day=2015-09-13").Head.Get("Content-Disposition"); got != "inline; filename=sheets-2015-09-13.pdf" {
		t.Errorf("name %q", got)
	}
	if n := s.count() - before; n != 0 {
		t.Errorf("printing wrote %d facts", n)
	}
}

// count gives how many facts the book has.
func (s *site) count() int {
	s.t.Helper()
	all, err := s.book.Facts(s.t.Context(), units.Moment{})
	if err != nil {
		s.t.Fatal(err)
	}
	return len(all)
}

// TestPaperOlderThanFacts: the list says how many changes there were since a
// sheet was printed.
func TestPaperOlderThanFacts(t *testing.T) {
	s := newExampleSite(t)
	var link string
	for _, l := range s.get("/sheets").links() {
		if strings.HasPrefix(l, "/sheets/day.pdf?") {
			link = l
		}
	}
	s.get("/sheets").hasNot("nothing changed since")
	s.get(link)
	s.get("/sheets").has("nothing changed since")
	s.done("/units", "units", "metric", "back", "/")
	s.done("/units", "units", "us", "back", "/")
	s.get("/sheets").has("2 changes since printed Sat 12 Sep")
}

func TestSheetsInSpanish(t *testing.T) {
	s := newExampleSite(t)
	s.done("/units", "language", "es", "units", "metric", "decimal", "comma", "back", "/")
	s.get("/sheets").has("Hojas", "Todo para el dom 13 sept 2015", "Hoja de apiario")
	flat := strings.Join(paperWords(t, s.get("/sheets/day.pdf?day=2015-09-13").Body), " ")
	for _, want := range []string{"Tarjeta de mezcla", "Hoja de apiario", "CUIDADO:", "CAUTION: Honey supers off before any feed or supplement.", "Hoja 1 de 1", "(redondeado)", "66,7 %"} {
		if !strings.Contains(flat, want) {
			t.Errorf("the paper lacks %q", want)
		}
	}
}

// TestLabelCodesLead: the address on a label opens a page of ours.
func TestLabelCodesLead(t *testing.T) {
	s := newExampleSite(t)
	words := paperWords(t, s.get("/sheets/hives.pdf?yard=mill&address="+url.QueryEscape("http://192.168.1.20:8642")).Body)
	n := 0
	for _, w := range words {
		path, ok := strings.CutPrefix(w, "http://192.168.1.20:8642/")
		if !ok {
			continue
		}
		n++
		id, ok := strings.CutPrefix(path, "hive/")
		a := s.do(httptest.NewRequest(http.MethodGet, "/"+path, nil))
		if a.Code != http.StatusSeeOther || a.Head.Get("Location") != "/hives/"+id || !ok {
			t.Errorf("/%s: %d, leads to %s", path, a.Code, a.Head.Get("Location"))
		}
		s.get(a.Head.Get("Location")).has(id)
	}
	if n != 11 {
		t.Errorf("%d addresses on 11 labels", n)
	}
	if a := s.do(httptest.NewRequest(http.MethodGet, "/yard/mill", nil)); a.Code != http.StatusSeeOther {
		t.Errorf("/yard/mill: %d", a.Code)
	} else {
		s.get(a.Head.Get("Location")).has("Mill Lane")
	}
	s.get("/sheets").has("only this computer is reached")
	s.get("/sheets?address=" + url.QueryEscape("http://192.168.1.20:8642")).hasNot("only this computer is reached")
}

// TestLettersOfThePaper: each letter that can be typed in for a hive not fed
// stands at the foot of the yard sheet, in either language.
func TestLettersOfThePaper(t *testing.T) {
	s := newExampleSite(t)
	for _, lang := range Languages {
		s.done("/units", "language", lang, "back", "/")
		text := s.get("/sheets/yard?yard=mill").text()
		for letter := range troubleLetters {
			if !strings.Contains(text, " "+letter+" ") {
				t.Errorf("%s: no letter %s on paper", lang, letter)
			}
		}
	}
}

// TestLeftOutStayOut: hives that were unticked on Who is short are not on paper.
func TestLeftOutStayOut(t *testing.T) {
	s := newExampleSite(t)
	a := s.get("/sheets/yard?yard=mill&skip=m4")
	if rowHas(strings.Fields(a.text()), "m4", "4") {
		t.Error("m4 is fed though it was left out")
	}
	for _, l := range s.get("/sheets?skip=m4&skip=c1").links() {
		if strings.HasPrefix(l, "/sheets/") && !(strings.Contains(l, "skip=m4") && strings.Contains(l, "skip=c1")) {
			t.Errorf("%s forgets who was left out", l)
		}
	}
}
