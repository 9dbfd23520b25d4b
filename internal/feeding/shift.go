package feeding

import (
	"slices"

	"larder/internal/route"
)

// shift is one truck's working day: its loads in order.
type shift struct {
	trips []trip
	time  tick // at work
	end   tick // home again, after work began; counts with gates only
	dist  int64
	home  micro // syrup filled at home
	stops int
}

// drivenBy works out a shift of truck k on day d: the way, the work, and with
// gates the waiting. false when a leg is not known or a gate shuts too early.
// begin is when the first load may leave.
func (j *job) drivenBy(k, d int, trips []trip, begin tick) (shift, bool) {
	t := &j.trucks[k]
	sh := shift{trips: trips}
	ok := true
	now, at := begin, 0
	for i := range trips {
		tr := &trips[i]
		tr.link = tr.link && i > 0 && tr.from > 0
		linked := i+1 < len(trips) && trips[i+1].link && trips[i+1].from > 0
		if !tr.link {
			at = 0
		}
		tr.q, tr.dist = 0, 0
		leave := now
		var waits tick
		slack := longest
		leg := func(to int) {
			if to == at {
				return
			}
			w, known := j.roads.drive(at, to)
			if !known {
				ok = false
				return
			}
			now += w
			tr.dist += j.roads.dist[at*j.roads.n+to]
			at = to
		}
		leg(tr.from)
		now += j.fillAt(k, tr.from)
		for n := range tr.calls {
			c := &tr.calls[n]
			leg(c.y + 1)
			y := &j.yards[c.y]
			c.work = y.setup + tick(len(c.pours))*t.lid[d] + pumping(c.q, t.pump)
			if j.gated {
				opens, shuts := j.gate(y)
				if now < opens {
					waits += opens - now
					now = opens
				}
				slack = min(slack, waits+shuts-(now+c.work))
				if slack-waits < 0 {
					ok = false
				}
			}
			now += c.work
			tr.q += c.q
		}
		if !linked { // else the way on belongs to the next load
			leg(0)
		}
		late := tick(0)
		if waits > 0 && !tr.link { // a truck on the road does not wait at home
			late = max(0, min(waits, slack))
		}
		tr.leave = leave + late
		tr.time = now - tr.leave
		sh.time += tr.time
		sh.dist += tr.dist
		sh.stops += len(tr.calls)
		if tr.from == 0 {
			sh.home += tr.q
		}
	}
	sh.end = now
	return sh, ok
}

// fillAt is the time to fill a tank of truck k at a place.
func (j *job) fillAt(k, from int) tick {
	if from > 0 {
		if f := j.sources[from-1-len(j.yards)].fill; f > 0 {
			return f
		}
	}
	return j.trucks[k].fill
}

// gate gives the hours of a yard, counted from when work begins.
func (j *job) gate(y *place) (opens, shuts tick) {
	begins := ticks(j.p.Crew.Begins)
	opens, shuts = max(0, ticks(y.Opens)-begins), longest
	if y.Shuts > 0 {
		shuts = ticksDown(y.Shuts) - begins
	}
	return opens, shuts
}

// exactTrip is the most stops a load is put in its best order for at once.
const exactTrip = 7

// tidy puts the stops of a load in the order of least driving, as far as it is
// cheap to find; home tells whether it ends at home.
func (j *job) tidy(tr *trip, home bool) {
	n := len(tr.calls)
	most := exactTrip
	if j.busy > 20 {
		most = 4
	}
	if n < 2 || n > most || j.gated || tr.link || !home {
		return
	}
	j.order(tr)
}

// order is tidy whatever it costs; the load goes from where its tank is filled
// and comes home.
func (j *job) order(tr *trip) {
	at := func(i int) int {
		if i == 0 {
			return 0
		}
		return tr.calls[i-1].y + 1
	}
	cost := func(a, b int) int64 {
		x := at(a)
		if a == 0 {
			x = tr.from
		}
		return j.roads.cost(x, at(b))
	}
	order, now := route.Order(len(tr.calls), cost)
	var was int64
	for i := range tr.calls {
		was += cost(i, i+1)
	}
	was += cost(len(tr.calls), 0)
	if now >= was {
		return
	}
	calls := make([]call, len(order))
	for i, k := range order {
		calls[i] = tr.calls[k-1]
	}
	tr.calls = calls
}

// cloneTrips copies loads with their calls, so that they can be changed.
func cloneTrips(t []trip) []trip {
	out := slices.Clone(t)
	for i := range out {
		out[i].calls = slices.Clone(out[i].calls)
	}
	return out
}
