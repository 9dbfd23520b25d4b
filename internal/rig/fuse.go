package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// fuses are the standard sizes.
var fuses = [...]units.Current{5, 7.5, 10, 15, 20, 25, 30, 35, 40}

// Fuse gives the smallest standard fuse that carries the current for good
// (1.25 times, figure rig.fuse_factor) and is not above the wire's ampacity. The fuse protects the
// wire: where none fits, the wire is too thin, and that is [fault.Unsafe].
func Fuse(current, ampacity units.Current, fig figure.Set) (units.Current, error) {
	const op = "rig.Fuse"
	if err := firstErr(positive(op, "the current", float64(current)), positive(op, "the wire's ampacity", float64(ampacity))); err != nil {
		return 0, err
	}
	need := current * units.Current(or(fig).V(KeyFuseFactor))
	for _, f := range fuses {
		if f < need {
			continue
		}
		if f > ampacity {
			return 0, trouble(fault.Unsafe, op, "a fuse of %g A would be above the %g A the wire may carry", float64(f), float64(ampacity)).WithHint("take a thicker wire, never a bigger fuse")
		}
		return f, nil
	}
	return 0, trouble(fault.NotKnownHere, op, "%g A needs more than the biggest blade fuse, %g A", float64(current), float64(fuses[len(fuses)-1])).WithHint("ask who wires trucks")
}

// BoatFuseLimit is the legal outer limit of a fuse on boats, 150 % of the
// ampacity: 33 CFR 183.455(c). A truck should keep to 100 %; see [Fuse].
func BoatFuseLimit(ampacity units.Current) units.Current { return 1.5 * ampacity }

// MilsNeeded gives the circular mils that keep a voltage drop: K·I·L/E with
// K = 10.75, L the feet of wire out and back, E the volts allowed. Source:
// ABYC E-11, as reproduced.
func MilsNeeded(current units.Current, loop units.Length, drop units.Voltage) (float64, error) {
	const op = "rig.MilsNeeded"
	if err := firstErr(positive(op, "the current", float64(current)), positive(op, "the length of wire", float64(loop)), positive(op, "the voltage drop", float64(drop))); err != nil {
		return 0, err
	}
	return 10.75 * float64(current) * float64(loop/units.Foot) / float64(drop), nil
}

// SizeForMils gives the thinnest primary wire with at least that much copper.
func SizeForMils(mils float64) (Wire, error) {
	for _, r := range gauges {
		if r.mils >= mils {
			return Wire{AWG: r.awg, Kind: Primary}, nil
		}
	}
	return Wire{}, trouble(fault.NotKnownHere, "rig.SizeForMils", "that is thicker than our table goes, 2 AWG").WithHint("shorten the way: a second battery at the pump")
}

// Run is one circuit from the battery to the pump.
type Run struct {
	Current units.Current
	OneWay  units.Length  // from the battery to the pump; the way back is counted by us
	Volts   units.Voltage // of the battery; 0 = 12 V
	Copper  units.Temp    // how warm the copper gets; see HotCopper
	Place   Place
}

// HotCopper is the copper temperature of NEC chapter 9 table 8, for a run in
// the sun under load; 20 °C is what IEC tables are for.
const HotCopper units.Temp = 75

// Wiring is what a wire does on a run.
type Wiring struct {
	Wire     Wire
	Drop     units.Voltage
	Part     float64 // of the battery's voltage
	Ampacity units.Current
	Fuse     units.Current // 0 where none may be put in
	Fits     bool          // drop within the figure rig.drop_max, and a fuse
	Cautions []Caution
}

func (r Run) check(op string) (Run, error) {
	if r.Volts == 0 {
		r.Volts = 12
	}
	return r, firstErr(positive(op, "the current", float64(r.Current)), positive(op, "the way to the pump", float64(r.OneWay)), positive(op, "the voltage", float64(r.Volts)))
}

// With judges one wire on the run: ΔU = I·R'·2·OneWay. A wire on which no fuse
// may be put, or which drops more than the figure rig.drop_stop, is reported
// with Fits false and why.
func (r Run) With(w Wire, fig figure.Set) (Wiring, error) {
	const op = "rig.Run.With"
	fig = or(fig)
	r, err := r.check(op)
	if err != nil {
		return Wiring{}, err
	}
	ohm, err := w.Resistance(r.Copper)
	if err != nil {
		return Wiring{}, err
	}
	out := Wiring{Wire: w, Drop: units.Voltage(float64(r.Current) * ohm * 2 * float64(r.OneWay))}
	out.Part = float64(out.Drop / r.Volts)
	if out.Ampacity, err = w.Ampacity(r.Place); err != nil {
		return Wiring{}, err
	}
	out.Fuse, err = Fuse(r.Current, out.Ampacity, fig)
	switch {
	case fault.Is(err, fault.Unsafe):
		out.Cautions = append(out.Cautions, caution("wire-too-thin", "This wire may carry {0}: too thin for any fuse the pump would not blow. A thicker wire, never a bigger fuse", out.Ampacity))
	case err != nil:
		return Wiring{}, err
	}
	switch {
	case out.Part > fig.V(KeyDropStop):
		out.Cautions = append(out.Cautions, caution("drop-stop", "{0} % of the voltage is lost on the way: do not run the pump on it", percent(out.Part)))
	case out.Part > fig.V(KeyDropMax):
		out.Cautions = append(out.Cautions, caution("drop-high", "{0} % of the voltage is lost on the way, and as much of the flow", percent(out.Part)))
	}
	out.Fits = out.Fuse > 0 && out.Part <= fig.V(KeyDropMax)
	out.Cautions = append(out.Cautions, r.cautions(fig)...)
	return out, nil
}

func percent(x float64) float64 { return math.Round(x*1000) / 10 }

// Choose gives the thinnest wire of a kind that fits the run, or, where none
// does, the thickest one with Fits false.
func (r Run) Choose(k WireKind, fig figure.Set) (Wiring, error) {
	var last Wiring
	for _, w := range Sizes(k) {
		x, err := r.With(w, fig)
		if err != nil {
			return Wiring{}, err
		}
		if last = x; x.Fits {
			break
		}
	}
	return last, nil
}

func (r Run) cautions(fig figure.Set) []Caution {
	return []Caution{
		caution("fuse-at-battery", "Fuse at the battery, within a hand's length ({0}) of the post, sized for the wire", units.Length(0.175)),
		caution("fuse-at-pump", "A second fuse of the pump's own rating at the pump: stalled it draws about {0}", r.Current*units.Current(fig.V(KeyStallAmps))),
		caution("isolate", "Disconnect before you touch the terminals. 12 V is safe to touch, its fault current sets fire"),
		caution("no-hitch-return", "Run the return wire all the way: no return through hitch or chassis. Grommets through metal"),
		caution("tinned", "Syrup bridges and eats terminals: tinned wire, sealed lugs"),
		caution("battery-gas", "Batteries give off gas that burns: no spark, air in"),
	}
}

// PumpEnergy is what pumping a volume takes from the battery.
type PumpEnergy struct {
	Energy   units.Energy
	SD       units.Energy
	AmpHours float64
}

// EnergyFor gives the energy to pump v against p: W = p·V/η, with the pump's
// overall efficiency (figure rig.pump_efficiency) and battery voltage (0 = 12 V).
func EnergyFor(v units.Volume, p units.Pressure, volts units.Voltage, fig figure.Set) (PumpEnergy, error) {
	const op = "rig.EnergyFor"
	if volts == 0 {
		volts = 12
	}
	if err := firstErr(amount(op, "the volume", float64(v)), amount(op, "the pressure", float64(p)), positive(op, "the voltage", float64(volts))); err != nil {
		return PumpEnergy{}, err
	}
	fig = or(fig)
	eta := fig.V(KeyPumpEfficiency)
	w := float64(p) * float64(v) / 1000 / eta
	return PumpEnergy{Energy: units.Energy(w), SD: units.Energy(w * fig.SD(KeyPumpEfficiency) / eta), AmpHours: w / 3600 / float64(volts)}, nil
}

// AmpHours gives I·t for a volume at a flow.
func AmpHours(current units.Current, v units.Volume, q units.Flow) (float64, error) {
	const op = "rig.AmpHours"
	if err := firstErr(positive(op, "the current", float64(current)), amount(op, "the volume", float64(v)), positive(op, "the flow", float64(q))); err != nil {
		return 0, err
	}
	return float64(current) * float64(v) / float64(q) / 3600, nil
}

// TanksPerCharge gives how many such tanks a battery pumps at the depth of
// discharge it should not go below (figure rig.battery_depth).
func TanksPerCharge(batteryAh, tankAh float64, fig figure.Set) (float64, error) {
	const op = "rig.TanksPerCharge"
	if err := firstErr(positive(op, "the battery", batteryAh), positive(op, "what a tank takes", tankAh)); err != nil {
		return 0, err
	}
	return batteryAh * or(fig).V(KeyBatteryDepth) / tankAh, nil
}

// Connector is a trailer or truck socket one might be tempted to run the pump
// from.
type Connector struct {
	Key, Name string
	Most      units.Current
	Say       string
	Source    string
}

// Connectors lists what is known of such sockets; the vehicle's own fuse box
// governs.
func Connectors() []Connector {
	return []Connector{
		{"13-pin", "ISO 11446, contacts 9 and 10", 20, "Charge line 20 A at most; do not join the returns 3, 11 and 13 on the trailer", "manufacturer's glossary"},
		{"7-pin", "ISO 1724/3732", 15, "Contacts are 1.5 to 2.5 mm²", "from memory"},
		{"7-way", "US 7-way blade, auxiliary", 20, "20 to 30 A on 10 to 12 AWG: read the fuse box, never assume", srcNone},
	}
}

// Keys of the electric figures.
const (
	KeyDropMax        = "rig.drop_max"
	KeyDropStop       = "rig.drop_stop"
	KeyFuseFactor     = "rig.fuse_factor"
	KeyStallAmps      = "rig.stall_times"
	KeyPumpEfficiency = "rig.pump_efficiency"
	KeyBatteryDepth   = "rig.battery_depth"
)

func wireFigures() []figure.Figure {
	return []figure.Figure{
		practice(KeyDropMax, "voltage drop to plan for", 0.05, 0.03, 0.10, 0, "fraction", "3 % is the boat rule for what must work, 10 % for the rest (ABYC E-11, as reproduced)"),
		{Key: KeyDropStop, Name: "voltage drop at which to stop", Value: 0.10, Low: 0.03, High: 0.10, Unit: "fraction", Grade: figure.Trade, Source: "ABYC E-11, as reproduced"},
		{Key: KeyFuseFactor, Name: "fuse against running current", Value: 1.25, Low: 1.1, High: 1.5, Unit: "times", Grade: figure.Practice, Source: srcNone, Note: "the smallest standard fuse above it, never above the wire's ampacity"},
		practice(KeyStallAmps, "current of a stalled or starting motor", 4.5, 3, 6, 0.75, "times", ""),
		practice(KeyPumpEfficiency, "efficiency of a 12 V pump, all in all", 0.35, 0.25, 0.45, 0.05, "fraction", ""),
		practice(KeyBatteryDepth, "how far to draw a lead-acid battery down", 0.5, 0.3, 0.8, 0, "fraction", ""),
	}
}
