package feeding

// flow is a network of pipes in which as much as possible is sent from one node
// to another (Dinic, Soviet Math. Doklady 11 (1970), 1277-1280; from memory). Pipes
// come in pairs: e and e^1 run against each other, and what one carries the
// other can take back.
type flow struct {
	first []int // by node: its first pipe, -1 = none
	next  []int // by pipe
	to    []int
	room  []micro
	depth []int
	at    []int
	queue []int
	work  int // nodes looked at so far
}

func (f *flow) reset(nodes int) {
	f.first = f.first[:0]
	for range nodes {
		f.first = append(f.first, -1)
	}
	f.next, f.to, f.room = f.next[:0], f.to[:0], f.room[:0]
}

func (f *flow) node() int {
	f.first = append(f.first, -1)
	return len(f.first) - 1
}

// pipe adds one from a to b and gives its number.
func (f *flow) pipe(a, b int, room micro) int {
	e := len(f.to)
	f.to, f.room, f.next = append(f.to, b, a), append(f.room, room, 0), append(f.next, f.first[a], f.first[b])
	f.first[a], f.first[b] = e, e+1
	return e
}

// carries is what goes through pipe e.
func (f *flow) carries(e int) micro { return f.room[e^1] }

// send sends as much as there is room for from a to b, limit at most, and gives
// how much.
func (f *flow) send(a, b int, limit micro) (sent micro) {
	for sent < limit && f.levels(a, b) {
		f.at = append(f.at[:0], f.first...)
		for sent < limit {
			v := f.push(a, b, limit-sent)
			if v == 0 {
				break
			}
			sent += v
		}
	}
	return sent
}

func (f *flow) levels(a, b int) bool {
	f.depth = f.depth[:0]
	for range f.first {
		f.depth = append(f.depth, -1)
	}
	f.depth[a] = 0
	f.queue = append(f.queue[:0], a)
	for i := 0; i < len(f.queue); i++ {
		f.work++
		n := f.queue[i]
		for e := f.first[n]; e >= 0; e = f.next[e] {
			if m := f.to[e]; f.room[e] > 0 && f.depth[m] < 0 {
				f.depth[m] = f.depth[n] + 1
				if m == b {
					return true
				}
				f.queue = append(f.queue, m)
			}
		}
	}
	return false
}

func (f *flow) push(n, b int, limit micro) micro {
	if n == b {
		return limit
	}
	for ; f.at[n] >= 0; f.at[n] = f.next[f.at[n]] {
		e := f.at[n]
		m := f.to[e]
		if f.room[e] == 0 || f.depth[m] != f.depth[n]+1 {
			continue
		}
		if v := f.push(m, b, min(limit, f.room[e])); v > 0 {
			f.room[e] -= v
			f.room[e^1] += v
			return v
		}
	}
	return 0
}

// shut closes pipe e for good, sending what it carried another way; false, with
// all as it was, when there is no other way.
func (f *flow) shut(e int, was *[]micro) bool {
	v := f.carries(e)
	if v == 0 {
		f.room[e] = 0
		return true
	}
	*was = append((*was)[:0], f.room...)
	f.room[e], f.room[e^1] = 0, 0
	if f.send(f.to[e^1], f.to[e], v) == v {
		return true
	}
	copy(f.room, *was)
	return false
}
