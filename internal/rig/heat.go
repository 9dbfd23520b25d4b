package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// SpecificHeat is in kJ/(kg·K): about 2.6 for 2:1 syrup, 4.18 for water.
type SpecificHeat float64

// Conductance is heat lost per degree, in W/K: U·A.
type Conductance float64

// Coat is what is around a tank.
type Coat struct {
	Foam  units.Length // thickness; 0 = bare
	Windy bool         // counts for a bare tank
}

// Transfer gives U in W/(m²·K): bare 12 in still air and 20 in wind, else
// 1/U = 1/12 + foam/k (figures rig.u_bare, rig.u_windy, rig.film, rig.foam_k).
// 25 mm of foam is 1.25, 50 mm is 0.66.
func (c Coat) Transfer(fig figure.Set) (float64, error) {
	if err := amount("rig.Coat", "the thickness of the foam", float64(c.Foam)); err != nil {
		return 0, err
	}
	fig = or(fig)
	switch {
	case c.Foam > 0:
		return 1 / (1/fig.V(KeyFilm) + float64(c.Foam)/fig.V(KeyFoam)), nil
	case c.Windy:
		return fig.V(KeyWindy), nil
	}
	return fig.V(KeyBare), nil
}

// Over gives U·A for a surface; an open lid loses more, by steam.
func (c Coat) Over(a units.Area, fig figure.Set) (Conductance, error) {
	if err := amount("rig.Coat", "the surface", float64(a)); err != nil {
		return 0, err
	}
	u, err := c.Transfer(fig)
	return Conductance(u * float64(a) / 100), err
}

// Pipe is a round shell with insulation, seen from the side; its ends are left
// out.
type Pipe struct {
	Length         units.Length
	Inner, Outer   units.Length // diameters of the insulation
	K              float64      // of the insulation, W/(m·K)
	FilmIn, FilmUp float64      // inner and outer film, W/(m²·K); 0 = no resistance
}

// Conductance gives 1/[1/(h_i·A_i) + ln(D_o/D_i)/(2π k L) + 1/(h_o·A_o)].
func (p Pipe) Conductance() (Conductance, error) {
	const op = "rig.Pipe"
	if err := firstErr(positive(op, "the length", float64(p.Length)), positive(op, "the inner diameter", float64(p.Inner)),
		positive(op, "the conductivity", p.K), amount(op, "a film", p.FilmIn), amount(op, "a film", p.FilmUp)); err != nil {
		return 0, err
	}
	if p.Outer < p.Inner {
		return 0, trouble(fault.OutOfRange, op, "the outside is thinner than the inside").WithHint("give diameters, inner then outer")
	}
	l := float64(p.Length)
	r := math.Log(float64(p.Outer/p.Inner)) / (2 * math.Pi * p.K * l)
	if p.FilmIn > 0 {
		r += 1 / (p.FilmIn * math.Pi * float64(p.Inner) * l)
	}
	if p.FilmUp > 0 {
		r += 1 / (p.FilmUp * math.Pi * float64(p.Outer) * l)
	}
	if r == 0 {
		return 0, trouble(fault.Missing, op, "nothing keeps the heat in").WithHint("give the insulation or a film")
	}
	return Conductance(1 / r), nil
}

// Warm is a batch to be warmed, or left to cool.
type Warm struct {
	Mass  units.Mass
	Heat  SpecificHeat // mean over the range; from the caller
	From  units.Temp
	To    units.Temp
	Air   units.Temp
	Loss  Conductance // 0 = no loss
	Power units.Power // of the heater
	// Efficiency is the part of the power that gets into the liquid; 0 = all.
	Efficiency float64
}

func (w Warm) check(op string) error {
	if err := firstErr(positive(op, "the weight of the batch", float64(w.Mass)), positive(op, "the specific heat", float64(w.Heat)),
		amount(op, "the loss", float64(w.Loss)), fraction(op, "the efficiency", w.Efficiency)); err != nil {
		return err
	}
	for _, t := range []units.Temp{w.From, w.To, w.Air} {
		// Below −40 °C nobody mixes, and at 105 °C 2:1 boils.
		if err := covered(op, "a temperature", "°C", float64(t), -40, 105); err != nil {
			return err
		}
	}
	return nil
}

// joulePerK is m·cp in J/K.
func (w Warm) joulePerK() float64 { return float64(w.Mass) * float64(w.Heat) * 1000 }

// net is the power that reaches the liquid, in W.
func (w Warm) net() float64 {
	if w.Efficiency == 0 {
		return float64(w.Power)
	}
	return float64(w.Power) * w.Efficiency
}

// Heating is how it warms.
type Heating struct {
	Reaches  bool           // false: the loss eats the power before To
	Time     units.Duration // 0 if it does not reach
	Lossless units.Duration // without loss, for comparison
	Useful   units.Energy   // what stays in the batch
	Energy   units.Energy   // what the heater takes
	Stall    units.Temp     // warmest it could ever get; meaningless without loss
	Stalls   bool           // whether there is a Stall
	Cautions []Caution
}

// HeatUp gives the time to warm the batch:
//
//	t = −(m·cp/UA)·ln[(P·η − UA·(To−Air))/(P·η − UA·(From−Air))]
//
// without loss m·cp·ΔT/(P·η); it stalls at Air + P·η/UA.
func (w Warm) HeatUp(fig figure.Set) (Heating, error) {
	const op = "rig.Warm.HeatUp"
	if err := firstErr(w.check(op), positive(op, "the heater's power", float64(w.Power))); err != nil {
		return Heating{}, err
	}
	if w.To < w.From {
		return Heating{}, trouble(fault.OutOfRange, op, "it is warmer than that already").WithHint("let it cool instead")
	}
	c, p, ua := w.joulePerK(), w.net(), float64(w.Loss)
	rise := float64(w.To - w.From)
	out := Heating{Reaches: true, Useful: units.Energy(c * rise), Lossless: units.Duration(c * rise / p)}
	out.Time = out.Lossless
	if ua > 0 {
		out.Stalls, out.Stall = true, w.Air+units.Temp(p/ua)
		if out.Reaches = w.To < out.Stall; out.Reaches {
			a, b := p-ua*float64(w.To-w.Air), p-ua*float64(w.From-w.Air)
			out.Time = units.Duration(-c / ua * math.Log(a/b))
		} else {
			out.Time = 0
			out.Cautions = append(out.Cautions, caution("heat-stalls", "It gets no warmer than {0}: more power, or insulate and close the lid", out.Stall))
		}
	}
	out.Energy = units.Energy(float64(w.Power) * float64(out.Time))
	out.Cautions = append(out.Cautions, HotCautions(w.To, fig)...)
	return out, nil
}

// CoolTo gives the temperature after a while without heater:
// Air + (From − Air)·exp(−UA·t/(m·cp)).
func (w Warm) CoolTo(after units.Duration) (units.Temp, error) {
	const op = "rig.Warm.CoolTo"
	if err := firstErr(w.check(op), amount(op, "the time", float64(after))); err != nil {
		return 0, err
	}
	return w.Air + (w.From-w.Air)*units.Temp(math.Exp(-float64(w.Loss)*float64(after)/w.joulePerK())), nil
}

// CoolTime gives how long it takes to cool from From to To. What never gets
// there is not known here.
func (w Warm) CoolTime() (units.Duration, error) {
	const op = "rig.Warm.CoolTime"
	if err := firstErr(w.check(op), positive(op, "the loss", float64(w.Loss))); err != nil {
		return 0, err
	}
	k := float64(w.To-w.Air) / float64(w.From-w.Air)
	if w.From == w.Air || k <= 0 || k > 1 {
		return 0, trouble(fault.NotKnownHere, op, "it never gets to %v °C in air of %v °C by itself", float64(w.To), float64(w.Air)).WithHint("between the syrup's and the air's temperature")
	}
	return units.Duration(-w.joulePerK() / float64(w.Loss) * math.Log(k)), nil
}

// GasFor gives the litres of liquid propane for a useful heat, with one
// standard deviation: 25.5 MJ/L gross, burner 40–60 % (figures rig.gas_mj_l,
// rig.burner_efficiency).
func GasFor(useful units.Energy, fig figure.Set) (v, sd units.Volume, err error) {
	if err := amount("rig.GasFor", "the heat", float64(useful)); err != nil {
		return 0, 0, err
	}
	fig = or(fig)
	eta := fig.V(KeyBurner)
	l := float64(useful/units.Megajoule) / fig.V(KeyGas) / eta
	return units.Volume(l), units.Volume(l * fig.SD(KeyBurner) / eta), nil
}

// OutletPower gives what a wall outlet carries for hours: 80 % of volts times
// amps. 120 V and 15 A are 1.44 kW, 240 V and 30 A are 5.8 kW.
func OutletPower(v units.Voltage, a units.Current) (units.Power, error) {
	const op = "rig.OutletPower"
	if err := firstErr(positive(op, "the voltage", float64(v)), positive(op, "the fuse of the outlet", float64(a))); err != nil {
		return 0, err
	}
	return units.Power(0.8 * float64(v) * float64(a)), nil
}

// Keys of the figures of heat.
const (
	KeyBare      = "rig.u_bare"
	KeyWindy     = "rig.u_windy"
	KeyFilm      = "rig.film"
	KeyFoam      = "rig.foam_k"
	KeyGas       = "rig.gas_mj_l"
	KeyBurner    = "rig.burner_efficiency"
	KeyScaldWarn = "rig.scald_warn_c"
	KeyScaldStop = "rig.scald_stop_c"
	KeyHighLimit = "rig.heater_limit_c"
	KeyWattArea  = "rig.element_w_cm2"
)

func heatFigures() []figure.Figure {
	return []figure.Figure{
		{Key: KeyBare, Name: "heat lost by a bare metal tank", Value: 12, Low: 8, High: 12, Unit: "W/(m²·K)", SD: 1, Grade: figure.Trade, Source: srcFoam, Note: "10 to 12 in still air; 8 indoors"},
		practice(KeyWindy, "heat lost by a bare tank in wind", 20, 15, 40, 5, "W/(m²·K)", ""),
		{Key: KeyFilm, Name: "film of air outside the insulation", Value: 12, Low: 8, High: 20, Unit: "W/(m²·K)", Grade: figure.Trade, Source: srcFoam},
		{Key: KeyFoam, Name: "conductivity of foam", Value: 0.035, Low: 0.022, High: 0.040, Unit: "W/(m·K)", SD: 0.003, Grade: figure.Trade, Source: srcFoam},
		{Key: KeyGas, Name: "heat of a litre of propane", Value: 25.5, Low: 25, High: 26, Unit: "MJ/L", Grade: figure.Peer, Source: "91 333 BTU per US gal, gross: US Federal Register, 21 Mar 2007 (EIA factor)"},
		practice(KeyBurner, "part of a gas flame that gets into the pot", 0.5, 0.4, 0.6, 0.05, "fraction", ""),
		{Key: KeyScaldWarn, Name: "hot enough to burn skin in minutes", Value: 48, Low: 45, High: 49, Unit: "°C", Grade: figure.Peer, Source: srcCPSC},
		{Key: KeyScaldStop, Name: "too hot to be loaded", Value: 55, Low: 48, High: 55, Unit: "°C", Grade: figure.Peer, Source: srcCPSC, Note: "full burns within half a minute; syrup clings"},
		practice(KeyHighLimit, "high-limit switch of a heater in syrup", 60, 50, 60, 0, "°C", ""),
		practice(KeyWattArea, "heater element in syrup, most per surface", 2.0, 1.5, 2.5, 0, "W/cm²", "no table found; 4.7 W/cm² is for process water"),
	}
}
