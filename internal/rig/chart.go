package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// ChartRow is one line of a dip chart, on level ground.
type ChartRow struct {
	Dip      units.Length
	Contents units.Volume
	SD       units.Volume // one standard deviation
	Out      units.Volume // what still comes out: contents less the heel
	TooFull  bool         // above the room that must stay free on top
}

// longestChart is more lines than any sheet has.
const longestChart = 2000

// Chart gives the contents at every step of dip, from 0 to a full tank; the
// last line is the full tank.
func (t Tank) Chart(step units.Length, fig figure.Set) ([]ChartRow, error) {
	depth, err := t.Depth(fig)
	if err := firstErr(err, positive("rig.Tank.Chart", "the step of the chart", float64(step))); err != nil {
		return nil, err
	}
	n := float64(depth / step)
	if n > longestChart {
		return nil, trouble(fault.OutOfRange, "rig.Tank.Chart", "such a chart has %.0f lines", n).WithHint("take a bigger step")
	}
	var out []ChartRow
	for i := 0; float64(i) < n-1e-9; i++ {
		d := units.Length(i) * step
		if len(t.Strap) > 0 && d < t.Strap[0].Dip {
			continue
		}
		if out, err = t.row(out, d, fig); err != nil {
			return nil, err
		}
	}
	return t.row(out, depth, fig)
}

// ChartByVolume gives the dip at every step of contents.
func (t Tank) ChartByVolume(step units.Volume, fig figure.Set) ([]ChartRow, error) {
	full, err := t.Full(fig)
	if err := firstErr(err, positive("rig.Tank.ChartByVolume", "the step of the chart", float64(step))); err != nil {
		return nil, err
	}
	if float64(full/step) > longestChart {
		return nil, trouble(fault.OutOfRange, "rig.Tank.ChartByVolume", "such a chart has too many lines").WithHint("take a bigger step")
	}
	var out []ChartRow
	for i := 0; units.Volume(i)*step <= full; i++ {
		v := units.Volume(i) * step
		if len(t.Strap) > 0 && v < t.Strap[0].Contents {
			continue
		}
		d, err := t.DipFor(v, fig)
		if err != nil {
			return nil, err
		}
		if out, err = t.row(out, d, fig); err != nil {
			return nil, err
		}
		out[len(out)-1].Contents = v
		out[len(out)-1].Out = max(0, v-t.Heel)
	}
	return out, nil
}

func (t Tank) row(out []ChartRow, d units.Length, fig figure.Set) ([]ChartRow, error) {
	e, err := t.Contents(Dip{Depth: d}, Tilt{}, fig)
	if err != nil {
		return nil, err
	}
	full, err := t.Full(fig)
	if err != nil {
		return nil, err
	}
	v := units.Volume(e.Mean)
	return append(out, ChartRow{Dip: d, Contents: v, SD: units.Volume(e.SD), Out: max(0, v-t.Heel),
		TooFull: v > full*units.Volume(1-or(fig).V(KeyUllage))}), nil
}

// HandyStep gives the step of dip that makes a chart of at most lines lines:
// 5 mm, 1, 2, 5, 10 cm … or ¼, ½, 1, 2, 5 in …
func HandyStep(depth units.Length, lines int, s units.System) units.Length {
	steps := []units.Length{0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5}
	if s != units.Metric {
		steps = []units.Length{units.Inch / 4, units.Inch / 2, units.Inch, 2 * units.Inch, 5 * units.Inch, 10 * units.Inch}
	}
	for _, st := range steps {
		if math.Ceil(float64(depth/st)) <= float64(max(lines, 1)) {
			return st
		}
	}
	return steps[len(steps)-1]
}

// HandyVolumes is [HandyStep] for contents: 1, 2, 5, 10, 20, 50 … litres or
// gallons of the keeper's own.
func HandyVolumes(full units.Volume, lines int, s units.System) units.Volume {
	one := units.Litre
	switch s {
	case units.US:
		one = units.USGallon
	case units.UK:
		one = units.UKGallon
	}
	for ten := units.Volume(1); ; ten *= 10 {
		for _, k := range []units.Volume{1, 2, 5} {
			if st := one * k * ten; float64(full/st) <= float64(max(lines, 1)) || ten > 1e6 {
				return st
			}
		}
	}
}

func tankFigures() []figure.Figure {
	return []figure.Figure{
		practice(KeyDip, "spread of one dip", 4, 3, 5, 0, "mm", "foam and film; 1 m² of surface makes 4 L of it"),
		practice(KeySize, "spread of a tank's contents from its sizes", 0.01, 0.005, 0.03, 0, "fraction", "a tape inside a tank; a bucket table is better"),
		practice(KeyTotePlan, "plan of a 1000 L cage tote, inside", 1.05, 1.0, 1.1, 0.025, "m²", "10 to 11 L per cm of dip; make a bucket table"),
		practice(KeyUllage, "room left on top of a tank", 0.05, 0.03, 0.10, 0, "fraction", "syrup swells 0.75 % from 15 to 40 °C; fill to 95 % at most"),
		practice(KeyBucketSD, "spread of a weighed bucket", 0.004, 0.002, 0.02, 0, "fraction", "0.05 kg in 13 kg"),
	}
}

// Keys of the tank's figures.
const (
	KeyDip      = "rig.dip_sd_mm"
	KeySize     = "rig.size_sd"
	KeyTotePlan = "rig.tote_plan_m2"
	KeyUllage   = "rig.ullage"
	KeyBucketSD = "rig.bucket_sd"
)
