package season

import (
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/supplement"
	"larder/internal/units"
)

// DoseAsk is a product to go into a batch.
type DoseAsk struct {
	Product   string
	Lot       string // the pack it is taken from; "" = the one to be used first
	Volume    units.Volume
	Strength  units.Strength
	Temp      units.Temp
	TempKnown bool
	Share     units.Volume // the most one colony gets of the batch; 0 = not told
}

// DoseCard is the dose worked out by the keeper's own label, or the reason why
// not. Nothing in it is advice.
type DoseCard struct {
	supplement.Dose
	Label  supplement.Label
	Locked []error // why there is no dose; empty = there is one
	Pack   []supplement.Caution
	Lot    string
	Opened units.Day
	Until  units.Day // last day the pack may be used; 0 = not told
	Feed   units.Day // last day the syrup may be fed; 0 = not told
	Had    supplement.Spent
	Most   string // the colony that has had most already
}

// Dose works out a product for a batch by the label the keeper copied. A label
// that is not there, not whole or wrong locks it with a sentence; so does a
// pack past its day. The season's limit is counted from what colonies have had
// since the year began (1 January, in the south 1 July): the colony that has
// had most sets the dose for all.
func (st *State) Dose(a DoseAsk, at units.Moment) DoseCard {
	out := DoseCard{Lot: a.Lot}
	lock := func(err error) DoseCard {
		if many, ok := err.(fault.List); ok {
			out.Locked = append(out.Locked, many...)
		} else {
			out.Locked = append(out.Locked, err)
		}
		return out
	}
	l, ok := st.Label(a.Product)
	if !ok {
		return lock(fault.New(fault.Missing, a.Product, "its label has not been copied").WithHint("copy it under Feed shed, Labels"))
	}
	out.Label = l
	if err := l.Check(); err != nil {
		return lock(err)
	}
	spoon := supplement.Spoon{}
	if w, ok := st.Spoon(a.Product); ok {
		spoon, _ = w.Spoon()
	}
	figs, _ := st.Settings.FigureSet()
	out.Had, out.Most = st.hadOf(a.Product, at)
	out.pack(st, a, at)
	var err error
	if out.Pack, err = l.Usable(out.packOf(st, a.Product, at), at.Day()); err != nil {
		return lock(err)
	}
	out.Dose, err = l.ForBatch(supplement.Batch{Volume: a.Volume, Strength: a.Strength, Temp: a.Temp, TempKnown: a.TempKnown, Share: a.Share, Had: out.Had}, spoon, figs)
	if err != nil {
		return lock(err)
	}
	if d, told, err := l.MixedUntil(at.Day()); err == nil && told {
		out.Feed = d
	}
	return out
}

// pack chooses the pack: the one named, else the one to be used first.
func (c *DoseCard) pack(st *State, a DoseAsk, at units.Moment) {
	shed := st.Shed(at)
	for _, it := range shed.Items {
		if it.Item != a.Product {
			continue
		}
		for _, l := range it.Lots {
			if a.Lot == "" && l.OnHand > 0 || a.Lot != "" && strings.EqualFold(l.Lot.Lot, a.Lot) {
				c.Lot, c.Opened, c.Until = l.Lot.Lot, l.Opened, l.UseBy
				return
			}
		}
	}
}

func (c *DoseCard) packOf(st *State, product string, at units.Moment) supplement.Pack {
	p := supplement.Pack{Lot: c.Lot, Opened: c.Opened}
	for _, f := range st.goods[product] {
		if !at.Covers(f.Seen) {
			continue
		}
		switch b := f.Body.(type) {
		case ledger.Purchase:
			if b.Lot == c.Lot {
				p.BestBefore = b.BestBefore
			}
		case ledger.Handled:
			if b.What == ledger.Opened && b.Lot == c.Lot {
				p.Kept = b.Kept
			}
		}
	}
	return p
}

// hadOf gives what the colony that had most of a product has had this season.
func (st *State) hadOf(product string, at units.Moment) (most supplement.Spent, who string) {
	part := map[string]supplement.Amount{} // by batch: product in one litre
	for _, b := range st.Batches() {
		var mass units.Mass
		var volume units.Volume
		for _, u := range b.Used {
			if u.Item == product {
				mass += u.Mass.Q
				volume += u.Volume.Q
			}
		}
		switch {
		case !(b.Volume.Q > 0):
		case mass > 0:
			part[b.ID] = supplement.ByMass(mass / units.Mass(b.Volume.Q))
		case volume > 0:
			part[b.ID] = supplement.ByVolume(volume / b.Volume.Q)
		}
	}
	if len(part) == 0 {
		return most, ""
	}
	south := false
	for _, y := range st.Yards() {
		south = south || y.HasPlace && y.Lat < 0
	}
	from := units.DayOf(at.Day().Year(), 1, 1)
	if south {
		if from = units.DayOf(at.Day().Year(), 7, 1); at.Day() < from {
			from = units.DayOf(at.Day().Year()-1, 7, 1)
		}
	}
	for _, c := range st.Colonies() {
		if c.State != apiary.Alive {
			continue
		}
		had := supplement.Spent{}
		for _, f := range c.Events {
			g, ok := f.Body.(ledger.Given)
			if !ok || g.Colony != c.ID || !at.Covers(f.Seen) || f.Seen.Day() < from {
				continue
			}
			p, ok := part[g.Batch]
			if !ok {
				continue
			}
			had.Times++
			l := float64(g.Volume.Q)
			switch {
			case p.Weighed() && had.Amount.Volume.IsZero():
				had.Amount = supplement.ByMass(had.Amount.Mass.Q + p.Mass.Q*units.Mass(l))
			case !p.Weighed() && had.Amount.Mass.IsZero():
				had.Amount = supplement.ByVolume(had.Amount.Volume.Q + p.Volume.Q*units.Volume(l))
			}
		}
		if had.Times > 0 && (who == "" || spentOf(had) > spentOf(most) || spentOf(had) == spentOf(most) && had.Times > most.Times) {
			times := max(had.Times, most.Times)
			most, who = had, c.ID
			most.Times = times
		} else {
			most.Times = max(most.Times, had.Times)
		}
	}
	return most, who
}

func spentOf(s supplement.Spent) float64 {
	return s.Amount.Mass.Q.Kg() + s.Amount.Volume.Q.L()
}

// Reminders are what stands at the dose: which lot, since when it is open, by
// when it is to be used and fed.
func (c *DoseCard) Reminders() []feeding.Reason {
	var out []feeding.Reason
	add := func(code, say string, amounts ...any) {
		out = append(out, feeding.Reason{Code: code, Say: say, Amounts: amounts})
	}
	if c.Lot != "" {
		add("lot", "lot {0}: write it on the tank and into the batch", c.Lot)
	}
	if c.Opened != 0 {
		add("opened", "opened on {0}", c.Opened)
	} else if c.Lot != "" {
		add("not-opened", "not opened yet: write the day on it and into Feed shed")
	}
	if c.Until != 0 {
		add("pack-until", "the pack may be used until {0}", c.Until)
	}
	if c.Feed != 0 {
		add("feed-until", "feed the syrup by {0}", c.Feed)
	}
	if c.Most != "" {
		add("had", "{0} has had most of it this season: {1}", c.Most, c.Had.Amount.Say())
	}
	for _, w := range c.Pack {
		out = append(out, feeding.Reason{Code: w.Code, Say: w.Say, Amounts: w.Amounts})
	}
	return out
}

// Amount is what to weigh or measure out, in grams wherever they are known: that
// is what the keeper's scale shows, whatever his units are; "" when there is no
// dose.
func (c *DoseCard) Amount(s units.Style) string {
	switch {
	case len(c.Locked) > 0:
		return ""
	case c.GramsErr == nil:
		return s.Num(c.Grams.Kg()*1000, 0) + " g"
	}
	return s.Num(c.Take.Volume.Q.L()*1000, 0) + " mL"
}
