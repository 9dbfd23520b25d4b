package cli

import (
	"fmt"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// minor gives money in the smallest coin, null for none told.
func minor(m units.Money) *int64 {
	if m.IsZero() {
		return nil
	}
	n, err := m.Minor()
	if err != nil {
		return nil
	}
	return &n
}

// much says an amount of stock.
func much(s units.Style, q ledger.Qty, liquid bool) string {
	if liquid {
		return s.Volume(q.Volume())
	}
	return s.MassSmall(q.Mass())
}

type stockCmd struct {
	source
	Sack string `placeholder:"50lb" help:"Sack of sugar to buy in (default: as bought last, else 50 lb in US units and 25 kg in others)."`
}

type stockJSON struct {
	AsOf     units.Moment   `json:"as_of"`
	Lots     []lotJSON      `json:"lots"`
	Below    []string       `json:"below_zero"`
	Buy      map[string]any `json:"buy"`
	Value    *int64         `json:"value_minor"`
	Currency string         `json:"currency"`
}

type lotJSON struct {
	Item     string       `json:"item"`
	Goods    ledger.Goods `json:"goods"`
	Lot      string       `json:"lot"`
	OnHandKg *float64     `json:"on_hand_kg"`
	OnHandL  *float64     `json:"on_hand_l"`
	CameKg   *float64     `json:"came_kg"`
	CameL    *float64     `json:"came_l"`
	UseBy    units.Day    `json:"use_by,omitzero"`
	Opened   units.Day    `json:"opened,omitzero"`
	Past     bool         `json:"past"`
	Soon     bool         `json:"soon"`
	First    bool         `json:"use_first"`
	Value    *int64       `json:"value_minor"`
	Currency string       `json:"currency"`
}

// Run tells what is on hand.
func (c *stockCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	p := reading{l: s.Locale()}
	sack := get(&p, "--sack", c.Sack, units.ParseMass)
	if p.err != nil {
		return p.err
	}
	shed := st.Shed(at)
	var planned *season.Planned
	if pl, err := st.Plan(at, 1); err == nil {
		planned = &pl
	}
	buy := st.ToBuy(planned, sack, at)
	if r.JSON {
		return r.printJSON(stockDoc(&shed, &buy, at, planned != nil))
	}
	if len(shed.Items) == 0 {
		fmt.Fprintln(r.Out, "Nothing is known of the shed: record what was bought, or count what is there.")
		return nil
	}
	t := newTable("item", "lot", ">on hand", "use by", "")
	for _, it := range shed.Items {
		for _, l := range it.Lots {
			note := ""
			switch {
			case l.OnHand < 0:
				note = "below zero: more was used than came"
			case l.Past:
				note = "past its day"
			case l.Soon:
				note = "use soon"
			case l.First:
				note = "use first"
			}
			t.row(itemName(l.Lot), l.Lot.Lot, much(s, l.OnHand, l.Liquid), l.UseBy.String(), note)
		}
	}
	t.print(r.Out)
	fmt.Fprintln(r.Out)
	switch {
	case planned == nil:
		fmt.Fprintln(r.Out, "There is no plan to buy for.")
	case buy.Sacks == 0:
		fmt.Fprintf(r.Out, "The plan needs %s of sugar; it is there.\n", s.Mass(buy.Need))
	default:
		fmt.Fprintf(r.Out, "The plan needs %s of sugar, %s is there: buy %d sacks of %s%s.\n", s.Mass(buy.Need), s.Mass(buy.OnHand), buy.Sacks, s.Mass(buy.Sack), paidLike(s, buy.Price))
	}
	if buy.Untold > 0 {
		fmt.Fprintf(r.Out, "%s of sugar were used that nobody wrote down as bought. None is counted as there: record the delivery, or count what you have.\n", s.Mass(buy.Untold))
	}
	return nil
}

func itemName(l ledger.Lot) string {
	if l.Goods == ledger.Mixed {
		return "mixed syrup"
	}
	return l.Item
}

func paidLike(s units.Style, m units.Money) string {
	if m.IsZero() {
		return ""
	}
	return ", about " + s.Money(m)
}

func byKind(q ledger.Qty, liquid bool) (kg, l *float64) {
	if liquid {
		x := q.Volume().L()
		return nil, &x
	}
	x := q.Mass().Kg()
	return &x, nil
}

func stockDoc(shed *season.Shed, buy *season.ToBuy, at units.Moment, plan bool) stockJSON {
	out := stockJSON{AsOf: at, Lots: []lotJSON{}, Below: []string{}, Value: minor(shed.Value), Currency: shed.Value.Currency()}
	for _, it := range shed.Items {
		if it.OnHand < 0 {
			out.Below = append(out.Below, it.Item)
		}
		for _, l := range it.Lots {
			x := lotJSON{Item: l.Item, Goods: l.Goods, Lot: l.Lot.Lot, UseBy: l.UseBy, Opened: l.Opened, Past: l.Past, Soon: l.Soon, First: l.First, Value: minor(l.Value), Currency: l.Value.Currency()}
			x.OnHandKg, x.OnHandL = byKind(l.OnHand, l.Liquid)
			x.CameKg, x.CameL = byKind(l.Came, l.Liquid)
			out.Lots = append(out.Lots, x)
		}
	}
	out.Buy = map[string]any{"plan": plan, "need_kg": buy.Need.Kg(), "on_hand_kg": buy.OnHand.Kg(), "untold_kg": buy.Untold.Kg(), "buy_kg": buy.Buy.Kg(), "sack_kg": buy.Sack.Kg(), "sacks": buy.Sacks,
		"cost_minor": minor(buy.Price), "currency": buy.Price.Currency()}
	return out
}

type doseCmd struct {
	source
	Product  string `arg:"" help:"The product, as its label was copied."`
	Make     string `placeholder:"40gal" required:"" help:"Syrup it goes into."`
	Strength string `placeholder:"1:1" help:"Strength of that syrup (default: the season's)."`
	At       string `placeholder:"25C" help:"Temperature of that syrup, measured."`
	Share    string `placeholder:"1gal" help:"The most of it one colony gets."`
	Lot      string `help:"The pack it is taken from (default: the one to be used first)."`
}

// Run works out a dose by the keeper's own label.
func (c *doseCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	p := reading{l: r.locale()}
	ask := season.DoseAsk{Product: c.Product, Lot: c.Lot, Strength: st.Settings.Syrup}
	ask.Volume = get(&p, "--make", c.Make, units.ParseVolume)
	ask.Share = get(&p, "--share", c.Share, units.ParseVolume)
	if c.Strength != "" {
		ask.Strength = get(&p, "--strength", c.Strength, func(t string, l units.Locale) (units.Strength, error) {
			figs, _ := st.Settings.FigureSet()
			x, err := season.ReadRecipe(t, figs)
			return x.Strength, err
		})
	}
	if t := told(&p, "--at", c.At); t.Told {
		ask.Temp, ask.TempKnown = t.Q, true
	}
	if p.err != nil {
		return p.err
	}
	d := st.Dose(ask, at)
	if len(d.Locked) > 0 {
		if r.JSON {
			out := []map[string]string{}
			for _, e := range d.Locked {
				out = append(out, map[string]string{"say": e.Error(), "hint": fault.HintOf(e)})
			}
			if err := r.printJSON(map[string]any{"as_of": at, "product": c.Product, "locked": out}); err != nil {
				return err
			}
		}
		return fault.List(d.Locked).OrNil()
	}
	if r.JSON {
		return r.printJSON(doseDoc(&d, s, at))
	}
	fmt.Fprintf(r.Out, "%s into %s of syrup, by its label as you copied it\n\n", c.Product, s.Volume(ask.Volume))
	row := func(what, much string) { fmt.Fprintf(r.Out, "  %-22s %s\n", what, much) }
	take := d.Take.String()
	if d.GramsErr == nil {
		take = s.Num(d.Grams.Kg()*1000, 0) + " g (" + s.MassSmall(d.Grams) + ")"
	}
	row("take", take)
	if d.SpoonsErr != nil {
		row("spoonfuls", "not known: "+fault.Wrap(d.SpoonsErr, "").Error())
	} else {
		row("spoonfuls, level", s.Num(d.Spoons, 2))
	}
	if d.HasCarrier {
		row("dissolve first in", s.VolumeSmall(d.Carrier)+" of water")
	}
	if !d.PerColony.IsZero() {
		row("one colony gets", s.Say("{0}", []any{d.PerColony.Say()}))
	}
	fmt.Fprintln(r.Out)
	for i, step := range d.Steps {
		para(r.Out, fmt.Sprintf("  %d. ", i+1), s.Say(step.Say, step.Amounts))
	}
	for _, x := range d.Reminders() {
		para(r.Out, "  - ", s.Say(x.Say, x.Amounts))
	}
	for _, x := range d.Cautions {
		para(r.Out, "  ! ", s.Say(x.Say, x.Amounts))
	}
	return nil
}

func doseDoc(d *season.DoseCard, s units.Style, at units.Moment) map[string]any {
	out := map[string]any{"as_of": at, "product": d.Label.Product, "lot": d.Lot, "locked": []string{}, "cut": d.Cut, "grams": nil, "spoons": nil, "carrier_l": nil, "per_colony": d.PerColony.String(), "take": d.Take.String()}
	if d.GramsErr == nil {
		out["grams"] = d.Grams.Kg() * 1000
	}
	if d.SpoonsErr == nil {
		out["spoons"] = d.Spoons
	} else {
		out["spoons_why"] = d.SpoonsErr.Error()
	}
	if d.HasCarrier {
		out["carrier_l"] = d.Carrier.L()
	}
	for k, day := range map[string]units.Day{"opened": d.Opened, "pack_until": d.Until, "feed_until": d.Feed} {
		if day != 0 {
			out[k] = day
		}
	}
	steps := []season.ReasonDoc{}
	for _, x := range d.Steps {
		steps = append(steps, season.ReasonDoc{Code: x.Code, Say: s.Say(x.Say, x.Amounts)})
	}
	out["steps"], out["reminders"] = steps, season.Reasons(d.Reminders(), s)
	cautions := []season.ReasonDoc{}
	for _, x := range d.Cautions {
		cautions = append(cautions, season.ReasonDoc{Code: x.Code, Say: s.Say(x.Say, x.Amounts)})
	}
	out["cautions"] = cautions
	return out
}
