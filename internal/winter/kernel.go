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
	hist    [maxBins]uint32
	lanes   [tile]lane
}

// lane is one colony in a kernel.
type lane struct {
	s share
	// In bins: a draw has begun − rate·eaten. Bin 0 holds the draws with nothing
	// left, bin 1 begins at nothing, bin first at the reserve.
	begun, rate []float64
	width       float64 // kg
	bins, first int
	fan         *Fan
}

func newKernel(e *Ensemble, reserve float64) *kernel {
	k := &kernel{e: e, reserve: reserve}
	for i := range k.lanes {
		k.lanes[i].begun = make([]float64, e.draws)
		k.lanes[i].rate = make([]float64, e.draws)
	}
	return k
}

// run fills the fans of up to a tile of colonies.
func (k *kernel) run(colonies []Colony, fans []Fan) {
	n := 0
	for i, c := range colonies {
		if c.Stores.Known {
			k.lanes[n].set(k.e, c, &fans[i], k.reserve)
			n++
		}
	}
	for d := range k.e.days + 1 {
		for i := range n {
			k.day(&k.lanes[i], d)
		}
	}
}

// set makes a lane of a colony.
func (l *lane) set(e *Ensemble, c Colony, f *Fan, reserve float64) {
	l.s, l.fan = e.shareOf(c), f
	e.stores(l.begun, c)
	most := reserve
	for _, s := range l.begun {
		most = math.Max(most, s)
	}
	l.width, l.first = bins(most, reserve)
	l.bins = min(int(most/l.width)+3, maxBins)
	g := c.factor(&e.params)
	for j := range l.begun {
		l.begun[j] = l.begun[j]/l.width + 1
		l.rate[j] = colonyFactor(g.Mean, g.SD, e.e[j]) / l.width
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
	count4(&k.hist, &l.s, l.begun, l.rate, k.e.sum[0][a:b], k.e.sum[1][a:b], k.e.sum[2][a:b], k.e.sum[3][a:b])
	k.read(l, d)
}

// count4 is the inner loop: eaten, left, bin.
func count4(hist *[maxBins]uint32, s *share, begun, rate, f0, f1, f2, f3 []float64) {
	n := len(begun)
	// Said once here, the lengths need not be checked for every draw.
	rate, f0, f1, f2, f3 = rate[:n], f0[:n], f1[:n], f2[:n], f3[:n]
	s0, s1, s2, s3 := s[0], s[1], s[2], s[3]
	for j, v := range begun {
		i := int32(v - rate[j]*(s0*f0[j]+s1*f1[j]+s2*f2[j]+s3*f3[j]))
		i &^= i >> 31 // below nothing is nothing
		hist[i&(maxBins-1)]++
	}
}

// read turns the bins into quantiles and chances, and empties them.
func (k *kernel) read(l *lane, d int) {
	f, n := l.fan, float64(k.e.draws)
	levels := Levels()
	f.Out[d] = float64(k.hist[0]) / n
	cum, sum, short := 0.0, 0.0, 0.0
	next := 0
	for i := range l.bins {
		c := float64(k.hist[i])
		k.hist[i] = 0
		if i == l.first {
			short = cum
		}
		if c == 0 {
			continue
		}
		for next < nLevels && cum+c >= levels[next]*n-1e-9 {
			x := 0.0
			if i > 0 {
				x = (float64(i-1) + (levels[next]*n-cum)/c) * l.width
			}
			f.Stores[next][d] = math.Max(x, 0)
			next++
		}
		cum += c
		sum += c * (float64(i) - 0.5) // the middle of the bin; bin 0 is taken off below
	}
	f.Short[d] = short / n
	f.Mean[d] = (sum/n + 0.5*f.Out[d]) * l.width
}
