package browser

import (
	"net/http/httptest"
	"net/url"
	"path"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"larder/tools/storybook/stories"
)

// TestEveryLinkLeadsSomewhere follows every link, style sheet and script of
// every story, in its own season, and the targets of links within a page. A page
// that cannot take what it was asked may link to itself so.
func TestEveryLinkLeadsSomewhere(t *testing.T) {
	t.Parallel()
	type hop struct{ season, path string }
	asked, told := map[hop]int{}, map[string]bool{}
	for _, s := range book.Stories {
		w, err := book.Answer(s)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := html.Parse(w.Body)
		if err != nil {
			t.Fatal(err)
		}
		ids := map[string]bool{"": true}
		for n := range doc.Descendants() {
			ids[attr(n, "id")] = true
		}
		for n := range doc.Descendants() {
			for _, key := range []string{"href", "src"} {
				to := attr(n, key)
				if to == "" || n.Data == "image" || strings.HasPrefix(to, "data:") || strings.HasPrefix(to, "geo:") { // geo: opens the map on the phone
					continue
				}
				u, err := url.Parse(to)
				if s.Screen == "certificate" && to == "https://127.0.0.1/" {
					continue // this very server, over the safe connection
				}
				if err != nil || u.Host != "" || u.Scheme != "" {
					t.Errorf("%s: %s leads away from here", s.Name(), to)
					continue
				}
				if u.Path == "" && u.RawQuery == "" {
					if !ids[u.Fragment] {
						t.Errorf("%s: nothing on the page is called #%s", s.Name(), u.Fragment)
					}
					continue
				}
				at := hop{s.Season, u.RequestURI()}
				if _, done := asked[at]; !done {
					asked[at] = follow(t, s.Season, at.path)
					if kind := path.Dir(at.path); !statusOK(asked[at]) && asked[at] != s.Code && !told[kind] {
						told[kind] = true // one of a kind is enough to know
						t.Errorf("%s: %s answers %d", s.Name(), to, asked[at])
					}
				}
			}
		}
	}
	if len(asked) < 20 {
		t.Errorf("only %d links were found", len(asked))
	}
}

// follow asks for a path in a season.
func follow(t *testing.T, season, path string) int {
	t.Helper()
	srv, err := book.Server(season)
	if err != nil {
		t.Fatal(err)
	}
	w := httptest.NewRecorder()
	srv.ServeHTTP(w, stories.Story{Path: path}.Request(t.Context()))
	return w.Code
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}
