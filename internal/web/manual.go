package web

import (
	"fmt"
	"html/template"
	"net/http"
	"strings"
	"sync"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/manual"
)

// Handbook is the manual, the page of figures written from the list itself. It
// tells the published figures: it is open to whoever reaches us, and nothing of
// the book is in it.
var Handbook = sync.OnceValue(func() *manual.Book {
	b, err := manual.Load(map[string]string{"figures": figuresChapter()})
	if err != nil {
		panic("web: " + err.Error()) // pages of ours
	}
	return b
})

// figuresChapter writes the page of all figures.
func figuresChapter() string {
	var b strings.Builder
	b.WriteString("# Figures and their sources\n\nEvery number the sums take from somewhere, with the range in which it is believable and its source. " +
		"This page is written from the same list as *Figures we use* and `larder figures`, where your own values stand over these.\n\n" +
		"A source is graded: peer (reviewed paper, government or university text), trade (association, journal, textbook), keeper (one keeper's records), " +
		"practice (common practice, no source), memory (not found again), derived (worked out from others). ± is one standard deviation.\n")
	last, texts := "", loadTexts()
	for _, f := range season.DefaultFigures().All() {
		if part, _, _ := strings.Cut(f.Key, "."); part != last {
			last = part
			fmt.Fprintf(&b, "\n## %s\n\n| figure | value | believable | source |\n|---|---|---|---|\n", texts.message("en", figureGroupKey(part), nil))
		}
		spread := ""
		if f.SD > 0 {
			spread = fmt.Sprintf(" ± %.4g", f.SD)
		}
		note := ""
		if f.Note != "" {
			note = ". " + f.Note
		}
		fmt.Fprintf(&b, "| %s `%s` | %.6g%s %s | %.4g to %.4g | %s (%s)%s |\n", cell(f.Name), f.Key, f.Value, spread, f.Unit, f.Low, f.High, cell(f.Source), f.Grade, cell(note))
	}
	return b.String()
}

// cell keeps what would end a cell of a table out of it.
func cell(s string) string {
	return strings.NewReplacer("|", "\\|", "\n", " ", "*", "\\*", "_", "\\_", "<", "\\<", "&", "\\&", "`", "\\`").Replace(s)
}

type manualPage struct {
	Base
	Find  string
	Hits  []manual.Hit
	More  int // hits that are not shown
	Pages []*manual.Page
	Page  *manual.Page
	Whole template.HTML // all pages as one
}

// mostHits is how many hits are shown.
const mostHits = 30

// manual lists the pages, and finds words in them.
func (s *Server) manual(w http.ResponseWriter, r *http.Request) {
	p := manualPage{Base: s.base(r, "manual", "title.manual"), Find: strings.TrimSpace(r.URL.Query().Get("find")), Pages: Handbook().Pages}
	if p.Find != "" {
		p.Hits = Handbook().Search(p.Find)
		if n := len(p.Hits); n > mostHits {
			p.Hits, p.More = p.Hits[:mostHits], n-mostHits
		}
	}
	s.show(w, http.StatusOK, "manual", &p)
}

// manualPage shows one page.
func (s *Server) manualPage(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("page")
	if name == manual.WholeName {
		p := manualPage{Base: s.base(r, "manual-page", "title.manual.whole"), Pages: Handbook().Pages, Whole: Handbook().Whole()}
		s.show(w, http.StatusOK, "manual-page", &p)
		return
	}
	p := manualPage{Base: s.base(r, "manual-page", "title.manual.page"), Page: Handbook().Page(name)}
	if p.Page == nil {
		s.fail(w, r, fault.New(fault.NotFound, "", "the manual has no such page").WithHint("the list of its pages is at /manual"))
		return
	}
	p.Base.Name = p.Page.Title
	s.show(w, http.StatusOK, "manual-page", &p)
}

// manualAPI gives the description of what answers in JSON.
func (s *Server) manualAPI(w http.ResponseWriter, _ *http.Request) {
	b, err := manual.Pages.ReadFile("openapi.json")
	if err != nil {
		panic("web: " + err.Error()) // embedded
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(b)
}
