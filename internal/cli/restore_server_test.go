//go:build unix

package cli

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"larder/internal/postgres/pgtest"
)

// A book on a server goes into a file and comes back as the same book on another
// database; one with facts is not written over.
func TestServerBookThereAndBack(t *testing.T) {
	server, err := pgtest.Start()
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := server.Remove(); err != nil {
			t.Error(err)
		}
	}()
	address := func() string {
		u, err := server.Fresh()
		if err != nil {
			t.Fatal(err)
		}
		return u
	}
	var out, bad bytes.Buffer
	larder := func(want int, args ...string) string {
		t.Helper()
		out.Reset()
		bad.Reset()
		w := World{Out: &out, Err: &bad, In: strings.NewReader(""), Now: time.Now, Env: func(string) string { return "" }}
		if code := Main(args, w); code != want {
			t.Fatalf("%v: exit %d: %s", args, code, bad.String())
		}
		return out.String()
	}
	dir := t.TempDir()
	season, here, there := filepath.Join(dir, "season"), address(), address()
	larder(0, "demo", "--folder", season)
	larder(0, "--book", here, "import", season)
	report := larder(0, "--book", here, "check", "--json")

	r := &run{common: common{Book: here}, World: World{Now: time.Now, Env: func(string) string { return "" }}, ctx: context.Background()}
	b, err := r.openBook()
	if err != nil {
		t.Fatal(err)
	}
	s := &shelf{dir: filepath.Join(dir, "away"), book: opened(b), now: time.Now}
	file, err := s.Make(r.ctx)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}

	larder(0, "--book", there, "restore", file)
	if again := larder(0, "--book", there, "check", "--json"); again != report {
		t.Errorf("%s\nwas\n%s", again, report)
	}
	larder(1, "--book", there, "restore", file)
	if !strings.Contains(bad.String(), "facts already") {
		t.Error(bad.String())
	}
}
