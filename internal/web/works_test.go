package web

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Every module the program is built from is on the list, under the licence that
// lies beside its source.
func TestWorksAreAllThatIsBuiltIn(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}} {{.Dir}}{{end}}", "larder/cmd/larder").Output()
	if err != nil {
		t.Fatal(err)
	}
	words := map[string]string{"MIT": "Permission is hereby granted, free of charge", "BSD-3-Clause": "Neither the name", "Apache-2.0": "Apache License"}
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		path, dir, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok || path == "larder" || seen[path] {
			continue
		}
		seen[path] = true
		var is work
		for _, w := range works() {
			if strings.HasPrefix(path+"/", w.Module+"/") {
				is = w
				break
			}
		}
		if is.What == "" {
			t.Errorf("%s is built in and not on the list", path)
			continue
		}
		files, _ := filepath.Glob(filepath.Join(dir, "[LCl][IOi][CPc]*")) // LICENSE, LICENCE, COPYING, License
		if len(files) == 0 {
			t.Errorf("%s has no licence text", path)
			continue
		}
		b, err := os.ReadFile(files[0])
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(strings.Join(strings.Fields(string(b)), " "), words[is.Licence]) {
			t.Errorf("%s does not read like %s", path, is.Licence)
		}
	}
	if len(seen) < 15 {
		t.Errorf("only %d modules were looked at", len(seen))
	}
}
