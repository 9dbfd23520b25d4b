package cli

import (
	"fmt"
	"math"
	"strings"

	"larder/internal/season"
	"larder/internal/units"
)

type rigHoseCmd struct {
	rigFrom
	Length      string   `placeholder:"75ft" help:"Length of the hose."`
	Bore        string   `placeholder:"5/8in" help:"True inside diameter."`
	Reel        string   `placeholder:"20in" help:"Diameter of the reel it stays on."`
	Rise        string   `placeholder:"2ft" help:"Nozzle above the syrup in the tank; --rise=-2ft below."`
	Fitting     []string `placeholder:"'elbow 2'" help:"Fittings beside the valve at the nozzle; again for each kind."`
	Suction     string   `placeholder:"3ft" help:"Hose from tank to pump."`
	SuctionBore string   `placeholder:"1in" help:"Its inside diameter."`
	Flooded     string   `placeholder:"1ft" help:"Syrup in the tank above the pump; --flooded=-1ft below."`
	Open        string   `placeholder:"5gal/min" help:"Pump: flow against nothing."`
	Shutoff     string   `placeholder:"60psi" help:"Pressure at which it gives nothing any more."`
	Off         string   `placeholder:"45psi" help:"Its switch stops it here."`
	On          string   `placeholder:"30psi" help:"And starts it here."`
	Volts       string   `placeholder:"12V" help:"Voltage at the pump while it runs."`
	Bucket      []string `placeholder:"'5gal in 96s'" help:"Bucket test: again for each pour; goes before the theory."`
	BucketAt    string   `placeholder:"60F" help:"Temperature of the syrup at the test."`

	Strength string   `placeholder:"2:1" help:"Strength of the syrup, by weight."`
	At       string   `placeholder:"60F" help:"Its temperature."`
	Fill     []string `placeholder:"3qt" help:"How long to fill this much; again for more."`
}

func (c *rigHoseCmd) flags() []flag {
	return []flag{{"length", "hose.length", c.Length}, {"bore", "hose.bore", c.Bore}, {"reel", "hose.reel", c.Reel}, {"rise", "hose.rise", c.Rise},
		{"fitting", "hose.fittings", strings.Join(c.Fitting, "; ")}, {"suction", "hose.suction", c.Suction}, {"suction-bore", "hose.suction_bore", c.SuctionBore},
		{"flooded", "hose.flooded", c.Flooded}, {"open", "pump.open", c.Open}, {"shutoff", "pump.shutoff", c.Shutoff}, {"off", "pump.off", c.Off},
		{"on", "pump.on", c.On}, {"volts", "pump.volts", c.Volts}, {"bucket", "pump.bucket", strings.Join(c.Bucket, "; ")}, {"bucket-at", "pump.bucket_at", c.BucketAt}}
}

type (
	hoseJSON struct {
		FlowLMin      float64            `json:"flow_l_min"`
		SDLMin        *float64           `json:"sd_l_min"`
		Regime        string             `json:"regime"`
		State         string             `json:"state"`
		Duty          float64            `json:"duty"`
		LossKPa       float64            `json:"loss_kpa"`
		HoseKPa       float64            `json:"hose_kpa"`
		FittingsKPa   float64            `json:"fittings_kpa"`
		LiftKPa       float64            `json:"lift_kpa"`
		PumpKPa       float64            `json:"pump_kpa"`
		SuctionKPa    *float64           `json:"suction_kpa"`
		Reynolds      float64            `json:"reynolds"`
		InHoseL       float64            `json:"in_hose_l"`
		TempC         float64            `json:"temp_c"`
		Brix          float64            `json:"brix"`
		ViscosityMPaS float64            `json:"viscosity_mpa_s"`
		DensityKgM3   float64            `json:"density_kg_m3"`
		Measured      bool               `json:"measured"`
		LagS          float64            `json:"lag_s"`
		ThickTimes    *float64           `json:"viscosity_times"`
		Feeders       []fillJSON         `json:"feeders"`
		WhatIf        []whatIfJSON       `json:"what_if"`
		Reasons       []season.ReasonDoc `json:"reasons"`
		Cautions      []season.ReasonDoc `json:"cautions"`
	}
	fillJSON struct {
		Feeder  string  `json:"feeder"`
		Hives   int     `json:"hives"`
		VolumeL float64 `json:"volume_l"`
		TimeS   float64 `json:"time_s"`
		SDS     float64 `json:"sd_s"`
	}
	whatIfJSON struct {
		Code     string  `json:"code"`
		Say      string  `json:"say"`
		FlowLMin float64 `json:"flow_l_min"`
		SDLMin   float64 `json:"sd_l_min"`
		Times    float64 `json:"times"`
	}
)

// Run works the flow at the nozzle out.
func (c *rigHoseCmd) Run(r *run) error {
	st, s, err := c.state(r, c.flags())
	if err != nil {
		return err
	}
	p := reading{l: r.locale()}
	ask := season.FlowAsk{Temp: told(&p, "--at", c.At)}
	for _, f := range c.Fill {
		ask.Fills = append(ask.Fills, get(&p, "--fill", f, units.ParseVolume))
	}
	if p.err != nil {
		return p.err
	}
	if ask.Strength, err = strengthFlag(r, c.Strength); err != nil {
		return err
	}
	f, err := st.PumpFlow(ask)
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(hoseDoc(&f, s))
	}
	printFlow(r, s, &f)
	return nil
}

func hoseDoc(f *season.PumpFlow, s units.Style) hoseJSON {
	kpa := func(p units.Pressure) float64 { return float64(p / units.Kilopascal) }
	j := hoseJSON{FlowLMin: float64(f.Flow) * 60, Regime: string(f.Regime), State: string(f.State), Duty: f.Duty,
		LossKPa: kpa(f.Loss.Total()), HoseKPa: kpa(f.Loss.Hose), FittingsKPa: kpa(f.Loss.Fittings), LiftKPa: kpa(f.Loss.Lift), PumpKPa: kpa(f.AtPump),
		Reynolds: f.Loss.Reynolds, InHoseL: f.InHose.L(), TempC: f.Temp.C(), Brix: f.Strength.Brix(), ViscosityMPaS: float64(f.Fluid.Viscosity),
		DensityKgM3: float64(f.Fluid.Density), Measured: f.Measured, LagS: float64(f.Lag), Feeders: []fillJSON{}, WhatIf: []whatIfJSON{},
		Reasons: season.Reasons(f.Reasons, s), Cautions: season.Reasons(f.Cautions, s)}
	if sd := float64(f.SD) * 60; f.SD > 0 && !math.IsInf(sd, 0) {
		j.SDLMin = &sd
	}
	if f.Setup.Suction.Bore > 0 && f.Described {
		x := kpa(f.Suction)
		j.SuctionKPa = &x
	}
	if f.Back != nil {
		j.ThickTimes = &f.Back.Factor
	}
	for _, x := range f.Feeders {
		j.Feeders = append(j.Feeders, fillJSON{x.Key, x.Hives, x.Volume.L(), float64(x.Time), float64(x.SD)})
	}
	for _, o := range f.WhatIf {
		j.WhatIf = append(j.WhatIf, whatIfJSON{o.Code, s.Say(o.Say, o.Amounts), float64(o.Delivery.Flow) * 60, float64(o.Delivery.SD) * 60, o.Times})
	}
	return j
}

func printFlow(r *run, s units.Style, f *season.PumpFlow) {
	how := "worked out"
	if f.Measured {
		how = "by your bucket test"
	}
	if f.Flow <= 0 {
		fmt.Fprintf(r.Out, "Nothing comes out of the nozzle: %s syrup at %s\n", s.Strength(f.Strength), s.Temp(f.Temp))
	} else {
		fmt.Fprintf(r.Out, "%s at the nozzle, %s: %s syrup at %s\n", s.FlowPM(f.Flow, f.SD), how, s.Strength(f.Strength), s.Temp(f.Temp))
	}
	fmt.Fprintln(r.Out)
	if f.Described {
		rowOf(r, "flow", string(f.Regime)+", pump "+string(f.State))
		rowOf(r, "hose takes", s.Pressure(f.Loss.Hose))
		rowOf(r, "valve and fittings", s.Pressure(f.Loss.Fittings))
		rowOf(r, "rise", s.Pressure(f.Loss.Lift))
		rowOf(r, "stands in the hose", s.VolumeTwo(f.InHose))
	}
	rowOf(r, "thickness", s.Viscosity(f.Fluid.Viscosity)+" (water is 1)")
	if f.Back != nil {
		rowOf(r, "by the test it flows as", s.Two(f.Back.Factor)+" times as thick")
	}
	if len(f.Feeders) > 0 {
		fmt.Fprintln(r.Out)
		t := newTable("feeder", ">hives", ">fill", ">time")
		for _, x := range f.Feeders {
			hives := ""
			if x.Hives > 0 {
				hives = fmt.Sprint(x.Hives)
			}
			if x.Key == "" {
				x.Name = "asked for"
			}
			t.row(x.Name, hives, s.Volume(x.Volume), s.SpanPM(x.Time, x.SD))
		}
		t.print(r.Out)
	}
	if len(f.WhatIf) > 0 {
		fmt.Fprintln(r.Out)
		t := newTable("what if", ">flow", ">times as much")
		for _, o := range f.WhatIf {
			t.row(s.Say(o.Say, o.Amounts), s.FlowPM(o.Delivery.Flow, o.Delivery.SD), s.Two(o.Times))
		}
		t.print(r.Out)
	}
	rigWords(r, s, f.Reasons, f.Cautions)
}
