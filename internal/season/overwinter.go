package season

import (
	"math"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

// targetSeed is the seed of the draws behind targets: one for all, so that the
// same facts give the same target on every screen and sheet.
const targetSeed = 1

// beesStep is how finely colonies are told apart by their bees: 250 bees eat
// about 0.1 kg in a winter.
const beesStep = 250

// place says how a yard winters from a day on. Errors: fault.Missing or fault.NotKnownHere
// when its class of winter, and so its forage, is not known.
func (b *bench) place(yard string, from units.Day) (place, winter.Forage, error) {
	f, err := b.forage(yard)
	if err != nil {
		return place{}, f, err
	}
	return place{station: b.skyOf(yard).place, south: b.isSouth(yard), climate: b.climate(yard), day: from,
		forage: f.Day, forageSD: f.SD, params: b.params(yard)}, f, nil
}

// forage gives the first dependable forage of a yard's season.
func (b *bench) forage(yard string) (winter.Forage, error) {
	south := b.isSouth(yard)
	return winter.FirstForage(winter.ForageQuery{Season: weather.Season(b.at.Day(), south), South: south, Climate: b.climate(yard)}, b.figs)
}

// params gives the figures of the winter model for a yard.
func (b *bench) params(string) winter.Params {
	if b.prior == nil {
		p := winter.ParamsOf(b.figs)
		b.prior = &p
	}
	return *b.prior
}

// ensembleQuery gathers what the winter model needs for a yard from a day on.
func (b *bench) ensembleQuery(yard string, from units.Day, seed uint64) (winter.EnsembleQuery, error) {
	p, f, err := b.place(yard, from)
	if err != nil {
		return winter.EnsembleQuery{}, err
	}
	brood, err := winter.BroodOf(p.climate)
	if err != nil {
		return winter.EnsembleQuery{}, err
	}
	past, err := winter.PastWinters(winter.WintersQuery{Series: b.skyOf(yard).series, From: p.day, Until: f.Horizon(p.south), South: p.south}, b.figs)
	if err != nil {
		return winter.EnsembleQuery{}, err
	}
	return winter.EnsembleQuery{Place: winter.Place{South: p.south, Brood: brood}, Winters: past, Forage: f, Params: p.params, Seed: seed, Figures: b.figs}, nil
}

// feedingEnds gives the day from which a target is reckoned: the yard's stop day,
// or today once that is past. A target is what must be in the hive when feeding
// ends, the day all published figures speak of; what is eaten until then is not
// in it, and what comes in until then is not forecast. Where no stop day is known
// the plain date for the class of winter stands in.
func (b *bench) feedingEnds(yard string) units.Day {
	today := b.at.Day()
	y, _ := b.st.Yard(yard)
	y.ID = yard
	if s := b.stopDay(y, today); s.Known {
		return max(today, s.Stop.Day)
	}
	if d, err := SuggestStop(b.climate(yard), today, b.isSouth(yard), b.figs); err == nil && weather.Season(d, b.isSouth(yard)) == weather.Season(today, b.isSouth(yard)) {
		return max(today, d)
	}
	return today
}

// outlays gives what colonies of a yard eat until forage; of is nil, with the
// reason, where the model cannot say.
func (b *bench) outlays(yard string) *outlays {
	o, ok := b.eats[yard]
	if !ok {
		o = b.makeOutlays(yard)
		b.eats[yard] = o
	}
	return o
}

func (b *bench) makeOutlays(yard string) *outlays {
	from := b.feedingEnds(yard)
	p, _, err := b.place(yard, from)
	if err != nil {
		return &outlays{why: []feeding.Reason{asReason("no-model", err)}}
	}
	m := b.st.memo
	if o, ok := m.outlays[p]; ok {
		return o
	}
	o := &outlays{kin: map[kin]*winter.Outlay{}}
	q, err := b.ensembleQuery(yard, from, targetSeed)
	if err == nil {
		o.of, err = winter.NewOutlays(q)
	}
	if err != nil {
		o.of, o.why = nil, []feeding.Reason{asReason("no-model", err)}
	}
	if len(m.outlays) >= mostPlaces {
		clear(m.outlays)
	}
	m.outlays[p] = o
	return o
}

// outlay gives what one colony eats until forage; nil, with the reason, where
// the model cannot say.
func (b *bench) outlay(j *Judged) (*winter.Outlay, []feeding.Reason) {
	b.st.memo.mu.Lock()
	defer b.st.memo.mu.Unlock()
	o := b.outlays(j.Colony.Yard)
	if o.of == nil {
		return nil, o.why
	}
	k := b.kin(j)
	if x, ok := o.kin[k]; ok {
		return x, nil
	}
	x, err := o.of.Of(k.colony(""))
	if err != nil {
		return nil, []feeding.Reason{asReason("no-model", err)}
	}
	o.kin[k] = &x
	return &x, nil
}

// kin tells which colonies this one eats like.
func (b *bench) kin(j *Judged) kin {
	k := kin{bees: math.Max(1, math.Round(b.bees(j)/beesStep)) * beesStep, k: 1}
	if j.Colony.Stack.Poly {
		k.k, _ = winter.Foam.K(b.figs) // one of the four: cannot fail
	}
	k.factor = b.ownFactor(j.Colony)
	return k
}

// ownFactor is what a colony eats against others alike, by its own weighings.
func (b *bench) ownFactor(*Colony) figure.Estimate { return figure.Estimate{} }

// bees gives the adult bees of 1 November (south: 1 May) from the frames that
// were counted: on frames of the lowest box, or on Langstroth deeps where the
// woodenware is not known.
//
// A count is carried from its day by the calendar of bee numbers. One made in
// summer stands for 1 August, the calendar's first day. One of an earlier season,
// or none, says nothing of this autumn: then the plain figure stands for 1
// October, the time its sources speak of.
func (b *bench) bees(j *Judged) float64 {
	south := b.isSouth(j.Colony.Yard)
	start := weather.SeasonStart(weather.Season(b.at.Day(), south), south)
	frames, day := j.Bees.Mean, j.BeesAt.Day()
	if !j.Looked || day < start {
		frames, _ = b.plainBees(j.Colony)
		day = start + 92 // 1 October of a season that begins on 1 July
	}
	count := b.beesOn(j.Colony, frames)
	nov, err := winter.AtNovember(count, max(day, start+31), south)
	if err != nil { // counted at the height of the spring: as many as then
		return count
	}
	return nov
}
