package folder

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"larder/internal/fault"
	"larder/internal/season"
)

var update = flag.Bool("update", false, "write the expected files and the manual anew")

// golden compares with a file that somebody has read and found right.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs (go test -update writes it anew; then read it):\n--- is\n%s\n--- should be\n%s", name, got, want)
	}
}

// told writes facts, warnings and troubles, one to a line.
func told(facts []season.Fact, rep Report, err error) string {
	var b strings.Builder
	for i := range facts {
		body, _ := season.EncodeBody(&facts[i])
		fmt.Fprintf(&b, "%s %s %s\n", facts[i].Kind(), facts[i].Seen, body)
	}
	for _, c := range rep.Tables {
		if c.NotSeen > 0 {
			fmt.Fprintf(&b, "%s: %d not seen\n", c.File, c.NotSeen)
		}
	}
	for _, w := range rep.Warnings {
		fmt.Fprintf(&b, "warning: %s", w)
		if w.Hint != "" {
			fmt.Fprintf(&b, " [%s]", w.Hint)
		}
		b.WriteByte('\n')
	}
	if err != nil {
		for _, e := range err.(fault.List) {
			fmt.Fprintf(&b, "%s", e)
			if h := fault.HintOf(e); h != "" {
				fmt.Fprintf(&b, " [%s]", h)
			}
			b.WriteByte('\n')
		}
	}
	return b.String()
}

// What spreadsheets, and people, really write. Each folder of testdata/nasty is
// one way to be nasty; its expected.txt says what is to come of it.
func TestNastyTables(t *testing.T) {
	dirs, err := filepath.Glob("testdata/nasty/*")
	if err != nil || len(dirs) < 15 {
		t.Fatalf("%d folders: %v", len(dirs), err)
	}
	for _, dir := range dirs {
		t.Run(filepath.Base(dir), func(t *testing.T) {
			facts, rep, err := ReadDir(dir)
			if err != nil {
				t.Errorf("%v", err)
			}
			out := told(facts, rep, err)
			out = strings.ReplaceAll(out, "warning: expected.txt: this is none of our files and was passed over [the manual lists the files of a season folder]\n", "")
			golden(t, filepath.Join(dir, "expected.txt"), out)
		})
	}
}

// Everything that is wrong with a folder is told at once, with its place, what
// was found and what would be right.
func TestBadFolder(t *testing.T) {
	for _, dir := range []string{"testdata/bad", "testdata/bad-season"} {
		facts, rep, err := ReadDir(dir)
		if err == nil || facts != nil {
			t.Fatalf("it was read: %d facts", len(facts))
		}
		golden(t, dir+".expected.txt", told(nil, rep, err))
	}
}

// Names that only one table knows are told, and keep nothing out.
func TestStrangers(t *testing.T) {
	facts, rep, err := ReadReport(fstest.MapFS{
		"colonies.csv": {Data: []byte("seen,colony,yard\n2026-01-01,14,ridge\n2026-01-01,15,rigde\n")},
		"yards.csv":    {Data: []byte("seen,yard\n2026-01-01,ridge\n")},
		"readings.csv": {Data: []byte("seen,colony,gross\n2026-09-05,14,96 lb\n2026-09-05,41,96 lb\n2026-09-06,41,95 lb\n")},
		"weather.csv":  {Data: []byte("station,date,tmax_c\na,2026-09-05,20\na,2026-09-05,21\na,2026-09-06,20\n")},
	})
	if err != nil || len(facts) != 9 {
		t.Fatal(len(facts), err)
	}
	want := []string{`readings.csv row 3: colony "41" is not in colonies.csv`, `colonies.csv row 3: yard "rigde" is not in yards.csv`, "weather.csv row 3: a has 2026-09-05 twice, with different weather"}
	var got []string
	for _, w := range rep.Warnings {
		got = append(got, w.String())
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}
