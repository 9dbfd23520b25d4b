package web

import (
	"strconv"
	"strings"

	"larder/internal/route"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// planDay is one working day of the plan as it is drawn and told.
type planDay struct {
	season.WorkDay
	Strip *sheet.Drawing
	Map   *sheet.Drawing // nil = there is nothing to lay out
	Lines []workLine     // what the strip shows, in words
	Lost  []string       // yards called at that have no place on the map
}

// workLine is one stretch of work in words.
type workLine struct{ Who, When, What, Much string }

// daysOf draws the days of a plan.
func (p *planPage) daysOf(plan *season.Planned, home route.Place) {
	for _, w := range plan.WorkDays() {
		d := planDay{WorkDay: w}
		x := sheet.WorkStrip{Day: w, Names: p.Names, Style: p.S, Words: sheet.WorkWords{Mix: p.T("plan.day.mix"), Load: p.T("plan.day.load"), Anyone: p.T("plan.day.anyone")},
			Title: p.T("plan.day.title", "Day", p.S.Day(w.Day))}
		d.Lines = p.workLines(&w)
		var told []string
		for _, l := range d.Lines {
			told = append(told, strings.TrimSpace(l.When+" "+l.What))
		}
		x.Desc = strings.Join(told, "; ")
		strip := x.Draw()
		d.Strip = &strip
		m := plan.Map(home, w.Day)
		d.Lost = m.Without
		if !m.Lone() && len(m.Trips) > 0 {
			d.Map = p.mapOf(m, p.T("plan.map.day", "Day", p.S.Day(w.Day)))
		}
		p.Days = append(p.Days, d)
	}
	p.Map = plan.Map(home, 0)
	if !p.Map.Lone() {
		p.Drawn = p.mapOf(p.Map, p.T("plan.map.title", "N", len(p.Map.Places)))
	}
}

// mapOf draws a map; in words it is the ways driven.
func (p *planPage) mapOf(m season.PlanMap, title string) *sheet.Drawing {
	var ways []string
	for _, t := range m.Trips {
		ways = append(ways, p.T("plan.day.load")+" "+strconv.Itoa(t.Load)+": "+p.Trip(t))
	}
	x := sheet.MapPicture{Map: m, Home: p.T("roads.home"), North: p.T("plan.map.north"), Style: p.S, Title: title, Desc: strings.Join(ways, "; ")}
	d := x.Draw()
	return &d
}

// FillSays says where the tank of a load is filled and how much goes in, "" when
// it is filled at home.
func (p *planPage) FillSays(n int) string {
	c, ok := p.Plan.LoadCard(n)
	if !ok || !c.Elsewhere() {
		return ""
	}
	return p.T("load.fill", "Amount", p.S.VolumeBig(c.Syrup), "Place", c.From, "Yard", c.FirstYard())
}

// ThenSays says where the truck goes after the last stop of a load to be filled
// again, "" when it goes home.
func (p *planPage) ThenSays(n int) string {
	c, ok := p.Plan.LoadCard(n)
	if !ok || c.Next == 0 {
		return ""
	}
	return p.T("load.then", "Place", c.To, "No", c.Next)
}

// Trip gives the way of a load in words.
func (p *planPage) Trip(t season.MapTrip) string {
	var out []string
	for _, id := range t.Places {
		out = append(out, p.PlaceName(id))
	}
	return strings.Join(out, " → ")
}

// PlaceName gives a place in words.
func (p *planPage) PlaceName(id string) string {
	if id == "" {
		return p.T("roads.home")
	}
	if n := p.Names[id]; n != "" {
		return n
	}
	return id
}

// workLines tells a day in words, stretch by stretch.
func (p *planPage) workLines(w *season.WorkDay) []workLine {
	when := func(a, b units.Duration) string {
		if w.Clock {
			return sheet.Clock(a) + "–" + sheet.Clock(b)
		}
		return sheet.Clock(a-w.First) + "–" + sheet.Clock(b-w.First)
	}
	var out []workLine
	for _, r := range w.Rows {
		who := r.Truck
		if r.Mixes {
			who = p.T("plan.day.anyone")
		}
		for _, b := range r.Bars {
			if b.Load == 0 {
				out = append(out, workLine{who, when(b.From, b.To), p.T("plan.day.mixing", "N", b.Batches), p.S.VolumeBig(b.Syrup)})
			}
			for _, x := range b.Parts {
				l := workLine{Who: who, When: when(x.From, x.To)}
				switch x.Kind {
				case season.WorkFill:
					l.What, l.Much = p.T("plan.day.fill", "No", b.Load, "Place", p.PlaceName(x.Place)), p.S.VolumeBig(x.Syrup)
				case season.WorkWait:
					l.What = p.T("plan.day.wait", "Place", p.PlaceName(x.Place))
				case season.WorkYard:
					l.What, l.Much = p.T("plan.day.yard", "Stop", x.Stop, "Place", p.PlaceName(x.Place), "N", x.Hives), p.S.VolumeBig(x.Syrup)
				default:
					l.What, l.Much = p.T("plan.day.drive", "Place", p.PlaceName(x.Place)), p.S.Road(x.Dist)
				}
				out = append(out, l)
			}
		}
	}
	return out
}

// Crews tells whether more than one crew is at work on some day.
func (p *planPage) Crews() bool {
	for _, d := range p.Days {
		if len(d.Rows) > 1 {
			return true
		}
	}
	return false
}

// BoundIs and BoundLeast write the two sides of a bound.
func (p *planPage) BoundIs(r season.BoundRow) string { return p.S.Amount(r.Is) }

// BoundLeast writes the least there can be.
func (p *planPage) BoundLeast(r season.BoundRow) string {
	if !r.Known {
		return p.T("plan.bound.none")
	}
	return p.S.Amount(r.Least)
}
