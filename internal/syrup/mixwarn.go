package syrup

import (
	"larder/internal/units"
)

// coldShed is the strength advised where syrup stands cold: 5:3 by weight,
// unsaturated down to its freezing.
const coldShed units.Strength = 0.625

// warnings says what to watch with a mixing, gravest first.
func (m Mixing) warnings(req MixRequest) []Warning {
	var out []Warning
	out = append(out, m.dissolving(req)...)
	out = append(out, m.standing(req)...)
	out = append(out, m.hot(req)...)
	if req.toldRatio() && req.Ratio.By == units.ByWeight && !req.Ratio.Stated {
		v := req.Ratio
		v.By = units.ByVolume
		if s, err := RatioStrength(v, Bulk(req.Figures), roomTemp); err == nil {
			out = append(out, warn("basis-assumed", "the recipe is taken by weight, {0}; by volume it would be about {1}", m.Strength, s))
		}
	}
	if m.Low != m.High {
		out = append(out, warn("by-volume",
			"measured by volume it may turn out from {0} to {1}: weigh one measure of your sugar, or weigh it all", m.Low, m.High))
	}
	if !m.Viscosity.Known {
		out = append(out, warn("viscosity-unknown", "how thick it is at {0} is not known", m.At))
	} else if m.At < 15 && m.Strength > 0.3 {
		out = append(out, warn("viscosity-rough", "how thick it is at {0} is only known to 15 %", m.At))
	}
	if m.At < 0 {
		out = append(out, warn("density-extrapolated", "below freezing the weight per litre is carried on from warmer syrup"))
	}
	return out
}

// dissolving warns where sugar stays behind in the mix, and where the syrup at
// its own temperature holds more than it can.
func (m Mixing) dissolving(req MixRequest) []Warning {
	if !m.Crystals {
		return nil
	}
	var out []Warning
	easy := m.CrystalAt + units.Temp(req.Figures.V(KeyGrainMargin))
	mixed := Maybe[units.Temp]{Q: units.Temp(m.MixTemp.Mean), Told: m.MixTemp.Known}
	if !mixed.Told {
		mixed = req.WantTemp
	}
	switch {
	case !mixed.Told:
	case mixed.Q < m.CrystalAt:
		out = append(out, warn("wont-dissolve",
			"mixed at {0} not all of the sugar dissolves: it needs to be warmer than {1}", mixed.Q, m.CrystalAt))
	case mixed.Q < easy:
		out = append(out, warn("last-grains",
			"mixed at {0} the last grains dissolve slowly: from {1} on they go fast", mixed.Q, easy))
	}
	if m.At < m.CrystalAt {
		out = append(out, warn("crystals-now",
			"at {0} it holds more sugar than it can: colder than {1} grains left in it grow", m.At, m.CrystalAt))
	}
	return out
}

// standing warns of what the coming cold does to it.
func (m Mixing) standing(req MixRequest) []Warning {
	if !m.AtLow.Told {
		return nil
	}
	var out []Warning
	if m.AtLow.Q > req.Figures.V(KeyStoreSigma) {
		out = append(out, warn("crystals-cold",
			"standing at {0} it slowly grains at rims, valves and on undissolved sugar, as it does below about {1}: feed it soon, or mix {2}",
			req.Low.Q, m.CrystalAt, coldShed))
	}
	if f, _, err := Freezing(m.Strength); err == nil && req.Low.Q < f {
		out = append(out, warn("freezes", "at {0} ice forms in it: it freezes from {1} on", req.Low.Q, f))
	}
	return out
}

// hot warns of burns and of heating for nothing.
func (m Mixing) hot(req MixRequest) []Warning {
	var out []Warning
	scald := units.Temp(req.Figures.V(KeyScald))
	water := req.WaterTemp
	if m.WaterNeed.Told && !water.Told {
		water = m.WaterNeed
	}
	if water.Told && water.Q >= scald {
		out = append(out, warn("scald", "water at {0} burns skin, and syrup clings: gloves, goggles, no children", water.Q))
	}
	most := units.Temp(req.Figures.V(KeyMixMax))
	final := units.Temp(m.MixTemp.Mean)
	if !m.MixTemp.Known {
		final = req.WantTemp.Or(0)
	}
	if final > most {
		out = append(out, warn("too-hot", "the mix reaches {0}: over {1} it gains nothing and grows HMF", final, most))
	}
	return out
}
