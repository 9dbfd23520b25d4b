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

// firstLevel are the requirements of level 1 of the OWASP Application Security
// Verification Standard 5.0.0 (2025), by chapter and section: seventy, read off its
// published table (5.0/docs_en of the repository OWASP/ASVS).
var firstLevel = map[string][]string{
	"1.2": {"1", "2", "3", "4", "5"}, "1.3": {"1", "2"}, "1.5": {"1"},
	"2.1": {"1"}, "2.2": {"1", "2"}, "2.3": {"1"},
	"3.2": {"1", "2"}, "3.3": {"1"}, "3.4": {"1", "2"}, "3.5": {"1", "2", "3"},
	"4.1": {"1"}, "4.4": {"1"},
	"5.2": {"1", "2"}, "5.3": {"1", "2"},
	"6.1": {"1"}, "6.2": {"1", "2", "3", "4", "5", "6", "7", "8"}, "6.3": {"1", "2"}, "6.4": {"1", "2"},
	"7.2": {"1", "2", "3", "4"}, "7.4": {"1", "2"},
	"8.1": {"1"}, "8.2": {"1", "2"}, "8.3": {"1"},
	"9.1": {"1", "2", "3"}, "9.2": {"1"},
	"10.4": {"1", "2", "3", "4", "5"},
	"11.3": {"1", "2"}, "11.4": {"1"},
	"12.1": {"1"}, "12.2": {"1", "2"},
	"13.4": {"1"},
	"14.2": {"1"}, "14.3": {"1"},
	"15.1": {"1"}, "15.2": {"1"}, "15.3": {"1"},
}

// Every requirement of the first level has its line in access.md, once; each line
// there names a test that there is, or says that the requirement does not apply or is
// not met; so do the lines beyond it, or they say that they are a deviation.
func TestAccessPageNamesItsTests(t *testing.T) {
	raw, err := manual.Pages.ReadFile("access.md")
	if err != nil {
		t.Fatal(err)
	}
	there := map[string]bool{}
	declared := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	for _, dir := range []string{"../../internal", "../../tools", "../../cmd", "../../manual"} {
		err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
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
	}
	want := map[string]bool{}
	for section, list := range firstLevel {
		for _, n := range list {
			want[section+"."+n] = true
		}
	}
	if len(want) != 70 {
		t.Fatalf("%d requirements", len(want))
	}
	named := regexp.MustCompile("`(Test\\w+)`")
	number := regexp.MustCompile(`^\| (\d+\.\d+(?:\.\d+)?)[,|  ]`)
	seen, beyond := map[string]bool{}, 0
	for line := range strings.Lines(string(raw)) {
		tests := named.FindAllStringSubmatch(line, -1)
		for _, m := range tests {
			if !there[m[1]] {
				t.Errorf("there is no %s: %.80s", m[1], line)
			}
		}
		m := number.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		if n := strings.Count(line, "|"); n != 5 {
			t.Errorf("%s has %d cells", m[1], n-1)
		}
		if seen[m[1]] {
			t.Errorf("%s has two lines", m[1])
		}
		seen[m[1]] = true
		excuse := strings.Contains(line, "**Does not apply**: ") || strings.Contains(line, "**Not met** ")
		if !want[m[1]] {
			beyond++
			excuse = excuse || strings.Contains(line, "**Deviation**: ")
		}
		if len(tests) == 0 && !excuse {
			t.Errorf("no test and no reason: %.80s", line)
		}
	}
	for n := range want {
		if !seen[n] {
			t.Errorf("%s has no line", n)
		}
	}
	if beyond < 15 {
		t.Errorf("%d lines beyond the first level were found", beyond)
	}
}
