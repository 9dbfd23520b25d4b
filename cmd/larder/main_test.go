package main

import (
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"larder/internal/cli"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"larder": func() { os.Exit(cli.Main(os.Args[1:], cli.System())) },
	})
}

// TestStories runs each story of testdata/script: the whole binary as its user
// sees it, in a folder of its own with no book.
func TestStories(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("XDG_DATA_HOME", "")
			e.Setenv("LARDER_BOOK", "")
			e.Setenv("NO_COLOR", "1")
			return nil
		},
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}
