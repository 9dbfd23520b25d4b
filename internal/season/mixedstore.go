package season

import (
	"math"
	"slices"

	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/syrup"
	"larder/internal/units"
)

// MixedStore is the mixed syrup that stands at home, as a plan counts on it: the
// keeper's own figure with what was mixed and given since he told it, or, where
// he told none, the batches written down less what was given.
type MixedStore struct {
	Counts  units.Volume // what a plan counts on
	Batches []MixedBatch // of which something is left, in the order in which they are to be used
	Rest    units.Volume // of the keeper's own figure
	Told    bool         // there is such a figure
	Figure  units.Volume
	Day     units.Day // on which it was told
	// Why says what counts and what does not; nil where nothing was told or mixed.
	Why []feeding.Reason
}

// MixedBatch is what is left of a batch.
type MixedBatch struct {
	ID     string
	Left   units.Volume
	Counts bool
}

// toldHand is when the keeper told how much mixed syrup stands at home.
type toldHand struct {
	told       bool
	seen, made units.Moment
	id         ID
	supposed   bool // tried out: it holds against all that is written down
}

// onHand is the setting that tells it.
const onHand = "kitchen.on_hand"

// handOf finds it among the facts of the setting.
func handOf(l []*Fact) toldHand {
	for _, f := range slices.Backward(l) {
		if s, ok := f.Body.(Setting); ok {
			return toldHand{told: s.Value != "", seen: f.Seen, made: f.WrittenAt(), id: f.ID}
		}
	}
	return toldHand{}
}

// stoodBefore tells whether an amount that somebody told was so before a thing
// that changed it. On one day the hour decides; what was told without an hour
// stood so in the morning, and of a thing without one counts when it was written
// down.
func stoodBefore(seen, made, thing, thingMade units.Moment) bool {
	switch {
	case seen.Day() != thing.Day():
		return seen.Day() < thing.Day()
	case seen.DayOnly():
		return true
	case thing.DayOnly():
		return made.Compare(thingMade) < 0
	}
	return seen.Compare(thing) < 0
}

// ownFigure is the lot that the keeper's figure is counted as: no batch can be
// called so.
const ownFigure = "\x00"

// mixedMove is a move of mixed syrup, and when it was written down.
type mixedMove struct {
	ledger.Move
	made units.Moment
}

// MixedStore works out the mixed syrup at home as of a moment. It is never below
// zero: where more was given than was mixed, batches were not written down, and
// later ones are whole all the same.
func (st *State) MixedStore(at units.Moment) MixedStore {
	out := MixedStore{}
	hand := st.hand
	if hand.told && (hand.supposed || at.IsZero() || at.Covers(hand.seen)) {
		out.Told, out.Figure, out.Day = true, st.Settings.OnHand, hand.seen.Day()
	}
	if hand.supposed {
		out.Counts, out.Rest = out.Figure, out.Figure
		return out
	}
	all := st.mixedMoves(at)
	moves := all
	if out.Told {
		moves = sinceTold(all, hand, out.Figure)
	}
	stock := runMixed(moves)
	for _, l := range stock.Lots {
		switch {
		case l.OnHand <= 0 || l.Lot == "":
		case l.Lot == ownFigure:
			out.Rest = l.OnHand.Volume()
		default:
			out.Batches = append(out.Batches, MixedBatch{ID: l.Lot, Left: l.OnHand.Volume()})
		}
	}
	st.weighMixed(&out, at)
	if out.Told && slices.ContainsFunc(runMixed(all).Lots, func(l ledger.Lot) bool {
		return l.OnHand > 0 && l.Lot != "" && !slices.ContainsFunc(out.Batches, func(b MixedBatch) bool { return b.ID == l.Lot })
	}) {
		out.say("mixed-before", "what is left of batches mixed before {0} is not counted by itself: it is in the {1} of mixed syrup you told then", out.Day, out.Figure)
	}
	return out
}

// Shown gives what stands in the box of the setting: as it was typed where that is
// what counts, else what counts by now.
func (m *MixedStore) Shown(typed string, s units.Style) string {
	switch {
	case m.Told && math.Abs((m.Counts-m.Figure).L()) < 1e-4: // the stock is kept in microlitres
		return typed
	case !m.Told && m.Counts == 0:
		return ""
	}
	return s.VolumeBig(m.Counts)
}

func (m *MixedStore) say(code, say string, amounts ...any) {
	m.Why = append(m.Why, feeding.Reason{Code: code, Say: say, Amounts: amounts})
}

// weighMixed says of each batch whether it counts, and adds up.
func (st *State) weighMixed(out *MixedStore, at units.Moment) {
	figs, _ := st.Settings.FigureSet()
	fed, same := st.Settings.Syrup, figs.V("season.same_strength")/100
	if out.Told && out.Figure > 0 {
		if out.Rest > 0 {
			out.say("mixed-told", "{0} of the {1} of mixed syrup you told on {2} are in store: the plan counts on them", out.Rest, out.Figure, out.Day)
		} else {
			out.say("mixed-told-gone", "nothing is left of the {0} of mixed syrup you told on {1}, by what was given since; if there is more, tell it anew", out.Figure, out.Day)
		}
	}
	out.Counts = out.Rest
	for i := range out.Batches {
		x := &out.Batches[i]
		b, _ := st.Batch(x.ID)
		mixed := st.mixedOn(x.ID, at)
		most := keepsAtMost(b.Strength, st)
		until := st.MixedUntil(b, mixed)
		switch {
		case b.Strength > 0 && math.Abs(float64(b.Strength-fed)) > same+1e-9:
			out.say("mixed-strength", "{0} of batch {1} are not counted on: it is of {2} and you feed {3}", x.Left, x.ID, b.Strength, fed)
		case until != 0 && at.Day() > until:
			out.say("mixed-label", "{0} of batch {1} are not counted on: by the label of what is in it, it may be fed until {2}", x.Left, x.ID, until)
		case at.Day() > mixed+most:
			out.say("mixed-old", "{0} of batch {1} are not counted on: it was mixed on {2}, and such syrup keeps {3} days at most; if it is still good, tell it as mixed syrup in store", x.Left, x.ID, mixed, int(most))
		default:
			x.Counts = true
			out.Counts += x.Left
			out.say("mixed-batch", "{0} of batch {1} are mixed already: the plan counts on them", x.Left, x.ID)
		}
	}
}

// keepsAtMost gives the days that syrup of a strength keeps closed in a cool
// place; where nobody says, those of thick syrup.
func keepsAtMost(s units.Strength, st *State) units.Day {
	figs, _ := st.Settings.FigureSet()
	const cool = 15 // °C
	for _, x := range []units.Strength{s, st.Settings.Syrup, 2.0 / 3} {
		if k, err := syrup.Keep(syrup.KeepRequest{Strength: x, At: cool, Figures: figs}); x > 0 && err == nil && k.Known {
			return units.Day(math.Round(float64(k.Most / (24 * units.Hour))))
		}
	}
	return 0
}

// mixedOn gives the day a batch was mixed on.
func (st *State) mixedOn(id string, at units.Moment) units.Day {
	for _, f := range slices.Backward(st.mixes[id]) {
		if _, ok := f.Body.(ledger.Batch); ok && (at.IsZero() || at.Covers(f.Seen)) {
			return f.Seen.Day()
		}
	}
	return 0
}

// mixedMoves lists what came to the mixed syrup at home and went of it: batches,
// what was done with them, and gifts but those of loads that were filled
// elsewhere.
func (st *State) mixedMoves(at units.Moment) []mixedMove {
	var out []mixedMove
	for _, id := range sortedKeys(st.mixes) {
		made := map[string]units.Moment{}
		for _, f := range st.mixes[id] {
			made[f.ID.String()] = f.WrittenAt()
		}
		for _, m := range st.mixMoves(id, at) {
			if m.Goods == ledger.Mixed {
				out = append(out, mixedMove{m, made[m.Ref]})
			}
		}
	}
	away := st.givenFromElsewhere()
	for _, c := range st.Colonies() {
		for _, f := range c.Events {
			g, ok := f.Body.(ledger.Given)
			if !ok || g.Colony != c.ID || g.Feed != ledger.Syrup || !at.IsZero() && !at.Covers(f.Seen) || away[f.ID] && g.Batch == "" {
				continue
			}
			for _, m := range st.gave(nil, f, g) {
				out = append(out, mixedMove{m, f.WrittenAt()})
			}
		}
	}
	return out
}

// givenFromElsewhere marks the gifts of loads whose tank was filled away from
// home.
func (st *State) givenFromElsewhere() map[ID]bool {
	out := map[ID]bool{}
	for _, p := range st.Plans() {
		doc := st.outDoc(p)
		if doc == nil {
			continue
		}
		from := map[int]bool{}
		for i := range doc.Loads {
			if doc.Loads[i].From != "" {
				from[doc.Loads[i].N] = true
			}
		}
		if len(from) == 0 {
			continue
		}
		served := loadsOf(doc)
		for _, c := range st.Colonies() {
			for n, visits := range st.visitsOf(c, p.Plan, served[c.ID]) {
				for i := range visits {
					out[visits[i].Fact] = out[visits[i].Fact] || from[n]
				}
			}
		}
	}
	return out
}

func runMixed(moves []mixedMove) ledger.Stock {
	plain := make([]ledger.Move, len(moves))
	for i := range moves {
		plain[i] = moves[i].Move
		plain[i].Price = units.Money{}
	}
	out, _ := ledger.Run(plain) // its error is one of money, and there is none in it
	return out
}

// sinceTold gives the moves from the keeper's own figure on. The figure is a lot
// of its own; what is done later with a batch that was mixed before goes of it,
// since the batch is in it.
func sinceTold(all []mixedMove, hand toldHand, figure units.Volume) []mixedMove {
	later := func(m *mixedMove) bool {
		if hand.seen.Day() == m.At.Day() && !hand.seen.DayOnly() && hand.made.Compare(m.made) == 0 && (m.At.DayOnly() || hand.seen.Compare(m.At) == 0) {
			return hand.id.String() < m.Ref // within one minute: by their ids
		}
		return stoodBefore(hand.seen, hand.made, m.At, m.made)
	}
	inIt := map[string]bool{}
	for i := range all {
		if m := &all[i]; m.Way == ledger.In && m.Why == "" && !later(m) {
			inIt[m.Lot] = true
		}
	}
	own := ledger.Move{At: units.OnDay(hand.seen.Day()), Way: ledger.In, Item: string(ledger.Mixed), Goods: ledger.Mixed, Lot: ownFigure, Liquid: true, Qty: ledger.LitresQty(figure)}
	out := []mixedMove{{own, hand.made}}
	for i := range all {
		m := all[i]
		if !later(&m) {
			continue
		}
		if inIt[m.Lot] {
			if m.Way == ledger.Set {
				m = countedIn(all, m)
			}
			m.Lot = ownFigure
		}
		out = append(out, m)
	}
	return out
}

// countedIn turns a count of one batch into what it changed.
func countedIn(all []mixedMove, count mixedMove) mixedMove {
	var before []mixedMove
	for _, m := range all {
		if m.At.Day() < count.At.Day() || m.At.Day() == count.At.Day() && m.Way != ledger.Set {
			before = append(before, m)
		}
	}
	var have ledger.Qty
	for _, l := range runMixed(before).Lots {
		if l.Lot == count.Lot {
			have = l.OnHand
		}
	}
	if count.Way = ledger.Out; count.Qty > have {
		count.Way, count.Qty = ledger.In, count.Qty-have
	} else {
		count.Qty = have - count.Qty
	}
	return count
}
