package rig

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// anyTank draws a tank that can be.
func anyTank(t *rapid.T) Tank {
	l := func(name string, lo, hi float64) units.Length {
		return units.Length(rapid.Float64Range(lo, hi).Draw(t, name))
	}
	switch rapid.IntRange(0, 3).Draw(t, "shape") {
	case 0:
		return Tank{Shape: Rectangular, Length: l("length", 0.3, 2), Width: l("width", 0.3, 1.5), Height: l("height", 0.2, 1.5), Corner: l("corner", 0, 0.1)}
	case 1:
		h := l("height", 0.4, 2)
		return Tank{Shape: Upright, Diameter: l("diameter", 0.3, 1.5), Height: h, Cone: h * l("cone", 0, 0.9), Outlet: l("outlet", 0, 0.1)}
	case 2:
		return Tank{Shape: Tote, Holds: units.Volume(l("holds", 500, 1250))}
	}
	tank := Tank{Shape: Lying, Diameter: l("diameter", 0.3, 1.5), Length: l("length", 0.2, 3)}
	switch rapid.IntRange(0, 4).Draw(t, "ends") {
	case 1:
		tank.End = End{Kind: Conical, Depth: l("a", 0.05, 0.8)}
	case 2:
		tank.End = End{Kind: Elliptical, Depth: l("a", 0.05, 0.8)}
	case 3:
		tank.End = End{Kind: Hemispherical}
	case 4:
		tank.End = End{Kind: Dished, Crown: rapid.Float64Range(0.55, 2).Draw(t, "f"), Knuckle: rapid.Float64Range(0, 0.4).Draw(t, "k")}
	}
	return tank
}

func TestFractions(t *testing.T) {
	tank := Tank{Shape: Lying, Diameter: 1, Length: 1}
	full := must[units.Volume](t)(tank.Full(none))
	for _, r := range rows(t, "fractions.tsv") {
		x := num(t, r[0])
		near(t, r[0], tank.litres(x)/float64(full), num(t, r[1]), "0.00006")
		near(t, "1−"+r[0], 1-tank.litres(1-x)/float64(full), num(t, r[1]), "0.00006")
	}
	near(t, "full", float64(full), 1000*math.Pi/4, "1e-9%")
}

// TestMonotone: more dip is never less in the tank; the dip for what a dip
// holds is that dip.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tank := anyTank(t)
		depth := float64(must[units.Length](t)(tank.Depth(none)))
		a := rapid.Float64Range(0, 1).Draw(t, "a") * depth
		b := rapid.Float64Range(0, 1).Draw(t, "b") * depth
		va := must[figure.Estimate](t)(tank.Contents(Dip{Depth: units.Length(a)}, Tilt{}, none))
		vb := must[figure.Estimate](t)(tank.Contents(Dip{Depth: units.Length(b)}, Tilt{}, none))
		if (b-a)*(vb.Mean-va.Mean) < -1e-9 {
			t.Fatalf("dip %v holds %v, dip %v holds %v", a, va.Mean, b, vb.Mean)
		}
		back := must[units.Length](t)(tank.DipFor(units.Volume(va.Mean), none))
		if math.Abs(float64(back)-a) > 1e-7 && math.Abs(tank.filled(none).litres(float64(back))-va.Mean) > 1e-9*(1+va.Mean) {
			t.Fatalf("dip %v holds %v, which is dip %v", a, va.Mean, back)
		}
		if !va.Known || !(va.SD >= 0) {
			t.Fatalf("spread %v", va.SD)
		}
	})
}

// TestClosedHeads: closed formulas of heads against slices, and the two pairs
// of quick formulas, V = c·h²(1.5D − h).
func TestClosedHeads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(0.1, 1).Draw(t, "r")
		h := rapid.Float64Range(0, 2).Draw(t, "h") * r
		for _, e := range []End{{Kind: Conical, Depth: units.Length(rapid.Float64Range(0.05, 1).Draw(t, "a"))}, {Kind: Elliptical, Depth: units.Length(r / 2)}, {Kind: Hemispherical}} {
			want, ok := e.headClosed(r, h)
			if !ok {
				t.Fatal("no closed form")
			}
			near(t, string(e.Kind), e.headSlices(r, func(float64) float64 { return h }), want, "0.00001")
			c := map[EndKind]float64{Elliptical: math.Pi / 6, Hemispherical: math.Pi / 3}[e.Kind]
			if c > 0 {
				near(t, "quick "+string(e.Kind), c*h*h*(3*r-h), 2*want, "1e-9")
			}
		}
		// A dished end whose crown is the radius and that has no knuckle is a
		// hemisphere.
		ball, _ := End{Kind: Hemispherical}.headClosed(r, h)
		near(t, "dished to a ball", End{Kind: Dished, Crown: 0.5, Knuckle: 0}.headSlices(r, func(float64) float64 { return h }), ball, "0.00001")
	})
	// 2:1 heads by default; plain dished within 1 % of the quick formula.
	d := Tank{Shape: Lying, Diameter: 1, Length: 1, End: End{Kind: Elliptical}}.filled(none)
	near(t, "2:1", float64(d.End.Depth), 0.25, "exact")
	// Half and full; in between that formula, which is an ellipsoid's, is off.
	for _, h := range []float64{0.5, 1} {
		near(t, "plain dished", 2*End{Kind: Dished, Crown: 1, Knuckle: 0}.head(0.5, h), 0.2155*h*h*(1.5-h), "0.1%")
	}
}

// TestTiltAgrees: on a slope the general slices agree with the level formula as
// the slope goes to nothing, the dip in the middle of an upright tank is not
// moved, and the two ends of a lying tank are each other's mirror.
func TestTiltAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tank := anyTank(t)
		depth := must[units.Length](t)(tank.Depth(none))
		h := depth * units.Length(rapid.Float64Range(0.35, 0.65).Draw(t, "h"))
		level := must[figure.Estimate](t)(tank.Contents(Dip{Depth: h}, Tilt{}, none))
		if tank.Shape == Lying {
			flat := must[figure.Estimate](t)(tank.Contents(Dip{Depth: h}, Tilt{Pitch: 1e-7}, none))
			near(t, "almost level", flat.Mean, level.Mean, "0.001%")
			p := Angle(rapid.Float64Range(0.1, 10).Draw(t, "pitch"))
			up := must[figure.Estimate](t)(tank.Contents(Dip{Depth: h, Along: 0.2}, Tilt{Pitch: p}, none))
			down := must[figure.Estimate](t)(tank.Contents(Dip{Depth: h, Along: -0.2}, Tilt{Pitch: -p}, none))
			near(t, "mirrored", up.Mean, down.Mean, "1e-6%")
			return
		}
		p := Tilt{Pitch: Angle(rapid.Float64Range(-3, 3).Draw(t, "pitch")), Roll: Angle(rapid.Float64Range(-3, 3).Draw(t, "roll"))}
		mid, err := tank.Contents(Dip{Depth: h}, p, none)
		if err != nil {
			if !fault.Is(err, fault.NotKnownHere) {
				t.Fatal(err)
			}
			return // the surface meets bottom or top: refused, as it should be
		}
		near(t, "middle", mid.Mean, level.Mean, "1e-9%")
		// A hole off the middle reads as if the depth were shifted by the slope.
		x := units.Length(rapid.Float64Range(-0.3, 0.3).Draw(t, "x"))
		off, err := tank.Contents(Dip{Depth: h + x*units.Length(math.Tan(p.Pitch.rad())), Along: x}, p, none)
		if err == nil {
			near(t, "hole off the middle", off.Mean, level.Mean, "1e-6%")
		}
	})
}

// TestTiltOracle: the slices of a pitched lying cylinder against thin boxes.
func TestTiltOracle(t *testing.T) {
	tank := Tank{Shape: Lying, Diameter: 0.8, Length: 1.2}
	for _, c := range []struct{ h, deg float64 }{{0.3, 3}, {0.05, 8}, {0.7, -12}, {0.4, 15}, {0.02, -5}} {
		var want float64
		const n = 20000
		for i := range n {
			s := (float64(i)+0.5)/n*1.2 - 0.6
			want += segment(0.4, c.h+s*math.Tan(Angle(c.deg).rad())) * 1.2 / n * 1000
		}
		e := must[figure.Estimate](t)(tank.Contents(Dip{Depth: units.Length(c.h)}, Tilt{Pitch: Angle(c.deg)}, none))
		near(t, "pitched", e.Mean, want, "0.001%")
	}
	// "at mid-length exact within 0.1 L" (0.102), and a tape that hangs reads longer.
	lvl := must[figure.Estimate](t)(tank.Contents(Dip{Depth: 0.3}, Tilt{}, none))
	mid := must[figure.Estimate](t)(tank.Contents(Dip{Depth: 0.3}, Tilt{Pitch: 3}, none))
	near(t, "mid-length", mid.Mean, lvl.Mean, "0.11")
	hung := must[figure.Estimate](t)(tank.Contents(Dip{Depth: units.Length(0.3 / math.Cos(Angle(3).rad())), Plumb: true}, Tilt{Pitch: 3}, none))
	near(t, "hung", hung.Mean, mid.Mean, "1e-9%")
	// Rolled, the stick goes slantwise: 0.4 m is the middle however it rolls.
	roll := must[figure.Estimate](t)(tank.Contents(Dip{Depth: 0.4}, Tilt{Roll: 10}, none))
	near(t, "rolled", roll.Mean, tank.litres(0.4), "1e-9%")
}

func TestRefusedTanks(t *testing.T) {
	box := Tank{Shape: Rectangular, Length: 1, Width: 1, Height: 0.5}
	for _, c := range []struct {
		name string
		kind fault.Kind
		err  error
	}{
		{"no shape", fault.Missing, Tank{}.Check()},
		{"odd shape", fault.NotFound, Tank{Shape: "egg"}.Check()},
		{"no height", fault.Missing, Tank{Shape: Rectangular, Length: 1, Width: 1}.Check()},
		{"round corners", fault.OutOfRange, Tank{Shape: Rectangular, Length: 1, Width: 1, Height: 1, Corner: 0.6}.Check()},
		{"minus", fault.OutOfRange, Tank{Shape: Upright, Diameter: -1, Height: 1}.Check()},
		{"cone", fault.OutOfRange, Tank{Shape: Upright, Diameter: 1, Height: 1, Cone: 2}.Check()},
		{"no shell", fault.Missing, Tank{Shape: Lying, Diameter: 1}.Check()},
		{"no depth", fault.Missing, Tank{Shape: Lying, Diameter: 1, Length: 1, End: End{Kind: Conical}}.Check()},
		{"odd end", fault.NotFound, Tank{Shape: Lying, Diameter: 1, Length: 1, End: End{Kind: "blunt"}}.Check()},
		{"dish", fault.OutOfRange, Tank{Shape: Lying, Diameter: 1, Length: 1, End: End{Kind: Dished, Crown: 0.4, Knuckle: 0.1}}.Check()},
		{"tote", fault.Missing, Tank{Shape: Tote}.Check()},
		{"nan", fault.OutOfRange, Tank{Shape: Tote, Holds: units.Volume(math.NaN())}.Check()},
		{"deep dip", fault.OutOfRange, second(box.Contents(Dip{Depth: 0.6}, Tilt{}, none))},
		{"bottom shows", fault.NotKnownHere, second(box.Contents(Dip{Depth: 0.02}, Tilt{Pitch: 5}, none))},
		{"top met", fault.NotKnownHere, second(box.Contents(Dip{Depth: 0.49}, Tilt{Roll: 5}, none))},
		{"steep", fault.NotKnownHere, second(box.Contents(Dip{Depth: 0.2}, Tilt{Roll: 40}, none))},
		{"too much", fault.WontFit, second(box.DipFor(501, none))},
		{"heel", fault.OutOfRange, second(Tank{Shape: Tote, Holds: 100, Heel: 99}.Usable(none))},
	} {
		if !fault.Is(c.err, c.kind) {
			t.Errorf("%s: %v is not %v", c.name, c.err, c.kind)
		}
		if fault.HintOf(c.err) == "" {
			t.Errorf("%s: no hint", c.name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestUsable(t *testing.T) {
	// 1000 L less 5 % on top less 12 L that never come out.
	tank := Tank{Shape: Rectangular, Length: 1, Width: 1, Height: 1, Heel: 12}
	near(t, "usable", float64(must[units.Volume](t)(tank.Usable(none))), 938, "1e-9")
	// Foam and film of 4 mm on 1 m² is 4 L (evidence base: 3 to 5 L).
	e := must[figure.Estimate](t)(tank.Contents(Dip{Depth: 0.5}, Tilt{}, figures(KeySize, 0.0)))
	near(t, "spread", e.SD, 4, "1e-6")
	// A cage tote has 10 to 11 L per cm.
	tote := Tank{Shape: Tote, Holds: 1000}
	a := must[figure.Estimate](t)(tote.Contents(Dip{Depth: 0.50}, Tilt{}, none))
	b := must[figure.Estimate](t)(tote.Contents(Dip{Depth: 0.51}, Tilt{}, none))
	near(t, "per cm", b.Mean-a.Mean, 10.5, "0.5")
	near(t, "tote", float64(must[units.Volume](t)(tote.Full(none))), 1000, "1e-9%")
}

// strapped makes a bucket table of a tank.
func strapped(tank Tank, n int) []Strap {
	var s []Strap
	d := tank.depth()
	for i := 0; i <= n; i++ {
		h := d * float64(i) / float64(n)
		s = append(s, Strap{units.Length(h), units.Volume(tank.litres(h))})
	}
	return s
}

// TestStrapLying: a table of twelve buckets of a lying cylinder reads it within
// a percent, within its own spread, and better than straight lines do.
func TestStrapLying(t *testing.T) {
	tank := Tank{Shape: Lying, Diameter: 0.8, Length: 1.2}
	byBucket := Tank{Strap: strapped(tank, 12)}
	var curve, lines float64
	for i := 1; i < 100; i++ {
		h := 0.8 * float64(i) / 100
		e := must[figure.Estimate](t)(byBucket.Contents(Dip{Depth: units.Length(h)}, Tilt{}, none))
		if off := math.Abs(e.Mean - tank.litres(h)); off > 2*e.SD {
			t.Errorf("at %v m off by %v, spread %v", h, off, e.SD)
		}
		curve = math.Max(curve, math.Abs(e.Mean-tank.litres(h)))
		lines = math.Max(lines, math.Abs(table{byBucket.Strap}.straight(h)-tank.litres(h)))
	}
	if curve > 3 || curve >= lines {
		t.Errorf("curve %v L off, straight lines %v L", curve, lines)
	}
}

func TestStrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 15).Draw(t, "n")
		var s []Strap
		var h, v float64
		for range n {
			s = append(s, Strap{units.Length(h), units.Volume(v)})
			h += rapid.Float64Range(0.005, 0.2).Draw(t, "dh")
			v += rapid.Float64Range(0.5, 50).Draw(t, "dv")
		}
		tank := Tank{Strap: s}
		for _, l := range s {
			near(t, "on a line", tank.litres(float64(l.Dip)), float64(l.Contents), "1e-9")
		}
		a := rapid.Float64Range(0, 1).Draw(t, "a") * float64(s[n-1].Dip)
		b := rapid.Float64Range(0, 1).Draw(t, "b") * float64(s[n-1].Dip)
		if (b-a)*(tank.litres(b)-tank.litres(a)) < -1e-9 {
			t.Fatalf("not monotone between %v and %v", a, b)
		}
		back := must[units.Length](t)(tank.DipFor(units.Volume(tank.litres(a)), none))
		near(t, "inverse", tank.litres(float64(back)), tank.litres(a), "1e-6")
	})
	s := must[[]Strap](t)(StrapFromBuckets(20, 0, []units.Length{0.1, 0.19, 0.27}))
	if s[3] != (Strap{0.27, 60}) || s[0] != (Strap{}) {
		t.Errorf("buckets: %v", s)
	}
	if len(StrapCautions(s)) != 1 || len(StrapCautions(make([]Strap, 10))) != 0 {
		t.Error("a short table is said")
	}
	if _, err := StrapFromBuckets(20, 0, []units.Length{0.1, 0.1}); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("a bucket that does not raise the dip: %v", err)
	}
	if _, err := (Tank{Strap: s}).Contents(Dip{Depth: 0.1}, Tilt{Pitch: 1}, none); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("a bucket table on a slope: %v", err)
	}
	if _, err := (Tank{Strap: s[1:]}).Contents(Dip{Depth: 0.05}, Tilt{}, none); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("below the table: %v", err)
	}
}

func TestChart(t *testing.T) {
	tank := Tank{Shape: Lying, Diameter: 0.8, Length: 1.2, Heel: 5}
	rows := must[[]ChartRow](t)(tank.Chart(HandyStep(tank.Diameter, 40, units.Metric), none))
	if len(rows) != 41 || rows[0].Contents != 0 || rows[0].Out != 0 {
		t.Fatalf("%d rows, first %+v", len(rows), rows[0])
	}
	last := rows[len(rows)-1]
	near(t, "last", float64(last.Contents), 603.186, "0.001") // π/4·0.64·1.2 m³; the evidence base says 603.2 L
	if !last.TooFull || rows[20].TooFull || last.Out != last.Contents-5 {
		t.Errorf("last %+v", last)
	}
	for i := 1; i < len(rows); i++ {
		if rows[i].Contents <= rows[i-1].Contents || rows[i].Dip <= rows[i-1].Dip {
			t.Fatalf("row %d does not rise", i)
		}
	}
	by := must[[]ChartRow](t)(tank.ChartByVolume(HandyVolumes(603, 40, units.US), none))
	for i, r := range by {
		near(t, "by gallons", tank.litres(float64(r.Dip)), float64(r.Contents), "1e-6")
		near(t, "five gallons", float64(r.Contents), float64(i)*5*float64(units.USGallon), "1e-9")
	}
	if st := HandyStep(1.2, 50, units.US); st != units.Inch {
		t.Errorf("47 in in 50 lines: %v", st)
	}
	if _, err := tank.Chart(1e-6, none); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("endless chart: %v", err)
	}
}
