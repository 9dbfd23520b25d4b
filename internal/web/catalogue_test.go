package web

import (
	"bytes"
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"text/template/parse"
)

// messages is a catalogue as written: a text, or texts by plural.
type messages map[string]map[string]string

// plurals of both languages, as CLDR has them; "other" must be there.
var plurals = []string{"one", "other"}

func readMessages(t *testing.T, lang string) messages {
	t.Helper()
	b, err := textFiles.ReadFile("text/" + lang + ".json")
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(bytes.NewReader(b))
	if _, err := d.Token(); err != nil {
		t.Fatal(err)
	}
	out := messages{}
	for d.More() {
		k, err := d.Token()
		if err != nil {
			t.Fatal(err)
		}
		key := k.(string)
		if out[key] != nil {
			t.Errorf("%s.json: %s is there twice", lang, key)
		}
		var v any
		if err := d.Decode(&v); err != nil {
			t.Fatal(err)
		}
		out[key] = map[string]string{}
		switch x := v.(type) {
		case string:
			out[key][""] = x
		case map[string]any:
			for p, s := range x {
				out[key][p], _ = s.(string)
			}
		default:
			t.Errorf("%s.json: %s is neither a text nor plurals", lang, key)
		}
	}
	return out
}

// TestCataloguesAgree wants the same keys in both languages, with the same
// places and plurals, and no word that screens do not use.
func TestCataloguesAgree(t *testing.T) {
	en, es := readMessages(t, "en"), readMessages(t, "es")
	for _, k := range slices.Sorted(maps.Keys(en)) {
		if es[k] == nil {
			t.Errorf("es.json lacks %s: %v", k, en[k])
			continue
		}
		if a, b := slices.Sorted(maps.Keys(en[k])), slices.Sorted(maps.Keys(es[k])); !slices.Equal(a, b) {
			t.Errorf("%s has the forms %v in English, %v in Spanish", k, a, b)
			continue
		}
		if en[k][""] == "" {
			if got := slices.Sorted(maps.Keys(en[k])); !slices.Equal(got, plurals) {
				t.Errorf("%s has the plurals %v, want %v", k, got, plurals)
			}
			if !strings.Contains(en[k]["other"], "{{.N}}") && en[k]["one"] == en[k]["other"] {
				t.Errorf("%s: plurals that are the same", k)
			}
		}
		want := fieldsOf(en[k])
		if got := fieldsOf(es[k]); !slices.Equal(want, got) {
			t.Errorf("%s has the places %v in English, %v in Spanish", k, want, got)
		}
		for _, m := range []map[string]string{en[k], es[k]} {
			for form, s := range m {
				if strings.TrimSpace(s) == "" || s != strings.TrimSpace(s) {
					t.Errorf("%s: blank or with blanks at its ends: %q %s", k, s, form)
				}
			}
		}
	}
	for _, k := range slices.Sorted(maps.Keys(es)) {
		if en[k] == nil {
			t.Errorf("en.json lacks %s", k)
		}
	}
}

// Places stand in actions: mostly alone, now and then in a condition.
var (
	messageAction = regexp.MustCompile(`\{\{.*?\}\}`)
	place         = regexp.MustCompile(`\.([A-Z]\w*)`)
)

// fieldsOf lists the places of all forms together: "one" may go without the
// number.
func fieldsOf(m map[string]string) []string {
	var out []string
	for _, s := range m {
		for _, a := range messageAction.FindAllString(s, -1) {
			for _, f := range place.FindAllStringSubmatch(a, -1) {
				out = append(out, f[1])
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// uses is what templates, scripts and code ask of the catalogue.
type uses struct {
	keys     map[string]string // asked for by name, and where
	prefixes map[string]string // beginnings of keys that a template puts something behind
	begins   map[string]bool   // those of code: of keys, of names of fields
	words    map[string]bool   // every text constant: part of a key, perhaps
}

// asks are the functions and methods whose arguments are keys: which ones.
var asks = map[string][]int{
	"T": {0}, "Field": {1, 3}, "Area": {1, 3}, "Choose": {1, 3}, "Caution": {0}, "base": {2},
}

func (u *uses) arg(text, at string, whole bool) {
	if whole {
		u.keys[text] = at
	} else {
		u.prefixes[text] = at
	}
}

func findUses(t *testing.T) *uses {
	t.Helper()
	u := &uses{map[string]string{}, map[string]string{}, map[string]bool{}, map[string]bool{}}
	files, err := fs.Glob(screenFiles, "screen/*/*.html")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		b, err := screenFiles.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		u.template(t, f, string(b))
	}
	for _, dir := range []string{".", "../sheet", "../season", "../feeding"} {
		names, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range names {
			if !strings.HasSuffix(n, "_test.go") {
				u.code(t, n)
			}
		}
	}
	for _, glob := range []string{"screen/*/*.js", "offline/*.js"} {
		names, _ := filepath.Glob(glob)
		for _, n := range names {
			b, err := os.ReadFile(n)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range regexp.MustCompile("[\"'`]([\\w.-]+)[\"'`]").FindAllStringSubmatch(string(b), -1) {
				u.words[m[1]] = true
			}
		}
	}
	return u
}

// template reads one template: calls of .T and of the makers of fields, with a
// text or with (print "begin." x).
func (u *uses) template(t *testing.T, name, text string) {
	t.Helper()
	trees := map[string]*parse.Tree{}
	tree := parse.New(name)
	tree.Mode = parse.SkipFuncCheck
	if _, err := tree.Parse(text, "{{", "}}", trees); err != nil {
		t.Fatal(err)
	}
	for _, tr := range trees {
		walk(tr.Root, func(n parse.Node) {
			if s, ok := n.(*parse.StringNode); ok {
				u.words[s.Text] = true
			}
			c, ok := n.(*parse.CommandNode)
			if !ok || len(c.Args) < 2 {
				return
			}
			method := c.Args[0].String()
			method = method[strings.LastIndexByte(method, '.')+1:]
			for _, i := range asks[method] {
				if i+1 >= len(c.Args) {
					continue
				}
				switch x := c.Args[i+1].(type) {
				case *parse.StringNode:
					if x.Text != "" {
						u.arg(x.Text, name, true)
					}
				case *parse.PipeNode:
					if p := x.Cmds[0].Args; len(p) > 1 && p[0].String() == "print" {
						if s, ok := p[1].(*parse.StringNode); ok {
							u.arg(s.Text, name, false)
						}
					}
				}
			}
		})
	}
}

// walk visits every node of a template.
func walk(n parse.Node, f func(parse.Node)) {
	if n == nil {
		return
	}
	f(n)
	pipe := func(p *parse.PipeNode) {
		if p != nil {
			walk(p, f)
		}
	}
	list := func(l *parse.ListNode) {
		if l != nil {
			walk(l, f)
		}
	}
	branch := func(b *parse.BranchNode) { pipe(b.Pipe); list(b.List); list(b.ElseList) }
	switch x := n.(type) {
	case *parse.ListNode:
		for _, c := range x.Nodes {
			walk(c, f)
		}
	case *parse.ActionNode:
		pipe(x.Pipe)
	case *parse.TemplateNode:
		pipe(x.Pipe)
	case *parse.IfNode:
		branch(&x.BranchNode)
	case *parse.RangeNode:
		branch(&x.BranchNode)
	case *parse.WithNode:
		branch(&x.BranchNode)
	case *parse.PipeNode:
		for _, c := range x.Cmds {
			walk(c, f)
		}
	case *parse.CommandNode:
		for _, a := range x.Args {
			walk(a, f)
		}
	case *parse.ChainNode:
		walk(x.Node, f)
	}
}

// code reads one Go file: calls with a text or a text put before something, and
// all text constants.
func (u *uses) code(t *testing.T, name string) {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	lit := func(e ast.Expr) (string, bool) {
		if l, ok := e.(*ast.BasicLit); ok && l.Kind == token.STRING {
			s, err := strconv.Unquote(l.Value)
			return s, err == nil
		}
		return "", false
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch x := n.(type) {
		case *ast.BasicLit:
			if s, ok := lit(x); ok {
				u.words[s] = true
			}
		case *ast.BinaryExpr:
			if s, ok := lit(x.X); ok && x.Op == token.ADD && keyLike.MatchString(s) && strings.HasSuffix(s, ".") {
				u.begins[s] = true
			}
		case *ast.CallExpr:
			for _, i := range asks[callee(x)] {
				if i < len(x.Args) {
					if s, ok := lit(x.Args[i]); ok && keyLike.MatchString(s) {
						u.arg(s, name, true)
					}
				}
			}
		}
		return true
	})
}

var keyLike = regexp.MustCompile(`^[a-z][a-z0-9_-]*(\.[A-Za-z0-9_–-]*)*$`)

// TestEveryKeyIsThereAndUsed wants every key that is asked for in the catalogue,
// and nothing in the catalogue that nobody asks for.
func TestEveryKeyIsThereAndUsed(t *testing.T) {
	en, u := readMessages(t, "en"), findUses(t)
	for _, k := range slices.Sorted(maps.Keys(u.keys)) {
		if en[k] == nil {
			t.Errorf("%s asks for %q, which is not in the catalogue", u.keys[k], k)
		}
	}
	for _, p := range slices.Sorted(maps.Keys(u.prefixes)) {
		if !slices.ContainsFunc(slices.Collect(maps.Keys(en)), func(k string) bool { return strings.HasPrefix(k, p) }) && strings.Contains(p, ".") {
			t.Errorf("%s asks for something behind %q, and nothing begins so", u.prefixes[p], p)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(en)) {
		if !u.asked(k) {
			t.Errorf("nobody asks for %q", k)
		}
	}
	if len(u.keys) < 100 {
		t.Errorf("only %d keys are asked for: are they asked for otherwise now?", len(u.keys))
	}
}

// asked tells whether a key is asked for: by its name, or by a beginning and the
// rest. What an act says ("done.") has to stand in the code word for word.
func (u *uses) asked(key string) bool {
	if _, ok := u.keys[key]; ok || u.words[key] {
		return true
	}
	for i := len(key) - 1; i > 0; i-- {
		if key[i] != '.' && key[i] != '-' {
			continue
		}
		head, rest := key[:i+1], key[i+1:]
		if _, ok := u.prefixes[head]; !ok && !u.begins[head] && !u.words[head] {
			continue
		}
		if head != "done." || u.words[rest] {
			return true
		}
	}
	return false
}

// TestNoWordsInTemplates finds words that stand in a template itself, where no
// catalogue reaches them.
func TestNoWordsInTemplates(t *testing.T) {
	files, err := fs.Glob(screenFiles, "screen/*/*.html")
	if err != nil {
		t.Fatal(err)
	}
	// Names that are the same in every language.
	own := regexp.MustCompile(`\b(Larder|US|UK|English|Español|lb|kg|larder demo|PDF|CSV|XLSX|QR)\b`)
	action := regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	tag := regexp.MustCompile(`(?s)<[^>]*>`)
	spoken := regexp.MustCompile(`(aria-label|title|alt|placeholder|data-label|data-word)="([^"]*)"`)
	letters := regexp.MustCompile(`\p{L}{2,}`)
	for _, f := range files {
		b, err := screenFiles.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		text := action.ReplaceAllString(string(b), "")
		for _, m := range spoken.FindAllStringSubmatch(text, -1) {
			if w := letters.FindString(own.ReplaceAllString(m[2], "")); w != "" {
				t.Errorf("%s: %q is said in %s", f, w, m[1])
			}
		}
		if w := letters.FindAllString(own.ReplaceAllString(tag.ReplaceAllString(text, " "), ""), 5); len(w) > 0 {
			t.Errorf("%s: words of its own: %q", f, w)
		}
	}
}
