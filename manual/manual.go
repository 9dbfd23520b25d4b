// Package manual is the handbook: pages of Markdown, built into the program so
// that they can be read where there is no network. It knows nothing of the
// program; the parts of it that list commands, screens, errors, tables and
// settings are held to the code by the tests of the packages they describe.
package manual

import (
	"bytes"
	"cmp"
	"embed"
	"fmt"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// Pages are the pages, each a file NAME.md, their pictures, and the description
// of what answers in JSON.
//
//go:embed *.md pictures/*.svg openapi.json
var Pages embed.FS

// order is how the list of pages begins; what is not named here comes after, by
// title.
var order = []string{"job", "install", "screens", "figures", "models", "planner", "phone", "season-folder", "book", "commands", "recipes", "access", "safety", "proof", "limits", "errors"}

// Book is all pages.
type Book struct {
	Pages []*Page
	by    map[string]*Page
}

// Page is one page.
type Page struct {
	Name     string // of its file, and in its address
	Title    string // its first heading
	Lead     string // the first sentence after it
	Sections []*Section
	source   []byte
	root     ast.Node
}

// Section is a heading and what stands under it, down to the next heading of
// any level. The first one of a page has its title and no ID.
type Section struct {
	Page  *Page
	ID    string // anchor within the page
	Title string
	Level int // of the heading, 1 to 6
	nodes []ast.Node
	once  sync.Once
	plain string // as one line, folded for the search
}

// Load reads the pages, and more ones that are not files: name and Markdown.
func Load(more map[string]string) (*Book, error) {
	b := &Book{by: map[string]*Page{}}
	names, err := fs.Glob(Pages, "*.md")
	if err != nil {
		return nil, err
	}
	for _, file := range names {
		src, err := Pages.ReadFile(file)
		if err != nil {
			return nil, err
		}
		if err := b.add(strings.TrimSuffix(file, ".md"), src); err != nil {
			return nil, err
		}
	}
	for _, name := range slices.Sorted(maps.Keys(more)) {
		if err := b.add(name, []byte(more[name])); err != nil {
			return nil, err
		}
	}
	place := func(p *Page) int {
		if i := slices.Index(order, p.Name); i >= 0 {
			return i
		}
		return len(order)
	}
	slices.SortFunc(b.Pages, func(x, y *Page) int {
		return cmp.Or(cmp.Compare(place(x), place(y)), cmp.Compare(x.Title, y.Title))
	})
	return b, nil
}

// anchor is the name of a heading, where it is not to be made from its words; as a
// comment it does not show where the file is read as it is.
var anchor = regexp.MustCompile(`(?m)^(#+ .*?) *<!-- #([a-z0-9-]+) -->$`)

// comment is what only those who write the pages read.
var comment = regexp.MustCompile(`(?s)<!--.*?-->`)

func (b *Book) add(name string, src []byte) error {
	if b.by[name] != nil {
		return fmt.Errorf("manual: two pages called %s", name)
	}
	p := &Page{Name: name, source: comment.ReplaceAll(anchor.ReplaceAll(src, []byte("$1 {#$2}")), nil)}
	p.root = markdown.Parser().Parse(text.NewReader(p.source))
	for n := p.root.FirstChild(); n != nil; n = n.NextSibling() {
		h, ok := n.(*ast.Heading)
		switch {
		case !ok && len(p.Sections) == 0:
			return fmt.Errorf("manual: %s.md does not begin with a heading", name)
		case !ok:
			s := p.Sections[len(p.Sections)-1]
			s.nodes = append(s.nodes, n)
		default:
			id := ""
			if v, ok := h.AttributeString("id"); ok && len(p.Sections) > 0 {
				id = string(v.([]byte))
			}
			p.Sections = append(p.Sections, &Section{Page: p, ID: id, Title: p.words(h), Level: h.Level})
		}
	}
	if len(p.Sections) == 0 {
		return fmt.Errorf("manual: %s.md is empty", name)
	}
	p.Title = p.Sections[0].Title
	for _, n := range p.Sections[0].nodes {
		if n.Kind() == ast.KindParagraph {
			p.Lead = p.words(n)
			if i := strings.Index(p.Lead, ". "); i > 0 {
				p.Lead = p.Lead[:i+1]
			}
			p.Lead = strings.TrimSuffix(p.Lead, ":")
			break
		}
	}
	b.Pages = append(b.Pages, p)
	b.by[name] = p
	return nil
}

// Page gives the page of a name, nil if there is none.
func (b *Book) Page(name string) *Page { return b.by[name] }

// Section gives the section of an anchor, nil if there is none. The empty anchor
// is the top of the page.
func (p *Page) Section(id string) *Section {
	for _, s := range p.Sections {
		if s.ID == id {
			return s
		}
	}
	return nil
}

// Chapters are the sections of the second level: the contents of a page.
func (p *Page) Chapters() []*Section {
	var out []*Section
	for _, s := range p.Sections {
		if s.Level == 2 {
			out = append(out, s)
		}
	}
	return out
}

// Ref gives where a section is: "page#anchor".
func (s *Section) Ref() string {
	if s.ID == "" {
		return s.Page.Name
	}
	return s.Page.Name + "#" + s.ID
}

// Path gives the address of a section.
func (s *Section) Path() string { return "/manual/" + s.Ref() }

// picture gives the SVG of a picture, "" if there is none.
func picture(name string) string {
	b, err := Pages.ReadFile(name)
	if err != nil {
		return ""
	}
	if i := bytes.Index(b, []byte("<svg")); i > 0 {
		b = b[i:] // without what a file of its own begins with
	}
	return string(b)
}

// words gives the text of a node without marks, as one line.
func (p *Page) words(n ast.Node) string {
	var b strings.Builder
	p.spell(&b, n)
	return strings.Join(strings.Fields(b.String()), " ")
}

func (p *Page) spell(b *strings.Builder, n ast.Node) {
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		switch x := c.(type) {
		case *ast.Text:
			b.Write(spoken(x, p.source))
			if x.SoftLineBreak() || x.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(x.Value)
		case *ast.AutoLink:
			b.Write(x.Label(p.source))
		case *ast.CodeBlock, *ast.FencedCodeBlock:
			b.WriteString(lines(c, p.source))
		default:
			p.spell(b, c)
			if c.Type() == ast.TypeBlock {
				b.WriteByte(' ')
			}
		}
	}
}

// spoken gives the text of a node without the backslashes that keep marks from
// being marks; code has none.
func spoken(x *ast.Text, source []byte) []byte {
	v := x.Segment.Value(source)
	if x.Parent() != nil && x.Parent().Kind() == ast.KindCodeSpan {
		return v
	}
	return util.UnescapePunctuations(v)
}

// lines gives the lines of a code block as they stand.
func lines(n ast.Node, source []byte) string {
	var b strings.Builder
	for i := range n.Lines().Len() {
		l := n.Lines().At(i)
		b.Write(l.Value(source))
	}
	return b.String()
}
