package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// table lays out text in columns. Cells of a right column line up at the
// right; the last column wraps so that no line is wider than width.
type table struct {
	head  []string
	right []bool
	rows  [][]string
}

const width = 100

// newTable takes column heads; a head that begins with ">" is set right.
func newTable(heads ...string) *table {
	t := &table{}
	for _, h := range heads {
		n := strings.TrimPrefix(h, ">")
		t.head = append(t.head, n)
		t.right = append(t.right, n != h)
	}
	return t
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

func (t *table) print(w io.Writer) {
	if len(t.rows) == 0 {
		return
	}
	wide := make([]int, len(t.head))
	for i, h := range t.head {
		wide[i] = utf8.RuneCountInString(h)
	}
	for _, r := range t.rows {
		for i, c := range r {
			if i < len(wide) {
				wide[i] = max(wide[i], utf8.RuneCountInString(c))
			}
		}
	}
	last := len(t.head) - 1
	used := 0
	for _, n := range wide[:last] {
		used += n + 2
	}
	room := max(width-used, 20)
	t.line(w, t.head, wide, room)
	rule := make([]string, len(t.head))
	for i := range rule {
		n := wide[i]
		if i == last {
			n = min(n, room)
		}
		rule[i] = strings.Repeat("-", n)
	}
	t.line(w, rule, wide, room)
	for _, r := range t.rows {
		t.line(w, r, wide, room)
	}
}

func (t *table) line(w io.Writer, cells []string, wide []int, room int) {
	last := len(t.head) - 1
	var b strings.Builder
	for i := 0; i < last; i++ {
		c := ""
		if i < len(cells) {
			c = cells[i]
		}
		gap := strings.Repeat(" ", max(wide[i]-utf8.RuneCountInString(c), 0))
		if t.right[i] {
			b.WriteString(gap + c + "  ")
		} else {
			b.WriteString(c + gap + "  ")
		}
	}
	end := ""
	if last < len(cells) {
		end = cells[last]
	}
	indent := strings.Repeat(" ", utf8.RuneCountInString(b.String()))
	for i, part := range wrap(end, room) {
		if i == 0 {
			if t.right[last] {
				part = strings.Repeat(" ", max(min(wide[last], room)-utf8.RuneCountInString(part), 0)) + part
			}
			fmt.Fprintln(w, strings.TrimRight(b.String()+part, " "))
			continue
		}
		fmt.Fprintln(w, indent+part)
	}
}

// wrap breaks s at spaces into lines of at most n runes; a longer word stands
// alone. There is always at least one line.
func wrap(s string, n int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(s) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= n:
			line += " " + word
		default:
			out = append(out, line)
			line = word
		}
	}
	return append(out, line)
}

// para prints a paragraph wrapped to the width, after a hanging indent.
func para(w io.Writer, indent, s string) {
	for i, l := range wrap(s, width-utf8.RuneCountInString(indent)) {
		if i > 0 {
			indent = strings.Repeat(" ", utf8.RuneCountInString(indent))
		}
		fmt.Fprintln(w, indent+l)
	}
}
