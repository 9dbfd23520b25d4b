package route

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/fault"
)

// Stop is one place that something is to be brought to, all of it on one trip.
type Stop struct {
	ID   string // its own; ties are broken by it
	Load int64  // what it takes from the tank, 0 or more, any whole unit
	Stay int64  // what standing there adds to the trip, 0 or more, in the unit of the costs
}

// Job is what [Loads] is asked: bring every stop its load, in trips from home
// and back.
type Job struct {
	Stops    []Stop
	Capacity int64 // what one trip may carry, in the unit of Stop.Load
	// Limit is how long one trip may be, legs and stays together and without
	// PerTrip, in the unit of Cost. 0: no limit.
	Limit int64
	// PerTrip is added to the cost of every trip (filling and rinsing the
	// tank), 0 or more. The higher, the fewer the trips.
	PerTrip int64
	// Cost is the cost of the leg from i to j, 0 or more, any whole unit; 0 is
	// home and k the stop Stops[k-1]. It need not be the same both ways. A leg
	// that cannot be driven costs [Apart].
	Cost func(i, j int) int64
}

// Search says how long [Loads] looks above [ExactLoads] stops.
type Search struct {
	Seed uint64
	// Iterations is the length of the whole search; with two streams each does
	// as many. 0: a start by savings, not improved, and quick.
	Iterations int
	// From, when set, are trips to begin with instead of savings, as indices into
	// Job.Stops: those of yesterday's plan, or of the day before a stop was added.
	// The answer costs no more than they do. Trips that miss a stop, call at one
	// twice or break a limit are refused. Up to ExactLoads stops it plays no part.
	From [][]int
	// Until ends the search after so many iterations although it is laid out
	// for all of them: it repeats a search that Watch has ended. 0: all.
	Until int
	// Streams is how many searches run side by side, each on its own numbers
	// and, where there is one, its own processor. It is part of the answer: the
	// machine does not choose it. 0: 1; at most 16.
	Streams int
	// Watch, when set, is told now and then how many iterations are done and
	// what the best so far costs; it returns false to end the search with that.
	// It is called from the goroutine that called Loads. A limit on the time it
	// may take is the caller's to keep here: package route knows no clock.
	Watch func(done int, best int64) bool
}

// Trips is the answer of [Loads].
type Trips struct {
	// Trips lists for each trip the stops in the order of calling, as indices
	// into Job.Stops. The trip with the lowest ID comes first; one that costs
	// the same both ways round begins at the end with the lower ID.
	Trips [][]int
	// Cost is that of all legs and of PerTrip for each trip; stays are not in it.
	Cost int64
	// Iterations is how many were done; with Job, Seed, Search.Iterations and
	// Streams the same, setting Search.Until to it gives this answer again.
	Iterations int
	// Exact: no other set of trips is cheaper.
	Exact bool
}

// ExactLoads is the largest number of stops that [Loads] solves exactly: at
// most some 3¹⁵/2, seven million steps, for the split into trips.
const ExactLoads = 15

// MostLoads is the largest number of stops that [Loads] takes: its table of
// legs then holds 25 million costs, 200 MB.
const MostLoads = 5000

// Loads finds the trips that bring every stop its load at the least cost.
//
// Up to [ExactLoads] stops the answer is the best there is: the round trip of
// every set of stops by Held and Karp (1962, as [Order] does), then the
// cheapest split of all stops into sets that fit.
//
// Above that it is found by ruin and recreate with removal of strings: J.
// Christiaens, G. Vanden Berghe, "Slack Induction by String Removals for
// Vehicle Routing Problems", Transportation Science 54(2) (2020), 417-433,
// from a start by savings (G. Clarke, J. W. Wright, "Scheduling of Vehicles
// from a Central Depot to a Number of Delivery Points", Operations Research
// 12(4) (1964), 568-581); both from memory. It was chosen over a genetic search
// with local search (T. Vidal, Computers & Operations Research 140 (2022),
// 105643), which does better still on long runs, because one move is all there
// is to it: a limit on the trip or one-way roads need no second set of rules,
// and what it gives is good enough; tools/routes/RESULT.md has the figures on
// public instances. Departures from the paper: a stop is put back beside one of
// its nearest neighbours where one of their trips has room, and only else
// anywhere; a trip of its own is always among the choices; how readily a worse
// answer is taken is drawn in whole numbers.
//
// Every leg is a whole number, and so is all that is worked out: the same job,
// seed, iterations and streams give the same trips on any machine, in whatever
// order the stops are listed.
//
// It refuses, with a *fault.Error: two stops of one ID or amounts below zero
// (conflict, out of range), a stop that does not fit on any trip (won't fit),
// a stop that cannot be reached and left (missing), more than [MostLoads], a
// Search.From that is no answer (conflict).
func Loads(job Job, how Search) (Trips, error) {
	n := len(job.Stops)
	perm := make([]int, n) // place in order of ID → place in job.Stops
	for i := range perm {
		perm[i] = i
	}
	slices.SortFunc(perm, func(a, b int) int { return cmp.Compare(job.Stops[a].ID, job.Stops[b].ID) })
	p, err := newPlant(job, perm)
	if err != nil {
		return Trips{}, err
	}
	var out Trips
	var trips [][]int32
	if n <= ExactLoads {
		trips = p.exact()
		out.Exact = true
	} else {
		start := p.savings
		if how.From != nil {
			from, err := p.from(how.From, perm)
			if err != nil {
				return Trips{}, err
			}
			start = func() *tour { return from }
		}
		trips, out.Iterations = p.search(start(), how)
	}
	p.order(trips)
	for _, t := range trips {
		list := make([]int, len(t))
		for i, k := range t {
			list[i] = perm[k-1]
		}
		out.Trips = append(out.Trips, list)
		out.Cost = add(out.Cost, add(p.legs(t), p.perTrip))
	}
	if out.Cost >= Apart {
		// Every stop can be reached and left by itself, so this is never the best.
		return Trips{}, fault.New(fault.Internal, "", "the trips found use a road that is closed")
	}
	return out, nil
}

// plant is the job in flat tables, stops 1…n in order of ID.
type plant struct {
	n, m      int // m = n+1: one row of the tables
	cost      []int64
	back      []int64 // back[i*m+j] = cost[j*m+i]; the same table where both ways cost the same
	load      []int64
	stay      []int64
	room      int64
	limit     int64
	perTrip   int64
	symmetric bool
	near      [][]int32 // of each stop, the others by distance, nearest first
	all       []int32   // stops
}

func newPlant(job Job, perm []int) (*plant, error) {
	n := len(job.Stops)
	if n > MostLoads {
		return nil, fault.Newf(fault.OutOfRange, "", "%d stops are more than can be put on trips at once", n).
			WithHint("plan one day or one crew at a time")
	}
	if job.Capacity < 0 || job.Limit < 0 || job.PerTrip < 0 || job.PerTrip >= Apart {
		return nil, fault.New(fault.OutOfRange, "", "what a trip may carry, how long it may be and what it costs cannot be below zero")
	}
	p := &plant{n: n, m: n + 1, room: job.Capacity, limit: job.Limit, perTrip: job.PerTrip, symmetric: true}
	if p.limit == 0 {
		p.limit = math.MaxInt64 / 4
	}
	p.load, p.stay = make([]int64, n+1), make([]int64, n+1)
	at := make([]int, n+1) // place here → place in the caller's costs
	for k, i := range perm {
		s := job.Stops[i]
		if k > 0 && job.Stops[perm[k-1]].ID == s.ID {
			return nil, fault.New(fault.Conflict, s.ID, "this stop is in the list twice")
		}
		if s.Load < 0 || s.Stay < 0 || s.Stay >= Apart {
			return nil, fault.New(fault.OutOfRange, s.ID, "what a stop takes and how long it takes cannot be below zero")
		}
		if s.Load > p.room {
			return nil, fault.New(fault.WontFit, s.ID, "this stop takes more than one trip carries").
				WithHint("serve it in several goes")
		}
		p.load[k+1], p.stay[k+1], at[k+1] = s.Load, s.Stay, i+1
	}
	p.cost = make([]int64, p.m*p.m)
	for i := range p.m {
		for j := range p.m {
			if i == j {
				continue
			}
			c := job.Cost(at[i], at[j])
			if c < 0 {
				return nil, fault.New(fault.OutOfRange, "", "a leg cannot cost less than nothing")
			}
			p.cost[i*p.m+j] = min(c, Apart)
		}
	}
	p.back = p.cost
	for i := range p.m {
		for j := range i {
			p.symmetric = p.symmetric && p.cost[i*p.m+j] == p.cost[j*p.m+i]
		}
	}
	if !p.symmetric {
		p.back = make([]int64, p.m*p.m)
		for i := range p.m {
			for j := range p.m {
				p.back[j*p.m+i] = p.cost[i*p.m+j]
			}
		}
	}
	for k := 1; k <= n; k++ {
		alone := add(p.cost[k], p.cost[k*p.m])
		if alone >= Apart {
			return nil, fault.New(fault.Missing, job.Stops[perm[k-1]].ID, "there is no way to this stop and home again").
				WithHint("give its place or a distance from home")
		}
		if alone+p.stay[k] > p.limit {
			return nil, fault.New(fault.WontFit, job.Stops[perm[k-1]].ID, "the way there and back is longer than one trip may be")
		}
	}
	return p, nil
}

// legs is the cost of the way home, t in order, home.
func (p *plant) legs(t []int32) int64 {
	var sum int64
	at := 0
	for _, k := range t {
		sum = add(sum, p.cost[at*p.m+int(k)])
		at = int(k)
	}
	return add(sum, p.cost[at*p.m])
}

// order puts trips into the one order that [Trips] promises.
func (p *plant) order(trips [][]int32) {
	for _, t := range trips {
		if t[0] <= t[len(t)-1] {
			continue
		}
		was := p.legs(t)
		if slices.Reverse(t); p.legs(t) != was {
			slices.Reverse(t)
		}
	}
	slices.SortFunc(trips, func(a, b []int32) int { return cmp.Compare(slices.Min(a), slices.Min(b)) })
}

// exact splits the stops into trips at the least cost. way[S] is the cheapest
// round through the set S if it fits on one trip; best[S] the cheapest split of
// S. The trip with the lowest stop of S is taken first, so each split is looked
// at once. The cheapest round is also the shortest, so a set that breaks the
// limit on it breaks it on every other.
func (p *plant) exact() [][]int32 {
	if p.n == 0 {
		return nil
	}
	rest := roundTable(p.n, p.cost)
	full := 1<<p.n - 1
	way, best := make([]int64, full+1), make([]int64, full+1)
	load, stay := make([]int64, full+1), make([]int64, full+1)
	take := make([]int, full+1)
	for s := 1; s <= full; s++ {
		low := s & -s
		k := bitAt(low)
		load[s], stay[s] = load[s^low]+p.load[k], stay[s^low]+p.stay[k]
		way[s] = Apart
		if r := rest[s*p.m]; load[s] <= p.room && r < Apart && r+stay[s] <= p.limit {
			way[s] = add(r, p.perTrip)
		}
	}
	for s := 1; s <= full; s++ {
		low := s & -s
		others := s ^ low
		best[s] = Apart
		for sub := others; ; sub = (sub - 1) & others {
			if w := way[sub|low]; w < Apart {
				if v := add(w, best[others^sub]); v < best[s] {
					best[s], take[s] = v, sub|low
				}
			}
			if sub == 0 {
				break
			}
		}
	}
	var out [][]int32
	for s := full; s != 0; s ^= take[s] {
		out = append(out, readRound(p.n, p.cost, rest, take[s]))
	}
	return out
}

// bitAt gives the stop that a set of one holds.
func bitAt(low int) int {
	k := 1
	for low > 1 {
		low, k = low>>1, k+1
	}
	return k
}
