package syrup

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Kind is a kind of sugar as it is bought.
type Kind string

// The kinds.
const (
	WhiteSugar   Kind = "white-sugar"
	Invert       Kind = "invert"
	MediumInvert Kind = "medium-invert"
	HFCS42       Kind = "hfcs-42"
	HFCS55       Kind = "hfcs-55"
	Fondant      Kind = "fondant"
)

// Food is what is known of a kind.
type Food struct {
	Kind     Kind
	Name     string
	Liquid   bool
	Inverted bool   // its sugars are single already: bees take up no water for it
	Solids   string // key of the figure of its dry solids
	Density  string // key of the figure its density is worked out with
	Source   string // what it must be
	// Keep is how it wants to be kept; may be empty.
	Keep string
}

var foods = []Food{
	{WhiteSugar, "white sugar", false, false, KeySolidsWhite, KeyBulk,
		"Directive 2001/111/EC, Annex A.2: polarisation at least 99.7 °Z", "dry"},
	{Invert, "invert syrup", true, true, KeySolidsInvert, KeyInvDensity,
		"Directive 2001/111/EC, Annex A.5–6: invert 3–50 % or more of the dry matter", "below 30 °C, out of sun-heated tanks"},
	{MediumInvert, "medium invert syrup", true, true, KeySolidsMedium, KeyInvDensity,
		srcTrade, "below 30 °C, out of sun-heated tanks"},
	{HFCS42, "HFCS-42", true, true, KeySolids42, KeyHFCSDensity,
		"fructose 41–50 % of dry solids; Buck, in Alternative Sweeteners, Table 5", "above 20 °C, or its glucose crystallises; below 30 °C"},
	{HFCS55, "HFCS-55", true, true, KeySolids55, KeyHFCSDensity,
		"fructose 54–60 % of dry solids; Buck, in Alternative Sweeteners, Table 5; USP-NF", "below 30 °C"},
	{Fondant, "fondant", false, false, KeySolidsFond, KeyFondantBulk,
		"Austrian Food Code B16 §1.2.2", "wrapped, or it dries"},
}

// Foods lists the kinds known here.
func Foods() []Food { return append([]Food(nil), foods...) }

// FoodOf gives what is known of a kind.
func FoodOf(k Kind) (Food, error) {
	for _, f := range foods {
		if f.Kind == k {
			return f, nil
		}
	}
	return Food{}, fault.Newf(fault.NotFound, string(k), "there is no such kind of sugar here").
		WithHint("white-sugar, invert, medium-invert, hfcs-42, hfcs-55 or fondant")
}

// FoodSolids gives the dry solids of a kind as a strength: what its label says
// (0 = not told), else the figure.
func FoodSolids(k Kind, label units.Strength, fig figure.Set) (units.Strength, error) {
	f, err := FoodOf(k)
	if err != nil {
		return 0, err
	}
	if label == 0 {
		label = units.Strength(or(fig).V(f.Solids))
	}
	if err := (span{"dry solids", "%", 0, 100}).check("syrup.FoodSolids", label.Brix()); err != nil {
		return 0, err
	}
	return label, nil
}

// FoodDensity gives the density of a kind of given solids (0 = the figure) at
// t, in kg/m³ with its spread.
//
// Liquids: that of sucrose of the same solids times a factor, HFCS 0.994 ±
// 0.0015 (from Buck's Table 5, 15.6–37.8 °C: refused outside 15–38 °C), invert
// 0.995 by analogy. White sugar: loose weight; fondant: from memory.
func FoodDensity(k Kind, label units.Strength, t units.Temp, fig figure.Set) (figure.Estimate, error) {
	const op = "syrup.FoodDensity"
	fig = or(fig)
	f, err := FoodOf(k)
	if err != nil {
		return figure.Estimate{}, err
	}
	factor := fig.Get(f.Density)
	if !f.Liquid {
		return figure.Est(factor.Value*1000, factor.SD*1000), temps.check(op, t.C())
	}
	s, err := FoodSolids(k, label, fig)
	if err := firstErr(err, strengths.check(op, s.Brix()), temps.from(15).to(38).check(op, t.C())); err != nil {
		return figure.Estimate{}, err
	}
	d := float64(sureDensity(s, t))
	return figure.Est(d*factor.Value, d*factor.SD), nil
}

// DrySolids gives the dry solids, kg, in a volume of a kind at t. Label doses
// and compare sugars by this, never by volume alone. Range as [FoodDensity].
func DrySolids(k Kind, v units.Volume, label units.Strength, t units.Temp, fig figure.Set) (figure.Estimate, error) {
	d, err := FoodDensity(k, label, t, fig)
	if err := firstErr(err, amount("syrup.DrySolids", "a volume", v.L())); err != nil {
		return figure.Estimate{}, err
	}
	s, err := FoodSolids(k, label, fig)
	return d.Times(v.L() / 1000 * float64(s)), err
}

// inversionYield is the mass of invert sugar from a mass of sucrose: the water
// taken up in splitting it, 360.31/342.30.
const inversionYield = (molarSucrose + molarWater) / molarSucrose

// InvertFrom gives the invert sugar that comes of sucrose split wholly: 105.26
// kg of 100 kg (stoichiometry).
func InvertFrom(sucrose units.Mass) (units.Mass, error) {
	return units.Mass(inversionYield * sucrose.Kg()), amount("syrup.InvertFrom", "the sucrose", sucrose.Kg())
}

// Inversion gives the rate at which acid splits sucrose in syrup of strength s
// at t, per minute, and the share split after a time.
//
// Range 0…85 %, 0…105 °C, pH 2.5…8 (taken at temperature). Source: Vukov's
// equation as in Rein, Cane Sugar Engineering. Of one 1922 trial (J. Ind. Eng.
// Chem., tartaric acid) it has the order. Bees invert sucrose themselves: acid
// buys nothing, and the fructose it frees turns to HMF in the same hot acid.
func Inversion(s units.Strength, t units.Temp, ph float64, d units.Duration) (perMin, share float64, err error) {
	const op = "syrup.Inversion"
	err = firstErr(strengths.check(op, s.Brix()), (span{"a temperature", "°C", 0, 105}).check(op, t.C()),
		(span{"a pH", "", 2.5, 8}).check(op, ph), amount(op, "a time", float64(d)))
	if err != nil {
		return 0, 0, err
	}
	water := (100 - s.Brix()) * rho(float64(s), t.C()) * 1e-5 // g per mL of syrup
	perMin = 8.12831e16 * water * math.Exp(-13055.7/(t.C()+zeroC)-2.302585*ph)
	return perMin, -math.Expm1(-perMin * d.Min()), nil
}
