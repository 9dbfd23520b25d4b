package season

import (
	"math"
	"strconv"
	"strings"

	"larder/internal/feeding"
	"larder/internal/units"
)

// YardLine writes a yard as [ReadYards] reads it: "Mill Lane 18, 6 mi". Hives
// that are not numbered after the yard are named.
func (st *State) YardLine(yard string, s units.Style) string {
	y, _ := st.Yard(yard)
	name := y.Name
	if name == "" {
		name = yard
	}
	hives := st.HivesAt(yard)
	counted := true
	names := make([]string, len(hives))
	for i, c := range hives {
		names[i] = c.ID
		prefix, _, ok := numbered(c.ID)
		counted = counted && ok && prefix == yard+"-"
	}
	if !counted {
		return name + ": " + strings.Join(names, ", ")
	}
	line := name + " " + strconv.Itoa(len(hives))
	if r, ok := st.Road("", yard); ok && r.Dist > 0 {
		c := s.RoadCol()
		line += ", " + FigureText(math.Round(c.Value(r.Dist)*100)/100, s) + " " + c.Unit
	}
	return line
}

// Caveats gives the first few things a reader of the plan must know: colonies
// nobody knows anything of, those that may not be fed yet, days without weather,
// then what the plan says of itself. At most n, each sort once.
func (p *Planned) Caveats(n int) []feeding.Reason {
	var out []feeding.Reason
	seen := map[string]bool{}
	add := func(r feeding.Reason) {
		if !seen[r.Code] && len(out) < n {
			seen[r.Code] = true
			out = append(out, r)
		}
	}
	unknown, ask := 0, 0
	for i := range p.Short {
		x := &p.Short[i]
		if !x.Lack.Known {
			unknown++
		}
		for _, h := range x.Hold {
			if strings.HasPrefix(h.Code, "ask-") {
				ask++
				break
			}
		}
	}
	if unknown > 0 {
		add(feeding.Reason{Code: "not-known", Say: "Colonies whose stores are not known: {0}. Heft them", Amounts: []any{unknown}})
	}
	if ask > 0 {
		add(feeding.Reason{Code: "not-answered", Say: "Colonies that get no syrup until super, disease and treatment are answered: {0}", Amounts: []any{ask}})
	}
	for i := range p.Problem.Yards {
		for _, r := range p.Problem.Yards[i].Why {
			if r.Code == "plain-calendar" || r.Code == "few-years" {
				add(r)
			}
		}
	}
	for _, r := range p.Reasons {
		add(r)
	}
	return out
}

// DrivingDays gives on how many days something is driven out.
func (p *Planned) DrivingDays() int {
	days := map[units.Day]bool{}
	for i := range p.Loads {
		days[p.Loads[i].Day] = true
	}
	return len(days)
}
