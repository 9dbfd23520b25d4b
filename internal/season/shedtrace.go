package season

import (
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/supplement"
	"larder/internal/units"
)

// LotRef is a lot that something came from.
type LotRef struct {
	Item  string
	Lot   string
	Named bool // somebody wrote it down; false = worked out by what expires first
}

// TraceGift is one gift with where it came from.
type TraceGift struct {
	Fact     ID
	Seen     units.Moment
	Colony   string
	Yard     string
	Feed     ledger.Feed
	Volume   units.Volume
	Mass     units.Mass
	Strength units.Strength
	Batch    string // mixed syrup
	Lots     []LotRef
	By       string
}

// TracedColony is a colony that may hold something.
type TracedColony struct {
	ledger.Kin
	Yard  string
	State apiary.State
	Fed   string // the colony that was fed, where it is another
}

// Trace is what became of a lot, or what a colony got.
type Trace struct {
	Lots     []LotRef
	Batches  []string
	Gifts    []TraceGift // by time
	Colonies []TracedColony
	Used     []ledger.Issue // what else was taken of the lot: spilt, thrown away
}

// ties lists how feed came from one colony to another.
func (st *State) ties(at units.Moment) []ledger.Tie {
	var out []ledger.Tie
	for _, c := range st.Colonies() {
		for _, f := range c.Events {
			if !at.IsZero() && !at.Covers(f.Seen) {
				continue
			}
			switch b := f.Body.(type) {
			case apiary.United:
				if b.From == c.ID {
					out = append(out, ledger.Tie{From: b.From, Into: b.Into, At: f.Seen, How: "unite"})
				}
			case apiary.Split:
				if b.New.ID == c.ID {
					out = append(out, ledger.Tie{From: b.From, Into: b.New.ID, At: f.Seen, How: "split"})
				}
			case ledger.Given:
				if b.Colony == c.ID && b.From != "" && b.From != b.Colony {
					out = append(out, ledger.Tie{From: b.From, Into: b.Colony, At: f.Seen, How: "frames"})
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b ledger.Tie) int { return a.At.Compare(b.At) })
	return out
}

// tracing knows where each gift and batch came from.
type tracing struct {
	st    *State
	shed  Shed
	at    units.Moment
	gift  map[string][]ledger.Issue // by ref of the gift
	batch map[string][]ledger.Issue // by batch
}

func (st *State) tracing(at units.Moment) *tracing {
	t := &tracing{st: st, shed: st.Shed(at), at: at, gift: map[string][]ledger.Issue{}, batch: map[string][]ledger.Issue{}}
	for _, i := range t.shed.Stock.Issues {
		switch i.Why {
		case ledger.ForColony:
			t.gift[i.Ref] = append(t.gift[i.Ref], i)
		case ledger.ForBatch:
			t.batch[i.For] = append(t.batch[i.For], i)
		}
	}
	return t
}

func addLot(to []LotRef, l LotRef) []LotRef {
	for i := range to {
		if to[i].Item == l.Item && to[i].Lot == l.Lot {
			to[i].Named = to[i].Named || l.Named
			return to
		}
	}
	return append(to, l)
}

// lotsOfBatch lists what went into a batch.
func (t *tracing) lotsOfBatch(id string) []LotRef {
	var out []LotRef
	b, _ := t.st.Batch(id)
	for _, i := range t.batch[id] {
		l := &t.shed.Stock.Lots[i.No]
		out = addLot(out, LotRef{l.Item, l.Lot, i.Named})
	}
	for _, lot := range b.Lots { // named, though nothing was taken of it by amount
		if !slices.ContainsFunc(out, func(r LotRef) bool { return r.Lot == lot }) {
			out = addLot(out, LotRef{t.itemOf(lot), lot, true})
		}
	}
	return out
}

func (t *tracing) itemOf(lot string) string {
	for _, l := range t.shed.Stock.Lots {
		if l.Lot == lot && l.Goods != ledger.Mixed {
			return l.Item
		}
	}
	return ""
}

// gifts lists the gifts of one colony with where they came from.
func (t *tracing) gifts(c *Colony) []TraceGift {
	var out []TraceGift
	for _, f := range c.Events {
		g, ok := f.Body.(ledger.Given)
		if !ok || g.Colony != c.ID || !t.at.IsZero() && !t.at.Covers(f.Seen) {
			continue
		}
		x := TraceGift{Fact: f.ID, Seen: f.Seen, Colony: c.ID, Yard: c.Yard, Feed: g.Feed, Volume: g.Volume.Q, Mass: g.Mass.Q, Batch: g.Batch, By: f.By}
		if g.Feed == ledger.Syrup {
			x.Strength = t.st.strengthOf(g)
		}
		for _, i := range t.gift[f.ID.String()] {
			l := &t.shed.Stock.Lots[i.No]
			if l.Goods != ledger.Mixed {
				x.Lots = addLot(x.Lots, LotRef{l.Item, l.Lot, i.Named})
				continue
			}
			if x.Batch == "" {
				x.Batch = l.Lot // by what was to be used first
			}
			for _, r := range t.lotsOfBatch(l.Lot) {
				r.Named = r.Named && i.Named
				x.Lots = addLot(x.Lots, r)
			}
		}
		out = append(out, x)
	}
	return out
}

// TraceLot tells which batches a lot went into and which colonies got it, or
// may hold it by now. name is the number of a lot, or the name of a batch;
// neither case nor spaces at its ends matter. found is false for one that
// nothing is known of.
func (st *State) TraceLot(name string, at units.Moment) (out Trace, found bool) {
	t := st.tracing(at)
	name = strings.TrimSpace(name)
	is := func(s string) bool { return name != "" && strings.EqualFold(s, name) }
	for _, l := range t.shed.Stock.Lots {
		if is(l.Lot) && l.Goods != ledger.Mixed {
			out.Lots = addLot(out.Lots, LotRef{l.Item, l.Lot, true})
		}
	}
	for _, b := range st.Batches() {
		hit := is(b.ID)
		for _, r := range t.lotsOfBatch(b.ID) {
			hit = hit || is(r.Lot)
		}
		if hit {
			out.Batches = append(out.Batches, b.ID)
		}
	}
	for _, i := range t.shed.Stock.Issues {
		if is(t.shed.Stock.Lots[i.No].Lot) && i.Why != ledger.ForBatch && i.Why != ledger.ForColony {
			out.Used = append(out.Used, i)
		}
	}
	for _, c := range st.Colonies() {
		for _, g := range t.gifts(c) {
			if is(g.Batch) || slices.ContainsFunc(g.Lots, func(r LotRef) bool { return is(r.Lot) }) {
				out.Gifts = append(out.Gifts, g)
			}
		}
	}
	sortGifts(out.Gifts)
	ties := st.ties(at)
	for _, g := range out.Gifts {
		for _, k := range ledger.Heirs(g.Colony, g.Seen, ties) {
			out.hold(st, k, g.Colony)
		}
	}
	return out, len(out.Lots)+len(out.Batches)+len(out.Gifts) > 0
}

func sortGifts(gs []TraceGift) {
	slices.SortStableFunc(gs, func(a, b TraceGift) int { return a.Seen.Compare(b.Seen) })
}

// hold lists a colony once.
func (out *Trace) hold(st *State, k ledger.Kin, fed string) {
	if fed == k.Colony {
		fed = ""
	}
	for i := range out.Colonies {
		if out.Colonies[i].Colony == k.Colony {
			if fed == "" { // fed itself: that is nearer
				out.Colonies[i].Kin, out.Colonies[i].Fed = k, ""
			}
			return
		}
	}
	x := TracedColony{Kin: k, Fed: fed}
	if c, ok := st.Colony(k.Colony); ok {
		x.Yard, x.State = c.Yard, c.State
	}
	out.Colonies = append(out.Colonies, x)
}

// TraceColony tells what a colony got, itself and through the colonies it came
// from: gifts, batches, lots.
func (st *State) TraceColony(id string, at units.Moment) (out Trace, found bool) {
	if _, ok := st.Colony(id); !ok {
		return out, false
	}
	t := st.tracing(at)
	for _, k := range ledger.Forebears(id, st.ties(at)) {
		c, ok := st.Colony(k.Colony)
		if !ok {
			continue
		}
		out.hold(st, k, "")
		for _, g := range t.gifts(c) {
			if !k.At.IsZero() && g.Seen.Compare(k.At) > 0 {
				continue
			}
			out.Gifts = append(out.Gifts, g)
			if g.Batch != "" && !slices.Contains(out.Batches, g.Batch) {
				out.Batches = append(out.Batches, g.Batch)
			}
			for _, r := range g.Lots {
				out.Lots = addLot(out.Lots, r)
			}
		}
	}
	sortGifts(out.Gifts)
	return out, true
}

// SuperFlag is a hive that has a super on and was fed: feed may end in honey.
type SuperFlag struct {
	Colony string
	Yard   string
	Fed    units.Day // last
	Looked units.Day // when the super was seen
	// HoneyFrom is the first day its honey may be taken again after a medicine;
	// 0 = none was given.
	HoneyFrom units.Day
	Medicine  string
}

// SupersOnFed lists living hives that were fed in the days before at (365) and
// on which the last look saw a super, and hives within the withdrawal period of
// a medicine whatever was seen.
func (st *State) SupersOnFed(at units.Moment) []SuperFlag {
	var out []SuperFlag
	for _, c := range st.Colonies() {
		if c.State != apiary.Alive {
			continue
		}
		x := SuperFlag{Colony: c.ID, Yard: c.Yard}
		super := apiary.Unknown
		for _, f := range c.Events {
			if !at.Covers(f.Seen) {
				break
			}
			switch b := f.Body.(type) {
			case ledger.Given:
				if b.Colony != c.ID || f.Seen.Day() < at.Day()-365 {
					continue
				}
				x.Fed = f.Seen.Day()
				if product, from := st.Withheld(b.Batch, f.Seen.Day()); from > x.HoneyFrom {
					x.HoneyFrom, x.Medicine = from, product
				}
			case apiary.Look:
				if b.Super != apiary.Unknown {
					super, x.Looked = b.Super, f.Seen.Day()
				}
			}
		}
		if x.HoneyFrom <= at.Day() {
			x.HoneyFrom, x.Medicine = 0, ""
		}
		if x.Fed != 0 && super == apiary.Yes || x.HoneyFrom != 0 {
			out = append(out, x)
		}
	}
	return out
}

// AllGifts lists every gift with where it came from, by time.
func (st *State) AllGifts(at units.Moment) []TraceGift {
	t := st.tracing(at)
	var out []TraceGift
	for _, c := range st.Colonies() {
		out = append(out, t.gifts(c)...)
	}
	sortGifts(out)
	return out
}

// Withheld gives the medicine in a batch and the first day honey may be taken
// of a hive that got it on a day; "" and 0 where there is none.
func (st *State) Withheld(batch string, day units.Day) (product string, from units.Day) {
	b, ok := st.Batch(batch)
	if !ok {
		return "", 0
	}
	for _, u := range b.Used {
		l, ok := st.Label(u.Item)
		if !ok || l.Medicine != supplement.Yes {
			continue
		}
		// A label that is not whole sets no period that could be relied on.
		if d, held, err := l.HoneyFrom(day); err == nil && held && d > from {
			product, from = u.Item, d
		}
	}
	return product, from
}

// SuperSays puts it into words.
func (x *SuperFlag) SuperSays() []feeding.Reason {
	var out []feeding.Reason
	if x.Looked != 0 {
		out = append(out, feeding.Reason{Code: "super-on-fed", Say: "fed on {0}, and a super was seen on it on {1}: feed may be in that honey", Amounts: []any{x.Fed, x.Looked}})
	}
	if x.HoneyFrom != 0 {
		out = append(out, feeding.Reason{Code: "withdrawal", Say: "had {0}: no honey before {1}", Amounts: []any{x.Medicine, x.HoneyFrom}})
	}
	return out
}
