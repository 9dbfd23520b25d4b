package season

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"larder/internal/apiary"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/winter"
)

// combs offers sealed frames of a heavy colony of the same yard to those that lack
// food, before anything else: their own winter food, already ripe. Those that run
// short first choose first, each from the colony that can spare most. A giver keeps
// its reserve to the first forage with the keeper's confidence after it gave, and
// disease and treatment must be answered with no for both of late, as for frames
// offered in autumn. Combs put by in a shed are no fact of the book, so they are
// never offered here.
func (b *bench) combs(rows []Watching, ask []winter.Colony, y *yardWinter) {
	var takers, givers []int
	for i := range rows {
		switch w := &rows[i]; {
		case w.Lack > 0:
			takers = append(takers, i)
		case w.Fan.Known && healthy(w):
			givers = append(givers, i)
		}
	}
	if len(takers) == 0 {
		return
	}
	slices.SortStableFunc(takers, func(i, j int) int {
		a, c := &rows[i], &rows[j]
		return cmp.Or(cmp.Compare(orLast(a.Fan.RunsShortOn), orLast(c.Fan.RunsShortOn)), -cmp.Compare(a.Lack, c.Lack), NameOrder(a.Colony.ID, c.Colony.ID))
	})
	slices.SortFunc(givers, func(i, j int) int { return NameOrder(rows[i].Colony.ID, rows[j].Colony.ID) })
	left := map[int]figure.Estimate{} // of givers, after what they gave
	for _, i := range givers {
		left[i] = ask[i].Stores
	}
	type spared struct {
		giver int
		kind  string
	}
	gave := map[int]int{}   // frames, by giver
	can := map[spared]int{} // worked out once for each giver, and anew when it gave
	for _, t := range takers {
		w := &rows[t]
		if !healthy(w) {
			w.Need.Reasons = append(w.Need.Reasons, winter.Reason{Code: "combs-look", Say: "no sealed combs are offered: disease and treatment are not answered with no of late"})
			continue
		}
		best, from, frame := 0, -1, figure.Estimate{}
		for _, g := range givers {
			kind, ok := b.sharedFrame(rows[g].Colony.Stack, w.Colony.Stack)
			if !ok {
				continue
			}
			full, err := b.cat.FullFrame(kind, b.figs)
			if err != nil || !full.Known || !(full.Mean > 0) {
				continue
			}
			n, known := can[spared{g, kind}]
			if !known {
				n = b.spare(y, ask[g], left[g], full, mostCombs-gave[g])
				can[spared{g, kind}] = n
			}
			n = min(n, int(math.Ceil(w.Lack.Kg()/full.Mean-1e-9)))
			if float64(n)*full.Mean > float64(best)*frame.Mean {
				best, from, frame = n, g, full
			}
		}
		if from < 0 {
			continue
		}
		gave[from] += best
		moved := frameMass(frame, best)
		maps.DeleteFunc(can, func(k spared, _ int) bool { return k.giver == from })
		left[from] = figure.Est(left[from].Mean-moved.Mean, math.Hypot(left[from].SD, moved.SD))
		b.giveCombs(w, rows[from].Colony.ID, best, units.Mass(frame.Mean))
	}
}

// giveCombs puts n combs of kg each from a colony before the other ways, which are
// then for what the combs leave open.
func (b *bench) giveCombs(w *Watching, from string, n int, kg units.Mass) {
	q := b.needQuery(w.Colony.Yard, w.Lack)
	rest := w.Lack - units.Mass(n)*kg
	if rest > 0 {
		q.Lack = rest
		w.Need = winter.Emergency(q, b.figs)
		w.Need.Lack = w.Lack
		w.Need.Reasons = append(w.Need.Reasons, winter.Reason{Code: "combs-part", Say: "the combs are a part of it: the other ways are for the {0} left", Amounts: []any{rest}})
	}
	all := units.Mass(n) * kg
	w.Need.Options = slices.Insert(w.Need.Options, 0, winter.Option{Form: winter.Combs, Count: n, Kg: all, Now: all, Visits: 1, From: from,
		Why: winter.Reason{Code: "combs-from", Say: "full frames from {1}: {0}; it keeps enough to last. Free of disease, touching the cluster", Amounts: []any{n, from}}})
}

// mostCombs is how many frames one colony is asked for at the most: more would take
// its nest apart. Common practice, no source.
const mostCombs = 4

// spare gives how many full frames, up to most, a colony can give and still have its
// reserve at first forage with the keeper's confidence.
func (b *bench) spare(y *yardWinter, c winter.Colony, has, full figure.Estimate, most int) int {
	for n := 1; n <= most; n++ {
		m := frameMass(full, n)
		c.Stores = figure.Est(has.Mean-m.Mean, math.Hypot(has.SD, m.SD))
		if lack, known, err := y.ensemble.Lack(c, 0, 0, nil); err != nil || !known || lack > 0 || c.Stores.Mean <= 0 {
			return n - 1
		}
	}
	return max(0, most)
}

// healthy tells whether disease and treatment were looked for of late, and there
// was none.
func healthy(w *Watching) bool {
	return w.Answers.Disease == apiary.No && w.Answers.Treatment == apiary.No
}
