package web

import (
	"net/http"
	"net/url"
	"slices"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// mostPlans and mostChanges bound the search for a sheet: plans taken out, and
// moments since at which hives came or went.
const (
	mostPlans   = 20
	mostChanges = 60
)

// codedSheet is a printed yard sheet, found by the code on it.
type codedSheet struct {
	plan  string // id of the plan taken out, "" = the plan as it stands
	doc   season.PlanDoc
	yard  apiary.Yard
	day   units.Day
	loads []int    // those that serve it that day
	rows  []string // as printed
}

// typeCode shows the rows of the sheet whose code was typed; without one it asks
// for it.
func (s *Server) typeCode(w http.ResponseWriter, r *http.Request) {
	p, err := s.codePage(r, r.URL.Query())
	if err != nil {
		b := s.base(r, "roundcode", "title.type")
		x := &codePage{Base: b, Code: r.URL.Query().Get("code")}
		code := http.StatusOK
		if x.Code != "" {
			x.Trouble = append(x.Trouble, s.troubleOf(&x.Base, err, "code"))
			x.NotOut = fault.Is(err, fault.Conflict)
			code = http.StatusUnprocessableEntity
		}
		s.show(w, code, "roundcode", x)
		return
	}
	p.Saved = p.Status != nil
	s.show(w, http.StatusOK, "roundtype", p)
}

type codePage struct {
	Base
	Code   string
	NotOut bool // it is of the plan as it stands, which was not taken out
}

// codePage makes the typing page of a sheet. Faults: fault.NotFound,
// fault.Conflict for a sheet of a plan that was not taken out.
func (s *Server) codePage(r *http.Request, v url.Values) (*typePage, error) {
	code := sheet.ReadCode(v.Get("code"))
	if code == "" {
		return nil, fault.New(fault.Missing, "", "which sheet?").WithHint("its code stands at the top right and at the foot, such as M-7Q4X")
	}
	found, ok := s.findSheet(code)
	switch {
	case !ok:
		return nil, fault.Newf(fault.NotFound, "", "no sheet of the code %s is in a plan taken out, nor in the plan as it stands now", code).
			WithHint("look again: no I, L, O, 0 or 1 is in a code. A plan never taken out is not kept: type what is on its paper under Given and taken")
	case found.plan == "":
		return nil, fault.Newf(fault.Conflict, code, "the sheet %s was printed from a plan that was not taken out", code).WithHint("take this plan out, and the sheet can be typed in")
	}
	p := &typePage{Base: s.base(r, "roundtype", "title.type"), Code: code, Action: "/round/type"}
	p.Unit, p.Weight = p.S.VolumeSmallCol().Unit, p.S.MassCol().Unit
	p.Day = v.Get("day")
	if p.Day == "" {
		p.Day = min(found.day, p.Facts.Day()).String()
	}
	hives := map[string]hiveDoc{}
	on := map[string]string{}
	plan := found.doc.Amounts()
	for _, n := range found.loads {
		doc, _, err := s.tripDoc(&p.Base, found.plan, n)
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(doc.Stops, func(x stopDoc) bool { return x.Yard == found.yard.ID })
		if p.Doc == nil {
			p.Doc, p.Stop = doc, i
		}
		for _, h := range slices.Concat(doc.Stops[i].Hives, doc.Stops[i].Others) {
			if old, twice := hives[h.Colony]; !twice || old.PlanL == 0 {
				hives[h.Colony], on[h.Colony] = h, doc.On
			}
		}
	}
	amounts := sheet.YardAmounts(&plan, found.yard.ID, found.day)
	for _, colony := range found.rows {
		h, known := hives[colony]
		if !known { // it stands elsewhere by now
			h = hiveDoc{Colony: colony}
			on[colony] = p.Doc.On
		}
		h.PlanL, h.PlanSays = 0, ""
		if q, ok := amounts[colony]; ok {
			h.PlanL, h.PlanSays = q.L(), p.S.VolumeSmall(q)
		}
		p.row(h, on[colony], v)
	}
	return p, nil
}

// findSheet looks for the sheet of a code: of the plans taken out, the latest
// first, then of the plan as it stands. Its rows are those it was printed with,
// also where hives came or went since.
func (s *Server) findSheet(code string) (codedSheet, bool) {
	now, planErr := s.planFor(nil, nil)
	var found codedSheet
	ok := false
	s.house.mu.Lock()
	defer s.house.mu.Unlock()
	st := s.house.journal.Now()
	outs := st.OutPlans()
	for _, o := range outs[:min(len(outs), mostPlans)] {
		plan := o.Doc.Amounts()
		times := st.RowChanges(o.Doc.AsOf)
		states := []*season.State{st, s.house.journal.AsOf(o.Doc.AsOf)}
		for _, at := range times[:min(len(times), mostChanges)] {
			states = append(states, s.house.journal.AsOf(at))
		}
		for _, then := range states {
			if found, ok = sheetIn(then, &plan, code); ok {
				found.plan, found.doc = o.ID, o.Doc
				return found, true
			}
		}
	}
	if planErr == nil {
		found, ok = sheetIn(st, now, code)
	}
	return found, ok
}

// sheetIn looks for the sheet among those of one plan, with the hives of one
// moment.
func sheetIn(st *season.State, plan *season.Planned, code string) (codedSheet, bool) {
	var found codedSheet
	for _, l := range plan.Loads {
		for _, stop := range l.Stops {
			yard, ok := st.Yard(stop.Yard)
			if !ok {
				yard.ID = stop.Yard
			}
			rows := st.RowsOf(stop.Yard)
			if sheet.YardCode(plan, yard, l.Day, rows) != code {
				continue
			}
			found.yard, found.day, found.rows = yard, l.Day, rows
			found.loads = append(found.loads, l.N)
		}
	}
	return found, len(found.loads) > 0
}
