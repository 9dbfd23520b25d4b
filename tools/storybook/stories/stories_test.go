package stories

import (
	"go/ast"
	"go/parser"
	"go/token"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"
)

// unpaged are the GET routes that answer with something else than a page.
var unpaged = map[string]bool{
	"GET /working/{id}":         true, // told to the script of the page of progress
	"GET /assets/{name}":        true,
	"GET /hive/{id}":            true, // leads on to the hive's page
	"GET /yard/{id}":            true,
	"GET /phone/round":          true, // data for the phone
	"GET /sw.js":                true,
	"GET /manifest.webmanifest": true,
	"GET /house/export/{form}":  true,
	"GET /shed/inspector.csv":   true,
	"GET /certificate/root.crt": true,
	"GET /manual/openapi.json":  true,
	"GET /manual/{$}":           true, // leads to the list of pages
}

// getRoutes reads the GET patterns out of the list of routes.
func getRoutes(t *testing.T) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "../../../internal/web/routes.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	ast.Inspect(f, func(n ast.Node) bool {
		if c, ok := n.(*ast.CallExpr); ok && len(c.Args) == 2 {
			if l, ok := c.Args[0].(*ast.BasicLit); ok && l.Kind == token.STRING {
				if s, err := strconv.Unquote(l.Value); err == nil && strings.HasPrefix(s, "GET ") {
					out = append(out, s)
				}
			}
		}
		return true
	})
	if len(out) < 4 {
		t.Fatalf("only %d routes were found: is routes.go written otherwise now?", len(out))
	}
	return out
}

// TestEveryPageHasAStory fails on a page that nobody tells a story of, and on a
// story of a page that is no more.
func TestEveryPageHasAStory(t *testing.T) {
	m, told := http.NewServeMux(), map[string]bool{}
	for _, r := range getRoutes(t) {
		m.HandleFunc(r, func(http.ResponseWriter, *http.Request) {})
	}
	for _, s := range New().Stories {
		if s.Form != nil {
			continue
		}
		_, pattern := m.Handler(s.Request(t.Context()))
		if pattern == "" {
			t.Errorf("story %s: no route for %s", s.Name(), s.Path)
		}
		told[pattern] = true
	}
	for _, r := range getRoutes(t) {
		if !told[r] && !unpaged[r] {
			t.Errorf("%q has no story: add it to pages.go, with what can go wrong on it", r)
		}
	}
}

// TestStoriesAnswer wants every story to be there, of the screen it says, with
// the status it says, once.
func TestStoriesAnswer(t *testing.T) {
	b, seen := New(), map[string]bool{}
	for _, s := range b.Stories {
		if seen[s.Name()] {
			t.Errorf("story %s is told twice", s.Name())
		}
		seen[s.Name()] = true
		if strings.Contains(s.Path, "#") { // no browser sends that: it would end up in a value
			t.Errorf("story %s asks for a place within a page: %s", s.Name(), s.Path)
		}
		from := time.Now()
		w, err := b.Answer(s)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%-24s %d %7d bytes %5d ms", s.Name(), w.Code, w.Body.Len(), time.Since(from).Milliseconds())
		if w.Code != s.Status() {
			t.Errorf("story %s answers %d, want %d", s.Name(), w.Code, s.Status())
		}
		if !strings.Contains(w.Body.String(), `class="screen-`+s.Screen+`"`) {
			t.Errorf("story %s is not of the screen %q", s.Name(), s.Screen)
		}
	}
}
