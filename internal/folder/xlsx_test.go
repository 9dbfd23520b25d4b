package folder

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"larder/internal/fault"
	"larder/internal/season"
)

// book makes a workbook as a spreadsheet program would: numbers as numbers,
// days as serials.
func book(t *testing.T, sheets map[string][][]any, change func(*excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for name, rows := range sheets {
		if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		for i, r := range rows {
			cell, _ := excelize.CoordinatesToCellName(1, i+1)
			if err := f.SetSheetRow(name, cell, &r); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := f.DeleteSheet("Sheet1"); err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(f)
	}
	b, err := f.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readBook(b []byte) ([]season.Fact, Report, error) {
	return ReadXLSX(bytes.NewReader(b), int64(len(b)))
}

func TestWorkbookOfASpreadsheet(t *testing.T) {
	// 46270 is 5 September 2026: days since 30 December 1899; 0.736111… of a day is 17:40.
	b := book(t, map[string][][]any{
		"Season": {{"key", "value"}, {"format", 1}, {"since", 46023}, {"house.units", "us"}, {"house.zone", "America/New_York"}, {"rig.tank", "40 gal"}, {"home.lat", 42.44}},
		"Readings": {{"Fall readings"}, {}, {"Date", "Hive", "Gross (lb)", "Wet", "Mine", "Note"},
			{46270, 14, 96.5, true, "x", "windy"}, {46270.736111111111, 15, 48.299999999999997, false, nil, "=1+1"}, {nil, nil, nil}, {"2026-09-06", "016", "44 kg"}},
		"Scratch": {{"whatever"}},
		"looks":   {},
	}, nil)
	facts, rep, err := readBook(b)
	golden(t, "testdata/spreadsheet.expected.txt", told(facts, rep, err))
}

func TestWorkbookFrom1904(t *testing.T) {
	yes := true
	b := book(t, map[string][][]any{"readings": {{"seen", "colony", "gross_lb"}, {44808, 14, 96}}}, func(f *excelize.File) {
		if err := f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}); err != nil {
			t.Fatal(err)
		}
	})
	facts, _, err := readBook(b)
	if err != nil || facts[0].Seen != someDay {
		t.Errorf("%v %v", facts, err)
	}
}

// A plan longer than a cell, with letters beyond ASCII, comes back to the letter
// wherever it is cut, and so does one without such letters.
func TestWorkbookKeepsALongPlan(t *testing.T) {
	for _, word := range []string{"é", "…", "𝄞", "a é", " ", "\u00a0", "x ", "'", "=é", "\\u00e9", "a"} {
		for lead := range 5 {
			said := strings.Repeat("-", lead) + strings.Repeat(word, 70_000/len(word))
			content, err := json.Marshal(map[string]string{"say": said})
			if err != nil {
				t.Fatal(err)
			}
			want := season.Fact{ID: season.ID{1, 6: 0x70, 8: 0x80, 15: 1}, Seen: someDay, Body: season.PlanOut{Plan: "p", Content: content}}
			var b bytes.Buffer
			if err := WriteXLSX(&b, []season.Fact{want}); err != nil {
				t.Fatalf("%q, %d before it: %v", word, lead, err)
			}
			facts, _, err := readBook(b.Bytes())
			if err != nil || len(facts) != 1 || !season.Same(&want, &facts[0]) {
				t.Errorf("%q, %d before it: %d facts, not what was written: %v", word, lead, len(facts), err)
			}
		}
	}
}

// A formula is read as what it came to when the book was saved; nothing is
// worked out here.
func TestWorkbookDoesNotCalculate(t *testing.T) {
	b := book(t, map[string][][]any{"readings": {{"seen", "colony", "gross_lb"}, {"2026-09-05", 14, 96}}}, func(f *excelize.File) {
		if err := f.SetCellFormula("readings", "C2", "1+1"); err != nil {
			t.Fatal(err)
		}
	})
	facts, _, err := readBook(b)
	if err == nil && strings.Contains(told(facts, Report{}, nil), `"gross":"2 lb"`) {
		t.Error("the formula was run")
	}
}

func TestWorkbookTroubles(t *testing.T) {
	b := book(t, map[string][][]any{
		"season":   {{"key", "value"}, {"since", "some day"}, {"rig.tnak", 40}},
		"readings": {{"seen", "colony", "gross"}, {46270, 14, "heavy"}, {99999999, 15, "96 lb"}},
		"colonies": {{"this", "is", "no", "head"}, {1, 2, 3, 4}},
	}, nil)
	facts, rep, err := readBook(b)
	if facts != nil || err == nil {
		t.Fatalf("%d facts", len(facts))
	}
	golden(t, "testdata/badbook.expected.txt", told(nil, rep, err))
}

// zipOf makes a zip of workbook parts that says each has the told size. Deflate
// packs a thousandfold at best, so what is packed here stands for all of it.
func zipOf(t *testing.T, real, told uint64) []byte {
	t.Helper()
	var packed bytes.Buffer
	d, err := flate.NewWriter(&packed, flate.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Write(make([]byte, min(real, 1<<20))); err != nil {
		t.Fatal(err)
	}
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, n := range []string{"[Content_Types].xml", "xl/workbook.xml", "xl/worksheets/sheet1.xml"} {
		w, err := z.CreateRaw(&zip.FileHeader{Name: n, Method: zip.Deflate, CompressedSize64: uint64(packed.Len()), UncompressedSize64: told})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(packed.Bytes()); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestNoWorkbook(t *testing.T) {
	bomb := zipOf(t, 300<<20, 300<<20)
	liar := zipOf(t, 1<<20, 10) // unpacks to more than it says
	for name, b := range map[string][]byte{
		"nothing": nil, "text": []byte("seen,colony\n"), "an empty zip": []byte("PK\x05\x06" + strings.Repeat("\x00", 18)), "a zip bomb": bomb, "a liar": liar,
		"half a book": book(t, map[string][][]any{"readings": {{"seen"}}}, nil)[:900],
	} {
		facts, _, err := readBook(b)
		if facts != nil || err == nil || fault.KindOf(err) == fault.Internal {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, _, err := readBook(book(t, map[string][][]any{"mine": {{"a"}}}, nil)); !fault.Is(err, fault.NotFound) {
		t.Errorf("a book of other things: %v", err)
	}
}

// withParts puts more parts beside those of a good workbook.
func withParts(t testing.TB, workbook []byte, more int) []byte {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(workbook), int64(len(workbook)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range r.File {
		if err := z.Copy(f); err != nil {
			t.Fatal(err)
		}
	}
	for i := range more {
		w, err := z.Create(fmt.Sprintf("xl/media/image%d.png", i))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte("x")); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A workbook of 10,000 parts is refused for their number before any is unpacked;
// with as many as a workbook full of pictures may have it is read.
func TestWorkbookOfManyParts(t *testing.T) {
	good := book(t, map[string][][]any{"readings": {{"seen", "colony", "gross"}, {46270, 14, "96 lb"}}}, nil)
	facts, _, err := readBook(withParts(t, good, 10000))
	var why *fault.Error
	if facts != nil || !errors.As(err, &why) || why.Kind != fault.Damaged || !strings.HasSuffix(fmt.Sprint(why.Err), " parts") {
		t.Errorf("10,000 parts: %d facts, %v", len(facts), err)
	}
	facts, _, err = readBook(withParts(t, good, 4000))
	if err != nil || len(facts) != 1 {
		t.Errorf("4,000 parts: %d facts, %v", len(facts), err)
	}
}

func BenchmarkWorkbookOfManyParts(b *testing.B) {
	var f bytes.Buffer
	if err := WriteXLSX(&f, nil); err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{4000, 10000} {
		raw := withParts(b, f.Bytes(), n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				_, _, _ = readBook(raw) // one is read, one refused: see the test
			}
		})
	}
}

// Both ways of writing hold the same.
func TestFolderAndWorkbookAgree(t *testing.T) {
	facts := someFacts(t)
	var b bytes.Buffer
	if err := WriteXLSX(&b, facts); err != nil {
		t.Fatal(err)
	}
	back, rep, err := readBook(b.Bytes())
	if err != nil || len(rep.Warnings) > 0 {
		t.Fatal(err, rep.Warnings)
	}
	equalFacts(t, facts, back)
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := strings.Join(f.GetSheetList(), " "); got != "season settings yards colonies moves stacks feeders unites splits ends looks readings given notfed left taken agreed chores batches purchases stock labels spoons weather stations roads trucks workdays feedable needs sources plans strikes other" {
		t.Errorf("sheets: %s", got)
	}
	if typ, err := f.GetCellType("weather", "D2"); err != nil || typ != excelize.CellTypeUnset && typ != excelize.CellTypeNumber {
		t.Errorf("a temperature is no number in the workbook: %v %v", typ, err)
	}
	if s, err := f.GetCellFormula("colonies", "J3"); err != nil || s != "" {
		t.Errorf("a text became a formula: %q %v", s, err)
	}
}

// The whole example, written: every file and column of it, read by somebody.
func TestFullFolder(t *testing.T) {
	m := inMemory{}
	if err := Write(m.open, someFacts(t)); err != nil {
		t.Fatal(err)
	}
	golden(t, "testdata/full.expected.txt", m.String())
	for _, x := range tables {
		if m[x.file()] == nil {
			t.Errorf("%s is not in the example", x.file())
		}
	}
}

// A workbook whose parts name what lies outside of it, or grow by names within
// names, is refused or read without them: no file of this computer, and nothing
// from elsewhere, comes in by it.
func TestWorkbookNamesNothingOutside(t *testing.T) {
	const secret = "Zq7 of this computer"
	file := filepath.Join(t.TempDir(), "secret.txt")
	if err := os.WriteFile(file, []byte(secret), 0o600); err != nil {
		t.Fatal(err)
	}
	asked, tried := false, 0
	srv := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { asked = true }))
	defer srv.Close()
	good := book(t, map[string][][]any{"readings": {{"seen", "colony", "gross_lb", "note"}, {"2026-09-05", 14, 96, "here"}}}, nil)
	grow := `<!ENTITY a "` + strings.Repeat("x", 1000) + `">`
	for c := 'b'; c < 'k'; c++ {
		grow += fmt.Sprintf("<!ENTITY %c %q>", c, strings.Repeat(fmt.Sprintf("&%c;", c-1), 10))
	}
	for name, x := range map[string][2]string{
		"a file":        {`<!ENTITY e SYSTEM "file://` + filepath.ToSlash(file) + `">`, "&e;"},
		"an address":    {`<!ENTITY e SYSTEM "` + srv.URL + `/e">`, "&e;"},
		"a parameter":   {`<!ENTITY % p SYSTEM "` + srv.URL + `/p.dtd"> %p;`, "here"},
		"an outer form": {`<!ENTITY e PUBLIC "x" "` + srv.URL + `/x">`, "&e;"},
		"names grow":    {grow, "&j;"},
	} {
		for _, part := range []string{"xl/sharedStrings.xml", "xl/worksheets/sheet1.xml", "xl/workbook.xml", "[Content_Types].xml"} {
			b, changed := rewritten(t, good, part, func(xml string) string {
				at := strings.Index(xml, "?>") + 2
				return xml[:at] + "<!DOCTYPE x [" + x[0] + "]>" + strings.Replace(xml[at:], ">here<", ">"+x[1]+"<", 1)
			})
			if !changed {
				continue
			}
			tried++
			facts, rep, err := readBook(b)
			if s := told(facts, rep, err); strings.Contains(s, secret) || len(s) > 20_000 {
				t.Errorf("%s in %s: %.300s", name, part, s)
			}
		}
	}
	if asked {
		t.Error("something was fetched")
	}
	if facts, _, err := readBook(good); tried < 15 || err != nil || len(facts) != 1 {
		t.Errorf("%d parts were tried; untouched it gives %d facts, %v", tried, len(facts), err)
	}
}

// rewritten gives a zip with one part of it changed, and whether it has that part.
func rewritten(t *testing.T, b []byte, part string, change func(string) string) ([]byte, bool) {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w, found := zip.NewWriter(&out), false
	for _, f := range r.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		raw, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		if f.Name == part {
			found, raw = true, []byte(change(string(raw)))
		}
		to, err := w.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.Write(raw); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes(), found
}
