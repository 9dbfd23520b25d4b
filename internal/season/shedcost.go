package season

import (
	"fmt"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/syrup"
	"larder/internal/units"
)

// ColonyCost is what the feed of one colony cost.
type ColonyCost struct {
	Colony string
	Yard   string // where it stands, or stood, now
	CostLine
}

// CostLine is feed and what it cost, of one or several colonies.
type CostLine struct {
	Syrup  units.Volume
	Solid  units.Mass      // fondant, dry sugar
	Stores figure.Estimate // kg of stores that all of it makes, taken and ripened; not known where something in it makes none that is known
	Feed   units.Money
	Road   units.Money
	Work   units.Money // driving, feeding and mixing
	Total  units.Money
	PerKg  units.Money // Total for each kg of stores; zero = not known
	// NoPrice: something in it has no price, so the money is too little.
	NoPrice bool
}

// Costs is what feeding cost over a span of days.
type Costs struct {
	From, To units.Day
	Colonies []ColonyCost // by yard, stand, name
	Yards    []ColonyCost // by yard; Colony empty
	Lost     units.Money  // spilt, thrown away, missing at a count, used otherwise
	Syrup    units.Money  // batches: what went into them
	All      CostLine     // of all colonies, Lost not in it
	Loads    int          // driven
	Batches  int          // mixed
	NoRoad   bool         // no price of a kilometre was told
	NoWork   bool         // no price of an hour was told
	Trouble  error        // two currencies: sums are not whole
}

// Costs works out what feeding cost from one day to another, both in it, by
// what is known at a moment.
//
// Feed is priced by the lots it came from. Kilometres and hours are those of
// the loads that were driven (loads of plans taken out of which something is
// written down), at the prices of the settings; mixing is the batches times the
// time one takes. A load is shared by its colonies by the litres they got, a
// batch by what was taken of it. All is shared to the cent: colonies add up to
// yards and yards to the season.
func (st *State) Costs(from, to units.Day, at units.Moment) Costs {
	figs, _ := st.Settings.FigureSet()
	c := costing{st: st, figs: figs, by: map[string]*CostLine{}, out: Costs{From: from, To: to}}
	c.out.NoRoad, c.out.NoWork = st.Settings.PerKm.IsZero(), st.Settings.PerHour.IsZero()
	shed := st.Shed(at)
	c.out.Trouble = shed.Trouble
	c.feed(&shed)
	c.mixing(&shed)
	c.driving(at)
	c.close()
	return c.out
}

type costing struct {
	st   *State
	figs figure.Set
	by   map[string]*CostLine
	out  Costs
}

func (c *costing) in(m units.Moment) bool { d := m.Day(); return d >= c.out.From && d <= c.out.To }

func (c *costing) line(colony string) *CostLine {
	if c.by[colony] == nil {
		c.by[colony] = &CostLine{Stores: figure.Est(0, 0)}
	}
	return c.by[colony]
}

func (c *costing) plus(to *units.Money, m units.Money) {
	sum, err := to.Plus(m)
	if err != nil {
		c.out.Trouble = err
		return
	}
	*to = sum
}

// feed adds what was taken from the shed.
func (c *costing) feed(shed *Shed) {
	given := map[string]units.Strength{}
	for _, col := range c.st.Colonies() {
		for _, f := range col.Events {
			if g, ok := f.Body.(ledger.Given); ok && g.Colony == col.ID {
				given[f.ID.String()] = c.st.strengthOf(g)
			}
		}
	}
	for _, i := range shed.Stock.Issues {
		if !c.in(i.At) {
			continue
		}
		switch i.Why {
		case ledger.ForBatch:
			c.plus(&c.out.Syrup, i.Cost)
		case ledger.ForColony:
			l := c.line(i.For)
			c.plus(&l.Feed, i.Cost)
			l.NoPrice = l.NoPrice || !i.Known
			c.stores(l, i, &shed.Stock.Lots[i.No], given[i.Ref])
		default:
			c.plus(&c.out.Lost, i.Cost)
		}
	}
}

// stores adds the amount and the stores it makes.
func (c *costing) stores(l *CostLine, i ledger.Issue, lot *ledger.Lot, s units.Strength) {
	var made figure.Estimate
	switch {
	case lot.Liquid:
		l.Syrup += i.Qty.Volume()
		if y, err := syrup.StoresFrom(i.Qty.Volume(), s, 20, c.figs); err == nil {
			made = y.Stores
		}
	case lot.Goods == ledger.FondantFeed || lot.Goods == ledger.Sugar:
		l.Solid += i.Qty.Mass()
		kind := syrup.Fondant
		if lot.Goods == ledger.Sugar {
			kind = syrup.WhiteSugar
		}
		if y, err := syrup.StoresFromFood(kind, i.Qty.Mass(), 0, c.figs); err == nil {
			made = y.Stores
		}
	default: // pollen, protein: no stores
		l.Solid += i.Qty.Mass()
		return
	}
	// The figures behind two gifts are the same ones: their errors add.
	if !made.Known || !l.Stores.Known {
		l.Stores = figure.Estimate{}
		return
	}
	l.Stores = figure.Est(l.Stores.Mean+made.Mean, l.Stores.SD+made.SD)
}

// mixing adds the hours of mixing, shared by what was taken of each batch.
func (c *costing) mixing(shed *Shed) {
	for _, id := range sortedKeys(c.st.mixes) {
		if !slices.ContainsFunc(c.st.mixes[id], func(f *Fact) bool { _, ok := f.Body.(ledger.Batch); return ok && c.in(f.Seen) }) {
			continue
		}
		c.out.Batches++
		cost := c.money(c.st.Settings.PerHour, float64(c.st.Settings.Mixing/units.Hour))
		if cost.IsZero() {
			continue
		}
		var colonies []string
		var weights []float64
		for _, l := range shed.Stock.Lots {
			if l.Goods != ledger.Mixed || l.Lot != id {
				continue
			}
			weights, colonies = append(weights, float64(max(0, l.OnHand))), append(colonies, "")
			for _, i := range shed.Stock.Issues {
				if i.No == l.No {
					who := ""
					if i.Why == ledger.ForColony && c.in(i.At) {
						who = i.For
					}
					weights, colonies = append(weights, float64(i.Qty)), append(colonies, who)
				}
			}
		}
		c.shareWork(cost, colonies, weights, func(l *CostLine) *units.Money { return &l.Work })
	}
}

// money is a price times a number, in whole cents; nothing for no price.
func (c *costing) money(per units.Money, n float64) units.Money {
	m, err := per.Times(fmt.Sprintf("%.6f", n))
	if err == nil {
		m, err = m.Cents()
	}
	if err != nil {
		c.out.Trouble = err
		return units.Money{}
	}
	return m
}

// shareWork shares money to colonies; the part of "" is nobody's.
func (c *costing) shareWork(m units.Money, colonies []string, weights []float64, part func(*CostLine) *units.Money) {
	shares, err := m.Split(weights)
	if err != nil {
		return // nothing was taken: nobody to bear it
	}
	for i, who := range colonies {
		if who != "" {
			c.plus(part(c.line(who)), shares[i])
		}
	}
}

// driving adds kilometres and hours of the loads that were driven.
func (c *costing) driving(at units.Moment) {
	for _, p := range c.st.Plans() {
		doc, ok := readPlan(p)
		if !ok {
			continue
		}
		served := loadsOf(&doc)
		litres := map[int]map[string]float64{}
		for _, col := range c.st.Colonies() {
			for n, done := range c.st.visitsOf(col, p.Plan, served[col.ID]) {
				for _, d := range done {
					if !at.Covers(d.Seen) || !c.in(d.Seen) {
						continue
					}
					if litres[n] == nil {
						litres[n] = map[string]float64{}
					}
					litres[n][col.ID] += d.Volume.L()
				}
			}
		}
		for _, l := range doc.Loads {
			if len(litres[l.N]) == 0 {
				continue
			}
			c.out.Loads++
			var who []string
			var weights []float64
			sum := 0.0
			for _, id := range sortedKeys(litres[l.N]) {
				who, weights = append(who, id), append(weights, litres[l.N][id])
				sum += litres[l.N][id]
			}
			if sum == 0 { // driven for nothing: all that were visited bear it alike
				for i := range weights {
					weights[i] = 1
				}
			}
			c.shareWork(c.money(c.st.Settings.PerKm, l.DistanceKm), who, weights, func(l *CostLine) *units.Money { return &l.Road })
			c.shareWork(c.money(c.st.Settings.PerHour, l.TimeMin/60), who, weights, func(l *CostLine) *units.Money { return &l.Work })
		}
	}
}

// close adds colonies up to yards and to the whole.
func (c *costing) close() {
	yards := map[string]*CostLine{}
	c.out.All.Stores = figure.Est(0, 0)
	add := func(to *CostLine, l *CostLine) {
		to.Syrup += l.Syrup
		to.Solid += l.Solid
		to.NoPrice = to.NoPrice || l.NoPrice
		if to.Stores.Known && l.Stores.Known {
			to.Stores = figure.Est(to.Stores.Mean+l.Stores.Mean, to.Stores.SD+l.Stores.SD)
		} else {
			to.Stores = figure.Estimate{}
		}
		c.plus(&to.Feed, l.Feed)
		c.plus(&to.Road, l.Road)
		c.plus(&to.Work, l.Work)
	}
	for _, col := range c.st.Colonies() {
		l := c.by[col.ID]
		if l == nil {
			continue
		}
		if yards[col.Yard] == nil {
			yards[col.Yard] = &CostLine{Stores: figure.Est(0, 0)}
		}
		add(yards[col.Yard], l)
		add(&c.out.All, l)
		c.total(l)
		c.out.Colonies = append(c.out.Colonies, ColonyCost{col.ID, col.Yard, *l})
	}
	for _, y := range sortedKeys(yards) {
		c.total(yards[y])
		c.out.Yards = append(c.out.Yards, ColonyCost{"", y, *yards[y]})
	}
	c.total(&c.out.All)
}

func (c *costing) total(l *CostLine) {
	for _, m := range []units.Money{l.Feed, l.Road, l.Work} {
		c.plus(&l.Total, m)
	}
	if l.Stores.Known && l.Stores.Mean > 0 && !l.Total.IsZero() {
		l.PerKg = c.money(l.Total, 1/l.Stores.Mean)
	}
}

// Offer is a sugar somebody sells: so much money for so much of it.
type Offer struct {
	Kind   syrup.Kind
	Price  units.Money
	Mass   units.Mass   // or
	Volume units.Volume // of a liquid
	Lot    string       // where it was bought; "" = only offered
}

// Compared is an offer by what it makes.
type Compared struct {
	Offer
	Food   syrup.Food
	PerKg  figure.Estimate // stores, kg from 1 kg as bought
	Money  units.Money     // for each kg of stores
	Low    units.Money     // at one standard deviation more stores, and less
	High   units.Money
	Wanted bool // the cheapest of those in its currency
	Err    error
}

// Compare puts sugars beside each other by what a kilogram of stores made from
// them costs. White sugar is fed as syrup of the season's strength, the others
// as they are bought.
func (st *State) Compare(offers []Offer) []Compared {
	figs, _ := st.Settings.FigureSet()
	var out []Compared
	for _, o := range offers {
		x := Compared{Offer: o}
		x.Err = x.work(st.Settings.Syrup, figs)
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b Compared) int {
		if (a.Err == nil) != (b.Err == nil) {
			return map[bool]int{true: -1, false: 1}[a.Err == nil]
		}
		if n, err := a.Money.Cmp(b.Money); err == nil {
			return n
		}
		return 0
	})
	if len(out) > 1 && out[0].Err == nil && out[1].Err == nil {
		out[0].Wanted = true
	}
	return out
}

func (x *Compared) work(fed units.Strength, figs figure.Set) error {
	var err error
	if x.Food, err = syrup.FoodOf(x.Kind); err != nil {
		return err
	}
	mass := x.Mass
	if mass == 0 && x.Volume > 0 {
		d, err := syrup.FoodDensity(x.Kind, 0, 20, figs)
		if err != nil {
			return err
		}
		mass = units.Mass(x.Volume.L() * d.Mean / 1000)
	}
	if mass <= 0 || x.Price.IsZero() {
		return fault.New(fault.Missing, x.Food.Name, "what it costs and how much that buys has not been told").WithHint("for example 48 USD for 50 lb")
	}
	if x.Kind != syrup.WhiteSugar {
		fed = 0
	}
	c, err := syrup.StoresPerKg(x.Kind, fed, figs)
	if err != nil {
		return err
	}
	x.PerKg = c.PerKg
	if x.Kind == syrup.WhiteSugar && fed > 0 {
		x.PerKg = c.PerSolids
	}
	price := func(perKg float64) (units.Money, error) {
		m, err := x.Price.Times(fmt.Sprintf("%.9f", 1/(mass.Kg()*perKg)))
		if err != nil {
			return m, err
		}
		return m.Cents()
	}
	if x.Money, err = price(x.PerKg.Mean); err != nil {
		return err
	}
	if x.Low, err = price(x.PerKg.Mean + x.PerKg.SD); err != nil {
		return err
	}
	if x.PerKg.Mean-x.PerKg.SD <= 0 {
		return nil
	}
	x.High, err = price(x.PerKg.Mean - x.PerKg.SD)
	return err
}

// KindOfItem tells which sugar an item is by its name; "" = none of those known.
func KindOfItem(item string, g ledger.Goods) syrup.Kind {
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(strings.ToLower(item), w) })
	}
	switch {
	case has("hfcs-42", "hfcs 42", "hfcs42"):
		return syrup.HFCS42
	case has("hfcs-55", "hfcs 55", "hfcs55"):
		return syrup.HFCS55
	case has("medium invert"):
		return syrup.MediumInvert
	case has("invert"):
		return syrup.Invert
	case g == ledger.FondantFeed:
		return syrup.Fondant
	case g == ledger.Sugar:
		return syrup.WhiteSugar
	}
	return ""
}

// Offers makes offers of what was bought last of each sugar, with its price.
func (st *State) Offers() []Offer {
	latest := map[syrup.Kind]Offer{}
	when := map[syrup.Kind]units.Moment{}
	for _, item := range sortedKeys(st.goods) {
		k := KindOfItem(item, st.goodsOf(item))
		for _, f := range st.goods[item] {
			p, ok := f.Body.(ledger.Purchase)
			if !ok || k == "" || p.Price.IsZero() || p.Mass.IsZero() && p.Volume.IsZero() || f.Seen.Compare(when[k]) < 0 {
				continue
			}
			when[k], latest[k] = f.Seen, Offer{Kind: k, Price: p.Price, Mass: p.Mass.Q, Volume: p.Volume.Q, Lot: p.Lot}
		}
	}
	var out []Offer
	for _, f := range syrup.Foods() {
		if o, ok := latest[f.Kind]; ok {
			out = append(out, o)
		}
	}
	return out
}

// PerUnit turns the price of a kilogram into that of the keeper's unit of
// weight, in whole coins.
func PerUnit(perKg units.Money, s units.Style) units.Money {
	if s.System == units.Metric {
		return perKg
	}
	m, err := perKg.Times(fmt.Sprintf("%.8f", units.Pound.Kg()))
	if err == nil {
		m, err = m.Cents()
	}
	if err != nil {
		return units.Money{}
	}
	return m
}
