package cli

import (
	"fmt"

	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/units"
)

type rigTankCmd struct {
	rigFrom
	Shape    string `placeholder:"lying" help:"rectangular, upright, lying or tote."`
	Length   string `placeholder:"48in" help:"Inside length (lying: of the shell)."`
	Width    string `placeholder:"30in" help:"Inside width."`
	Height   string `placeholder:"36in" help:"Inside height, cone and all."`
	Diameter string `placeholder:"30in" help:"Inside diameter."`
	Corner   string `placeholder:"2in" help:"Radius of the upright corners."`
	Ends     string `placeholder:"dished" help:"flat, conical, elliptical, hemispherical or dished."`
	EndDepth string `placeholder:"6in" help:"How far conical or elliptical ends stand out."`
	Cone     string `placeholder:"10in" help:"Depth of a cone bottom."`
	Outlet   string `placeholder:"2in" help:"Diameter at its tip."`
	Holds    string `placeholder:"275gal" help:"What a tote holds."`
	Strap    string `placeholder:"'0in=0gal; 3in=5gal'" help:"Bucket table: goes before the sizes."`
	Heel     string `placeholder:"1gal" help:"What never comes out."`
	Hole     string `placeholder:"6in" help:"Dip hole ahead of the middle; --hole=-6in behind."`
	HoleSide string `placeholder:"0in" help:"Dip hole to the left of the middle."`

	Dip      string `placeholder:"19.2in" help:"Wetted length of the stick."`
	Contents string `placeholder:"40gal" help:"The dip for this much."`
	Nose     string `placeholder:"3" help:"Degrees the truck's nose is lower; --nose=-3 higher."`
	Left     string `placeholder:"2" help:"Degrees its left side is lower."`
	Tape     bool   `help:"Dipped with a tape that hangs, not with a stick along the wall."`
	Chart    bool   `help:"Also the dip chart."`
}

func (c *rigTankCmd) flags() []flag {
	return []flag{{"shape", "tank.shape", c.Shape}, {"length", "tank.length", c.Length}, {"width", "tank.width", c.Width}, {"height", "tank.height", c.Height},
		{"diameter", "tank.diameter", c.Diameter}, {"corner", "tank.corner", c.Corner}, {"ends", "tank.ends", c.Ends}, {"end-depth", "tank.end_depth", c.EndDepth},
		{"cone", "tank.cone", c.Cone}, {"outlet", "tank.outlet", c.Outlet}, {"holds", "tank.holds", c.Holds}, {"strap", "tank.strap", c.Strap},
		{"heel", "tank.heel", c.Heel}, {"hole", "tank.hole", c.Hole}, {"hole-side", "tank.hole_side", c.HoleSide}}
}

type (
	tankJSON struct {
		VolumeL  *float64           `json:"volume_l"`
		SDL      *float64           `json:"sd_l"`
		OutL     *float64           `json:"out_l"`
		Part     *float64           `json:"part"`
		LevelM   *float64           `json:"level_m"`
		DipM     *float64           `json:"dip_m"`
		FullL    float64            `json:"full_l"`
		UsableL  float64            `json:"usable_l"`
		DepthM   float64            `json:"depth_m"`
		TooFull  bool               `json:"too_full"`
		Chart    []dipJSON          `json:"chart,omitempty"`
		Reasons  []season.ReasonDoc `json:"reasons"`
		Cautions []season.ReasonDoc `json:"cautions"`
	}
	dipJSON struct {
		DipM    float64 `json:"dip_m"`
		VolumeL float64 `json:"volume_l"`
		SDL     float64 `json:"sd_l"`
		OutL    float64 `json:"out_l"`
		TooFull bool    `json:"too_full"`
	}
)

// Run tells what is in the tank.
func (c *rigTankCmd) Run(r *run) error {
	var fresh []string
	if c.Shape != "" || c.Strap != "" {
		fresh = append(fresh, "tank")
	}
	st, s, err := c.state(r, c.flags(), fresh...)
	if err != nil {
		return err
	}
	p := reading{l: r.locale()}
	ask := season.DipAsk{Dip: lengthTold(&p, "--dip", c.Dip), Plumb: c.Tape, Nose: angle(&p, "--nose", c.Nose), Left: angle(&p, "--left", c.Left),
		Holds: get(&p, "--contents", c.Contents, units.ParseVolume)}
	if p.err != nil {
		return p.err
	}
	d, err := st.TankDip(ask)
	if err != nil {
		return err
	}
	var rows []rig.ChartRow
	if c.Chart {
		if rows, _, err = st.DipChart(chartLines); err != nil {
			return err
		}
	}
	if r.JSON {
		return r.printJSON(tankDoc(&d, rows, s))
	}
	c.print(r, s, &d, rows)
	return nil
}

// chartLines is the most lines of a printed dip chart.
const chartLines = 60

func tankDoc(d *season.TankDip, rows []rig.ChartRow, s units.Style) tankJSON {
	j := tankJSON{FullL: d.Full.L(), UsableL: d.Usable.L(), DepthM: float64(d.Depth), TooFull: d.TooFull,
		Reasons: season.Reasons(d.Reasons, s), Cautions: season.Reasons(d.Cautions, s)}
	if d.Told {
		out, level := d.Out.L(), float64(d.Level)
		j.VolumeL, j.SDL, j.OutL, j.Part, j.LevelM = &d.Contents.Mean, &d.Contents.SD, &out, &d.Part, &level
	}
	if d.DipFor.Told {
		dip := float64(d.DipFor.Q)
		j.DipM = &dip
	}
	for _, x := range rows {
		j.Chart = append(j.Chart, dipJSON{float64(x.Dip), x.Contents.L(), x.SD.L(), x.Out.L(), x.TooFull})
	}
	return j
}

func (c *rigTankCmd) print(r *run, s units.Style, d *season.TankDip, rows []rig.ChartRow) {
	if d.Told {
		v := units.Volume(d.Contents.Mean)
		fmt.Fprintf(r.Out, "%s in the tank, %s of a full one\n\n", s.VolumePM(v, units.Volume(d.Contents.SD)), s.Percent(d.Part))
		rowOf(r, "comes out", s.VolumeBig(d.Out))
	} else {
		fmt.Fprintf(r.Out, "The tank holds %s to the brim\n\n", s.VolumeBig(d.Full))
	}
	if d.DipFor.Told {
		rowOf(r, "dip for "+s.VolumeBig(d.Holds), s.Length(d.DipFor.Q))
	}
	rowOf(r, "full, to the brim", s.VolumeBig(d.Full)+" at "+s.Length(d.Depth))
	rowOf(r, "may be filled and used", s.VolumeBig(d.Usable))
	rigWords(r, s, d.Reasons, d.Cautions)
	if len(rows) > 0 {
		fmt.Fprintln(r.Out)
		t := newTable(">dip", ">in the tank", ">comes out", "")
		for _, x := range rows {
			full := ""
			if x.TooFull {
				full = "too full to drive"
			}
			t.row(s.Length(x.Dip), s.VolumePM(x.Contents, x.SD), s.VolumeBig(x.Out), full)
		}
		t.print(r.Out)
	}
}
