package web

import (
	"net/http"
	"net/url"

	"larder/internal/fault"
	"larder/internal/season"
)

// pasted is what became of a table.
type pasted struct {
	Saved, Same, Bad, Left []pasteLine
	Counts                 map[season.PasteFate]int
	New                    []string // hives made
}

// listed is how many rows of each fate the result lists.
const listed = 200

// savePaste keeps the readings of a table that can be taken: one act, one undo.
func (s *Server) savePaste(w http.ResponseWriter, r *http.Request) {
	p, err := s.readPaste(w, r)
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "text"))
	} else if len(p.Trouble) == 0 && p.Taken() == 0 {
		p.Trouble = append(p.Trouble, Trouble{Field: "text", Say: p.T("paste.none")})
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "paste", p)
		return
	}
	act, err := s.house.append(r.Context(), "paste", s.factsOf(p.Read.Bodies())...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.shelf.put(act, p.became())
	s.done(w, r, "/readings/pasted?"+url.Values{"of": {act}}.Encode(), act)
}

// factsOf makes facts written down now.
func (s *Server) factsOf(bodies []season.SeenBody) []season.Fact {
	out := make([]season.Fact, 0, len(bodies))
	for i, b := range bodies {
		if i == 0 {
			out = append(out, s.house.fact(b.Seen, "", b.Body))
			continue
		}
		out = append(out, season.Fact{ID: s.house.newID(), Seen: b.Seen, Made: out[0].Made, Body: b.Body})
	}
	return out
}

// became sorts the rows by what becomes of them.
func (p *pastePage) became() pasted {
	out := pasted{Counts: p.Read.Fates}
	for i := range p.Read.Rows {
		r := &p.Read.Rows[i]
		var to *[]pasteLine
		switch r.Fate {
		case season.FateTake:
			to = &out.Saved
		case season.FateSame:
			to = &out.Same
		case season.FateBad:
			to = &out.Bad
		case season.FateName:
			to = &out.Left
		default:
			continue
		}
		if len(*to) < listed {
			*to = append(*to, p.tableLine(r))
		}
	}
	for _, n := range p.Read.New {
		out.New = append(out.New, n.Colony.ID)
	}
	return out
}

type pastedPage struct {
	Base
	pasted
	Forgot bool // the list is gone; what was saved is not
}

// Count gives how many rows have a fate.
func (p *pastedPage) Count(fate string) int { return p.Counts[season.PasteFate(fate)] }

// showPasted lists what was saved, what was known before and what was not taken.
func (s *Server) showPasted(w http.ResponseWriter, r *http.Request) {
	p := pastedPage{Base: s.base(r, "pasted", "title.pasted")}
	of := r.URL.Query().Get("of")
	var there bool
	if p.pasted, there = fromShelf[pasted](&s.shelf, of); !there {
		id, err := season.ParseID(of)
		known := false
		s.house.mu.Lock()
		if err == nil && of != "" {
			_, known = s.house.journal.Fact(id)
		}
		s.house.mu.Unlock()
		if !known {
			s.fail(w, r, fault.New(fault.NotFound, "", "nothing was pasted under this address").WithHint("go to Readings"))
			return
		}
		p.Forgot = true
	}
	s.show(w, http.StatusOK, "pasted", &p)
}
