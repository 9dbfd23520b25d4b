package feeding

import (
	"cmp"
	"math/bits"
	"slices"

	"larder/internal/route"
)

// Small seasons by sets of loads
//
// The search fills feeders to the brim or, as far as it sees why, less. Where
// tanks are what is short, that is not enough: which litres go out on which
// load has to be decided for all yards at once. In a season of a few yards and
// days it can be. The sets of loads, each load the yards it calls at, are gone
// through in order of the time they take at least, each on all the days it may
// go out; the litres are a flow from loads through feeders into colonies, which
// is exact: what a feeder holds after a fill, what is taken until the next and
// what is left over are pipes. The first set on which everybody gets what he is
// to get, with no more lids lifted and batches mixed than there must be, cannot
// be beaten by any set of loads; how far this goes is bounded by steps counted,
// never by the clock. Where there are more days than that is possible for, some
// are left out, and then something better may lie on them.

const (
	byLoadYards = 7
	byLoadDays  = 9 // of those on which a round may be made anywhere
	byLoadNodes = 1_000_000
	byLoadWays  = 700_000   // of setting loads on days
	byLoadWork  = 1_500_000 // nodes of networks looked at
	byLoadFlows = 1000      // plans made
	byLoadLoads = 32        // loads in a set
	byLoadSets  = 50_000    // sets of loads of about the same time
)

// round is the best way through a set of yards.
type round struct {
	order []int // into job.yards
	time  tick  // filling the tank, driving and setting up
}

type byLoad struct {
	*job
	list   []int // yards to be fed
	days   []int // on which a round may be made anywhere
	open   []int // by day: the yards at which it may, as a set of list
	rounds []round
	aim    []micro   // by hive
	lids   [][]int16 // by hive, by set of days: the fewest fills, -1 = they do not suffice
	total  micro
	best   *solution
	all    bool // each yard alone could be given all it is to get

	need   []int // by yard of list: fewest visits
	lid    tick  // the least there is
	base   tick  // what any plan takes beside its rounds
	ranks  []int // sets of yards a load may call at
	cheap  []tick
	nodes  int
	ways   int
	flows  int
	stop   bool
	net    flow
	old    []micro
	doses  []pipeTo
	mouths []mouth
	gates  [byLoadDays]int // by day of t.days: the pipe from the store to its loads
	houses [byLoadDays]int // and the store
	loads  []int           // sets of yards
	on     []int           // their days
	rowUse []tick
}

// mouth is the node at which a hive takes its syrup.
type mouth struct{ h, node int }

// pipeTo is what a load may give a hive.
type pipeTo struct{ load, h, e int }

// byLoads gives the best plan found by going through sets of loads, s where there
// is none better. All its tanks are filled at home; [solution.elsewhere] then
// fills them where it is better.
func (j *job) byLoads(s *solution) *solution {
	if j.busy == 0 || j.busy > byLoadYards || len(j.trucks) != 1 || j.gated {
		return s
	}
	t := &byLoad{job: j, best: s, lid: longest}
	if !t.ready() {
		return s
	}
	if t.all {
		t.search()
	}
	if t.best.mark.short > 0 {
		t.share()
	}
	return t.best
}

// ready works out rounds, and what each hive needs of a set of days.
func (t *byLoad) ready() bool {
	j := t.job
	seen := make([]bool, j.days)
	for y := range j.yards {
		if len(j.fed[y]) == 0 {
			continue
		}
		t.list = append(t.list, y)
		for _, d := range j.yards[y].feed {
			seen[d] = seen[d] || j.trucks[0].day[d] > 0
		}
	}
	t.days = t.someDays(seen)
	if len(t.days) == 0 || len(t.days) > byLoadDays {
		return false
	}
	for _, d := range t.days {
		t.lid = min(t.lid, j.trucks[0].lid[d])
	}
	for _, d := range t.days {
		set := 0
		for i, y := range t.list {
			if _, ok := slices.BinarySearch(j.yards[y].feed, d); ok {
				set |= 1 << i
			}
		}
		t.open = append(t.open, set)
	}
	t.rounds = make([]round, 1<<len(t.list))
	for set := range t.rounds {
		t.rounds[set] = t.roundOf(set)
	}
	t.aim, t.lids = make([]micro, len(j.hives)), make([][]int16, len(j.hives))
	given := make([]micro, len(j.hives))
	for y := range t.best.yards {
		for _, pours := range t.best.yards[y].pours {
			for _, p := range pours {
				given[p.h] += p.v
			}
		}
	}
	lids := 0
	t.all = true
	for _, y := range t.list {
		calendars := make([]int, 1<<len(t.days))
		for _, h := range j.fed[y] {
			// No less than the plan found gives, so that it is not beaten by giving
			// less. Where that leaves a crumb, the crumb stays.
			t.aim[h] = given[h]
			if j.hives[h].goal-given[h] > j.crumb() {
				t.aim[h] = j.hives[h].goal
			}
			t.total += t.aim[h]
			t.lids[h] = t.fewestLids(h)
			for set, n := range t.lids[h] {
				if n < 0 || calendars[set] < 0 {
					calendars[set] = -1
				} else {
					calendars[set] += int(n)
				}
			}
		}
		visits, least := -1, -1
		for set, n := range calendars {
			if n < 0 {
				continue
			}
			if k := bits.OnesCount(uint(set)); visits < 0 || k < visits {
				visits = k
			}
			if least < 0 || n < least {
				least = n
			}
		}
		t.all = t.all && visits >= 0
		t.need = append(t.need, visits)
		lids += least
	}
	t.rowUse = make([]tick, len(t.days))
	t.base = tick(lids)*t.lid + pumping(t.total, j.trucks[0].pump)
	if short := t.total - j.mix.hand; short > 0 {
		t.base += tick(j.mix.batches(short)) * j.mix.time
	}
	return true
}

// someDays gives the days that may be used, ascending: where they are too many,
// those of the plan found, and others in the widest gaps between them.
func (t *byLoad) someDays(may []bool) (days []int) {
	var all []int
	for d, ok := range may {
		if ok {
			all = append(all, d)
		}
	}
	if len(all) <= byLoadDays {
		return all
	}
	for _, d := range all {
		if len(t.best.days[d][0].trips) > 0 {
			days = append(days, d)
		}
	}
	if len(days) >= byLoadDays {
		return days
	}
	return resize(all, days, byLoadDays)
}

// roundOf finds the best way through a set of yards; its time is longest where
// there is none.
func (t *byLoad) roundOf(set int) round {
	var r round
	for i, y := range t.list {
		if set>>i&1 == 1 {
			r.order = append(r.order, y)
		}
	}
	if set == 0 {
		return r
	}
	at := func(i int) int {
		if i == 0 {
			return 0
		}
		return r.order[i-1] + 1
	}
	order, _ := route.Order(len(r.order), func(a, b int) int64 { return t.roads.cost(at(a), at(b)) })
	out := make([]int, len(order))
	for i, k := range order {
		out[i] = r.order[k-1]
	}
	r.order, r.time = out, t.trucks[0].fill
	from := 0
	for _, y := range append(slices.Clone(out), -1) {
		w, ok := t.roads.drive(from, y+1)
		if !ok {
			r.time = longest
			return r
		}
		if r.time += w; y >= 0 {
			r.time += t.job.yards[y].setup
		}
		from = y + 1
	}
	return r
}

// fewestLids gives for each set of days the fewest fills that give hive h what
// it is to get, -1 where all of them do not.
func (t *byLoad) fewestLids(h int) []int16 {
	out := make([]int16, 1<<len(t.days))
	feeds := t.job.yards[t.hives[h].yard].feed
	for set := range out {
		out[set] = -1
		if t.aim[h] <= dust {
			out[set] = 0
			continue
		}
		for i := range t.days {
			if set>>i&1 == 1 {
				if n := out[set&^(1<<i)]; n >= 0 && (out[set] < 0 || n < out[set]) {
					out[set] = n
				}
			}
		}
		if out[set] >= 0 {
			continue
		}
		b := t.start(h)
		var sum micro
		for i, d := range t.days {
			if set>>i&1 == 0 {
				continue
			}
			if _, ok := slices.BinarySearch(feeds, d); !ok {
				continue
			}
			if f, _ := t.room(h, &b, d); f.v > 0 {
				t.pour(h, &b, d, f.v)
				sum += f.v
			}
		}
		if sum < t.aim[h] && sum+dust >= t.aim[h] && set == len(out)-1 {
			t.aim[h] = sum
		}
		if sum+dust >= t.aim[h] {
			out[set] = int16(bits.OnesCount(uint(set)))
		}
	}
	return out
}

// setOfLoads is one choice of loads, and what it takes at least.
type setOfLoads struct {
	loads []int
	time  tick
}

// search goes through the sets of loads, those that take least first.
func (t *byLoad) search() {
	t.cheap = make([]tick, len(t.list))
	for i, y := range t.list {
		t.cheap[i] = t.rounds[1<<i].time - t.job.yards[y].setup
	}
	for set := len(t.rounds) - 1; set > 0; set-- {
		if t.rounds[set].time < longest {
			t.ranks = append(t.ranks, set)
		}
	}
	least := t.base + t.rest(t.need)
	bound := func() tick {
		if t.best.mark.worth == (worth{}) {
			return t.best.mark.exactTime
		}
		return 3 * least
	}
	grain := max(1, least/100)
	for low := least - 1; low < bound() && !t.stop; low += grain {
		var found []setOfLoads
		t.gather(0, nil, slices.Clone(t.need), t.base, low, min(low+grain, bound()), &found)
		slices.SortStableFunc(found, func(a, b setOfLoads) int {
			return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(len(a.loads), len(b.loads)))
		})
		for i := range found {
			if found[i].time >= bound() || t.stop {
				break
			}
			t.loads = found[i].loads
			t.on = make([]int, len(t.loads))
			t.rowUse = make([]tick, len(t.days))
			t.assign(0, found[i].time)
		}
	}
}

// rest is the least that visits still needed take.
func (t *byLoad) rest(need []int) (time tick) {
	var top tick
	for i, n := range need {
		if n > 0 {
			time += tick(n) * t.job.yards[t.list[i]].setup
			top = max(top, tick(n)*t.cheap[i])
		}
	}
	return time + top
}

// gather lists the sets of loads that take more than low and at most high. Loads
// that cost no time at all (a yard at home) may be as many as the days allow, and
// no more.
func (t *byLoad) gather(at int, loads []int, need []int, time, low, high tick, found *[]setOfLoads) {
	if t.nodes++; t.nodes > byLoadNodes {
		t.stop = true
	}
	if t.stop || len(*found) >= byLoadSets || len(loads) > t.mostLoads() || time+t.rest(need) > high {
		return
	}
	if time > low && len(loads) >= ceilDiv(t.total, t.trucks[0].tank) && !slices.ContainsFunc(need, func(n int) bool { return n > 0 }) {
		*found = append(*found, setOfLoads{slices.Clone(loads), time})
	}
	for ; at < len(t.ranks); at++ {
		set := t.ranks[at]
		x := time + t.rounds[set].time
		if x > high {
			continue
		}
		for i := range need {
			need[i] -= set >> i & 1
		}
		t.gather(at, append(loads, set), need, x, low, high, found)
		for i := range need {
			need[i] += set >> i & 1
		}
	}
}

// mostLoads is how many loads there can be, or are looked at.
func (t *byLoad) mostLoads() int {
	return min(byLoadLoads, len(t.days)*min(byLoadLoads, t.trucks[0].loads, t.allLoads))
}

// assign sets the loads from i on on their days, in all ways.
func (t *byLoad) assign(i int, time tick) {
	if t.ways++; t.ways > byLoadWays || t.net.work > byLoadWork || t.flows > byLoadFlows {
		t.stop = true
	}
	if t.stop || t.best.mark.worth == (worth{}) && t.best.mark.exactTime <= time {
		return
	}
	if i == len(t.loads) {
		t.fill(time)
		return
	}
	first := 0
	if i > 0 && t.loads[i] == t.loads[i-1] {
		first = t.on[i-1]
	}
	for d := first; d < len(t.days); d++ {
		set := t.loads[i]
		x := t.rowUse[d] + t.rounds[set].time
		if set&^t.open[d] != 0 || x > t.trucks[0].day[t.days[d]] {
			continue
		}
		n := 1
		for k := range i {
			if t.on[k] == d {
				n++
			}
		}
		if n > t.trucks[0].loads || n > t.allLoads {
			continue
		}
		t.on[i], t.rowUse[d] = d, x
		t.assign(i+1, time)
		t.rowUse[d] -= t.rounds[set].time
	}
}

// fill finds the litres for loads on their days, and takes the plan if it is
// the best so far.
func (t *byLoad) fill(time tick) {
	lids, least := 0, 0
	for i, y := range t.list {
		days := 0
		for k, set := range t.loads {
			days |= (set >> i & 1) << t.on[k]
		}
		for _, h := range t.fed[y] {
			n := int(t.lids[h][days])
			if n < 0 {
				return
			}
			lids += n
			least += int(t.lids[h][len(t.lids[h])-1])
		}
	}
	if t.best.mark.worth == (worth{}) && time+tick(lids-least)*t.lid >= t.best.mark.exactTime {
		return
	}
	t.take(t.litres(lids, true))
}

// take makes s the best plan if it is; of one as good, and no less, with its
// litres as early as can be.
func (t *byLoad) take(s *solution) {
	if s == nil {
		return
	}
	a, b := &s.mark, &t.best.mark
	if c := a.worth.compare(b.worth); c > 0 || c == 0 && a.time > b.time {
		return
	}
	if x := t.early(); x != nil && x.mark.compare(a) < 0 {
		s = x
	}
	if s.mark.compare(b) < 0 {
		t.best = s
	}
}
