package cli

import (
	"fmt"
	"strings"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

type mixCmds struct {
	Make    mixCmd     `cmd:"" default:"withargs" help:"Sugar and water for a batch."`
	Correct correctCmd `cmd:"" help:"Bring a batch in hand to the strength wanted."`
}

type mixCmd struct {
	Strength string `required:"" placeholder:"2:1|66.7%" help:"Sugar to water, or percent of sugar by weight."`
	By       string `enum:"weight,volume,said" default:"said" help:"What a ratio is counted by: weight or volume (said: as typed, else by weight)."`
	Make     string `placeholder:"40gal" help:"Syrup wanted."`
	Sugar    string `placeholder:"200lb" help:"Or: sugar in hand."`
	At       string `placeholder:"20C" help:"Temperature the syrup is measured at (20 °C)."`
	Bulk     string `placeholder:"0.85kg/L" help:"Loose weight of your sugar, if you weighed a measure (for ratios by volume)."`
	Low      string `placeholder:"5C" help:"Coldest it will stand at before it is fed."`
	Water    string `name:"water-at" placeholder:"60C" help:"Temperature of the water, to know that of the mix."`
	SugarAt  string `name:"sugar-at" placeholder:"15C" help:"Temperature of the sugar (15 °C)."`
}

// mixJSON is the answer of `larder mix`, in SI. Keys are documented in the
// manual, "Commands".
type mixJSON struct {
	Brix            float64       `json:"brix"`
	BrixLow         float64       `json:"brix_low"`
	BrixHigh        float64       `json:"brix_high"`
	AtC             float64       `json:"at_c"`
	DensityKgM3     float64       `json:"density_kg_m3"`
	SyrupL          float64       `json:"syrup_l"`
	SyrupKg         float64       `json:"syrup_kg"`
	SugarKg         float64       `json:"sugar_kg"`
	WaterL          float64       `json:"water_l"`
	WaterKg         float64       `json:"water_kg"`
	ViscosityMPaS   *float64      `json:"viscosity_mpa_s"`
	CrystalC        *float64      `json:"crystal_c"`
	CrystalSDC      float64       `json:"crystal_sd_c,omitempty"`
	Supersaturation float64       `json:"supersaturation"`
	MixC            *float64      `json:"mix_c,omitempty"`
	Warnings        []warningJSON `json:"warnings"`
}

type warningJSON struct {
	Code string `json:"code"`
	Say  string `json:"say"`
}

func warnings(ws []syrup.Warning, s units.Style) []warningJSON {
	out := make([]warningJSON, 0, len(ws))
	for _, w := range ws {
		out = append(out, warningJSON{w.Code, s.Say(w.Say, w.Amounts)})
	}
	return out
}

// orNull gives nil, JSON null, for what is not known.
func orNull(e figure.Estimate) *float64 {
	if !e.Known {
		return nil
	}
	return &e.Mean
}

// Run works out a batch.
func (c *mixCmd) Run(r *run) error {
	figs := season.DefaultFigures()
	req, err := c.request(r, figs)
	if err != nil {
		return err
	}
	m, err := syrup.Mix(req)
	if err != nil {
		return err
	}
	s := r.style(units.Style{})
	if r.JSON {
		return r.printJSON(mixed{m}.json(s))
	}
	mixed{m}.print(r, s)
	return nil
}

func (c *mixCmd) request(r *run, figs figure.Set) (req syrup.MixRequest, err error) {
	l := r.locale()
	p := reading{l: l}
	req.Figures = figs
	words := c.Strength
	if strings.Contains(words, ":") && c.By != "said" && !strings.Contains(words, "by") {
		words += " by " + c.By
	}
	if strings.Contains(words, ":") {
		req.Ratio, err = units.ParseRatio(words, l)
	} else {
		req.Strength, err = units.ParseStrength(words, l)
	}
	if err != nil {
		return req, usage(err, "--strength")
	}
	req.Make = get(&p, "--make", c.Make, units.ParseVolume)
	req.Sugar = get(&p, "--sugar", c.Sugar, units.ParseMass)
	req.Bulk = get(&p, "--bulk", c.Bulk, units.ParseDensity)
	req.At = told(&p, "--at", c.At)
	req.Low = told(&p, "--low", c.Low)
	req.WaterTemp = told(&p, "--water-at", c.Water)
	req.SugarTemp = told(&p, "--sugar-at", c.SugarAt)
	if p.err == nil && c.Make == "" && c.Sugar == "" {
		p.err = fault.New(fault.Usage, "", "say how much: the syrup wanted or the sugar in hand").WithHint("larder mix --strength 2:1 --make 40gal, or --sugar 200lb")
	}
	return req, p.err
}

// reading reads flags until the first that cannot be read.
type reading struct {
	l   units.Locale
	err error
}

func get[Q any](p *reading, flag, s string, parse func(string, units.Locale) (Q, error)) Q {
	var none Q
	if s == "" || p.err != nil {
		return none
	}
	q, err := parse(s, p.l)
	if err != nil {
		p.err = usage(err, flag)
	}
	return q
}

func told(p *reading, flag, s string) (m syrup.Maybe[units.Temp]) {
	if s == "" {
		return m
	}
	return syrup.Told(get(p, flag, s, units.ParseTemp))
}

type mixed struct{ syrup.Mixing }

func (m mixed) print(r *run, s units.Style) {
	fmt.Fprintf(r.Out, "%s of syrup, %s sugar by weight", s.Volume(m.Syrup), s.Strength(m.Strength))
	if m.High > m.Low {
		fmt.Fprintf(r.Out, " (%s to %s)", s.Strength(m.Low), s.Strength(m.High))
	}
	fmt.Fprintf(r.Out, ", at %s\n\n", s.Temp(m.At))
	row := func(what, much string) { fmt.Fprintf(r.Out, "  %-22s %s\n", what, much) }
	row("sugar", s.MassSmall(m.Sugar))
	row("water", s.Volume(m.Water)+"  ("+s.MassSmall(m.WaterMass)+")")
	row("weighs", s.MassSmall(m.Mass)+"  ("+s.Density(m.Density)+")")
	if m.Viscosity.Known {
		row("thickness", fmt.Sprintf("%.3g mPa·s (water is 1)", m.Viscosity.Mean))
	}
	if m.Crystals {
		row("may grain below", s.Temp(m.CrystalAt)+", give or take "+s.TempDiff(units.Temp(m.CrystalSD)))
	} else {
		row("grains", "not before it freezes")
	}
	if m.MixTemp.Known {
		row("fresh mix comes out at", s.Temp(units.Temp(m.MixTemp.Mean)))
	}
	if len(m.Warnings) > 0 {
		fmt.Fprintln(r.Out)
	}
	for _, w := range m.Warnings {
		para(r.Out, "  ! ", s.Say(w.Say, w.Amounts))
	}
}

func (m mixed) json(s units.Style) mixJSON {
	j := mixJSON{Brix: m.Strength.Brix(), BrixLow: m.Low.Brix(), BrixHigh: m.High.Brix(), AtC: m.At.C(), DensityKgM3: float64(m.Density),
		SyrupL: m.Syrup.L(), SyrupKg: m.Mass.Kg(), SugarKg: m.Sugar.Kg(), WaterL: m.Water.L(), WaterKg: m.WaterMass.Kg(),
		ViscosityMPaS: orNull(m.Viscosity), Supersaturation: m.Supersaturation, MixC: orNull(m.MixTemp), Warnings: warnings(m.Warnings, s)}
	if m.Crystals {
		t := m.CrystalAt.C()
		j.CrystalC, j.CrystalSDC = &t, m.CrystalSD
	}
	return j
}
