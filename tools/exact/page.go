package main

import (
	"fmt"
	"strings"
)

const (
	pageFrom  = "<!-- measured: written by go run ./tools/exact -page manual/planner.md -->\n"
	pageUntil = "<!-- end of measured -->"
)

// paged puts what was measured last, here and on routing problems, into a page
// of the manual, between its marks.
func paged(page, exact, routes string) (string, error) {
	head, rest, ok := strings.Cut(page, pageFrom)
	_, foot, ok2 := strings.Cut(rest, pageUntil)
	if !ok || !ok2 {
		return "", fmt.Errorf("the page has no place for what was measured: %q … %q", strings.TrimSpace(pageFrom), pageUntil)
	}
	e, r := lineWith(exact, "mean gap"), lineWith(routes, "Mean gap for")
	if e == "" || r == "" {
		return "", fmt.Errorf("a table of results has no line with its mean gap")
	}
	return head + pageFrom + "\n- The planner against the exact solver: " + strings.Trim(e, "*") + " (goal: mean 1 %, worst 5 %).\n- Trips against the best known: " + r + "\n\n" + pageUntil + foot, nil
}

// lineWith gives the last line that holds s after the mark from which on a page
// is written by its tool.
func lineWith(page, s string) (found string) {
	_, page, _ = strings.Cut(page, "<!-- from here on written by")
	for line := range strings.Lines(page) {
		if strings.Contains(line, s) {
			found = strings.TrimSpace(line)
		}
	}
	return found
}
