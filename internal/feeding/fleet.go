package feeding

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/fault"
	"larder/internal/units"
)

// truck is a Rig as the planner counts it.
type truck struct {
	*Rig
	tank  micro // usable: tank and payload, whichever is less
	pump  float64
	fill  tick
	day   []tick // working time by day, 0 = it stays at home
	mixes []tick // the same where it counts for mixing
	lid   []tick // from lid to lid without pumping, by day
	loads int    // most in a day
	twin  int    // the first truck like it in all, itself if none before
}

// source is a Source as the planner counts it.
type source struct {
	*Source
	have micro
	fill tick
	from int // first day of the calendar on which it is there
}

// readFleet checks trucks, crews and syrup elsewhere, and puts them in order.
func (j *job) readFleet() error {
	p := j.p
	for i := range p.Rigs {
		t, err := j.readTruck(&p.Rigs[i])
		if err != nil {
			return err
		}
		j.trucks = append(j.trucks, t)
	}
	slices.SortStableFunc(j.trucks, func(a, b truck) int { return cmp.Compare(a.Truck, b.Truck) })
	for i := range j.trucks {
		t := &j.trucks[i]
		if i > 0 && t.Truck == j.trucks[i-1].Truck {
			return fault.New(fault.Conflict, t.Truck, "this truck is in the list twice").WithHint("give each truck a name of its own")
		}
		t.twin = i
		for k := range i {
			if o := &j.trucks[k]; o.twin == k && t.like(o) {
				t.twin = k
				break
			}
		}
		j.tank = max(j.tank, t.tank)
	}
	if j.tank < dust {
		return fault.New(fault.WontFit, "", "the truck can carry no syrup at all").WithHint("check tank and payload")
	}
	for i := range p.Sources {
		s := &p.Sources[i]
		if !(s.OnHand >= 0 && s.OnHand <= 1e7) || !(s.Fill >= 0 && s.Fill <= 1e6) {
			return fault.New(fault.OutOfRange, s.Place, "this store of syrup cannot be")
		}
		if s.Place == "" {
			return fault.New(fault.Missing, "", "a store of syrup away from home has no name")
		}
		j.sources = append(j.sources, source{Source: s, have: nearest(s.OnHand), fill: ticks(s.Fill), from: int(s.From - p.Start)})
	}
	slices.SortStableFunc(j.sources, func(a, b source) int { return cmp.Compare(a.Place, b.Place) })
	for i := range j.sources {
		if i > 0 && j.sources[i].Place == j.sources[i-1].Place {
			return fault.New(fault.Conflict, j.sources[i].Place, "this store of syrup is in the list twice")
		}
	}
	return nil
}

func (j *job) readTruck(r *Rig) (truck, error) {
	t := truck{Rig: r, tank: within(r.Hauls(j.p.Kitchen.Density)), pump: float64(r.Pump) * 1e6 / 1000, fill: ticks(r.Fill), loads: r.LoadsPerDay}
	switch {
	case !(r.Tank > 0):
		return t, fault.New(fault.Missing, r.Truck, "the size of the tank has not been told").WithHint("give the usable volume: nominal less what stays behind")
	case !(r.Pump > 0):
		return t, fault.New(fault.Missing, r.Truck, "the flow of the pump has not been told").WithHint("time a pail of known volume, or take the figure feeding.pump_l_min")
	}
	for _, d := range []units.Duration{r.PerHive, r.Fill, r.Shared, r.PerDay} {
		if !(d >= 0 && d <= 1e6) {
			return t, fault.Newf(fault.OutOfRange, r.Truck, "a step of the work cannot take %v minutes", d.Min())
		}
	}
	if t.loads <= 0 {
		t.loads = math.MaxInt32
	}
	for d := range j.days {
		t.day = append(t.day, ticksDown(j.p.works(r, d)))
		t.mixes = t.day
		t.lid = append(t.lid, ticks(j.p.perHive(r, d)))
	}
	return t, nil
}

// like tells whether two trucks differ in name alone.
func (t *truck) like(o *truck) bool {
	return t.tank == o.tank && t.pump == o.pump && t.fill == o.fill && t.loads == o.loads && slices.Equal(t.day, o.day) && slices.Equal(t.lid, o.lid)
}

// works gives the working time of truck r's crew on day d of the calendar, 0
// when it stays at home.
func (p *Problem) works(r *Rig, d int) units.Duration {
	if r.Out != nil && (d >= len(r.Out) || !r.Out[d]) {
		return 0
	}
	if d < len(p.Crew.Day) {
		switch c := p.Crew.Day[d]; {
		case c.Off:
			return 0
		case c.PerDay > 0:
			return c.PerDay
		}
	}
	if r.PerDay > 0 {
		return r.PerDay
	}
	return p.Crew.PerDay
}

// perHive gives the time from lid to lid with truck r on day d: more hands make
// the part of it shorter that can be shared.
func (p *Problem) perHive(r *Rig, d int) units.Duration {
	usual := max(1, p.Crew.Hands)
	if d >= len(p.Crew.Day) || p.Crew.Day[d].Hands <= 0 || p.Crew.Day[d].Hands == usual {
		return r.PerHive
	}
	shared := min(r.Shared, r.PerHive)
	return r.PerHive - shared + shared*units.Duration(usual)/units.Duration(p.Crew.Day[d].Hands)
}

// plain tells whether one truck goes out on days all alike, with no gate to mind:
// what going through the season day by day knows of. It fills all tanks at home.
func (j *job) plain() bool {
	p := j.p
	if len(j.trucks) != 1 || j.gated || len(p.Crew.Day) > 0 || p.Rigs[0].Out != nil || p.Rigs[0].PerDay > 0 {
		return false
	}
	return true
}
