package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"golang.org/x/net/html"

	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

// nasty are things people paste, phones put in of themselves, and those type who
// try what a form bears. Each begins with a mark of ours so that it can be found
// again, except where the beginning is what matters.
func nasty() []string {
	const mark = "Zq7"
	var all []string
	with := func(list ...string) {
		for _, s := range list {
			all = append(all, mark+s)
		}
	}
	for _, r := range "\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\u061c\ufeff\u00ad\u034f\u180e\u2028\u2029\u00a0\u2003\u3000" { // marks that turn, join or hide text
		with("a"+string(r)+"b", string(r)+"ab")
	}
	for r := rune(1); r < 32; r++ { // control characters, tab and line ends among them
		with("a" + string(r) + "b")
	}
	with("a\x00b", "a\x7fb", "a\u0085b", "a\u009fb", "a\xffb", "a\xc3", "a\xed\xa0\x80b", "\ufffd", "\ufffe", "\U0010ffff", "\ue000")
	with("🐝", "👩‍🌾", "🏴󠁧󠁢󠁷󠁬󠁳󠁿", "e\u0301", "é", "Ω", "K", "ﬁ", "ſ", "İ", "ı", "ß", "Ǆ", "שלום", "مرحبا", "北の巣箱", "ไทย", "ह\u093f", "\u0301\u0301\u0301", "z\u0335\u0336\u0337\u0338", strings.Repeat("\u0301", 200))
	all = append(all, "CON", "PRN", "AUX", "NUL", "COM1", "LPT9", "con.txt", "aux.", "nul ", "CLOCK$", ".", "..", "...", "-", "--help", "-rf", "~", "~root", "*", "?", "|", "C:", "C:\\x", "\\\\host\\share", "/etc/passwd")
	with("../../etc/passwd", "..\\..\\x", "%2e%2e/", "%2e%2e%2f", "%252e%252e%252f", "..%c0%af", "..;/", "/../", "./.", "a/b", "a\\b", "%00", "%0d%0aSet-Cookie: x=1", "\r\nSet-Cookie: x=1", "file:///etc/passwd", "?x=1#y", "&x=1", "#", "a%", "%zz", "+", "a+b", "a&amp;b", "a;b=c")
	with("<script>alert(1)</script>", "<b>", "</textarea><script>x</script>", "\"><img src=x onerror=alert(1)>", "' onfocus=x autofocus='", "<svg/onload=x>", "<!--", "-->", "]]>", "<![CDATA[x]]>", "</title>", "</style>", "javascript:alert(1)", "data:text/html,x", "&lt;b&gt;", "&#60;b&#62;", "&", "\"", "'", "`", "<", ">", "{{.}}", "{{template \"x\"}}", "${x}", "#{x}", "<%= x %>", "%s%n%x", "%!d(string=x)", "\\u003cscript\\u003e", "\\x3cscript")
	with("' OR 1=1 --", "'; DROP TABLE larder_fact; --", "1; SELECT 1", "$1", "$(reboot)", "`reboot`", "| cat", "; ls", "\\", "\\n", "{\"a\":1}", "[", "null", "undefined", "true", "NaN", "[object Object]", "(", "(?i)", "a{1,99999}", "^$", "LDAP*)(uid=*")
	for _, first := range []string{"=", "+", "-", "@", "\t", "\r", "|", "%", "'"} { // what a spreadsheet runs
		all = append(all, first+"cmd|' /C calc'!A0", first+mark, first+"1+1", first+"SUM(1)")
	}
	all = append(all, "1e999", "-1e999", "1e-999", "0x10", "0b1", "1_000", "1,2,3", "12,34,5", "1.2.3", "1'000", "1 000", "1\u00a0000", "٣٤", "१२", "１２", "Ⅷ", "½", "1/0", "0/0", "1/2/3", "-0", "+5", "--5", "5-", "∞", "-∞", "NaN", "Inf", "1e", "e1", ".", ",", ".5", "5.", "0.1e1", "9999999999999999999999", "-9223372036854775809", "4.9e-324", "1.7976931348623157e308", "1 kg lb", "5 furlongs", "5 gal gal", "100 %%", "10:1:1", "0:0", "1:0", "2;1", "5lb oz", "−5", "5 °", "5 µL", "5 μL", "5kg\x00", "1e3 kg", "1٫5", "1⁄2", "５ｋｇ")
	all = append(all, "2026-02-30", "0000-00-00", "9999-12-31", "10000-01-01", "-2026-01-01", "2026-13-01", "31/12/26", "1/2/3", "tomorrow", "2026-W01-1", "2026-366", "1969-12-31", "2038-01-19T03:14:08", "2026-10-25T01:30", "29 Feb 2027", "2026-01-01T25:61", "٢٠٢٦-٠١-٠١")
	with(strings.Repeat("x", 10<<10), strings.Repeat("🐝", 3000), strings.Repeat("a ", 5000), strings.Repeat("<", 4000), strings.Repeat("(", 4000), strings.Repeat("9", 4000), strings.Repeat("a,", 3000), strings.Repeat("a\n", 3000), strings.Repeat("%", 4000), strings.Repeat("\u202e", 2000))
	return all
}

// textField is one field that takes what is typed, in its form.
type textField struct {
	page, action, name string
	get, lines         bool // lines: a box of several
	rest               [][2]string
}

// textFields finds the fields of all forms on a page.
func textFields(page string, doc *html.Node) (out []textField) {
	each(doc, func(form *html.Node) {
		if form.Type != html.ElementNode || form.Data != "form" {
			return
		}
		f := textField{page: page, action: attr(form, "action"), get: attr(form, "method") != "post"}
		if strings.HasPrefix(attr(form, "enctype"), "multipart") {
			return // files: TestPasteTakesFiles and the fuzzing of tables
		}
		if f.action == "" {
			f.action = page
		}
		var all [][2]string
		var own []textField
		each(form, func(n *html.Node) {
			name := attr(n, "name")
			if n.Type != html.ElementNode || name == "" || hasAttr(n, "disabled") {
				return
			}
			kind := attr(n, "type")
			switch {
			case n.Data == "textarea":
				all = append(all, [2]string{name, inner(n)})
				own = append(own, textField{name: name, lines: true})
			case n.Data == "input" && (kind == "checkbox" || kind == "radio"):
				if hasAttr(n, "checked") {
					all = append(all, [2]string{name, attr(n, "value")})
				}
			case n.Data == "input" && kind == "file":
			case n.Data == "input":
				all = append(all, [2]string{name, attr(n, "value")})
				if kind != "hidden" && kind != "password" {
					own = append(own, textField{name: name})
				}
			case n.Data == "select":
				value, first := "", true
				each(n, func(o *html.Node) {
					if o.Type == html.ElementNode && o.Data == "option" && (first || hasAttr(o, "selected")) {
						value, first = attr(o, "value"), false
					}
				})
				all = append(all, [2]string{name, value})
			}
		})
		seen := map[string]bool{}
		for _, x := range own {
			if seen[x.name] {
				continue
			}
			seen[x.name] = true
			g := f
			g.name, g.lines = x.name, x.lines
			for _, kv := range all {
				if kv[0] != x.name {
					g.rest = append(g.rest, kv)
				}
			}
			out = append(out, g)
		}
	})
	return out
}

// Every text field of every form on every page gets what nobody should type. It is
// stored as it was typed, or refused in words with what was typed still in its
// field; no answer is a breakdown, no page becomes other markup by it (see
// wellMade), and the season that holds it goes to a folder and back unchanged.
// Usually three strings for each field, all of them somewhere, by a fixed seed;
// NASTY=400 puts each into each, NASTY=25 so many.
func TestNastyStringsInEveryField(t *testing.T) {
	bad := nasty()
	if len(bad) < 300 {
		t.Fatalf("%d strings", len(bad))
	}
	each := 3
	if n := os.Getenv("NASTY"); n != "" {
		var err error
		if each, err = strconv.Atoi(n); err != nil {
			t.Fatalf("NASTY: %v", err)
		}
	}
	s := newSmallSite(t)
	var fields []textField
	known := map[string]bool{}
	for _, p := range allRoutes(t) {
		method, path := pathOf(p)
		if method != http.MethodGet || strings.HasPrefix(path, "/house/export") || strings.HasPrefix(path, "/manual") && path != "/manual" {
			continue
		}
		a := s.do(httptest.NewRequest(method, path, nil))
		if a.doc == nil {
			continue
		}
		for _, f := range textFields(path, a.doc) {
			key := f.action + " " + f.name
			if i := strings.IndexByte(f.action, '?'); i >= 0 {
				key = f.action[:i] + " " + f.name
			}
			if !known[key] {
				known[key] = true
				fields = append(fields, f)
			}
		}
	}
	if len(fields) < 100 {
		t.Fatalf("only %d fields were found", len(fields))
	}
	rng := rand.New(rand.NewPCG(31, 32))
	rng.Shuffle(len(bad), func(i, j int) { bad[i], bad[j] = bad[j], bad[i] })
	next, asked, kept, refused, told := 0, 0, 0, 0, map[string]int{}
	say := func(f textField, text, format string, args ...any) {
		key := f.action + " " + f.name
		if told[key]++; told[key] <= 2 {
			t.Errorf("%s %s, %.60q: %s", f.action, f.name, text, fmt.Sprintf(format, args...))
		}
	}
	s.marked()
	for _, f := range fields {
		var list []string
		for range min(each, len(bad)) {
			list = append(list, bad[next%len(bad)])
			next++
		}
		for _, text := range list {
			if !f.lines && strings.ContainsAny(text, "\r\n") {
				continue // a browser takes them out of a field of one line
			}
			asked++
			v := url.Values{f.name: {text}}
			for _, kv := range f.rest {
				v.Add(kv[0], kv[1])
			}
			var r *http.Request
			if f.get {
				u, _, _ := strings.Cut(f.action, "?")
				r = httptest.NewRequest(http.MethodGet, u+"?"+v.Encode(), nil)
			} else {
				r = httptest.NewRequest(http.MethodPost, f.action, strings.NewReader(v.Encode()))
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			}
			a := s.do(r)
			fresh := s.marked()
			switch {
			case !f.get && !utf8.ValidString(text):
				if a.Code != http.StatusBadRequest || len(fresh) > 0 {
					say(f, text, "%d, and %d facts", a.Code, len(fresh))
				}
			case a.Code >= 500:
				say(f, text, "%d %.300s", a.Code, a.text())
			case a.Code == http.StatusSeeOther:
				if loc := a.Head.Get("Location"); !strings.HasPrefix(loc, "/") || strings.HasPrefix(loc, "//") || strings.ContainsAny(loc, "\r\n") {
					say(f, text, "leads to %q", loc)
				} else if next := s.do(httptest.NewRequest(http.MethodGet, loc, nil)); next.Code >= 500 {
					say(f, text, "%s answers %d", loc, next.Code)
				}
				if len(fresh) > 0 {
					kept++
					s.keptAsTyped(f, text, fresh, say)
				}
				s = newSmallSite(t) // what was taken is not to be in the way of the next
			case f.get || a.Code == http.StatusOK:
			case a.Code == http.StatusRequestEntityTooLarge:
				refused++
			case a.Code == http.StatusNotFound && strings.HasPrefix(f.action, "/pair"): // there is no door here: TestPair
			case a.doc == nil:
				say(f, text, "%d without a page: %.200s", a.Code, a.Body)
			default:
				refused++
				if len(fresh) > 0 {
					say(f, text, "refused, and %d facts written", len(fresh))
				}
				s.stillThere(f, text, a, say)
			}
		}
	}
	t.Logf("%d fields, %d strings, %d askings: %d taken, %d refused", len(fields), len(bad), asked, kept, refused)
	if kept < 10 || refused < 100 {
		t.Errorf("%d taken, %d refused: too few to tell anything", kept, refused)
	}
}

// keptAsTyped looks for what was typed in the facts that were made of it.
func (s *site) keptAsTyped(f textField, text string, fresh []season.Fact, say func(textField, string, string, ...any)) {
	s.t.Helper()
	raw, err := json.Marshal(fresh)
	if err != nil {
		s.t.Fatal(err)
	}
	var parsed any
	if err := json.Unmarshal(raw, &parsed); err != nil {
		s.t.Fatal(err)
	}
	marked, whole := "", false
	var walk func(x any)
	walk = func(x any) {
		switch x := x.(type) {
		case string:
			if strings.Contains(x, "Zq7") {
				marked = x
			}
			whole = whole || strings.Contains(x, strings.TrimSpace(text))
		case []any:
			for _, y := range x {
				walk(y)
			}
		case map[string]any:
			for k, y := range x {
				walk(k)
				walk(y)
			}
		}
	}
	walk(parsed)
	if marked != "" && !whole && !(f.lines || strings.ContainsAny(text, ",;:\t")) { // lists are taken apart
		say(f, text, "kept as %.80q", marked)
	}
	all, err := s.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		s.t.Fatal(err)
	}
	dir := fstest.MapFS{}
	err = folder.Write(func(name string) (io.WriteCloser, error) { return &inMap{dir: dir, name: name}, nil }, all)
	if err != nil {
		say(f, text, "the season cannot be written as a folder: %v", err)
		return
	}
	back, err := folder.Read(dir)
	if err != nil {
		say(f, text, "the folder cannot be read back: %v", err)
		return
	}
	season.SortFacts(all)
	season.SortFacts(back)
	if season.Digest(all) != season.Digest(back) {
		say(f, text, "it comes back from a folder as something else")
	}
}

// inMap is a file that lies in a map when it is closed.
type inMap struct {
	bytes.Buffer
	dir  fstest.MapFS
	name string
}

func (f *inMap) Close() error {
	f.dir[f.name] = &fstest.MapFile{Data: f.Bytes()}
	return nil
}

// stillThere looks for what was typed in its field.
func (s *site) stillThere(f textField, text string, a *answer, say func(textField, string, string, ...any)) {
	s.t.Helper()
	found, got := false, ""
	each(a.doc, func(n *html.Node) {
		if n.Type != html.ElementNode || attr(n, "name") != f.name {
			return
		}
		v := attr(n, "value")
		if n.Data == "textarea" {
			v = inner(n)
		}
		found, got = true, v
	})
	norm := func(s string) string {
		s = strings.ToValidUTF8(strings.ReplaceAll(s, "\x00", "\ufffd"), "\ufffd")
		return strings.TrimSpace(strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n"))
	}
	if !found || norm(got) != norm(text) {
		say(f, text, "refused (%d), and the field holds %.60q (there: %v): %.150s", a.Code, got, found, a.text())
	}
}
