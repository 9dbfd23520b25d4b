package folder

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"

	"larder/internal/fault"
	"larder/internal/season"
)

func someFacts(t *testing.T) []season.Fact {
	t.Helper()
	facts, _, err := ReadDir("testdata/full")
	if err != nil {
		t.Fatal(err)
	}
	return facts
}

func names(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, _ := filepath.Rel(dir, p)
			out = append(out, filepath.ToSlash(rel))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestWriteDir(t *testing.T) {
	facts := someFacts(t)
	top := t.TempDir()
	dir := filepath.Join(top, "season")
	if err := WriteDir(dir, facts); err != nil {
		t.Fatal(err)
	}
	back, _, err := ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	equalFacts(t, facts, back)

	// Over our own folder: what is there no more is gone, nothing is left beside.
	if err := WriteDir(dir, facts[:3]); err != nil {
		t.Fatal(err)
	}
	back, _, err = ReadDir(dir)
	if err != nil || len(back) != 3 {
		t.Fatalf("%d facts: %v", len(back), err)
	}
	if e, _ := os.ReadDir(top); len(e) != 1 {
		t.Errorf("something is left beside the folder: %v", e)
	}
	if err := WriteDir(dir, nil); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); !slices.Equal(got, []string{"season.toml"}) {
		t.Errorf("an empty season is %v", got)
	}
}

func TestWriteDirLeavesOthersAlone(t *testing.T) {
	facts := someFacts(t)
	for name, make := range map[string]func(dir string) error{
		"a file of the keeper's": func(dir string) error {
			return errors.Join(WriteDir(dir, facts), os.WriteFile(filepath.Join(dir, "notes.txt"), nil, 0o600))
		},
		"a folder made by hand": func(dir string) error {
			return errors.Join(os.Mkdir(dir, 0o755), os.WriteFile(filepath.Join(dir, "season.toml"), []byte("format = 1\n"), 0o600))
		},
		"tables without a season.toml": func(dir string) error {
			return errors.Join(os.Mkdir(dir, 0o755), os.WriteFile(filepath.Join(dir, "readings.csv"), []byte("seen,colony,gross\n"), 0o600))
		},
		"weather files": func(dir string) error {
			return errors.Join(WriteDir(dir, facts), os.Mkdir(filepath.Join(dir, "weather"), 0o755))
		},
		"something among the plans": func(dir string) error {
			return errors.Join(WriteDir(dir, facts), os.WriteFile(filepath.Join(dir, "plans", "mine.txt"), nil, 0o600))
		},
		"a file": func(dir string) error { return os.WriteFile(dir, []byte("x"), 0o600) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "season")
			if err := make(dir); err != nil {
				t.Fatal(err)
			}
			before := names(t, dir)
			if err := WriteDir(dir, facts); !fault.Is(err, fault.Conflict) || fault.HintOf(err) == "" {
				t.Errorf("it was written over: %v", err)
			}
			if after := names(t, dir); !slices.Equal(before, after) {
				t.Errorf("something changed: %v, was %v", after, before)
			}
		})
	}
}

// symlink makes a link. Windows may forbid that, and Wine 10 says that it made one
// and makes none: there the test is skipped.
func symlink(t *testing.T, real, link string) {
	t.Helper()
	err := os.Symlink(real, link)
	if err == nil {
		_, err = os.Lstat(link)
	}
	switch {
	case err != nil && runtime.GOOS == "windows":
		t.Skipf("no links can be made here: %v", err)
	case err != nil:
		t.Fatal(err)
	}
}

func TestWriteDirThroughALink(t *testing.T) {
	top := t.TempDir()
	real, link := filepath.Join(top, "real"), filepath.Join(top, "link")
	if err := os.Mkdir(real, 0o755); err != nil {
		t.Fatal(err)
	}
	symlink(t, real, link)
	if err := WriteDir(link, someFacts(t)); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v", err)
	}
	if len(names(t, real)) < 10 {
		t.Error("the folder behind the link is not filled")
	}
}

func TestWriteDirWithoutAParent(t *testing.T) {
	err := WriteDir(filepath.Join(t.TempDir(), "no", "such"), someFacts(t))
	if !fault.Is(err, fault.NotFound) {
		t.Errorf("%v", err)
	}
}

func TestReadDirRefuses(t *testing.T) {
	if _, _, err := ReadDir(filepath.Join(t.TempDir(), "none")); !fault.Is(err, fault.NotFound) {
		t.Errorf("no folder: %v", err)
	}
	if _, _, err := ReadDir(t.TempDir()); !fault.Is(err, fault.NotFound) {
		t.Errorf("an empty folder: %v", err)
	}
	// A link that leads out of the folder is not followed.
	dir, out := t.TempDir(), filepath.Join(t.TempDir(), "secret.csv")
	if err := os.WriteFile(out, []byte("seen,colony,gross\n2026-09-05,14,1 lb\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	symlink(t, out, filepath.Join(dir, "readings.csv"))
	if facts, _, err := ReadDir(dir); err == nil {
		t.Errorf("the link was followed: %d facts", len(facts))
	}
}
