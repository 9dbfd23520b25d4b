package syrup

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Thin gives the water to add to mass m of strength from to come down to want:
// M·(B−T)/T. A want above from gives a negative answer, the water to take
// away. Range: from 0…85 %, want 1…85 %.
func Thin(m units.Mass, from, want units.Strength) (units.Mass, error) {
	const op = "syrup.Thin"
	err := firstErr(amount(op, "a mass", m.Kg()), strengths.check(op, from.Brix()), wanted.check(op, want.Brix()))
	if err != nil {
		return 0, err
	}
	return m * units.Mass((from-want)/want), nil
}

// Thicken gives the dry sugar to add to mass m of strength from to come up to
// want: M·(T−B)/(100−T). A want below from gives a negative answer. Whether
// that much dissolves is for [Solubility] to say.
func Thicken(m units.Mass, from, want units.Strength) (units.Mass, error) {
	const op = "syrup.Thicken"
	err := firstErr(amount(op, "a mass", m.Kg()), strengths.check(op, from.Brix()), strengths.check(op, want.Brix()))
	if err != nil {
		return 0, err
	}
	return m * units.Mass((want-from)/(1-want)), nil
}

// Heel gives the sugar and the water to add to a heel (v1 litres of strength
// s1) so that the tank then holds v litres of strength want, all at t. A
// negative answer means the heel is too big or too strong for it: it is handed
// on, not set to zero.
func Heel(v1 units.Volume, s1 units.Strength, v units.Volume, want units.Strength, t units.Temp) (sugar, water units.Mass, err error) {
	m1, err1 := MassOf(v1, s1, t)
	m2, err2 := MassOf(v, want, t)
	if err := firstErr(err1, err2); err != nil {
		return 0, 0, err
	}
	return m2*units.Mass(want) - m1*units.Mass(s1), m2*units.Mass(1-want) - m1*units.Mass(1-s1), nil
}

// CorrectRequest is a batch in hand that has not the strength wanted.
type CorrectRequest struct {
	Have  units.Volume
	Reads units.Strength
	Want  units.Strength

	At     Maybe[units.Temp] // of the batch when its volume was read; not told = 20 °C
	Meter  Meter             // what Reads was read with; "" = the strength is known
	ReadAt Maybe[units.Temp] // of the sample on the meter; not told = At

	// Final is the volume wanted in the end, at At; 0 = as it comes out with
	// the least added.
	Final units.Volume

	Figures figure.Set // zero = the published ones
}

// Correction is what to add to a batch.
type Correction struct {
	Strength  units.Strength // the batch's true strength
	MeterAdds units.Strength // what the temperature of the reading changed
	HaveMass  units.Mass
	AddSugar  units.Mass
	SugarSD   units.Mass   // what the reading's own spread leaves open
	AddWater  units.Volume // at 20 °C
	WaterSD   units.Volume
	AddMass   units.Mass   // of the water
	Final     units.Volume // at the temperature of the batch
	FinalMass units.Mass
	WarmTo    Maybe[units.Temp] // warm it to this so that added sugar dissolves readily
	Warnings  []Warning
}

// Correct works out the sugar or water that brings a batch to the strength
// wanted (1…85 %), by mass balance. Readings 0…85 %; temperatures −10…100 °C, a plain
// refractometer's 5–30 °C. With Final told, both sugar and water may be added
// to reach that volume; where that cannot be, the error is [fault.WontFit]
// and says the least volume that can. The spread is that of the reading
// (figure syrup.meter_sd).
func Correct(req CorrectRequest) (Correction, error) {
	c, err := correct(req)
	if err != nil {
		return Correction{}, fault.Wrap(err, "syrup.Correct")
	}
	return c, nil
}

func correct(req CorrectRequest) (Correction, error) {
	req.Figures = or(req.Figures)
	at := req.At.Or(roomTemp)
	err := firstErr(positive("", "the batch in hand", req.Have.L()), amount("", "the volume wanted", req.Final.L()),
		positive("", "the strength wanted", float64(req.Want)), wanted.check("", req.Want.Brix()), temps.check("", at.C()))
	if err != nil {
		return Correction{}, err
	}
	c := Correction{}
	if c.Strength, err = TrueStrength(req.Reads, req.ReadAt.Or(at), req.Meter); err != nil {
		return Correction{}, err
	}
	c.MeterAdds = c.Strength - req.Reads
	if c.HaveMass, err = MassOf(req.Have, c.Strength, at); err != nil {
		return Correction{}, err
	}
	c.AddSugar, c.AddMass = adds(req, c.Strength, at)
	if err := c.fits(req, at); err != nil {
		return Correction{}, err
	}
	c.spread(req, at)
	c.AddWater = waterVolume(c.AddMass)
	c.FinalMass = c.HaveMass + c.AddSugar + c.AddMass
	c.Final = units.Volume(c.FinalMass.Kg() * 1000 / float64(sureDensity(req.Want, at)))
	return c, c.advise(req, at)
}

// adds gives what to add to a batch of strength s: sugar or water, whichever is
// lacking; with a final volume both, negative where the batch has too much.
func adds(req CorrectRequest, s units.Strength, at units.Temp) (sugar, water units.Mass) {
	have := units.Mass(req.Have.L() * float64(sureDensity(s, at)) / 1000)
	switch {
	case req.Final > 0:
		end := units.Mass(req.Final.L() * float64(sureDensity(req.Want, at)) / 1000)
		return end*units.Mass(req.Want) - have*units.Mass(s), end*units.Mass(1-req.Want) - have*units.Mass(1-s)
	case req.Want > s:
		return have * units.Mass((req.Want-s)/(1-req.Want)), 0
	}
	return 0, have * units.Mass((s-req.Want)/req.Want)
}

// fits refuses a final volume that would need something taken out.
func (c *Correction) fits(req CorrectRequest, at units.Temp) error {
	// A thousandth of a gram is rounding, not a heel too big.
	const nothing units.Mass = 1e-6
	if c.AddSugar < -nothing || c.AddMass < -nothing {
		req.Final = 0
		sugar, water := adds(req, c.Strength, at)
		least := (c.HaveMass + sugar + water).Kg() * 1000 / float64(sureDensity(req.Want, at))
		return fault.Newf(fault.WontFit, "", "what is in the tank is too much or too strong to end with that volume at %.1f %%", req.Want.Brix()).
			WithHint("at that strength it makes at least %.1f L; or take some out first", least)
	}
	c.AddSugar, c.AddMass = max(c.AddSugar, 0), max(c.AddMass, 0)
	return nil
}

// spread works the same balance with the reading one standard deviation up and
// down.
func (c *Correction) spread(req CorrectRequest, at units.Temp) {
	d := units.Strength(req.Figures.V(KeyMeterSD))
	s1, w1 := adds(req, max(c.Strength-d, 0), at)
	s2, w2 := adds(req, min(c.Strength+d, maxStrength), at)
	c.SugarSD = units.Mass(math.Abs(float64(s1-s2)) / 2)
	c.WaterSD = waterVolume(units.Mass(math.Abs(float64(w1-w2)) / 2))
}

// advise warns of sugar that will not dissolve and of doubtful readings.
func (c *Correction) advise(req CorrectRequest, at units.Temp) error {
	add := func(w Warning) { c.Warnings = append(c.Warnings, w) }
	if c.AddSugar > 0 {
		t, ok, err := SaturationTemp(req.Want)
		switch {
		case fault.Is(err, fault.NotKnownHere):
			add(warn("wont-dissolve", "that much sugar does not dissolve at any temperature we know"))
		case err != nil:
			return err
		case ok:
			margin := units.Temp(req.Figures.V(KeyGrainMargin))
			if at < t {
				add(warn("wont-dissolve", "at {0} the added sugar stays as grains: warm it over {1} first", at, t))
			} else if at < t+margin {
				add(warn("last-grains", "at {0} the last grains dissolve slowly: from {1} on they go fast", at, t+margin))
			}
			if at < t+margin {
				c.WarmTo = Told(t + margin)
			}
		}
	}
	if c.AddSugar == 0 && c.AddMass == 0 {
		add(warn("as-wanted", "it has the strength wanted already"))
	}
	if req.Meter == Refractometer && req.ReadAt.Or(at) > 20 {
		add(warn("refractometer-warm", "above 20 °C the meter's correction is carried on from colder readings, good to 0.04"))
	}
	if req.Meter == Known && at != roomTemp && req.At.Told {
		add(warn("meter-not-told", "if {0} was read at {1} on a meter without compensation, say so: it reads wrong", req.Reads, at))
	}
	return nil
}
