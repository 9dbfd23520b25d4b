package season_test

import (
	"math"
	"testing"

	"larder/internal/units"
)

func TestLoadCardAddsUp(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	for n := range p.Loads {
		c, ok := p.LoadCard(n + 1)
		if !ok {
			t.Fatal("no card")
		}
		var out units.Volume
		for _, y := range c.Yards {
			out += y.Syrup
		}
		if math.Abs(float64(out-c.Syrup)) > 1e-9 || math.Abs(float64(c.Yards[len(c.Yards)-1].After)) > 1e-9 {
			t.Errorf("load %d: %v out of a tank of %v", n+1, out, c.Syrup)
		}
		// 2:1 syrup weighs 1.326 kg/L at 20 °C (CRC; colony evidence, check 1).
		if want := c.Syrup.L() * 1.326; math.Abs(c.Mass.Kg()-want) > 0.004*c.Syrup.L() {
			t.Errorf("load %d weighs %v, want %.1f kg", n+1, c.Mass, want)
		}
	}
	if _, ok := p.LoadCard(len(p.Loads) + 1); ok {
		t.Error("a load that is not there")
	}
	if _, ok := p.LoadCard(0); ok {
		t.Error("load 0")
	}
}
