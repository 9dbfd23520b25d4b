package season

import (
	"math"
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

// Learned is what a yard's own re-weighings say of what its bees eat.
type Learned struct {
	Yard  string
	Pairs []winter.Weighing // all pairs of weighings there are in winter
	winter.Calibration
	Before winter.Params // the published figures
}

// Learned gives what each yard's weighings say, for the yards that have any in
// winter.
func (st *State) Learned(at units.Moment) []Learned {
	b := st.bench(at)
	var out []Learned
	for _, y := range st.Yards() {
		if l := b.learned(y.ID); len(l.Pairs) > 0 {
			out = append(out, *l)
		}
	}
	return out
}

// Changed gives each rate before and after, in grams.
func (l *Learned) Changed() (out [4]struct{ Before, After float64 }) {
	for i := range out {
		out[i].Before, out[i].After = l.Before.Rate[i].Mean, l.Params.Rate[i].Mean
	}
	return out
}

// Say gives the sentences about it.
func (l *Learned) Say() []feeding.Reason {
	var out []feeding.Reason
	for _, r := range l.Reasons {
		out = append(out, feeding.Reason(r))
	}
	return out
}

// learned works out, once, what a yard's weighings say.
func (b *bench) learned(yard string) *Learned {
	if l, ok := b.taught[yard]; ok {
		return l
	}
	prior := b.priorParams()
	l := &Learned{Yard: yard, Before: prior}
	b.taught[yard] = l // what follows judges no stores, so it does not come back here
	for _, c := range b.byYard()[yard] {
		l.Pairs = append(l.Pairs, b.rememberedPairs(c)...)
	}
	l.Calibration = winter.Calibration{Params: prior}
	if len(l.Pairs) > 0 {
		l.Calibration = winter.Calibrate(l.Pairs, prior, b.figs)
	}
	return l
}

// byYard sorts the colonies, the dead ones too: what they ate while they lived
// tells as much.
func (b *bench) byYard() map[string][]*Colony {
	if b.yards == nil {
		b.yards = map[string][]*Colony{}
		for _, c := range b.st.Colonies() {
			b.yards[c.Yard] = append(b.yards[c.Yard], c)
		}
	}
	return b.yards
}

// weighing is a reading by weight and what stood around it.
type weighed struct {
	at     units.Moment
	est    stores.Estimate
	since  units.Day // the last day before it on which something was given, 0 = never
	before int       // how often the woodenware had changed
	bees   float64   // frames, the last count; 0 = none
	beesAt units.Moment
}

// pairsOf names what a colony's pairs depend on beside weather and settings.
type pairsOf struct {
	colony *Colony // made anew with every fact about it
	day    units.Day
}

// rememberedPairs is pairs, worked out once for each state of a colony.
func (b *bench) rememberedPairs(c *Colony) []winter.Weighing {
	return b.st.memo.pairs.get(pairsOf{c, b.at.Day()}, mostPairs, func() []winter.Weighing { return b.pairs(c) })
}

// pairs gives the pairs of weighings of one colony that lie in one winter: from
// one weighing to the next that is long enough after it. Counting begins on 1
// October (south: 1 April): before that bees still bring food home.
func (b *bench) pairs(c *Colony) []winter.Weighing {
	all := b.weights(c)
	south := b.isSouth(c.Yard)
	least := units.Day(b.figs.V("winter.weigh_days"))
	var out []winter.Weighing
	for i := 0; i < len(all); i++ {
		start := weather.SeasonStart(weather.Season(all[i].at.Day(), south), south)
		first := start + firstOfOctober
		end := b.forageOf(c.Yard, weather.Season(all[i].at.Day(), south))
		if all[i].at.Day() < first {
			continue
		}
		for k := i + 1; k < len(all); k++ {
			d := all[k].at.Day()
			if d > end || all[k].before != all[i].before {
				break
			}
			if d-all[i].at.Day() < least {
				continue
			}
			out = append(out, b.pair(c, all[i], all[k]))
			i = k - 1 // the next pair begins where this one ended
			break
		}
	}
	return out
}

// weights reads the weighings of a colony, in order. Nothing is read that lies
// before the first October worth learning from: a colony with one weighing in
// winter costs nothing.
func (b *bench) weights(c *Colony) []weighed {
	south := b.isSouth(c.Yard)
	inWinter := 0
	for _, f := range c.Events {
		if r, ok := f.Body.(stores.Reading); ok && byWeight(r.Way) && b.at.Covers(f.Seen) {
			d := f.Seen.Day()
			if d >= weather.SeasonStart(weather.Season(d, south), south)+firstOfOctober {
				inWinter++
			}
		}
	}
	if inWinter < 2 {
		return nil
	}
	w := woodenware{}
	var out []weighed
	x := weighed{}
	for _, f := range c.Events {
		w.see(c.ID, f)
		if !b.at.Covers(f.Seen) {
			continue
		}
		switch e := f.Body.(type) {
		case apiary.Placed, apiary.Restacked, apiary.FeederSet, apiary.United, apiary.Split:
			x.before++
		case apiary.Look:
			if e.BeesKnown {
				x.bees, x.beesAt = e.Bees, f.Seen
			}
		case ledger.Given:
			x.since = f.Seen.Day()
		case stores.Reading:
			if !byWeight(e.Way) {
				continue
			}
			if est, err := stores.Judge(e, b.context(c, f, &w)); err == nil && est.Known {
				x.at, x.est = f.Seen, est
				out = append(out, x)
			}
		}
	}
	return slices.Clip(out)
}

func byWeight(w stores.Way) bool {
	return w == stores.Full || w == stores.Scale || w == stores.LiftBoth || w == stores.LiftOne
}

// pair makes the loss between two weighings from what the scale showed: woodenware,
// comb and pollen are in both and drop out. So do bees and brood, but for those
// that died or hatched between: judged 0.3 kg.
func (b *bench) pair(c *Colony, from, to weighed) winter.Weighing {
	const ballast = 0.3
	x, y := onScale(from.est), onScale(to.est)
	v := x.SD*x.SD + y.SD*y.SD + ballast*ballast
	w := winter.Weighing{Colony: c.ID, From: from.at.Day(), To: to.at.Day(), Lost: figure.Est(x.Mean-y.Mean, math.Sqrt(v))}
	w.Fed = to.since > from.at.Day() || to.since == from.at.Day()
	ripen := units.Day(b.figs.V("stores.ripen_days"))
	w.Unripe = !w.Fed && from.since != 0 && from.at.Day()-from.since < ripen
	w.Forage = w.Lost.Mean < -2*w.Lost.SD
	j := Judged{Colony: c, Looked: from.bees > 0, BeesAt: from.beesAt, Bees: figure.Est(from.bees, 0.5)}
	brood, err := winter.BroodOf(b.climate(c.Yard))
	temps, ok := b.measured(c.Yard, w.From, w.To)
	if err == nil && ok {
		south := b.isSouth(c.Yard)
		k := b.kinAt(&j, weather.Season(w.From, south))
		k.factor = figure.Estimate{}
		if x, err := winter.Expected(winter.UseQuery{Place: winter.Place{South: south, Brood: brood}, From: w.From, Temp: temps, Colony: k.colony(c.ID), Params: b.priorParams()}); err == nil {
			w.Expect = x
		}
	}
	return w
}

// onScale is what was weighed less what was no part of the hive.
func onScale(e stores.Estimate) figure.Estimate {
	out := e.Gross
	for _, p := range e.Parts {
		if p.Name == stores.PartThings || p.Name == stores.PartWater || p.Name == stores.PartSyrup {
			out = out.Minus(p.Kg)
		}
	}
	return out
}

// measured gives the daily means from a day up to the day before another; ok is
// false when one is not known.
func (b *bench) measured(yard string, from, to units.Day) ([]float64, bool) {
	s := b.skyOf(yard)
	if !s.known || to <= from {
		return nil, false
	}
	out := make([]float64, 0, to-from)
	for d := from; d < to; d++ {
		day, ok := s.series.At(d)
		t, has := day.TMean()
		if !ok || !has || day.Forecast {
			return nil, false
		}
		out = append(out, t.C())
	}
	return out, true
}
