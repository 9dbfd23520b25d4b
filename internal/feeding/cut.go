package feeding

import (
	"math"

	"larder/internal/route"
)

// pour is one hive's fill in the making.
type pour struct {
	h int
	dose
}

// call is one yard's turn on a day or a load.
type call struct {
	y     int // into job.yards
	pours []pour
	q     micro
	work  tick // at the yard
}

// trip is one tank load in the making.
type trip struct {
	calls []call
	q     micro
	time  tick
	dist  int64
	from  int  // place where the tank is filled, 0 = home
	link  bool // the truck comes there from the last stop of the load before
	leave tick // after work begins
}

// makeCall adds up a call.
func (j *job) makeCall(y int, pours []pour) call {
	c := call{y: y, pours: pours}
	for i := range pours {
		c.q += pours[i].v
	}
	c.work = j.work(y, len(pours), c.q)
	return c
}

// work is the time at a yard: setting up, n lids, and q through the nozzle.
func (j *job) work(y, n int, q micro) tick {
	return j.yards[y].setup + tick(n)*ticks(j.rig.PerHive) + pumping(q, j.pump)
}

// pumping is the time q takes through the nozzle.
func pumping(q micro, pump float64) tick {
	return tick(min(math.Ceil(float64(q)/pump), float64(longest)))
}

// cut makes loads of a day's calls, taken in the order given: first the cut
// that keeps yards whole, second, where it saves a load, the cut that fills
// every tank and carries on at the same yard with the next. A cut that is not
// possible (a leg not known) is nil.
func (j *job) cut(calls []call) (whole, split []trip) {
	pieces, full := j.peel(calls)
	if w, ok := j.cutWhole(pieces); ok {
		whole = append(full[:len(full):len(full)], w...)
	}
	var q micro
	for i := range calls {
		q += calls[i].q
	}
	if whole == nil || len(whole) > ceilDiv(q, j.tank) {
		if s, ok := j.cutSplit(calls); ok && (whole == nil || len(s) < len(whole)) {
			split = s
		}
	}
	return whole, split
}

// peel takes full tanks off yards that need more than one, out and back, in
// walking order, and leaves pieces that fit a tank.
func (j *job) peel(calls []call) (pieces []call, full []trip) {
	for i := range calls {
		c := calls[i]
		for c.q > j.tank {
			n := j.prefix(c.pours, j.tank)
			t, _ := j.drive([]call{j.makeCall(c.y, c.pours[:n])})
			full = append(full, t)
			c = j.makeCall(c.y, c.pours[n:])
		}
		pieces = append(pieces, c)
	}
	return pieces, full
}

// prefix gives how many fills, in order, fit into room.
func (j *job) prefix(pours []pour, room micro) int {
	for n := range pours {
		if room -= pours[n].v; room < 0 {
			return n
		}
	}
	return len(pours)
}

// drive adds up a load whose calls are in order; false when a leg is not known.
func (j *job) drive(calls []call) (trip, bool) {
	t := trip{calls: calls, time: ticks(j.rig.Fill)}
	at := 0
	for i := range calls {
		c := &calls[i]
		leg, ok := j.roads.drive(at, c.y+1)
		if !ok {
			return t, false
		}
		t.time += leg + c.work
		t.dist += j.roads.dist[at*j.roads.n+c.y+1]
		t.q += c.q
		at = c.y + 1
	}
	leg, ok := j.roads.drive(at, 0)
	t.time += leg
	t.dist += j.roads.dist[at*j.roads.n]
	return t, ok
}

// cutWhole is the exact best cut of a sequence into loads without parting a
// yard: fewest loads, then least time. Dynamic programme over the sequence
// (Beasley, "Route first-cluster second methods for vehicle routing", Omega 11
// (1983), 403-408; from memory).
func (j *job) cutWhole(pieces []call) ([]trip, bool) {
	n := len(pieces)
	type cell struct {
		loads, from int
		time        tick
	}
	best := make([]cell, n+1)
	for i := 1; i <= n; i++ {
		best[i] = cell{loads: math.MaxInt32}
	}
	fill := ticks(j.rig.Fill)
	for a := range n {
		if best[a].loads == math.MaxInt32 {
			continue
		}
		var q micro
		time, at := best[a].time+fill, 0
		for b := a; b < n; b++ {
			c := &pieces[b]
			leg, ok := j.roads.drive(at, c.y+1)
			if q += c.q; q > j.tank || !ok {
				break
			}
			time += leg + c.work
			at = c.y + 1
			back, ok := j.roads.drive(at, 0)
			if !ok {
				continue
			}
			if x := (cell{best[a].loads + 1, a, time + back}); x.loads < best[b+1].loads || x.loads == best[b+1].loads && x.time < best[b+1].time {
				best[b+1] = x
			}
		}
	}
	if n > 0 && best[n].loads == math.MaxInt32 {
		return nil, false
	}
	out := make([]trip, best[n].loads)
	for b, k := n, best[n].loads-1; b > 0; b, k = best[b].from, k-1 {
		out[k], _ = j.drive(pieces[best[b].from:b:b])
	}
	return out, true
}

// cutSplit fills tank after tank along the sequence, parting yards between
// hives. A yard begun with little left in the tank is left to the next load if
// not even one hive fits.
func (j *job) cutSplit(calls []call) ([]trip, bool) {
	var out []trip
	var now []call
	room := j.tank
	ok := true
	closeLoad := func() {
		t, known := j.drive(now)
		out, now, room, ok = append(out, t), nil, j.tank, ok && known
	}
	for i := range calls {
		for rest := calls[i].pours; len(rest) > 0; {
			n := j.prefix(rest, room)
			if n == 0 {
				closeLoad()
				continue
			}
			c := j.makeCall(calls[i].y, rest[:n:n])
			now, room, rest = append(now, c), room-c.q, rest[n:]
		}
	}
	if len(now) > 0 {
		closeLoad()
	}
	return out, ok
}

// sequence orders the calls of a load for the least driving, exactly up to
// [route.ExactStops] stops.
func (j *job) sequence(t trip) trip {
	at := func(i int) int {
		if i == 0 {
			return 0
		}
		return t.calls[i-1].y + 1
	}
	order, _ := route.Order(len(t.calls), func(a, b int) int64 { return j.roads.cost(at(a), at(b)) })
	calls := make([]call, len(order))
	for i, k := range order {
		calls[i] = t.calls[k-1]
	}
	s, ok := j.drive(calls)
	if !ok || s.time > t.time {
		return t
	}
	return s
}
