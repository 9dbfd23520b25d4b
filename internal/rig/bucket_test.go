package rig

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// TestStudent: two-sided 95 % factors, NIST/SEMATECH e-Handbook 1.3.6.7.2 (from
// memory), and Grubbs' 1.715 for n = 5.
func TestStudent(t *testing.T) {
	for n, want := range map[int]float64{3: 4.303, 4: 3.182, 5: 2.776, 6: 2.571, 8: 2.365, 10: 2.262} {
		near(t, "t", studentT(n-1), want, "0.0005")
	}
	near(t, "Grubbs", grubbs(5), 1.715, "0.0005")
	near(t, "large n", studentT(100000), 1.95996, "0.0001")
}

func TestBucketSaysWhatIsWrong(t *testing.T) {
	b := must[Bucket](t)(TestBucket(tenLitres(), none))
	if !b.Steady || len(b.Cautions) != 0 || b.Lag != 0 {
		t.Errorf("five good pours: %+v", b)
	}
	// The harmonic mean is a little below the plain one, by CV² of it.
	near(t, "CV²", float64(1-b.Flow/b.Mean), b.CV*b.CV, "30%")
	few := must[Bucket](t)(TestBucket(tenLitres()[:3], none))
	if few.Steady || few.Cautions[0].Code != "bucket-unsteady" {
		t.Errorf("three pours: %+v", few.Cautions)
	}
	odd := append(tenLitres(), Pour{10, 75})
	found := false
	for _, c := range must[Bucket](t)(TestBucket(odd, none)).Cautions {
		found = found || c.Code == "bucket-outlier" && c.Amounts[0] == 6
	}
	if !found {
		t.Error("the slow sixth pour stands apart")
	}
	if _, err := TestBucket(tenLitres()[:1], none); !fault.Is(err, fault.Missing) {
		t.Errorf("one pour: %v", err)
	}
	if _, err := TestBucket([]Pour{{10, 0}, {10, 60}}, none); !fault.Is(err, fault.Missing) {
		t.Errorf("no time: %v", err)
	}
}

// TestLine: pours off a straight line give back its flow and lag.
func TestLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.Float64Range(0.02, 0.5).Draw(t, "q")
		lag := rapid.Float64Range(0.05, 2).Draw(t, "lag")
		var p []Pour
		for _, v := range []float64{2, 4, 6, 8, 10} {
			p = append(p, Pour{units.Volume(v), units.Duration(v/q + lag)})
		}
		b := must[Bucket](t)(TestBucket(p, none))
		near(t, "flow", float64(b.Flow), q, "1e-6%")
		near(t, "lag", float64(b.Lag), lag, "1e-6")
		if b.CV > 1e-9 || !b.Steady {
			t.Fatalf("a straight line scatters by %v", b.CV)
		}
	})
}

// TestCalibrate: for the rig and syrup of the test, the answer is what was
// measured; for thicker syrup it is less, and between.
func TestCalibrate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := tableSetup(rapid.Float64Range(60, 700).Draw(t, "mu"), 1320, rapid.Float64Range(0.012, 0.026).Draw(t, "bore"), rapid.Float64Range(8, 50).Draw(t, "l"), 0)
		if rapid.Bool().Draw(t, "switch") {
			s.Pump.CutOff, s.Pump.CutIn = 3*units.Bar, 2*units.Bar
		}
		k := rapid.Float64Range(0.6, 1.6).Draw(t, "k")
		base := must[Delivery](t)(s.Deliver(none))
		b := Bucket{Flow: base.Flow * units.Flow(k), SD: base.Flow * 0.02, Lag: 0.4}
		if b.Flow >= 0.98*s.Pump.Open {
			return // no pump gives that
		}
		c, err := s.Calibrate(b, none)
		if err != nil {
			if !fault.Is(err, fault.NotKnownHere) {
				t.Fatal(err)
			}
			return
		}
		d := must[Delivery](t)(s.DeliverAs(c, none))
		near(t, "measured", float64(d.Flow), float64(b.Flow), "0.0001%")
		near(t, "its spread", float64(d.SD), float64(b.SD), "1%")
		if !d.Measured || d.Lag != 0.4 {
			t.Fatalf("%+v", d)
		}
		if d.Regime != Laminar {
			return // where rough flow turns smooth, thicker may give more
		}
		cold := s
		cold.Fluid.Viscosity *= 1.5
		if x := must[Delivery](t)(cold.DeliverAs(c, none)); x.Flow > d.Flow*(1+1e-9) {
			t.Fatalf("colder gives more: %v after %v", x.Flow, d.Flow)
		} else if x.SD/x.Flow < d.SD/d.Flow*(1-1e-9) {
			t.Fatalf("away from the test the spread shrinks: %v after %v", x.SD/x.Flow, d.SD/d.Flow)
		}
	})
}

func TestCalibrateSays(t *testing.T) {
	s := tableSetup(310, 1328.5, 0.019, 30, 0)
	near0 := must[Calibration](t)(s.Calibrate(Bucket{Flow: 5.85 / 60, SD: 0.001}, none))
	near(t, "factor", near0.Factor, 1, "1%")
	if len(near0.Cautions) != 0 {
		t.Errorf("%v", near0.Cautions)
	}
	slow := must[Calibration](t)(s.Calibrate(Bucket{Flow: 3.0 / 60, SD: 0.001}, none))
	if slow.Factor < 1.25 || slow.Cautions[0].Code != "bucket-off" {
		t.Errorf("half the flow: %+v", slow)
	}
	if _, err := s.Calibrate(Bucket{Flow: 25.0 / 60}, none); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("more than the pump gives: %v", err)
	}
	p := must[units.Pressure](t)(s.ShutOffFrom(3.0 / 60))
	fitted := s
	fitted.Pump.ShutOff = p
	near(t, "with the fitted pump", float64(must[Delivery](t)(fitted.Deliver(none)).Flow)*60, 3, "0.001%")
	if _, err := s.ShutOffFrom(20.0 / 60); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("at open flow: %v", err)
	}
	if _, yes := Retest(20, 24, none); yes {
		t.Error("4 K need no new test")
	}
	if c, yes := Retest(20, 14, none); !yes || c.Code != "bucket-retest" {
		t.Error("6 K do")
	}
}

func TestTally(t *testing.T) {
	before, after := figure.Est(500, 4), figure.Est(300, 4)
	if d, c := Tally(figure.Est(203, 2), before, after, none); len(c) != 0 || d.Mean != 3 {
		t.Errorf("3 of 200: %v %v", d, c)
	}
	if d, c := Tally(figure.Est(180, 2), before, after, none); len(c) != 1 || d.Mean != -20 {
		t.Errorf("20 of 200 missing: %v %v", d, c)
	}
	// Below what the dips can tell, nothing is said.
	if _, c := Tally(figure.Est(20, 1), figure.Est(500, 6), figure.Est(475, 6), none); len(c) != 0 {
		t.Errorf("5 of 25 with dips of 6 L each: %v", c)
	}
	if d, c := Tally(figure.Estimate{}, before, after, none); d.Known || c != nil {
		t.Error("not known stays not known")
	}
	if math.IsNaN(studentT(1)) {
		t.Error("t with one degree of freedom")
	}
}
