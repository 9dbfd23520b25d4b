package feeding

import (
	"larder/internal/fault"
	"larder/internal/units"
)

// mixer is what the kitchen can do.
type mixer struct {
	batch micro // of one batch; 0 = any size, one a day
	time  tick  // of the crew for one batch
	hand  micro // mixed syrup at the start
	store micro // kept overnight at most
	ahead int   // most days syrup may stand only to save a batch
	// early is by day what is mixed before its own loads leave; nil = all of it.
	early []micro
}

func newMixer(k *Kitchen) mixer {
	m := mixer{batch: within(k.Mixer), time: ticks(k.Mixing), hand: nearest(k.OnHand), store: most}
	if k.Store > 0 {
		m.store = within(k.Store)
	}
	return m
}

// canMix gives what can be mixed in the time spare of one day.
func (m *mixer) canMix(spare tick) micro {
	switch {
	case spare < 0:
		return 0
	case m.batch == 0:
		if spare >= m.time {
			return most
		}
		return 0
	case m.time == 0:
		return most
	}
	return min(most, m.batch*micro(min(int64(spare/m.time), 1<<20)))
}

// batches gives how many batches v needs.
func (m *mixer) batches(v micro) int {
	if m.batch == 0 {
		return min(1, ceilDiv(v, most))
	}
	return ceilDiv(v, m.batch)
}

// overnight gives the most that can be in the house next morning when have was
// there this morning, can could be mixed and goes was driven out. The store
// stops mixing ahead; it pours nothing away.
func (m *mixer) overnight(have, can, goes micro) micro {
	return max(have-goes, min(m.store, have+can-goes))
}

// schedule gives the litres to mix on each day so that every day's loads are
// covered, as late as possible: fresh syrup does not crystallise or ferment in
// the store. goes is what is driven out each day, spare the working time left
// beside the loads. false when it cannot be done.
//
// Syrup in hand goes out first. Then, from the last day backwards, a day mixes
// what it and the days after it still lack, as far as its time allows; the
// rest must be ready the evening before. Going backwards makes it exact: what
// is pushed to an earlier day could not have been mixed later.
func (m *mixer) schedule(goes []micro, spare []tick) ([]micro, bool) {
	can := make([]micro, len(spare))
	for d := range can {
		can[d] = m.canMix(spare[d])
	}
	mixed := make([]micro, len(goes))
	return mixed, m.latest(goes, can, mixed, make([]micro, len(goes)))
}

// latest is schedule with what can be mixed each day. It writes the answer into
// mixed, and into over what stands in the house overnight after each day.
func (m *mixer) latest(goes, can, mixed, over []micro) bool {
	n := len(goes)
	kept := m.hand
	for d, g := range goes {
		use := min(g, kept)
		kept -= use
		mixed[d], over[d] = g-use, kept // for now: what the day lacks, and what is kept of the hand
	}
	var ahead micro // mixed before the morning of day d+1 for it and later
	for d := n - 1; d >= 0; d-- {
		over[d] += ahead
		if ahead > 0 && over[d] > m.store {
			return false
		}
		want, now := mixed[d]+ahead, min(mixed[d], can[d])
		if m.early != nil {
			now = min(now, m.early[d])
		}
		mixed[d] = now + min(ahead, can[d]-now)
		ahead = want - mixed[d]
	}
	return ahead == 0
}

// fewest is latest with batches saved: where what a day's last batch holds fits
// into batches of days before that are not full, it is mixed there, as far as
// the store and the days it may stand allow. It gives the number of batches.
func (m *mixer) fewest(goes, can, mixed, over []micro) (int, bool) {
	if !m.latest(goes, can, mixed, over) {
		return 0, false
	}
	n := 0
	for e := range mixed {
		if mixed[e] == 0 {
			continue
		}
		rest := mixed[e]
		if m.batch > 0 {
			rest %= m.batch
		}
		if rest > 0 && m.time > 0 {
			m.mixBefore(e, rest, mixed, over)
		}
	}
	for _, v := range mixed {
		n += m.batches(v)
	}
	return n, true
}

// mixBefore moves rest of what is mixed on day e into batches of days before,
// all of it or nothing.
func (m *mixer) mixBefore(e int, rest micro, mixed, over []micro) {
	first := max(0, e-m.ahead)
	for pass := range 2 {
		left, room := rest, most
		for d := e - 1; d >= first && left > 0; d-- {
			room = min(room, m.store-over[d])
			if room <= 0 {
				break
			}
			if mixed[d] == 0 {
				continue
			}
			v := min(left, room)
			if m.batch > 0 {
				v = min(v, (m.batch-mixed[d]%m.batch)%m.batch)
			}
			left -= v
			if pass == 1 {
				mixed[d] += v
				mixed[e] -= v
				for x := d; x < e; x++ {
					over[x] += v
				}
				room -= v
			} else if v > 0 {
				room -= v
			}
		}
		if left > 0 {
			return
		}
	}
}

// Recipe gives the sugar and the water of v litres of syrup at strength w and
// density rho (kg/m³), by mass balance: sugar = V·ρ·w, water = V·ρ·(1−w). Both
// are what goes in at the start; nothing boils away. Water is turned into
// litres at 0.9982 kg/L (20 °C; CRC Handbook, from memory). Refused: a
// strength not between 0 and 1, a density no syrup has.
func Recipe(v units.Volume, w units.Strength, rho units.Density) (units.Mass, units.Volume, error) {
	if !(w >= 0 && w < 1) {
		return 0, 0, fault.Newf(fault.OutOfRange, "", "%.1f %% is not a strength of syrup", w.Brix())
	}
	if !(rho > 900 && rho < 1600) {
		return 0, 0, fault.Newf(fault.OutOfRange, "", "%v kg/m³ is not a density of syrup", float64(rho))
	}
	kg := v.L() * float64(rho) / 1000
	return units.Mass(kg * float64(w)), units.Volume(kg * (1 - float64(w)) / WaterDensity), nil
}

// WaterDensity is kg of water in a litre at 20 °C.
const WaterDensity = 0.9982

// writeBatches turns the schedule into batches: full mixers, then the rest.
func (j *job) writeBatches(mixed []micro) []Batch {
	var out []Batch
	for d, v := range mixed {
		for n := j.mix.batches(v); n > 0; n-- {
			b := v
			if j.mix.batch > 0 {
				b = min(v, j.mix.batch)
			}
			v -= b
			k := &j.p.Kitchen
			sugar, water, _ := Recipe(b.volume(), k.Strength, k.Density) // checked in readRig
			day := j.p.Start + units.Day(d)
			out = append(out, Batch{Day: day, Syrup: b.volume(), Sugar: sugar, Water: water})
		}
	}
	return out
}
