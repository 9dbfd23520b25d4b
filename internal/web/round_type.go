package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// typePage is a yard sheet being typed back in: rows in the order of the paper.
type typePage struct {
	Base
	Load   string
	Doc    *tripDoc
	Stop   int
	Code   string // of the sheet, when it was found by its code
	Action string // where the form goes
	Day    string
	Rows   []typeRow
	Unit   string // of amounts without one
	Weight string // unit of hefts
	Saved  bool
}

type typeRow struct {
	I, N                       int
	Hive                       string
	Plan                       string // "" = nothing on this trip
	on                         string // load it is part of
	Done                       []doneDoc
	Given, Left, Heft, Trouble string
	Kept                       string // what was typed when it was asked about
	doc                        hiveDoc
}

// Yard gives the stop being typed.
func (p *typePage) Yard() stopDoc { return p.Doc.Stops[p.Stop] }

// troubleLetters are those printed at the foot of the sheet.
var troubleLetters = map[string]string{"D": "dead", "Q": "queenless", "R": "robbing", "F": "full", "W": "wasps", "L": "leak", "U": "refused", "B": "drowned", "S": "super", "X": "other"}

// typeSheet shows the sheet to type.
func (s *Server) typeSheet(w http.ResponseWriter, r *http.Request) {
	p, err := s.typePage(r, r.URL.Query())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	p.Saved = p.Status != nil
	s.show(w, http.StatusOK, "roundtype", p)
}

func (s *Server) typePage(r *http.Request, v url.Values) (*typePage, error) {
	t, err := s.tripPage(r, r.PathValue("load"))
	if err != nil {
		return nil, err
	}
	p := &typePage{Base: t.Base, Load: r.PathValue("load"), Doc: t.Doc}
	p.Action = "/round/" + p.Load + "/type"
	p.Screen, p.Title = "roundtype", "title.type"
	p.Unit, p.Weight = p.S.VolumeSmallCol().Unit, p.S.MassCol().Unit
	for i, stop := range t.Doc.Stops {
		if stop.Yard == v.Get("yard") {
			p.Stop = i
		}
	}
	p.Day = v.Get("day")
	if p.Day == "" {
		p.Day = min(t.Trip.Day, p.Facts.Day()).String()
	}
	for _, h := range sheetOrder(t.Doc.Stops[p.Stop]) {
		p.row(h, p.Doc.On, v)
	}
	return p, nil
}

// row adds the row of a hive, with what was typed into it.
func (p *typePage) row(h hiveDoc, on string, v url.Values) {
	i := strconv.Itoa(len(p.Rows))
	row := typeRow{I: len(p.Rows), N: len(p.Rows) + 1, Hive: h.Colony, Done: h.Done, doc: h, on: on,
		Given: v.Get("given-" + i), Left: v.Get("left-" + i), Heft: v.Get("heft-" + i), Trouble: v.Get("trouble-" + i), Kept: v.Get("kept-" + i)}
	if h.PlanL > 0 {
		row.Plan = p.S.VolumeSmallCol().Num(units.Volume(h.PlanL))
	}
	p.Rows = append(p.Rows, row)
}

// sheetOrder gives all hives of a yard as the paper has them: by stand, then
// name, those with a fill and those without.
func sheetOrder(stop stopDoc) []hiveDoc {
	all := slices.Concat(stop.Hives, stop.Others)
	all = slices.DeleteFunc(all, func(h hiveDoc) bool { return h.Elsewhere })
	slices.SortStableFunc(all, func(a, b hiveDoc) int {
		if a.Stand != b.Stand {
			return a.Stand - b.Stand
		}
		return season.NameOrder(a.Colony, b.Colony)
	})
	return all
}

// saveTypeSheet writes a typed sheet down as one act.
func (s *Server) saveTypeSheet(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	page := s.typePage
	if r.PathValue("load") == "" {
		page = s.codePage
	}
	p, err := page(r, r.PostForm)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	day, err := units.ParseDay(p.Day)
	if err == nil && day > p.Facts.Day() {
		err = fault.New(fault.OutOfRange, "", "this day is yet to come").WithHint("the day the round was driven")
	}
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "day"))
	}
	var facts []season.Fact
	for i := range p.Rows {
		row := &p.Rows[i]
		v, bad := s.typedRow(p, row)
		p.Trouble = append(p.Trouble, bad...)
		if len(bad) > 0 {
			continue
		}
		if key := row.Given + "|" + row.Left; row.Kept != key {
			for _, f := range v.OverFull() {
				p.Trouble = append(p.Trouble, p.unlikely(f.Cell+"-"+strconv.Itoa(i), row.Hive, f))
				row.Kept = key
			}
		}
		bodies, err := v.Bodies()
		if err != nil {
			p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "given-"+strconv.Itoa(i)))
			continue
		}
		for _, b := range bodies {
			facts = append(facts, s.house.fact(units.OnDay(day), "", b))
		}
	}
	if len(p.Trouble) == 0 && len(facts) == 0 {
		p.Trouble = append(p.Trouble, Trouble{Field: "given-0", Say: p.T("type.nothing")})
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "roundtype", p)
		return
	}
	act, err := s.house.append(r.Context(), "typed", facts...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	to := p.Action + "?yard=" + url.QueryEscape(p.Yard().Yard)
	if p.Code != "" {
		to = p.Action + "?code=" + url.QueryEscape(p.Code)
	}
	s.done(w, r, to, act)
}

// typedRow reads one row of the sheet.
func (s *Server) typedRow(p *typePage, row *typeRow) (season.Visit, []Trouble) {
	i := strconv.Itoa(row.I)
	v := season.Visit{Colony: row.Hive, Plan: row.on, Holds: units.Volume(row.doc.HoldsL)}
	var bad []Trouble
	fail := func(field string, err error) {
		t := s.troubleOf(&p.Base, err, field+"-"+i)
		t.Say = row.Hive + ": " + t.Say
		bad = append(bad, t)
	}
	if g := strings.TrimSpace(row.Given); isTick(g) {
		if row.doc.PlanL <= 0 {
			fail("given", fault.New(fault.Missing, "", "nothing was planned here, so a tick says no amount").WithHint("type how much it got"))
		}
		e := units.In(units.Volume(row.doc.PlanL))
		v.Given = &e
	} else if g != "" && g != "-" {
		e, err := units.EnterVolumeIn(g, p.Unit, p.S.Locale())
		if err == nil {
			err = season.FitsFeeder(e, v.Holds)
		}
		if err != nil {
			fail("given", err)
		}
		v.Given = &e
	}
	if l := strings.TrimSpace(row.Left); l != "" && l != "-" {
		e, err := p.typedLeft(l, row)
		if err == nil {
			err = season.FitsFeeder(e, v.Holds)
		}
		if err != nil {
			fail("left", err)
		}
		v.Left = &e
	}
	if h := strings.TrimSpace(row.Heft); h != "" && h != "-" {
		e, err := units.EnterMassIn(h, p.Weight, p.S.Locale())
		if err != nil {
			fail("heft", err)
		}
		v.Weight, v.Way = &e, stores.LiftOne
	}
	if t := strings.ToUpper(strings.TrimSpace(row.Trouble)); t != "" && t != "-" {
		why, ok := troubleLetters[t]
		switch {
		case !ok:
			fail("trouble", fault.Newf(fault.NotUnderstood, "", "%s is none of the letters", row.Trouble).WithHint("D dead, Q queenless, R robbing, F full, W wasps, L leak, U refused, B drowned bees, S honey super, X other"))
		case v.Given == nil:
			v.NotFed = why
		default: // it was fed all the same: the trouble is a note
			v.Note = p.sc.texts.message("en", "notfed."+why, nil)
		}
	}
	return v, bad
}

// isTick tells whether a cell says "as planned".
func isTick(s string) bool {
	switch strings.ToLower(s) {
	case "x", "v", "+", "✓", "✔":
		return true
	}
	return false
}

// typedLeft reads what was left: 0, ¼, ½, ¾ or f for full, or an amount.
func (p *typePage) typedLeft(text string, row *typeRow) (units.Entered[units.Volume], error) {
	quarter := map[string]int{"¼": 1, "1/4": 1, "q": 1, "½": 2, "1/2": 2, "h": 2, "¾": 3, "3/4": 3, "t": 3, "f": 4, "full": 4}
	k, ok := quarter[strings.ToLower(text)]
	if !ok {
		return units.EnterVolumeIn(text, p.Unit, p.S.Locale())
	}
	if k >= len(row.doc.Left) {
		return units.Entered[units.Volume]{}, fault.New(fault.Missing, "", "it is not known what its feeder holds").WithHint("type the amount, or tell its feeder under Yards and hives")
	}
	return units.In(units.Volume(row.doc.Left[k].L)), nil
}
