package manual

import (
	"fmt"
	"html"
	"html/template"
	"regexp"
	"strings"
)

// WholeName is the name under which all pages are served as one; no page has it.
const WholeName = "whole"

// What names a place in the page, or leads to one, in what we write. Quotes in the
// text itself are written otherwise, so this meets attributes only.
var (
	names    = regexp.MustCompile(` (id|aria-labelledby|aria-describedby|href)="([^"]*)"`)
	pointers = regexp.MustCompile(`url\(#([^)]*)\)`)
)

// Whole gives all pages as one, to be printed: every anchor bears its page's name
// before its own, and links between pages lead within.
func (b *Book) Whole() template.HTML {
	var out strings.Builder
	for _, p := range b.Pages {
		fmt.Fprintf(&out, "<section class=\"page\" aria-labelledby=\"%s\"><h2 class=\"title\" id=\"%s\">%s</h2>\n", p.Name, p.Name, html.EscapeString(p.Title))
		text := names.ReplaceAllStringFunc(string(p.HTML()), func(attr string) string {
			m := names.FindStringSubmatch(attr)
			return ` ` + m[1] + `="` + b.within(p, m[1], m[2]) + `"`
		})
		out.WriteString(pointers.ReplaceAllString(text, "url(#"+p.Name+".$1)"))
		out.WriteString("</section>\n")
	}
	return template.HTML(out.String()) // written by us
}

// within gives what an attribute of a page says where the page is one of many.
func (b *Book) within(p *Page, attr, value string) string {
	if attr != "href" {
		ids := strings.Fields(value)
		for i := range ids {
			ids[i] = p.Name + "." + ids[i]
		}
		return strings.Join(ids, " ")
	}
	path, anchor, _ := strings.Cut(value, "#")
	to := p
	if path != "" {
		name, ok := strings.CutPrefix(path, "/manual/")
		if to = b.Page(name); !ok || to == nil {
			return value
		}
	}
	if anchor == "" {
		return "#" + to.Name
	}
	return "#" + to.Name + "." + anchor
}
