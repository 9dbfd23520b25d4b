package cli

import (
	"fmt"

	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

type rigHeatCmd struct {
	rigFrom
	Make     string `placeholder:"80gal" help:"Syrup or water to be warmed."`
	Strength string `placeholder:"2:1" help:"Its strength, by weight; 0% is water."`
	Start    string `placeholder:"60F" help:"Its temperature now (15 °C)."`
	Want     string `placeholder:"113F" help:"Temperature wanted (45 °C)."`
	Air      string `placeholder:"50F" help:"Temperature of the air (10 °C)."`
	Power    string `placeholder:"3kW" help:"Power of the heater."`
	Foam     string `placeholder:"1in" help:"Foam around the tank."`
	Wind     bool   `help:"The tank stands in the wind."`
	Surface  string `placeholder:"27ft2" help:"Surface of the tank (of one as high as it is wide)."`
}

type heatJSON struct {
	Reaches     bool               `json:"reaches"`
	TimeMin     *float64           `json:"time_min"`
	SDMin       *float64           `json:"sd_min"`
	EnergyKWh   *float64           `json:"energy_kwh"`
	EnergySDKWh *float64           `json:"energy_sd_kwh"`
	UsefulKWh   float64            `json:"useful_kwh"`
	StallC      *float64           `json:"stall_c"`
	GasL        float64            `json:"gas_l"`
	GasSDL      float64            `json:"gas_sd_l"`
	OvernightC  *float64           `json:"overnight_c"`
	BurnS       *float64           `json:"burn_s"`
	MassKg      float64            `json:"mass_kg"`
	VolumeL     float64            `json:"volume_l"`
	Brix        float64            `json:"brix"`
	StartC      float64            `json:"start_c"`
	WantC       float64            `json:"want_c"`
	AirC        float64            `json:"air_c"`
	SurfaceM2   float64            `json:"surface_m2"`
	ElementCm2  float64            `json:"element_cm2"`
	Reasons     []season.ReasonDoc `json:"reasons"`
	Cautions    []season.ReasonDoc `json:"cautions"`
}

// Run works out how long a batch takes to warm.
func (c *rigHeatCmd) Run(r *run) error {
	wind := ""
	if c.Wind {
		wind = "yes"
	}
	st, s, err := c.state(r, []flag{{"power", "heater.power", c.Power}, {"foam", "heater.foam", c.Foam}, {"wind", "heater.wind", wind}})
	if err != nil {
		return err
	}
	p := reading{l: r.locale()}
	ask := season.HeatAsk{Volume: get(&p, "--make", c.Make, units.ParseVolume), From: told(&p, "--start", c.Start), To: told(&p, "--want", c.Want),
		Air: told(&p, "--air", c.Air), Surface: get(&p, "--surface", c.Surface, units.ParseArea)}
	if p.err != nil {
		return p.err
	}
	if c.Strength != "" {
		x, err := strengthFlag(r, c.Strength)
		if err != nil {
			return err
		}
		ask.Strength = syrup.Told(x)
	}
	h, err := st.HeatUp(ask)
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(heatDoc(&h, s))
	}
	printHeat(r, s, &h)
	return nil
}

func heatDoc(h *season.HeatUp, s units.Style) heatJSON {
	kwh := func(e units.Energy) float64 { return float64(e / units.KWh) }
	j := heatJSON{Reaches: h.Reaches, UsefulKWh: kwh(h.Useful), GasL: h.Gas.L(), GasSDL: h.GasSD.L(), MassKg: h.Mass.Kg(), VolumeL: h.Volume.L(),
		Brix: h.Strength.Brix(), StartC: h.From.C(), WantC: h.To.C(), AirC: h.Air.C(), SurfaceM2: float64(h.Surface) / 100, ElementCm2: float64(h.Element) * 100,
		Reasons: season.Reasons(h.Reasons, s), Cautions: season.Reasons(h.Cautions, s)}
	if h.Reaches {
		t, e := h.Time.Min(), kwh(h.Energy)
		cool := h.Overnight.C()
		j.TimeMin, j.EnergyKWh, j.OvernightC = &t, &e, &cool
		if h.TimeSD > 0 {
			sd, esd := h.TimeSD.Min(), kwh(h.EnergySD)
			j.SDMin, j.EnergySDKWh = &sd, &esd
		}
	}
	if h.Stalls {
		x := h.Stall.C()
		j.StallC = &x
	}
	if h.Burns.Told {
		x := float64(h.Burns.Q)
		j.BurnS = &x
	}
	return j
}

func printHeat(r *run, s units.Style, h *season.HeatUp) {
	what := fmt.Sprintf("%s of %s syrup", s.VolumeBig(h.Volume), s.Strength(h.Strength))
	if h.Strength == 0 {
		what = s.VolumeBig(h.Volume) + " of water"
	}
	fmt.Fprintf(r.Out, "%s (%s) from %s to %s with %s\n\n", what, s.MassTwo(h.Mass), s.Temp(h.From), s.Temp(h.To), s.Power(h.Power))
	if h.Reaches {
		rowOf(r, "time", s.SpanPM(h.Time, h.TimeSD))
		rowOf(r, "energy", s.EnergyPM(h.Energy, h.EnergySD))
	} else {
		rowOf(r, "time", "never: it gets no warmer than "+s.Temp(h.Stall))
	}
	rowOf(r, "of it in the batch", s.Two(float64(h.Useful/units.KWh))+" kWh")
	if h.Stalls && h.Stall < 100 {
		rowOf(r, "warmest it could get", s.Temp(h.Stall))
	}
	rowOf(r, "propane instead", s.VolumeTwoPM(h.Gas, h.GasSD))
	if h.Reaches {
		rowOf(r, "12 hours later", s.Temp(h.Overnight)+" in air of "+s.Temp(h.Air))
	}
	if h.Burns.Told {
		rowOf(r, "burns through skin in", s.Duration(h.Burns.Q))
	}
	rigWords(r, s, h.Reasons, h.Cautions)
}
