package verify

// drive follows every load along its road, from home, call by call, and back.
func (b *book) drive() {
	perDay := make([]int, b.f.Days)
	seen := make(map[int]bool, len(b.s.Loads))
	for i := range b.s.Loads {
		l := &b.s.Loads[i]
		if seen[l.N] {
			b.bad(Row, "there are two loads of number %d", l.N)
		}
		seen[l.N] = true
		d := int(l.Day - b.f.Start)
		if d < 0 || d >= b.f.Days {
			b.bad(Day, "load %d goes out on %s, outside the calendar of %d days from %s", l.N, l.Day, b.f.Days, b.f.Start)
			continue
		}
		t, ok := b.truck[l.Truck]
		if !ok {
			b.bad(Row, "load %d is on truck %q, which is not told", l.N, l.Truck)
			continue
		}
		b.follow(l, d, &b.f.Trucks[t])
		perDay[d]++
	}
	for d, n := range perDay {
		if b.f.Loads > 0 && n > b.f.Loads {
			b.bad(Crew, "on %s %d loads go out, %d are allowed in a day", b.day(d), n, b.f.Loads)
		}
	}
}

// follow drives one load.
func (b *book) follow(l *Load, d int, t *Truck) {
	var q, dist float64
	time := float64(t.Fill)
	at := ""
	if len(l.Stops) == 0 {
		b.bad(Row, "load %d on %s calls at no yard", l.N, l.Day)
	}
	for i := range l.Stops {
		c := &l.Stops[i]
		y, ok := b.yard[c.Yard]
		if !ok {
			b.bad(Row, "load %d calls at yard %q, which is not told", l.N, c.Yard)
			continue
		}
		leg := b.leg(l, at, c.Yard)
		if off(float64(leg.Dist), float64(c.Dist), slackM) {
			b.bad(Road, "load %d: from %s to %s it is %.0f m, the plan says %.0f m", l.N, place(at), c.Yard, float64(leg.Dist), float64(c.Dist))
		}
		dist, time, at = dist+float64(leg.Dist), time+float64(leg.Time), c.Yard
		litres, work := b.call(l, c, y, d, t)
		q, time = q+litres, time+work
		b.visits++
	}
	home := b.leg(l, at, "")
	dist, time = dist+float64(home.Dist), time+float64(home.Time)

	if off(q, l.Syrup.L(), slackL) {
		b.bad(Sum, "load %d: its fills come to %.3f L, the plan says %.3f L", l.N, q, l.Syrup.L())
	}
	if over(q, t.Tank.L(), slackL) {
		b.bad(Tank, "load %d on %s: %.2f L in a tank of %.2f L", l.N, l.Day, q, t.Tank.L())
	}
	if kg := q * float64(b.f.Kitchen.Density) / 1000; t.Payload > 0 && over(kg, t.Payload.Kg(), slackL) {
		b.bad(Payload, "load %d on %s: %.1f kg of syrup where the truck may carry %.1f kg", l.N, l.Day, kg, t.Payload.Kg())
	}
	if off(dist, float64(l.Dist), slackM*float64(len(l.Stops)+1)) {
		b.bad(Road, "load %d: its road is %.0f m, the plan says %.0f m", l.N, dist, float64(l.Dist))
	}
	if off(time, float64(l.Time), slackS) {
		b.bad(Sum, "load %d: it takes %.1f min, the plan says %.1f min", l.N, time/60, l.Time.Min())
	}
	b.out[d] += q
	b.work[d] += time
	b.dist, b.time, b.litres = b.dist+dist, b.time+time, b.litres+q
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
	work = float64(yard.Setup) + float64(len(c.Fills))*float64(t.PerHive) + litres/float64(t.Pump)
	if off(work, float64(c.Time), slackS) {
		b.bad(Sum, "load %d: the stop at %s takes %.1f min, the plan says %.1f min", l.N, yard.ID, work/60, c.Time.Min())
	}
	return litres, work
}
