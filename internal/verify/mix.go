package verify

import (
	"cmp"
	"math"
	"slices"
)

// mix follows the syrup in the house: mixed in the morning, driven out, kept
// overnight.
func (b *book) mix() {
	k := &b.f.Kitchen
	mixed, batches := make([]float64, b.f.Days), make([][]float64, b.f.Days)
	for i := range b.s.Batches {
		c := &b.s.Batches[i]
		d := int(c.Day - b.f.Start)
		if d < 0 || d >= b.f.Days {
			b.bad(Day, "batch %d is mixed on %s, outside the calendar", i+1, c.Day)
			continue
		}
		v := c.Syrup.L()
		if !(v > 0) {
			b.bad(Row, "batch %d on %s is of %v L", i+1, c.Day, v)
		}
		if k.Mixer > 0 && over(v, k.Mixer.L(), slackL) {
			b.bad(Mixer, "batch %d on %s: %.2f L in a mixer of %.2f L", i+1, c.Day, v, k.Mixer.L())
		}
		b.weigh(i, c)
		mixed[d] += v
		batches[d] = append(batches[d], v)
	}
	have := k.OnHand.L()
	for d := range b.f.Days {
		b.inTime(d, have, batches[d])
		have += mixed[d]
		if over(b.out[d], have, slackL) {
			b.bad(Stock, "on %s %.2f L are driven out and %.2f L are mixed", b.day(d), b.out[d], have)
		}
		have -= b.out[d]
		// What was in hand may be more than the store is told to hold; nobody
		// is told to pour it away, only not to mix on top of it.
		if k.Store > 0 && mixed[d] > 0 && over(have, k.Store.L(), slackL) {
			b.bad(Store, "%.2f L are kept overnight on %s in a store of %.2f L", have, b.day(d), k.Store.L())
		}
		if can := b.couldMix(d); over(float64(len(batches[d])), can, 0) {
			b.bad(Work, "on %s %d batches of %.0f min are to be mixed, beside the loads there is time for %.0f", b.day(d), len(batches[d]), k.Mixing.Min(), can)
		}
	}
	if spare := have - max(0, k.OnHand.L()-b.home); over(spare, 0, slackL*float64(1+len(b.s.Batches))) {
		b.bad(Stock, "%.2f L are mixed that nobody is given", spare)
	}
}

// inTime holds each load of day d against what can be mixed before it leaves, have
// being in the house that morning. Batches are taken the largest first, and each
// crew mixes whenever it is not out: what fails even so cannot be done.
func (b *book) inTime(d int, have float64, batches []float64) {
	each := float64(b.f.Kitchen.Mixing)
	if each <= 0 || len(batches) == 0 {
		return
	}
	slices.SortFunc(batches, func(x, y float64) int { return cmp.Compare(y, x) })
	var out []trip
	for t := range b.f.Trucks {
		out = append(out, b.trips[t*b.f.Days+d]...)
	}
	slices.SortStableFunc(out, func(x, y trip) int { return cmp.Compare(x.leave, y.leave) })
	gone := 0.0
	for i := range out {
		if out[i].home == 0 {
			continue
		}
		gone += out[i].home
		n, ready := 0, have
		for n < len(batches) && over(gone, ready, slackL) {
			ready += batches[n]
			n++
		}
		if can := b.mixedBy(d, out[i].leave, each); over(float64(n), can, 0) {
			b.bad(Ready, "load %d leaves on %s when %.0f batches can be mixed, and it and those before it carry %.2f L, which takes %d", out[i].n, b.day(d), can, gone, n)
		}
	}
}

// mixedBy counts the batches that the crews can have mixed on day d by so many
// seconds after work begins.
func (b *book) mixedBy(d int, by, each float64) (n float64) {
	for t := range b.f.Trucks {
		free := 0.0
		until := func(end float64) {
			if span := min(end, by) - free; span > 0 {
				n += math.Floor((span + slackS) / each)
			}
		}
		for _, x := range b.trips[t*b.f.Days+d] {
			until(x.leave)
			free = max(free, x.end)
		}
		until(b.works(t, d))
	}
	return n
}

// couldMix counts the batches that the crews have time for on day d beside
// their loads. A batch is one crew's work from beginning to end.
func (b *book) couldMix(d int) float64 {
	each := float64(b.f.Kitchen.Mixing)
	if each <= 0 {
		return math.Inf(1)
	}
	n := 0.0
	for t := range b.f.Trucks {
		n += math.Floor(max(0, b.works(t, d)-b.work[t*b.f.Days+d]+slackS) / each)
	}
	return n
}

// weigh holds a batch against its masses: sugar and water are the syrup, and
// sugar is its strength of it.
func (b *book) weigh(i int, c *Batch) {
	k := &b.f.Kitchen
	kg := c.Syrup.L() * float64(k.Density) / 1000
	sugar, water := c.Sugar.Kg(), c.Water.L()*water20
	if off(sugar+water, kg, 1e-6*(1+kg)) {
		b.bad(Mass, "batch %d on %s: %.3f kg of sugar and %.3f kg of water do not make %.3f kg of syrup", i+1, c.Day, sugar, water, kg)
	}
	if off(sugar, kg*float64(k.Strength), 1e-6*(1+kg)) {
		b.bad(Mass, "batch %d on %s: %.3f kg of sugar in %.3f kg of syrup is not %.2f %%", i+1, c.Day, sugar, kg, k.Strength.Brix())
	}
}
