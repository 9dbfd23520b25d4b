package manual

import (
	"bytes"
	"html"
	"html/template"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/util"
)

// markdown reads and writes pages: tables, anchors at headings, and no HTML of
// the page's own.
var markdown = goldmark.New(
	goldmark.WithExtensions(extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignAttribute))),
	goldmark.WithParserOptions(parser.WithAutoHeadingID(), parser.WithHeadingAttribute()),
	goldmark.WithRendererOptions(renderer.WithNodeRenderers(util.Prioritized(ours{}, 100))),
)

// HTML gives the page below its title. Links lead to the pages as they are
// served, pictures stand in the page so that they take its colours.
func (p *Page) HTML() template.HTML {
	var b bytes.Buffer
	for n := p.root.FirstChild().NextSibling(); n != nil; n = n.NextSibling() {
		if err := markdown.Renderer().Render(&b, p.source, n); err != nil {
			panic("manual: " + err.Error()) // into memory, a page of ours
		}
	}
	return template.HTML(b.String()) // written by us, HTML in it left out
}

// ours are the nodes that we write otherwise.
type ours struct{}

func (ours) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(ast.KindImage, image)
	r.Register(ast.KindLink, link)
	r.Register(extast.KindTable, table)
	r.Register(extast.KindTableHeader, tableHead)
	r.Register(extast.KindTableCell, tableCell)
	r.Register(ast.KindHTMLBlock, nothing)
	r.Register(ast.KindRawHTML, nothing)
}

func nothing(util.BufWriter, []byte, ast.Node, bool) (ast.WalkStatus, error) {
	return ast.WalkSkipChildren, nil
}

func image(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		_, _ = w.WriteString(`<span class="picture">` + picture(string(n.(*ast.Image).Destination)) + `</span>`)
	}
	return ast.WalkSkipChildren, nil
}

func link(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		_, _ = w.WriteString("</a>")
		return ast.WalkContinue, nil
	}
	_, _ = w.WriteString(`<a href="` + html.EscapeString(Served(string(n.(*ast.Link).Destination))) + `">`)
	return ast.WalkContinue, nil
}

// Served gives the address where what a page links to is served: "mix.md#heat"
// of this folder becomes "/manual/mix#heat".
func Served(to string) string {
	path, anchor, _ := strings.Cut(to, "#")
	if name, ok := strings.CutSuffix(path, ".md"); ok {
		path = "/manual/" + name
	} else if path == "openapi.json" {
		path = "/manual/openapi.json"
	}
	if anchor != "" {
		path += "#" + anchor
	}
	return path
}

// table is named by the heading it stands under, for those who hear the page.
func table(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		_, _ = w.WriteString("</table></div>\n")
		return ast.WalkContinue, nil
	}
	name := ""
	for h := n.PreviousSibling(); h != nil && name == ""; h = h.PreviousSibling() {
		if h.Kind() == ast.KindHeading {
			name = (&Page{source: source}).words(h)
		}
	}
	name = html.EscapeString(name)
	_, _ = w.WriteString(`<div class="wide" role="region" tabindex="0" aria-label="` + name + `"><table><caption class="visually-hidden">` + name + "</caption>\n") // what is too wide for a phone is moved sideways
	return ast.WalkContinue, nil
}

func tableHead(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		_, _ = w.WriteString("<thead><tr>\n")
		return ast.WalkContinue, nil
	}
	_, _ = w.WriteString("</tr></thead>\n")
	if n.NextSibling() != nil {
		_, _ = w.WriteString("<tbody>\n")
	}
	return ast.WalkContinue, nil
}

func tableCell(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	open, shut := "<td>", "</td>\n"
	if n.Parent().Kind() == extast.KindTableHeader {
		open, shut = `<th scope="col">`, "</th>\n"
	}
	if entering {
		_, _ = w.WriteString(open)
	} else {
		_, _ = w.WriteString(shut)
	}
	return ast.WalkContinue, nil
}
