package rig

import (
	"math"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// WireKind is how a wire is made and sold; that decides how much copper is in
// it.
type WireKind string

// The kinds. The zero WireKind is Stranded for AWG and Flexible for mm².
const (
	Stranded WireKind = "stranded" // true AWG, 7 strands
	Solid    WireKind = "solid"    // true AWG, one strand
	Primary  WireKind = "primary"  // automotive wire sold by AWG: less copper than its number says
	Flexible WireKind = "flexible" // mm², class 5
)

// Wire is a size of copper wire: by AWG number or by mm². The zero Wire is not
// told.
type Wire struct {
	AWG  int     // 18 … 2, even numbers; counts where MM2 is 0
	MM2  float64 // 1 … 25
	Kind WireKind
}

func (w Wire) metric() bool { return w.MM2 > 0 }

// IsZero tells whether no size was told.
func (w Wire) IsZero() bool { return w.MM2 == 0 && w.AWG == 0 }

// String gives "10 AWG" or "6 mm²".
func (w Wire) String() string {
	if w.metric() {
		return strconv.FormatFloat(w.MM2, 'f', -1, 64) + " mm²"
	}
	s := strconv.Itoa(w.AWG) + " AWG"
	if w.Kind == Primary || w.Kind == Solid {
		s += " " + string(w.Kind)
	}
	return s
}

// ParseWire reads a wire size: "10AWG", "10 AWG primary", "6mm2", "2,5 mm²".
// A bare number is asked about: 6 AWG is twice as thick as 6 mm².
func ParseWire(s string) (Wire, error) {
	const op = "rig.ParseWire"
	t := strings.ToLower(strings.TrimSpace(s))
	bad := func(say string, args ...any) (Wire, error) {
		return Wire{}, trouble(fault.NotUnderstood, op, say, args...).WithHint("write 10 AWG or 6 mm²")
	}
	if len(t) > 40 {
		return bad("that is too long to be a size of wire")
	}
	i := 0
	for i < len(t) && (t[i] >= '0' && t[i] <= '9' || t[i] == '.' || t[i] == ',') {
		i++
	}
	n, err := strconv.ParseFloat(strings.Replace(t[:i], ",", ".", 1), 64)
	unit := strings.Fields(t[i:])
	switch {
	case err != nil:
		return bad("%q is not a size of wire", s)
	case len(unit) == 0:
		return bad("%q may be AWG or mm²: they are not the same", s)
	}
	w := Wire{}
	switch unit[0] {
	case "awg", "ga", "gauge":
		if n != math.Trunc(n) {
			return bad("%q is not a size of wire", s)
		}
		w.AWG = int(n)
	case "mm2", "mm²", "sqmm", "qmm":
		w.MM2 = n
	default:
		return bad("%q is not a size of wire", s)
	}
	switch {
	case len(unit) == 1:
	case len(unit) == 2 && !w.metric() && (unit[1] == string(Primary) || unit[1] == string(Solid) || unit[1] == string(Stranded)):
		w.Kind = WireKind(unit[1])
	default:
		return bad("%q is not a size of wire", s)
	}
	if w.Kind == Stranded {
		w.Kind = ""
	}
	_, err = w.row()
	return w, err
}

// gauge is one printed size.
type gauge struct {
	awg               int
	solid, strand     float64 // Ω per 1000 ft at 75 °C, DC, uncoated; 0 not printed
	mils              float64 // least circular mils of primary and boat cable
	a60, a75, a80     float64 // A, by the insulation's temperature
	a90, a105         float64
	mm2               float64 // the metric size at least as thick
	ohmKm, ohmKmTinne float64 // Ω/km at 20 °C of that metric size, class 5, plain and tinned
}

// gauges, thick after thin. Sources: resistance NEC chapter 9 table 8; mils
// SAE J1128 and boat cable minima; ampacity, one conductor in free air at
// 30 °C, 33 CFR 183.425 table 5; metric sizes IEC 60228 class 5. All but the
// ampacity seen as reproductions only.
var gauges = [...]gauge{
	{18, 7.77, 7.95, 1537, 10, 10, 15, 20, 20, 1, 19.5, 0},
	{16, 4.89, 4.99, 2336, 15, 15, 20, 25, 25, 1.5, 13.3, 13.7},
	{14, 3.07, 3.14, 3702, 20, 20, 25, 30, 35, 2.5, 7.98, 8.21},
	{12, 1.93, 1.98, 5833, 25, 25, 35, 40, 45, 4, 4.95, 5.09},
	{10, 1.21, 1.24, 9343, 40, 40, 50, 55, 60, 6, 3.30, 3.39},
	{8, 0.764, 0.778, 14810, 55, 65, 70, 70, 80, 10, 1.91, 1.95},
	{6, 0, 0.491, 24538, 80, 95, 100, 100, 120, 16, 1.21, 0},
	{4, 0, 0.308, 37360, 105, 125, 130, 135, 160, 25, 0.780, 0},
	{2, 0, 0.194, 62450, 0, 0, 0, 0, 0, 0, 0, 0},
}

// row finds the printed size of w.
func (w Wire) row() (gauge, error) {
	const op = "rig.Wire"
	for _, r := range gauges {
		if w.metric() && r.mm2 == w.MM2 || !w.metric() && r.awg == w.AWG {
			return r, nil
		}
	}
	if w.IsZero() {
		return gauge{}, trouble(fault.Missing, op, "the wire has not been told").WithHint("read it off the wire: 10 AWG, 6 mm²")
	}
	return gauge{}, trouble(fault.NotKnownHere, op, "%s is no size our tables hold", w).
		WithHint("AWG 18, 16 … 2, or 1, 1.5, 2.5, 4, 6, 10, 16, 25 mm²")
}

// Copper: resistivity 17.241 nΩ·m at 20 °C (IACS), 0.00393 per K.
const (
	copperRho   = 17.241e-9
	copperAlpha = 0.00393
	feetPerKm   = 1000 / 0.3048
)

// AWGDiameter gives the diameter of solid copper wire of a gauge, 0.127·92^((36−n)/39)
// mm, for n from 0 to 36. Source: ASTM B258.
func AWGDiameter(n int) (units.Length, error) {
	if err := covered("rig.AWGDiameter", "a gauge", "AWG", float64(n), 0, 36); err != nil {
		return 0, err
	}
	return units.Length(0.127e-3 * math.Pow(92, float64(36-n)/39)), nil
}

// CircularMils gives the copper of a diameter: (inches × 1000)².
func CircularMils(d units.Length) float64 { return sq(float64(d/units.Inch) * 1000) }

// ohmsPerMetre is the resistance of copper of an area in m² at t:
// ρ/A · [1 + 0.00393·(t − 20)].
func ohmsPerMetre(area float64, t units.Temp) float64 {
	return copperRho / area * (1 + copperAlpha*(float64(t)-20))
}

// Resistance gives Ω per metre of one conductor at a copper temperature from
// −40 to 105 °C. True AWG from NEC chapter 9 table 8 (75 °C), primary wire from
// its least circular mils, mm² from IEC 60228 class 5 (20 °C).
func (w Wire) Resistance(t units.Temp) (float64, error) {
	const op = "rig.Wire.Resistance"
	r, err := w.row()
	if err := firstErr(err, covered(op, "a temperature", "°C", float64(t), -40, 105)); err != nil {
		return 0, err
	}
	hot := 1 + copperAlpha*(float64(t)-20)
	switch {
	case w.metric():
		return r.ohmKm / 1000 * hot, nil
	case w.Kind == Primary:
		return ohmsPerMetre(r.mils*math.Pi/4*sq(float64(units.Inch)/1000), t), nil
	case w.Kind == Solid && r.solid == 0:
		return 0, trouble(fault.NotKnownHere, op, "%s is not printed as one strand", w).WithHint("use stranded wire on a truck")
	case w.Kind == Solid:
		return r.solid * feetPerKm / 1e6 * hot / (1 + copperAlpha*55), nil
	}
	return r.strand * feetPerKm / 1e6 * hot / (1 + copperAlpha*55), nil
}

// Place is how a wire is laid, which decides what it may carry.
type Place struct {
	// Insulation is what its insulation stands, 60, 75, 80, 90 or 105 °C; 0 is
	// not told and counts as 60, the least.
	Insulation units.Temp
	Engine     bool // in the engine space
	Bundle     int  // carrying wires that lie together, itself counted; 0 and 1 alone
}

// Ampacity gives the most a wire may carry for good. Source: 33 CFR 183.425,
// table 5, free air at 30 °C; engine space × 0.85 is known for 105 °C
// insulation only; bundles × 0.70 (up to 3), 0.60 (4–6), 0.50 (7–24).
//
// For mm² no table was seen: the value is that of the thickest AWG size that is
// not thicker, which is on the safe side.
func (w Wire) Ampacity(p Place) (units.Current, error) {
	const op = "rig.Wire.Ampacity"
	r, err := w.row()
	if err != nil {
		return 0, err
	}
	var a float64
	switch p.Insulation {
	case 0, 60:
		a = r.a60
	case 75:
		a = r.a75
	case 80:
		a = r.a80
	case 90:
		a = r.a90
	case 105:
		a = r.a105
	default:
		return 0, trouble(fault.NotKnownHere, op, "insulation for %v °C is not in the table", float64(p.Insulation)).WithHint("60, 75, 80, 90 or 105 °C; it is printed on the wire")
	}
	if a == 0 {
		return 0, trouble(fault.NotKnownHere, op, "the table ends before %s", w).WithHint("ask who wires trucks")
	}
	if p.Engine {
		if p.Insulation != 105 {
			return 0, trouble(fault.NotKnownHere, op, "in the engine space we know only wire for 105 °C").WithHint("use wire marked 105 °C there")
		}
		a *= 0.85
	}
	k, err := bundled(op, p.Bundle)
	return units.Current(a * k), err
}

func bundled(op string, n int) (float64, error) {
	switch {
	case n < 0 || n > 24:
		return 0, trouble(fault.NotKnownHere, op, "a bundle of %d wires is not in the table", n).WithHint("up to 24")
	case n <= 1:
		return 1, nil
	case n <= 3:
		return 0.70, nil
	case n <= 6:
		return 0.60, nil
	}
	return 0.50, nil
}

// Sizes lists the sizes of a kind, thin before thick, as far as ampacity is
// known.
func Sizes(k WireKind) []Wire {
	var out []Wire
	for _, r := range gauges {
		if r.a60 == 0 {
			continue
		}
		if k == Flexible {
			out = append(out, Wire{MM2: r.mm2, Kind: k})
		} else {
			out = append(out, Wire{AWG: r.awg, Kind: k})
		}
	}
	return out
}
