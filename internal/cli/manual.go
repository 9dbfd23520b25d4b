package cli

import (
	"fmt"
	"strings"

	"larder/internal/fault"
	"larder/internal/web"
	"larder/manual"
)

type manualCmd struct {
	Words []string `arg:"" optional:"" help:"A page, a section (page#section), the number of an error, or words to look for."`
}

type hitJSON struct {
	Page    string `json:"page"`
	Anchor  string `json:"anchor"`
	Title   string `json:"title"`
	Heading string `json:"heading"`
	Path    string `json:"path"`
	Say     string `json:"say"`
	Text    string `json:"text,omitempty"` // whole, where a page or a section was asked for
}

// hitOf describes a section.
func hitOf(s *manual.Section, say, text string) hitJSON {
	return hitJSON{Page: s.Page.Name, Anchor: s.ID, Title: s.Page.Title, Heading: s.Title, Path: s.Path(), Say: say, Text: text}
}

// mostHits is how many hits are printed as text.
const mostHits = 12

// Run prints a page, a section, or where words are found.
func (c *manualCmd) Run(r *run) error {
	book, asked := web.Handbook(), strings.Join(c.Words, " ")
	switch {
	case asked == "":
		return listPages(r, book)
	case namedPage(book, asked) != nil:
		return printSections(r, namedPage(book, asked).Sections)
	case namedSection(book, asked) != nil:
		return printSections(r, []*manual.Section{namedSection(book, asked)})
	}
	hits := book.Search(asked)
	if len(hits) == 0 {
		return fault.Newf(fault.NotFound, "", "the manual has nothing with %q", asked).WithHint("fewer words, or shorter beginnings of them; `larder manual` lists its pages")
	}
	if r.JSON {
		out := make([]hitJSON, len(hits))
		for i, h := range hits {
			out[i] = hitOf(h.Section, h.Snippet(), "")
		}
		return r.printJSON(map[string]any{"hits": out})
	}
	for _, h := range hits[:min(mostHits, len(hits))] {
		name := h.Page.Title
		if h.ID != "" {
			name += ": " + h.Title
		}
		fmt.Fprintf(r.Out, "%s\n", h.Ref())
		para(r.Out, "    ", name)
		para(r.Out, "    ", h.Snippet())
	}
	if n := len(hits) - mostHits; n > 0 {
		fmt.Fprintf(r.Out, "and %d more\n", n)
	}
	fmt.Fprintf(r.Out, "\n`larder manual %s` prints the first of them whole.\n", hits[0].Ref())
	return nil
}

func listPages(r *run, book *manual.Book) error {
	if r.JSON {
		out := make([]hitJSON, len(book.Pages))
		for i, p := range book.Pages {
			out[i] = hitOf(p.Sections[0], p.Lead, "")
		}
		return r.printJSON(map[string]any{"hits": out})
	}
	t := newTable("page", "what it tells")
	for _, p := range book.Pages {
		t.row(p.Name, p.Title+". "+p.Lead)
	}
	t.print(r.Out)
	fmt.Fprintf(r.Out, "\n`larder manual PAGE` prints a page, `larder manual WORDS` finds words, `larder manual E05` explains an error.\nThe same pages stand at /manual while `larder serve` or `larder demo` runs.\n")
	return nil
}

// namedPage gives the page of a name, nil if none is called so.
func namedPage(book *manual.Book, name string) *manual.Page {
	return book.Page(strings.TrimSuffix(strings.ToLower(name), ".md"))
}

// namedSection gives the section of "page#anchor", or of the number of an error.
func namedSection(book *manual.Book, name string) *manual.Section {
	name = strings.ToLower(strings.TrimPrefix(name, "/manual/"))
	page, anchor, ok := strings.Cut(name, "#")
	if !ok {
		for _, k := range fault.Kinds() {
			if strings.EqualFold(k.Number(), name) {
				page, anchor, ok = "errors", name, true
			}
		}
	}
	if p := book.Page(page); ok && p != nil {
		return p.Section(anchor)
	}
	return nil
}

func printSections(r *run, all []*manual.Section) error {
	if r.JSON {
		out := make([]hitJSON, len(all))
		for i, s := range all {
			out[i] = hitOf(s, "", s.Text(width))
		}
		return r.printJSON(map[string]any{"hits": out})
	}
	for i, s := range all {
		if i > 0 {
			fmt.Fprintln(r.Out)
		}
		fmt.Fprint(r.Out, s.Text(width))
	}
	return nil
}
