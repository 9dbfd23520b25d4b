package feeding

import "slices"

// Which yards a step of the search lets go of.

// pick takes some yards that have to do with one another off the plan and gives
// them in the order in which to put them back.
func (s *searcher) pick() []int {
	n := len(s.list)
	most := min(n, 3+n/40, 8)
	if n <= 5 {
		most = n
	}
	k := 1 + s.rng.IntN(most)
	first := s.list[s.rng.IntN(n)]
	var out []int
	if s.now.mark.short > 0 && n > 5 && s.rng.IntN(2) == 0 {
		if out = s.inTheWay(k); out != nil {
			return out
		}
	}
	switch s.rng.IntN(4) {
	case 0: // those nearest to one
		out = s.nearest(first, k)
	case 1: // those on the same load or day
		out = s.together(first, k)
	case 2: // anyhow
		for _, i := range s.rng.Perm(n)[:k] {
			out = append(out, s.list[i])
		}
	default: // one load as a whole, a poor one more likely
		out = s.onLoad(k)
	}
	s.rng.Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
	return out
}

// inTheWay gives a yard that is short for want of room, and some that take the
// room it would need: on days of a calendar that would serve it.
func (s *searcher) inTheWay(k int) []int {
	var short []int
	for _, y := range s.list {
		if s.now.yards[y].worth.short > s.leastShort(y) {
			short = append(short, y)
		}
	}
	if len(short) == 0 {
		return nil
	}
	y := short[s.rng.IntN(len(short))]
	out := []int{y}
	full := s.choices(y).full
	if len(full) == 0 {
		return out
	}
	days := full[s.rng.IntN(len(full))].days
	for range k {
		d := days[s.rng.IntN(len(days))]
		t := s.rng.IntN(len(s.trucks))
		trips := s.now.days[d][t].trips
		if len(trips) == 0 {
			continue
		}
		calls := trips[s.rng.IntN(len(trips))].calls
		if o := calls[s.rng.IntN(len(calls))].y; !slices.Contains(out, o) {
			out = append(out, o)
		}
	}
	return out
}

// nearest gives k yards near y, itself first, with some chance in it.
func (s *searcher) nearest(y, k int) []int {
	if s.near == nil {
		s.near = make([][]int, len(s.yards))
	}
	if s.near[y] == nil {
		l := slices.Clone(s.list)
		slices.SortStableFunc(l, func(a, b int) int {
			return int(min(1, max(-1, s.apart(y, a)-s.apart(y, b))))
		})
		s.near[y] = l[:min(len(l), 24)]
	}
	out := []int{y}
	for _, o := range s.near[y] {
		if len(out) >= k {
			break
		}
		if o != y && s.rng.IntN(3) > 0 {
			out = append(out, o)
		}
	}
	return out
}

func (s *searcher) apart(a, b int) tick {
	if a == b {
		return -1
	}
	if t, ok := s.roads.drive(a+1, b+1); ok {
		return t
	}
	return longest
}

// together gives y and yards called at on one of its days.
func (s *searcher) together(y, k int) []int {
	out := []int{y}
	days := s.now.yards[y].days
	if len(days) == 0 {
		return out
	}
	d := days[s.rng.IntN(len(days))]
	var with []int
	for t := range s.now.days[d] {
		for i := range s.now.days[d][t].trips {
			for _, c := range s.now.days[d][t].trips[i].calls {
				if c.y != y && !slices.Contains(with, c.y) {
					with = append(with, c.y)
				}
			}
		}
	}
	s.rng.Shuffle(len(with), func(i, k int) { with[i], with[k] = with[k], with[i] })
	return append(out, with[:min(len(with), k-1)]...)
}

// onLoad gives the yards of the emptier of two loads drawn, k at most.
func (s *searcher) onLoad(k int) []int {
	var at [][3]int
	for d := range s.now.days {
		for t := range s.now.days[d] {
			for i := range s.now.days[d][t].trips {
				at = append(at, [3]int{d, t, i})
			}
		}
	}
	if len(at) == 0 {
		return []int{s.list[s.rng.IntN(len(s.list))]}
	}
	get := func() *trip {
		a := at[s.rng.IntN(len(at))]
		return &s.now.days[a[0]][a[1]].trips[a[2]]
	}
	a, b := get(), get()
	if b.q < a.q {
		a = b
	}
	var out []int
	for i := range a.calls {
		if y := a.calls[i].y; !slices.Contains(out, y) {
			out = append(out, y)
		}
	}
	s.rng.Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
	// A load of many yards is too much at once.
	return out[:min(len(out), max(k, 3))]
}
