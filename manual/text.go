package manual

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
)

// Text gives a page as plain text, no line wider than width where words allow.
func (p *Page) Text(width int) string {
	var b strings.Builder
	for _, s := range p.Sections {
		b.WriteString(s.Text(width))
		b.WriteByte('\n')
	}
	return strings.TrimRight(b.String(), "\n") + "\n"
}

// Text gives a section as plain text under its heading.
func (s *Section) Text(width int) string {
	w := &writer{page: s.Page, width: width}
	rule := "-"
	if s.Level == 1 {
		rule = "="
	}
	w.b.WriteString(s.Title + "\n")
	if s.Level <= 2 {
		w.b.WriteString(strings.Repeat(rule, utf8.RuneCountInString(s.Title)) + "\n")
	}
	for _, n := range s.nodes {
		w.b.WriteByte('\n')
		w.block(n, "", "")
	}
	return w.b.String()
}

type writer struct {
	b     strings.Builder
	page  *Page
	width int
}

// block writes one block; first stands before its first line, rest before the
// others.
func (w *writer) block(n ast.Node, first, rest string) {
	switch x := n.(type) {
	case *ast.Paragraph, *ast.TextBlock:
		w.wrap(w.inline(n), first, rest)
	case *ast.CodeBlock, *ast.FencedCodeBlock:
		for l := range strings.Lines(lines(n, w.page.source)) {
			w.b.WriteString(first + "    " + strings.TrimRight(l, "\n") + "\n")
			first = rest
		}
	case *ast.List:
		i := x.Start
		for c := n.FirstChild(); c != nil; c = c.NextSibling() {
			mark := "- "
			if x.IsOrdered() {
				mark = strconv.Itoa(i) + ". "
				i++
			}
			inner, lead := rest+strings.Repeat(" ", len(mark)), rest+mark
			for b := c.FirstChild(); b != nil; b = b.NextSibling() {
				w.block(b, lead, inner)
				lead = inner
			}
		}
	case *extast.Table:
		w.table(n)
	case *ast.Blockquote:
		for c := n.FirstChild(); c != nil; c = c.NextSibling() {
			w.block(c, rest+"| ", rest+"| ")
		}
	}
}

// inline gives the text of a paragraph: code keeps its marks, links go without
// where they lead, pictures are told by their name.
func (w *writer) inline(n ast.Node) string {
	var b strings.Builder
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		switch x := c.(type) {
		case *ast.Text:
			b.Write(spoken(x, w.page.source))
			if x.SoftLineBreak() || x.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(x.Value)
		case *ast.CodeSpan:
			b.WriteString("`" + w.inline(c) + "`")
		case *ast.Image:
			b.WriteString("[picture: " + w.inline(c) + "]")
		default:
			b.WriteString(w.inline(c))
		}
	}
	return b.String()
}

func (w *writer) wrap(s, first, rest string) {
	line := first
	n := utf8.RuneCountInString(first)
	empty := true
	for _, word := range strings.Fields(s) {
		l := utf8.RuneCountInString(word)
		if !empty && n+1+l > w.width {
			w.b.WriteString(line + "\n")
			line, n, empty = rest, utf8.RuneCountInString(rest), true
		}
		if !empty {
			line, n = line+" ", n+1
		}
		line, n, empty = line+word, n+l, false
	}
	if !empty {
		w.b.WriteString(line + "\n")
	}
}

// table writes a table in columns; where they do not fit, each row becomes a
// list of what stands under which head.
func (w *writer) table(t ast.Node) {
	var rows [][]string
	for r := t.FirstChild(); r != nil; r = r.NextSibling() {
		var cells []string
		for c := r.FirstChild(); c != nil; c = c.NextSibling() {
			cells = append(cells, strings.Join(strings.Fields(w.inline(c)), " "))
		}
		rows = append(rows, cells)
	}
	if len(rows) == 0 {
		return
	}
	wide := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, c := range r {
			wide[i] = max(wide[i], utf8.RuneCountInString(c))
		}
	}
	used := 0
	for _, n := range wide[:len(wide)-1] {
		used += n + 2
	}
	if used > w.width-30 && used+wide[len(wide)-1] > w.width {
		if rows[0][0] != "" {
			w.wrap("By "+rows[0][0]+":", "", "  ")
		}
		for _, r := range rows[1:] {
			w.wrap(r[0], "", "  ")
			for i, c := range r[1:] {
				if c == "" {
					continue
				}
				if head := rows[0][i+1]; head != "" {
					c = head + ": " + c
				}
				w.wrap(c, "    ", "      ")
			}
		}
		return
	}
	for k, r := range rows {
		if k == 0 && strings.Join(r, "") == "" {
			continue
		}
		var b strings.Builder
		for i, c := range r[:len(r)-1] {
			b.WriteString(c + strings.Repeat(" ", wide[i]-utf8.RuneCountInString(c)+2))
		}
		if last := r[len(r)-1]; last != "" {
			w.wrap(last, b.String(), strings.Repeat(" ", used))
		} else {
			w.b.WriteString(strings.TrimRight(b.String(), " ") + "\n")
		}
		if k == 0 {
			w.b.WriteString(strings.Repeat("-", min(w.width, used+wide[len(wide)-1])) + "\n")
		}
	}
}
