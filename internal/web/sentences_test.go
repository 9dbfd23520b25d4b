package web

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// told are the packages whose sentences reach a keeper on the screens.
var told = []string{"units", "figure", "hive", "syrup", "supplement", "weather", "rig", "route", "apiary", "stores", "ledger", "winter", "feeding", "verify", "season", "sheet", "access", "sqlite", "postgres", "web"}

// a sentence and where it stands.
type sentence struct {
	text string
	at   token.Position
}

// collector reads the sentences of one package: what ends up as Say or Hint of
// a reason, a warning or a fault, directly or through functions that pass their
// parameter on.
type collector struct {
	fset   *token.FileSet
	files  []*ast.File
	passes map[string]map[int]bool // function → parameters that become sentences
	consts map[string]ast.Expr
	edge   bool // sheet and web: screens and paper, which have the catalogue
	found  []sentence
	blind  []sentence // places whose sentence is not told by the source alone
}

// seeds are the functions that make a sentence of a parameter.
func seeds() map[string]map[int]bool {
	return map[string]map[int]bool{"fault.New": {2: true}, "fault.Newf": {2: true}, "WithHint": {0: true}}
}

func collect(t *testing.T, dir string) *collector {
	t.Helper()
	c := &collector{edge: strings.HasSuffix(dir, "sheet") || strings.HasSuffix(dir, "web"), fset: token.NewFileSet(), passes: seeds(), consts: map[string]ast.Expr{}}
	names, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if strings.HasSuffix(n, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(c.fset, n, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		c.files = append(c.files, f)
	}
	c.eachNode(func(n ast.Node, _ []ast.Node) {
		if s, ok := n.(*ast.ValueSpec); ok {
			for i, name := range s.Names {
				if i < len(s.Values) {
					c.consts[name.Name] = s.Values[i]
				}
			}
		}
	})
	for c.spread() {
	}
	c.eachNode(func(n ast.Node, up []ast.Node) {
		for _, e := range c.slots(n, up) {
			c.take(e, up, 0)
		}
	})
	return c
}

// eachNode visits every node with those above it, outermost first.
func (c *collector) eachNode(f func(n ast.Node, up []ast.Node)) {
	for _, file := range c.files {
		var up []ast.Node
		ast.Inspect(file, func(n ast.Node) bool {
			if n == nil {
				up = up[:len(up)-1]
				return true
			}
			f(n, up)
			up = append(up, n)
			return true
		})
	}
}

// slots gives the expressions at n that become sentences.
func (c *collector) slots(n ast.Node, up []ast.Node) []ast.Expr {
	var out []ast.Expr
	switch x := n.(type) {
	case *ast.KeyValueExpr:
		if k, ok := x.Key.(*ast.Ident); ok && c.speaks(k.Name, up) {
			out = append(out, x.Value)
		}
	case *ast.AssignStmt:
		for i, l := range x.Lhs {
			if c.edge {
				break
			}
			if s, ok := l.(*ast.SelectorExpr); ok && (s.Sel.Name == "Say" || s.Sel.Name == "Hint") && len(x.Rhs) == len(x.Lhs) {
				out = append(out, x.Rhs[i])
			}
		}
	case *ast.CallExpr:
		for i, a := range x.Args {
			if c.passes[callee(x)][i] {
				out = append(out, a)
			}
		}
	}
	return out
}

// speaks tells whether a field of a value is a sentence. At the edge only those
// of faults are: the rest is of the catalogue.
func (c *collector) speaks(field string, up []ast.Node) bool {
	if !c.edge {
		return field == "Say" || field == "Hint" || field == "what"
	}
	lit, ok := up[len(up)-1].(*ast.CompositeLit)
	if !ok || field != "Say" && field != "Hint" {
		return false
	}
	s, ok := lit.Type.(*ast.SelectorExpr)
	return ok && s.Sel.Name == "Error"
}

// callee names what is called: "pkg.Func" for fault's, else the last name.
func callee(x *ast.CallExpr) string {
	switch f := x.Fun.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		if p, ok := f.X.(*ast.Ident); ok && p.Name == "fault" {
			return "fault." + f.Sel.Name
		}
		return f.Sel.Name
	}
	return ""
}

// spread finds functions that pass a parameter on into a slot; true if any is
// new.
func (c *collector) spread() bool {
	more := false
	c.eachNode(func(n ast.Node, up []ast.Node) {
		for _, e := range c.slots(n, up) {
			id, ok := e.(*ast.Ident)
			if !ok {
				continue
			}
			name, i := owner(up, id.Name)
			if name == "" || c.passes[name][i] {
				continue
			}
			if c.passes[name] == nil {
				c.passes[name] = map[int]bool{}
			}
			c.passes[name][i], more = true, true
		}
	})
	return more
}

// owner gives the function that has a parameter of this name, and which it is.
func owner(up []ast.Node, param string) (string, int) {
	for k := len(up) - 1; k >= 0; k-- {
		var typ *ast.FuncType
		name := ""
		switch f := up[k].(type) {
		case *ast.FuncDecl:
			typ, name = f.Type, f.Name.Name
		case *ast.FuncLit:
			typ = f.Type
			if a, ok := up[k-1].(*ast.AssignStmt); ok && len(a.Lhs) == 1 {
				if id, ok := a.Lhs[0].(*ast.Ident); ok {
					name = id.Name
				}
			}
		default:
			continue
		}
		i := 0
		for _, field := range typ.Params.List {
			for _, p := range field.Names {
				if p.Name == param {
					return name, i
				}
				i++
			}
		}
	}
	return "", 0
}

// take adds what an expression can be: a text, or one of several texts of a
// variable.
func (c *collector) take(e ast.Expr, up []ast.Node, depth int) {
	at := c.fset.Position(e.Pos())
	if s, ok := c.text(e); ok {
		if hasLetter(s) {
			c.found = append(c.found, sentence{s, at})
		}
		return
	}
	switch x := e.(type) {
	case *ast.CallExpr:
		if name := callee(x); (name == "Sprintf" || name == "T" || name == "Sprint") && len(x.Args) > 0 {
			if name == "T" {
				return // of the catalogue
			}
			c.take(x.Args[0], up, depth)
			return
		}
	case *ast.ParenExpr:
		c.take(x.X, up, depth)
		return
	case *ast.BinaryExpr:
		if s := c.pattern(x); hasLetter(s) {
			c.found = append(c.found, sentence{s, at})
			return
		}
	case *ast.Ident:
		if name, _ := owner(up, x.Name); name != "" {
			return // its callers are looked at
		}
		if depth < 3 && c.assigned(x.Name, up, depth) {
			return
		}
	}
	c.blind = append(c.blind, sentence{c.source(e), at})
}

// pattern makes a pattern of a sum: what is not told by the source is a verb.
func (c *collector) pattern(e ast.Expr) string {
	if s, ok := c.text(e); ok {
		return s
	}
	if x, ok := e.(*ast.BinaryExpr); ok && x.Op == token.ADD {
		return c.pattern(x.X) + c.pattern(x.Y)
	}
	return "%s"
}

// text folds constant texts and their sums.
func (c *collector) text(e ast.Expr) (string, bool) {
	switch x := e.(type) {
	case *ast.BasicLit:
		if x.Kind == token.STRING {
			return constant.StringVal(constant.MakeFromLiteral(x.Value, token.STRING, 0)), true
		}
	case *ast.BinaryExpr:
		a, ok := c.text(x.X)
		b, ok2 := c.text(x.Y)
		return a + b, ok && ok2 && x.Op == token.ADD
	case *ast.Ident:
		if v, ok := c.consts[x.Name]; ok && v != e {
			return c.text(v)
		}
	case *ast.ParenExpr:
		return c.text(x.X)
	}
	return "", false
}

// assigned takes all texts given to a variable in the function around.
func (c *collector) assigned(name string, up []ast.Node, depth int) bool {
	any := false
	for _, n := range up {
		f, ok := n.(*ast.FuncDecl)
		if !ok {
			continue
		}
		ast.Inspect(f, func(n ast.Node) bool {
			a, ok := n.(*ast.AssignStmt)
			if !ok || len(a.Lhs) != len(a.Rhs) {
				return true
			}
			for i, l := range a.Lhs {
				if id, ok := l.(*ast.Ident); ok && id.Name == name {
					any = true
					c.take(a.Rhs[i], up, depth+1)
				}
			}
			return true
		})
	}
	return any
}

func (c *collector) source(e ast.Expr) string {
	p := c.fset.Position(e.Pos())
	b, err := os.ReadFile(p.Filename)
	if err != nil {
		return "?"
	}
	return string(b[p.Offset:c.fset.Position(e.End()).Offset])
}

func hasLetter(s string) bool {
	return strings.ContainsFunc(verbs.ReplaceAllString(s, ""), func(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' })
}

// TestCoreSentencesAreTranslated wants every sentence that the core can say in
// text/sentences.es.json, with the same places for amounts.
func TestCoreSentencesAreTranslated(t *testing.T) {
	es := readSentences(t)
	all, blind := map[string]token.Position{}, []sentence{}
	for _, p := range told {
		c := collect(t, filepath.Join("..", p))
		for _, s := range c.found {
			if _, ok := all[s.text]; !ok {
				all[s.text] = s.at
			}
		}
		blind = append(blind, c.blind...)
	}
	if out := os.Getenv("SENTENCES_OUT"); out != "" { // for translating: what is wanted, and what cannot be seen
		var b strings.Builder
		for _, k := range slices.Sorted(maps.Keys(all)) {
			fmt.Fprintf(&b, "%s\t%s\n", strconv.Quote(k), all[k])
		}
		for _, s := range blind {
			fmt.Fprintf(&b, "BLIND\t%s\t%s\n", strconv.Quote(s.text), s.at)
		}
		if err := os.WriteFile(out, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(all)) {
		v, ok := es[k]
		switch {
		case !ok:
			t.Errorf("%s: not translated: %q", all[k], k)
		case !slices.Equal(places(k), places(v)):
			t.Errorf("%q has places %v, its translation %v", k, places(k), places(v))
		}
	}
}

// made are sentences the core puts together out of words: no place in the source
// has them whole.
var made = regexp.MustCompile(`^%d (day|winter|spring|year|value)s?$|^no syrup until somebody says: |^is the queen there\? nobody has said$`)

// TestNoSentenceIsTranslatedInVain finds translations of what nobody says any
// more: a sentence that changed leaves its old one behind.
func TestNoSentenceIsTranslatedInVain(t *testing.T) {
	said := map[string]bool{}
	for _, p := range told {
		c := collect(t, filepath.Join("..", p))
		for _, s := range c.found {
			said[s.text] = true
		}
		c.eachNode(func(n ast.Node, _ []ast.Node) { // words that are put into a sentence
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
				s, _ := c.text(l)
				said[s] = true
			}
		})
	}
	es := readSentences(t)
	for _, k := range slices.Sorted(maps.Keys(es)) {
		if !said[k] && !made.MatchString(k) {
			t.Errorf("nobody says %q", k)
		}
		if strings.TrimSpace(es[k]) == "" {
			t.Errorf("%q is translated by nothing", k)
		}
	}
}

// TestSentencesArePutTogether holds the translation of patterns to account.
func TestSentencesArePutTogether(t *testing.T) {
	s := newSentences(map[string]string{
		"%s is not %s": "%s no es %s", "a weight": "un peso", "%s is not a number": "%s no es un número", "from %s, %d to %d": "de %[2]d a %[3]d, según %[1]s",
		"%d winters": "%d inviernos", "it is {0} of %.0f %%": "es {0} de %.0f %%", "it is late": "es tarde", "give %s": "dé %s",
	})
	for say, want := range map[string]string{
		"it is late":                      "es tarde",
		"m4: it is late":                  "m4: es tarde",
		`"lots" is not a weight`:          `"lots" no es un peso`,
		`"a: b" is not a number`:          `"a: b" no es un número`,
		"from 12 winters, 2001 to 2012":   "de 2001 a 2012, según 12 inviernos",
		"it is {0} of 30 %":               "es {0} de 30 %",
		"give it is late":                 "dé es tarde",
		"nobody has put this into words":  "nobody has put this into words",
		"m4: nobody: has put it in words": "m4: nobody: has put it in words",
		"":                                "",
	} {
		if got := s.translate(say); got != want {
			t.Errorf("%q became %q, want %q", say, got, want)
		}
	}
}

func readSentences(t *testing.T) map[string]string {
	t.Helper()
	b, err := textFiles.ReadFile("text/sentences.es.json")
	if err != nil {
		t.Fatal(err)
	}
	es := map[string]string{}
	if err := json.Unmarshal(b, &es); err != nil {
		t.Fatal(err)
	}
	return es
}

// places lists what a wording has room for: amounts, and verbs in their order.
func places(s string) []string {
	var out []string
	out = append(out, amountPlace.FindAllString(s, -1)...)
	_, order := cutVerbs(s)
	for _, k := range order {
		out = append(out, fmt.Sprintf("%%%d", k+1))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

var amountPlace = regexp.MustCompile(`\{\d+\}`)
