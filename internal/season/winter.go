package season

import (
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/winter"
)

// Wintering is one colony on its way to the first dependable forage.
type Wintering struct {
	Judged
	Fan      winter.Fan    // not Known without stores, or where the model cannot look
	Aim      Aim           // what it should have, three ways
	Forage   winter.Forage // of its yard
	Modelled bool          // Fan was worked out
	Why      []feeding.Reason
}

// WinterWatch looks ahead from at to the first dependable forage, for every living
// colony, in the order of Judge, or only for those named. Colonies of a yard share
// the yard's past winters and the same draws. What cannot be modelled comes with
// its reason.
func (st *State) WinterWatch(at units.Moment, seed uint64, only ...string) []Wintering {
	b := st.bench(at)
	yards := map[string]*yardWinter{}
	var out []Wintering
	for _, c := range st.Colonies() {
		if c.State != apiary.Alive || len(only) > 0 && !slices.Contains(only, c.ID) {
			continue
		}
		y := yards[c.Yard]
		if y == nil {
			y = b.yardWinter(c.Yard, seed, 0)
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

func (b *bench) yardWinter(yard string, seed uint64, draws int) *yardWinter {
	y := &yardWinter{}
	q, err := b.ensembleQuery(yard, b.at.Day(), seed)
	y.forage, _ = b.forage(yard) // not known: err says so
	q.Draws = draws
	if err == nil {
		y.ensemble, err = winter.NewEnsemble(q)
	}
	if err != nil {
		y.ensemble, y.why = nil, []feeding.Reason{asReason("no-model", err)}
		return y
	}
	for _, r := range q.Winters.Reasons {
		y.why = append(y.why, feeding.Reason(r))
	}
	y.why = append(y.why, b.whySky(yard)...)
	return y
}

func (b *bench) winter(c *Colony, y *yardWinter) Wintering {
	w := Wintering{Judged: b.judge(c, b.at, 0), Forage: y.forage, Why: y.why}
	w.Aim = b.aim(&w.Judged)
	if y.ensemble == nil {
		return w
	}
	colony := b.kin(&w.Judged).colony(c.ID)
	colony.Stores = w.Stores()
	fans, err := y.ensemble.Watch(winter.WatchQuery{Colonies: []winter.Colony{colony}, Workers: 1})
	if err != nil || len(fans) != 1 {
		w.Why = append(w.Why[:len(w.Why):len(w.Why)], asReason("fan-unknown", err))
		return w
	}
	w.Fan, w.Modelled = fans[0], true
	return w
}

// targetQuery asks for a colony's target with all that stands beside it.
func (b *bench) targetQuery(j *Judged, colony winter.Colony) winter.TargetQuery {
	q := winter.TargetQuery{Colony: colony, Own: j.Colony.Target, Frames: j.Bees.Mean}
	if t, err := feeding.Target(b.climate(j.Colony.Yard), j.Type); err == nil {
		q.Published, q.PublishedFrom = t.Stores, t.From
	}
	if j.Room.Known {
		q.Most = feeding.MostStores(units.Mass(j.Room.Mean), b.figs)
	}
	return q
}

// beesOn gives the bees on so many frames of a colony.
func (b *bench) beesOn(c *Colony, frames float64) float64 {
	side := langstrothDeep
	if boxes := c.Stack.Boxes; len(boxes) > 0 {
		if k, err := b.cat.Box(boxes[0].Kind); err == nil {
			if f, err := b.cat.Frame(k.Frame); err == nil {
				side = f.Area
			}
		}
	}
	return stores.BeesOn(frames, side, b.figs)
}

// langstrothDeep is the clear side of a Langstroth deep frame (colony evidence
// §2.1: 8.7 dm²).
const langstrothDeep units.Area = 8.7

// Spread gives the fan of one day as an estimate in kilograms.
func (w *Wintering) Spread(d units.Day) figure.Estimate { return w.Fan.Estimate(d) }
