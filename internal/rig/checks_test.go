package rig

import (
	"math"
	"testing"

	"larder/internal/figure"
	"larder/internal/units"
)

var none figure.Set

// TestChecks runs every row of the evidence base's table of check values.
// A row without a formula, and a formula without a row, fail.
func TestChecks(t *testing.T) {
	f := map[string]func(in) float64{}
	for _, m := range []map[string]func(in) float64{flowChecks(t), wireChecks(t), tankChecks(t), heatChecks(t), liftChecks(t), bucketChecks(t), otherChecks(t)} {
		for k, v := range m {
			if f[k] != nil {
				t.Fatalf("two formulas for row %s", k)
			}
			f[k] = v
		}
	}
	for _, r := range rows(t, "checks.tsv") {
		if len(r) != 6 {
			t.Fatalf("row %q has %d columns", r[0], len(r))
		}
		fn := f[r[0]]
		if fn == nil {
			t.Errorf("row %s (%s): no formula", r[0], r[1])
			continue
		}
		delete(f, r[0])
		near(t, r[0]+" "+r[1], fn(inputs(t, r[2])), num(t, r[3]), r[4])
	}
	for k := range f {
		t.Errorf("formula %s has no row", k)
	}
}

// white is White's oil pipe: kinematic viscosity in m²/s.
func white(i in) (Line, Fluid, units.Flow) {
	f := Fluid{Density: units.Density(i.f("rho")), Viscosity: units.Viscosity(i.f("nu") * i.f("rho") * 1000)}
	return Line{Hose: Hose{Bore: units.Length(i.f("d")), Length: units.Length(i.f("l")), Rough: units.Length(i.f("e"))}, Rise: units.Length(i.or0("rise"))}, f, units.Flow(i.f("q") * 1000)
}

// moody is the asphalted iron pipe, in feet; water of 1000 kg/m³.
func moody(i in) Loss {
	ft := float64(units.Foot)
	d, nu := i.f("d_ft")*ft, i.f("nu_ft2s")*ft*ft
	l := Line{Hose: Hose{Bore: units.Length(d), Length: units.Length(i.f("l_ft") * ft), Rough: units.Length(d * i.f("rough"))}}
	q := i.f("v_fts") * ft * math.Pi / 4 * d * d * 1000
	return l.loss(units.Flow(q), Fluid{Density: 1000, Viscosity: units.Viscosity(nu * 1000 * 1000)})
}

// tableSetup is the setup of the evidence base's worked table.
func tableSetup(mu, rho, bore, length, rise float64) Setup {
	return Setup{
		Pump:  Pump{ShutOff: 4.1 * units.Bar, Open: 20.0 / 60},
		Line:  Line{Hose: Hose{Bore: units.Length(bore), Length: units.Length(length), Rough: RoughRubber}, Fittings: []Fitting{{K1: 2000, KInf: 4}}, Rise: units.Length(rise)},
		Fluid: Fluid{Density: units.Density(rho), Viscosity: units.Viscosity(mu)},
	}
}

func flowChecks(t *testing.T) map[string]func(in) float64 {
	cengel := func(i in) float64 {
		l := Line{Hose: Hose{Bore: units.Length(i.f("d")), Length: units.Length(i.f("l"))}, Rise: units.Length(i.f("rise"))}
		q := must[units.Flow](t)(l.FlowAt(units.Pressure(i.f("dp")), Fluid{Density: units.Density(i.f("rho")), Viscosity: units.Viscosity(i.f("mu"))}))
		return float64(q) / 1000
	}
	colebrook := func(i in) float64 {
		l, f, q := white(i)
		return must[float64](t)(FrictionColebrook(l.loss(q, f).Reynolds, float64(l.Hose.Rough/l.Hose.Bore)))
	}
	crane1 := func(i in) Loss {
		l := Line{Hose: Hose{Bore: units.Length(i.f("d")), Length: 1}}
		return l.loss(units.Flow(i.f("q_lmin")/60), Fluid{Density: units.Density(i.f("rho")), Viscosity: units.Viscosity(i.f("mu"))})
	}
	coil := func(i in) float64 {
		return must[float64](t)(FrictionLaminar(i.f("re"))) * CoilFactor(i.f("re"), units.Length(i.f("d")), units.Length(i.f("reel")))
	}
	point := func(i in) float64 {
		d := must[Delivery](t)(tableSetup(i.f("mu"), i.f("rho"), i.f("d"), 30, 0).Deliver(none))
		return float64(d.Flow) * 60
	}
	return map[string]func(in) float64{
		"1": func(i in) float64 { return Friction(i.f("re"), i.f("rough")) },
		"2": func(i in) float64 { return must[float64](t)(FrictionSwameeJain(i.f("re"), i.f("rough"))) },
		"3": func(i in) float64 { return must[float64](t)(FrictionColebrook(i.f("re"), i.f("rough"))) },
		"4": func(i in) float64 { return must[float64](t)(FrictionLaminar(i.f("re"))) },
		"5": cengel, "7": cengel,
		"8": func(i in) float64 {
			l, f, q := white(i)
			return float64(l.loss(q, f).Hose) / (f.rho() * g)
		},
		"8re": func(i in) float64 { l, f, q := white(i); return l.loss(q, f).Reynolds },
		// The chart and the printed drop follow Colebrook; Churchill reads 0.8 %
		// higher here, which is in row 8.
		"8f": colebrook,
		"9": func(i in) float64 {
			l, f, q := white(i)
			x := l.loss(q, f)
			return float64(x.Hose/units.Pressure(x.Friction)*units.Pressure(colebrook(i))+x.Lift) / 1000
		},
		"10":  func(i in) float64 { return float64(moody(i).Hose) / (1000 * g) / float64(units.Foot) },
		"10p": func(i in) float64 { return float64(moody(i).Hose/units.PSI) * 144 },
		"11":  func(i in) float64 { return crane1(i).Reynolds },
		"11f": func(i in) float64 { return crane1(i).Friction },
		"12": func(i in) float64 {
			// One barrel is 42 US gal.
			q := i.f("bbl_h") * 42 * float64(units.USGallon) / 3600
			l := Line{Hose: Hose{Bore: units.Length(i.f("d")), Length: units.Length(i.f("l"))}, Fittings: []Fitting{{K: i.f("k")}}}
			return float64(l.loss(units.Flow(q), Fluid{Density: units.Density(i.f("rho")), Viscosity: units.Viscosity(i.f("mu"))}).Total())
		},
		"14": func(i in) float64 {
			rho := i.f("sg") * 999
			l := Line{Hose: Hose{Bore: units.Length(i.f("d_in")) * units.Inch, Length: units.Length(i.f("l_ft")) * units.Foot, Rough: units.Length(i.f("e"))}}
			q := units.Flow(i.f("gal_s") * float64(units.USGallon))
			return float64(l.loss(q, Fluid{Density: units.Density(rho), Viscosity: units.Viscosity(i.f("nu_cst") * rho / 1000)}).Hose) / 1000
		},
		"15": func(i in) float64 {
			return must[Fitting](t)(FittingByKey("globe")).Resist(i.f("re"), units.Length(i.f("d_in"))*units.Inch)
		},
		"16": coil, "17": coil,
		"24": func(i in) float64 {
			l := Line{Hose: Hose{Bore: units.Length(i.f("d")), Length: units.Length(i.f("l"))}}
			return float64(must[units.Flow](t)(l.FlowAt(units.Pressure(i.f("dp")), Fluid{Density: 1328.5, Viscosity: units.Viscosity(i.f("mu"))}))) * 60
		},
		"25": point, "26a": point, "26b": point,
	}
}

func wireChecks(t *testing.T) map[string]func(in) float64 {
	ohms := func(i in) float64 {
		// By the formula, against the printed table.
		d := must[units.Length](t)(AWGDiameter(int(i.f("awg"))))
		return ohmsPerMetre(math.Pi/4*float64(d*d), 75) * 304.8
	}
	mils := func(i in) float64 {
		return must[float64](t)(MilsNeeded(units.Current(i.f("a")), units.Length(i.f("loop_ft"))*units.Foot, units.Voltage(i.f("volts"))))
	}
	awg := func(i in) float64 { return float64(must[Wire](t)(SizeForMils(mils(i))).AWG) }
	amps := func(i in) float64 {
		return float64(must[units.Current](t)(Wire{AWG: int(i.f("awg"))}.Ampacity(Place{Insulation: units.Temp(i.f("ins"))})))
	}
	drop := func(i in) Wiring {
		r := Run{Current: units.Current(i.f("a")), OneWay: units.Length(i.f("way")), Copper: HotCopper}
		return must[Wiring](t)(r.With(Wire{AWG: int(i.f("awg"))}, none))
	}
	energy := func(i in) PumpEnergy {
		fig := must[figure.Set](t)(figure.NewSet(Figures()).With(KeyPumpEfficiency, i.f("eta")))
		return must[PumpEnergy](t)(EnergyFor(units.Volume(i.f("l")), units.Pressure(i.f("bar"))*units.Bar, 0, fig))
	}
	return map[string]func(in) float64{
		"28a": ohms, "28b": ohms, "28c": ohms, "28d": ohms,
		"29": mils, "29awg": awg, "30": mils, "30awg": awg, "31a": awg, "31b": awg, "31c": awg,
		"32a": amps, "32b": amps, "32c": amps,
		"33":   func(i in) float64 { return float64(BoatFuseLimit(units.Current(amps(i)))) },
		"35":   func(i in) float64 { return float64(drop(i).Drop) },
		"35p":  func(i in) float64 { return drop(i).Part * 100 },
		"36":   func(i in) float64 { return float64(energy(i).Energy / (units.KWh / 1000)) },
		"36ah": func(i in) float64 { return energy(i).AmpHours },
	}
}

// gallons reads a lying tank in inches and gives US gallons at its dip.
func gallons(t *testing.T, i in, end End) float64 {
	tank := Tank{Shape: Lying, Diameter: units.Length(i.f("d_in")) * units.Inch, Length: units.Length(i.f("l_in")) * units.Inch, End: end}
	e := must[figure.Estimate](t)(tank.Contents(Dip{Depth: units.Length(i.f("h_in")) * units.Inch}, Tilt{}, none))
	return e.Mean / float64(units.USGallon)
}

func tankChecks(t *testing.T) map[string]func(in) float64 {
	part := func(i in) float64 { return segment(0.5, i.f("part")) / segment(0.5, 1) }
	plain := func(i in) float64 { return gallons(t, i, End{}) }
	ends := func(i in) float64 {
		e := End{Kind: EndKind(i.s("end")), Depth: units.Length(i.or0("a_in")) * units.Inch, Crown: i.or0("f"), Knuckle: i.or0("k")}
		return gallons(t, i, e)
	}
	head := func(i in) float64 { return End{Kind: Dished, Crown: i.f("f"), Knuckle: i.f("k")}.head(0.5, 1) }
	cone := func(i in) float64 {
		tank := Tank{Shape: Upright, Diameter: units.Length(i.f("d_in")) * units.Inch, Height: 200 * units.Inch, Cone: units.Length(i.f("a_in")) * units.Inch}
		e := must[figure.Estimate](t)(tank.Contents(Dip{Depth: units.Length(i.f("h_in")) * units.Inch}, Tilt{}, none))
		return e.Mean / float64(units.USGallon)
	}
	lying := func(i in) Tank {
		return Tank{Shape: Lying, Diameter: units.Length(i.f("d")), Length: units.Length(i.f("l"))}
	}
	return map[string]func(in) float64{
		"37a": part, "37b": part, "37c": part, "37d": part, "37e": part,
		"38": plain, "38full": plain,
		"39a": ends, "39b": ends, "40a": ends, "40b": ends, "42a": ends, "42b": ends, "42c": ends,
		"43": head, "43p": head, "44a": cone, "44b": cone,
		"45": func(i in) float64 {
			return float64(must[units.Length](t)(lying(i).DipFor(units.Volume(i.f("litres")), none)))
		},
		"46": func(i in) float64 {
			tank := Tank{Shape: Rectangular, Length: 1, Width: 1, Height: 1}
			d := Dip{Depth: 0.5, Along: units.Length(i.f("off"))}
			e := must[figure.Estimate](t)(tank.Contents(d, Tilt{Pitch: Angle(i.f("deg"))}, none))
			return 500 - e.Mean // 1 m²: litres are millimetres
		},
		"47": func(i in) float64 {
			// Dipped in the middle of its length the true depth is read.
			e := must[figure.Estimate](t)(lying(i).Contents(Dip{Depth: units.Length(i.f("hc"))}, Tilt{Pitch: Angle(i.f("deg"))}, none))
			return e.Mean
		},
		"47b": func(i in) float64 {
			h := i.f("hc") + i.f("l")/2*math.Tan(Angle(i.f("deg")).rad())
			e := must[figure.Estimate](t)(lying(i).Contents(Dip{Depth: units.Length(h)}, Tilt{}, none))
			return e.Mean
		},
	}
}

func heatChecks(t *testing.T) map[string]func(in) float64 {
	heater := func(i in) (dollars float64, lost func(outer, k float64) float64) {
		dt := i.f("hot") - i.f("air")
		// Two shells in a row, each with the film it has.
		lost = func(outer, k float64) float64 {
			in := Pipe{Length: units.Length(i.f("l")), Inner: units.Length(i.f("di")), Outer: units.Length(i.f("do")), K: i.f("k"), FilmIn: i.f("hi")}
			if outer == 0 {
				in.FilmUp = i.f("ho")
				return float64(must[Conductance](t)(in.Conductance())) * dt
			}
			out := Pipe{Length: units.Length(i.f("l")), Inner: units.Length(i.f("do")), Outer: units.Length(outer), K: k, FilmUp: i.f("ho")}
			a, b := must[Conductance](t)(in.Conductance()), must[Conductance](t)(out.Conductance())
			return float64(1/(1/a+1/b)) * dt
		}
		return lost(0, 0) / 1000 * 8760 * i.f("price"), lost
	}
	warm := func(i in) Warm {
		return Warm{Mass: units.Mass(i.f("kg")), Heat: SpecificHeat(i.f("cp")), From: units.Temp(i.f("from")), To: units.Temp(i.f("to")), Power: units.Power(max(1, i.or0("kw")*1000))}
	}
	hours := func(i in) float64 {
		w := warm(i)
		w.Air = units.Temp(i.f("air"))
		w.Loss = must[Conductance](t)(Coat{Foam: units.Length(i.f("foam"))}.Over(units.Area(i.f("m2")*100), none))
		h := must[Heating](t)(w.HeatUp(none))
		if !h.Reaches {
			t.Error("it should get there")
		}
		return float64(h.Time / units.Hour)
	}
	burn := func(i in) float64 {
		return float64(must[units.Duration](t)(BurnTime(units.Temp((i.f("f") - 32) / 1.8))))
	}
	return map[string]func(in) float64{
		"51": func(i in) float64 { d, _ := heater(i); return d / i.f("cost") * 100 },
		"52": func(i in) float64 {
			before, lost := heater(i)
			after := lost(i.f("do")+2*i.f("wrap"), i.f("kwrap")) / 1000 * 8760 * i.f("price")
			return i.f("dollars") / ((before - after) / 12)
		},
		"53":  func(i in) float64 { return float64(must[Heating](t)(warm(i).HeatUp(none)).Useful / units.Megajoule) },
		"53k": func(i in) float64 { return float64(must[Heating](t)(warm(i).HeatUp(none)).Useful / units.KWh) },
		"54a": hours, "54b": hours,
		"57a": burn, "57b": burn, "57c": burn, "57d": burn,
	}
}

func liftChecks(t *testing.T) map[string]func(in) float64 {
	rwl := func(i in) float64 {
		n := nioshUS
		m := n.multipliers(i.f("h"), i.f("v"), i.f("d"), i.f("a"), i.f("f"), short, Grip(i.s("grip")))
		if i.f("round") == 1 {
			two := func(x float64) float64 { return math.Round(x*100) / 100 }
			m = Multipliers{two(m.H), two(m.V), two(m.D), two(m.A), two(m.F), two(m.C)}
		}
		return n.load * m.product()
	}
	li := func(i in) float64 { return i.f("load") / rwl(i) }
	return map[string]func(in) float64{
		"60": rwl, "60b": rwl, "61": rwl, "61b": rwl, "61li": li, "63": rwl, "63b": rwl, "63li": li,
		"64": func(i in) float64 {
			return must[float64](t)(Often(i.f("rate"), units.Duration(i.f("min"))*units.Minute))
		},
		"65": func(i in) float64 {
			// The frequencies 1, 2 and 4 a minute after one another, as numbers.
			fm := func(f float64) float64 {
				switch f {
				case 1:
					return i.f("fm0")
				case 3:
					return i.f("fm1")
				}
				return i.f("fm2")
			}
			return must[float64](t)(composite([]task{{stli: 0.67, fili: i.f("fili2"), often: 4, fm: fm}, {stli: i.f("stli"), fili: 9, often: 1, fm: fm}, {stli: 1.2, fili: i.f("fili1"), often: 2, fm: fm}}))
		},
		"66": func(i in) float64 {
			cm := units.Centimetre
			l := Lift{Load: 1, Out: units.Length(i.f("h")) * cm, From: units.Length(i.f("v")) * cm, To: units.Length(i.f("v")+i.f("d")) * cm, Grip: Good}
			return float64(must[LiftLimit](t)(l.Limit(none)).Limit)
		},
	}
}

// tenLitres are the five fills of the evidence base.
func tenLitres() []Pour {
	var out []Pour
	for _, s := range []units.Duration{58.1, 60.3, 59.2, 61.0, 58.9} {
		out = append(out, Pour{10, s})
	}
	return out
}

func bucketChecks(t *testing.T) map[string]func(in) float64 {
	five := func(i in) float64 {
		b := must[Bucket](t)(TestBucket(tenLitres(), none))
		return float64(map[string]units.Flow{"mean": b.Mean, "flow": b.Flow, "s": b.S, "ci": b.CI, "single": b.Single}[i.s("what")]) * 60
	}
	sizes := func(i in) float64 {
		b := must[Bucket](t)(TestBucket([]Pour{{2, 14.2}, {4, 27.9}, {6, 41.8}, {8, 55.4}}, none))
		if i.s("what") == "lag" {
			return float64(b.Lag)
		}
		return float64(b.Flow) * 60
	}
	acc := func(i in) float64 {
		m, s := meanSD([]float64{10000001, 10000003, 10000002})
		if i.s("what") == "sd" {
			return s
		}
		return m
	}
	return map[string]func(in) float64{"67": five, "67h": five, "67s": five, "67ci": five, "67n": five, "68": sizes, "68lag": sizes, "70": acc, "70s": acc}
}

func otherChecks(t *testing.T) map[string]func(in) float64 {
	stir := func(i in) float64 {
		s := Stirrer{Impeller: Impeller{Power: i.f("np")}, Diameter: units.Length(i.f("d")), Turns: i.f("rpm") / 60,
			Fluid: Fluid{Density: units.Density(i.f("rho")), Viscosity: units.Viscosity(i.f("mu"))}}
		return float64(must[Stirring](t)(s.Stir()).Power) / 1000
	}
	slosh := func(i in) float64 {
		return must[float64](t)(SloshFrequency(units.Length(i.f("l")), units.Length(i.f("h"))))
	}
	pays := func(i in) float64 {
		b := must[BreakEven](t)(PaysFrom(i.f("extra"), i.f("wage"), units.Duration(i.f("slow"))*units.Minute, units.Duration(i.f("fast"))*units.Minute))
		return b.Visits
	}
	feed := func(i in) float64 {
		f, _ := figure.NewSet(Figures()).Default(KeyAutumn)
		if i.s("end") == "low" {
			return f.Low / float64(units.USGallon)
		}
		return f.High / float64(units.USGallon)
	}
	return map[string]func(in) float64{
		"49": func(i in) float64 { return float64(TieDown(units.Mass(i.f("kg"))).Forward) / 1000 },
		"50": slosh, "50b": slosh, "58": stir, "59a": stir, "59b": stir,
		"71": pays, "71b": pays, "71c": pays, "72a": feed, "72b": feed,
	}
}
