package syrup

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// mixing holds the arguments of a heat balance in plain numbers.
type mixing struct {
	sugar, water float64 // kg
	ts, tw       float64 // °C
}

// w is the strength that comes of it.
func (m mixing) w() float64 { return m.sugar / (m.sugar + m.water) }

// have is the heat content of the parts above 25 °C, less what dissolving
// draws; kJ. All of it refers to 25 °C: a heat of solution at any other
// temperature would count about 5 kJ/kg twice.
func (m mixing) have() float64 {
	return m.sugar*hSugar(m.ts) + m.water*cpWater*(m.tw-25) - m.sugar*hSolution(m.w())
}

// need is the heat content of the syrup at t; kJ.
func (m mixing) need(t float64) float64 { return (m.sugar + m.water) * hSyrup(m.w(), t) }

func (m mixing) check(op string) error {
	err := firstErr(amount(op, "the sugar", m.sugar), positive(op, "the water", m.water),
		temps.check(op, m.ts), temps.from(0).check(op, m.tw))
	if err != nil {
		return err
	}
	return strengths.to(75).check(op, 100*m.w())
}

// MixTemp gives the temperature of a fresh mix, the vessel and the air left
// out, with its spread (±3 kJ/kg in the heat of solution: about 1 K at 2:1).
//
// Range 0…75 %, sugar −10…100 °C, water 0…100 °C. An enthalpy balance over
// [SyrupEnthalpy], [SugarHeat] and [HeatOfSolution].
func MixTemp(sugar units.Mass, sugarAt units.Temp, water units.Mass, waterAt units.Temp, fig figure.Set) (figure.Estimate, error) {
	const op = "syrup.MixTemp"
	m := mixing{sugar.Kg(), water.Kg(), sugarAt.C(), waterAt.C()}
	if err := m.check(op); err != nil {
		return figure.Estimate{}, err
	}
	have := m.have()
	t, ok := bisect(func(t float64) float64 { return m.need(t) - have }, -20, 120)
	if !ok {
		return figure.Estimate{}, notReached(op, "the temperature of the mix could not be worked out")
	}
	perK := (m.sugar + m.water) * 4.1868 * (1 - (0.6-0.0018*t)*m.w())
	return figure.Est(t, m.sugar*or(fig).V(KeySolutionSD)/perK), nil
}

// WaterTempFor gives how hot the water must be so that the mix comes out at
// want: the same balance solved for the water. Water hotter than 100 °C is
// refused with how much heat is lacking left to [PlanHeat]; water that would
// have to be ice too.
func WaterTempFor(sugar units.Mass, sugarAt units.Temp, water units.Mass, want units.Temp) (units.Temp, error) {
	const op = "syrup.WaterTempFor"
	m := mixing{sugar.Kg(), water.Kg(), sugarAt.C(), 25}
	if err := firstErr(m.check(op), temps.check(op, want.C())); err != nil {
		return 0, err
	}
	tw := units.Temp(25 + (m.need(want.C())-m.have())/(m.water*cpWater))
	switch {
	case tw > 100:
		e := fault.New(fault.OutOfRange, "", "water alone cannot make the mix that hot").WithHint("heat the mix, or warm the sugar first")
		e.Op = op
		return 0, e
	case tw < 0:
		e := fault.New(fault.OutOfRange, "", "even water at freezing makes the mix warmer than that").WithHint("let it cool after mixing")
		e.Op = op
		return 0, e
	}
	return tw, nil
}

// HeatToMix gives the heat that brings sugar and water to a mix at want:
// negative where they hold more than that already. Range as [MixTemp]; loss
// and vessel are not in it.
func HeatToMix(sugar units.Mass, sugarAt units.Temp, water units.Mass, waterAt, want units.Temp) (units.Energy, error) {
	const op = "syrup.HeatToMix"
	m := mixing{sugar.Kg(), water.Kg(), sugarAt.C(), waterAt.C()}
	if err := firstErr(m.check(op), temps.check(op, want.C())); err != nil {
		return 0, err
	}
	return units.Energy(m.need(want.C())-m.have()) * units.Kilojoule, nil
}

// HeatToWarm gives the heat that brings mass m of syrup of strength s from one
// temperature to another; negative for cooling. Range and error as [Heat].
func HeatToWarm(m units.Mass, s units.Strength, from, to units.Temp) (units.Energy, error) {
	const op = "syrup.HeatToWarm"
	if err := firstErr(amount(op, "a mass", m.Kg()), checkST(op, s, from), temps.check(op, to.C())); err != nil {
		return 0, err
	}
	w := float64(s)
	return units.Energy(m.Kg()*(hSyrup(w, to.C())-hSyrup(w, from.C()))) * units.Kilojoule, nil
}

// HeatingTime gives how long a heater of power p takes for heat q when
// efficiency (over 0, up to 1) of it reaches the syrup.
func HeatingTime(q units.Energy, p units.Power, efficiency float64) (units.Duration, error) {
	const op = "syrup.HeatingTime"
	if err := firstErr(amount(op, "the heat", float64(q)), positive(op, "the power of the heater", float64(p)),
		checkShare(op, "the efficiency", efficiency)); err != nil {
		return 0, err
	}
	return units.Duration(float64(q) / (float64(p) * efficiency)), nil
}

// checkShare wants a part of a whole, more than nothing.
func checkShare(op, what string, v float64) error {
	if err := positive(op, what, v); err != nil {
		return err
	}
	if v > 1 || math.IsNaN(v) {
		e := fault.Newf(fault.OutOfRange, "", "%s of %.3g is more than the whole", what, v).WithHint("between 0 and 1")
		e.Op = op
		return e
	}
	return nil
}
