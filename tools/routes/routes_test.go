package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const square = `NAME : square
TYPE : CVRP
DIMENSION : 5
EDGE_WEIGHT_TYPE : EUC_2D
CAPACITY : 2
NODE_COORD_SECTION
1 0 0
2 0 3
3 4 3
4 4 0
5 -1 0
DEMAND_SECTION
1 0
2 1
3 1
4 1
5 1
DEPOT_SECTION
1
-1
EOF
`

func TestCheck(t *testing.T) {
	in, err := parse(square)
	if err != nil {
		t.Fatal(err)
	}
	// 3 + 4 + 5 home, and 4 + 5 + 1 home.
	if cost, err := in.check([][]int{{1, 2}, {3, 4}}); err != nil || cost != 22 {
		t.Errorf("%v %v, want 22", cost, err)
	}
	for what, trips := range map[string][][]int{
		"left out":  {{1, 2}, {3}},
		"twice":     {{1, 2}, {3, 4}, {1}},
		"too full":  {{1, 2, 3}, {4}},
		"elsewhere": {{1, 2}, {3, 5}},
	} {
		if _, err := in.check(trips); err == nil {
			t.Errorf("%s: nothing said", what)
		}
	}
	in.limit, in.service, in.real = 16, 2, true
	if _, err := in.check([][]int{{1, 2}, {3, 4}}); err != nil {
		t.Error(err)
	}
	in.limit = 15.9
	if _, err := in.check([][]int{{1, 2}, {3, 4}}); err == nil {
		t.Error("12 of way and two stays of 2 went as 15.9")
	}
}

// TestReport runs the whole of it on an instance made here, under a published
// name.
func TestReport(t *testing.T) {
	data := t.TempDir()
	if err := os.Mkdir(filepath.Join(data, "routes"), 0o755); err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(data, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out, errs bytes.Buffer
	if code := run([]string{"-only", "E-n13"}, data, &out, &errs); code != 1 || !strings.Contains(errs.String(), "E-n13-k4.vrp") {
		t.Errorf("nothing there: exit %d, %s", code, &errs)
	}
	write("routes/E-n13-k4.vrp", square)
	write("routes/E-n13-k4.sol", "Route #1: 1 4\nRoute #2: 2 3\nCost 21\n")
	errs.Reset()
	if code := run([]string{"-only", "E-n13"}, data, &out, &errs); code != 1 || !strings.Contains(errs.String(), "published as 21") {
		t.Errorf("a wrong published cost: exit %d, %s", code, &errs)
	}
	// 3 + 3 (the root of 10, rounded) + 1, and 5 + 3 + 4.
	write("routes/E-n13-k4.sol", "Route #1: 1 4\nRoute #2: 2 3\nCost 19\n")
	write("RESULT.md", "before\n"+begin+"\nold\n"+end+"\nafter\n")
	out.Reset()
	if code := run([]string{"-only", "E-n13", "-to", filepath.Join(data, "RESULT.md")}, data, &out, &errs); code != 0 {
		t.Fatalf("exit %d, %s", code, &errs)
	}
	b, err := os.ReadFile(filepath.Join(data, "RESULT.md"))
	if err != nil {
		t.Fatal(err)
	}
	if s := string(b); !strings.Contains(s, "| E-n13-k4 | 5 | 19 | 19 | 0.00 |") || !strings.HasPrefix(s, "before\n") || !strings.HasSuffix(s, "\nafter\n") || strings.Contains(s, "old") {
		t.Errorf("%s", s)
	}
}

func TestNoData(t *testing.T) {
	var out, errs bytes.Buffer
	if code := run(nil, "", &out, &errs); code != 1 || !strings.Contains(errs.String(), "DATA is not set") {
		t.Errorf("exit %d, %s", code, &errs)
	}
}
