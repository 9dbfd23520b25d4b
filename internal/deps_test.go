package internal

import (
	"encoding/json"
	"os/exec"
	"strings"
	"testing"
)

// policy is the import lattice. It is policy, not a description: a build that
// does not fit it is wrong, and this text is not loosened to make one pass.
//
// A line "a: b c" lets a import b and c and whatever b and c may import.
// Packages not named here may not exist. Braces of the design are lines that do
// not name each other.
const policy = `
fault:
units: fault
figure: units

hive: figure
syrup: figure
supplement: figure
weather: figure
rig: figure
route: figure

apiary: hive
stores: apiary
ledger: apiary syrup supplement
winter: stores weather
feeding: winter stores weather syrup supplement rig route
verify: figure
season: feeding ledger verify
season/booktest: season
manual:
postgres/pgtest: season
access: fault
access/homecert: fault

weather/demodata:
weather/remote: weather season
folder: season
sqlite: season
postgres: season
sheet: season
web: season sheet access manual
cli: web season season/booktest folder sqlite postgres sheet access access/homecert weather/remote weather/demodata manual cli/example
cli/example: season weather/demodata
`

// denied are what the core may not import: it has no I/O, no clock, no unseeded
// randomness. Tables through embed are allowed. time is allowed for calendar
// arithmetic; TestNoClock looks for time.Now.
var denied = []string{"os", "net", "database/sql", "html/template", "log/slog", "log", "math/rand", "crypto/rand", "syscall", "unsafe", "io/fs", "testing"}

var core = []string{"fault", "units", "figure", "hive", "syrup", "supplement", "weather", "rig", "route", "apiary", "stores", "ledger", "winter", "feeding", "verify", "season"}

type pkg struct {
	ImportPath string
	Dir        string
	GoFiles    []string
	Imports    []string
}

func load(t *testing.T) []pkg {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Dir,GoFiles,Imports", "larder/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []pkg
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var p pkg
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return all
}

func allowed(t *testing.T) map[string]map[string]bool {
	t.Helper()
	direct := map[string][]string{}
	for line := range strings.SplitSeq(strings.TrimSpace(policy), "\n") {
		if line == "" {
			continue
		}
		name, rest, ok := strings.Cut(line, ":")
		if !ok {
			t.Fatalf("policy line %q", line)
		}
		direct[name] = strings.Fields(rest)
	}
	full := map[string]map[string]bool{}
	var close func(name string) map[string]bool
	close = func(name string) map[string]bool {
		if m, ok := full[name]; ok {
			return m
		}
		m := map[string]bool{}
		full[name] = m
		for _, d := range direct[name] {
			if _, ok := direct[d]; !ok {
				t.Fatalf("policy: %s names %s, which has no line", name, d)
			}
			m[d] = true
			for x := range close(d) {
				m[x] = true
			}
		}
		return m
	}
	for name := range direct {
		close(name)
	}
	return full
}

func TestLattice(t *testing.T) {
	may := allowed(t)
	seen := 0
	for _, p := range load(t) {
		name, ok := strings.CutPrefix(p.ImportPath, "larder/internal/")
		if !ok {
			continue
		}
		seen++
		// web/screen/…, web/offline and the like belong to web; same elsewhere.
		owner := name
		if may[owner] == nil {
			owner, _, _ = strings.Cut(name, "/")
		}
		if may[owner] == nil {
			t.Errorf("%s is not in the lattice", name)
			continue
		}
		for _, imp := range p.Imports {
			dep, ours := strings.CutPrefix(imp, "larder/internal/")
			if !ours {
				if imp == "larder/manual" && !may[owner]["manual"] {
					t.Errorf("%s may not import the manual", name)
				}
				continue
			}
			top, _, _ := strings.Cut(dep, "/")
			if !may[owner][dep] && top != owner && dep != owner {
				t.Errorf("%s may not import %s", name, dep)
			}
		}
	}
	if seen < 5 {
		t.Fatalf("only %d packages seen", seen)
	}
}

func TestCoreIsPure(t *testing.T) {
	isCore := map[string]bool{}
	for _, c := range core {
		isCore["larder/internal/"+c] = true
	}
	for _, p := range load(t) {
		if !isCore[p.ImportPath] {
			continue
		}
		for _, imp := range p.Imports {
			for _, d := range denied {
				if imp == d || strings.HasPrefix(imp, d+"/") && d != "math/rand" {
					t.Errorf("%s imports %s", p.ImportPath, imp)
				}
			}
		}
		checkNoClock(t, p)
	}
}
