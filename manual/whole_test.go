package manual

import (
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// TestWhole: all pages as one have every word of each, no anchor twice, and no
// link into nowhere.
func TestWhole(t *testing.T) {
	b, err := Load(map[string]string{"figures": "# Figures\n\nAll of them, as [told](job.md).\n"})
	if err != nil {
		t.Fatal(err)
	}
	whole := string(b.Whole())
	doc, err := html.Parse(strings.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	ids, links, points := map[string]int{}, []string{}, []string{}
	for n := range doc.Descendants() {
		for _, a := range n.Attr {
			switch a.Key {
			case "id":
				ids[a.Val]++
			case "href":
				links = append(links, a.Val)
			case "aria-labelledby", "aria-describedby":
				points = append(points, strings.Fields(a.Val)...)
			}
		}
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("%d places are called %s", n, id)
		}
	}
	inner := 0
	for _, to := range links {
		if strings.HasPrefix(to, "/manual/") && to != "/manual/openapi.json" {
			t.Errorf("%s leads to another page", to)
		}
		if id, ok := strings.CutPrefix(to, "#"); ok {
			inner++
			if ids[id] == 0 {
				t.Errorf("%s leads nowhere", to)
			}
		}
	}
	for _, id := range points {
		if ids[id] == 0 {
			t.Errorf("%s is pointed at and is not there", id)
		}
	}
	if inner < 20 || len(points) < 5 {
		t.Errorf("only %d links and %d pointers within were found", inner, len(points))
	}
	for _, p := range b.Pages {
		if ids[p.Name] != 1 {
			t.Errorf("the page %s is not there", p.Name)
		}
		if p.Name == WholeName {
			t.Error("a page has the name of all together")
		}
	}
}
