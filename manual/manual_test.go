package manual

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"golang.org/x/net/html"
	"pgregory.net/rapid"
)

func load(t *testing.T) *Book {
	t.Helper()
	b, err := Load(map[string]string{"figures": "# Figures and their sources\n\nx"})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestEveryFileIsAPage wants each Markdown file in the list under its first
// heading, and the beginning of the list to name pages that exist.
func TestEveryFileIsAPage(t *testing.T) {
	b := load(t)
	files, err := fs.Glob(Pages, "*.md")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		p := b.Page(strings.TrimSuffix(f, ".md"))
		if p == nil {
			t.Errorf("%s is no page", f)
			continue
		}
		src, _ := Pages.ReadFile(f)
		if first, _, _ := strings.Cut(string(src), "\n"); first != "# "+p.Title {
			t.Errorf("%s is called %q and begins with %q", f, p.Title, first)
		}
		if p.Lead == "" {
			t.Errorf("%s has no sentence beneath its title: the list of pages shows it", f)
		}
	}
	if b.Pages[0].Name != "job" {
		t.Errorf("the first page is %s", b.Pages[0].Name)
	}
}

// TestPagesAreWhole reads the HTML of every page: anchors once, links within the
// manual lead somewhere, pictures are there and say what they show, and nothing
// of the page's own HTML comes through.
func TestPagesAreWhole(t *testing.T) {
	b := load(t)
	anchors := map[string]map[string]bool{}
	docs := map[string]*html.Node{}
	for _, p := range b.Pages {
		doc, err := html.Parse(strings.NewReader(string(p.HTML())))
		if err != nil {
			t.Fatal(err)
		}
		docs[p.Name], anchors[p.Name] = doc, map[string]bool{"": true}
		for n := range doc.Descendants() {
			if id := attr(n, "id"); id != "" {
				if anchors[p.Name][id] {
					t.Errorf("%s: two things are called #%s", p.Name, id)
				}
				anchors[p.Name][id] = true
			}
		}
	}
	links, pictures := 0, 0
	for _, p := range b.Pages {
		for n := range docs[p.Name].Descendants() {
			switch n.Data {
			case "script", "style", "iframe", "img":
				t.Errorf("%s has a <%s>", p.Name, n.Data)
			case "span":
				if attr(n, "class") != "picture" {
					continue
				}
				pictures++
				svg := n.FirstChild
				if svg == nil || svg.Data != "svg" || attr(svg, "role") != "img" {
					t.Errorf("%s: a picture that is not there, or says nothing", p.Name)
					continue
				}
				for _, id := range strings.Fields(attr(svg, "aria-labelledby")) {
					if !anchors[p.Name][id] {
						t.Errorf("%s: a picture is named by #%s, which is not there", p.Name, id)
					}
				}
			case "a":
				to := attr(n, "href")
				path, anchor, _ := strings.Cut(to, "#")
				name, ours := strings.CutPrefix(path, "/manual/")
				switch {
				case path == "":
					name = p.Name
				case path == "/manual" || name == "openapi.json" || !ours && strings.HasPrefix(path, "/"):
					continue // the browser tests follow links to the screens
				case !ours:
					t.Errorf("%s links to %s: neither a page nor a screen", p.Name, to)
					continue
				}
				links++
				switch {
				case b.Page(name) == nil:
					t.Errorf("%s links to %s: there is no such page", p.Name, to)
				case name != "figures" && !anchors[name][anchor]:
					t.Errorf("%s links to %s: nothing there is called #%s", p.Name, to, anchor)
				}
			}
		}
	}
	if links < 70 || pictures < 5 {
		t.Errorf("only %d links and %d pictures were seen", links, pictures)
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

// TestSearch finds what a keeper would type, best place first.
func TestSearch(t *testing.T) {
	b := load(t)
	for query, want := range map[string]string{
		"E05":                     "errors#e05",
		"e05.":                    "errors#e05",
		"carbon monoxide":         "safety#fumes",
		"scald":                   "safety#scald",
		"larder backup":           "commands#larder-backup-file-larder-restore-file---replace",
		"who is short":            "screens#short",
		"VISCOSITY":               "models#pump",
		"norrström":               "models#winter",
		"norrstrom":               "models#winter",
		"inspector csv":           "recipes#out-to-a-spreadsheet-and-in-again",
		"when to stop":            "screens#stop",
		"gets through the winter": "",
	} {
		hits := b.Search(query)
		got := ""
		if len(hits) > 0 {
			got = hits[0].Ref()
		}
		if want == "" {
			if len(hits) > 0 && !strings.Contains(fold(hits[0].Snippet()+hits[0].Title), "winter") {
				t.Errorf("%q finds %s: %s", query, got, hits[0].Snippet())
			}
			continue
		}
		if !slices.ContainsFunc(hits[:min(3, len(hits))], func(h Hit) bool { return h.Ref() == want }) {
			t.Errorf("%q finds %s first, want %s among the first three", query, got, want)
		}
	}
	for _, nothing := range []string{"", "  ", "…", "?!", "xyzzy"} {
		if hits := b.Search(nothing); len(hits) != 0 {
			t.Errorf("%q finds %d places", nothing, len(hits))
		}
	}
}

// TestSearchHolds: every hit has every word, in its text, its heading or its
// page's name; what is typed cannot break it.
func TestSearchHolds(t *testing.T) {
	b := load(t)
	var words []string
	for _, p := range b.Pages {
		for _, s := range p.Sections {
			words = append(words, strings.Fields(s.oneLine())...)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.OneOf(rapid.String(), rapid.SampledFrom(words), rapid.Custom(func(t *rapid.T) string {
			return rapid.SampledFrom(words).Draw(t, "one") + " " + rapid.SampledFrom(words).Draw(t, "two")
		})).Draw(t, "query")
		for _, h := range b.Search(q) {
			all := fold(h.Page.Title + " " + h.Title + " " + h.oneLine())
			for _, w := range Words(q) {
				if beginnings(all, w) == 0 {
					t.Fatalf("%q finds %s, which lacks %q", q, h.Ref(), w)
				}
			}
			if n := utf8.RuneCountInString(h.Snippet()); n > 600 || !utf8.ValidString(h.Snippet()) {
				t.Fatalf("%q: a snippet of %d runes", q, n)
			}
		}
	})
}

// TestText: as text nothing is wider than asked for but single words and code,
// and no word of the page is lost.
func TestText(t *testing.T) {
	b := load(t)
	word := regexp.MustCompile(`[\p{L}\p{N}]+`)
	for _, p := range b.Pages {
		out := p.Text(100)
		for l := range strings.Lines(out) {
			if n := utf8.RuneCountInString(strings.TrimRight(l, "\n")); n > 100 && !strings.HasPrefix(l, "    ") {
				t.Errorf("%s: %d wide: %s", p.Name, n, l)
			}
		}
		have := map[string]bool{}
		for _, w := range word.FindAllString(out, -1) {
			have[w] = true
		}
		for _, s := range p.Sections {
			for _, w := range word.FindAllString(s.Title+" "+s.oneLine(), -1) {
				if !have[w] {
					t.Errorf("%s: %q of %q is lost as text", p.Name, w, s.Title)
				}
			}
		}
	}
}

// unused are words that screens do not use.
var unused = regexp.MustCompile(`(?i)\b(dashboard|sync|dataset|entity|optimi[sz]e|inventory|submit)\b`)

func TestWordsOfTheTrade(t *testing.T) {
	for _, p := range load(t).Pages {
		if w := unused.FindAllString(string(p.source), -1); len(w) > 0 {
			t.Errorf("%s uses %q", p.Name, w)
		}
	}
}
