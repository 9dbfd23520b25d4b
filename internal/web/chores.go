package web

import (
	"net/http"
	"net/url"
	"slices"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// choresPage is what is done around a yard's feeding: to open it before its first
// round, and to close it after its last.
type choresPage struct {
	Base
	Yard   string
	Called string
	Lists  []choreList
	Note   string
}

type choreList struct {
	Key    string // of its heading
	Chores []chore
}

type chore struct {
	What string
	Done units.Moment // last; zero = never
	Tick bool         // as ticked in a form that could not be taken
}

// chores shows the lists of a yard.
func (s *Server) chores(w http.ResponseWriter, r *http.Request) {
	p, err := s.choresPage(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.show(w, http.StatusOK, "chores", p)
}

func (s *Server) choresPage(r *http.Request) (*choresPage, error) {
	p := &choresPage{Base: s.base(r, "chores", "title.chores"), Yard: r.PathValue("yard")}
	p.Lists = []choreList{{Key: "chores.open"}, {Key: "chores.close"}}
	found := false
	s.house.view(func(st *season.State, _ units.Moment) {
		p.Called, found = yardNames(st)[p.Yard]
		for i, whats := range [][]string{season.OpeningChores(), season.ClosingChores()} {
			for _, what := range whats {
				at, _ := st.ChoreDone(p.Yard, what)
				p.Lists[i].Chores = append(p.Lists[i].Chores, chore{What: what, Done: at})
			}
		}
	})
	if !found {
		return nil, fault.New(fault.NotFound, p.Yard, "there is no yard of this name").WithHint("see Yards and hives")
	}
	return p, nil
}

// saveChores writes down what was ticked, as one act.
func (s *Server) saveChores(w http.ResponseWriter, r *http.Request) {
	p, err := s.choresPage(r)
	if err == nil {
		err = r.ParseForm()
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	p.Note = r.PostForm.Get("note")
	ticked := r.PostForm["what"]
	var facts []season.Fact
	for i := range p.Lists {
		for k := range p.Lists[i].Chores {
			c := &p.Lists[i].Chores[k]
			if c.Tick = slices.Contains(ticked, c.What); c.Tick {
				facts = append(facts, s.house.fact(units.Moment{}, "", apiary.Chore{Yard: p.Yard, What: c.What, Note: p.Note}))
			}
		}
	}
	if len(facts) == 0 {
		p.Trouble = append(p.Trouble, Trouble{Field: "chore-" + season.OpeningChores()[0], Say: p.T("chores.nothing")})
		s.show(w, http.StatusUnprocessableEntity, "chores", p)
		return
	}
	act, err := s.house.append(r.Context(), "chores", facts...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/chores/"+url.PathEscape(p.Yard), act)
}
