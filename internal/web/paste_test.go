package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/stores"
	"larder/internal/units"
)

// upload sends a form of many parts, with a file if name is not empty.
func (s *site) upload(path, name string, content []byte, pairs ...string) *answer {
	s.t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for i := 0; i+1 < len(pairs); i += 2 {
		if err := w.WriteField(pairs[i], pairs[i+1]); err != nil {
			s.t.Fatal(err)
		}
	}
	if name != "" {
		f, err := w.CreateFormFile("file", name)
		if err != nil {
			s.t.Fatal(err)
		}
		if _, err := f.Write(content); err != nil {
			s.t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		s.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, path, &b)
	r.Header.Set("Content-Type", w.FormDataContentType())
	return s.do(r)
}

// chosen gives the fields of a preview as a browser would send them.
func (a *answer) chosen(more ...string) []string {
	var out []string
	for _, name := range []string{"text", "head", "unit", "day", "order", "all", "yard", "stack", "feeder"} {
		if strings.Contains(a.Body, `name="`+name+`"`) {
			out = append(out, name, a.field(name))
		}
	}
	for _, p := range []string{"field.", "name.", "do.", "match."} {
		for i := 0; strings.Contains(a.Body, `name="`+p+strconv.Itoa(i)+`"`); i++ {
			out = append(out, p+strconv.Itoa(i), a.field(p+strconv.Itoa(i)))
		}
	}
	for i := 0; i+1 < len(more); i += 2 {
		for k := 0; k < len(out); k += 2 {
			if out[k] == more[i] {
				out[k+1] = more[i+1]
			}
		}
	}
	return out
}

const pasteSheet = "Colony\tDate\tWeight (kg)\tNotes\nM 01\t2026-09-04\t41,5\twindy\nm2\t2026-09-04\t46,0\t\nm3\t2026-09-04\tabc\t\nh1\t2026-09-03\t36\t\nX9\t2026-09-04\t40,0\t\n"

func TestPasteShowsHowItReadsATableAndSavesNothing(t *testing.T) {
	s := newSmallSite(t)
	s.get("/readings/paste").has("Copy the rows")
	a := s.upload("/readings/paste", "", nil, "text", pasteSheet)
	if a.Code != 200 {
		t.Fatalf("%d %s", a.Code, a.text())
	}
	a.has("2 readings will be saved.", "1 row is known already", "1 row cannot be taken", "1 row is left", "comma, 48,5", "X9", "Save 2 readings")
	for i, want := range []string{"hive", "date", "weight", "note"} {
		if got := a.field("field." + strconv.Itoa(i)); got != want {
			t.Errorf("column %d is taken for %q", i, got)
		}
	}
	if a.field("unit") != "kg" || a.field("head") != "yes" || a.field("text") == "" {
		t.Error("what was read is not carried on")
	}
	if f := s.marked(); len(f) != 0 {
		t.Errorf("showing it wrote %+v", f)
	}
}

func TestPasteSavesWhatIsGoodAsOneAct(t *testing.T) {
	s := newSmallSite(t)
	a := s.upload("/readings/paste", "", nil, "text", pasteSheet)
	b := s.upload("/readings/paste/save", "", nil, a.chosen()...)
	if b.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", b.Code, b.text())
	}
	f := s.marked()
	if len(f) != 2 || f[0].Body.(stores.Reading).Gross.Q != 41.5 || f[0].Seen != units.OnDay(sept(4)) || f[0].Body.(stores.Reading).Note != "windy" {
		t.Fatalf("facts %+v", f)
	}
	to := b.Head.Get("Location")
	s.get(to).has("2 readings saved.", "1 row was not taken", "Row 4, m3: Weight (kg):", "1 row was known before", "its hive is not known", "Row 6, X9")
	s.done("/undo", "act", to[strings.LastIndex(to, "=")+1:], "back", "/readings")
	if u := s.marked(); len(u) != 2 {
		t.Errorf("undo wrote %d facts", len(u))
	}
	// Pasted again it is all known, and there is nothing to save.
	s.upload("/readings/paste/save", "", nil, a.chosen()...)
	s.marked()
	a = s.upload("/readings/paste", "", nil, "text", pasteSheet)
	a.has("3 rows are known already")
	if b = s.upload("/readings/paste/save", "", nil, a.chosen()...); b.Code != 422 {
		t.Errorf("nothing new: %d", b.Code)
	}
	b.has("There is nothing in it that can be saved.")
}

func TestPasteLetsColumnsUnitsAndNamesBeChanged(t *testing.T) {
	s := newSmallSite(t)
	a := s.upload("/readings/paste", "", nil, "text", "m1,93,48\nX9,95,49\nM3x,96,47\n")
	a.has("2 names are no hives of yours")
	a = s.upload("/readings/paste", "", nil, a.chosen("field.1", "", "field.2", "weight", "unit", "kg", "do.0", "new", "do.1", "match", "match.1", "m3")...)
	a.has("3 readings will be saved.")
	b := s.upload("/readings/paste/save", "", nil, a.chosen()...)
	if b.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", b.Code, b.text())
	}
	got := map[string]units.Mass{}
	var made apiary.Colony
	for _, f := range s.marked() {
		switch x := f.Body.(type) {
		case stores.Reading:
			got[x.Colony] = x.Gross.Q
		case apiary.Placed:
			made = x.Colony
		}
	}
	if got["m1"] != 48 || got["X9"] != 49 || got["m3"] != 47 {
		t.Errorf("readings %v", got)
	}
	// hill is the first yard; its hives are a deep and a medium with a tray.
	if made.ID != "X9" || made.Yard != "hill" || made.Stack.String() != "lang10-deep + lang10-medium" || made.Feeder != "tray-2" {
		t.Errorf("new hive %+v", made)
	}
}

func TestPasteIntoAnEmptyHouse(t *testing.T) {
	s := newSite(t, smallNow)
	a := s.upload("/readings/paste", "", nil, "text", "1 93\n2 95 lb\n3 41 kg\n")
	a.has("3 readings will be saved.")
	b := s.upload("/readings/paste/save", "", nil, a.chosen("yard", "Orchard")...)
	if b.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", b.Code, b.text())
	}
	f := s.marked()
	if y, ok := f[0].Body.(apiary.Yard); !ok || y.ID != "Orchard" || len(f) != 7 {
		t.Fatalf("facts %+v", f)
	}
	s.get("/readings").has("3 hives in walking order", "lb stores")
}

func TestPasteTakesFiles(t *testing.T) {
	s := newSmallSite(t)
	for name, b := range map[string][]byte{
		"a.csv": []byte("hive;kg\nm1;41,5\n"), "b.csv": []byte("\xef\xbb\xbfhive,kg\r\nm1,41.5\r\n"),
		"c.txt": []byte("\xff\xfeh\x00i\x00v\x00e\x00\t\x00k\x00g\x00\n\x00m\x001\x00\t\x004\x001\x00"),
	} {
		a := s.upload("/readings/paste", name, b)
		if a.Code != 200 {
			t.Errorf("%s: %d %s", name, a.Code, a.text())
			continue
		}
		a.has("1 reading will be saved.")
	}
	for name, b := range map[string][]byte{"book.xlsx": []byte("PK\x03\x04"), "big.csv": bytes.Repeat([]byte("m1,40\n"), tableBytes/5), "zero.csv": {0, 1}} {
		a := s.upload("/readings/paste", name, b)
		if a.Code != 422 {
			t.Errorf("%s: %d", name, a.Code)
		}
		a.has("There is a problem")
	}
}

func TestPasteAsksBeforeItGuesses(t *testing.T) {
	s := newSmallSite(t)
	a := s.upload("/readings/paste", "", nil, "text", "hive,date,lb\nm1,3/9/2026,93\n")
	a.has("could be read in two ways")
	if b := s.upload("/readings/paste/save", "", nil, a.chosen()...); b.Code != 422 {
		t.Errorf("saved without an answer: %d", b.Code)
	}
	a = s.upload("/readings/paste", "", nil, a.chosen("order", "day")...)
	a.has("1 reading will be saved.", "Thu 3 Sep 2026")
	for text, say := range map[string]string{"": "nothing was pasted", "a,b\nc,d": "No column is taken for"} {
		a := s.upload("/readings/paste", "", nil, "text", text)
		a.has(say)
		if a.field("text") != text {
			t.Errorf("%q is lost", text)
		}
	}
}

func TestPasteWithoutManyParts(t *testing.T) {
	s := newSmallSite(t)
	a := s.post("/readings/paste", "text", "m1 93")
	if a.Code != 200 {
		t.Errorf("%d", a.Code)
	}
	if a := s.do(httptest.NewRequest(http.MethodGet, "/readings/pasted?of=nothing", nil)); a.Code != 404 {
		t.Errorf("no such paste: %d", a.Code)
	}
}

// What is typed beside a file has to be text on every page that takes one; bytes that
// are none go neither into the page nor into the book.
func TestUploadFieldsAreText(t *testing.T) {
	s := newSmallSite(t)
	for _, path := range []string{"/weather", "/readings/paste", "/readings/scale", "/roads"} {
		a := s.upload(path, "a.csv", []byte("date,tmax_c\n2025-09-01,20\n"), "text", "a\xff\xfeb", "whose", "mill", "colony", "m1")
		a.has("this form cannot be read")
		if a.Code != http.StatusUnprocessableEntity || len(s.marked()) != 0 {
			t.Errorf("%s: %d", path, a.Code)
		}
	}
}
