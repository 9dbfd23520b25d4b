package verify

import "math"

// mix follows the syrup in the house: mixed in the morning, driven out, kept
// overnight.
func (b *book) mix() {
	k := &b.f.Kitchen
	mixed, batches := make([]float64, b.f.Days), make([]int, b.f.Days)
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
		batches[d]++
	}
	have := k.OnHand.L()
	for d := range b.f.Days {
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
		if can := b.couldMix(d); over(float64(batches[d]), can, 0) {
			b.bad(Work, "on %s %d batches of %.0f min are to be mixed, beside the loads there is time for %.0f", b.day(d), batches[d], k.Mixing.Min(), can)
		}
	}
	if spare := have - max(0, k.OnHand.L()-b.home); over(spare, 0, slackL*float64(1+len(b.s.Batches))) {
		b.bad(Stock, "%.2f L are mixed that nobody is given", spare)
	}
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
