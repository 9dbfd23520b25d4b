package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
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
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"expand": expand, "await": await, "pause": pause},

		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}

// alone sets a command up in a folder of its own with no book; $DATA is where the
// system has such data, from there.
func alone(e *testscript.Env) error {
	e.Setenv("HOME", e.WorkDir)
	e.Setenv("XDG_DATA_HOME", "")
	data := ".local/share/larder"
	switch runtime.GOOS {
	case "windows":
		e.Setenv("AppData", filepath.Join(e.WorkDir, "AppData", "Roaming"))
		data = "AppData/Roaming/Larder"
	case "darwin":
		data = "Library/Application Support/Larder"
	}
	e.Setenv("DATA", data)
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

// pause lets something in the background come up: "pause 2s".
func pause(ts *testscript.TestScript, _ bool, args []string) {
	d, err := time.ParseDuration(args[0])
	ts.Check(err)
	time.Sleep(d)
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
