package syrup

import (
	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Vessel is what the tank is made of; it warms with the syrup.
type Vessel string

// The vessels. "" = left out.
const (
	Steel Vessel = "steel"
	HDPE  Vessel = "hdpe"
)

// HeatRequest is sugar and water to be mixed warm, or syrup to be warmed.
type HeatRequest struct {
	// A fresh mix: sugar and water with their temperatures.
	Sugar     units.Mass
	SugarTemp units.Temp
	Water     units.Volume // at 20 °C
	WaterTemp units.Temp
	// Or syrup in hand: its volume at Temp.
	Syrup    units.Volume
	Strength units.Strength
	Temp     units.Temp

	Want       units.Temp
	Power      units.Power    // of the heater; 0 = no time asked for
	Efficiency float64        // what of it reaches the vessel; 0 = all (an element in the liquid)
	Loss       Maybe[float64] // to the air, 0…<1; not told = the figure
	Vessel     Vessel
	VesselMass units.Mass

	Figures figure.Set // zero = the published ones
}

// HeatPlan is what warming takes.
type HeatPlan struct {
	Useful   units.Energy // into the syrup and its vessel
	Energy   units.Energy // with losses: from the wall or the bottle
	Time     units.Duration
	Loss     float64
	Warnings []Warning
}

// KWh gives the energy with losses in kilowatt hours.
func (p HeatPlan) KWh() float64 { return float64(p.Energy / units.KWh) }

// PlanHeat works out the energy and time that bring a mix or a syrup to the
// temperature wanted.
//
// Range: fresh mixes 0…75 %, syrup 0…85 %, −10…100 °C. Error: the heat of
// solution ±3 kJ/kg of sugar (3 % of a usual mix), the loss to the air 10–20 %
// by common practice, no source.
func PlanHeat(req HeatRequest) (HeatPlan, error) {
	const op = "syrup.PlanHeat"
	p, err := planHeat(req)
	if err != nil {
		return HeatPlan{}, fault.Wrap(err, op)
	}
	return p, nil
}

func planHeat(req HeatRequest) (HeatPlan, error) {
	fig := or(req.Figures)
	q, from, err := req.useful()
	if err != nil {
		return HeatPlan{}, err
	}
	vessel, err := req.vessel(from)
	if err != nil {
		return HeatPlan{}, err
	}
	p := HeatPlan{Useful: q + vessel, Loss: req.Loss.Or(fig.V(KeyHeatLoss))}
	if err := (span{"the heat lost", "", 0, 0.9}).check("", p.Loss); err != nil {
		return HeatPlan{}, err
	}
	if p.Useful <= 0 {
		p.Useful = 0
		p.Warnings = append(p.Warnings, warn("already-warm", "it is at {0} or warmer without heating", req.Want))
		return p, nil
	}
	eff := req.Efficiency
	if eff == 0 {
		eff = 1
	}
	if err := checkShare("", "the efficiency", eff); err != nil {
		return HeatPlan{}, err
	}
	p.Energy = p.Useful / units.Energy(eff*(1-p.Loss))
	if err := amount("", "the power of the heater", float64(req.Power)); err != nil {
		return HeatPlan{}, err
	}
	if req.Power > 0 {
		p.Time, err = HeatingTime(p.Useful, req.Power, eff*(1-p.Loss))
	}
	p.warn(req, fig)
	return p, err
}

// useful is the heat into what is warmed, and the temperature the vessel
// starts from.
func (r HeatRequest) useful() (units.Energy, units.Temp, error) {
	fresh := r.Sugar != 0 || r.Water != 0
	switch {
	case fresh && r.Syrup != 0:
		return 0, 0, fault.New(fault.Conflict, "", "both a fresh mix and a syrup in hand were told").WithHint("warm one of them at a time")
	case fresh:
		q, err := HeatToMix(r.Sugar, r.SugarTemp, waterMass(r.Water), r.WaterTemp, r.Want)
		return q, r.WaterTemp, err
	}
	if err := positive("", "what is to be warmed", r.Syrup.L()); err != nil {
		return 0, 0, err
	}
	m, err := MassOf(r.Syrup, r.Strength, r.Temp)
	if err != nil {
		return 0, 0, err
	}
	q, err := HeatToWarm(m, r.Strength, r.Temp, r.Want)
	return q, r.Temp, err
}

// vessel is the heat that goes into the vessel (steel 0.5, HDPE 1.9 kJ/(kg·K),
// from memory).
func (r HeatRequest) vessel(from units.Temp) (units.Energy, error) {
	if err := amount("", "the weight of the vessel", r.VesselMass.Kg()); err != nil {
		return 0, err
	}
	cp := 0.0
	switch r.Vessel {
	case "":
	case Steel:
		cp = cpSteel
	case HDPE:
		cp = cpHDPE
	default:
		return 0, fault.Newf(fault.NotUnderstood, "", "%q is no vessel known here", string(r.Vessel)).WithHint("steel or hdpe")
	}
	return units.Energy(r.VesselMass.Kg()*cp*float64(r.Want-from)) * units.Kilojoule, nil
}

func (p *HeatPlan) warn(req HeatRequest, fig figure.Set) {
	if most := units.Temp(fig.V(KeyMixMax)); req.Want > most {
		p.Warnings = append(p.Warnings, warn("too-hot", "{0} is hotter than syrup need ever be: over {1} it gains nothing and grows HMF", req.Want, most))
	}
	if scald := units.Temp(fig.V(KeyScald)); req.Want >= scald {
		p.Warnings = append(p.Warnings, warn("scald", "syrup at {0} burns skin, and it clings: gloves, goggles, no children", req.Want))
	}
}
