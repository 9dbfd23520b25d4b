package ledger

import (
	"cmp"
	"slices"
	"strings"

	"larder/internal/units"
)

// Way is which way a move goes.
type Way uint8

// The ways. In is bought, mixed or brought back; Out is gone; Set is counted;
// Open takes nothing.
const (
	In Way = iota
	Open
	Out
	Set
)

// Mixed is the sort of syrup mixed here: its lots are batches.
const Mixed Goods = "mixed"

// Why of a move.
const (
	ForBatch  = "batch" // went into a batch
	ForColony = "given" // put on a colony
)

// Move is one thing that changes the stock. Item and Goods say what of; an
// Out with no Item takes of the sorts AnyOf, the first first.
type Move struct {
	Ref    string // id of the fact, and what of it: a move's own name
	At     units.Moment
	Way    Way
	Item   string
	Goods  Goods
	Lot    string
	Liquid bool // Qty is microlitres
	Qty    Qty

	Price units.Money // In: paid for it; zero = not told
	UseBy units.Day   // In: last day it is good closed; 0 = not told
	Keeps int         // Open: days it keeps from then on; 0 = not told
	Kept  string      // Open: where it stands

	AnyOf []Goods  // Out without Item
	Lots  []string // Out without Lot: these lots first, if told
	Why   string   // Out: ForBatch, ForColony, or a [Happening]
	For   string   // Out: the batch or colony
}

// Lot is what is left of one lot, or of what was not told by lot (Lot "").
type Lot struct {
	Item   string
	Goods  Goods
	Lot    string
	Liquid bool

	Came   Qty // bought, mixed or brought back
	Gone   Qty
	OnHand Qty // Came − Gone; below zero: more was taken than ever came
	Bought Qty // the part of Came that was paid for or mixed

	Price  units.Money // paid for all of Bought; see Priced
	Priced bool        // the whole of Bought has a price
	Cost   units.Money // the part of Price that is gone
	Value  units.Money // the part of Price that is left
	First  units.Moment
	UseBy  units.Day // by its print and by its opening, the sooner; 0 = not told
	Opened units.Day
	Kept   string
	No     int // place in Stock.Lots
}

// Issue is what a going-out took of one lot.
type Issue struct {
	Ref   string
	At    units.Moment
	Why   string
	For   string
	No    int // the lot's place in Stock.Lots
	Named bool
	Qty   Qty
	Cost  units.Money // zero = the lot has no price
	Known bool        // the lot has a price, and has not been overdrawn
}

// Stock is what Run found.
type Stock struct {
	Lots   []Lot // by sort, item, then the order in which they are to be used
	Issues []Issue
}

// lotKey tells lots apart.
type lotKey struct {
	item   string
	lot    string
	liquid bool
}

type book struct {
	lots []Lot
	at   map[lotKey]int
	paid []bool // by lot: no part of it is without a price
	out  []Issue
	err  error
}

// Run goes through moves in order of their days. On one day what came in comes
// first: nobody notes the hour of a delivery. Then time, then Ref. The order of
// the list does not matter.
//
// The error is one of money (two currencies in one lot or batch); the stock is
// whole all the same, only without those costs.
func Run(moves []Move) (Stock, error) {
	moves = slices.Clone(moves)
	slices.SortFunc(moves, func(a, b Move) int {
		return cmp.Or(cmp.Compare(a.At.Day(), b.At.Day()), cmp.Compare(a.Way.rank(), b.Way.rank()), a.At.Compare(b.At), strings.Compare(a.Ref, b.Ref))
	})
	b := &book{at: map[lotKey]int{}}
	for i := range moves {
		b.move(&moves[i])
	}
	return b.close()
}

// rank puts what comes in before what goes out, and a count last.
func (w Way) rank() int {
	return int(w)
}

func (b *book) move(m *Move) {
	switch m.Way {
	case In:
		b.in(m)
	case Open:
		l := b.lot(m.Item, m.Goods, m.Lot, b.liquid(m))
		l.Opened, l.Kept = m.At.Day(), m.Kept
		if until := m.At.Day() + units.Day(m.Keeps); m.Keeps > 0 && (l.UseBy == 0 || until < l.UseBy) {
			l.UseBy = until
		}
	case Out:
		b.take(m, m.Qty)
	case Set:
		b.count(m)
	}
}

// liquid tells how a lot is counted when the move does not say: as it came.
func (b *book) liquid(m *Move) bool {
	_, ok := b.at[lotKey{m.Item, m.Lot, true}]
	return m.Liquid || ok
}

// lot finds a lot, or begins it.
func (b *book) lot(item string, g Goods, lot string, liquid bool) *Lot {
	k := lotKey{item, lot, liquid}
	i, ok := b.at[k]
	if !ok {
		i = len(b.lots)
		b.at[k] = i
		b.lots = append(b.lots, Lot{Item: item, Goods: g, Lot: lot, Liquid: liquid, No: i})
		b.paid = append(b.paid, true)
	}
	return &b.lots[i]
}

func (b *book) in(m *Move) {
	l := b.lot(m.Item, m.Goods, m.Lot, m.Liquid)
	l.Goods = m.Goods
	if l.First.IsZero() {
		l.First = m.At
	}
	l.Came += m.Qty
	if m.Why != "" { // brought back or found: it was paid for before
		return
	}
	l.Bought += m.Qty
	if m.Goods != Mixed && m.Price.IsZero() {
		b.paid[l.No] = false
	}
	sum, err := l.Price.Plus(m.Price)
	if err != nil {
		b.err, b.paid[l.No] = err, false
	} else {
		l.Price = sum
	}
	if m.UseBy != 0 && (l.UseBy == 0 || m.UseBy < l.UseBy) {
		l.UseBy = m.UseBy
	}
}

// take takes q of what a move names, first of what is to be used first.
func (b *book) take(m *Move, q Qty) {
	if q <= 0 {
		return
	}
	from, named := b.sources(m)
	for _, i := range from {
		if n := min(q, b.onHand(i)); n > 0 {
			b.issue(m, i, n, named)
			q -= n
		}
	}
	if q == 0 {
		return
	}
	// More than is there. It goes below zero where it was said to be from, else
	// where it is of no lot.
	switch {
	case named && len(from) > 0:
		b.issue(m, from[len(from)-1], q, true)
	default:
		item, g := m.Item, m.Goods
		if item == "" {
			item, g = b.nameFor(m.AnyOf)
		}
		b.issue(m, b.lot(item, g, "", m.Liquid).No, q, false)
	}
}

// onHand is what is left while moves are gone through.
func (b *book) onHand(i int) Qty { return b.lots[i].Came - b.lots[i].Gone }

// nameFor gives the item that something of these sorts is counted under when
// none of it is there: the one that came last, else the word for the sort.
func (b *book) nameFor(sorts []Goods) (string, Goods) {
	if len(sorts) > 0 && sorts[0] == Mixed {
		return string(Mixed), Mixed
	}
	for _, g := range sorts {
		for i := len(b.lots) - 1; i >= 0; i-- {
			if b.lots[i].Goods == g {
				return b.lots[i].Item, g
			}
		}
	}
	for _, g := range sorts {
		return string(g), g
	}
	return string(Other), Other
}

// sources lists the lots a move may take from, in order. named: it said which.
func (b *book) sources(m *Move) (from []int, named bool) {
	if m.Lot != "" {
		item, g := m.Item, m.Goods
		if item == "" {
			item, g = b.itemOfLot(m.Lot, m.AnyOf, m.Liquid)
		}
		return []int{b.lot(item, g, m.Lot, m.Liquid).No}, true
	}
	fits := func(l *Lot) bool {
		return l.Liquid == m.Liquid && (l.Item == m.Item || m.Item == "" && slices.Contains(m.AnyOf, l.Goods))
	}
	if len(m.Lots) > 0 {
		for i := range b.lots {
			if fits(&b.lots[i]) && slices.Contains(m.Lots, b.lots[i].Lot) {
				from = append(from, i)
			}
		}
		b.useOrder(from)
		if len(from) > 0 {
			return from, true
		}
		if lot, ok := b.unknownLot(m.Lots); ok { // used, and never bought: shown below zero
			item, g := b.nameFor(m.AnyOf)
			return []int{b.lot(item, g, lot, m.Liquid).No}, true
		}
	}
	for i := range b.lots {
		if fits(&b.lots[i]) {
			from = append(from, i)
		}
	}
	b.useOrder(from)
	if len(m.AnyOf) > 1 { // the sort named first goes first
		slices.SortStableFunc(from, func(x, y int) int {
			return cmp.Compare(slices.Index(m.AnyOf, b.lots[x].Goods), slices.Index(m.AnyOf, b.lots[y].Goods))
		})
	}
	return from, false
}

// itemOfLot finds whose lot it is: of the sorts told, else of any.
func (b *book) itemOfLot(lot string, sorts []Goods, liquid bool) (string, Goods) {
	for _, g := range sorts {
		for i := range b.lots {
			if l := &b.lots[i]; l.Lot == lot && l.Goods == g && l.Liquid == liquid {
				return l.Item, g
			}
		}
	}
	return b.nameFor(sorts)
}

// unknownLot gives the first of some lots that nothing is known of.
func (b *book) unknownLot(lots []string) (string, bool) {
	for _, x := range lots {
		if !slices.ContainsFunc(b.lots, func(l Lot) bool { return l.Lot == x }) {
			return x, true
		}
	}
	return "", false
}

// useOrder sorts lots by what is to be used first: what expires first, what is
// open, what came first, then by lot.
func (b *book) useOrder(from []int) {
	slices.SortStableFunc(from, func(x, y int) int { return useFirst(&b.lots[x], &b.lots[y]) })
}

func useFirst(x, y *Lot) int {
	day := func(d units.Day) int64 {
		if d == 0 {
			return 1 << 40
		}
		return int64(d)
	}
	return cmp.Or(cmp.Compare(day(x.UseBy), day(y.UseBy)), cmp.Compare(day(x.Opened), day(y.Opened)), x.First.Compare(y.First), strings.Compare(x.Lot, y.Lot))
}

func (b *book) issue(m *Move, no int, q Qty, named bool) {
	b.lots[no].Gone += q
	b.out = append(b.out, Issue{Ref: m.Ref, At: m.At, Why: m.Why, For: m.For, No: no, Named: named, Qty: q})
}

// count sets what is on the shelf. Less than the books say is gone; more came
// from nowhere. Without a lot the whole of the item was counted.
func (b *book) count(m *Move) {
	var have Qty
	for i := range b.lots {
		if l := &b.lots[i]; l.Item == m.Item && l.Liquid == m.Liquid && (m.Lot == "" || l.Lot == m.Lot) {
			have += b.onHand(i)
		}
	}
	switch {
	case m.Qty < have:
		b.take(m, have-m.Qty)
	case m.Qty > have:
		l := b.lot(m.Item, m.Goods, m.Lot, m.Liquid)
		if l.First.IsZero() {
			l.First = m.At
		}
		l.Came += m.Qty - have
	}
}

// Short lists the lots of which more was taken than came.
func (s *Stock) Short() []Lot {
	var out []Lot
	for _, l := range s.Lots {
		if l.OnHand < 0 {
			out = append(out, l)
		}
	}
	return out
}

// hasWord tells whether words hold a word, in either case.
func hasWord(words, word string) bool { return strings.Contains(strings.ToLower(words), word) }
