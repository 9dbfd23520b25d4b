package cli

import (
	"fmt"

	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

type correctCmd struct {
	Have  string `required:"" placeholder:"150L" help:"Syrup in hand."`
	Reads string `required:"" placeholder:"64%" help:"Its strength, as read."`
	Want  string `required:"" placeholder:"66.7%" help:"Strength wanted: percent or ratio by weight."`
	At    string `placeholder:"35C" help:"Temperature of the batch when its volume was read (20 °C)."`
	Meter string `enum:"known,plain,atc" default:"known" help:"Read with: a plain refractometer, one that corrects itself (atc), or known."`
	Final string `placeholder:"160L" help:"Volume wanted in the end."`
}

type correctJSON struct {
	Brix       float64       `json:"brix"`
	AddSugarKg float64       `json:"add_sugar_kg"`
	AddWaterL  float64       `json:"add_water_l"`
	FinalL     float64       `json:"final_l"`
	FinalKg    float64       `json:"final_kg"`
	WarmToC    *float64      `json:"warm_to_c,omitempty"`
	Warnings   []warningJSON `json:"warnings"`
}

// Run works out what to add to a batch.
func (c *correctCmd) Run(r *run) error {
	p := reading{l: r.locale()}
	req := syrup.CorrectRequest{
		Have:    get(&p, "--have", c.Have, units.ParseVolume),
		Reads:   get(&p, "--reads", c.Reads, units.ParseStrength),
		Want:    get(&p, "--want", c.Want, units.ParseStrength),
		Final:   get(&p, "--final", c.Final, units.ParseVolume),
		At:      told(&p, "--at", c.At),
		Figures: season.DefaultFigures(),
	}
	if p.err != nil {
		return p.err
	}
	switch c.Meter {
	case "plain":
		req.Meter = syrup.Refractometer
	case "atc":
		req.Meter = syrup.ATC
	}
	x, err := syrup.Correct(req)
	if err != nil {
		return err
	}
	s := r.style(units.Style{})
	if r.JSON {
		j := correctJSON{Brix: x.Strength.Brix(), AddSugarKg: x.AddSugar.Kg(), AddWaterL: x.AddWater.L(), FinalL: x.Final.L(), FinalKg: x.FinalMass.Kg(), Warnings: warnings(x.Warnings, s)}
		if x.WarmTo.Told {
			t := x.WarmTo.Q.C()
			j.WarmToC = &t
		}
		return r.printJSON(j)
	}
	switch {
	case x.AddSugar > 0 && x.AddWater > 0:
		fmt.Fprintf(r.Out, "add %s of sugar and %s of water", s.MassSmall(x.AddSugar), s.Volume(x.AddWater))
	case x.AddSugar > 0:
		fmt.Fprintf(r.Out, "add %s of sugar", s.MassSmall(x.AddSugar))
	case x.AddWater > 0:
		fmt.Fprintf(r.Out, "add %s of water", s.Volume(x.AddWater))
	default:
		fmt.Fprint(r.Out, "add nothing: it is right")
	}
	fmt.Fprintf(r.Out, "; that makes %s (it is %s now)\n", s.Volume(x.Final), s.Strength(x.Strength))
	for _, w := range x.Warnings {
		para(r.Out, "  ! ", s.Say(w.Say, w.Amounts))
	}
	return nil
}
