package season

import (
	"math"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/stores"
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
	q := winter.ForageQuery{Season: weather.Season(b.at.Day(), south), South: south, Climate: b.climate(yard)}
	for _, d := range b.st.ForageSeen(yard) {
		switch {
		case d > b.at.Day():
		case weather.Season(d, south) == q.Season:
			q.Typed, q.TypedSure = d, true
		default:
			q.Seen = append(q.Seen, d)
		}
	}
	return winter.FirstForage(q, b.figs)
}

// forageOf gives the day up to which a colony lived on its stores in a season:
// the forage the keeper saw, else the day to be expected.
func (b *bench) forageOf(yard string, season int) units.Day {
	south := b.isSouth(yard)
	for _, d := range b.st.ForageSeen(yard) {
		if weather.Season(d, south) == season {
			return d
		}
	}
	f, err := winter.FirstForage(winter.ForageQuery{Season: season, South: south, Climate: b.climate(yard)}, b.figs)
	if err != nil {
		return 0 // where winter is not known nothing is learned from it
	}
	return f.Day
}

// priorParams gives the winter model by the figures, before any weighing.
func (b *bench) priorParams() winter.Params {
	if b.prior == nil {
		p := winter.ParamsOf(b.figs)
		b.prior = &p
	}
	return *b.prior
}

// params gives the winter model of a yard: by the figures, drawn towards what
// its hives were weighed to have eaten.
func (b *bench) params(yard string) winter.Params { return b.learned(yard).Params }

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
	return b.st.memo.outlays.get(p, mostPlaces, func() *outlays {
		q, err := b.ensembleQuery(yard, from, targetSeed)
		if err != nil {
			return &outlays{why: []feeding.Reason{asReason("no-model", err)}}
		}
		of, err := winter.NewOutlays(q)
		if err != nil {
			return &outlays{why: []feeding.Reason{asReason("no-model", err)}}
		}
		return &outlays{of: of}
	})
}

// outlay gives what one colony eats until forage; nil, with the reason, where
// the model cannot say.
func (b *bench) outlay(j *Judged) (*winter.Outlay, []feeding.Reason) {
	o := b.outlays(j.Colony.Yard)
	if o.of == nil {
		return nil, o.why
	}
	k := b.kin(j)
	x := o.kin.get(k, mostKin, func() *winter.Outlay {
		x, err := o.of.Of(k.colony(""))
		if err != nil {
			return nil
		}
		return &x
	})
	if x == nil {
		_, err := o.of.Of(k.colony(j.Colony.ID)) // again, for its reason
		return nil, []feeding.Reason{asReason("no-model", err)}
	}
	return x, nil
}

// kin tells which colonies this one eats like this winter.
func (b *bench) kin(j *Judged) kin {
	return b.kinAt(j, weather.Season(b.at.Day(), b.isSouth(j.Colony.Yard)))
}

func (b *bench) kinAt(j *Judged, season int) kin {
	k := kin{bees: math.Max(1, math.Round(b.bees(j, season)/beesStep)) * beesStep}
	k.k = b.shelter(j.Colony).k(b.figs)
	k.factor = b.learned(j.Colony.Yard).Factor(j.Colony.ID)
	return k
}

// bees gives the adult bees of 1 November (south: 1 May) of a season from the
// frames that were counted: on frames of the lowest box, or on Langstroth deeps
// where the woodenware is not known.
//
// A count is carried from its day by the calendar of bee numbers. One made in
// summer stands for 1 August, the calendar's first day. One of an earlier season,
// or none, says nothing of this autumn: then the plain figure stands for 1
// October, the time its sources speak of.
func (b *bench) bees(j *Judged, season int) float64 {
	south := b.isSouth(j.Colony.Yard)
	start := weather.SeasonStart(season, south)
	frames, day := j.Bees.Mean, j.BeesAt.Day()
	if !j.Looked || day < start {
		frames, _ = b.plainBees(j.Colony)
		day = start + firstOfOctober
	}
	count := b.beesOn(j.Colony, frames)
	nov, err := winter.AtNovember(count, max(day, start+31), south)
	if err != nil { // counted at the height of the spring: as many as then
		return count
	}
	return nov
}

// firstOfOctober counts from 1 July (south: 1 April from 1 January). From then on
// colonies are taken to live on their stores; what is eaten before, while bees
// still find food, is a plain figure.
const firstOfOctober = 92

// eatenBy gives what a colony eats this winter day by day, by the weather as it
// was. Not ok where the model cannot say: then the plain figures stand.
func (b *bench) eatenBy(j *Judged) (stores.Eaten, bool) {
	yard := j.Colony.Yard
	south := b.isSouth(yard)
	from := weather.SeasonStart(weather.Season(b.at.Day(), south), south) + firstOfOctober
	if b.at.Day() <= from {
		return stores.Eaten{}, false
	}
	brood, err := winter.BroodOf(b.climate(yard))
	if err != nil {
		return stores.Eaten{}, false
	}
	p := place{station: b.skyOf(yard).place, south: south, climate: b.climate(yard), day: b.at.Day(), params: b.params(yard)}
	e := b.st.memo.eaten.get(p, mostPlaces, func() *eaten {
		e := &eaten{from: from}
		e.temps, e.ok = b.temps(yard, from, min(b.at.Day(), from+lastSpring))
		return e
	})
	if !e.ok {
		return stores.Eaten{}, false
	}
	k := b.kin(j)
	x := e.kin.get(k, mostKin, func() *stores.Eaten {
		x, err := winter.Eaten(winter.UseQuery{Place: winter.Place{South: south, Brood: brood}, From: from, Temp: e.temps, Colony: k.colony(""), Params: p.params})
		if err != nil {
			return nil
		}
		return &x
	})
	if x == nil {
		return stores.Eaten{}, false
	}
	return *x, true
}

// lastSpring is the last day of the calendars, from 1 October: 10 June.
const lastSpring = 252

// temps gives the daily means from a day up to the day before another: as
// measured, and where that is not known the mean of the month in all years. ok is
// false where neither is.
func (b *bench) temps(yard string, from, to units.Day) ([]float64, bool) {
	s := b.skyOf(yard)
	if !s.known || to <= from {
		return nil, false
	}
	var months []weather.Month
	out := make([]float64, 0, to-from)
	for d := from; d < to; d++ {
		day, ok := s.series.At(d)
		if t, has := day.TMean(); ok && has {
			out = append(out, t.C())
			continue
		}
		if months == nil {
			months = weather.Normals(s.series, b.figs)
		}
		m := months[d.Month()-1].TMean
		if !m.Known {
			return nil, false
		}
		out = append(out, m.Mean)
	}
	return out, true
}

// broodOf gives the brood to be expected in winter where nobody looked lately, dm²
// of one side by the calendar, give or take half (judged); not known before 1
// October and where the class of winter is not.
func (b *bench) broodOf(c *Colony, d units.Day) figure.Estimate {
	south := b.isSouth(c.Yard)
	if d < weather.SeasonStart(weather.Season(d, south), south)+firstOfOctober {
		return figure.Estimate{}
	}
	calendar, err := winter.BroodOf(b.climate(c.Yard))
	if err != nil {
		return figure.Estimate{}
	}
	a, err := winter.BroodOn(calendar, d, south, 0)
	if err != nil {
		return figure.Estimate{}
	}
	return figure.Est(float64(a), math.Max(2, 0.5*float64(a)))
}
