package sheet

import (
	"math"

	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/units"
)

// PumpCurve draws what the pump gives and what the line takes against each
// other, over the flow: they meet at the working point. The pump is a solid line,
// the line of hose and fittings a broken one, the point a dot; both have their
// name beside them.
func PumpCurve(f *season.PumpFlow, s units.Style, t Catalogue) Drawing {
	const w, h, left, bottom, top, right = 340.0, 240.0, 48.0, 44.0, 16.0, 14.0
	d := Drawing{W: w, H: h, Class: "rig", Title: t("rig.curve.title", "Flow", s.FlowPM(f.Flow, f.SD), "Pressure", s.Pressure(f.AtPump)), Desc: t("rig.curve.desc")}
	if len(f.Curve) == 0 {
		return d
	}
	if f.State == rig.Cycling {
		d.Title = t("rig.curve.cycling", "Off", s.Pressure(f.Setup.Pump.CutOff), "Flow", s.FlowPM(f.Flow, f.SD))
	}
	mostQ, mostP := float64(f.Curve[len(f.Curve)-1].Flow), float64(f.Setup.Pump.ShutOff)*1.1
	x := func(q units.Flow) float64 { return left + float64(q)/mostQ*(w-left-right) }
	y := func(p units.Pressure) float64 { return h - bottom - float64(p)/mostP*(h-bottom-top) }
	d.Add(Line{left, top, left, h - bottom, Pen{Ink: Rule, Width: 1}}, Line{left, h - bottom, w - right, h - bottom, Pen{Ink: Rule, Width: 1}})
	perMin, flowUnit := units.Flow(1.0/60), "L/min"
	onePa, pressureUnit := units.Bar, "bar"
	if s.System != units.Metric {
		onePa, pressureUnit = units.PSI, "psi"
		if perMin, flowUnit = units.Flow(units.USGallon/60), "US gal/min"; s.System == units.UK {
			perMin, flowUnit = units.Flow(units.UKGallon/60), "UK gal/min"
		}
	}
	for _, q := range NiceTicks(0, mostQ/float64(perMin), 5) {
		px := x(units.Flow(q) * perMin)
		d.Add(Line{px, h - bottom, px, h - bottom + 5, Pen{Ink: Rule, Width: 1}}, Text{X: px, Y: h - bottom + 18, Say: s.Num(q, decimals(niceStep(mostQ/float64(perMin), 5))), Size: 14, At: Middle})
	}
	d.Add(Text{X: w - right, Y: h - 8, Say: flowUnit, Size: 14, At: End})
	for _, p := range NiceTicks(0, mostP/float64(onePa), 6) {
		py := y(units.Pressure(p) * onePa)
		d.Add(Line{left - 5, py, left, py, Pen{Ink: Rule, Width: 1}}, Text{X: left - 8, Y: py + 5, Say: s.Num(p, decimals(niceStep(mostP/float64(onePa), 6))), Size: 14, At: End})
	}
	d.Add(Text{X: 2, Y: h - 8, Say: pressureUnit, Size: 14})
	var pump, line []Point
	for i, c := range f.Curve {
		pump = append(pump, Point{x(c.Flow), y(c.Pump)})
		if float64(c.Line) <= mostP {
			line = append(line, Point{x(c.Flow), y(c.Line)})
		} else if i > 0 && len(line) == i { // up to the frame
			a, b := f.Curve[i-1], c
			u := (mostP - float64(a.Line)) / float64(b.Line-a.Line)
			line = append(line, Point{x(a.Flow + units.Flow(u)*(b.Flow-a.Flow)), top})
		}
	}
	d.Add(Path{Runs: [][]Point{pump}, Pen: Pen{Width: 2.4}}, Path{Runs: [][]Point{line}, Pen: Pen{Width: 2.4, Dash: Dashed}})
	end := line[len(line)-1]
	// Names stand where the other line is not: the pump's on its upper side, away
	// from where they meet; the hose's at its end.
	near := pump[len(pump)/8]
	if f.Flow < f.Setup.Pump.Open/2 {
		near = pump[len(pump)*5/8]
	}
	d.Add(Text{X: near.X + 8, Y: near.Y - 6, Say: t("rig.curve.pump"), Size: 14})
	hose := Text{X: end.X + 8, Y: math.Max(end.Y+14, top+14), Say: t("rig.curve.hose"), Size: 14}
	if end.X > w-100 {
		hose.X, hose.Y, hose.At = end.X, math.Max(end.Y-12, 14), End
	}
	d.Add(hose)
	if off := f.Setup.Pump.CutOff; f.State == rig.Cycling && float64(off) < mostP {
		// Where it cycles, the point lies on the hose's line within the switch's
		// band, below where the two would meet.
		d.Add(Line{left, y(off), w - right, y(off), Pen{Ink: Rule, Width: 1.4, Dash: Dotted}}, Text{X: w - right, Y: y(off) - 5, Say: t("rig.curve.off"), Size: 14, At: End})
	}
	if f.Flow > 0 {
		px, py := x(f.Flow), y(f.AtPump)
		d.Add(Line{px, py, px, h - bottom, Pen{Ink: Rule, Width: 1, Dash: Dotted}}, Dot{X: px, Y: py, R: 5.5, Fill: Fill{Plain, 1}})
	}
	return d
}
