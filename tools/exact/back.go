package main

import (
	"fmt"
	"math"

	"larder/internal/feeding"
	"larder/internal/units"
)

// plan reads the solver's answer back as a plan, so that the same verifier that
// goes through ours can go through its.
func (m *model) plan(x answer) feeding.Plan {
	p := m.p
	val := func(format string, args ...any) float64 { return x.values[fmt.Sprintf(format, args...)] }
	pl := feeding.Plan{Start: p.Start, Strength: p.Kitchen.Strength}
	given, fills := make([]float64, len(m.hives)), make([]int, len(m.hives))
	out := make([]float64, p.Days)
	for d := range p.Days {
		for q := range m.trips {
			for _, t := range m.tours {
				if m.open(t.set, d) && val("z_%d_%d_%d", t.set, d, q) > 0.5 {
					l := m.load(t, d, q, val, given, fills)
					if len(l.Stops) == 0 {
						continue
					}
					l.N = len(pl.Loads) + 1
					out[d] += l.Syrup.L()
					pl.Loads = append(pl.Loads, l)
				}
			}
		}
	}
	m.batches(&pl, out, val)
	t := &pl.Totals
	t.Loads = len(pl.Loads)
	for _, l := range pl.Loads {
		t.Visits += len(l.Stops)
		for _, s := range l.Stops {
			t.Fills += len(s.Fills)
		}
		t.Syrup, t.Dist, t.Time = t.Syrup+l.Syrup, t.Dist+l.Dist, t.Time+l.Time
	}
	for _, b := range pl.Batches {
		t.Sugar, t.Water = t.Sugar+b.Sugar, t.Water+b.Water
	}
	t.Mixing = units.Duration(len(pl.Batches)) * p.Kitchen.Mixing
	one := func(n float64) float64 {
		if n > 0 {
			return 1
		}
		return 0
	}
	pl.Bounds.Gap = feeding.Gap{Loads: one(float64(t.Loads)), Visits: one(float64(t.Visits)), Dist: one(float64(t.Dist)), Time: one(float64(t.Time + t.Mixing))}
	for h := range m.hives {
		v := units.Volume(given[h])
		pl.Colonies = append(pl.Colonies, feeding.ColonyPlan{Colony: m.hives[h].Colony, Yard: m.hives[h].Yard, Need: m.hives[h].Need, Given: v, Taken: v, Fills: fills[h]})
		if lack := m.lack(h) - given[h]; lack > 0.01 {
			pl.Unmet = append(pl.Unmet, feeding.Unmet{Colony: m.hives[h].Colony, Yard: m.hives[h].Yard, Volume: units.Volume(lack)})
		}
	}
	return pl
}

// lack is what hive h needs beyond what it takes from its feeder.
func (m *model) lack(h int) float64 { return m.hives[h].want }

func (m *model) load(t tour, d, q int, val func(string, ...any) float64, given []float64, fills []int) feeding.Load {
	rig := &m.p.Rigs[0]
	l := feeding.Load{Day: m.p.Start + units.Day(d), Truck: rig.Truck, Time: rig.Fill}
	at := ""
	drive := func(to string) units.Length {
		r, _ := m.p.Road(at, to)
		l.Dist, l.Time, at = l.Dist+r.Dist, l.Time+r.Time, to
		return r.Dist
	}
	for _, y := range t.order {
		var s feeding.Stop
		for h := range m.hives {
			if m.hives[h].yard != y || !m.can(h, d) {
				continue
			}
			if v := val("g_%d_%d_%d", h, d, q); v > 1e-6 {
				s.Fills = append(s.Fills, feeding.Fill{Colony: m.hives[h].Colony, Volume: units.Volume(v)})
				given[h], fills[h], l.Syrup = given[h]+v, fills[h]+1, l.Syrup+units.Volume(v)
				s.Time += rig.PerHive + units.Duration(v/float64(rig.Pump))
			}
		}
		if len(s.Fills) == 0 {
			continue
		}
		s.Yard = m.p.Yards[y].ID
		s.Dist = drive(s.Yard)
		s.Time += m.p.Yards[y].Setup
		l.Time += s.Time
		l.Stops = append(l.Stops, s)
	}
	drive("")
	return l
}

// batches reads the mixing back. The solver may mix what nobody is given, since
// it costs nothing: that much is left out of the last batches.
func (m *model) batches(pl *feeding.Plan, out []float64, val func(string, ...any) float64) {
	k := &m.p.Kitchen
	mixed := make([]float64, m.p.Days)
	spare := k.OnHand.L()
	for d := range mixed {
		mixed[d] = val("m_%d", d)
		spare += mixed[d] - out[d]
	}
	spare = min(spare, sum(mixed)-max(0, sum(out)-k.OnHand.L()))
	for d := len(mixed) - 1; d >= 0 && spare > 0; d-- {
		less := min(spare, mixed[d])
		mixed[d], spare = mixed[d]-less, spare-less
	}
	for d, v := range mixed {
		n := 0
		if v > 1e-6 {
			n = 1
			if k.Mixer > 0 {
				n = int(math.Ceil(v/k.Mixer.L() - 1e-7))
			}
		}
		for range n {
			b := feeding.Batch{Day: m.p.Start + units.Day(d), Syrup: units.Volume(v / float64(n))}
			b.Sugar, b.Water, _ = feeding.Recipe(b.Syrup, k.Strength, k.Density)
			pl.Batches = append(pl.Batches, b)
		}
	}
}

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}
