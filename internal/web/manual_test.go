package web

import (
	"context"
	"encoding/json"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/manual"
)

// TestEveryErrorIsExplained wants an entry for every kind of fault and a kind
// for every entry, each with what it means, why it comes and what to do.
func TestEveryErrorIsExplained(t *testing.T) {
	p := Handbook().Page("errors")
	entries := map[string]string{}
	for _, s := range p.Chapters() {
		entries[s.ID] = s.Title + "\n" + s.Text(100)
	}
	for _, k := range fault.Kinds() {
		id := strings.ToLower(k.Number())
		e, ok := entries[id]
		if !ok {
			t.Errorf("%s (%s) has no entry", k.Number(), k)
			continue
		}
		if !strings.HasPrefix(e, k.Number()+" ") {
			t.Errorf("the entry of %s is headed %q", k.Number(), strings.SplitN(e, "\n", 2)[0])
		}
		for _, part := range []string{"What it means.", "Why it comes.", "What to do."} {
			if !strings.Contains(e, part) {
				t.Errorf("%s does not say: %s", k.Number(), part)
			}
		}
		delete(entries, id)
	}
	for id := range entries {
		t.Errorf("the manual explains %s, which no error has", id)
	}
}

// TestErrorsLeadToTheManual: a refused form and a page that is not there show
// the number, and its link leads to its entry.
func TestErrorsLeadToTheManual(t *testing.T) {
	s := newSmallSite(t)
	for path, want := range map[string]fault.Kind{"/hives/nobody": fault.NotFound, "/plan?rig.tank=lots": fault.NotUnderstood, "/figures/stores.hand_fair_kg?value=plenty": fault.NotUnderstood} {
		found := false
		for n := range s.do(httptest.NewRequest(http.MethodGet, path, nil)).doc.Descendants() {
			if n.Data == "a" && attr(n, "class") == "number" {
				found = true
				if n.FirstChild.Data != want.Number() || attr(n, "href") != "/manual/errors#"+strings.ToLower(want.Number()) {
					t.Errorf("%s: %s leads to %s, want %s", path, n.FirstChild.Data, attr(n, "href"), want.Number())
				}
			}
		}
		if !found {
			t.Errorf("%s shows no number", path)
		}
	}
}

// TestEveryScreenIsExplained wants a section for every screen and a screen for
// every section, each with the question it answers.
func TestEveryScreenIsExplained(t *testing.T) {
	p := Handbook().Page("screens")
	told := map[string]bool{}
	for _, s := range p.Chapters() {
		told[s.ID] = true
		if !strings.Contains(s.Text(1000), "?") {
			t.Errorf("%s: which question does it answer?", s.ID)
		}
	}
	dirs, err := fs.ReadDir(screenFiles, "screen")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range dirs {
		if d.Name() == "shared" {
			continue
		}
		if !told[d.Name()] {
			t.Errorf("screens.md does not tell of %s: a heading with <!-- #%s --> behind it", d.Name(), d.Name())
		}
		delete(told, d.Name())
	}
	for id := range told {
		t.Errorf("screens.md tells of %s, which is no screen", id)
	}
}

// TestManualTellsEveryFigure wants each figure with its value, range and source
// on the page of figures, and nothing of the keeper's.
func TestManualTellsEveryFigure(t *testing.T) {
	doc, err := html.Parse(strings.NewReader(string(Handbook().Page("figures").HTML())))
	if err != nil {
		t.Fatal(err)
	}
	var rows []string
	for n := range doc.Descendants() {
		if n.Data == "tr" {
			rows = append(rows, strings.Join(strings.Fields(textOf(n)), " "))
		}
	}
	text := strings.Join(strings.Fields(Handbook().Page("figures").Text(100)), " ")
	for _, f := range season.DefaultFigures().All() {
		if source := strings.Join(strings.Fields(f.Source), " "); !strings.Contains(text, source) {
			t.Errorf("%s: as text %q is lost", f.Key, source)
		}
		i := slices.IndexFunc(rows, func(r string) bool { return strings.Contains(r, " "+f.Key+" ") })
		if i < 0 {
			t.Errorf("%s is not told", f.Key)
			continue
		}
		for _, want := range []string{f.Name, f.Source, f.Unit, season.DefaultFigures().Get(f.Key).Note} {
			if want = strings.Join(strings.Fields(want), " "); !strings.Contains(rows[i], want) {
				t.Errorf("%s: %q is not in %q", f.Key, want, rows[i])
			}
		}
	}
}

func textOf(n *html.Node) string {
	var b strings.Builder
	for c := range n.Descendants() {
		if c.Type == html.TextNode {
			b.WriteString(c.Data)
		}
		if c.Data == "td" {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// TestManualFinds: the search works without script, for strangers too, and says
// when it finds nothing.
func TestManualFinds(t *testing.T) {
	h := newHomeSite(t, "plain")
	for find, want := range map[string]string{"E05": `href="/manual/errors#e05"`, "hose": "<mark>", "<script>zz()</script>": "Nothing in the manual", "zzzz": "Nothing in the manual"} {
		w := h.ask(from("192.168.1.77", http.MethodGet, "/manual?find="+url.QueryEscape(find), nil))
		if w.Code != http.StatusOK || !strings.Contains(w.Body, want) {
			t.Errorf("%q: %d, and not %s", find, w.Code, want)
		}
		if strings.Contains(w.Body, "<script>zz") {
			t.Errorf("%q comes back as it was typed", find)
		}
	}
	if w := h.ask(from("192.168.1.77", http.MethodGet, "/manual/nowhere", nil)); w.Code != http.StatusNotFound {
		t.Errorf("a page that is not there answers %d", w.Code)
	}
}

// addresses are what the manual asks of the running program.
var addresses = regexp.MustCompile(`http://127\.0\.0\.1:8642(/[^\s'"]*)([^\n]*)`)

// TestAddressesInTheManual wants every address that the manual shows to be a
// route, asked in the way it shows.
func TestAddressesInTheManual(t *testing.T) {
	m := newSmallSite(t).srv.routes()
	n := 0
	files, _ := fs.Glob(manual.Pages, "*.md")
	for _, f := range files {
		b, err := manual.Pages.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range addresses.FindAllStringSubmatch(string(b), -1) {
			method := http.MethodGet
			if strings.Contains(x[2], "-d ") || strings.Contains(x[2], "-Method Post") {
				method = http.MethodPost
			}
			r := httptest.NewRequest(method, x[1], nil)
			if _, pattern := m.Handler(r); pattern == "" || pattern == "GET /" {
				t.Errorf("%s: %s %s is no route", f, method, x[1])
			}
			n++
		}
	}
	if n < 4 {
		t.Errorf("only %d addresses were found", n)
	}
}

// api is as much of an OpenAPI document as the test needs.
type api struct {
	OpenAPI string
	Paths   map[string]map[string]struct {
		Responses map[string]struct {
			Description string
			Content     map[string]struct{ Schema schema }
		}
	}
	Components struct{ Schemas map[string]schema }
}

// schema is as much of JSON Schema as the document uses.
type schema struct {
	Ref        string `json:"$ref"`
	Type       string
	Enum       []string
	Properties map[string]schema
	Required   []string
	Items      *schema
	More       json.RawMessage `json:"additionalProperties"`
}

// check tells what of v is not as the schema says.
func (a *api) check(s schema, v any, at string) []string {
	if s.Ref != "" {
		name := strings.TrimPrefix(s.Ref, "#/components/schemas/")
		to, ok := a.Components.Schemas[name]
		if !ok {
			return []string{at + ": there is no schema " + name}
		}
		return a.check(to, v, at)
	}
	var out []string
	bad := func(want string) []string { return append(out, at+" is no "+want) }
	switch s.Type {
	case "object":
		m, ok := v.(map[string]any)
		if !ok {
			return bad("object")
		}
		for _, k := range s.Required {
			if _, ok := m[k]; !ok {
				out = append(out, at+" lacks "+k)
			}
		}
		for k, x := range m {
			if p, ok := s.Properties[k]; ok {
				out = append(out, a.check(p, x, at+"."+k)...)
				continue
			}
			switch more := strings.TrimSpace(string(s.More)); more {
			case "false":
				out = append(out, at+" has "+k+", which is not described")
			case "", "true":
			default:
				var p schema
				if err := json.Unmarshal(s.More, &p); err != nil {
					return bad("schema")
				}
				out = append(out, a.check(p, x, at+"."+k)...)
			}
		}
	case "array":
		l, ok := v.([]any)
		if !ok || s.Items == nil {
			return bad("array")
		}
		for _, x := range l {
			out = append(out, a.check(*s.Items, x, at+"[]")...)
		}
	case "string":
		x, ok := v.(string)
		if !ok || len(s.Enum) > 0 && !slices.Contains(s.Enum, x) {
			return bad("string of " + strings.Join(s.Enum, ", "))
		}
	case "integer", "number":
		if x, ok := v.(float64); !ok || s.Type == "integer" && x != float64(int64(x)) {
			return bad(s.Type)
		}
	case "boolean":
		if _, ok := v.(bool); !ok {
			return bad("boolean")
		}
	default:
		return bad("known type: " + s.Type)
	}
	return out
}

// TestAPIIsDescribed asks every route, with a form and with JSON, and holds the
// description against what answers in JSON: all that does is in it, all that is in
// it does, and every answer is as it says.
func TestAPIIsDescribed(t *testing.T) {
	var a api
	raw, err := manual.Pages.ReadFile("openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, &a); err != nil {
		t.Fatal(err)
	}
	if a.OpenAPI != "3.1.0" {
		t.Errorf("of version %q", a.OpenAPI)
	}
	s := newSmallSite(t)
	out := httptest.NewRequest(http.MethodPost, "/plan/out", nil)
	out.Host, out.RemoteAddr = "127.0.0.1", "127.0.0.1:50000"
	if w := s.ask(out); w.Code != http.StatusSeeOther {
		t.Fatalf("no plan is taken out: %d", w.Code)
	}
	type sample struct{ method, path, kind, body string }
	samples := []sample{
		{"GET", "/phone/round?load=1", "", ""},
		{"GET", "/phone/round?load=99", "", ""},
		{"POST", "/phone/facts", "application/json", `{"protocol":1,"device":"d","name":"n","now":"2026-09-04T10:00:00Z","entries":[{"id":"01936f8a-1111-7000-8000-000000000001","seq":1,"made":"2026-09-04T09:58:00Z","kind":"reading","body":{"colony":"m1","way":"full","gross":"98 lb"}},{"id":"01936f8a-1111-7000-8000-000000000002","seq":2,"made":"2026-09-04T09:58:00Z","kind":"reading","body":{"colony":"nobody"}}]}`},
		{"POST", "/phone/facts", "application/json", `{"protocol":9,"entries":[]}`},
		{"POST", "/phone/facts", "application/json", `{`},
		{"POST", "/phone/facts", "text/plain", `x`},
		{"POST", "/phone/have", "application/json", `{"ids":["01936f8a-1111-7000-8000-0000000000ff"]}`},
		{"POST", "/phone/code", "image/png", `x`},
		{"POST", "/short/sum", "application/x-www-form-urlencoded", "tick=m1"},
		{"POST", "/short/sum", "application/x-www-form-urlencoded", ""},
		{"POST", "/readings/judge", "application/x-www-form-urlencoded", "yard=mill&hive.0=m1&first.0=98&hive.1=m2&first.1=heavy&hive.2=m3&first.2=9"},
	}
	for _, p := range allRoutes(t) {
		method, path := pathOf(p)
		samples = append(samples, sample{method, path, "application/x-www-form-urlencoded", "x=1"})
		if method == http.MethodPost {
			samples = append(samples, sample{method, path, "application/json", "{}"})
		}
	}
	m := s.srv.routes()
	answered, good := map[string]bool{}, map[string]bool{}
	for _, x := range samples {
		r := httptest.NewRequestWithContext(context.Background(), x.method, x.path, strings.NewReader(x.body))
		r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:50000"
		if x.kind != "" && x.method == http.MethodPost {
			r.Header.Set("Content-Type", x.kind)
		}
		_, pattern := m.Handler(r)
		w := s.ask(r)
		if kind, _, _ := strings.Cut(w.Head.Get("Content-Type"), ";"); kind != "application/json" {
			continue
		}
		method, path, _ := strings.Cut(pattern, " ")
		answered[pattern] = true
		op, ok := a.Paths[path][strings.ToLower(method)]
		if !ok {
			t.Errorf("%s answers in JSON and is not described", pattern)
			continue
		}
		code := http.StatusText(w.Code)
		resp, ok := op.Responses[jsonCode(w.Code)]
		if !ok {
			t.Errorf("%s answers %d %s to %q: not described", pattern, w.Code, code, x.body)
			continue
		}
		var v any
		if err := json.Unmarshal([]byte(w.Body), &v); err != nil {
			t.Errorf("%s: %v", pattern, err)
			continue
		}
		good[pattern] = good[pattern] || w.Code == http.StatusOK
		for _, wrong := range a.check(resp.Content["application/json"].Schema, v, pattern) {
			t.Errorf("%s (of %q)", wrong, x.body)
		}
	}
	for path, ops := range a.Paths {
		for method := range ops {
			p := strings.ToUpper(method) + " " + path
			if !answered[p] {
				t.Errorf("%s is described, and does not answer in JSON", p)
			}
			if !good[p] && p != "POST /phone/code" { // a picture of a code is read in another test
				t.Errorf("%s: no good answer was seen", p)
			}
		}
	}
	if len(answered) < 7 {
		t.Errorf("only %d routes answer in JSON", len(answered))
	}
}

func jsonCode(code int) string {
	b, _ := json.Marshal(code)
	return string(b)
}

// TestRecipeOfEntries sends the entries that the manual shows, as it shows them.
func TestRecipeOfEntries(t *testing.T) {
	src, err := manual.Pages.ReadFile("recipes.md")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile("(?s)```json\n(.*?)```").FindSubmatch(src)
	if m == nil {
		t.Fatal("recipes.md shows no entries")
	}
	s := newExampleSite(t)
	for _, want := range []string{entryStored, entryAlready} { // sending twice is harmless
		r := httptest.NewRequest(http.MethodPost, "/phone/facts", strings.NewReader(string(m[1])))
		r.Header.Set("Content-Type", "application/json")
		var got phoneReply
		a := s.do(r)
		if err := json.Unmarshal([]byte(a.Body), &got); err != nil || len(got.Answers) != 1 || got.Answers[0].Is != want {
			t.Fatalf("%d %s (%v), want %s", a.Code, a.Body, err, want)
		}
	}
	if !strings.Contains(s.get("/hives/m1").Body, "98 lb") {
		t.Error("the reading is not on the page of its hive")
	}
}

// Who types a stroke too much is led on.
func TestManualWithAStroke(t *testing.T) {
	s := newSmallSite(t)
	if a := s.do(httptest.NewRequest(http.MethodGet, "/manual/", nil)); a.Code != http.StatusMovedPermanently || a.Head.Get("Location") != "/manual" {
		t.Errorf("%d to %q", a.Code, a.Head.Get("Location"))
	}
}
