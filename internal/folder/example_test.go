package folder

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// What the manual gives as an example for each column can be typed as it is.
func TestExamplesCanBeTyped(t *testing.T) {
	season := "format = 1\nsince = 2026-01-01\n[house]\nunits = \"us\"\n"
	for _, x := range tables {
		if x == otherTable {
			continue // nobody types these
		}
		t.Run(x.name, func(t *testing.T) {
			var head, cells []string
			for _, f := range x.fields {
				if f.example == "" || f.name == planContent {
					continue
				}
				head = append(head, f.written())
				cells = append(cells, f.example)
			}
			csv, err := writeCSV([][]string{head, cells}, ',')
			if err != nil {
				t.Fatal(err)
			}
			facts, rep, err := ReadReport(fstest.MapFS{"season.toml": {Data: []byte(season)}, x.file(): {Data: csv}, "plans/P3.json": {Data: []byte("{}")}})
			if err != nil || len(rep.Warnings) > 0 || len(facts) < 2 {
				t.Errorf("%s%v %v %d facts", csv, err, rep.Warnings, len(facts))
			}
		})
	}
}

// Every other name of a column means that column and no second one, whatever
// the case and the signs between its words.
func TestHeads(t *testing.T) {
	for _, x := range tables {
		for i := range x.fields {
			f := &x.fields[i]
			for _, n := range append([]string{f.name, f.written()}, f.also...) {
				for _, h := range []string{n, strings.ToUpper(n), strings.ReplaceAll(n, " ", "_"), " " + strings.ReplaceAll(n, "_", "-") + " "} {
					b, err := x.find(h, proofLocale)
					if err != nil || b.f == nil || b.f.name != f.name {
						got := "none"
						if b.f != nil {
							got = b.f.name
						}
						t.Errorf("%s: %q means %s, not %s (%v)", x.name, h, got, f.name, err)
					}
				}
			}
		}
	}
}

func TestUnitsInHeads(t *testing.T) {
	for _, c := range []struct {
		table      *table
		head       string
		name, unit string
		mixed      string
	}{
		{readingsTable, "gross_lb", "gross", "lb", ""},
		{readingsTable, "gross (lb)", "gross", "lb", ""},
		{readingsTable, "Gross [kg]", "gross", "kg", ""},
		{readingsTable, "Gross weight, pounds", "gross", "lb", ""},
		{readingsTable, "gross in kg", "gross", "kg", ""},
		{readingsTable, "weight lb/kg", "gross", "", "lb kg"},
		{readingsTable, "weight (lb or kg)", "gross", "", "lb kg"},
		{readingsTable, "lift 1 lb", "lift1", "lb", ""},
		{readingsTable, "lift_kg", "lift1", "kg", ""},
		{readingsTable, "in_feeder_us_gal", "in_feeder", "US gal", ""},
		{readingsTable, "In feeder (L)", "in_feeder", "L", ""},
		{readingsTable, "note (what else)", "note", "", ""},
		{weatherTable, "tmax_f", "tmax", "F", ""},
		{weatherTable, "T_min (°C)", "tmin", "C", ""},
		{weatherTable, "rain in", "rain", "in", ""},
		{weatherTable, "rain_mm", "rain", "mm", ""},
		{weatherTable, "High °F", "tmax", "F", ""},
		{roadsTable, "km", "dist", "km", ""},
		{roadsTable, "Miles", "dist", "mi", ""},
		{roadsTable, "time_h", "time", "h", ""},
		{roadsTable, "minutes", "time", "min", ""},
		{batchesTable, "brix", "strength", "%", ""},
		{purchasesTable, "price (EUR)", "price", "EUR", ""},
		{purchasesTable, "cost usd", "price", "USD", ""},
		{looksTable, "queen (y/n)", "queen", "", ""},
	} {
		b, err := c.table.find(c.head, proofLocale)
		if err != nil || b.f == nil || b.f.name != c.name || b.unit != c.unit || strings.Join(b.mixed, " ") != c.mixed {
			t.Errorf("%q: %+v %v", c.head, b, err)
		}
	}
}

// An old folder, with the files and columns of its day, reads for ever.
func TestOldFolder(t *testing.T) {
	facts, rep, err := ReadDir("testdata/format1")
	golden(t, "testdata/format1.expected.txt", told(facts, rep, err))
	if err != nil {
		t.Error(err)
	}
}

// The ids of rows without ids never change: a folder read by another version
// makes the same facts.
func TestDerivedIDsStay(t *testing.T) {
	facts, _, err := ReadDir("testdata/format1")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for i := range facts {
		fmt.Fprintf(&b, "%s %s %s\n", facts[i].ID, facts[i].Kind(), facts[i].Seen)
	}
	golden(t, "testdata/format1.ids.txt", b.String())
}

// A row that is there twice is two facts; read twice it is the same two.
func TestEqualRows(t *testing.T) {
	rows := "seen,colony,gross,id\n2026-09-05,14,96 lb,\n2026-09-05,14,96 lb,\n"
	read := func(s string) []string {
		facts, err := Read(fstest.MapFS{"readings.csv": {Data: []byte(s)}})
		if err != nil {
			t.Fatal(err)
		}
		var ids []string
		for _, f := range facts {
			ids = append(ids, f.ID.String())
		}
		return ids
	}
	two := read(rows)
	if len(two) != 2 || two[0] == two[1] || !slices.Equal(two, read(rows)) {
		t.Fatalf("%v", two)
	}
	// With the id of one written down, the other keeps its own.
	if got := read(strings.Replace(rows, "lb,\n", "lb,"+two[1]+"\n", 1)); !slices.Equal(got, two) {
		t.Errorf("%v, want %v", got, two)
	}
	// The same fact written down twice is one.
	once := fmt.Sprintf("seen,colony,gross,id\n2026-09-05,14,96 lb,%s\n2026-09-05,14,96 lb,%s\n", two[0], two[0])
	if got := read(once); len(got) != 1 {
		t.Errorf("%v", got)
	}
	_, err := Read(fstest.MapFS{"readings.csv": {Data: []byte(strings.Replace(once, "96 lb", "97 lb", 1))}})
	if err == nil || !strings.Contains(err.Error(), "readings.csv row 3: readings.csv row 2 has the same id and says something else") {
		t.Errorf("%v", err)
	}
}

// No file may make us tell of thousands of troubles.
func TestTroublesAreCounted(t *testing.T) {
	var b bytes.Buffer
	b.WriteString("seen,colony,gross\n")
	for range 1000 {
		b.WriteString("never,14,heavy\n")
	}
	_, err := Read(fstest.MapFS{"readings.csv": {Data: b.Bytes()}})
	list := strings.Split(err.Error(), "\n")
	if len(list) != maxTold+1 || list[maxTold] != "readings.csv: and 1800 more of this kind" {
		t.Errorf("%d: %s", len(list), list[len(list)-1])
	}
}

func TestLimits(t *testing.T) {
	for name, data := range map[string][]byte{
		"a cell too long":  []byte("seen,colony,gross,note\n2026-09-05,14,1 lb," + strings.Repeat("x", maxCell+1) + "\n"),
		"a quoted one too": []byte("seen,colony,gross,note\n2026-09-05,14,1 lb,\"" + strings.Repeat("x", maxCell+1) + "\"\n"),
		"too many columns": []byte("seen,colony,gross" + strings.Repeat(",x", maxCols) + "\n"),
		"too many rows":    []byte("seen,colony,gross\n" + strings.Repeat("\n", maxRows+1)),
		"too large":        bytes.Repeat([]byte("x"), maxFile+1),
	} {
		if _, err := Read(fstest.MapFS{"readings.csv": {Data: data}}); err == nil {
			t.Errorf("%s was read", name)
		} else if s := err.Error(); len(s) > 4000 {
			t.Errorf("%s: %d letters of trouble", name, len(s))
		}
	}
}
