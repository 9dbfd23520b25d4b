package winter

import (
	"math"
	"slices"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// EnsembleQuery asks for an ensemble of one yard.
type EnsembleQuery struct {
	Place
	Winters Winters // of the yard's station, to the horizon of Forage
	Forage  Forage
	Params  Params
	Draws   int    // 0 = 1000; 50 to 100 000
	Seed    uint64 // same seed, same answer
	Figures figure.Set
}

// Ensemble is past winters × draws of what is not known, for the colonies of
// one yard.
//
// What a colony has eaten by a day is a sum of four shares, each a number of
// the colony times a number of the draw and the day:
//
//	k·Σb·cold + m·Σr·bees·cold·act + s·Σqf·A + k·s^(2/3)·Σh·(35−T)·A^(2/3)
//
// So the sums are made once for the yard and a colony costs four
// multiplications a day and draw. All colonies share the draws (common random
// numbers): two colonies differ by what they are, not by luck. How many of them
// run short together is therefore not told by adding their draws.
type Ensemble struct {
	from     units.Day
	days     int
	draws    int
	place    Place
	winters  Winters
	forage   Forage
	forageIn float64 // days from the first day to the first dependable forage
	params   Params
	figs     figure.Set
	chol     [nRates][nRates]float64
	fewSD    float64
	x0       float64 // first day, of the season
	brood    *table
	beesOf   *table
	typical  []float64 // the winter with the middle number of very cold days
	first    int       // the first day whose sums are kept: 0, or the last for Outlays

	// sum holds, for each rate, what is eaten by the morning of each day: day
	// after day, draw by draw; (days+1)×draws. Summed in double, kept in single
	// precision: a hundredth of a gram.
	sum  [nRates][]float32
	e, z []float64 // of colony and of its stores, by draw
}

const defaultDraws = 1000

// NewEnsemble draws an ensemble. Errors: fault.OutOfRange for a number of draws
// that is none; those of [PastWinters] for days no calendar speaks of.
func NewEnsemble(q EnsembleQuery) (*Ensemble, error) {
	if q.Draws == 0 {
		q.Draws = defaultDraws
	}
	if q.Draws < 50 || q.Draws > 100000 {
		return nil, fault.Newf(fault.OutOfRange, "winter", "%d draws are too few or too many", q.Draws).WithHint("between 50 and 100 000")
	}
	e, err := plan(q)
	if err != nil {
		return nil, err
	}
	e.draw(q.Seed)
	return e, nil
}

// draw makes the sums from the first day kept on.
func (e *Ensemble) draw(seed uint64) {
	z := standard(e.draws, seed)
	e.e, e.z = z[dColony], z[dStores]
	for r := range e.sum {
		e.sum[r] = make([]float32, (e.days-e.first+1)*e.draws)
	}
	winters := deal(e.draws, len(e.winters.Temp), seed)
	for j := range e.draws {
		var at [nDims]float64
		for d := range at {
			at[d] = z[d][j]
		}
		pt := e.at(&at)
		var cum [nRates]float64
		for d, t := range e.winters.Temp[winters[j]] {
			e.eat(&cum, &pt, d, t)
			if d+1 < e.first {
				continue
			}
			for r := range cum {
				e.sum[r][(d+1-e.first)*e.draws+j] = float32(cum[r])
			}
		}
	}
}

// plan makes an ensemble without its draws.
func plan(q EnsembleQuery) (*Ensemble, error) {
	w := q.Winters
	if w.Days() == 0 {
		return nil, fault.New(fault.Missing, "winter", "no winter is known for this yard")
	}
	if err := inSeason(w.From, w.Days(), w.South); err != nil {
		return nil, err
	}
	if w.South != q.South {
		return nil, fault.New(fault.Conflict, "winter", "the winters are of the other half of the earth")
	}
	brood, err := broodCurve(q.Brood)
	if err != nil {
		return nil, err
	}
	for i, row := range w.Temp {
		for d, t := range row {
			if !(t >= -45 && t <= 40) {
				return nil, fault.Newf(fault.NotKnownHere, "winter", "%.0f °C on day %d of the winter of %d: what bees eat then is not known", t, d+1, w.Seasons[i]).
					WithHint("is the weather of that day right?")
			}
		}
	}
	e := &Ensemble{from: w.From, days: w.Days(), draws: q.Draws, place: q.Place, winters: w, forage: q.Forage,
		forageIn: float64(q.Forage.Day - w.From), params: q.Params, figs: q.Figures, chol: cholesky(q.Params.Cov),
		x0: dayOfSeason(w.From, w.South), brood: brood, beesOf: beesCurve(), typical: typicalWinter(w, q.Params.Tight)}
	e.fewSD = w.fewSD(e.middle(e.shareOf(Colony{Bees: e.params.broodBees})))
	return e, nil
}

// eat adds what is eaten on day d at mean temperature t to cum, for a colony
// with every number 1.
func (e *Ensemble) eat(cum *[nRates]float64, pt *point, d int, t float64) {
	part := pt.days - float64(d)
	if part <= 0 {
		return
	}
	part = math.Min(part, 1)
	p := &e.params
	x := e.x0 + float64(d)
	c := p.cold(t, pt.cold, pt.deep, pt.more)
	cum[Cluster] += part * pt.rate[Cluster] * c
	cum[PerKg] += part * pt.rate[PerKg] * pt.bees * e.beesOf.at(x) * c * p.act(t, pt.stir)
	if a := pt.amount * e.brood.at(x-pt.shift); a > 0 {
		cum[BroodFood] += part * pt.rate[BroodFood] * a
		cum[BroodWarmth] += part * pt.rate[BroodWarmth] * math.Max(p.Nest-t, 0) * twoThirds(a)
	}
}

// share is a colony's numbers for the four sums.
type share [nRates]float64

func (e *Ensemble) shareOf(c Colony) share {
	s := c.brood(&e.params)
	return share{c.k(), c.Bees * e.params.BeeKg, s, c.k() * twoThirds(s)}
}

func (s share) dot(x *[nRates]float64) float64 {
	return s[0]*x[0] + s[1]*x[1] + s[2]*x[2] + s[3]*x[3]
}

// eatenAt gives what a colony of share s, at point pt in winter w, has eaten by
// the morning of the last day.
func (e *Ensemble) eatenAt(s share, pt *point, w int) float64 {
	var cum [nRates]float64
	for d, t := range e.winters.Temp[w] {
		e.eat(&cum, pt, d, t)
	}
	return s.dot(&cum)
}

// middle gives what a colony eats in each winter at the middle of everything
// else.
func (e *Ensemble) middle(s share) []float64 {
	var zero [nDims]float64
	pt := e.at(&zero)
	out := make([]float64, len(e.winters.Temp))
	for w := range out {
		out[w] = e.eatenAt(s, &pt, w)
	}
	return out
}

// From gives the first day, Until the morning after the last.
func (e *Ensemble) From() units.Day { return e.from }

// Until gives the morning after the last day eaten.
func (e *Ensemble) Until() units.Day { return e.from + units.Day(e.days) }

// Forage gives the first dependable forage it goes by.
func (e *Ensemble) Forage() Forage { return e.forage }

// Params gives the figures it was drawn from.
func (e *Ensemble) Params() Params { return e.params }

// Draws gives the number of draws.
func (e *Ensemble) Draws() int { return e.draws }

// eaten gives what a colony has eaten by the morning of day index d, draw by
// draw, in kg, into out.
func (e *Ensemble) eaten(out []float64, c Colony, d int) {
	s, f := e.shareOf(c), c.factor(&e.params)
	for j := range out {
		i := (d-e.first)*e.draws + j
		x := [nRates]float64{float64(e.sum[0][i]), float64(e.sum[1][i]), float64(e.sum[2][i]), float64(e.sum[3][i])}
		out[j] = colonyFactor(f.Mean, f.SD, e.e[j]) * s.dot(&x)
	}
}

// stores gives what a colony begins with, draw by draw, in kg.
func (e *Ensemble) stores(out []float64, c Colony) {
	for j := range out {
		out[j] = math.Max(0, c.Stores.Mean+c.Stores.SD*e.z[j])
	}
}

// index gives the day index of a day within the horizon.
func (e *Ensemble) index(d units.Day) (int, error) {
	if d < e.from || d > e.Until() {
		return 0, fault.Newf(fault.OutOfRange, "winter", "%s is not looked ahead to", d).WithHint("between %s and %s", e.from, e.Until())
	}
	return int(d - e.from), nil
}

// Reasons says what the ensemble rests on, and where it lies outside the data
// for a colony.
func (e *Ensemble) Reasons(c Colony) []Reason {
	out := append([]Reason(nil), e.winters.Reasons...)
	out = append(out, e.forage.Reasons...)
	if e.params.Pairs > 0 {
		out = append(out, because("weighed", "what bees eat is drawn towards {0} pairs of weighings of your own", e.params.Pairs))
	} else {
		out = append(out, because("not-weighed", "what bees eat is by published figures; weighing your hives twice in a winter makes it yours"))
	}
	out = append(out, held(e.from, e.days, e.place.South)...)
	return append(out, e.params.Outside(c.Bees, e.typical)...)
}

// typicalWinter gives the winter with the middle number of days below tight: a
// mean of winters would hide their cold days.
func typicalWinter(w Winters, tight float64) []float64 {
	cold := make([]int, len(w.Temp))
	at := make([]int, len(w.Temp))
	for i, row := range w.Temp {
		at[i] = i
		for _, t := range row {
			if t < tight {
				cold[i]++
			}
		}
	}
	slices.SortStableFunc(at, func(a, b int) int { return cold[a] - cold[b] })
	return w.Temp[at[len(at)/2]]
}
