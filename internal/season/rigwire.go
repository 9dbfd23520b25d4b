package season

import (
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/rig"
	"larder/internal/units"
)

// WireFuse is what a wire does between battery and pump.
type WireFuse struct {
	Current  units.Current
	Run      units.Length // one way
	As       *rig.Wiring  // the wire there is, nil = not told
	Best     rig.Wiring   // the thinnest that fits, sold by AWG
	BestMM   rig.Wiring   // and by mm²
	Sizes    []rig.Wiring // all sizes by AWG, thin before thick
	Energy   *rig.PumpEnergy
	Tank     units.Volume // that the energy is for
	TankAh   float64      // what one tank takes by current and time; 0 = not known
	Tanks    float64      // on one charge of the battery; 0 = not known
	Cautions []feeding.Reason
	Reasons  []feeding.Reason
}

// WireFuse judges the wire to the pump and chooses wire and fuse: copper at 75
// °C, as in a run in the sun. The fuse protects the wire and is never above what
// the wire may carry; where none fits, a thicker wire is asked for. The length
// not told is fault.Missing; what our tables do not hold is fault.NotKnownHere.
func (st *State) WireFuse() (WireFuse, error) {
	s := &st.Settings
	figs, _ := s.FigureSet()
	r := &s.Rig
	out := WireFuse{Current: r.Pump.Current, Run: r.WireRun}
	if out.Run == 0 {
		return out, missing("wire.run", "how far the pump is from the battery has not been told", "the length of wire, one way")
	}
	if out.Current == 0 {
		out.Current = units.Current(figs.V(rig.KeyPumpAmps))
		out.Reasons = append(out.Reasons, rigReason("amps-taken", "the pump's current is not told: {0} is taken, read its plate", out.Current))
	}
	if r.WirePlace.Insulation == 0 {
		out.Reasons = append(out.Reasons, rigReason("insulation-taken", "what the insulation stands is not told: 60 °C is taken, the least"))
	}
	run := rig.Run{Current: out.Current, OneWay: out.Run, Volts: r.orVolts(), Copper: rig.HotCopper, Place: r.WirePlace}
	var err error
	if !r.Wire.IsZero() {
		w, err := run.With(r.Wire, figs)
		if err != nil {
			return out, err
		}
		out.As = &w
	}
	kind := rig.Stranded
	if r.Wire.Kind == rig.Primary {
		kind = rig.Primary
	}
	if out.Best, err = run.Choose(kind, figs); err != nil {
		return out, err
	}
	if out.BestMM, err = run.Choose(rig.Flexible, figs); err != nil {
		return out, err
	}
	for _, w := range rig.Sizes(kind) {
		x, err := run.With(w, figs)
		if err != nil {
			return out, err
		}
		out.Sizes = append(out.Sizes, x)
	}
	watch := out.Best.Cautions
	if out.As != nil {
		watch = out.As.Cautions
	}
	out.Cautions = cautioned(watch)
	return out, out.energy(st)
}

// energy adds what pumping one tank takes from the battery, where tank and flow
// are known.
func (w *WireFuse) energy(st *State) error {
	figs, _ := st.Settings.FigureSet()
	if w.Tank = st.Settings.TankUsable(); w.Tank == 0 {
		return nil
	}
	f, err := st.PumpFlow(FlowAsk{})
	if fault.Is(err, fault.Missing) || fault.Is(err, fault.NotKnownHere) || err == nil && f.Flow <= 0 {
		return nil
	}
	if err != nil {
		return err
	}
	if w.TankAh, err = rig.AmpHours(w.Current, w.Tank, f.Flow); err != nil {
		return err
	}
	if f.AtPump > 0 {
		e, err := rig.EnergyFor(w.Tank, f.AtPump, st.Settings.Rig.orVolts(), figs)
		if err != nil {
			return err
		}
		w.Energy = &e
	}
	if ah := st.Settings.Rig.BatteryAh; ah > 0 {
		w.Tanks, err = rig.TanksPerCharge(ah, w.TankAh, figs)
	}
	return err
}
