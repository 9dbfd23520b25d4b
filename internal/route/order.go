package route

// ExactStops is the largest number of stops that [Order] orders exactly:
// 12·2¹²·12, about 0.6 million steps.
const ExactStops = 12

// Apart is the cost of a leg that cannot be driven. A tour whose cost reaches
// Apart has no answer. It is far above any real cost and small enough that
// some hundreds of them still add up without overflow.
const Apart = int64(1) << 52

// Order gives the order in which to call at stops 1…n, starting and ending at
// 0, and the cost of the whole way round. cost(i, j) is the cost of the leg
// from i to j, at least 0, any whole unit; it need not be the same both ways.
//
// Up to [ExactStops] stops the way is the cheapest there is, and of several
// cheapest the one whose list of stops comes first in order of number. Above
// that it is nearest insertion improved by 2-opt and Or-opt until neither
// helps; for plane distances such tours lie some 5 % above the best (common
// experience, no source), and no proof goes with it.
func Order(n int, cost func(i, j int) int64) ([]int, int64) {
	switch {
	case n <= 0:
		return nil, 0
	case n == 1:
		return []int{1}, add(cost(0, 1), cost(1, 0))
	case n <= ExactStops:
		return heldKarp(n, cost)
	}
	c := matrix(n, cost)
	flat := func(i, j int) int64 { return c[i*(n+1)+j] }
	t := insertion(n, flat)
	improve(t, flat)
	return t[1 : len(t)-1], length(t, flat)
}

// heldKarp is the dynamic programme of Held and Karp ("A dynamic programming
// approach to sequencing problems", J. SIAM 10 (1962), 196-210), run from the
// end: rest[S][j] is the cheapest way from j through all of S and home. Run
// that way, the order can be read off forwards, lowest stop first on a tie.
func heldKarp(n int, cost func(i, j int) int64) ([]int, int64) {
	c := matrix(n, cost)
	rest := roundTable(n, c)
	full := 1<<n - 1
	order := make([]int, 0, n)
	for _, k := range readRound(n, c, rest, full) {
		order = append(order, int(k))
	}
	return order, rest[full*(n+1)]
}

// roundTable is rest, flat: rest[S*(n+1)+j].
func roundTable(n int, c []int64) []int64 {
	m := n + 1
	full := 1<<n - 1
	rest := make([]int64, (full+1)*m)
	for j := 0; j <= n; j++ {
		rest[j] = c[j*m]
	}
	for s := 1; s <= full; s++ {
		for j := 0; j <= n; j++ {
			if j > 0 && s>>(j-1)&1 == 1 {
				continue
			}
			best := Apart
			for k := 1; k <= n; k++ {
				if s>>(k-1)&1 == 0 {
					continue
				}
				if v := add(c[j*m+k], rest[(s&^(1<<(k-1)))*m+k]); v < best {
					best = v
				}
			}
			rest[s*m+j] = best
		}
	}
	return rest
}

// readRound reads the cheapest way round through the set s off the table.
func readRound(n int, c, rest []int64, s int) []int32 {
	m, j := n+1, 0
	var order []int32
	for s != 0 {
		want := rest[s*m+j]
		for k := 1; k <= n; k++ {
			if s>>(k-1)&1 == 1 && add(c[j*m+k], rest[(s&^(1<<(k-1)))*m+k]) == want {
				order, j, s = append(order, int32(k)), k, s&^(1<<(k-1))
				break
			}
		}
	}
	return order
}

// matrix keeps cost in a flat table, legs capped at Apart.
func matrix(n int, cost func(i, j int) int64) []int64 {
	m := n + 1
	c := make([]int64, m*m)
	for i := range m {
		for j := range m {
			if i != j {
				c[i*m+j] = min(cost(i, j), Apart)
			}
		}
	}
	return c
}

// add adds two costs and stays at Apart once there.
func add(a, b int64) int64 { return min(a+b, Apart) }

// insertion builds a tour 0 … 0: always the stop nearest to the tour so far,
// at the place where it costs least.
func insertion(n int, cost func(i, j int) int64) []int {
	t := []int{0, 0}
	near := make([]int64, n+1) // of each stop to the tour so far
	for k := 1; k <= n; k++ {
		near[k] = min(cost(0, k), cost(k, 0))
	}
	in := make([]bool, n+1)
	for range n {
		pick := 0
		for k := 1; k <= n; k++ {
			if !in[k] && (pick == 0 || near[k] < near[pick]) {
				pick = k
			}
		}
		at, _ := cheapest(t, pick, cost)
		t = append(t, 0)
		copy(t[at+1:], t[at:])
		t[at] = pick
		in[pick] = true
		for k := 1; k <= n; k++ {
			near[k] = min(near[k], cost(pick, k), cost(k, pick))
		}
	}
	return t
}

// cheapest gives the index in t before which k costs least, and what it adds.
func cheapest(t []int, k int, cost func(i, j int) int64) (int, int64) {
	at, best := 1, int64(1)<<62
	for i := 1; i < len(t); i++ {
		if d := cost(t[i-1], k) + cost(k, t[i]) - cost(t[i-1], t[i]); d < best {
			at, best = i, d
		}
	}
	return at, best
}

// improve runs 2-opt (turn a piece round) and Or-opt (move a piece of one to
// three stops elsewhere) until neither finds anything. Each step lowers the
// whole cost, so it ends.
func improve(t []int, cost func(i, j int) int64) {
	for twoOpt(t, cost) || orOpt(t, cost) {
	}
}

// twoOpt goes once through all turns and makes each that helps. The piece is
// priced both ways, so that one-way costs are right too.
func twoOpt(t []int, cost func(i, j int) int64) bool {
	n, any := len(t), false
	for i := 1; i < n-2; i++ {
		var fwd, back int64 // the inside of t[i..j], as it is and turned
		for j := i + 1; j < n-1; j++ {
			fwd += cost(t[j-1], t[j])
			back += cost(t[j], t[j-1])
			was := cost(t[i-1], t[i]) + fwd + cost(t[j], t[j+1])
			now := cost(t[i-1], t[j]) + back + cost(t[i], t[j+1])
			if now < was {
				for a, b := i, j; a < b; a, b = a+1, b-1 {
					t[a], t[b] = t[b], t[a]
				}
				fwd, back, any = back, fwd, true // the piece now runs the other way
			}
		}
	}
	return any
}

// orOpt goes once through all moves and makes each that helps.
func orOpt(t []int, cost func(i, j int) int64) bool {
	n, any := len(t), false
	for size := 1; size <= 3; size++ {
		for i := 1; i+size < n; i++ {
			j := i + size - 1 // the piece is t[i..j]
			gain := cost(t[i-1], t[i]) + cost(t[j], t[j+1]) - cost(t[i-1], t[j+1])
			for k := 0; k < n-1; k++ {
				if k >= i-1 && k <= j {
					continue
				}
				if cost(t[k], t[i])+cost(t[j], t[k+1])-cost(t[k], t[k+1]) < gain {
					move(t, i, size, k)
					any = true
					break // another piece stands here now
				}
			}
		}
	}
	return any
}

// move takes the piece t[i..i+size) out and puts it behind t[k].
func move(t []int, i, size, k int) {
	piece := append([]int(nil), t[i:i+size]...)
	if k > i {
		copy(t[i:], t[i+size:k+1])
		copy(t[k+1-size:], piece)
		return
	}
	copy(t[k+1+size:i+size], t[k+1:i])
	copy(t[k+1:], piece)
}

func length(t []int, cost func(i, j int) int64) int64 {
	var sum int64
	for i := 1; i < len(t); i++ {
		sum = add(sum, cost(t[i-1], t[i]))
	}
	return sum
}
