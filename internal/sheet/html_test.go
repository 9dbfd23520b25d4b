package sheet_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"larder/internal/sheet"
	"larder/internal/units"
)

// everySheet makes one of each kind.
func everySheet(t testing.TB, s *sheet.Source) []sheet.Doc {
	t.Helper()
	docs, err := sheet.ForDay(s, s.Plan.Loads[0].Day)
	if err != nil {
		t.Fatal(err)
	}
	return append(docs, one(t)(sheet.HeftSheet(s, "mill")), one(t)(sheet.Shopping(s)), one(t)(sheet.HiveLabels(s, "mill")), one(t)(sheet.YardLabels(s)))
}

// wordsOf gives the words a page of HTML shows: not the title and description
// of pictures, which are for those who do not see them.
func wordsOf(t testing.TB, p sheet.Paper, docs ...sheet.Doc) (words []string, doc *html.Node) {
	t.Helper()
	body, err := sheet.HTML(p, docs...)
	if err != nil {
		t.Fatal(err)
	}
	doc, err = html.Parse(strings.NewReader(string(body)))
	if err != nil {
		t.Fatal(err)
	}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Data == "title" || n.Data == "desc" {
			return
		}
		if n.Type == html.TextNode {
			words = append(words, strings.Fields(n.Data)...)
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
	return words, doc
}

// letters gives all signs of some words, sorted, without spaces and the marks
// between fields: two ways of breaking lines have the same.
func letters(words []string) string {
	r := []rune(strings.Join(words, ""))
	r = slices.DeleteFunc(r, func(c rune) bool { return c == '·' || c == ' ' || c == '\u00a0' })
	slices.Sort(r)
	return string(r)
}

// TestBothWaysSayTheSame: the page a browser prints and the PDF have the same
// words and numbers, sheet by sheet.
func TestBothWaysSayTheSame(t *testing.T) {
	for _, w := range ways {
		s := source(t, w.lang, w.system)
		for _, p := range sheet.Papers() {
			docs := append(everySheet(t, s), one(t)(sheet.YardSheet(manyHives(t, w.lang, w.system, 60), "long", roundDay)))
			paper := printed(t, p, docs)
			for i := range docs {
				screen, _ := wordsOf(t, p, docs[i])
				if a, b := letters(screen), letters(paper[i]); a != b {
					t.Errorf("%s %s, %s: HTML and PDF differ:\n%q\n%q", docs[i].Kind, docs[i].Name, p, screen, paper[i])
				}
				for _, n := range numbers(screen) {
					if !slices.Contains(numbers(paper[i]), n) {
						t.Errorf("%s: %s is on the screen and not on paper", docs[i].Name, n)
					}
				}
			}
		}
	}
}

var numberText = regexp.MustCompile(`\d[\d.,:]*`)

func numbers(words []string) []string {
	return numberText.FindAllString(strings.Join(words, " "), -1)
}

// TestPrintedPageKeepsTheRules: no style of its own, tables with heads and named
// rows, one first heading, a class for every width and height.
func TestPrintedPageKeepsTheRules(t *testing.T) {
	s := source(t, "es", units.Metric)
	css := string(sheet.CSS(sheet.A4))
	_, doc := wordsOf(t, sheet.A4, everySheet(t, s)...)
	size := regexp.MustCompile(`^[wr]\d+$`)
	sections, tables := 0, 0
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		for _, a := range n.Attr {
			if a.Key == "style" || strings.HasPrefix(a.Key, "on") {
				t.Errorf("<%s> has %s", n.Data, a.Key)
			}
			if a.Key == "class" {
				for c := range strings.FieldsSeq(a.Val) {
					if size.MatchString(c) && !strings.Contains(css, "."+c+"{") {
						t.Errorf("no style for class %s", c)
					}
				}
			}
		}
		switch n.Data {
		case "section":
			sections++
		case "table":
			tables++
			if count(n, "tr") > 0 && count(n, "th") == 0 {
				t.Error("a table without heads")
			}
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
	if sections < 8 || tables < 8 {
		t.Errorf("%d sections, %d tables", sections, tables)
	}
	for _, want := range []string{"@page { size: a4 portrait; margin: 20mm 12mm 12mm; }", "table-header-group", "break-inside: avoid"} {
		if !strings.Contains(css, want) {
			t.Errorf("the style lacks %q", want)
		}
	}
	if !strings.Contains(string(sheet.CSS(sheet.Letter)), "size: letter portrait") {
		t.Error("Letter is not letter")
	}
	if sheet.BoxSide < 5 {
		t.Errorf("boxes of %g mm", sheet.BoxSide)
	}
}

func count(n *html.Node, tag string) int {
	c := 0
	if n.Type == html.ElementNode && n.Data == tag {
		c = 1
	}
	for k := n.FirstChild; k != nil; k = k.NextSibling {
		c += count(k, tag)
	}
	return c
}
