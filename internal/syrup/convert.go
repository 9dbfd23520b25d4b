package syrup

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// thinnest is the most water per kg of sugar the stores formula is used for.
// It was fitted from 0.5 (2:1) to 1.0 (1:1); its line is carried on to 1.25 so
// that 1:1 by volume is covered, with a warning.
const (
	thinnest   = 1.25
	fittedThin = 1.0
)

// model holds the figures of the stores formula in plain numbers.
type model struct {
	take  float64 // water bound on inversion: 1.0526, or 1 for single sugars
	m     float64 // water in ripe stores
	loss  float64
	cost  float64 // sugar per kg of water dried off
	share float64 // planning factor c
}

func modelOf(inverted bool, fig figure.Set) model {
	md := model{take: inversionYield, m: fig.V(KeyStoresWater), loss: fig.V(KeyLossSucrose),
		cost: fig.V(KeyDrying), share: fig.V(KeyConversion)}
	if inverted {
		md.take, md.loss = 1, fig.V(KeyLossInvert)
	}
	return md
}

// ripe is the stores from 1 kg of solids if nothing were lost.
func (md model) ripe() float64 { return md.take / (1 - md.m) }

// yield is kg of stores per kg of solids fed with w kg of water each, before
// the planning factor. Feed drier than the stores it becomes has nothing to
// dry off; what fetching water costs is not known and not counted.
func (md model) yield(w float64) float64 {
	dry := max(0, w-(md.ripe()-1))
	return md.ripe() * (1 - md.loss - md.cost*dry)
}

// Conversion is what a colony makes of a feed.
type Conversion struct {
	// Yield is kg of ripe stores per kg of dry solids taken, at best (factor
	// c = 1).
	Yield float64
	// PerSolids, PerKg and PerL are the planned kg of stores per kg of dry
	// solids, per kg of feed and per litre of feed (at 20 °C where no other
	// temperature was given). PerL is not known for solid feed.
	PerSolids figure.Estimate
	PerKg     figure.Estimate
	PerL      figure.Estimate
	Warnings  []Warning
}

// convert works a conversion out for feed of strength s.
func convert(inverted bool, s units.Strength, fig figure.Set) (Conversion, error) {
	const op = "syrup.Conversion"
	fig = or(fig)
	if s <= 0 || math.IsNaN(float64(s)) || s > 1 {
		return Conversion{}, firstErr((span{"a strength of feed", "%", 1, 100}).check(op, s.Brix()))
	}
	md := modelOf(inverted, fig)
	if md.m < 0 || md.m >= 1 {
		return Conversion{}, fault.Newf(fault.OutOfRange, KeyStoresWater, "ripe stores cannot be %.3g water", md.m).WithHint("0.15 to 0.20 is usual")
	}
	w := (1 - float64(s)) / float64(s)
	if err := (span{"water per kg of sugar", "kg", 0, thinnest}).check(op, w); err != nil {
		return Conversion{}, err
	}
	y := md.yield(w)
	if y <= 0 || md.share <= 0 {
		return Conversion{}, fault.New(fault.OutOfRange, "", "with these figures feed makes no stores").
			WithHint("look at your own values for the conversion")
	}
	c := Conversion{Yield: y}
	c.PerSolids = figure.Est(y*md.share, spread(md, w, inverted, fig))
	c.PerKg = c.PerSolids.Times(float64(s))
	switch {
	case w < md.ripe()-1:
		c.Warnings = append(c.Warnings, warn("dry-feed-bound",
			"bees must fetch water for feed this dry, at a cost nobody has measured: this is the most it can make"))
		c.PerSolids.SD = math.Hypot(c.PerSolids.SD, c.PerSolids.Mean*fig.V(KeyDryFeedSD))
		c.PerKg = c.PerSolids.Times(float64(s))
	case w > fittedThin+1e-9:
		c.Warnings = append(c.Warnings, warn("thin-extrapolated",
			"feed thinner than 1:1 by weight was not tried in the trial behind this figure"))
	}
	return c, nil
}

// spread carries the spread of each figure through the formula, one standard
// deviation at a time, and adds the misfit of the formula itself.
func spread(md model, w float64, inverted bool, fig figure.Set) float64 {
	at := md.yield(w) * md.share
	lossKey := KeyLossSucrose
	if inverted {
		lossKey = KeyLossInvert
	}
	shift := func(key string, set func(*model, float64)) float64 {
		up := md
		set(&up, fig.SD(key))
		return up.yield(w)*up.share - at
	}
	v := []float64{
		shift(KeyConversion, func(m *model, d float64) { m.share += d }),
		shift(KeyStoresWater, func(m *model, d float64) { m.m -= d }),
		shift(lossKey, func(m *model, d float64) { m.loss += d }),
		shift(KeyDrying, func(m *model, d float64) { m.cost += d }),
		at * fig.V(KeyModel),
	}
	var sum float64
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum)
}

// StoresPerL gives what a colony makes of sucrose syrup of strength s, volumes
// at t.
//
// Range: from the strength of ripe stores' own sugar (about 78 %) down to 44.4
// % (1.25 kg of water per kg of sugar). Source: a formula whose two losses are
// fitted to Curth (Hohenheim 1981; matched within 2 %), times the planning
// factor c = 0.92 (0.80–1.00). Independent field figures (BienenSchweiz, 7 lb
// per US gal of 2:1) lie 5–15 % below the formula: that is what c is for. What
// the colony eats meanwhile is not in it.
func StoresPerL(s units.Strength, t units.Temp, fig figure.Set) (Conversion, error) {
	d, err := Density(s, t)
	if err != nil {
		return Conversion{}, err
	}
	c, err := convert(false, s, fig)
	if err != nil {
		return Conversion{}, err
	}
	c.PerL = c.PerKg.Times(float64(d) / 1000)
	return c, nil
}

// Stores is what comes of a feed.
type Stores struct {
	Sugar  units.Mass      // dry sugar in the feed
	Stores figure.Estimate // kg of ripe stores
	Conversion
}

// StoresFrom gives the stores a colony makes of v litres (at t) of sucrose
// syrup of strength s once taken and ripened. Range and source as
// [StoresPerL].
func StoresFrom(v units.Volume, s units.Strength, t units.Temp, fig figure.Set) (Stores, error) {
	sugar, err := SugarIn(v, s, t)
	if err != nil {
		return Stores{}, err
	}
	c, err := StoresPerL(s, t, fig)
	if err != nil {
		return Stores{}, err
	}
	return Stores{Sugar: sugar, Stores: c.PerL.Times(v.L()), Conversion: c}, nil
}

// Need is the syrup that wanted stores take.
type Need struct {
	Volume units.Volume
	SD     units.Volume // one standard deviation
	Mass   units.Mass
	Sugar  units.Mass
	Conversion
}

// SyrupFor gives the sucrose syrup of strength s, volume at t, from which a
// colony makes that much stores: the inverse of [StoresFrom]. The spread is
// that of the conversion; the shortage has one of its own.
func SyrupFor(stores units.Mass, s units.Strength, t units.Temp, fig figure.Set) (Need, error) {
	if err := amount("syrup.SyrupFor", "the stores wanted", stores.Kg()); err != nil {
		return Need{}, err
	}
	c, err := StoresPerL(s, t, fig)
	if err != nil {
		return Need{}, err
	}
	v := stores.Kg() / c.PerL.Mean
	mass := v * float64(sureDensity(s, t)) / 1000
	return Need{
		Volume: units.Volume(v), SD: units.Volume(v * c.PerL.SD / c.PerL.Mean),
		Mass: units.Mass(mass), Sugar: units.Mass(mass * float64(s)), Conversion: c,
	}, nil
}

// StoresPerKg gives the stores made of a kind of sugar, to compare what is on
// offer. as is the strength it is fed at: 0 = as it is bought. For syrup mixed
// from white sugar, PerSolids is per kg of sugar and PerKg per kg of syrup.
//
// Dry feed (fondant, dry sugar) is outside the trial: its figure is the most
// that a mass balance allows, with a wide spread and the warning
// "dry-feed-bound".
func StoresPerKg(k Kind, as units.Strength, fig figure.Set) (Conversion, error) {
	f, err := FoodOf(k)
	if err != nil {
		return Conversion{}, err
	}
	bought, err := FoodSolids(k, 0, fig)
	if err != nil {
		return Conversion{}, err
	}
	if as == 0 {
		as = bought
	}
	if as > bought+1e-12 {
		return Conversion{}, fault.Newf(fault.OutOfRange, f.Name, "it is sold at %.1f %% solids and cannot be fed at %.1f %%", bought.Brix(), as.Brix()).
			WithHint("leave the strength out to feed it as it is")
	}
	c, err := convert(f.Inverted, as, fig)
	if err != nil || !f.Liquid && as > bought-1e-12 {
		return c, err
	}
	d := figure.Est(float64(sureDensity(min(as, maxStrength), roomTemp)), 0)
	if f.Liquid {
		if d, err = FoodDensity(k, as, roomTemp, fig); err != nil {
			return Conversion{}, err
		}
	}
	c.PerL = c.PerKg.Times(d.Mean / 1000)
	return c, nil
}

// StoresFromFood gives the stores made of a mass of a kind fed at strength as
// (0 = as it is bought): fondant by the kilogram, HFCS from the scale. Range
// and warnings as [StoresPerKg].
func StoresFromFood(k Kind, m units.Mass, as units.Strength, fig figure.Set) (Stores, error) {
	if err := amount("syrup.StoresFromFood", "the feed", m.Kg()); err != nil {
		return Stores{}, err
	}
	c, err := StoresPerKg(k, as, fig)
	if err != nil {
		return Stores{}, err
	}
	s, err := FoodSolids(k, as, fig)
	return Stores{Sugar: m * units.Mass(s), Stores: c.PerKg.Times(m.Kg()), Conversion: c}, err
}

// NoLossStores gives the ripe stores from sugar if nothing were lost: sugar
// over its share in them, plus the water bound by the part of it that the bees
// invert (0…1). The upper bound of every conversion.
func NoLossStores(sugar units.Mass, inverted float64, fig figure.Set) (units.Mass, error) {
	const op = "syrup.NoLossStores"
	err := firstErr(amount(op, "the sugar", sugar.Kg()), (span{"the part inverted", "", 0, 1}).check(op, inverted))
	if err != nil {
		return 0, err
	}
	return units.Mass(sugar.Kg() * (1 + (inversionYield-1)*inverted) / (1 - or(fig).V(KeyStoresWater))), nil
}

// Unripe is how much more syrup just taken weighs than the stores it becomes.
type Unripe struct {
	Least    units.Mass // drying alone
	Expected units.Mass // with what handling and drying use up (c = 1)
}

// UnripeWeight gives by how much a hive that has just taken mass m of sucrose
// syrup over-reads; weigh again 10–14 days later, or take this off. Range as
// [StoresPerL].
func UnripeWeight(m units.Mass, s units.Strength, fig figure.Set) (Unripe, error) {
	if err := amount("syrup.UnripeWeight", "the syrup taken", m.Kg()); err != nil {
		return Unripe{}, err
	}
	c, err := convert(false, s, fig)
	if err != nil {
		return Unripe{}, err
	}
	sugar := m * units.Mass(s)
	best, err := NoLossStores(sugar, 1, fig)
	return Unripe{Least: m - best, Expected: m - sugar*units.Mass(c.Yield)}, err
}
