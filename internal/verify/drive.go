package verify

import (
	"cmp"
	"fmt"
	"slices"
)

// drive follows every truck through its days, load by load.
func (b *book) drive() {
	byTruck := make([][]int, len(b.f.Trucks))
	perDay := make([]int, b.f.Days)
	seen := make(map[int]bool, len(b.s.Loads))
	for i := range b.s.Loads {
		l := &b.s.Loads[i]
		if seen[l.N] {
			b.bad(Row, "there are two loads of number %d", l.N)
		}
		seen[l.N] = true
		d := int(l.Day - b.f.Start)
		t, ok := b.truck[l.Truck]
		switch {
		case d < 0 || d >= b.f.Days:
			b.bad(Day, "load %d goes out on %s, outside the calendar of %d days from %s", l.N, l.Day, b.f.Days, b.f.Start)
		case !ok:
			b.bad(Row, "load %d is on truck %q, which is not told", l.N, l.Truck)
		default:
			byTruck[t] = append(byTruck[t], i)
			perDay[d]++
		}
	}
	for d, n := range perDay {
		if b.f.Crew.Loads > 0 && n > b.f.Crew.Loads {
			b.bad(Work, "on %s %d loads go out, %d are allowed in a day", b.day(d), n, b.f.Crew.Loads)
		}
	}
	for t, loads := range byTruck {
		slices.SortFunc(loads, func(x, y int) int {
			return cmp.Or(cmp.Compare(b.s.Loads[x].Day, b.s.Loads[y].Day), cmp.Compare(b.s.Loads[x].N, b.s.Loads[y].N))
		})
		for len(loads) > 0 {
			n := 1
			for n < len(loads) && b.s.Loads[loads[n]].Day == b.s.Loads[loads[0]].Day {
				n++
			}
			b.truckDay(t, loads[:n])
			loads = loads[n:]
		}
	}
	for i := range b.f.Sources {
		if s := &b.f.Sources[i]; over(b.drawn[i], s.OnHand.L(), slackL) {
			b.bad(Stock, "%.2f L are taken from %s, which has %.2f L", b.drawn[i], s.Place, s.OnHand.L())
		}
	}
}

// truckDay follows one truck through one day: out from home, and home at last.
func (b *book) truckDay(t int, loads []int) {
	truck := &b.f.Trucks[t]
	first := &b.s.Loads[loads[0]]
	d := int(first.Day - b.f.Start)
	if truck.Loads > 0 && len(loads) > truck.Loads {
		b.bad(Work, "truck %q drives %d loads on %s, %d are allowed", truck.Name, len(loads), first.Day, truck.Loads)
	}
	day := &b.trips[t*b.f.Days+d]
	at, next := "", "" // where it is, and where it is sent
	free := float64(b.f.Crew.Begins)
	for _, i := range loads {
		l := &b.s.Loads[i]
		if b.gated {
			if over(free, float64(l.Leave), slackS) {
				b.bad(Gate, "load %d leaves at %s on %s, when its crew is free from %s", l.N, clock(float64(l.Leave)), l.Day, clock(free))
			}
			free = float64(l.Leave + l.Time)
		}
		if next != "" && l.From != next {
			b.bad(Road, "load %d is filled at %s, when its truck is sent to %s", l.N, place(l.From), next)
		}
		took, drawn := b.time, b.home
		at, next = b.follow(l, d, t, at), l.To
		x := trip{n: l.N, leave: float64(l.Leave - b.f.Crew.Begins), home: b.home - drawn}
		x.end = x.leave + b.time - took
		*day = append(*day, x)
	}
	if end := b.works(t, d); !b.gated {
		for k := len(*day) - 1; k >= 0; k-- {
			x := &(*day)[k]
			x.leave, x.end = end-(x.end-x.leave), end
			end = x.leave
		}
	}
	if next != "" {
		b.bad(Road, "truck %q is left at %s on the evening of %s", truck.Name, next, first.Day)
	}
	if has := b.works(t, d); b.gated && over(free-float64(b.f.Crew.Begins), has, slackS) {
		b.bad(Gate, "truck %q is home at %s on %s, and its crew's day ends at %s", truck.Name, clock(free), first.Day, clock(float64(b.f.Crew.Begins)+has))
	}
	if has := b.works(t, d); over(b.work[t*b.f.Days+d], has, slackS) {
		b.bad(Work, "on %s truck %q has %.0f min of work and its crew's day has %.0f", first.Day, truck.Name, b.work[t*b.f.Days+d]/60, has/60)
	}
}

// works gives the seconds that the crew of truck t has on day d.
func (b *book) works(t, d int) float64 {
	truck, c := &b.f.Trucks[t], &b.f.Crew
	if truck.Out != nil && (d >= len(truck.Out) || !truck.Out[d]) {
		return 0
	}
	if d < len(c.Days) && c.Days[d].Off {
		return 0
	}
	if d < len(c.Days) && c.Days[d].PerDay > 0 {
		return float64(c.Days[d].PerDay)
	}
	if truck.PerDay > 0 {
		return float64(truck.PerDay)
	}
	return float64(c.PerDay)
}

// lid gives the seconds from lid to lid with truck t on day d.
func (b *book) lid(t *Truck, d int) float64 {
	hands, usual := max(1, b.f.Crew.Hands), max(1, b.f.Crew.Hands)
	if d < len(b.f.Crew.Days) && b.f.Crew.Days[d].Hands > 0 {
		hands = b.f.Crew.Days[d].Hands
	}
	shared := min(float64(t.Shared), float64(t.PerHive))
	return float64(t.PerHive) - shared + shared*float64(usual)/float64(hands)
}

// clock writes a time of day.
func clock(s float64) string {
	if !(s >= 0 && s < 1e6) {
		return "no time of day"
	}
	return fmt.Sprintf("%d:%02d", int(s)/3600, int(s)/60%60)
}

// follow drives one load of truck i, which stands at where, and tells where it
// stands then: at home, or at the last call if it is sent to a source.
func (b *book) follow(l *Load, d, i int, where string) string {
	t := &b.f.Trucks[i]
	var q, dist float64
	time := float64(t.Fill)
	if l.From != "" {
		s, ok := b.source[l.From]
		if !ok {
			b.bad(Row, "load %d is filled at %q, where no syrup is told", l.N, l.From)
		} else {
			src := &b.f.Sources[s]
			if src.Fill > 0 {
				time = float64(src.Fill)
			}
			if l.Day < src.From {
				b.bad(Stock, "load %d is filled at %s on %s, and its syrup is there from %s", l.N, src.Place, l.Day, src.From)
			}
		}
	}
	if _, ok := b.source[l.To]; l.To != "" && !ok {
		b.bad(Row, "load %d ends at %q, which is neither home nor a store of syrup", l.N, l.To)
	}
	at := where
	legs := 0
	leg := func(to string) float64 {
		x := b.leg(l, at, to)
		dist, time, at = dist+float64(x.Dist), time+float64(x.Time), to
		legs++
		return float64(x.Dist)
	}
	leg(l.From)
	if len(l.Stops) == 0 {
		b.bad(Row, "load %d on %s calls at no yard", l.N, l.Day)
	}
	for k := range l.Stops {
		c := &l.Stops[k]
		y, ok := b.yard[c.Yard]
		if !ok {
			b.bad(Row, "load %d calls at yard %q, which is not told", l.N, c.Yard)
			continue
		}
		from := at
		if m := leg(c.Yard); off(m, float64(c.Dist), slackM) {
			b.bad(Road, "load %d: from %s to %s it is %.0f m, the plan says %.0f m", l.N, place(from), c.Yard, m, float64(c.Dist))
		}
		litres, work := b.call(l, c, y, d, t)
		time = b.atGate(l, &b.f.Yards[y], time, work)
		q += litres
		b.visits++
	}
	if l.To == "" {
		leg("")
	}

	if off(q, l.Syrup.L(), slackL) {
		b.bad(Sum, "load %d: its fills come to %.3f L, the plan says %.3f L", l.N, q, l.Syrup.L())
	}
	if over(q, t.Tank.L(), slackL) {
		b.bad(Tank, "load %d on %s: %.2f L in a tank of %.2f L", l.N, l.Day, q, t.Tank.L())
	}
	if kg := q * float64(b.f.Kitchen.Density) / 1000; t.Payload > 0 && over(kg, t.Payload.Kg(), slackL) {
		b.bad(Payload, "load %d on %s: %.1f kg of syrup where the truck may carry %.1f kg", l.N, l.Day, kg, t.Payload.Kg())
	}
	if off(dist, float64(l.Dist), slackM*float64(legs)) {
		b.bad(Road, "load %d: its road is %.0f m, the plan says %.0f m", l.N, dist, float64(l.Dist))
	}
	if off(time, float64(l.Time), slackS) {
		b.bad(Sum, "load %d: it takes %.1f min, the plan says %.1f min", l.N, time/60, l.Time.Min())
	}
	if s, ok := b.source[l.From]; ok {
		b.drawn[s] += q
	} else {
		b.out[d] += q
		b.home += q
	}
	b.work[i*b.f.Days+d] += time
	b.dist, b.time, b.litres = b.dist+dist, b.time+time, b.litres+q
	return at
}

// atGate gives the seconds since the load left when work at a yard is done that
// was reached after time: who comes before the gate opens waits.
func (b *book) atGate(l *Load, y *Yard, time, work float64) float64 {
	if y.Opens == 0 && y.Shuts == 0 {
		return time + work
	}
	time = max(time, float64(y.Opens-l.Leave)) + work
	if done := float64(l.Leave) + time; y.Shuts > 0 && over(done, float64(y.Shuts), slackS) {
		b.bad(Gate, "load %d is done at %s at %s, and the gate shuts at %s", l.N, y.ID, clock(done), clock(float64(y.Shuts)))
	}
	return time
}

// leg gives the way between two places; none is known from a place to itself
// and none is needed.
func (b *book) leg(l *Load, from, to string) Leg {
	if from == to {
		return Leg{}
	}
	leg, ok := b.f.Legs[Way{from, to}]
	if !ok || !(leg.Dist >= 0) || !(leg.Time >= 0) {
		b.bad(Road, "load %d drives from %s to %s, and that way is not known", l.N, place(from), place(to))
		return Leg{}
	}
	return leg
}

func place(id string) string {
	if id == "" {
		return "home"
	}
	return id
}

// call works through one stop: litres given and seconds spent.
func (b *book) call(l *Load, c *Call, y, d int, t *Truck) (litres, work float64) {
	yard := &b.f.Yards[y]
	if d >= len(yard.Feed) || !yard.Feed[d] {
		b.bad(Day, "load %d calls at %s on %s, no day for a round there", l.N, yard.ID, l.Day)
	}
	if d >= b.end[y] {
		b.bad(Stop, "load %d calls at %s on %s, when nothing is taken there any more (stop day %s)", l.N, yard.ID, l.Day, yard.Stop)
	}
	if len(c.Fills) == 0 {
		b.bad(Row, "load %d calls at %s and fills nothing", l.N, yard.ID)
	}
	for i := range c.Fills {
		f := &c.Fills[i]
		v := f.Volume.L()
		litres += v
		b.fills++
		h, ok := b.hive[f.Colony]
		switch {
		case !ok || b.of[h] != y:
			b.bad(Row, "load %d fills %q at %s, where it does not stand", l.N, f.Colony, yard.ID)
			continue
		case !(v > 0):
			b.bad(Row, "load %d gives %s %v L", l.N, f.Colony, v)
		}
		b.got[h] = append(b.got[h], dose{d, v})
		b.given[h] += v
	}
	work = float64(yard.Setup) + float64(len(c.Fills))*b.lid(t, d) + litres/float64(t.Pump)
	if off(work, float64(c.Time), slackS) {
		b.bad(Sum, "load %d: the stop at %s takes %.1f min, the plan says %.1f min", l.N, yard.ID, work/60, c.Time.Min())
	}
	return litres, work
}
