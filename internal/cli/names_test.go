package cli

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"larder/internal/fault"
)

// The lists are those of Microsoft Learn, "Naming Files, Paths, and Namespaces".
func TestOddOnWindows(t *testing.T) {
	for _, path := range []string{
		`CON`, `con.larder`, `C:\bees\NUL`, `nul.tar.gz`, `PRN.xlsx`, `aux`, `Com1.larder`, `LPT9`, `COM¹`, `C:\con\season.larder`, `\\?\C:\bees\nul`,
		`ab:c.larder`, `C:\bees\a:b`, `what?.larder`, `x*`, `a|b`, `a<b`, `a>b`, `a"b`, "a\x01b",
		`season.`, `season `, `C:\bees.\season.larder`, `C:/bees /season.larder`, `NUL .larder`,
	} {
		if _, why := oddOnWindows(path); why == "" {
			t.Errorf("%q is taken", path)
		}
	}
	for _, path := range []string{
		`season.larder`, `C:\bees\season.larder`, `C:season.larder`, `C:/Bienen Süd [2026]/mein buch.larder`, `\\?\C:\bees\season.larder`,
		`\\server\bees\season.larder`, `..\season.larder`, `.\x`, `.larder`, `control.larder`, `COM10`, `console`, `nulls.larder`, `ñandú 🐝`,
	} {
		if part, why := oddOnWindows(path); why != "" {
			t.Errorf("%q: %q is refused: %s", path, part, why)
		}
	}
}

func TestFileNamed(t *testing.T) {
	for _, path := range []string{"bees" + string(os.PathSeparator), ".", "..", filepath.Join("bees", "x") + "/.", "/"} {
		if err := fileNamed("--book", path); !fault.Is(err, fault.Usage) || fault.HintOf(err) == "" {
			t.Errorf("%q: %v", path, err)
		}
	}
	for _, path := range []string{"season.larder", "bees/season.larder", ".larder", "..larder", ""} {
		if err := fileNamed("--book", path); err != nil {
			t.Errorf("%q: %v", path, err)
		}
	}
	if err := fileNamed("--book", "con.larder"); (err != nil) != (runtime.GOOS == "windows") {
		t.Errorf("con.larder on %s: %v", runtime.GOOS, err)
	}
}
