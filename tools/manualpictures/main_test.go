package main

import (
	"os"
	"path/filepath"
	"testing"
)

// TestPicturesAreUpToDate wants the pictures and tables of the manual to be what
// the program's functions say now.
func TestPicturesAreUpToDate(t *testing.T) {
	dir := filepath.Join("..", "..", "manual")
	files, err := all(dir)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range files {
		got, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != want {
			t.Errorf("%s is not what the program says: go run ./tools/manualpictures", filepath.Base(name))
		}
	}
	kept, err := filepath.Glob(filepath.Join(dir, "pictures", "*.svg"))
	if err != nil || len(kept) != len(files)-2 {
		t.Errorf("%d pictures are kept, %d are drawn (%v)", len(kept), len(files)-2, err)
	}
}
