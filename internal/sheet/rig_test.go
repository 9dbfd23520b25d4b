package sheet_test

import (
	"strconv"
	"strings"
	"testing"

	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// The dip chart stands on one page of either paper, in every system of units, and
// says more for more dip: read back off the paper, not off the season.
func TestDipChartOnOnePage(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		for _, system := range []units.System{units.US, units.Metric, units.UK} {
			s := source(t, lang, system)
			st, err := s.State.SupposeSettings(season.Setting{Key: "house.units", Value: system.String()})
			if err != nil {
				t.Fatal(err)
			}
			s.State = st
			d, err := sheet.DipChart(s)
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range sheet.Papers() {
				if n := len(d.Pages(p)); n != 1 {
					t.Errorf("%s, %v, %s: %d pages", lang, system, p, n)
				}
			}
			var table sheet.Table
			for _, part := range d.Parts {
				if x, ok := part.(sheet.Table); ok {
					table = x
				}
			}
			last, lines := -1.0, 0
			for c := 1; c < len(table.Cols); c += 3 {
				for _, r := range table.Rows {
					if r.Cells[c].Say == "" {
						continue
					}
					x, err := strconv.ParseFloat(strings.ReplaceAll(r.Cells[c].Say, ",", "."), 64)
					if err != nil {
						t.Fatal(err)
					}
					if x < last {
						t.Errorf("%v after %v", x, last)
					}
					last = x
					lines++
				}
			}
			if lines < 40 {
				t.Errorf("%d lines", lines)
			}
		}
	}
}

// Every drawing of the rig stays within its frame and has a finding.
func TestRigDrawingsStayInTheirFrame(t *testing.T) {
	within := func(what string, d sheet.Drawing) {
		t.Helper()
		if d.Title == "" || len(d.Marks) == 0 {
			t.Errorf("%s has no title or is empty", what)
		}
		in := func(x, y float64) bool { return x >= -0.5 && x <= d.W+0.5 && y >= -0.5 && y <= d.H+0.5 }
		for _, m := range d.Marks {
			ok := true
			switch m := m.(type) {
			case sheet.Path:
				for _, r := range m.Runs {
					for _, p := range r {
						ok = ok && in(p.X, p.Y)
					}
				}
			case sheet.Line:
				ok = in(m.X1, m.Y1) && in(m.X2, m.Y2)
			case sheet.Rect:
				ok = in(m.X, m.Y) && in(m.X+m.W, m.Y+m.H) && m.W >= 0
			case sheet.Dot:
				ok = in(m.X, m.Y)
			case sheet.Text:
				ok = in(m.X, m.Y)
			}
			if !ok {
				t.Errorf("%s: %+v is out of %v × %v", what, m, d.W, d.H)
			}
		}
	}
	for name, tank := range map[string]rig.Tank{
		"box": {Shape: rig.Rectangular, Length: 1.2, Width: 0.8, Height: 0.6}, "tall": {Shape: rig.Upright, Diameter: 0.4, Height: 1.4, Cone: 0.3, Outlet: 0.05},
		"lying": {Shape: rig.Lying, Diameter: 0.6, Length: 1.5, End: rig.End{Kind: rig.Dished}}, "ball": {Shape: rig.Lying, Diameter: 1, End: rig.End{Kind: rig.Hemispherical}},
		"cones": {Shape: rig.Lying, Diameter: 0.5, Length: 3, End: rig.End{Kind: rig.Conical, Depth: 0.4}}, "tote": {Shape: rig.Tote, Holds: 1000},
		"table": {Strap: []rig.Strap{{Dip: 0, Contents: 0}, {Dip: 0.4, Contents: 80}}},
	} {
		depth, err := tank.Depth(season.DefaultFigures())
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range []units.Length{0, 0.03, 0.5, 1} {
			within(name, sheet.TankSide{Tank: tank, Depth: depth, Level: depth * part, Says: "x", Title: "t", Marks: []sheet.TankMark{{At: depth, Say: "full"}}}.Draw())
		}
	}
	s := source(t, "en", units.US)
	for _, bore := range []string{"1/2 in", "3/4 in", "1 in"} {
		st, err := s.State.SupposeSettings(season.Setting{Key: "hose.bore", Value: bore}, season.Setting{Key: "pump.bucket"}, season.Setting{Key: "rig.pump"})
		if err != nil {
			t.Fatal(err)
		}
		f, err := st.PumpFlow(season.FlowAsk{})
		if err != nil {
			t.Fatal(err)
		}
		within(bore, sheet.PumpCurve(&f, s.Style, s.T))
	}
	for _, v := range []units.Volume{0, 100, 900} {
		l, err := s.State.LoadAxles(v, 0)
		if err != nil {
			t.Fatal(err)
		}
		within("axles", sheet.AxleBars(&l, s.Style, s.T))
		if over := strings.Contains(sheet.AxlesSay(&l, s.Style, s.T), "too much"); over == l.Fits {
			t.Errorf("%v fits %v, and the bars say over: %v", v, l.Fits, over)
		}
	}
}
