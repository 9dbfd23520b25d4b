package main

import (
	"fmt"
	"strings"
)

const from, until = "<!-- from here on written by make bench-exact -->\n", "<!-- to here -->"

// result puts the rows of a comparison into the page between its marks.
func result(page string, rows []row, tight []least, end string) (string, error) {
	head, rest, ok := strings.Cut(page, from)
	_, foot, ok2 := strings.Cut(rest, until)
	if !ok || !ok2 {
		return "", fmt.Errorf("the page has no place for the table: %q … %q", strings.TrimSpace(from), until)
	}
	return head + from + "\n**" + end + "**\n\n" + table(rows) +
		"\n## The bounds\n\nWhere our plan feeds everybody: the bound it prints, of the least there is, each thing solved for alone.\n\n" + boundsTable(tight) + "\n" + until + foot, nil
}
