package season

import (
	"slices"

	"larder/internal/feeding"
	"larder/internal/units"
)

// WorkDay is one day of a plan as it passes: who does what, and when. Times are
// from midnight where Clock, else from the start of work.
type WorkDay struct {
	Day   units.Day
	Clock bool
	Rows  []WorkRow // those that mix, if they are none of the trucks' crews alone; then by truck
	First units.Duration
	Last  units.Duration // the end of work, or of the working time if that is later
	Syrup units.Volume   // driven out
	// Limits is what the day's work goes on and what keeps it from being larger.
	Limits DayLimit
}

// WorkRow is one crew's day.
type WorkRow struct {
	Truck string         // "" with Mixes = who mixes is left open
	Mixes bool           // only mixing stands here
	Of    units.Duration // its working time; 0 = none told
	Busy  units.Duration
	Bars  []WorkBar
}

// WorkBar is one load, or the mixing.
type WorkBar struct {
	Load     int // 0 = mixing
	Batches  int // of mixing
	Syrup    units.Volume
	From, To units.Duration
	Parts    []WorkPart
}

// WorkKind is what a part of a load's time goes on.
type WorkKind string

// The kinds of work.
const (
	WorkFill  WorkKind = "fill"  // filling the tank
	WorkDrive WorkKind = "drive" // on the road
	WorkWait  WorkKind = "wait"  // before a gate that is not open yet
	WorkYard  WorkKind = "yard"  // from setting up to the last lid
)

// WorkPart is one stretch of it.
type WorkPart struct {
	Kind     WorkKind
	Place    string // the yard, or where the way leads ("" = home)
	Stop     int    // number of the stop on this load, from 1; 0 = none
	From, To units.Duration
	Dist     units.Length
	Hives    int
	Syrup    units.Volume
}

// WorkDays spreads a plan over its days. Each crew mixes first and then drives,
// its loads one after the other; with several crews the mixing stands by itself,
// since it falls to whoever has the time. Where yards have hours of their own
// the loads leave when the plan says.
func (p *Planned) WorkDays() []WorkDay {
	var out []WorkDay
	day := func(d units.Day) *WorkDay {
		i, there := slices.BinarySearchFunc(out, d, func(w WorkDay, d units.Day) int { return int(w.Day - d) })
		if !there {
			out = slices.Insert(out, i, WorkDay{Day: d, Clock: p.Gated()})
		}
		return &out[i]
	}
	for _, b := range p.Batches {
		day(b.Day)
	}
	for _, l := range p.Loads {
		day(l.Day).Syrup += l.Syrup
	}
	for i := range out {
		p.fillDay(&out[i])
		out[i].Limits = p.limit(&out[i])
	}
	return out
}

// Gated tells whether some yard has hours of its own, so that the plan is by the
// clock.
func (p *Planned) Gated() bool {
	return slices.ContainsFunc(p.Problem.Yards, func(y feeding.Yard) bool { return y.Opens > 0 || y.Shuts > 0 })
}

func (p *Planned) fillDay(w *WorkDay) {
	begins := units.Duration(0)
	if w.Clock {
		begins = p.Problem.Crew.Begins
	}
	w.First = begins
	mix := WorkBar{From: begins}
	for _, b := range p.Batches {
		if b.Day == w.Day {
			mix.Batches++
			mix.Syrup += b.Syrup
		}
	}
	mix.To = begins + units.Duration(mix.Batches)*p.Problem.Kitchen.Mixing
	alone := len(p.Problem.Rigs) == 1 && !w.Clock
	if mix.Batches > 0 && mix.To > mix.From && !alone {
		w.Rows = append(w.Rows, WorkRow{Mixes: true, Busy: mix.To - mix.From, Bars: []WorkBar{mix}})
		w.Last = max(w.Last, mix.To)
	}
	for i := range p.Problem.Rigs {
		r := &p.Problem.Rigs[i]
		row := WorkRow{Truck: r.Truck, Of: p.workingTime(r, w.Day)}
		at := begins
		if alone && mix.Batches > 0 && mix.To > mix.From {
			row.Bars = append(row.Bars, mix)
			row.Busy, at = mix.To-mix.From, mix.To
		}
		where := ""
		for k := range p.Loads {
			l := &p.Loads[k]
			if l.Day != w.Day || l.Truck != r.Truck && len(p.Problem.Rigs) > 1 {
				continue
			}
			if w.Clock && l.Leave > at {
				at = l.Leave
			}
			bar := p.bar(l, r, where, at)
			where, at = l.To, bar.To
			row.Busy += bar.To - bar.From
			row.Bars = append(row.Bars, bar)
		}
		if len(row.Bars) > 0 {
			w.Rows = append(w.Rows, row)
			w.Last = max(w.Last, at, begins+row.Of)
		}
	}
}

// workingTime gives the working time of a truck's crew on a day.
func (p *Planned) workingTime(r *feeding.Rig, day units.Day) units.Duration {
	c := &p.Problem.Crew
	if d := int(day - p.Problem.Start); d >= 0 && d < len(c.Day) {
		switch {
		case c.Day[d].Off:
			return 0
		case c.Day[d].PerDay > 0:
			return c.Day[d].PerDay
		}
	}
	if r.PerDay > 0 {
		return r.PerDay
	}
	return c.PerDay
}

// bar follows one load from at.
func (p *Planned) bar(l *feeding.Load, r *feeding.Rig, where string, at units.Duration) WorkBar {
	b := WorkBar{Load: l.N, Syrup: l.Syrup, From: at}
	add := func(x WorkPart, d units.Duration) {
		if d > 0 {
			x.From, x.To = at, at+d
			at += d
			b.Parts = append(b.Parts, x)
		}
	}
	leg := func(to string) {
		if where == to || p.Problem.Road == nil {
			return
		}
		if x, ok := p.Problem.Road(where, to); ok {
			add(WorkPart{Kind: WorkDrive, Place: to, Dist: x.Dist}, x.Time)
		}
		where = to
	}
	leg(l.From)
	fill := r.Fill
	for _, s := range p.Problem.Sources {
		if s.Place == l.From && s.Fill > 0 {
			fill = s.Fill
		}
	}
	add(WorkPart{Kind: WorkFill, Place: l.From, Syrup: l.Syrup}, fill)
	for i := range l.Stops {
		s := &l.Stops[i]
		leg(s.Yard)
		for _, y := range p.Problem.Yards {
			if y.ID == s.Yard && y.Opens > at && p.Gated() {
				add(WorkPart{Kind: WorkWait, Place: s.Yard}, y.Opens-at)
			}
		}
		x := WorkPart{Kind: WorkYard, Place: s.Yard, Stop: i + 1, Hives: len(s.Fills)}
		for _, f := range s.Fills {
			x.Syrup += f.Volume
		}
		add(x, s.Time)
	}
	leg(l.To)
	b.To = at
	return b
}

// BoundRow sets one thing the plan takes against the least it could take.
type BoundRow struct {
	What      string           // "loads", "visits", "road", "hours"
	Is, Least any              // int, units.Length or units.Duration
	Known     bool             // Least is
	Gap       float64          // counts only when Known
	Why       []feeding.Reason // why not fewer
}

// BoundRows lists what the plan takes beside its bounds.
func (p *Planned) BoundRows() []BoundRow {
	t, b := p.Totals, p.Bounds
	why := func(codes ...string) []feeding.Reason {
		var out []feeding.Reason
		for _, r := range b.Why {
			if slices.Contains(codes, r.Code) {
				out = append(out, r)
			}
		}
		return out
	}
	return []BoundRow{
		{"loads", t.Loads, b.Loads, b.Loads > 0, b.Gap.Loads, why("bound-loads")},
		{"visits", t.Visits, b.Visits, b.Visits > 0, b.Gap.Visits, why("bound-visits")},
		{"road", t.Dist, b.Dist, b.Dist > 0, b.Gap.Dist, why("bound-road")},
		{"hours", t.Time + t.Mixing, b.Time, b.Time > 0, b.Gap.Time, why("bound-time", "bound-hours")},
	}
}
