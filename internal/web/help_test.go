package web

import (
	"context"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"larder/internal/apiary"
	"larder/internal/cli/example"
	"larder/internal/folder"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// site is a server over a book in memory, as a browser without scripts sees it.
type site struct {
	t    *testing.T
	srv  *Server
	book *season.Memory
	mark int // facts there were at the last marked
	n    uint32
}

// newSite opens a server over facts, with a clock that stands at now.
func newSite(t *testing.T, now time.Time, facts ...season.Fact) *site {
	t.Helper()
	return newSiteWith(t, now, Options{}, facts...)
}

// newSiteWith is newSite with options of its own; book, clock and ids are set
// here.
func newSiteWith(t *testing.T, now time.Time, o Options, facts ...season.Fact) *site {
	t.Helper()
	s := &site{t: t, book: &season.Memory{}}
	if err := s.book.Append(context.Background(), facts...); err != nil {
		t.Fatal(err)
	}
	o.Book, o.Now, o.NewID = s.book, func() time.Time { return now }, s.newID
	if o.Patience == 0 {
		o.Patience = time.Minute
	}
	o.Log = slog.New(slog.NewTextHandler(testLog{t}, nil))
	srv, err := New(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	s.srv = srv
	s.marked()
	return s
}

// smallNow is when [smallSeason] is looked at.
var smallNow = time.Date(2026, time.September, 4, 10, 0, 0, 0, time.UTC)

// newSmallSite is a server over [smallSeason].
func newSmallSite(t *testing.T) *site {
	t.Helper()
	return newSite(t, smallNow, smallSeason(t)...)
}

// newExampleSite is a server over the example season, on its day.
func newExampleSite(t *testing.T) *site {
	t.Helper()
	sub, err := fs.Sub(example.Files, "season")
	if err != nil {
		t.Fatal(err)
	}
	facts, err := folder.Read(sub)
	if err != nil {
		t.Fatal(err)
	}
	sky, err := example.Weather()
	if err != nil {
		t.Fatal(err)
	}
	day, err := units.ParseDay(example.Day)
	if err != nil {
		t.Fatal(err)
	}
	return newSite(t, day.Time().Add(10*time.Hour), append(facts, sky...)...)
}

// newExampleSiteOn is a server over the example season as known on a day, more
// facts among them: weather after it is not known.
func newExampleSiteOn(t *testing.T, day units.Day, more ...season.Fact) *site {
	t.Helper()
	facts, err := newExampleSite(t).book.Facts(context.Background(), units.Moment{})
	if err != nil {
		t.Fatal(err)
	}
	now := day.Time().Add(20 * time.Hour)
	known := units.At(now)
	facts = slices.DeleteFunc(append(facts, more...), func(f season.Fact) bool { return !f.KnownAt(known) })
	return newSite(t, now, facts...)
}

func (s *site) newID() season.ID {
	s.n++
	return season.ID{0x01, 0x9f, 6: 0x70, 8: 0x80, 12: byte(s.n >> 16), 13: byte(s.n >> 8), 14: byte(s.n), 15: 9}
}

// small makes the facts of a tiny season.
type small struct {
	facts []season.Fact
	n     byte
}

func sept(d int) units.Day { return units.DayOf(2026, time.September, d) }

func (s *small) add(d int, body any) {
	s.n++
	id := season.ID{0x01, 0x98, 6: 0x70, 8: 0x80, 14: s.n, 15: 1}
	s.facts = append(s.facts, season.Fact{ID: id, Seen: units.OnDay(sept(d)), Body: body})
}

// smallSeason is two yards, five colonies and a warm September 2026: mill with
// m1, m2, m3, hill with h1, h2, all double-storey with a tray feeder, looked at
// on the 1st; all but h2 weighed on the 3rd (38, 45, 60, 36 kg); tank 150 L,
// mixer 100 L, stop day the 30th, forecast up to the 60th day.
func smallSeason(t *testing.T) []season.Fact {
	t.Helper()
	s := &small{}
	for _, kv := range [][2]string{{"rig.tank", "150 L"}, {"kitchen.mixer", "100 L"}, {"home.lat", "42.0"}, {"home.lon", "-75.0"}} {
		s.add(-20, season.Setting{Key: kv[0], Value: kv[1]})
	}
	s.add(-20, apiary.Yard{ID: "mill", Name: "Mill Lane", HasPlace: true, Lat: 42.05, Lon: -75.02, Climate: apiary.Temperate, Station: "s", Stop: sept(30)})
	s.add(-20, apiary.Yard{ID: "hill", HasPlace: true, Lat: 42.10, Lon: -75.10, Climate: apiary.Temperate, Station: "s", Stop: sept(30)})
	stack, err := hive.ParseStack("lang10-deep + lang10-medium")
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range []string{"m1", "m2", "m3", "h1", "h2"} {
		yard := map[byte]string{'m': "mill", 'h': "hill"}[c[0]]
		s.add(-20, apiary.Placed{Colony: apiary.Colony{ID: c, Yard: yard, Stand: i + 1, Kind: apiary.Full, Stack: stack, Feeder: "tray-2"}})
		s.add(1, apiary.Look{Colony: c, Bees: 10, BeesKnown: true, Brood: 4, BroodKnown: true,
			Queen: apiary.Yes, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No})
	}
	for _, r := range []struct {
		c  string
		kg units.Mass
	}{{"m1", 38}, {"m2", 45}, {"m3", 60}, {"h1", 36}} {
		s.add(3, stores.Reading{Colony: r.c, Way: stores.Full, Gross: units.In(r.kg)})
	}
	for d := -15; d <= 4; d++ {
		s.add(d, weather.Day{Station: "s", Day: sept(d), TMax: 22, TMin: 10, HasMax: true, HasMin: true})
	}
	for d := 5; d <= 60; d++ {
		s.add(4, weather.Day{Station: "s", Day: sept(d), TMax: 18, TMin: 6, HasMax: true, HasMin: true, Forecast: true})
	}
	return s.facts
}

// answer is what came back.
type answer struct {
	t    *testing.T
	Code int
	Head http.Header
	Body string
	doc  *html.Node
}

func (s *site) do(r *http.Request) *answer {
	s.t.Helper()
	r.Host = "127.0.0.1"
	if r.RemoteAddr == elsewhere {
		r.RemoteAddr = "127.0.0.1:50000"
	}
	return s.ask(r)
}

// elsewhere is where httptest lets requests come from.
const elsewhere = "192.0.2.1:1234"

// ask is do for requests that say themselves whence they come and to whom.
func (s *site) ask(r *http.Request) *answer {
	s.t.Helper()
	w := httptest.NewRecorder()
	s.srv.ServeHTTP(w, r)
	a := &answer{t: s.t, Code: w.Code, Head: w.Header(), Body: w.Body.String()}
	if strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
		doc, err := html.Parse(strings.NewReader(a.Body))
		if err != nil {
			s.t.Fatal(err)
		}
		a.doc = doc
		a.wellMade(r.Method + " " + r.URL.String())
	}
	return a
}

// get asks for a page and wants it whole (200).
func (s *site) get(path string) *answer {
	s.t.Helper()
	a := s.do(httptest.NewRequest(http.MethodGet, path, nil))
	if a.Code != http.StatusOK {
		s.t.Fatalf("GET %s: %d\n%s", path, a.Code, a.text())
	}
	return a
}

// post sends a form: pairs of field and value, a field may come more than once.
func (s *site) post(path string, pairs ...string) *answer {
	s.t.Helper()
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(v.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.do(r)
}

// done is post for a form that must be taken: it wants the redirect and gives
// where to.
func (s *site) done(path string, pairs ...string) string {
	s.t.Helper()
	a := s.post(path, pairs...)
	if a.Code != http.StatusSeeOther {
		s.t.Fatalf("POST %s: %d, want 303\n%s", path, a.Code, a.text())
	}
	return a.Head.Get("Location")
}

// marked gives the facts written since it was last called, in order of truth.
func (s *site) marked() []season.Fact {
	s.t.Helper()
	all, err := s.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		s.t.Fatal(err)
	}
	var fresh []season.Fact
	for _, f := range all {
		if f.ID[1] == 0x9f { // ours are made by newID
			fresh = append(fresh, f)
		}
	}
	// Ids count up, so what is new is what was made after the mark.
	var out []season.Fact
	for _, f := range fresh {
		if n := int(f.ID[12])<<16 | int(f.ID[13])<<8 | int(f.ID[14]); n > s.mark {
			out = append(out, f)
		}
	}
	s.mark = int(s.n)
	return out
}

// has tells whether the page has all of the texts, in its visible words.
func (a *answer) has(want ...string) {
	a.t.Helper()
	text := a.text()
	for _, w := range want {
		if !strings.Contains(text, w) {
			a.t.Errorf("the page lacks %q:\n%s", w, text)
		}
	}
}

// hasNot is the contrary of has.
func (a *answer) hasNot(words ...string) {
	a.t.Helper()
	text := a.text()
	for _, w := range words {
		if strings.Contains(text, w) {
			a.t.Errorf("the page has %q:\n%s", w, text)
		}
	}
}

// text gives the words of the page, one space between.
func (a *answer) text() string {
	if a.doc == nil {
		return a.Body
	}
	var b strings.Builder
	each(a.doc, func(n *html.Node) {
		if n.Type == html.TextNode {
			b.WriteString(n.Data)
			b.WriteByte(' ')
		}
	})
	return strings.Join(strings.Fields(b.String()), " ")
}

// field gives what stands in the field of this name: the value of an input, the
// text of a textarea, the chosen value of a select or of radio buttons.
func (a *answer) field(name string) string {
	a.t.Helper()
	out, found := "", false
	each(a.doc, func(n *html.Node) {
		if n.Type != html.ElementNode || attr(n, "name") != name {
			return
		}
		switch n.Data {
		case "input":
			found = true
			if k := attr(n, "type"); (k != "radio" && k != "checkbox") || hasAttr(n, "checked") {
				out = attr(n, "value")
			}
		case "textarea":
			found, out = true, inner(n)
		case "select":
			found = true
			first := true
			each(n, func(o *html.Node) {
				if o.Type == html.ElementNode && o.Data == "option" && (first || hasAttr(o, "selected")) {
					out, first = attr(o, "value"), false
				}
			})
		}
	})
	if !found {
		a.t.Errorf("the page has no field %q", name)
	}
	return out
}

// links gives the addresses of all links.
func (a *answer) links() []string {
	var out []string
	each(a.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "a" && hasAttr(n, "href") {
			out = append(out, attr(n, "href"))
		}
	})
	return out
}

// wellMade finds what no page of ours may have: an id twice, a field without a
// name for those who do not see it, a style attribute or inline script, a
// missing message, a form that posts without saying so.
func (a *answer) wellMade(what string) {
	a.t.Helper()
	ids, labelled := map[string]bool{}, map[string]bool{}
	var fields []*html.Node
	each(a.doc, func(n *html.Node) {
		if n.Type == html.TextNode && strings.Contains(n.Data, "⟨") {
			a.t.Errorf("%s: a message is missing: %s", what, strings.TrimSpace(n.Data))
		}
		if n.Type != html.ElementNode {
			return
		}
		if id := attr(n, "id"); id != "" {
			if ids[id] {
				a.t.Errorf("%s: id %q twice", what, id)
			}
			ids[id] = true
		}
		if hasAttr(n, "style") {
			a.t.Errorf("%s: <%s> has a style attribute; the policy forbids it", what, n.Data)
		}
		for _, at := range n.Attr {
			if strings.Contains(at.Val, "⟨") {
				a.t.Errorf("%s: a message is missing: %s=%q", what, at.Key, at.Val)
			}
			if strings.HasPrefix(at.Key, "on") {
				a.t.Errorf("%s: inline script %s", what, at.Key)
			}
		}
		switch n.Data {
		case "script":
			if !hasAttr(n, "src") {
				a.t.Errorf("%s: inline script", what)
			}
		case "label":
			if f := attr(n, "for"); f != "" {
				labelled[f] = true
			}
		case "input", "select", "textarea":
			if attr(n, "type") != "hidden" {
				fields = append(fields, n)
			}
		}
	})
	for _, f := range fields {
		if labelled[attr(f, "id")] && attr(f, "id") != "" || hasAttr(f, "aria-label") || hasAttr(f, "aria-labelledby") || within(f, "label") {
			continue
		}
		a.t.Errorf("%s: the field %q has no label", what, attr(f, "name"))
	}
	each(a.doc, func(n *html.Node) {
		if n.Type != html.ElementNode {
			return
		}
		for _, key := range []string{"aria-describedby", "aria-labelledby", "for"} {
			for ref := range strings.FieldsSeq(attr(n, key)) {
				if !ids[ref] {
					a.t.Errorf("%s: %s=%q leads nowhere", what, key, ref)
				}
			}
		}
	})
}

func each(n *html.Node, f func(*html.Node)) {
	f(n)
	if n.Type == html.ElementNode && (n.Data == "script" || n.Data == "style") {
		return // its text is not the page's
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		each(c, f)
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func hasAttr(n *html.Node, key string) bool {
	for _, a := range n.Attr {
		if a.Key == key {
			return true
		}
	}
	return false
}

func within(n *html.Node, tag string) bool {
	for p := n.Parent; p != nil; p = p.Parent {
		if p.Type == html.ElementNode && p.Data == tag {
			return true
		}
	}
	return false
}

func inner(n *html.Node) string {
	var b strings.Builder
	each(n, func(c *html.Node) {
		if c.Type == html.TextNode {
			b.WriteString(c.Data)
		}
	})
	return b.String()
}

// testLog puts the server's log into the test's.
type testLog struct{ t *testing.T }

func (l testLog) Write(b []byte) (int, error) {
	l.t.Log(strings.TrimSpace(string(b)))
	return len(b), nil
}

// TestHelpReadsForms holds the helpers themselves to account.
func TestHelpReadsForms(t *testing.T) {
	doc, err := html.Parse(strings.NewReader(`<form><label for=a>A</label><input id=a name=a value=1>
<textarea name=b aria-label=B>two
lines</textarea><select name=c aria-label=C><option value=x>X<option value=y selected>Y</select>
<label><input type=radio name=d value=p>P</label><label><input type=radio name=d value=q checked>Q</label></form>`))
	if err != nil {
		t.Fatal(err)
	}
	a := &answer{t: t, doc: doc}
	a.wellMade("form")
	for name, want := range map[string]string{"a": "1", "b": "two\nlines", "c": "y", "d": "q"} {
		if got := a.field(name); got != want {
			t.Errorf("%s = %q, want %q", name, got, want)
		}
	}
}

func TestSitesOpen(t *testing.T) {
	s := newSmallSite(t)
	if st := s.get("/short"); st.doc == nil {
		t.Error("no page")
	}
	s.done("/units", "units", "metric", "back", "/short")
	if f := s.marked(); len(f) != 1 || f[0].Body != (season.Setting{Key: "house.units", Value: "metric"}) {
		t.Errorf("facts: %v", f)
	}
	if f := s.marked(); len(f) != 0 {
		t.Errorf("marked twice: %v", f)
	}
	newExampleSite(t).get("/short")
}

func has(all []string, want string) bool {
	for _, x := range all {
		if x == want {
			return true
		}
	}
	return false
}

func setting(key, value string) season.Setting { return season.Setting{Key: key, Value: value} }

func request(method, path string) *http.Request { return httptest.NewRequest(method, path, nil) }
