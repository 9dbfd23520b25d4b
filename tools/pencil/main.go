// Pencil sets the planner beside what can be done with a pencil: it feeds
// invented seasons by two rules of thumb and by the planner's plan, follows
// every feeder day by day, and writes what it came to into the manual.
//
//	go run ./tools/pencil -to manual/planner.md
package main

import (
	"flag"
	"fmt"
	"os"
	"strings"

	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

func main() {
	n := flag.Int("n", 100, "seasons")
	to := flag.String("to", "", "put the table into this page, between its marks")
	flag.Parse()
	all, err := means(*n)
	text := all.String()
	if err == nil && *to != "" {
		var page []byte
		if page, err = os.ReadFile(*to); err == nil {
			var out string
			if out, err = between(string(page), text); err == nil {
				err = os.WriteFile(*to, []byte(out), 0o644)
			}
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Print(text)
}

const from, until = "<!-- pencil: written by go run ./tools/pencil -to manual/planner.md -->\n", "<!-- end -->"

// between puts text between the marks of a page.
func between(page, text string) (string, error) {
	head, rest, ok := strings.Cut(page, from)
	_, foot, ok2 := strings.Cut(rest, until)
	if !ok || !ok2 {
		return "", fmt.Errorf("the page has no place for the table: %q … %q", strings.TrimSpace(from), until)
	}
	return head + from + text + until + foot, nil
}

const header = "| way | hours | km | loads | sugar, kg | colonies short | litres they lack | colonies fed for nothing | litres not needed or not taken |\n|---|---|---|---|---|---|---|---|---|\n"

// tableOf is what the seasons come to: the planner first, then the rules.
type tableOf struct {
	n                   int
	ways                []outcome                          // means of a season
	least               struct{ hours, km, loads float64 } // what no plan that gives as much is below
	proven, near        int                                // seasons whose hours meet their bound, or lie within a twentieth of it
	hives, yards, needy float64
}

func (t tableOf) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n%d invented seasons of %.0f hives in %.1f yards, of which %.0f need syrup; means of a season:\n\n", t.n, t.hives, t.yards, t.needy)
	b.WriteString(header)
	for i, o := range t.ways {
		name := "the planner"
		if i > 0 {
			name = rules[i-1].name
		}
		fmt.Fprintf(&b, "| %s | %.1f | %.0f | %.1f | %.0f | %.1f | %.1f | %.1f | %.0f |\n", name, o.hours, o.km, o.loads, o.sugar, o.short, o.lack, o.nothing, o.waste)
	}
	h := t.ways[0]
	fmt.Fprintf(&b, "\nNo plan that gives as much can do with less than %.1f hours, %.0f km and %.1f loads, by the bounds beside the plans: the planner's hours lie %.1f %% above that in all. "+
		"In %d of these seasons its hours are proven the least there is, in %d they lie within a twentieth of the bound. Where they do not, either may be at fault.\n\n",
		t.least.hours, t.least.km, t.least.loads, 100*(h.hours/t.least.hours-1), t.proven, t.near)
	return b.String()
}

// means goes through n seasons by every way.
func means(n int) (tableOf, error) {
	t := tableOf{n: n, ways: make([]outcome, 1+len(rules))}
	part := 1 / float64(n)
	for k := range n {
		p := invented(uint64(k))
		pl, err := feeding.Make(p)
		if err != nil {
			return t, fmt.Errorf("season %d: %w", k, err)
		}
		if f := season.Verify(&p, &pl); len(f) > 0 {
			return t, fmt.Errorf("season %d: the plan breaks a rule: %v", k, f[0])
		}
		t.ways[0].add(judge(&p, planned(&p, &pl)), part)
		t.least.hours += float64(pl.Bounds.Time/units.Hour) * part
		t.least.km += pl.Bounds.Dist.Km() * part
		t.least.loads += float64(pl.Bounds.Loads) * part
		if g := pl.Bounds.Gap.Time; g < 1e-4 {
			t.proven++
			t.near++
		} else if g < 0.05 {
			t.near++
		}
		for i, r := range rules {
			t.ways[1+i].add(judge(&p, pencil(&p, r)), part)
		}
		t.hives += float64(len(p.Hives)) * part
		t.yards += float64(len(p.Yards)) * part
		for i := range p.Hives {
			if p.Hives[i].Need > 0 {
				t.needy += part
			}
		}
	}
	return t, nil
}
