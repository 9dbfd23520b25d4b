package web

import (
	"net/http"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// compareMost is how many hives are listed; a longer list is read on the command
// line or in its JSON.
const compareMost = 200

// stripMost is how many yards are drawn: where there are more, those whose days
// differ, as many as that.
const stripMost = 24

type comparePage struct {
	Base
	C     *season.Comparison
	Keys  [2]string
	Care  string
	Skip  []string // hives left out on the Plan page
	Names []season.SideName
	Strip [2]*sheet.Drawing
	Hives []season.HiveDiff // that differ, compareMost at most
	More  int               // that differ beyond them
}

// compareAsked gives the two sides a request asks for: the plan as it is, and
// beside it the one taken out or, where none is, the habit.
func (s *Server) compareAsked(r *http.Request) (keys [2]string, care string) {
	q := r.URL.Query()
	care = strings.TrimSpace(q.Get("care"))
	keys = [2]string{q.Get("a"), q.Get("b")}
	if keys[0] == "" {
		keys[0] = season.SideNow
	}
	if keys[1] == "" {
		keys[1] = season.SideHabit
		s.house.view(func(st *season.State, _ units.Moment) {
			if len(st.OutPlans()) > 0 {
				keys[1] = season.SideOut
			}
		})
	}
	return keys, care
}

// needsCompare starts the plan and the sides that are set beside each other.
func (s *Server) needsCompare(r *http.Request) []*task {
	keys, care := s.compareAsked(r)
	skip := leftOut(r.URL.Query()["skip"])
	return []*task{s.planTask(skip, nil), s.sideTask(keys[0], care, skip), s.sideTask(keys[1], care, skip)}
}

// sideTask makes one side. Its key names the plan it starts from, so that it is
// never kept for a plan of other facts.
func (s *Server) sideTask(key, care string, skip map[string]bool) *task {
	if key == season.SideCare {
		key += "=" + care
	}
	plan := s.planTask(skip, nil)
	return s.house.begin("side "+key+" of "+plan.id, func(st *season.State, at units.Moment, look season.Watch) any {
		p, err := wait[*season.Planned](plan)
		if err != nil {
			return err
		}
		side, err := st.Side(p, at, key, planSeed, look)
		if err != nil {
			return err
		}
		return &side
	})
}

// compare shows two plans beside each other.
func (s *Server) compare(w http.ResponseWriter, r *http.Request) {
	p := comparePage{Base: s.base(r, "compare", "title.compare")}
	p.Keys, p.Care = s.compareAsked(r)
	code := http.StatusOK
	p.Skip = r.URL.Query()["skip"]
	skip := leftOut(p.Skip)
	now, err := s.planFor(skip, nil)
	if err != nil { // the page itself says what is missing and where to tell it
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, ""))
		s.show(w, code, "compare", &p)
		return
	}
	s.house.view(func(st *season.State, _ units.Moment) { p.Names = st.SideNames(now) })
	var sides [2]*season.Side
	for i, key := range p.Keys {
		if sides[i], err = wait[*season.Side](s.sideTask(key, p.Care, skip)); err != nil {
			field := [2]string{"a", "b"}[i]
			if key == season.SideCare {
				field = "care"
			}
			p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, field))
			code = http.StatusUnprocessableEntity
			if fault.Is(err, fault.NotFound) {
				code = http.StatusNotFound
			}
			break // the other side may say the same
		}
	}
	if sides[0] != nil && sides[1] != nil {
		c := season.Compare(sides[0], sides[1])
		p.C = &c
		p.Hives = c.Differing()
		if p.More = max(0, len(p.Hives)-compareMost); p.More > 0 {
			p.Hives = p.Hives[:compareMost]
		}
		p.draw()
	}
	s.show(w, code, "compare", &p)
}

// draw makes the two strips, on one scale.
func (p *comparePage) draw() {
	var only map[string]bool
	if len(p.C.Calls) > stripMost {
		only = map[string]bool{}
		for _, y := range p.C.Moves[:min(stripMost, len(p.C.Moves))] {
			only[y.Yard] = true
		}
	}
	a, b := sheet.StripsOf(p.C.A.Plan, p.C.B.Plan, only, p.S, func(key string, args ...any) string { return p.T(key, args...) })
	for i, x := range []*sheet.Strip{&a, &b} {
		if len(x.Yards) == 0 {
			continue
		}
		x.Title = p.Which(i) + ": " + x.Title
		var told []string
		for _, y := range p.C.Calls {
			told = append(told, p.C.Yards[y.Yard]+": "+p.Dates([2][]units.Day{y.A, y.B}[i]))
		}
		x.Desc = strings.Join(told, "; ")
		d := x.Draw()
		p.Strip[i] = &d
	}
}

// Which names one of the two.
func (p *comparePage) Which(i int) string {
	return p.T([2]string{"compare.first", "compare.second"}[i])
}

// Cut tells that not all yards are drawn.
func (p *comparePage) Cut() bool { return len(p.C.Calls) > stripMost }

// Sides lists the two.
func (p *comparePage) Sides() []*season.Side { return []*season.Side{&p.C.A, &p.C.B} }

// Choice is the box to choose one of the two in.
func (p *comparePage) Choice(i int) Field {
	var options []Option
	for _, n := range p.Names {
		options = append(options, Option{n.Key, p.Say(n.Name)})
	}
	f := p.Choose([2]string{"a", "b"}[i], [2]string{"compare.first", "compare.second"}[i], p.Keys[i], "", options)
	return f
}

// CareBox is the box for another chance of being short.
func (p *comparePage) CareBox() Field {
	return p.Field("care", "compare.care", p.Care, "compare.care.hint", "short")
}

// Rows are the lines of the two sums; a helper sees no prices.
func (p *comparePage) Rows() []season.CompareRow {
	var out []season.CompareRow
	for _, r := range p.C.Rows() {
		if r.What != "cost" || !p.Lent() {
			out = append(out, r)
		}
	}
	return out
}

// Amount writes one side of a line.
func (p *comparePage) Amount(r season.CompareRow, v any) string {
	switch x := v.(type) {
	case nil:
		return "–"
	case units.Volume:
		if r.What == "syrup" {
			return p.S.VolumeBig(x)
		}
	case units.Length:
		return p.S.Road(x)
	case float64:
		return p.S.Percent(x)
	}
	return p.S.Amount(v)
}

// Difference writes what the second has more or less of.
func (p *comparePage) Difference(r season.CompareRow) string {
	if r.More == nil {
		return "–"
	}
	sign := "+"
	if r.Down {
		sign = "−"
	}
	if r.What == "last" {
		return sign + p.T("compare.days", "N", r.More)
	}
	return sign + p.Amount(r, r.More)
}

// Bound writes what no plan in place of one of the two could do with less of.
func (p *comparePage) Bound(r season.BoundRow) string {
	switch {
	case !r.Known:
		return p.T("plan.bound.none")
	case r.Gap == 0:
		return p.T("compare.proven", "Least", p.S.Amount(r.Least))
	}
	return p.T("compare.gap", "Least", p.S.Amount(r.Least), "Part", p.S.Percent(r.Gap))
}

// BoundPairs are the bounds of both, line by line.
func (p *comparePage) BoundPairs() [][2]season.BoundRow {
	var out [][2]season.BoundRow
	for i, a := range p.C.OfA.Bounds {
		out = append(out, [2]season.BoundRow{a, p.C.OfB.Bounds[i]})
	}
	return out
}

// Dates writes days in a line.
func (p *comparePage) Dates(l []units.Day) string {
	if len(l) == 0 {
		return "–"
	}
	out := make([]string, len(l))
	for i, d := range l {
		out[i] = p.S.Date(d)
	}
	return strings.Join(out, ", ")
}

// Litres writes an amount given.
func (p *comparePage) Litres(v units.Volume) string {
	if v == 0 {
		return "–"
	}
	return p.S.VolumeSmall(v)
}

// onlyList is who is short in one of the two alone, compareMost of them.
type onlyList struct {
	Hives []season.HiveDiff
	More  int // beyond them
}

// Only are the two lists of who is short in one alone.
func (p *comparePage) Only() [2]onlyList {
	var out [2]onlyList
	for i, l := range [2][]season.HiveDiff{p.C.OnlyA(), p.C.OnlyB()} {
		n := min(compareMost, len(l))
		out[i] = onlyList{l[:n], len(l) - n}
	}
	return out
}

// Lack is what a hive lacks in one of the two.
func (p *comparePage) Lack(i int, h season.HiveDiff) units.Volume {
	return [2]units.Volume{h.A.Short, h.B.Short}[i]
}
