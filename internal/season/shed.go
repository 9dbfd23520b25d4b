package season

import (
	"fmt"
	"slices"
	"strings"

	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/supplement"
	"larder/internal/units"
)

func shedFigures() []figure.Figure {
	return []figure.Figure{
		{Key: "season.use_soon_days", Name: "days before its last day from which a lot is to be used first", Value: 30, Unit: "days", Low: 1, High: 365,
			Source: "common practice, no source", Grade: figure.Practice},
	}
}

// ShedLot is a lot with what its days say.
type ShedLot struct {
	ledger.Lot
	Past bool // its last day is over
	Soon bool // it is near
	// First: of several lots of the item it is the one to be used first.
	First bool
}

// ShedItem is all lots of one thing.
type ShedItem struct {
	Item   string
	Goods  ledger.Goods
	Liquid bool
	OnHand ledger.Qty  // of all lots; below zero: more was used than ever came
	Value  units.Money // of what has a price
	Lots   []ShedLot   // in the order in which they are to be used
}

// Shed is what is on hand.
type Shed struct {
	Items    []ShedItem
	UseFirst []ShedLot // what is on hand and past or near its last day, the soonest first
	Short    []ledger.Lot
	Value    units.Money
	Stock    ledger.Stock
	Trouble  error // of money: what could not be added up
}

// Shed works out the stock by lot as of at.
func (st *State) Shed(at units.Moment) Shed {
	figs, _ := st.Settings.FigureSet()
	out := Shed{}
	out.Stock, out.Trouble = ledger.Run(st.moves(at))
	out.Short = out.Stock.Short()
	soon := units.Day(figs.V("season.use_soon_days"))
	for _, l := range out.Stock.Lots {
		n := len(out.Items)
		if n == 0 || out.Items[n-1].Item != l.Item || out.Items[n-1].Liquid != l.Liquid || out.Items[n-1].Goods != l.Goods {
			out.Items = append(out.Items, ShedItem{Item: l.Item, Goods: l.Goods, Liquid: l.Liquid})
			n++
		}
		it := &out.Items[n-1]
		x := ShedLot{Lot: l}
		if l.OnHand > 0 && l.UseBy != 0 {
			x.Past, x.Soon = at.Day() > l.UseBy, at.Day()+soon >= l.UseBy
		}
		x.First = l.OnHand > 0 && !slices.ContainsFunc(it.Lots, func(o ShedLot) bool { return o.First })
		it.Lots = append(it.Lots, x)
		it.OnHand += l.OnHand
		it.Value = out.add(it.Value, l.Value)
		out.Value = out.add(out.Value, l.Value)
		if x.Past || x.Soon {
			out.UseFirst = append(out.UseFirst, x)
		}
	}
	for i := range out.Items {
		it := &out.Items[i]
		have := 0
		for _, l := range it.Lots {
			if l.OnHand > 0 {
				have++
			}
		}
		for k := range it.Lots { // of one lot alone there is nothing to choose
			it.Lots[k].First = it.Lots[k].First && have > 1
		}
	}
	slices.SortStableFunc(out.UseFirst, func(a, b ShedLot) int { return int(a.UseBy) - int(b.UseBy) })
	return out
}

func (s *Shed) add(a, b units.Money) units.Money {
	sum, err := a.Plus(b)
	if err != nil {
		s.Trouble = err
		return a
	}
	return sum
}

// Lot finds a lot of an item that came in, or was used.
func (s *Shed) Lot(item, lot string) (ShedLot, bool) {
	for _, it := range s.Items {
		for _, l := range it.Lots {
			if l.Item == item && l.Lot.Lot == lot {
				return l, true
			}
		}
	}
	return ShedLot{}, false
}

// moves turns the facts known at a moment into what changed the stock.
func (st *State) moves(at units.Moment) []ledger.Move {
	var out []ledger.Move
	for _, item := range sortedKeys(st.goods) {
		for _, f := range st.goods[item] {
			if !at.IsZero() && !at.Covers(f.Seen) {
				continue
			}
			switch b := f.Body.(type) {
			case ledger.Purchase:
				out = append(out, st.bought(f, b))
			case ledger.Handled:
				out = append(out, st.handled(f, b))
			}
		}
	}
	for _, id := range sortedKeys(st.mixes) {
		out = append(out, st.mixMoves(id, at)...)
	}
	for _, c := range st.Colonies() {
		for _, f := range c.Events {
			if g, ok := f.Body.(ledger.Given); ok && g.Colony == c.ID && at.Covers(f.Seen) {
				out = st.gave(out, f, g)
			}
		}
	}
	return out
}

// goodsOf gives the sort of an item: as the purchase says, as there is a label
// of its name, or by its words.
func (st *State) goodsOf(item string) ledger.Goods {
	for _, p := range slices.Backward(st.purchases[item]) {
		if p.Goods != "" {
			return p.Goods
		}
	}
	if _, ok := st.labels[item]; ok {
		return ledger.Supplement
	}
	return ledger.GoodsOf(item)
}

func (st *State) bought(f *Fact, p ledger.Purchase) ledger.Move {
	m := ledger.Move{Ref: f.ID.String(), At: f.Seen, Way: ledger.In, Item: p.Item, Goods: st.goodsOf(p.Item), Lot: p.Lot, Price: p.Price, UseBy: p.BestBefore}
	// A drum of syrup has both on it; what is poured is measured.
	if m.Liquid = !p.Volume.IsZero() && (p.Mass.IsZero() || m.Goods == ledger.LiquidFeed); m.Liquid {
		m.Qty = ledger.LitresQty(p.Volume.Q)
	} else {
		m.Qty = ledger.WeightQty(p.Mass.Q)
	}
	return m
}

func qtyOf(mass units.Entered[units.Mass], volume units.Entered[units.Volume]) (q ledger.Qty, liquid bool) {
	if mass.IsZero() && !volume.IsZero() {
		return ledger.LitresQty(volume.Q), true
	}
	return ledger.WeightQty(mass.Q), false
}

func (st *State) handled(f *Fact, h ledger.Handled) ledger.Move {
	m := ledger.Move{Ref: f.ID.String(), At: f.Seen, Way: ledger.Out, Item: h.Item, Lot: h.Lot, Why: string(h.What), Kept: h.Kept}
	m.Qty, m.Liquid = qtyOf(h.Mass, h.Volume)
	if h.Batch != "" {
		m.Item, m.Goods, m.Lot = string(ledger.Mixed), ledger.Mixed, h.Batch
	} else {
		m.Goods = st.goodsOf(h.Item)
	}
	switch h.What {
	case ledger.Back:
		m.Way = ledger.In
	case ledger.Counted:
		m.Way = ledger.Set
	case ledger.Opened:
		m.Way = ledger.Open
		if l, ok := st.labels[h.Item]; ok && l.OpenedDays.Said == supplement.Says {
			m.Keeps = int(l.OpenedDays.Is)
		}
	}
	return m
}

// mixMoves are the moves of one batch: as it was last told, and what was done
// with it.
func (st *State) mixMoves(id string, at units.Moment) []ledger.Move {
	var out []ledger.Move
	var mixed *Fact
	for _, f := range st.mixes[id] {
		if !at.IsZero() && !at.Covers(f.Seen) {
			continue
		}
		switch b := f.Body.(type) {
		case ledger.Batch:
			mixed = f
		case ledger.Handled:
			out = append(out, st.handled(f, b))
		}
	}
	if mixed == nil {
		return out
	}
	b := mixed.Body.(ledger.Batch)
	ref := mixed.ID.String()
	out = append(out, ledger.Move{Ref: ref, At: mixed.Seen, Way: ledger.In, Item: string(ledger.Mixed), Goods: ledger.Mixed, Lot: id, Liquid: true,
		Qty: ledger.LitresQty(b.Volume.Q), UseBy: st.MixedUntil(b, mixed.Seen.Day())})
	sugar := ledger.WeightQty(b.Sugar.Q)
	for i, u := range b.Used {
		m := ledger.Move{Ref: fmt.Sprintf("%s/%d", ref, i+1), At: mixed.Seen, Way: ledger.Out, Item: u.Item, Goods: st.goodsOf(u.Item), Lot: u.Lot, Lots: b.Lots, Why: ledger.ForBatch, For: id}
		m.Qty, m.Liquid = qtyOf(u.Mass, u.Volume)
		if m.Goods == ledger.Sugar && !m.Liquid {
			sugar -= m.Qty // said by lot: not once more
		}
		out = append(out, m)
	}
	return append(out, ledger.Move{Ref: ref, At: mixed.Seen, Way: ledger.Out, AnyOf: []ledger.Goods{ledger.Sugar}, Lots: st.sugarLots(&b), Qty: sugar, Why: ledger.ForBatch, For: id})
}

// sugarLots lists the lots of a batch that are not those of a supplement in it.
func (st *State) sugarLots(b *ledger.Batch) []string {
	var out []string
	for _, lot := range b.Lots {
		other := slices.ContainsFunc(b.Used, func(u ledger.Used) bool { return u.Lot == lot }) || st.lotOfOther(lot)
		if !other {
			out = append(out, lot)
		}
	}
	return out
}

// lotOfOther tells whether a lot was bought of something that is no sugar, and
// of no sugar.
func (st *State) lotOfOther(lot string) bool {
	found := false
	for _, p := range st.Purchases() {
		if p.Lot == lot {
			if st.goodsOf(p.Item) == ledger.Sugar {
				return false
			}
			found = true
		}
	}
	return found
}

// MixedUntil gives the last day a batch may be fed by the labels of what is in
// it; 0 where they set none.
func (st *State) MixedUntil(b ledger.Batch, mixed units.Day) units.Day {
	var until units.Day
	for _, u := range b.Used {
		if l, ok := st.labels[u.Item]; ok && l.MixedDays.Said == supplement.Says {
			if d := mixed + units.Day(l.MixedDays.Is); until == 0 || d < until {
				until = d
			}
		}
	}
	return until
}

// gave adds the move of a gift. Frames are not of the shed.
func (st *State) gave(out []ledger.Move, f *Fact, g ledger.Given) []ledger.Move {
	m := ledger.Move{Ref: f.ID.String(), At: f.Seen, Way: ledger.Out, Lot: g.Lot, Why: ledger.ForColony, For: g.Colony, Qty: ledger.WeightQty(g.Mass.Q)}
	switch g.Feed {
	case ledger.Syrup:
		m.Liquid, m.Lot, m.Qty = true, g.Batch, ledger.LitresQty(g.Volume.Q)
		m.AnyOf = []ledger.Goods{ledger.Mixed, ledger.LiquidFeed}
	default:
		goods, ok := goodsFed[g.Feed]
		if !ok {
			return out
		}
		m.AnyOf = []ledger.Goods{goods}
	}
	return append(out, m)
}

// goodsFed are the goods that a feed given by weight comes from.
var goodsFed = map[ledger.Feed]ledger.Goods{ledger.Fondant: ledger.FondantFeed, ledger.DrySugar: ledger.Sugar, ledger.Protein: ledger.ProteinFeed}

// LotsFor lists the named lots on hand that a feed given by weight may come from,
// in the order in which they are to be used.
func (st *State) LotsFor(feed ledger.Feed, at units.Moment) []ShedLot {
	goods, ok := goodsFed[feed]
	if !ok {
		return nil
	}
	var out []ShedLot
	for _, it := range st.Shed(at).Items {
		if it.Goods != goods || it.Liquid {
			continue
		}
		for _, l := range it.Lots {
			if l.OnHand > 0 && l.Lot.Lot != "" {
				out = append(out, l)
			}
		}
	}
	return out
}

// ToBuy is what the plan needs and the shed does not have.
type ToBuy struct {
	Need   units.Mass // sugar for the batches of the plan
	OnHand units.Mass // sugar in the shed; never below zero
	Untold units.Mass // sugar that was used, and never told as bought or counted
	Buy    units.Mass // the difference, 0 = enough
	Sack   units.Mass
	Sacks  int         // whole ones, rounded up
	Price  units.Money // of the sacks by the price paid last, or by the setting; zero = not told
	Below  []ShedItem  // whatever else is below zero
}

// UsualSack is the sack of sugar most people buy: 50 lb in US units, 25 kg else.
// Common practice, no source.
func UsualSack(s units.System) units.Mass {
	if s == units.US {
		return 50 * units.Pound
	}
	return 25
}

// Sack is the sack that sugar is bought in: as it was bought last, else the usual
// one.
func (st *State) Sack() units.Mass {
	sack, _ := st.lastSugar()
	return sack
}

// lastSugar gives the sack that sugar was bought in last, and what was paid for a
// kilogram; where nobody told, the usual sack and the price of the settings.
func (st *State) lastSugar() (sack units.Mass, perKg units.Money) {
	perKg = st.Settings.SugarPerKg
	var last units.Moment
	for _, item := range sortedKeys(st.goods) {
		for _, f := range st.goods[item] {
			p, ok := f.Body.(ledger.Purchase)
			if !ok || st.goodsOf(item) != ledger.Sugar || !(p.Mass.Q > 0) || f.Seen.Compare(last) < 0 {
				continue
			}
			last = f.Seen
			if !p.Price.IsZero() {
				if x, err := p.Price.Times(fmt.Sprintf("%.9f", 1/p.Mass.Q.Kg())); err == nil {
					perKg = x
				}
			}
			if p.Sack.Q > 0 {
				sack = p.Sack.Q
			}
		}
	}
	if sack == 0 {
		sack = UsualSack(st.Settings.Units)
	}
	return sack, perKg
}

// ToBuy compares the plan with the shed. sack 0 is that of [State.Sack]; planned
// may be nil. A stock below zero is no stock of less than nothing: what was used
// without having been bought was there all the same, and is not bought again.
func (st *State) ToBuy(planned *Planned, sack units.Mass, at units.Moment) ToBuy {
	shed := st.Shed(at)
	out := ToBuy{Sack: sack}
	if planned != nil {
		out.Need = planned.Totals.Sugar
	}
	var have ledger.Qty
	for _, it := range shed.Items {
		switch {
		case it.Goods == ledger.Sugar && !it.Liquid:
			have += it.OnHand
		case it.OnHand < 0:
			out.Below = append(out.Below, it)
		}
	}
	usual, perKg := st.lastSugar()
	if out.Sack == 0 {
		out.Sack = usual
	}
	if have < 0 {
		out.Untold, have = (-have).Mass(), 0
	}
	out.OnHand = have.Mass()
	if want := ledger.WeightQty(out.Need) - have; want > 0 {
		out.Buy, out.Sacks = want.Mass(), ledger.Sacks(want, ledger.WeightQty(out.Sack))
	}
	if out.Sacks > 0 {
		if m, err := perKg.Times(fmt.Sprintf("%.3f", float64(out.Sacks)*out.Sack.Kg())); err == nil {
			out.Price, _ = m.Cents()
		}
	}
	return out
}

// Items lists the names of what was bought or has a label.
func (st *State) Items() []string {
	seen := map[string]bool{}
	for _, k := range sortedKeys(st.goods) {
		seen[k] = true
	}
	for k := range st.labels {
		seen[k] = true
	}
	return slices.DeleteFunc(sortedKeys(seen), func(s string) bool { return strings.TrimSpace(s) == "" })
}

// OnHandBatches lists the batches of which something is left, in the order in
// which they are to be used.
func (st *State) OnHandBatches(at units.Moment) []string {
	shed := st.Shed(at)
	var out []string
	for _, l := range shed.Stock.Lots {
		if _, ok := st.Batch(l.Lot); ok && l.Goods == ledger.Mixed && l.OnHand > 0 {
			out = append(out, l.Lot)
		}
	}
	return out
}
