package syrup

import "larder/internal/units"

// SpecificHeat is in kJ/(kg·K).
type SpecificHeat float64

// Enthalpy is heat content in kJ/kg, counted from 25 °C.
type Enthalpy float64

// cpWater is the specific heat of water in the heat balances, kJ/(kg·K).
const cpWater = 4.184

// cpSteel and cpHDPE warm with the vessel, kJ/(kg·K); from memory.
const (
	cpSteel = 0.5
	cpHDPE  = 1.9
)

// Heat gives the specific heat of syrup of strength s at t.
//
// Range 0…85 %, −10…100 °C. Source: F. Á. Mohos, Confectionery and Chocolate
// Engineering (2010), App. 1 (the Hugot/Honig formula at purity 100). An
// independent form agrees within 0.16 % over 0–75 %, 0–95 °C.
func Heat(s units.Strength, t units.Temp) (SpecificHeat, error) {
	if err := checkST("syrup.Heat", s, t); err != nil {
		return 0, err
	}
	return SpecificHeat(4.1868 * (1 - (0.6-0.0018*t.C())*float64(s))), nil
}

// HeatSecond is the second method for [Heat]: Llano 2005 / Bubník. Range as
// tested, 0…75 %, 0…95 °C.
func HeatSecond(s units.Strength, t units.Temp) (SpecificHeat, error) {
	const op = "syrup.HeatSecond"
	err := firstErr(strengths.to(75).check(op, s.Brix()), temps.from(0).to(95).check(op, t.C()))
	if err != nil {
		return 0, err
	}
	return SpecificHeat(4.184 - 2.511*float64(s) + 0.0075*float64(s)*t.C()), nil
}

// hSyrup is the integral of [Heat] from 25 °C to t, kJ/kg.
func hSyrup(w, t float64) float64 {
	return 4.1868 * ((1-0.6*w)*(t-25) + 0.0009*w*(t*t-625))
}

// SyrupEnthalpy gives the heat content of syrup above 25 °C, kJ/kg. Range and
// source as [Heat].
func SyrupEnthalpy(s units.Strength, t units.Temp) (Enthalpy, error) {
	if err := checkST("syrup.SyrupEnthalpy", s, t); err != nil {
		return 0, err
	}
	return Enthalpy(hSyrup(float64(s), t.C())), nil
}

// SugarHeat gives the specific heat of dry sugar at t.
//
// Range −10…100 °C. Source: Mohos 2010, App. 1 (0.2712 + 0.00103 t kcal). At
// 25 °C 425 J/(mol·K), where Putnam & Boerio-Goates 1993 have 424.3 (from
// memory).
func SugarHeat(t units.Temp) (SpecificHeat, error) {
	if err := temps.check("syrup.SugarHeat", t.C()); err != nil {
		return 0, err
	}
	return SpecificHeat(1.135 + 0.00431*t.C()), nil
}

// hSugar is the integral of [SugarHeat] from 25 °C to t, kJ/kg.
func hSugar(t float64) float64 { return 1.135*(t-25) + 0.00431/2*(t*t-625) }

// HeatOfSolution gives what dissolving sugar to strength s draws from the mix
// at 25 °C, kJ per kg of sugar: 19.9 at 50 %, 22.0 at 66.7 %.
//
// Range 0…75 %. Source: 5.95 kJ/mol to infinite dilution (Gucker, Pickard &
// Planck 1939, from memory) plus the excess enthalpy of Starzak & Peacock.
// Error ±3 kJ/kg (figure syrup.solution_heat_sd): it moves a mix by ±1 K.
func HeatOfSolution(s units.Strength) (Enthalpy, error) {
	if err := strengths.to(75).check("syrup.HeatOfSolution", s.Brix()); err != nil {
		return 0, err
	}
	return Enthalpy(hSolution(float64(s))), nil
}

// hSolution integrates the excess function of water along x (Gibbs–Duhem):
// per mole of sugar −Q·(x + a/2·x² + b/3·x³) beyond infinite dilution.
func hSolution(w float64) float64 {
	x := moleFraction(w)
	return (5950 - starzakQ*(x+starzakA/2*x*x+starzakB/3*x*x*x)) / molarSucrose
}
