package web

import (
	"fmt"
	"html/template"
	"io/fs"
	"sync"

	"github.com/jba/templatecheck"
)

// OnShow lets a test look at every page a server shows.
func OnShow(s *Server, f func(screen string, page any)) { s.shown = f }

// ScreenNames lists the folders of screen/ that have a page.
func ScreenNames() []string {
	files, err := fs.Glob(screenFiles, "screen/*/page.html")
	if err != nil {
		panic(err)
	}
	var out []string
	for _, f := range files {
		out = append(out, f[len("screen/"):len(f)-len("/page.html")])
	}
	return out
}

// unused are templates that nobody has shown: showing one rewrites it.
var unused = sync.OnceValue(parseScreens)

// CheckTemplate type-checks the template of a screen, and all it calls, against
// the page it is given.
func CheckTemplate(screen string, page any) error {
	t := unused().pages[screen]
	if t == nil {
		return fmt.Errorf("no screen %q", screen)
	}
	return templatecheck.CheckHTMLStrict(t.Lookup("page"), page)
}

// Funcs are the functions templates may call.
func Funcs() template.FuncMap { return funcs }
