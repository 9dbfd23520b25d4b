package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"larder/manual"
)

// fence is a block of code in a page, with the language it is marked as.
var fence = regexp.MustCompile("(?ms)^```([a-z]*)\n(.*?)^```$")

// languages are what blocks may be marked as: sh is run here, larder commands in
// text are read by the parser of the command line (see TestManualIsUnderstood),
// json is data.
var languages = map[string]bool{"sh": true, "text": true, "json": true}

// TestManualRuns runs every block of shell in the manual with the real program,
// page by page, each in a folder of its own with no book. What a page shows must
// go well. Blocks of a page follow each other: the later ones find what the
// earlier ones left.
func TestManualRuns(t *testing.T) {
	dir := t.TempDir()
	files, err := fs.Glob(manual.Pages, "*.md")
	if err != nil {
		t.Fatal(err)
	}
	commands := 0
	for _, f := range files {
		src, err := manual.Pages.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var script strings.Builder
		for _, b := range fence.FindAllStringSubmatch(string(src), -1) {
			if !languages[b[1]] {
				t.Errorf("%s: a block is marked %q: sh is run, text and json are not", f, b[1])
			}
			if b[1] != "sh" {
				continue
			}
			for line := range strings.Lines(strings.ReplaceAll(b[2], "\\\n", " ")) {
				line = strings.TrimSpace(line)
				if line == "" || strings.HasPrefix(line, "#") {
					continue
				}
				if !strings.HasPrefix(line, "larder ") || strings.ContainsAny(line, `|<>"$&;`) {
					t.Errorf("%s: %q is not one command of ours: mark the block as text", f, line)
					continue
				}
				fmt.Fprintf(&script, "exec %s\n", line)
				commands++
			}
		}
		if script.Len() == 0 {
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, strings.TrimSuffix(f, ".md")+".txtar"), []byte(script.String()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if commands < 25 {
		t.Fatalf("only %d commands were found", commands)
	}
	testscript.Run(t, testscript.Params{Dir: dir, Setup: alone, RequireExplicitExec: true})
}
