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

// Each line of the table of access.md names a test that there is, or says that it
// is a deviation; so does what stands around the table.
func TestAccessPageNamesItsTests(t *testing.T) {
	raw, err := manual.Pages.ReadFile("access.md")
	if err != nil {
		t.Fatal(err)
	}
	there := map[string]bool{}
	declared := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	err = filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		src, err := os.ReadFile(path)
		for _, m := range declared.FindAllStringSubmatch(string(src), -1) {
			there[m[1]] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile("`(Test\\w+)`")
	rows := 0
	for line := range strings.Lines(string(raw)) {
		tests := named.FindAllStringSubmatch(line, -1)
		for _, m := range tests {
			if !there[m[1]] {
				t.Errorf("there is no %s: %.80s", m[1], line)
			}
		}
		if regexp.MustCompile(`^\| \d+\.\d+`).MatchString(line) {
			if rows++; len(tests) == 0 && !strings.Contains(line, "**Deviation**") {
				t.Errorf("no test and no reason: %.80s", line)
			}
		}
	}
	if rows < 30 {
		t.Errorf("%d lines of the table were found", rows)
	}
}
