// Exact holds the planner against an exact solver on seasons small enough for
// one: the whole season is written as one mixed integer programme and given to
// coinor-cbc. It prints each season, and puts the table into the page -to.
//
//	go run ./tools/exact -to tools/exact/RESULT.md
package main

import (
	"flag"
	"fmt"
	"os"
	"time"
)

func main() {
	n := flag.Int("n", 30, "seasons")
	limit := flag.Duration("limit", 2*time.Minute, "the solver's time for each")
	to := flag.String("to", "", "write the table to this file")
	keep := flag.String("lp", "", "write the programme of the season of that number to stdout and stop")
	page := flag.String("page", "", "only put what was measured last into this page of the manual")
	flag.Parse()
	if *page != "" {
		if err := toPage(*page); err != nil {
			fail(err)
		}
		return
	}
	if *keep != "" {
		var k int
		fmt.Sscan(*keep, &k)
		p := sized(k)
		if err := newModel(&p).writeLP(os.Stdout, aim{everybody: true}); err != nil {
			fail(err)
		}
		return
	}
	if _, err := solver(); err != nil {
		fail(err)
	}
	var rows []row
	for k := range *n {
		p := sized(k)
		name := fmt.Sprintf("%d: %d yards, %d days", k, len(p.Yards), p.Days)
		r, err := compare(name, p, *limit)
		if err != nil {
			fail(err)
		}
		rows = append(rows, r)
		fmt.Print(table(rows[k:])[len(table(nil)):])
		for _, f := range r.faults {
			fmt.Println("   FAULT", f)
		}
	}
	var tight []least
	for k := range *n {
		p := sized(k)
		l, ok, err := bounds(fmt.Sprint(k), p, *limit)
		if err != nil {
			fail(err)
		}
		if !ok {
			continue
		}
		tight = append(tight, l)
		fmt.Print(boundsTable(tight[len(tight)-1:])[len(boundsTable(nil)):])
		for _, f := range l.faults {
			fmt.Println("   FAULT", f)
			rows[k].faults = append(rows[k].faults, f)
		}
	}
	mean, worst, open, broken := summary(rows)
	end := fmt.Sprintf("%d seasons: mean gap %.2f %%, worst %.2f %%, %d not closed in %v, %d plans that break a rule or a bound", len(rows), 100*mean, 100*worst, open, *limit, broken)
	fmt.Println(end)
	if *to != "" {
		page, err := os.ReadFile(*to)
		if err != nil {
			fail(err)
		}
		text, err := result(string(page), rows, tight, end)
		if err != nil {
			fail(err)
		}
		if err := os.WriteFile(*to, []byte(text), 0o644); err != nil {
			fail(err)
		}
	}
	if broken > 0 {
		os.Exit(1)
	}
}

// toPage is run from the root of the source.
func toPage(name string) error {
	var text [3]string
	for i, f := range []string{name, "tools/exact/RESULT.md", "tools/routes/RESULT.md"} {
		b, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		text[i] = string(b)
	}
	out, err := paged(text[0], text[1], text[2])
	if err != nil {
		return err
	}
	return os.WriteFile(name, []byte(out), 0o644)
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}
