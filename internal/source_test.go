package internal

import (
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// source is a file of the program itself: no test, no tool.
type source struct {
	name string // from here, with slashes
	file *ast.File
	set  *token.FileSet
}

func sources(t *testing.T) []source {
	t.Helper()
	var out []source
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		name := filepath.ToSlash(path)
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || strings.Contains(name, "testdata/") || strings.HasPrefix(name, "postgres/pgtest/") {
			return err
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, path, nil, 0)
		out = append(out, source{name, f, set})
		return err
	})
	if err != nil || len(out) < 300 {
		t.Fatalf("%d files, %v", len(out), err)
	}
	return out
}

func (s source) text(n ast.Node) string {
	var b strings.Builder
	_ = printer.Fprint(&b, s.set, n) // into memory
	return b.String()
}

// calls gives f every call by a name or a method of it.
func (s source) calls(f func(name string, c *ast.CallExpr)) {
	ast.Inspect(s.file, func(n ast.Node) bool {
		if c, ok := n.(*ast.CallExpr); ok {
			switch x := c.Fun.(type) {
			case *ast.Ident:
				f(x.Name, c)
			case *ast.SelectorExpr:
				f(x.Sel.Name, c)
			}
		}
		return true
	})
}

// askedOf are the functions that take a query, and which of their arguments it is.
var askedOf = map[string]int{"ExecContext": 1, "QueryContext": 1, "QueryRowContext": 1, "PrepareContext": 1, "Exec": 0, "Query": 0, "QueryRow": 0, "Prepare": 0, "ask": 2, "do": 0, "eachRecord": 2}

// ownParts are what queries are put together of that is no constant, each with why
// nothing that anybody typed or sent can be in it.
var ownParts = map[string]string{
	"sqlite/append.go: r.ID[:]":              "a value: the statement is prepared of a constant",
	"sqlite/append.go: query":                "pen.do: its callers are judged as ask and do",
	"sqlite/engine.go: query":                "ask: its callers are judged",
	"sqlite/engine.go: p.name":               "a pragma of the list above it",
	"sqlite/examine.go: check":               "the name of a check: its callers write it out",
	"postgres/book.go: s.ask":                "of a list of constants above it",
	"postgres/schema.go: b.versions":         "the name of the table of forms: a constant but for the list of keepers",
	"postgres/read.go: where":                "eachRecord: its callers are judged",
	"postgres/keepers.go: where":             "one of two constants of its callers",
	"postgres/keepers.go: x.Place":           "made by newPlace of our own letters",
	"postgres/side.go: strconv.Itoa(turnID)": "a number of ours",
}

// Every query to a database is a text of ours: values stand apart from it, as $1.
// What is put together from parts is put together from constants, or from what
// ownParts names with the reason.
func TestQueriesAreOurs(t *testing.T) {
	const upper = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	all, seen := 0, map[string]bool{}
	for _, s := range sources(t) {
		if !strings.HasPrefix(s.name, "sqlite/") && !strings.HasPrefix(s.name, "postgres/") {
			if slices.ContainsFunc(s.file.Imports, func(i *ast.ImportSpec) bool {
				return strings.Contains(i.Path.Value, "database/sql") || strings.Contains(i.Path.Value, "jackc/pgx")
			}) {
				t.Errorf("%s speaks to a database: this test does not look there", s.name)
			}
			continue
		}
		constants := constantsOf(t, filepath.Dir(s.name))
		s.calls(func(name string, c *ast.CallExpr) {
			at, ok := askedOf[name]
			if !ok || len(c.Args) <= at {
				return
			}
			if sel, is := c.Fun.(*ast.SelectorExpr); is && (name == "Exec" || name == "Query") && strings.Contains(s.text(sel.X), "url") {
				return // the query of an address
			}
			all++
			var judge func(e ast.Expr)
			judge = func(e ast.Expr) {
				switch x := e.(type) {
				case *ast.BasicLit:
					return
				case *ast.BinaryExpr:
					judge(x.X)
					judge(x.Y)
					return
				case *ast.ParenExpr:
					judge(x.X)
					return
				case *ast.Ident:
					if constants[x.Name] {
						return
					}
				}
				key := s.name + ": " + s.text(e)
				seen[key] = true
				if ownParts[key] == "" {
					t.Errorf("%s: a query holds %s, which is no constant: say in ownParts why nothing typed can be in it", s.set.Position(e.Pos()), s.text(e))
				}
			}
			judge(c.Args[at])
		})
		s.calls(func(name string, c *ast.CallExpr) {
			if len(c.Args) > 0 && (strings.HasSuffix(name, "printf") || name == "Sprint") {
				if l, ok := c.Args[0].(*ast.BasicLit); ok && regexp.MustCompile(`(?i)^.(select|insert|update|delete|create|alter|drop|pragma|vacuum) `).MatchString(l.Value) && strings.ContainsAny(l.Value[1:2], upper) {
					t.Errorf("%s: a query is printed", s.set.Position(c.Pos()))
				}
			}
		})
	}
	for key := range ownParts {
		if !seen[key] {
			t.Errorf("ownParts has %q, which is not there any more", key)
		}
	}
	if all < 30 {
		t.Errorf("only %d queries were seen", all)
	}
}

// constantsOf gives the names of the constants of a package.
func constantsOf(t *testing.T, dir string) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		file, err := parser.ParseFile(token.NewFileSet(), f, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if g, ok := n.(*ast.GenDecl); ok && g.Tok == token.CONST {
				for _, spec := range g.Specs {
					for _, id := range spec.(*ast.ValueSpec).Names {
						out[id.Name] = true
					}
				}
			}
			return true
		})
	}
	return out
}

// Programs of the system are run in two places, by their names and with their
// arguments apart: no shell reads what was typed.
func TestProgramsThatAreRun(t *testing.T) {
	want := map[string]string{"cli/serve.go": "exec.Command(name, args...)", "cli/service.go": "exec.CommandContext(r.ctx, c[0], c[1:]...)"}
	for _, s := range sources(t) {
		runs := importsOf(s.file)["os/exec"] || importsOf(s.file)["syscall"] && strings.Contains(s.text(s.file), "syscall.Exec")
		if runs != (want[s.name] != "") {
			t.Errorf("%s runs programs: %v", s.name, runs)
		}
		if !runs {
			continue
		}
		n := 0
		s.calls(func(name string, c *ast.CallExpr) {
			if sel, ok := c.Fun.(*ast.SelectorExpr); ok && s.text(sel.X) == "exec" {
				if n++; s.text(c) != want[s.name] {
					t.Errorf("%s: %s", s.name, s.text(c))
				}
			}
		})
		if n != 1 {
			t.Errorf("%s runs %d", s.name, n)
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
				switch v, _ := strconv.Unquote(l.Value); v {
				case "sh", "bash", "/bin/sh", "cmd", "cmd.exe", "powershell", "-c", "/c", "/C":
					t.Errorf("%s: a shell is named: %s", s.set.Position(l.Pos()), l.Value)
				}
			}
			return true
		})
	}
}

func importsOf(f *ast.File) map[string]bool {
	out := map[string]bool{}
	for _, i := range f.Imports {
		p, _ := strconv.Unquote(i.Path.Value)
		out[p] = true
	}
	return out
}

// What is hashed, signed and drawn by lot in our own code is so by today's means:
// SHA-256, Argon2id, ECDSA, the system's own randomness, and TLS. No cipher is put
// together here. Chance in the planner and the models is seeded and opens nothing.
func TestCryptographyIsTodays(t *testing.T) {
	allowed := []string{"crypto/sha256", "crypto/subtle", "crypto/rand", "crypto", "crypto/tls", "crypto/x509", "crypto/x509/pkix", "crypto/ecdsa", "crypto/elliptic",
		"golang.org/x/crypto/argon2", "golang.org/x/crypto/acme", "golang.org/x/crypto/acme/autocert"}
	seen := map[string]bool{}
	for _, s := range sources(t) {
		for path := range importsOf(s.file) {
			if strings.HasPrefix(path, "crypto") || strings.HasPrefix(path, "golang.org/x/crypto") || strings.HasPrefix(path, "hash/") && path != "hash/maphash" {
				seen[path] = true
				if !slices.Contains(allowed, path) && path != "hash/crc32" && path != "hash/fnv" {
					t.Errorf("%s imports %s", s.name, path)
				}
			}
			if strings.HasPrefix(path, "math/rand") && (strings.HasPrefix(s.name, "access/") || strings.HasPrefix(s.name, "web/") || strings.HasPrefix(s.name, "cli/")) {
				t.Errorf("%s draws by %s: who guesses the seed knows the secret", s.name, path)
			}
		}
	}
	for _, p := range allowed[:3] {
		if !seen[p] {
			t.Errorf("%s is nowhere: is this test blind?", p)
		}
	}
}

// ownMarkup are the places that call a text markup, each with where it comes from.
var ownMarkup = map[string]string{
	"sheet/svg.go: template.HTML(w.b.String())":                         "drawn from numbers; titles and labels are escaped",
	"sheet/html.go: template.HTML(b.String())":                          "what a template wrote",
	"web/page.go: template.URL(geoLink(lat, lon))":                      "of two numbers",
	"web/round_file.go: template.CSS(s.screens.assets[\"larder.css\"])": "an asset of ours",
	"web/round_file.go: template.JS(s.screens.looseScript())":           "an asset of ours",
}

// Nothing that was typed is called markup, an address, a style or a script: the
// templates escape it where it stands.
func TestMarkupIsOurs(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range sources(t) {
		if importsOf(s.file)["text/template"] {
			t.Errorf("%s uses templates that do not escape", s.name)
		}
		s.calls(func(name string, c *ast.CallExpr) {
			fun := s.text(c.Fun)
			if slices.Contains([]string{"template.HTML", "template.HTMLAttr", "template.JS", "template.JSStr", "template.URL", "template.CSS", "template.Srcset"}, fun) {
				key := s.name + ": " + s.text(c)
				seen[key] = true
				if ownMarkup[key] == "" {
					t.Errorf("%s: %s: say in ownMarkup where it comes from", s.set.Position(c.Pos()), s.text(c))
				}
			}
		})
	}
	for key := range ownMarkup {
		if !seen[key] {
			t.Errorf("ownMarkup has %q, which is not there any more", key)
		}
	}
}

// Scripts write text as text and run none; pages hold no script of their own.
func TestScriptsWriteText(t *testing.T) {
	runs := regexp.MustCompile(`innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\s*\(|new Function|createContextualFragment|DOMParser|srcdoc|setHTML|set(Timeout|Interval)\s*\(\s*["'` + "`" + `]|import\s*\(|postMessage|javascript:`)
	inline := regexp.MustCompile(`(?i)<script(>| [^>]*>[^<])|\son[a-z]+\s*=\s*["{]|\sstyle\s*=|javascript:|<(object|embed|iframe|base)\b`)
	scripts, pages := 0, 0
	err := filepath.WalkDir("web", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.Contains(filepath.ToSlash(path), "/testdata/") {
			return err
		}
		bad := runs
		switch filepath.Ext(path) {
		case ".js":
			scripts++
		case ".html":
			pages++
			bad = inline
		default:
			return nil
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for n, line := range strings.Split(string(b), "\n") {
			if m := bad.FindString(line); m != "" && !ownScript[filepath.ToSlash(path)+": "+strings.TrimSpace(m)] {
				t.Errorf("%s:%d: %q in %s", path, n+1, m, strings.TrimSpace(line))
			}
		}
		return nil
	})
	if err != nil || scripts < 10 || pages < 40 {
		t.Errorf("%d scripts and %d pages were seen, %v", scripts, pages, err)
	}
	for _, bad := range []string{`x.innerHTML = y`, `setTimeout("x", 1)`, `eval (x)`} {
		if !runs.MatchString(bad) {
			t.Errorf("%s is not seen", bad)
		}
	}
	for _, bad := range []string{`<script>x</script>`, `<b onclick="x">`, `<p style="x">`, `<a href="javascript:x">`} {
		if !inline.MatchString(bad) {
			t.Errorf("%s is not seen", bad)
		}
	}
}

// ownScript are the places where a page holds a script: the round as a file to
// carry, which has nowhere to fetch it from. The script is an asset of ours.
var ownScript = map[string]bool{`web/screen/trip/page.html: <script type="module">{`: true}
