package feeding

import (
	"math"

	"larder/internal/route"
)

// roads is every leg between home (0), the yards (1…n) and behind them
// the stores of syrup elsewhere, in whole metres and
// milliseconds; both are -1 where the leg is not known.
type roads struct {
	n    int // places, home included
	time []tick
	dist []int64
}

// readRoads asks for each leg once. Only yards with something to give are
// asked about.
func (j *job) readRoads() {
	n := len(j.yards) + 1 + len(j.sources)
	r := roads{n: n, time: make([]tick, n*n), dist: make([]int64, n*n)}
	id, used := make([]string, n), make([]bool, n)
	used[0] = true
	for i := range j.yards {
		id[i+1] = j.yards[i].ID
		for _, h := range j.yards[i].hives {
			used[i+1] = used[i+1] || j.hives[h].want > 0
		}
	}
	for i := range j.sources {
		k := len(j.yards) + 1 + i
		id[k], used[k] = j.sources[i].Place, true
	}
	for a := range n {
		for b := range n {
			k := a*n + b
			if a == b {
				continue
			}
			r.dist[k], r.time[k] = -1, -1
			if !used[a] || !used[b] {
				continue
			}
			leg, ok := j.p.Road(id[a], id[b])
			if !ok || !(leg.Dist >= 0 && leg.Dist < 1e8) || !(leg.Time >= 0 && leg.Time < 1e7) {
				continue
			}
			r.dist[k] = int64(math.Round(float64(leg.Dist)))
			r.time[k] = ticks(leg.Time)
		}
	}
	j.roads = r
}

// drive gives the time of a leg; false when it is not known.
func (r *roads) drive(a, b int) (tick, bool) {
	t := r.time[a*r.n+b]
	return t, t >= 0
}

// cost weighs a leg for the order of stops: time first, then distance.
func (r *roads) cost(a, b int) int64 {
	k := a*r.n + b
	if r.time[k] < 0 {
		return route.Apart
	}
	return int64(r.time[k])<<16 + min(r.dist[k]/8, 1<<16-1)
}
