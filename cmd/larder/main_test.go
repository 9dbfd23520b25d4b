package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

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
	service := httptest.NewServer(http.HandlerFunc(forecast))
	t.Cleanup(service.Close)
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("SERVICE", service.URL)
			return alone(e)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"expand": expand, "await": await},

		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}

// alone sets a command up in a folder of its own with no book.
func alone(e *testscript.Env) error {
	e.Setenv("HOME", e.WorkDir)
	e.Setenv("XDG_DATA_HOME", "")
	e.Setenv("LARDER_BOOK", "")
	e.Setenv("NO_COLOR", "1")
	return nil
}

// expand puts the address of the service into a file: "expand FILE".
func expand(ts *testscript.TestScript, _ bool, args []string) {
	for _, name := range args {
		s := strings.ReplaceAll(ts.ReadFile(name), "$SERVICE", ts.Getenv("SERVICE"))
		ts.Check(os.WriteFile(ts.MkAbs(name), []byte(s), 0o600))
	}
}

// await waits until there is a file that fits the pattern, and names it in $FOUND:
// "await PATTERN". What works in the background takes its time.
func await(ts *testscript.TestScript, _ bool, args []string) {
	for range 600 {
		if found, err := filepath.Glob(ts.MkAbs(args[0])); err == nil && len(found) > 0 {
			ts.Setenv("FOUND", found[0])
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	ts.Fatalf("there is no %s", args[0])
}

// forecast stands in for a weather service: the days it is asked for, or trouble.
func forecast(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	if r.URL.Path != "/daily" {
		http.Error(w, "gone", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	fmt.Fprintf(w, `{"latitude":%s,"longitude":%s,"elevation":100,"daily_units":{"temperature_2m_max":"°C"},"daily":{"time":[%q,%q],"temperature_2m_max":[12,13]}}`,
		q.Get("lat"), q.Get("lon"), q.Get("from"), q.Get("to"))
}
