package web_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"larder/internal/web"
	"larder/tools/storybook/stories"
)

// banned are words the screens do not use, in either language (ux: words we do
// not use).
var banned = map[string]*regexp.Regexp{
	"en": regexp.MustCompile(`(?i)\b(dashboards?|sync(s|ed|ing|hronis\w*|hroniz\w*)?|datasets?|entit(y|ies)|optimi[sz]\w*|scores?|health|inventor(y|ies)|submit(s|ted|ting)?|invalid|please|sorry|oops)\b`),
	"es": regexp.MustCompile(`(?i)(^|[^\p{L}])(dashboard|sincroni\p{L}*|conjuntos? de datos|entidad(es)?|optimi[zc]\p{L}*|puntuaci[oó]n|salud|inventarios?|inv[aá]lid\p{L}*|por favor|lo siento|perd[oó]n|ups)([^\p{L}]|$)`),
}

// storyIn answers a story in a language.
func storyIn(t *testing.T, b *stories.Book, s stories.Story, lang string) string {
	t.Helper()
	srv, err := b.Server(s.Season)
	if err != nil {
		t.Fatal(err)
	}
	shut := s.Season == "shut" // no book to keep a language in: the browser says which
	if !spoken[srv] && !shut {
		spoken[srv] = true
		r := httptest.NewRequest(http.MethodPost, "/units", strings.NewReader(url.Values{"language": {lang}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:50000"
		w := httptest.NewRecorder()
		if srv.ServeHTTP(w, r); w.Code != http.StatusSeeOther {
			t.Fatalf("language %s: %d", lang, w.Code)
		}
	}
	w, err := b.Answer(s)
	if err != nil {
		t.Fatal(err)
	}
	if shut {
		r := s.Request(t.Context())
		r.Header.Set("Accept-Language", lang)
		w = httptest.NewRecorder()
		srv.ServeHTTP(w, r)
	}
	if w.Code != s.Status() {
		t.Errorf("%s (%s): answers %d, want %d", s.Name(), lang, w.Code, s.Status())
	}
	if ct := w.Header().Get("Content-Type"); ct != "text/html; charset=utf-8" {
		t.Errorf("%s: is %q", s.Name(), ct)
	}
	return w.Body.String()
}

// spoken are the servers whose language is set.
var spoken = map[*web.Server]bool{}

// english are the stories as they stand, worked out once for all that read them.
var english = stories.New()

// TestPagesAreWellMade reads every page of every story in both languages; in the
// second those left out are the typical page with other numbers in it.
func TestPagesAreWellMade(t *testing.T) {
	told := map[string]int{} // the same trouble on many pages is told once
	for _, lang := range web.Languages {
		b := english
		if lang != "en" {
			b = stories.New()
		}
		for _, s := range b.Stories {
			if lang != "en" && (s.State == "thousand" || s.State == "stale") {
				continue
			}
			body := storyIn(t, b, s, lang)
			if !strings.HasPrefix(body, "<!doctype html>\n<html lang=\""+lang+"\"") {
				t.Errorf("%s: does not begin as a page in %s", s.Name(), lang)
			}
			doc, err := html.Parse(strings.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			p := &pageCheck{seen: map[string]int{}, lang: lang, paper: s.Screen == "print"}
			p.read(doc)
			for _, bad := range append(p.bad, tagBalance(body)...) {
				key := lang + ": " + bad
				if told[key]++; told[key] == 1 {
					t.Errorf("%s (%s): %s", s.Name(), lang, bad)
				}
			}
		}
	}
	for bad, n := range told {
		if n > 1 {
			t.Logf("%d stories have %s", n, bad)
		}
	}
}

// pageCheck collects what is wrong with one page; each kind of trouble is told
// a few times only.
type pageCheck struct {
	lang  string
	paper bool // several sheets of paper on one page: each has its own head, and names its table by it
	bad   []string
	seen  map[string]int
}

func (p *pageCheck) say(kind, format string, args ...any) {
	if p.seen[kind]++; p.seen[kind] <= 3 {
		p.bad = append(p.bad, kind+": "+fmt.Sprintf(format, args...))
	}
}

func (p *pageCheck) read(doc *html.Node) {
	ids := map[string]bool{}
	labelled := map[string]bool{}
	level := 0
	count := map[string]int{}
	for n := range doc.Descendants() {
		if n.Type == html.TextNode && !inside(n, "script", "style") {
			p.words(n.Data)
		}
		if n.Type != html.ElementNode {
			continue
		}
		count[n.Data]++
		p.attributes(n, ids)
		if class := strings.Fields(attr(n, "class")); slices.Contains(class, "caution") && !slices.Contains(class, "notice") && p.lang != "en" && !hasEnglish(n) {
			p.say("caution", "without its English beside it: %s", words(n))
		}
		switch n.Data {
		case "label":
			labelled[attr(n, "for")] = true
		case "h1", "h2", "h3", "h4", "h5", "h6":
			now := int(n.Data[1] - '0')
			if now > level+1 {
				p.say("heading order", "<%s>%s comes after <h%d>", n.Data, words(n), level)
			}
			if words(n) == "" {
				p.say("heading", "<%s> is empty", n.Data)
			}
			level = now
		case "table":
			if !hasChild(n, "caption") && !p.paper {
				p.say("table", "no caption: %.60s", words(n))
			}
		case "th":
			if attr(n, "scope") == "" {
				p.say("table", "<th> without scope: %s", words(n))
			}
		case "button", "a":
			if words(n) == "" && attr(n, "aria-label") == "" {
				p.say("name", "<%s %s> has no words", n.Data, attr(n, "href"))
			}
		case "svg":
			if attr(n, "role") != "img" && attr(n, "aria-hidden") != "true" {
				p.say("chart", "<svg> without role")
			} else if attr(n, "role") == "img" && !hasChild(n, "title") {
				p.say("chart", "<svg> without title")
			}
		case "title":
			if !inside(n, "svg") && strings.TrimSpace(words(n)) == "" {
				p.say("title", "empty")
			}
		case "fieldset":
			if !hasChild(n, "legend") {
				p.say("fieldset", "no legend")
			}
		case "form":
			if m := attr(n, "method"); m != "get" && m != "post" {
				p.say("form", "method %q", m)
			}
		}
	}
	for _, one := range []string{"h1", "main", "body", "head"} {
		if count[one] != 1 && !(one == "h1" && p.paper && count[one] > 0) {
			p.say("parts", "%d <%s>", count[one], one)
		}
	}
	if count["title"] == 0 {
		p.say("title", "missing")
	}
	p.references(doc, ids, labelled)
}

// attributes looks at what no element may have, and keeps ids.
func (p *pageCheck) attributes(n *html.Node, ids map[string]bool) {
	for _, a := range n.Attr {
		switch {
		case a.Key == "style" || strings.HasPrefix(a.Key, "on"):
			p.say("inline", "<%s> has %s", n.Data, a.Key)
		case a.Key == "id":
			if a.Val == "" || ids[a.Val] || strings.ContainsAny(a.Val, " \t\n") {
				p.say("id", "%q is empty, twice there or has a space", a.Val)
			}
			ids[a.Val] = true
		case a.Key == "tabindex" && a.Val != "0" && a.Val != "-1":
			p.say("tabindex", "%s on <%s>", a.Val, n.Data)
		case a.Key == "maxlength" || a.Key == "accesskey" || a.Key == "placeholder":
			p.say("attribute", "<%s> has %s", n.Data, a.Key)
		case slices.Contains([]string{"aria-label", "title", "alt", "data-label", "data-word"}, a.Key):
			p.words(a.Val)
		}
	}
	switch {
	case n.Data == "script" && (attr(n, "src") == "" || strings.TrimSpace(words(n)) != ""):
		p.say("inline", "a script in the page")
	case n.Data == "style":
		p.say("inline", "a style sheet in the page")
	case n.Data == "input" && attr(n, "type") == "number":
		p.say("attribute", "type=number on %s", attr(n, "name"))
	case n.Data == "img" && !hasAttr(n, "alt"):
		p.say("picture", "without alt: %s", attr(n, "src"))
	}
}

// references wants every label, description and field to lead somewhere.
func (p *pageCheck) references(doc *html.Node, ids, labelled map[string]bool) {
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		for _, key := range []string{"for", "aria-describedby", "aria-labelledby", "aria-controls", "aria-errormessage", "list", "form"} {
			for id := range strings.FieldsSeq(attr(n, key)) {
				if !ids[id] {
					p.say("reference", "%s=%q leads nowhere", key, id)
				}
			}
		}
		if h := attr(n, "href"); n.Data == "a" && len(h) > 1 && h[0] == '#' && !ids[h[1:]] {
			p.say("reference", "href=%q leads nowhere", h)
		}
		switch n.Data {
		case "input", "select", "textarea":
			if attr(n, "type") == "hidden" || attr(n, "id") != "" && labelled[attr(n, "id")] || inside(n, "label") || attr(n, "aria-label") != "" || attr(n, "aria-labelledby") != "" {
				continue
			}
			p.say("label", "the field %q has none", attr(n, "name"))
		}
	}
}

// words looks at what a person reads.
func (p *pageCheck) words(text string) {
	if strings.Contains(text, "⟨") || strings.Contains(text, "<no value>") || strings.Contains(text, "%!") {
		p.say("message", "missing or broken: %s", strings.TrimSpace(text))
	}
	for _, re := range banned {
		if m := re.FindString(text); m != "" {
			p.say("word", "%q in %q", strings.TrimSpace(m), strings.TrimSpace(text))
		}
	}
}

// void are the elements without an end tag.
var void = []string{"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}

// tagBalance finds end tags that end nothing and start tags that are not ended:
// the parser mends them in silence.
func tagBalance(body string) []string {
	var open, bad []string
	z := html.NewTokenizer(strings.NewReader(body))
	for {
		switch z.Next() {
		case html.ErrorToken:
			for _, tag := range open {
				bad = append(bad, "<"+tag+"> is not ended")
			}
			return bad
		case html.StartTagToken:
			if name, _ := z.TagName(); !slices.Contains(void, string(name)) {
				open = append(open, string(name))
			}
		case html.EndTagToken:
			name, _ := z.TagName()
			if len(open) == 0 || open[len(open)-1] != string(name) {
				at := strings.Count(body[:min(len(body), strings.LastIndex(body, string(z.Raw()))+1)], "\n") + 1
				return append(bad, fmt.Sprintf("</%s> where <%s> is open (about line %d)", name, strings.Join(open[max(0, len(open)-3):], " ")+">", at))
			}
			open = open[:len(open)-1]
		}
	}
}

func words(n *html.Node) string {
	var b strings.Builder
	for c := range n.Descendants() {
		if c.Type == html.TextNode {
			b.WriteString(c.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
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
	return slices.ContainsFunc(n.Attr, func(a html.Attribute) bool { return a.Key == key })
}

// hasEnglish tells whether the English of a safety line stands beside it: its
// translation is ours, and no speaker of the trade has read it yet.
func hasEnglish(n *html.Node) bool {
	for c := range n.Descendants() {
		if attr(c, "lang") == "en" && words(c) != "" {
			return true
		}
	}
	return false
}

func hasChild(n *html.Node, tag string) bool {
	for c := range n.ChildNodes() {
		if c.Data == tag {
			return true
		}
	}
	return false
}

func inside(n *html.Node, tags ...string) bool {
	for p := range n.Ancestors() {
		if slices.Contains(tags, p.Data) {
			return true
		}
	}
	return false
}

// TestTemplatesFitTheirPages type-checks every template against the page it is
// shown with in the stories; a screen that no story shows fails.
func TestTemplatesFitTheirPages(t *testing.T) {
	b := english
	checked := map[string]bool{}
	for _, s := range b.Stories {
		srv, err := b.Server(s.Season)
		if err != nil {
			t.Fatal(err)
		}
		web.OnShow(srv, func(screen string, page any) {
			if key := fmt.Sprintf("%s %T", screen, page); !checked[key] {
				checked[key], checked[screen] = true, true
				if err := web.CheckTemplate(screen, page); err != nil {
					t.Errorf("%s: %v", key, err)
				}
			}
		})
		if _, err := b.Answer(s); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range web.ScreenNames() {
		if !checked[name] {
			t.Errorf("screen/%s is in no story: add one to tools/storybook/stories/pages.go", name)
		}
	}
}

// TestChecksSeeFaults holds the checks of this file to account.
func TestChecksSeeFaults(t *testing.T) {
	for what, body := range map[string]string{
		"word":          "<body><h1>Your dashboard</h1>",
		"heading order": "<h1>A</h1><h3>B</h3>",
		"table":         "<table><tr><th scope=col>A</table>",
		"label":         "<input name=a>",
		"id":            "<p id=a></p><p id=a></p>",
		"inline":        "<p style='color:red'>",
		"reference":     "<label for=nothing>A</label>",
		"message":       "<p>⟨no.key⟩",
		"chart":         "<svg></svg>",
		"form":          "<form></form>",
		"parts":         "<h1>a</h1><h1>b</h1>",
	} {
		doc, err := html.Parse(strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		p := &pageCheck{seen: map[string]int{}, lang: "en"}
		p.read(doc)
		if p.seen[what] == 0 {
			t.Errorf("%s is not seen in %s", what, body)
		}
	}
	if bad := tagBalance("<div><p>a</div>"); len(bad) != 1 {
		t.Errorf("tags out of balance: %v", bad)
	}
}
