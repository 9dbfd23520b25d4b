package cli

import (
	"fmt"

	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/units"
)

type rigWireCmd struct {
	rigFrom
	Amps       string `placeholder:"10A" help:"Current of the pump."`
	Run_       string `name:"run" placeholder:"18ft" help:"Wire from the battery to the pump, one way."`
	Wire       string `placeholder:"10AWG|6mm2" help:"The wire there is."`
	Insulation string `placeholder:"105C" help:"What its insulation stands, as printed on it."`
	Bundle     string `placeholder:"2" help:"Loaded wires that lie together."`
	Engine     bool   `help:"It runs through the engine space."`
	Volts      string `placeholder:"12V" help:"Voltage of the battery."`
}

type (
	wireJSON struct {
		DropV     float64            `json:"drop_v"`
		DropPct   float64            `json:"drop_pct"`
		FuseA     *float64           `json:"fuse_a"`
		Wire      string             `json:"wire"`
		AmpacityA float64            `json:"ampacity_a"`
		Fits      bool               `json:"fits"`
		CurrentA  float64            `json:"current_a"`
		RunM      float64            `json:"run_m"`
		Best      *oneWireJSON       `json:"best"`
		BestMM2   *oneWireJSON       `json:"best_mm2"`
		Sizes     []oneWireJSON      `json:"sizes"`
		TankL     *float64           `json:"tank_l"`
		TankAh    *float64           `json:"tank_ah"`
		TankWh    *float64           `json:"tank_wh"`
		Tanks     *float64           `json:"tanks_per_charge"`
		Reasons   []season.ReasonDoc `json:"reasons"`
		Cautions  []season.ReasonDoc `json:"cautions"`
	}
	oneWireJSON struct {
		Wire      string   `json:"wire"`
		DropV     float64  `json:"drop_v"`
		DropPct   float64  `json:"drop_pct"`
		AmpacityA float64  `json:"ampacity_a"`
		FuseA     *float64 `json:"fuse_a"`
		Fits      bool     `json:"fits"`
	}
)

// Run chooses wire and fuse.
func (c *rigWireCmd) Run(r *run) error {
	engine := ""
	if c.Engine {
		engine = "yes"
	}
	st, s, err := c.state(r, []flag{{"amps", "pump.amps", c.Amps}, {"run", "wire.run", c.Run_}, {"wire", "wire.size", c.Wire}, {"insulation", "wire.insulation", c.Insulation},
		{"bundle", "wire.bundle", c.Bundle}, {"engine", "wire.engine", engine}, {"volts", "pump.volts", c.Volts}})
	if err != nil {
		return err
	}
	w, err := st.WireFuse()
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(wireDoc(&w, s))
	}
	printWire(r, s, &w)
	return nil
}

func oneWire(w *rig.Wiring) oneWireJSON {
	j := oneWireJSON{Wire: w.Wire.String(), DropV: float64(w.Drop), DropPct: w.Part * 100, AmpacityA: float64(w.Ampacity), Fits: w.Fits}
	if w.Fuse > 0 {
		f := float64(w.Fuse)
		j.FuseA = &f
	}
	return j
}

func wireDoc(w *season.WireFuse, s units.Style) wireJSON {
	as := w.As
	if as == nil {
		as = &w.Best
	}
	o := oneWire(as)
	j := wireJSON{DropV: o.DropV, DropPct: o.DropPct, FuseA: o.FuseA, Wire: o.Wire, AmpacityA: o.AmpacityA, Fits: o.Fits, CurrentA: float64(w.Current), RunM: float64(w.Run),
		Reasons: season.Reasons(w.Reasons, s), Cautions: season.Reasons(w.Cautions, s)}
	if w.Best.Fits {
		b := oneWire(&w.Best)
		j.Best = &b
	}
	if w.BestMM.Fits {
		b := oneWire(&w.BestMM)
		j.BestMM2 = &b
	}
	for i := range w.Sizes {
		j.Sizes = append(j.Sizes, oneWire(&w.Sizes[i]))
	}
	if w.TankAh > 0 {
		l := w.Tank.L()
		j.TankL, j.TankAh = &l, &w.TankAh
	}
	if w.Energy != nil {
		wh := float64(w.Energy.Energy) / 3600
		j.TankWh = &wh
	}
	if w.Tanks > 0 {
		j.Tanks = &w.Tanks
	}
	return j
}

func printWire(r *run, s units.Style, w *season.WireFuse) {
	one := func(x *rig.Wiring) string {
		fuse := "no fuse fits it"
		if x.Fuse > 0 {
			fuse = "fuse " + s.Current(x.Fuse)
		}
		return fmt.Sprintf("%s: loses %s V, %s %%; carries %s; %s", x.Wire, s.Two(float64(x.Drop)), s.Two(x.Part*100), s.Current(x.Ampacity), fuse)
	}
	fmt.Fprintf(r.Out, "%s to a pump %s from the battery\n\n", s.Current(w.Current), s.Length(w.Run))
	if w.As != nil {
		rowOf(r, "the wire there is", one(w.As))
	}
	best := func(what string, x *rig.Wiring) {
		if x.Fits {
			rowOf(r, what, one(x))
		} else {
			rowOf(r, what, "none is thick enough: a second battery at the pump")
		}
	}
	best("thinnest that fits", &w.Best)
	best("by mm²", &w.BestMM)
	if w.TankAh > 0 {
		rowOf(r, "a tank of "+s.VolumeBig(w.Tank), s.Two(w.TankAh)+" Ah")
	}
	if w.Tanks > 0 {
		rowOf(r, "tanks on one charge", s.Two(w.Tanks))
	}
	rigWords(r, s, w.Reasons, w.Cautions)
}
