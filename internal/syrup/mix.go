package syrup

import (
	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// MixRequest says what is to be mixed. Strength or Ratio says how strong (both
// Sugar and Water in hand say it themselves); one of Make, Sugar, Sacks or
// Water says how much.
type MixRequest struct {
	Strength units.Strength
	Ratio    units.Ratio
	Bulk     units.Density // loose weight of the keeper's sugar, kg/m³; 0 = the figure

	Make  units.Volume // syrup wanted, at At
	Sugar units.Mass   // sugar in hand
	Sacks float64      // or so many sacks in hand …
	Sack  units.Mass   // … of this weight (told alone, the result is counted in sacks too)
	Water units.Volume // water in hand, at 20 °C

	At  Maybe[units.Temp] // temperature the syrup is measured at; not told = 20 °C
	Low Maybe[units.Temp] // coldest it will stand at before it is fed

	SugarTemp Maybe[units.Temp] // not told = 15 °C
	WaterTemp Maybe[units.Temp] // gives the temperature of the mix
	WantTemp  Maybe[units.Temp] // gives how hot the water must be

	Figures figure.Set // zero = the published ones
}

// Mixing is a recipe worked out, with all that follows from it.
type Mixing struct {
	Strength units.Strength
	// Low and High are the strengths it may turn out at: apart only for a
	// recipe by volume with sugar nobody has weighed.
	Low, High units.Strength

	At        units.Temp
	Density   units.Density // at At
	Syrup     units.Volume  // at At
	Mass      units.Mass
	Sugar     units.Mass
	SugarBulk units.Volume // the sugar as loose granules; 0 where its loose weight cannot be
	Sacks     float64      // the sugar in sacks; 0 where no sack was told
	Water     units.Volume // at 20 °C
	WaterMass units.Mass

	Viscosity figure.Estimate // mPa·s at At; not known outside the formula's range

	Crystals  bool       // false: it freezes before it saturates
	CrystalAt units.Temp // where Crystals: colder than this it may grain
	CrystalSD float64    // K

	Supersaturation float64        // at At
	AtLow           Maybe[float64] // supersaturation at the coming low

	MixTemp   figure.Estimate // °C of the fresh mix; not known without the water's temperature
	WaterNeed Maybe[units.Temp]

	Warnings []Warning
}

// KgPerL gives the syrup's weight per litre.
func (m Mixing) KgPerL() float64 { return float64(m.Density) / 1000 }

// SugarPerL gives the sugar in a litre of the syrup at its temperature.
func (m Mixing) SugarPerL() units.Mass {
	return units.Mass(float64(m.Density) / 1000 * float64(m.Strength))
}

const (
	roomTemp    units.Temp = 20 // volumes, where no temperature was told
	storageTemp units.Temp = 15 // sugar in the shed, where none was told
)

// Mix works out a mixing: sugar and water to weigh or measure, the syrup they
// make, and what to watch. Strength 0…85 %; what lies outside a formula's
// range is left not known and warned of, not guessed.
func Mix(req MixRequest) (Mixing, error) {
	const op = "syrup.Mix"
	m, err := mix(req)
	if err != nil {
		return Mixing{}, fault.Wrap(err, op)
	}
	return m, nil
}

func mix(req MixRequest) (Mixing, error) {
	req.Figures = or(req.Figures)
	if err := req.check(); err != nil {
		return Mixing{}, err
	}
	m := Mixing{At: req.At.Or(roomTemp)}
	var err error
	if req.bothInHand() {
		err = m.fromParts(req.sugar(), req.Water)
	} else {
		err = m.fromRecipe(req)
	}
	if err != nil {
		return Mixing{}, err
	}
	if err := checkST("", m.Strength, m.At); err != nil {
		return Mixing{}, err
	}
	if err := amount("", "the whole mix", m.Mass.Kg()); err != nil {
		return Mixing{}, err
	}
	m.Density = sureDensity(m.Strength, m.At)
	m.amounts(req)
	if err := m.physics(req); err != nil {
		return Mixing{}, err
	}
	m.Warnings = append(m.Warnings, m.warnings(req)...)
	return m, nil
}

func (r MixRequest) sugar() units.Mass {
	if r.Sugar > 0 {
		return r.Sugar
	}
	return units.Mass(r.Sacks) * r.Sack
}

func (r MixRequest) bothInHand() bool { return r.sugar() > 0 && r.Water > 0 }

func (r MixRequest) toldRatio() bool { return r.Ratio.Sugar != 0 || r.Ratio.Water != 0 }

func (r MixRequest) toldStrength() bool { return r.Strength != 0 || r.toldRatio() }

// check refuses what is missing and what says two things at once.
func (r MixRequest) check() error {
	err := firstErr(amount("", "the syrup to make", r.Make.L()), amount("", "the sugar", r.Sugar.Kg()),
		amount("", "the number of sacks", r.Sacks), amount("", "the weight of a sack", r.Sack.Kg()),
		amount("", "the water", r.Water.L()), amount("", "the loose weight of sugar", float64(r.Bulk)),
		strengths.check("", r.Strength.Brix()), r.Low.check(), r.At.check())
	if err != nil {
		return err
	}
	told := 0
	for _, is := range []bool{r.Make > 0, r.Sugar > 0, r.Sacks > 0} {
		if is {
			told++
		}
	}
	switch {
	case r.Sacks > 0 && r.Sack == 0:
		return fault.New(fault.Missing, "", "the weight of a sack has not been told").WithHint("for example 50 lb or 25 kg")
	case told > 1, r.Make > 0 && r.Water > 0:
		return fault.New(fault.Conflict, "", "more than one amount was told").
			WithHint("tell either the syrup to make, or the sugar or water in hand")
	case told == 0 && r.Water == 0:
		return fault.New(fault.Missing, "", "how much to mix has not been told").
			WithHint("tell the syrup to make, or the sugar in hand")
	case r.Strength != 0 && r.toldRatio():
		return fault.New(fault.Conflict, "", "the strength was told twice").WithHint("tell either a strength or a recipe")
	case r.bothInHand() && r.toldStrength():
		return fault.New(fault.Conflict, "", "sugar and water together already say how strong it gets").
			WithHint("leave out the strength, or one of the two")
	case !r.bothInHand() && !r.toldStrength():
		return fault.New(fault.Missing, "", "how strong it shall be has not been told").WithHint("for example 2:1 or 66.7%%")
	}
	return nil
}

// check looks at a temperature only where one was told.
func (m Maybe[Q]) check() error {
	t, is := any(m.Q).(units.Temp)
	if !m.Told || !is {
		return nil
	}
	return temps.check("", t.C())
}

// fromParts takes sugar and water as they are.
func (m *Mixing) fromParts(sugar units.Mass, water units.Volume) error {
	m.Sugar, m.WaterMass = sugar, waterMass(water)
	m.Mass = m.Sugar + m.WaterMass
	m.Strength = units.Strength(m.Sugar / m.Mass)
	m.Low, m.High = m.Strength, m.Strength
	return strengths.check("", m.Strength.Brix())
}

// fromRecipe takes a strength and one amount.
func (m *Mixing) fromRecipe(req MixRequest) error {
	m.Strength, m.Low, m.High = req.Strength, req.Strength, req.Strength
	if req.toldRatio() {
		b, err := RatioBand(req.Ratio, req.Bulk, req.Figures)
		if err != nil {
			return err
		}
		m.Strength, m.Low, m.High = b.Strength, b.Low, b.High
	}
	s := units.Mass(m.Strength)
	switch sugar := req.sugar(); {
	case sugar > 0:
		if s == 0 {
			return fault.New(fault.Conflict, "", "a syrup of no strength takes no sugar")
		}
		m.Mass = sugar / s
	case req.Water > 0:
		m.Mass = waterMass(req.Water) / (1 - s)
	default:
		m.Mass = units.Mass(req.Make.L() * float64(sureDensity(m.Strength, m.At)) / 1000)
	}
	m.Sugar = m.Mass * s
	m.WaterMass = m.Mass * (1 - s)
	return nil
}

// amounts turns masses into what the keeper measures.
func (m *Mixing) amounts(req MixRequest) {
	m.Syrup = units.Volume(m.Mass.Kg() * 1000 / float64(m.Density))
	m.Water = waterVolume(m.WaterMass)
	bulk := req.Bulk
	if bulk == 0 {
		bulk = Bulk(req.Figures)
	}
	if bulks.check("", float64(bulk)/1000) == nil {
		m.SugarBulk = units.Volume(m.Sugar.Kg() * 1000 / float64(bulk))
	}
	if req.Sack > 0 {
		m.Sacks = float64(m.Sugar / req.Sack)
	}
}

// physics fills in what follows from strength and temperatures.
func (m *Mixing) physics(req MixRequest) error {
	m.Viscosity = ViscosityEstimate(m.Strength, m.At)
	m.CrystalSD = req.Figures.V(KeyCrystalSD)
	var err error
	if m.Supersaturation, err = Supersaturation(m.Strength, m.At); err != nil {
		return err
	}
	// Over 82.6 % the solubility curve has ended: saturated at any temperature
	// we know, so the crystal temperature stays at its end.
	m.CrystalAt, m.Crystals, err = SaturationTemp(m.Strength)
	if fault.Is(err, fault.NotKnownHere) {
		m.CrystalAt, m.Crystals = maxTemp, true
		m.Warnings = append(m.Warnings, warn("always-grains", "this much sugar does not dissolve even at {0}", units.Temp(maxTemp)))
	} else if err != nil {
		return err
	}
	if req.Low.Told {
		low, err := Supersaturation(m.Strength, req.Low.Q)
		if err != nil {
			return err
		}
		m.AtLow = Told(low)
	}
	return m.heat(req)
}

// heat fills in the temperatures of mixing, where any was told.
func (m *Mixing) heat(req MixRequest) error {
	if !req.WaterTemp.Told && !req.WantTemp.Told {
		return nil
	}
	sugarAt := req.SugarTemp.Or(storageTemp)
	if !req.SugarTemp.Told {
		m.Warnings = append(m.Warnings, warn("sugar-temp-assumed", "the sugar is taken to be at {0}", sugarAt))
	}
	if m.Strength > 0.75 {
		m.Warnings = append(m.Warnings, warn("mix-temp-unknown", "the heat drawn by dissolving is not known at this strength"))
		return nil
	}
	var err error
	if req.WaterTemp.Told {
		if m.MixTemp, err = MixTemp(m.Sugar, sugarAt, m.WaterMass, req.WaterTemp.Q, req.Figures); err != nil {
			return err
		}
	}
	if req.WantTemp.Told {
		need, err := WaterTempFor(m.Sugar, sugarAt, m.WaterMass, req.WantTemp.Q)
		switch {
		case fault.Is(err, fault.OutOfRange): // water alone cannot do it: the recipe still stands
			m.Warnings = append(m.Warnings, warn("water-wont-do", "water alone does not bring the mix to {0}: "+fault.HintOf(err), req.WantTemp.Q))
		case err != nil:
			return err
		default:
			m.WaterNeed = Told(need)
		}
	}
	return nil
}
