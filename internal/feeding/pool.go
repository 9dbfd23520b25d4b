package feeding

import (
	"cmp"
	"slices"
)

// choice is a calendar a yard may take, with what it hauls on each day.
type choice struct {
	days  []int
	q     []micro
	lids  []int
	worth worth
	idle  tick
	fills *calls // worked out when first needed
}

// pool is the choices of one yard: full are those that bring in all that can be
// brought in, less the others, best first.
type pool struct{ full, less []choice }

// poolSize is how many calendars of a yard are looked at, by the number of
// yards: a season of a few yards goes through all there are.
func (j *job) poolSize() int {
	switch n := j.busy; {
	case n <= 8:
		return 2500
	case n <= 20:
		return 1000
	case n <= 100:
		return 450
	case n <= 600:
		return 150
	}
	return 60
}

// choices gives the pool of yard y, made when first asked for.
func (j *job) choices(y int) *pool {
	if j.pools[y] != nil {
		return j.pools[y]
	}
	p := &pool{}
	j.pools[y] = p
	if j.nothing[y].worth == (worth{}) {
		return p // crumbs all of them: no visit is made for that
	}
	hs := j.fed[y]
	st := make([]bees, len(hs))
	never := false
	for i, h := range hs {
		st[i] = j.start(h)
		never = never || j.hives[h].Never
	}
	pa := j.party(&j.yards[y], hs, st, 0)
	base := j.visits(&pa).days
	if len(base) == 0 {
		return p
	}
	seen := map[string]bool{}
	var all []choice
	add := func(days []int) {
		key := keyOf(days)
		if seen[key] {
			return
		}
		seen[key] = true
		all = append(all, j.choiceOf(y, days))
	}
	add(base)
	most := j.poolSize()
	feed := pa.feed
	larger := 1
	if never {
		larger = 3
	}
	for k := 1; k <= min(len(feed), len(base)+larger); k++ {
		if count := binomial(len(feed), k, most+1); len(all)+count <= most {
			subsets(feed, k, add)
			continue
		}
		if k < len(base)-2 {
			continue
		}
		j.near(feed, resize(feed, base, k), (most-len(all))/2+20, add)
	}
	if never || len(feed) <= 40 && len(base) > mostVisits/2 {
		add(slices.Clone(feed))
	}
	top := all[0].worth
	for i := range all {
		if all[i].worth.less(top) {
			top = all[i].worth
		}
	}
	for i := range all {
		if all[i].worth == top {
			p.full = append(p.full, all[i])
		} else {
			p.less = append(p.less, all[i])
		}
	}
	order := func(a, b choice) int {
		return cmp.Or(a.worth.compare(b.worth), cmp.Compare(len(a.days), len(b.days)), slices.Compare(a.days, b.days))
	}
	slices.SortFunc(p.full, order)
	slices.SortFunc(p.less, order)
	if len(p.less) > most/4+20 {
		p.less = p.less[:most/4+20]
	}
	return p
}

// callsOf gives the fills of a choice.
func (j *job) callsOf(y int, c *choice) calls {
	if c.fills == nil {
		f := j.fillYard(y, c.days, nil, nil)
		c.fills = &f
	}
	return *c.fills
}

func keyOf(days []int) string {
	b := make([]byte, 0, 2*len(days))
	for _, d := range days {
		b = append(b, byte(d), byte(d>>8))
	}
	return string(b)
}

func (j *job) choiceOf(y int, days []int) choice {
	c := j.fillYard(y, days, nil, nil)
	out := choice{worth: c.worth, idle: c.idle}
	for k, p := range c.pours {
		if len(p) == 0 {
			continue
		}
		var q micro
		for i := range p {
			q += p[i].v
		}
		out.days, out.q, out.lids = append(out.days, days[k]), append(out.q, q), append(out.lids, len(p))
	}
	return out
}

// binomial gives n over k, at most most.
func binomial(n, k, most int) int {
	x := 1
	for i := range k {
		if x = x * (n - i) / (i + 1); x > most {
			return most
		}
	}
	return x
}

// subsets goes through all choices of k of the days.
func subsets(days []int, k int, do func([]int)) {
	at := make([]int, k)
	for i := range at {
		at[i] = i
	}
	for {
		out := make([]int, k)
		for i, a := range at {
			out[i] = days[a]
		}
		do(out)
		i := k - 1
		for i >= 0 && at[i] == len(days)-k+i {
			i--
		}
		if i < 0 {
			return
		}
		at[i]++
		for i++; i < k; i++ {
			at[i] = at[i-1] + 1
		}
	}
}

// resize makes a calendar of k days out of base: without its last ones, or with
// days in its widest gaps.
func resize(feed, base []int, k int) []int {
	out := slices.Clone(base)
	for len(out) > k {
		out = out[:len(out)-1]
	}
	for len(out) < k {
		best, gap := -1, -1
		for _, d := range feed {
			i, there := slices.BinarySearch(out, d)
			if there {
				continue
			}
			g := d
			if i > 0 {
				g = d - out[i-1]
			}
			if i < len(out) {
				g = min(g, out[i]-d)
			}
			if g > gap {
				best, gap = d, g
			}
		}
		if best < 0 {
			return out
		}
		i, _ := slices.BinarySearch(out, best)
		out = slices.Insert(out, i, best)
	}
	return out
}

// near goes through calendars like base, some most of them: all of it earlier or
// later, and each day moved a little by itself.
func (j *job) near(feed, base []int, most int, do func([]int)) {
	n, k := len(feed), len(base)
	at := make([]int, k)
	for i, d := range base {
		at[i], _ = slices.BinarySearch(feed, d)
	}
	try := func(x []int) bool {
		out := make([]int, k)
		for i, a := range x {
			if a < 0 || a >= n || i > 0 && a <= x[i-1] {
				return false
			}
			out[i] = feed[a]
		}
		do(out)
		return true
	}
	x := make([]int, k)
	for s := -n; s <= n; s++ {
		for i := range x {
			x[i] = at[i] + s
		}
		if try(x) {
			most--
		}
	}
	w := 0
	for size := 1; w < 5; w++ {
		size = 1
		for range k {
			size *= 2*w + 3
			if size > most {
				break
			}
		}
		if size > most {
			break
		}
	}
	if w == 0 {
		// One or two days moved at a time.
		for a := range k {
			for b := a; b < k; b++ {
				for da := -2; da <= 2; da++ {
					for db := -2; db <= 2; db++ {
						if most <= 0 {
							return
						}
						copy(x, at)
						x[a] += da
						if b != a {
							x[b] += db
						}
						if try(x) {
							most--
						}
					}
				}
			}
		}
		return
	}
	off := make([]int, k)
	for i := range off {
		off[i] = -w
	}
	for {
		for i := range x {
			x[i] = at[i] + off[i]
		}
		try(x)
		i := 0
		for i < k && off[i] == w {
			off[i] = -w
			i++
		}
		if i == k {
			return
		}
		off[i]++
	}
}
