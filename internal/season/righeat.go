package season

import (
	"math"

	"larder/internal/feeding"
	"larder/internal/rig"
	"larder/internal/syrup"
	"larder/internal/units"
)

// HeatAsk is a batch to be warmed.
type HeatAsk struct {
	Volume   units.Volume                // at From; 0 = what one mixing makes
	Strength syrup.Maybe[units.Strength] // not told = the season's; 0 is water
	From     syrup.Maybe[units.Temp]     // not told = 15 °C
	To       syrup.Maybe[units.Temp]     // not told = 45 °C, the most syrup should be held at
	Air      syrup.Maybe[units.Temp]     // not told = 10 °C
	Surface  units.Area                  // of the tank; 0 = of a cylinder as high as it is wide
}

// HeatUp is how long it takes and what it costs.
type HeatUp struct {
	rig.Heating
	TimeSD        units.Duration // one standard deviation
	EnergySD      units.Energy
	Volume        units.Volume
	Mass          units.Mass
	Strength      units.Strength
	From, To, Air units.Temp
	Power         units.Power
	Surface       units.Area
	Gas           units.Volume // litres of liquid propane for the same heat, by an open burner
	GasSD         units.Volume
	Overnight     units.Temp                  // after 12 hours without heater
	Burns         syrup.Maybe[units.Duration] // that skin stands To; not told = outside the table
	Element       units.Area                  // least surface of the heating element in syrup
	Cautions      []feeding.Reason
	Reasons       []feeding.Reason
}

// surfaceOf is the surface in m² of a closed cylinder of v as high as it is
// wide: V = πD³/4, A = 6·V/D.
func surfaceOf(v units.Volume) float64 {
	m3 := v.L() / 1000
	return 6 * m3 / math.Cbrt(4*m3/math.Pi)
}

// HeatUp gives the time and the energy to warm a batch, with the heat the tank
// loses meanwhile, the warmest it can ever get, and the gas it would take
// instead. A heater not told is fault.Missing.
func (st *State) HeatUp(a HeatAsk) (HeatUp, error) {
	s := &st.Settings
	figs, _ := s.FigureSet()
	out := HeatUp{Volume: a.Volume, Strength: a.Strength.Or(s.Syrup), From: a.From.Or(15), To: a.To.Or(45), Air: a.Air.Or(10), Power: s.Rig.Heater, Surface: a.Surface}
	if out.Volume == 0 {
		out.Volume = s.Mixer
	}
	switch {
	case out.Volume == 0:
		return out, missing("kitchen.mixer", "it is not told how much is to be warmed", "the litres or gallons in the mixing tank")
	case out.Power == 0:
		return out, missing("heater.power", "the power of the heater has not been told", "the watts on its plate: 3 kW")
	}
	rho, err := syrup.Density(out.Strength, out.From)
	if err != nil {
		return out, err
	}
	out.Mass = units.Mass(out.Volume.L() / 1000 * float64(rho))
	q, err := syrup.HeatToWarm(out.Mass, out.Strength, out.From, out.To)
	if err != nil {
		return out, err
	}
	if out.Surface == 0 {
		out.Surface = units.Area(100 * surfaceOf(out.Volume))
		out.Reasons = append(out.Reasons, rigReason("surface-taken", "a tank as high as it is wide is taken, closed with a lid: an open one steams and loses more"))
	}
	loss, err := rig.Coat{Foam: s.Rig.Foam, Windy: s.Rig.Windy}.Over(out.Surface, figs)
	if err != nil {
		return out, err
	}
	heat := rig.SpecificHeat(4.18)
	if out.To != out.From {
		heat = rig.SpecificHeat(float64(q) / 1000 / float64(out.Mass) / float64(out.To-out.From))
	}
	w := rig.Warm{Mass: out.Mass, Heat: heat, From: out.From, To: out.To, Air: out.Air, Loss: loss, Power: out.Power}
	if out.Heating, err = w.HeatUp(figs); err != nil {
		return out, err
	}
	// Each uncertain thing is moved by its own; half the differences add up by
	// squares. The time is not spread where one of them never gets there.
	part := [2]float64{figs.V("season.heat_sd"), figs.V("season.tank_surface_sd")}
	var ss float64
	for i, p := range part {
		up, down := w, w
		if i == 0 {
			up.Heat, down.Heat = w.Heat*rig.SpecificHeat(1+p), w.Heat*rig.SpecificHeat(1-p)
		} else {
			up.Loss, down.Loss = w.Loss*rig.Conductance(1+p), w.Loss*rig.Conductance(1-p)
		}
		a, err1 := up.HeatUp(figs)
		b, err2 := down.HeatUp(figs)
		if err1 != nil || err2 != nil || !a.Reaches || !b.Reaches {
			ss = math.Inf(1)
			break
		}
		ss += math.Pow(float64(a.Time-b.Time)/2, 2)
	}
	if out.Reaches && !math.IsInf(ss, 1) {
		out.TimeSD = units.Duration(math.Sqrt(ss))
		out.EnergySD = units.Energy(float64(out.Power) * float64(out.TimeSD))
	}
	if out.Reaches && math.IsInf(ss, 1) {
		out.Reasons = append(out.Reasons, rigReason("near-stall", "it is so near the warmest it can get that the time is anybody's guess"))
	}
	if out.Gas, out.GasSD, err = rig.GasFor(out.Useful, figs); err != nil {
		return out, err
	}
	cool := w
	cool.From = out.To
	if out.Overnight, err = cool.CoolTo(12 * units.Hour); err != nil {
		return out, err
	}
	if b, err := rig.BurnTime(out.To); err == nil {
		out.Burns = syrup.Told(b)
	}
	if out.Element, err = rig.ElementArea(out.Power, figs); err != nil {
		return out, err
	}
	watch := out.Heating.Cautions
	if c, err := rig.ReadyToLoad(out.To, figs); err != nil {
		out.Reasons = append(out.Reasons, rigReason("not-to-load", "let it cool below {0} before it is loaded", units.Temp(figs.V(rig.KeyScaldStop))))
	} else {
		watch = append(watch, c...)
	}
	out.Cautions = cautioned(watch)
	return out, nil
}
