package cli

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"larder/manual"
)

// proofRows are the figures of proof.md, by their letters.
var proofRows = map[string]int{"L": 6, "F": 17, "B": 6, "U": 10}

// Each figure of proof.md has its line, once; each line names what shows it, or says
// that it was not done; what is named is there: tests, benchmarks, fuzz targets,
// lines of the Makefile, programs, and what the environment is asked for.
func TestProofNamesWhatThereIs(t *testing.T) {
	raw, err := manual.Pages.ReadFile("proof.md")
	if err != nil {
		t.Fatal(err)
	}
	there, sources := map[string]bool{}, strings.Builder{}
	declared := regexp.MustCompile(`(?m)^func ((?:Test|Benchmark|Fuzz)\w+)\(`)
	for _, dir := range []string{"../../internal", "../../tools", "../../cmd", "../../manual"} {
		err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
				return err
			}
			src, err := os.ReadFile(path)
			if filepath.Base(path) != "proof_test.go" {
				sources.Write(src)
			}
			for _, m := range declared.FindAllStringSubmatch(string(src), -1) {
				there[m[1]] = true
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	makefile, err := os.ReadFile("../../Makefile")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile("`([^`]+)`")
	test := regexp.MustCompile(`^(Test|Benchmark|Fuzz)[A-Z]\w*$`)
	row := regexp.MustCompile(`^\| ([LFBU])(\d+) \|`)
	seen := map[string]bool{}
	for line := range strings.Lines(string(raw)) {
		shows := 0
		for _, m := range named.FindAllStringSubmatch(line, -1) {
			what := m[1]
			name, value, _ := strings.Cut(what, "=")
			switch {
			case test.MatchString(what):
				if shows++; !there[what] {
					t.Errorf("there is no %s: %.60s", what, line)
				}
			case strings.HasPrefix(what, "make "):
				if !regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(what[5:]) + `:`).Match(makefile) {
					t.Errorf("there is no %s", what)
				}
			case strings.HasPrefix(what, "go run ./"):
				dir, _, _ := strings.Cut(strings.TrimPrefix(what, "go run ./"), " ")
				if _, err := os.Stat(filepath.Join("../..", dir, "main.go")); err != nil {
					t.Errorf("%s: %v", what, err)
				}
			case strings.HasPrefix(what, "tools/"):
				if _, err := os.Stat(filepath.Join("../..", what)); err != nil {
					t.Errorf("%s: %v", what, err)
				}
			case regexp.MustCompile(`^[A-Z_]+$`).MatchString(name) && value != "":
				if !strings.Contains(sources.String(), `"`+name+`"`) && !strings.Contains(string(makefile), "{"+name+":") {
					t.Errorf("nothing asks for %s", name)
				}
			default:
				t.Errorf("%q is not known to this test", what)
			}
		}
		m := row.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		if seen[m[1]+m[2]] {
			t.Errorf("%s%s has two lines", m[1], m[2])
		}
		seen[m[1]+m[2]] = true
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 4 || strings.TrimSpace(cells[3]) == "" {
			t.Errorf("%s%s does not say what was measured: %d cells", m[1], m[2], len(cells))
		}
		if shows == 0 && !strings.Contains(line, "**Not done**") {
			t.Errorf("%s%s: no test and no reason", m[1], m[2])
		}
		if strings.Contains(line, "@") {
			t.Errorf("%s%s is not filled in", m[1], m[2])
		}
	}
	want := 0
	for _, n := range proofRows {
		want += n
	}
	if len(seen) != want {
		t.Errorf("%d figures, want %d: %v", len(seen), want, seen)
	}
}
