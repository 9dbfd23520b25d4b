package cli

import (
	"fmt"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

type costCmd struct {
	source
	FromDay string   `name:"since" placeholder:"DATE" help:"First day counted (default: 1 January)."`
	ToDay   string   `name:"until" placeholder:"DATE" help:"Last day counted (default: the day of --asof)."`
	Offer   []string `placeholder:"'hfcs-55 480USD 275gal'" help:"A sugar on offer to compare: kind, price, and what it buys. Again for each."`
}

type costLineJSON struct {
	Colony   string   `json:"colony,omitempty"`
	Yard     string   `json:"yard,omitempty"`
	SyrupL   float64  `json:"syrup_l"`
	SolidKg  float64  `json:"solid_kg"`
	StoresKg *float64 `json:"stores_kg"`
	StoresSD *float64 `json:"stores_sd_kg"`
	Feed     *int64   `json:"feed_minor"`
	Road     *int64   `json:"road_minor"`
	Work     *int64   `json:"work_minor"`
	Total    *int64   `json:"total_minor"`
	PerKg    *int64   `json:"per_kg_stores_minor"`
	NoPrice  bool     `json:"price_missing"`
	Currency string   `json:"currency"`
}

// Run tells what feeding cost.
func (c *costCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	from, to := units.DayOf(at.Day().Year(), 1, 1), at.Day()
	for flag, x := range map[string]struct {
		text string
		day  *units.Day
	}{"--since": {c.FromDay, &from}, "--until": {c.ToDay, &to}} {
		if x.text == "" {
			continue
		}
		if *x.day, err = units.ParseDay(x.text); err != nil {
			return usage(err, flag)
		}
	}
	offers := st.Offers()
	for _, text := range c.Offer {
		o, err := readOffer(text, r.locale())
		if err != nil {
			return usage(err, "--offer")
		}
		offers = append(offers, o)
	}
	costs, compared := st.Costs(from, to, at), st.Compare(offers)
	if r.JSON {
		return r.printJSON(costDoc(&costs, compared, at))
	}
	printCosts(r, s, &costs)
	printCompared(r, s, compared)
	return nil
}

// readOffer reads "white-sugar 48USD 50lb".
func readOffer(text string, l units.Locale) (o season.Offer, err error) {
	part := strings.Fields(text)
	if len(part) < 3 {
		return o, fault.Newf(fault.NotUnderstood, "", "%q is no offer", text).WithHint("kind, price and what it buys: 'white-sugar 48USD 50lb'")
	}
	if _, err = syrup.FoodOf(syrup.Kind(part[0])); err != nil {
		return o, err
	}
	o.Kind = syrup.Kind(part[0])
	if o.Price, err = units.ParseMoney(part[1], l); err != nil {
		return o, err
	}
	much := strings.Join(part[2:], " ")
	if o.Mass, err = units.ParseMass(much, l); err != nil {
		o.Mass = 0
		if o.Volume, err = units.ParseVolume(much, l); err != nil {
			return o, err
		}
	}
	return o, nil
}

func printCosts(r *run, s units.Style, c *season.Costs) {
	t := newTable("yard", "colony", ">syrup", ">feed", ">road", ">hours", ">total", ">per "+s.MassCol().Unit+" stores", "")
	row := func(yard, colony string, l *season.CostLine) {
		note := ""
		if l.NoPrice {
			note = "some of it has no price"
		}
		t.row(yard, colony, s.Volume(l.Syrup), s.Money(l.Feed), s.Money(l.Road), s.Money(l.Work), s.Money(l.Total), perUnit(s, l), note)
	}
	for i := range c.Colonies {
		row(c.Colonies[i].Yard, c.Colonies[i].Colony, &c.Colonies[i].CostLine)
	}
	for i := range c.Yards {
		row(c.Yards[i].Yard, "all", &c.Yards[i].CostLine)
	}
	if len(c.Colonies) == 0 {
		fmt.Fprintln(r.Out, "No feed was given in these days.")
	} else {
		row("all", "", &c.All)
		t.print(r.Out)
	}
	fmt.Fprintln(r.Out)
	fmt.Fprintf(r.Out, "From %s to %s: %d batches, %d loads driven.\n", c.From, c.To, c.Batches, c.Loads)
	if !c.Lost.IsZero() {
		fmt.Fprintf(r.Out, "Spilt, thrown away or used otherwise: %s.\n", s.Money(c.Lost))
	}
	if c.NoRoad {
		fmt.Fprintln(r.Out, "The price of a kilometre is not told (price.per_km): driving costs nothing here.")
	}
	if c.NoWork {
		fmt.Fprintln(r.Out, "The price of an hour is not told (price.per_hour): work costs nothing here.")
	}
	if c.Trouble != nil {
		fmt.Fprintf(r.Out, "! %s\n", c.Trouble)
	}
}

// perUnit is money for the keeper's unit of stores.
func perUnit(s units.Style, l *season.CostLine) string { return s.Money(season.PerUnit(l.PerKg, s)) }

func printCompared(r *run, s units.Style, compared []season.Compared) {
	if len(compared) == 0 {
		return
	}
	fmt.Fprintln(r.Out)
	t := newTable("sugar", "lot", ">price", ">makes "+s.MassCol().Unit+" stores for", "")
	for _, x := range compared {
		if x.Err != nil {
			t.row(string(x.Kind), x.Lot, s.Money(x.Price), "", x.Err.Error())
			continue
		}
		much := s.Mass(x.Mass)
		if x.Mass == 0 {
			much = s.Volume(x.Volume)
		}
		t.row(x.Food.Name, x.Lot, s.Money(x.Price)+" for "+much, s.Money(season.PerUnit(x.Money, s)),
			s.Money(season.PerUnit(x.Low, s))+" to "+s.Money(season.PerUnit(x.High, s)))
	}
	t.print(r.Out)
}

func costLine(l *season.CostLine) costLineJSON {
	out := costLineJSON{SyrupL: l.Syrup.L(), SolidKg: l.Solid.Kg(), Feed: minor(l.Feed), Road: minor(l.Road), Work: minor(l.Work), Total: minor(l.Total), PerKg: minor(l.PerKg),
		NoPrice: l.NoPrice, Currency: l.Total.Currency()}
	if l.Stores.Known {
		out.StoresKg, out.StoresSD = &l.Stores.Mean, &l.Stores.SD
	}
	return out
}

func costDoc(c *season.Costs, compared []season.Compared, at units.Moment) map[string]any {
	lines := func(all []season.ColonyCost) []costLineJSON {
		out := []costLineJSON{}
		for i := range all {
			x := costLine(&all[i].CostLine)
			x.Colony, x.Yard = all[i].Colony, all[i].Yard
			out = append(out, x)
		}
		return out
	}
	sugars := []map[string]any{}
	for _, x := range compared {
		m := map[string]any{"kind": x.Kind, "lot": x.Lot, "price_minor": minor(x.Price), "per_kg_stores_minor": minor(x.Money), "low_minor": minor(x.Low), "high_minor": minor(x.High), "currency": x.Price.Currency()}
		if x.Err != nil {
			m["why"] = x.Err.Error()
		}
		sugars = append(sugars, m)
	}
	return map[string]any{"as_of": at, "from": c.From, "to": c.To, "colonies": lines(c.Colonies), "yards": lines(c.Yards), "all": costLine(&c.All), "lost_minor": minor(c.Lost),
		"loads": c.Loads, "batches": c.Batches, "sugars": sugars, "currency": c.All.Total.Currency()}
}
