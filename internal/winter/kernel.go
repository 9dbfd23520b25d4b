package winter

import "math"

const (
	tile    = 8    // colonies run together, so that a day's draws stay near
	maxBins = 1024 // a power of two, so that an index needs no check
	binKg   = 0.05
)

// kernel carries colonies through an ensemble. It is one worker's.
type kernel struct {
	e       *Ensemble
	reserve float64
	bin     []uint16
	hist    [maxBins]uint32
	lanes   [tile]lane
	exact   [nLevels]float64 // ranks of the quantiles
	ranks   [nLevels]uint32  // the same, rounded up
	stores  []float64        // one colony's, while its lane is made
}

// lane is one colony in a kernel.
type lane struct {
	s [nRates]float32
	// In bins: a draw has begun − rate·eaten. Bin 0 holds the draws with nothing
	// left, bin 1 begins at nothing, bin first at the reserve.
	begun, rate []float32
	width       float64 // kg
	bins, first int
	fan         *Fan
}

func newKernel(e *Ensemble, reserve float64) *kernel {
	k := &kernel{e: e, reserve: reserve, bin: make([]uint16, e.draws), stores: make([]float64, e.draws)}
	for i, l := range Levels() {
		k.exact[i] = l * float64(e.draws)
		k.ranks[i] = uint32(math.Ceil(k.exact[i] - 1e-9))
	}
	for i := range k.lanes {
		k.lanes[i].begun = make([]float32, e.draws)
		k.lanes[i].rate = make([]float32, e.draws)
	}
	return k
}

// run fills the fans of up to a tile of colonies.
func (k *kernel) run(colonies []Colony, fans []Fan) {
	n := 0
	for i, c := range colonies {
		if c.Stores.Known {
			k.lanes[n].set(k, c, &fans[i])
			n++
		}
	}
	for d := range k.e.days + 1 {
		for i := range n {
			k.day(&k.lanes[i], d)
		}
	}
}

// set makes a lane of a colony. Single precision is a ten-thousandth of a bin
// and halves what has to be fetched.
func (l *lane) set(k *kernel, c Colony, f *Fan) {
	e := k.e
	l.fan = f
	for r, x := range e.shareOf(c) {
		l.s[r] = float32(x)
	}
	e.stores(k.stores, c)
	most := k.reserve
	for _, s := range k.stores {
		most = math.Max(most, s)
	}
	l.width, l.first = bins(most, k.reserve)
	l.bins = min(int(most/l.width)+3, maxBins)
	g := c.factor(&e.params)
	for j, s := range k.stores {
		l.begun[j] = float32(s/l.width + 1)
		l.rate[j] = float32(colonyFactor(g.Mean, g.SD, e.e[j]) / l.width)
	}
	n := e.days + 1
	block := make([]float64, (nLevels+3)*n)
	for i := range f.Stores {
		f.Stores[i] = block[i*n : (i+1)*n : (i+1)*n]
	}
	rest := block[nLevels*n:]
	f.Mean, f.Short, f.Out, f.Known = rest[:n:n], rest[n:2*n:2*n], rest[2*n:], true
}

// bins chooses the width so that the reserve lies on the edge of a bin and the
// most stores within the table; first is the bin that begins at the reserve.
func bins(most, reserve float64) (width float64, first int) {
	width = math.Max(binKg, most/(maxBins-4))
	if reserve > 0 {
		n := math.Ceil(reserve/width - 1e-9)
		if w := reserve / n; most/w <= maxBins-4 {
			return w, int(n) + 1
		}
		n = math.Max(1, math.Floor(reserve/width))
		width = math.Max(width, reserve/n)
		return width, int(math.Round(reserve/width)) + 1
	}
	return width, 1
}

// day counts the draws of one colony on one morning into bins, and reads the
// fan from them.
func (k *kernel) day(l *lane, d int) {
	a, b := d*k.e.draws, (d+1)*k.e.draws
	binned(k.bin, &l.s, l.begun, l.rate, k.e.sum[0][a:b], k.e.sum[1][a:b], k.e.sum[2][a:b], k.e.sum[3][a:b])
	// Counting apart from the sums lets the processor run ahead in both: one
	// loop for both takes half as long again.
	for _, i := range k.bin {
		k.hist[i&(maxBins-1)]++
	}
	k.read(l, d)
}

// binned is the inner loop: eaten, left, bin.
func binned(out []uint16, s *[nRates]float32, begun, rate, f0, f1, f2, f3 []float32) {
	n := len(begun)
	// Said once here, the lengths need not be checked for every draw.
	out, rate, f0, f1, f2, f3 = out[:n], rate[:n], f0[:n], f1[:n], f2[:n], f3[:n]
	s0, s1, s2, s3 := s[0], s[1], s[2], s[3]
	for j, v := range begun {
		i := int32(v - rate[j]*(s0*f0[j]+s1*f1[j]+s2*f2[j]+s3*f3[j]))
		out[j] = uint16(i &^ (i >> 31)) // below nothing is nothing
	}
}

// read turns the bins into quantiles and chances, and empties them. Whole
// numbers all the way: this runs once a colony and day.
func (k *kernel) read(l *lane, d int) {
	f, draws := l.fan, uint32(k.e.draws)
	n := float64(draws)
	out := k.hist[0]
	var cum, short uint32
	var weighted uint64
	next, rank := 0, k.ranks[0]
	h := k.hist[:l.bins]
	for i, c := range h {
		if i == l.first {
			short = cum
		}
		if c == 0 {
			continue
		}
		h[i] = 0
		if cum+c >= rank {
			next, rank = k.pass(l, d, i, cum, c, next)
		}
		cum += c
		weighted += uint64(c) * uint64(i)
		if cum == draws { // the bins above are empty
			if i < l.first {
				short = cum
			}
			break
		}
	}
	f.Out[d], f.Short[d] = float64(out)/n, float64(short)/n
	// Every bin stands for its middle, and bin 0 for nothing left.
	f.Mean[d] = (float64(weighted) - 0.5*float64(draws-out)) / n * l.width
}

// pass reads the quantiles that fall in bin i; it gives the next one and its
// rank.
func (k *kernel) pass(l *lane, d, i int, cum, c uint32, next int) (int, uint32) {
	for next < nLevels && cum+c >= k.ranks[next] {
		if i > 0 { // else nothing is left
			l.fan.Stores[next][d] = (float64(i-1) + (k.exact[next]-float64(cum))/float64(c)) * l.width
		}
		next++
	}
	if next == nLevels {
		return next, math.MaxUint32
	}
	return next, k.ranks[next]
}
