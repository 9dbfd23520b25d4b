package syrup

import "larder/internal/units"

// GravityBasis says which two densities a specific gravity compares. Two
// hydrometers of different basis read the same syrup up to 0.002 apart, so a
// reading without its basis is not used.
type GravityBasis uint8

// The bases. The first number is the syrup's temperature, the second the
// water's.
const (
	SG2020 GravityBasis = iota // 20 °C over water at 20 °C (998.20 kg/m³)
	SG6060                     // 60 °F over water at 60 °F (15.56 °C)
	SG204                      // 20 °C over water at 4 °C (999.97 kg/m³)
)

func (b GravityBasis) String() string {
	switch b {
	case SG2020:
		return "20/20 °C"
	case SG6060:
		return "60/60 °F"
	case SG204:
		return "20/4 °C"
	}
	return "?"
}

// terms gives the syrup's temperature and the density of the water.
func (b GravityBasis) terms() (t units.Temp, water float64) {
	switch b {
	case SG6060:
		t60F := (60.0 - 32) / 1.8
		return units.Temp(t60F), kell(t60F)
	case SG204:
		return 20, kell(3.984) // 999.97 kg/m³, the densest water
	}
	return 20, kell(20)
}

// Gravity gives the specific gravity of syrup of strength s on a basis. Range
// 0…85 %; error that of [Density], 0.0003 at most against the CRC table.
func Gravity(s units.Strength, b GravityBasis) (float64, error) {
	t, water := b.terms()
	d, err := Density(s, t)
	if err != nil {
		return 0, err
	}
	return float64(d) / water, nil
}

// FromGravity gives the strength of syrup with specific gravity sg on a basis,
// by inverting the density polynomial. Range 0…85 %.
func FromGravity(sg float64, b GravityBasis) (units.Strength, error) {
	t, water := b.terms()
	return StrengthOf(units.Density(sg*water), t)
}

// FromHydrometer gives the strength of syrup at t when a Brix or Plato
// hydrometer made for 20 °C reads s in it: the reading stands for a density,
// and that density belongs to another strength at t. 2:1 at 40 °C reads 64.9.
// Range 0…85 %, −10…100 °C. The swelling of the glass (about 0.025 kg/m³ per
// K, from memory) is left out.
func FromHydrometer(s units.Strength, t units.Temp) (units.Strength, error) {
	d, err := Density(s, 20)
	if err != nil {
		return 0, err
	}
	return StrengthOf(d, t)
}

// GravityFit is a published short formula between specific gravity 20/20 and
// strength, kept as a second method and as a warning: brewing fits were made
// for wort below 25 % and go wrong at feeding strength.
type GravityFit struct {
	Name   string
	Source string
	Limit  units.Strength // where MaxErr still holds
	MaxErr float64        // °Bx against the density polynomial, 0…Limit
	coef   []float64
}

// GravityFits lists the fits that give strength from specific gravity 20/20,
// best first. Errors are as measured against [Density].
func GravityFits() []GravityFit {
	return []GravityFit{
		{"long cubic", "open brewing libraries, after CRC Handbook 69th ed.", 0.60, 0.11,
			[]float64{-669.5622, 1262.7794, -775.6821, 182.4601}},
		{"ASBC cubic", "ASBC Methods of Analysis, as in open brewing libraries", 0.40, 0.13,
			[]float64{-616.868, 1111.14, -630.272, 135.997}},
		{"short cubic", "Manning 1993, as in open brewing libraries", 0.70, 0.39,
			[]float64{-676.67, 1286.4, -800.47, 190.74}},
	}
}

// Strength gives the fit's strength for a specific gravity 20/20. Outside 0…
// Limit it is refused.
func (f GravityFit) Strength(sg float64) (units.Strength, error) {
	b := poly(sg, f.coef...)
	// Half a degree of slack: every fit is a little off at zero.
	if err := (span{"a strength", "%", -0.5, f.Limit.Brix() + 0.5}).check("syrup.GravityFit.Strength", b); err != nil {
		return 0, err
	}
	return units.Strength(max(b, 0) / 100), nil
}

// LincolnGravity gives specific gravity 20/20 by the brewers' hyperbola
// s = 1 + P/(258.6 − 227.1·P/258.2). Range 0…60 %, there within 0.0026; at
// 70 % it is 0.0054 (0.9 °Bx) off and refused.
func LincolnGravity(s units.Strength) (float64, error) {
	if err := strengths.to(60).check("syrup.LincolnGravity", s.Brix()); err != nil {
		return 0, err
	}
	p := s.Brix()
	return 1 + p/(258.6-227.1*p/258.2), nil
}

// CubicGravity gives specific gravity 20/20 by the cubic in °Bx of open
// brewing libraries. Range 0…60 %, there within 0.0020.
func CubicGravity(s units.Strength) (float64, error) {
	if err := strengths.to(60).check("syrup.CubicGravity", s.Brix()); err != nil {
		return 0, err
	}
	return poly(s.Brix(), 1.000019, 0.003865613, 1.296425e-5, 5.701128e-8), nil
}
