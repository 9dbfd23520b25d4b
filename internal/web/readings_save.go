package web

import (
	"net/http"
	"net/url"
	"strconv"

	"larder/internal/season"
)

// saveReadings keeps a sheet: all of it, or what is good of it when the keeper
// says so. One save is one act, and one undo.
func (s *Server) saveReadings(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	b := s.base(r, "readings", "title.readings")
	sheet, dayErr := sheetOf(&b, r.PostForm)
	rows, err := s.typedRows(&b, sheet, r.PostForm)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	leave := r.PostForm.Get("leave") != ""
	var good []season.SeenBody
	left := leftover{sheet: sheet, day: r.PostForm.Get("day")}
	ask := 0
	for i := range rows {
		t := &rows[i]
		switch {
		case len(t.draft.Trouble) > 0:
			left.rows = append(left.rows, *t)
			continue
		case len(t.makes.Ask) > 0 && t.kept != t.key():
			ask++
		}
		for _, body := range t.draft.Bodies {
			good = append(good, season.SeenBody{Seen: sheet.Seen, Body: body})
		}
	}
	if dayErr != nil || ask > 0 || len(left.rows) > 0 && !leave || len(good) == 0 {
		s.readingsAgain(w, r, rows, dayErr, ask)
		return
	}
	act, err := s.house.append(r.Context(), "readings", s.factsOf(good)...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	to := url.Values{}
	for _, k := range []string{"yard", "way", "unit", "page"} {
		if v := r.PostForm.Get(k); v != "" {
			to.Set(k, v)
		}
	}
	if len(left.rows) > 0 {
		s.shelf.put(act, left)
		to.Set("left", act)
	}
	s.done(w, r, "/readings?"+to.Encode(), act)
}

// readingsAgain shows a sheet that was not taken, with all that was typed.
func (s *Server) readingsAgain(w http.ResponseWriter, r *http.Request, rows []typedRow, dayErr error, ask int) {
	p := s.readingsPage(r, r.PostForm)
	p.Path = "/readings"
	p.Ask = ask
	p.fill(rows)
	if dayErr != nil {
		p.DaySays = ""
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, dayErr, "day"))
	}
	at := map[string]int{}
	for i := range p.Rows {
		at[p.Rows[i].Hive] = i
	}
	for i := range rows {
		t := &rows[i]
		row := strconv.Itoa(at[t.draft.Cells.Colony])
		for _, x := range t.draft.Trouble {
			c := t.bad(&p.Base)[x.Cell]
			p.Trouble = append(p.Trouble, Trouble{Field: x.Cell + "-" + row, Say: t.draft.Cells.Colony + ": " + c.Say, Hint: c.Hint})
		}
		switch {
		case len(t.draft.Trouble) > 0:
			p.Bad++
		case len(t.draft.Bodies) > 0:
			p.Good++
		}
		for _, a := range t.makes.Ask {
			if t.kept != t.key() {
				p.Trouble = append(p.Trouble, Trouble{Field: season.CellFirst + "-" + row, Say: p.T("readings.unlikely", "Hive", t.draft.Cells.Colony, "Why", a), Hint: p.T("readings.unlikely.hint")})
			}
		}
	}
	if len(p.Trouble) == 0 {
		p.Trouble = append(p.Trouble, Trouble{Field: "first-0", Say: p.T("readings.nothing")})
	}
	s.show(w, http.StatusUnprocessableEntity, "readings", p)
}
