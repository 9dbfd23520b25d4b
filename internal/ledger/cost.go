package ledger

import (
	"cmp"
	"slices"
	"strings"

	"larder/internal/units"
)

// close puts lots in order and works out what each going-out cost: bought
// things first, then batches, which cost what went into them.
func (b *book) close() (Stock, error) {
	for i := range b.lots {
		b.lots[i].OnHand = b.onHand(i)
	}
	into := map[string][]int{} // issues by batch
	byLot := make([][]int, len(b.lots))
	for k := range b.out {
		byLot[b.out[k].No] = append(byLot[b.out[k].No], k)
		if b.out[k].Why == ForBatch {
			into[b.out[k].For] = append(into[b.out[k].For], k)
		}
	}
	for _, mixed := range []bool{false, true} {
		for i := range b.lots {
			if (b.lots[i].Goods == Mixed) != mixed {
				continue
			}
			if mixed {
				b.priceBatch(i, into[b.lots[i].Lot])
			}
			b.share(i, byLot[i])
		}
	}
	return b.sorted(), b.err
}

// priceBatch makes a batch cost what went into it. With nothing known to have
// gone in, or any of it without a price, it has none of its own to speak of:
// what is known is kept, and Priced says that it is not all.
func (b *book) priceBatch(i int, in []int) {
	l := &b.lots[i]
	b.paid[i] = len(in) > 0
	for _, k := range in {
		sum, err := l.Price.Plus(b.out[k].Cost)
		if err != nil {
			b.err, b.paid[i] = err, false
			continue
		}
		l.Price = sum
		b.paid[i] = b.paid[i] && b.out[k].Known
	}
}

// share shares the price of a lot out to what is left of it and what went, to
// the cent. What is left is worth its part of what came for money; all the rest
// is shared by what went, so that nothing of what was paid is lost.
func (b *book) share(i int, issues []int) {
	l := &b.lots[i]
	l.Priced = b.paid[i] && l.Bought > 0
	if l.Price.IsZero() {
		return
	}
	if l.Bought <= 0 { // paid, but not told how much it was: nothing can be shared
		l.Value = l.Price
		return
	}
	left := min(max(l.OnHand, 0), l.Bought)
	parts, err := l.Price.Split([]float64{float64(l.Bought - left), float64(left)})
	if err != nil {
		b.err = err
		return
	}
	l.Cost, l.Value = parts[0], parts[1]
	if len(issues) == 0 {
		return
	}
	weights := make([]float64, len(issues))
	for n, k := range issues {
		weights[n] = float64(b.out[k].Qty)
	}
	costs, err := l.Cost.Split(weights)
	if err != nil {
		b.err = err
		return
	}
	for n, k := range issues {
		b.out[k].Cost, b.out[k].Known = costs[n], l.Priced && l.OnHand >= 0
	}
}

// sorted puts the lots in the order in which they are shown and used.
func (b *book) sorted() Stock {
	order := make([]int, len(b.lots))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(x, y int) int {
		p, q := &b.lots[x], &b.lots[y]
		return cmp.Or(cmp.Compare(rankOf(p.Goods), rankOf(q.Goods)), strings.Compare(p.Item, q.Item), useFirst(p, q), strings.Compare(p.Lot, q.Lot))
	})
	place := make([]int, len(order))
	s := Stock{Lots: make([]Lot, len(order)), Issues: b.out}
	for to, from := range order {
		place[from] = to
		s.Lots[to] = b.lots[from]
		s.Lots[to].No = to
	}
	for k := range s.Issues {
		s.Issues[k].No = place[s.Issues[k].No]
	}
	return s
}

func rankOf(g Goods) int {
	if g == Mixed {
		return -1
	}
	if i := slices.Index(AllGoods(), g); i >= 0 {
		return i
	}
	return len(AllGoods())
}

// Sum adds up amounts of money exactly, in any order. The error is that of two
// currencies; what is not told counts as nothing.
func Sum(all ...units.Money) (units.Money, error) {
	var sum units.Money
	for _, m := range all {
		s, err := sum.Plus(m)
		if err != nil {
			return units.Money{}, err
		}
		sum = s
	}
	return sum, nil
}

// Sacks gives how many whole sacks hold what is wanted, rounded up; 0 for a
// sack not told.
func Sacks(want, sack Qty) int {
	if sack <= 0 || want <= 0 {
		return 0
	}
	return int((want + sack - 1) / sack)
}
