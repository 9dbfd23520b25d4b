package feeding

import (
	"cmp"
	"math/bits"

	"larder/internal/fault"
	"larder/internal/units"
)

// How a plan is made
//
// The pieces know little of each other, so that each can be replaced:
//
//	prepare   checks a Problem and turns it into a job: rows by id, whole
//	          microlitres, milliseconds and metres, and for every hive what
//	          may be given at all; the rest is a gap with its reason
//	topUp     the fill of one hive on one day; pour follows its feeder. Given
//	          its visit days, a yard's best litres are those of topping up, since
//	          taking earlier is never worse, as long as no tank is too small
//	visits    the calendar of one yard alone, without truck or crew, and the
//	          window in which its first visit may move
//	pack      one working day: which yards, how much of each, within hours,
//	          loads and syrup
//	cut       a day's calls into tank loads; sequence puts a load's stops in
//	          the order of least driving
//	schedule  litres driven out by day into litres mixed by day, as late as
//	          possible, or that it cannot be done
//	season    pack, day after day; never looks back, so what it makes is
//	          feasible at every step
//	best      several seasons in several manners, judged by mark; with
//	          firstThings when time does not suffice for all
//	begin     the better of best and of putting in yard after yard: the start
//	choices   the calendars a yard may take, each with its litres and lids
//	fillYard  what each hive of a yard gets for given visit days
//	solution  a whole plan in the making: trucks' days, judged by tiers
//	search    yards taken off and put back until nothing better is found
//	byLoads   small seasons: the sets of loads gone through, least time first,
//	          the litres of all yards decided at once as a flow; or, where hours
//	          are short, loads changed at random
//	bounds    what no plan can beat, from the roads and the needs alone
//	write     amounts in units, and a reason on every line
//
// Check goes the other way, from a Plan back to the rules, by plain arithmetic
// of its own.

// Make plans the feeding: which yard on which day, how much for each hive, on
// which load, mixed when.
//
// The plan is feasible first: every fill within feeder, need, comb and what
// can still be taken by the stop day; every load within tank and payload;
// every day within the crew's time, mixing included; every batch within the
// mixer and ready before its load. Of the feasible plans it looks at, it takes
// the one that comes first in this order, each step a whole number, so that a
// later one never outweighs an earlier one:
//
//  1. least syrup short, weighted by risk
//  2. the smallest largest shortage, as a part of the need
//  3. fewest days on which a feeder runs dry that never should
//  4. least crew time (loads and mixing, tenths of a minute), then road
//     (tenths of a kilometre), then loads
//  5. least left in feeders after the stop day: none, by the rule of amounts
//  6. fewest fills unlike the plan already out
//
// and of plans alike in all that the one that feeds earlier. What is short is
// counted against what a round on every feedable day would bring in; short by no
// more than a handy step counts as not short (see crumb).
//
// It does not claim to find the best plan there is; Plan.Bounds says how far
// from it it can be at most.
//
// What cannot be served is in Plan.Unmet with the reason. Errors are for what
// no plan can be made of: a colony or yard twice, a colony in no yard, amounts
// that cannot be, and, if anybody needs syrup, a tank, pump, crew, syrup or
// roads not told.
//
// Equal problems give equal plans, whatever the order of their rows. Seed sets
// the lots the search draws.
func Make(p Problem) (Plan, error) { return MakeWatched(p, nil) }

// Watch is told how far the work is: done parts of so many. When it answers
// false the work stops. It is called some hundred times in a long work, from the
// goroutine that works. How many parts there are may grow while it goes on.
type Watch func(done, of int) (goOn bool)

// MakeWatched is [Make] under the eyes of watch (nil = nobody's), and with the
// same result. Stopped, it gives fault.Stopped and no plan.
func MakeWatched(p Problem, watch Watch) (Plan, error) {
	var look func(Progress) bool
	if watch != nil {
		look = func(g Progress) bool { return watch(g.Done, g.Of) }
	}
	pl, whole, err := MakeSoFar(p, look)
	if err == nil && !whole {
		return Plan{}, stopped()
	}
	return pl, err
}

func stopped() error {
	return &fault.Error{Kind: fault.Stopped, Op: "feeding.Make", Say: "stopped before there was a plan", Hint: "nothing was changed; ask again when you like"}
}

// Progress is how far the work is: Done parts of Of, which may grow, and what
// the best plan so far comes to, once there is one.
type Progress struct {
	Done, Of int
	Found    bool // there is a plan
	Loads    int
	Time     units.Duration // of all crews, mixing included
	Short    bool           // somebody is left short by it for want of hours, loads or syrup
}

// MakeSoFar is [Make] under the eyes of watch, which may stop the work when the
// plan found so far will do: then whole is false, and Plan.Iterations with the
// same seed gives that plan again. Stopped before there was any plan it gives
// fault.Stopped.
func MakeSoFar(p Problem, watch func(Progress) (goOn bool)) (pl Plan, whole bool, err error) {
	j, err := prepare(&p)
	if err != nil {
		return Plan{}, false, err
	}
	j.watch = watch
	best := j.plan()
	if best == nil {
		return Plan{}, false, stopped()
	}
	return j.write(best), !j.stopped, nil
}

// goOn notes one more day gone through, and tells whether to go on.
func (j *job) goOn() bool {
	j.done++
	if j.watch == nil || j.stopped {
		return !j.stopped
	}
	g := Progress{Done: j.done, Of: max(j.ahead, j.done)}
	if m := j.found; m != nil {
		g.Found, g.Loads, g.Time, g.Short = true, int(m.loads), m.exactTime.duration(), m.short > 0
	}
	j.stopped = !j.watch(g)
	return !j.stopped
}

// manners are the ways tried, the eager one first. Large problems try only the
// first few: the choice is by size, never by the clock.
var manners = []manner{
	{ripe: true},
	{ripe: true, fullness: 0.9},
	{ripe: true, fullness: 0.6, margin: 1},
	{ripe: true, byDate: true},
	{ripe: true, fullness: 0.9, byDate: true},
	{fullness: 0.9},
	{fullness: 0.9, margin: 2},
	{margin: 3},
	{},
	{fullness: 0.6, margin: 3, byDate: true},
}

func (j *job) manners() []manner {
	switch n := len(j.hives); {
	case n > 4000:
		return manners[:1]
	case n > 1000:
		return manners[:3]
	case n > 300:
		return manners[:6]
	}
	return manners
}

// trifle is the part of the syrup that may be left unserved for want of hours
// before strict order of risk sets in. Below it a plan weighed by risk serves
// nearly all and calls at each yard once where strict order would call twice.
const trifle = 0.01

// best runs the season in several manners and keeps the best; when that leaves
// colonies unserved that more hours would serve, those at greatest risk go
// first.
func (j *job) best() *run {
	if j.tank == 0 { // nobody needs anything
		return j.newRun(manner{}, nil, nil)
	}
	var best *run
	var score mark
	j.ahead = j.days * len(j.manners())
	for _, how := range j.manners() {
		r := j.newRun(how, nil, nil).season()
		if s := r.mark(); best == nil || s.less(score) {
			best, score = r, s
		}
	}
	if score.lack <= trifle*score.goal {
		return best
	}
	order := j.ranking()
	j.ahead += j.days * (2 + bits.Len(uint(exactness(len(order)))))
	first := j.firstThings(best.how, order)
	if k, f := best.served(order), first.served(order); f > k || f == k && first.mark().less(score) {
		return first
	}
	return best
}

// mark is what a run is judged by, in this order.
type mark struct {
	unserved float64 // litres, weighted by risk
	loads    int
	stops    int
	time     tick
	dist     int64
	late     float64 // litre-days
	// Not compared: litres not given of those aimed at.
	lack, goal float64
}

func (r *run) mark() mark {
	var m mark
	for h := range r.hives {
		s := &r.hives[h]
		// A colony hardly at risk still counts for something.
		m.goal += float64(s.goal) / 1e6
		if lack := s.goal - r.given(h); lack > r.crumb() {
			m.lack += float64(lack) / 1e6
			m.unserved += (0.05 + s.Risk) * float64(lack) / 1e6
		}
	}
	m.loads = len(r.out)
	for i := range r.out {
		t := &r.out[i]
		m.stops += len(t.calls)
		m.time += t.time
		m.dist += t.dist
		m.late += float64(t.d) * float64(t.q) / 1e6
	}
	return m
}

func (m mark) less(o mark) bool {
	return cmp.Or(
		cmp.Compare(m.unserved, o.unserved),
		cmp.Compare(m.loads, o.loads),
		cmp.Compare(m.stops, o.stops),
		cmp.Compare(m.time, o.time),
		cmp.Compare(m.dist, o.dist),
		cmp.Compare(m.late, o.late),
	) < 0
}
