package internal

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"testing"
)

// checkNoClock looks for the clock and other ways of asking the world in core
// code: what has no as-of argument cannot be recomputed.
func checkNoClock(t *testing.T, p pkg) {
	t.Helper()
	forbidden := map[string]map[string]bool{
		"time": {"Now": true, "Since": true, "Until": true, "After": true, "Sleep": true, "Tick": true, "NewTimer": true, "NewTicker": true, "LoadLocation": true, "Local": true},
		"rand": {"Int": true, "IntN": true, "Float64": true, "Perm": true, "Shuffle": true, "N": true, "NormFloat64": true},
	}
	for _, name := range p.GoFiles {
		f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			s, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if x, ok := s.X.(*ast.Ident); ok && x.Obj == nil && forbidden[x.Name][s.Sel.Name] {
				t.Errorf("%s/%s uses %s.%s", p.ImportPath, name, x.Name, s.Sel.Name)
			}
			return true
		})
	}
}
