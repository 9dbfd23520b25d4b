package season

import (
	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

// Wintering is one colony on its way to the first dependable forage.
type Wintering struct {
	Judged
	Fan      winter.Fan    // not Known without stores, or where the model cannot look
	Target   winter.Target // what it should have today to last, three ways
	Forage   winter.Forage // of its yard
	Modelled bool          // Fan and Target were worked out
	Why      []feeding.Reason
}

// WinterWatch looks ahead from at to the first dependable forage, for every living
// colony, in the order of Judge. Colonies of a yard share the yard's past winters
// and the same draws. What cannot be modelled comes with its reason.
func (st *State) WinterWatch(at units.Moment, seed uint64) []Wintering {
	b := st.bench(at)
	yards := map[string]*yardWinter{}
	var out []Wintering
	for _, c := range st.Colonies() {
		if c.State != apiary.Alive {
			continue
		}
		y := yards[c.Yard]
		if y == nil {
			y = b.yardWinter(c.Yard, seed)
			yards[c.Yard] = y
		}
		out = append(out, b.winter(c, y))
	}
	return out
}

// yardWinter is what the colonies of one yard share.
type yardWinter struct {
	ensemble *winter.Ensemble
	forage   winter.Forage
	why      []feeding.Reason
}

func (b *bench) yardWinter(yard string, seed uint64) *yardWinter {
	y := &yardWinter{}
	south, day, climate := b.isSouth(yard), b.at.Day(), b.climate(yard)
	fail := func(code string, err error) *yardWinter {
		y.why = []feeding.Reason{asReason(code, err)}
		return y
	}
	var err error
	if y.forage, err = winter.FirstForage(winter.ForageQuery{Season: weather.Season(day, south), South: south, Climate: climate}, b.figs); err != nil {
		return fail("forage-unknown", err)
	}
	brood, err := winter.BroodOf(climate)
	if err != nil {
		return fail("brood-unknown", err)
	}
	past, err := winter.PastWinters(winter.WintersQuery{Series: b.skyOf(yard).series, From: day, Until: y.forage.Horizon(south), South: south}, b.figs)
	if err != nil {
		return fail("winters-unknown", err)
	}
	y.ensemble, err = winter.NewEnsemble(winter.EnsembleQuery{Place: winter.Place{South: south, Brood: brood}, Winters: past, Forage: y.forage,
		Params: winter.ParamsOf(b.figs), Seed: seed, Figures: b.figs})
	if err != nil {
		return fail("winter-unknown", err)
	}
	for _, r := range past.Reasons {
		y.why = append(y.why, feeding.Reason(r))
	}
	return y
}

func (b *bench) winter(c *Colony, y *yardWinter) Wintering {
	w := Wintering{Judged: b.judge(c, b.at, 0), Forage: y.forage, Why: y.why}
	if y.ensemble == nil {
		return w
	}
	bees, err := winter.AtNovember(b.bees(&w.Judged), b.at.Day(), b.isSouth(c.Yard))
	if err != nil {
		w.Why = append(w.Why[:len(w.Why):len(w.Why)], asReason("bees-unknown", err))
		return w
	}
	colony := winter.Colony{ID: c.ID, Stores: w.Stores(), Bees: bees}
	published, from, _ := b.target(c, w.Type)
	q := winter.TargetQuery{Colony: colony, Own: c.Target, Frames: w.Bees.Mean}
	if from != "own" {
		q.Published, q.PublishedFrom = published, from
	}
	if w.Room.Known {
		q.Most = feeding.MostStores(units.Mass(w.Room.Mean), b.figs)
	}
	if w.Target, err = y.ensemble.Target(q); err != nil {
		w.Why = append(w.Why[:len(w.Why):len(w.Why)], asReason("target-unknown", err))
		return w
	}
	fans, err := y.ensemble.Watch(winter.WatchQuery{Colonies: []winter.Colony{colony}, Workers: 1})
	if err != nil || len(fans) != 1 {
		w.Why = append(w.Why[:len(w.Why):len(w.Why)], asReason("fan-unknown", err))
		return w
	}
	w.Fan, w.Modelled = fans[0], true
	return w
}

// bees gives the adult bees of a colony from its frames covered: on frames of the
// lowest box, or on Langstroth deeps where the woodenware is not known.
func (b *bench) bees(j *Judged) float64 {
	side := langstrothDeep
	if boxes := j.Colony.Stack.Boxes; len(boxes) > 0 {
		if k, err := b.cat.Box(boxes[0].Kind); err == nil {
			if f, err := b.cat.Frame(k.Frame); err == nil {
				side = f.Area
			}
		}
	}
	return stores.BeesOn(j.Bees.Mean, side, b.figs)
}

// langstrothDeep is the clear side of a Langstroth deep frame (colony evidence
// §2.1: 8.7 dm²).
const langstrothDeep units.Area = 8.7

// Spread gives the fan of one day as an estimate in kilograms.
func (w *Wintering) Spread(d units.Day) figure.Estimate { return w.Fan.Estimate(d) }
