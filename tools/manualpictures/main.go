// Manualpictures draws the pictures of the manual with the program's own
// functions, and writes the tables beneath them into its pages. The test of this
// package fails when a picture or a table is no longer what the functions say.
//
//	go run ./tools/manualpictures
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

func main() {
	files, err := all("manual")
	if err != nil {
		fmt.Fprintln(os.Stderr, "manualpictures:", err)
		os.Exit(1)
	}
	for name, text := range files {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			fmt.Fprintln(os.Stderr, "manualpictures:", err)
			os.Exit(1)
		}
	}
}

// all gives the files as they should be, by path, in the folder of the manual.
func all(dir string) (map[string]string, error) {
	out := map[string]string{}
	for page, drawings := range map[string]map[string]func() (*drawing, error){
		"models.md":  {"stores": stores, "stop": stop, "winter": winterModel, "planner": planner, "pump": pump},
		"planner.md": {"growth": growth},
	} {
		page = filepath.Join(dir, page)
		b, err := os.ReadFile(page)
		if err != nil {
			return nil, err
		}
		text := string(b)
		for name, draw := range drawings {
			d, err := draw()
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			out[filepath.Join(dir, "pictures", name+".svg")] = d.svg(name)
			begin, end := "<!-- table "+name+": written by go run ./tools/manualpictures -->\n", "<!-- end "+name+" -->"
			head, rest, ok := strings.Cut(text, begin)
			_, tail, ok2 := strings.Cut(rest, end)
			if !ok || !ok2 {
				return nil, fmt.Errorf("%s has no place for the table %s", page, name)
			}
			text = head + begin + d.markdown() + end + tail
		}
		out[page] = text
	}
	return out, nil
}
