package sheet_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/sheet"
	"larder/internal/units"
)

// TestSixtyHivesOnTwoPages: on either paper, in either language and all units,
// with a caution in two languages, an access note and notes beside the hives.
func TestSixtyHivesOnTwoPages(t *testing.T) {
	for _, w := range ways {
		for _, n := range []int{1, 24, 31, 48, 60} {
			s := manyHives(t, w.lang, w.system, n)
			yard := one(t)(sheet.YardSheet(s, "long", roundDay))
			heft := one(t)(sheet.HeftSheet(s, "long"))
			for _, p := range sheet.Papers() {
				for _, d := range []sheet.Doc{yard, heft} {
					if got, want := len(d.Pages(p)), (n+29)/30; got != want {
						t.Errorf("%s, %s, %v, %s: %d hives on %d pages, want %d", d.Kind, w.lang, w.system, p, n, got, want)
					}
				}
			}
		}
	}
}

// TestNoPageOfLinesAlone: when the lines to write on do not fit under the rows,
// the rows are shared out, and all pages have some.
func TestNoPageOfLinesAlone(t *testing.T) {
	for _, w := range ways[3:4] { // Spanish with kilograms takes the most room
		for n := 1; n <= 70; n++ {
			d := one(t)(sheet.YardSheet(manyHives(t, w.lang, w.system, n), "long", roundDay))
			for _, p := range sheet.Papers() {
				for _, page := range d.Pages(p) {
					if rows := sheet.RowsOn(page); rows == 0 || rows > 30 {
						t.Errorf("%d hives, %s, %s: %d rows on page %d of %d", n, w.lang, p, rows, page.N, page.Of)
					}
				}
			}
		}
	}
}

// TestEveryPageHasItsHead: the sheet's number, the yard's name, the head of the
// table and what it was printed from stand on each page; no row is lost.
func TestEveryPageHasItsHead(t *testing.T) {
	s := manyHives(t, "en", units.US, 60)
	d := one(t)(sheet.YardSheet(s, "long", roundDay))
	ps := pages(t, press(t, sheet.Letter, d))
	if len(ps) != 2 {
		t.Fatalf("%d pages", len(ps))
	}
	for i, words := range ps {
		for _, want := range []string{fmt.Sprintf("Sheet %d of 2", i+1), "Long Meadow", "Hive", "Give", "Left in feeder", d.Code, d.Printed} {
			if !slices.Contains(words, want) {
				t.Errorf("page %d lacks %q", i+1, want)
			}
		}
	}
	all := text(ps)
	for i := range 60 {
		if n := strings.Count(all, fmt.Sprintf("\nA%d\n", i+1)); n != 1 {
			t.Errorf("A%d stands %d times", i+1, n)
		}
	}
	if !strings.Contains(ps[0][len(ps[0])-1], d.Code) || strings.Contains(text(ps[:1]), "At home") || !strings.Contains(text(ps[1:]), "At home") {
		t.Error("the foot belongs on the last page")
	}
}

// anyDoc draws a sheet of whatever parts and lengths.
func anyDoc(rt *rapid.T) sheet.Doc {
	word := rapid.StringMatching(`[A-Za-z0-9 áñ½<&°()\\]{0,40}`)
	d := sheet.Doc{Kind: "K", Name: word.Draw(rt, "name"), When: "Tue 14 Oct", Printed: word.Draw(rt, "printed"), PageOf: func(n, of int) string { return fmt.Sprintf("Sheet %d of %d", n, of) }}
	for range rapid.IntRange(0, 8).Draw(rt, "fields") {
		d.Head = append(d.Head, sheet.Field{Label: "L", Say: word.Draw(rt, "field")})
	}
	for range rapid.IntRange(0, 4).Draw(rt, "cautions") {
		d.Cautions = append(d.Cautions, sheet.Caution{Word: "CAUTION", Say: word.Draw(rt, "say"), English: word.Draw(rt, "english")})
	}
	cols := []sheet.Col{{Head: "#", Kind: sheet.Number, Wide: 8}, {Head: "Hive", Big: true, Fit: true, Wide: 12, Most: 40}, {Head: "Box", Kind: sheet.Digits, Pattern: "##.#"}, {Head: "Note", Small: true, Kind: sheet.Blank}}
	for range rapid.IntRange(1, 3).Draw(rt, "tables") {
		t := sheet.Table{Cols: cols, Least: rapid.Float64Range(5.8, 12).Draw(rt, "least"), Most: rapid.Float64Range(5.8, 14).Draw(rt, "most"), PerPage: rapid.IntRange(0, 40).Draw(rt, "per")}
		for i := range rapid.IntRange(0, 120).Draw(rt, "rows") {
			r := sheet.Row{Cells: []sheet.Cell{{Say: fmt.Sprintf("row-%d-", i)}, {Say: word.Draw(rt, "hive")}, {}, {Say: word.Draw(rt, "note")}}}
			if rapid.IntRange(0, 9).Draw(rt, "sort") == 0 {
				r = sheet.Row{Cautions: []sheet.Caution{{Word: "CAUTION", Say: word.Draw(rt, "warn")}, {Word: "CAUTION", Say: word.Draw(rt, "warn too")}}[:rapid.IntRange(1, 2).Draw(rt, "warnings")]}
			}
			t.Rows = append(t.Rows, r)
		}
		d.Parts = append(d.Parts, t)
	}
	d.Parts = append(d.Parts, sheet.Write{Rows: [][]sheet.Field{{{Label: "Who"}}}}, sheet.Para{Say: word.Draw(rt, "para")})
	d.Foot = []string{word.Draw(rt, "foot")}
	return d
}

// TestNothingLeavesThePage: whatever a sheet holds, its pieces follow each other
// without overlap within the margins, and every row is there once, in order.
func TestNothingLeavesThePage(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := anyDoc(rt)
		p := rapid.SampledFrom(sheet.Papers()).Draw(rt, "paper")
		_, high := p.Size()
		rows := 0
		for i, page := range d.Pages(p) {
			if page.N != i+1 || page.Of != len(d.Pages(p)) {
				rt.Fatalf("page %d calls itself %d of %d", i+1, page.N, page.Of)
			}
			y := 20.0 + 9 // under the clip and the name
			for _, it := range page.Items {
				if it.Y < y-1e-6 {
					rt.Fatalf("page %d: a piece begins at %.2f, the one before ends at %.2f", i+1, it.Y, y)
				}
				y = it.Y + it.H
			}
			if y > high-12-5+1e-6 {
				rt.Fatalf("page %d ends at %.2f mm of %.1f", i+1, y, high)
			}
			rows += sheet.RowsOn(page)
		}
		want := 0
		for _, part := range d.Parts {
			if t, ok := part.(sheet.Table); ok {
				want += len(t.Rows)
			}
		}
		if rows != want {
			rt.Fatalf("%d rows placed, %d given", rows, want)
		}
	})
}

// sample is a sheet that depends on nothing but this file.
func sample() sheet.Doc {
	d := sheet.Doc{Kind: "Yard sheet", Name: "Ñandú & Søn", When: "Tue 14 Oct 2026", House: "Ridge Road", Lang: "en", Code: "M-7Q4X", File: "yard-n",
		Head:     []sheet.Field{{Label: "Syrup", Say: "66.7 % (2:1 by weight)"}, {Label: "Needs", Say: "31 US gal (rounded)"}},
		Cautions: []sheet.Caution{{Word: "CAUTION", Say: "Honey supers off (really) \\ before any feed."}},
		Foot:     []string{"At home: enter in row order."}, Printed: "Printed from facts of Tue 13 Oct 18:02",
		PageOf: func(n, of int) string { return fmt.Sprintf("Sheet %d of %d", n, of) }}
	t := sheet.Table{Least: 6, Most: 9, Cols: []sheet.Col{{Head: "Hive", Big: true, Wide: 20}, {Head: "Give", Sub: "qt", Kind: sheet.Number, Big: true, Wide: 20},
		{Head: "As planned", Kind: sheet.CheckLine, Wide: 22}, {Head: "Heft", Sub: "lb", Kind: sheet.Digits, Pattern: "###"}, {Head: "Left", Kind: sheet.Choices, Words: []string{"0", "½"}}, {Head: "Notes", Kind: sheet.Blank}}}
	for i := range 40 {
		t.Rows = append(t.Rows, sheet.Row{Cells: []sheet.Cell{{Say: fmt.Sprint(i + 1)}, {Say: "9.5"}, {}, {}, {}, {Say: "Łódź Ωμέγα Жито 10 °C"}}})
	}
	bar := sheet.StoresBar(bar(18, 3, true, 27))
	f := fan()
	d.Parts = []sheet.Part{t, sheet.Picture{Drawing: bar, Wide: 60}, sheet.Picture{Drawing: f.Draw(), Wide: 90}}
	return d
}

// TestSameBytes: fixed dates, sorted catalogues: printing twice gives the same
// file, and the file is the one that was looked at. A new version of Go or of
// the library may change how it is packed: then look at it and go test -update.
func TestSameBytes(t *testing.T) {
	for _, p := range sheet.Papers() {
		var first []byte
		for range 3 {
			var b bytes.Buffer
			if err := sheet.PDF(&b, sheet.Print{Paper: p, Title: "Sheets", Lang: "en", Made: made}, sample()); err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = b.Bytes()
			} else if !bytes.Equal(first, b.Bytes()) {
				t.Fatal("the same sheet gave other bytes")
			}
		}
		sum := sha256.Sum256(first)
		golden(t, "sample-"+string(p)+".sha256", hex.EncodeToString(sum[:])+"\n")
		for _, want := range []string{"(D:20261013180200", "/Lang (en)"} {
			if !bytes.Contains(first, []byte(want)) {
				t.Errorf("the file lacks %s", want)
			}
		}
	}
}

// TestPaperIsBlack: nothing is printed in colour, and letters of all our
// languages and their neighbours come through.
func TestPaperIsBlack(t *testing.T) {
	pdf := press(t, sheet.A4, sample())
	ps := pages(t, pdf)
	for _, op := range []string{" rg\n", " RG\n", " k\n", " K\n", " scn\n", "/SMask", "/Subtype /Image"} {
		if bytes.Contains(pdf, []byte(op)) {
			t.Errorf("the file has %q", op)
		}
	}
	all := text(ps)
	for _, want := range []string{"Ñandú & Søn", "½", "Łódź Ωμέγα Жито 10 °C", "Honey supers off (really) \\ before any feed."} {
		if !strings.Contains(all, want) {
			t.Errorf("the paper lacks %q", want)
		}
	}
}

func TestPaperSizes(t *testing.T) {
	for p, want := range map[sheet.Paper]string{sheet.Letter: "/MediaBox [0 0 612.00 792.00]", sheet.A4: "/MediaBox [0 0 595.28 841.89]"} {
		if pdf := press(t, p, sample()); !bytes.Contains(pdf, []byte(want)) {
			t.Errorf("%s: no %s", p, want)
		}
	}
	if _, err := sheet.ReadPaper("foolscap"); err == nil {
		t.Error("foolscap is none of our papers")
	}
}

// TestOddWords: what no font has and no file can hold neither breaks the file
// nor the page.
func TestOddWords(t *testing.T) {
	d := sample()
	d.Name = "🐝 bees \x00\xff\ufeff(tricky\\)\r\n" + strings.Repeat("W", 300)
	d.Head = append(d.Head, sheet.Field{Label: strings.Repeat("x", 400), Say: strings.Repeat("long words ", 60)})
	all := text(pages(t, press(t, sheet.Letter, d)))
	if !strings.Contains(all, "bees") || strings.ContainsAny(all, "🐝\x00") {
		t.Errorf("name printed as %q", all[:60])
	}
}

func TestEmptyPaper(t *testing.T) {
	var b bytes.Buffer
	if err := sheet.PDF(&b, sheet.Print{Paper: sheet.A4, Made: made}); err != nil || !bytes.HasPrefix(b.Bytes(), []byte("%PDF-")) {
		t.Errorf("no sheets: %v", err)
	}
}

func FuzzFileName(f *testing.F) {
	for _, s := range []string{"mill", "../../etc", "Ñandú 14", "", "a\"b\r\nc", strings.Repeat("x", 300)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := sheet.FileName("yard", s, "2026-10-14")
		if got == "" || len(got) > 61 || strings.Trim(got, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
			t.Errorf("FileName(%q) = %q", s, got)
		}
	})
}
