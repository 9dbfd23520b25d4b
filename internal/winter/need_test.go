package winter

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Row 73: 6 kg at 86 g a day are 69.8 days.
func TestRunway(t *testing.T) {
	near(t, "check 73", Runway(6, 0.086), 69.8, 0.05)
	near(t, "none left", Runway(0, 0.1), 0, 0)
	if !math.IsInf(Runway(1, 0), 1) {
		t.Error("eating nothing ends")
	}
	daily := []float64{0.1, 0.1, 0.2}
	near(t, "within", RunwayOver(0.3, daily), 2.5, 1e-12)
	near(t, "beyond, at the highest", RunwayOver(1.0, daily), 3+0.6/0.2, 1e-12)
	near(t, "none", RunwayOver(0, daily), 0, 0)
	for d, want := range map[float64]Level{20.9: Alarm, 21: LookOut, 41: LookOut, 42: Enough, math.Inf(1): Enough} {
		if got := RunwayLevel(d, figs); got != want {
			t.Errorf("%g days: %s, want %s", d, got, want)
		}
	}
	if RunwayLevel(math.NaN(), figs) != LookOut {
		t.Error("not known is not watched")
	}
	// A constant use: the two ways agree.
	near(t, "two ways", RunwayOver(6, []float64{0.086}), Runway(6, 0.086), 1e-9)
}

// Row 68, and the floors beside it.
func TestFloors(t *testing.T) {
	for _, r := range tsv(t, "floors.tsv") {
		level, why, ok := Floor(units.Mass(num(t, r["kg"])), day(t, r["date"]), r["south"] == "y", figs)
		want := Level(r["level"])
		if want == "-" {
			if ok {
				t.Errorf("%s: %s where there is no floor", r["date"], level)
			}
			continue
		}
		if !ok || level != want || why.Code == "" {
			t.Errorf("%s, %s kg: %s, want %s", r["date"], r["kg"], level, want)
		}
	}
}

// Row 74, row 64, and the strength rules of late winter.
func TestSmallRules(t *testing.T) {
	near(t, "check 74", MiniTarget(9, figs).Kg(), 3.15, 1e-12)
	if Strong(29.9, figs) || !Strong(30.1, figs) {
		t.Error("check 64: strong from 30 kg")
	}
	for _, c := range []struct {
		frames    float64
		queenless bool
		on, code  string
	}{
		{4, false, "2027-02-10", "unite"}, {5, false, "2027-02-10", ""}, {2, false, "2027-03-20", "weak-spring"},
		{4, false, "2027-03-20", ""}, {9, true, "2027-02-10", "queenless"}, {2, false, "2026-11-10", ""},
	} {
		why, ok := Weak(c.frames, c.queenless, day(t, c.on), false, figs)
		if ok != (c.code != "") || why.Code != c.code {
			t.Errorf("%g frames on %s: %q", c.frames, c.on, why.Code)
		}
	}
}

func TestLackIsWhatMakesItLast(t *testing.T) {
	e := yard(t, "2027-02-01", 2000, 3)
	c := Colony{ID: "1", Bees: 12000, Stores: figure.Est(9, 0)}
	lack, known, err := e.Lack(c, 0, 0, nil)
	if err != nil || !known || lack <= 0 {
		t.Fatalf("%v %v %v", lack, known, err)
	}
	c.Stores.Mean += lack.Kg()
	f := must(e.Watch(WatchQuery{Colonies: []Colony{c}}))(t)[0]
	near(t, "with it, short", f.ShortAtAll(), 0.05, 2.5/2000)
	c.Stores.Mean += 5
	if lack, _, _ := e.Lack(c, 0, 0, nil); lack != 0 {
		t.Errorf("with plenty it lacks %v", lack)
	}
	soon, _, err := e.Lack(Colony{Bees: 12000, Stores: figure.Est(9, 0)}, day(t, "2027-03-01"), 0, nil)
	if err != nil || soon >= lack {
		t.Errorf("to March %v, to forage %v: %v", soon, lack, err)
	}
	if _, known, err := e.Lack(Colony{Bees: 12000}, 0, 0, nil); known || err != nil {
		t.Errorf("nothing known: %v, %v", known, err)
	}
	if _, _, err := e.Lack(c, day(t, "2026-03-01"), 0, nil); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("a day gone by: %v", err)
	}
}

func TestEmergencyByTemperature(t *testing.T) {
	for _, c := range []struct {
		name  string
		q     NeedQuery
		forms []Form
		codes []string
	}{
		{"none", NeedQuery{}, nil, []string{"no-need"}},
		{"frost", NeedQuery{Lack: 3, High: -2, Mean: -6, Known: true, SyrupKg: 0.9}, []Form{Fondant}, []string{"too-cold", "must-touch"}},
		{"cool", NeedQuery{Lack: 3, High: 8, Mean: 3, Known: true, SyrupKg: 0.9}, []Form{Fondant, DrySugar}, []string{"too-cold"}},
		{"mild", NeedQuery{Lack: 3, High: 13, Mean: 8, Known: true, SyrupKg: 0.9}, []Form{Syrup, Fondant, DrySugar}, nil},
		{"mild, no syrup", NeedQuery{Lack: 3, High: 13, Mean: 8, Known: true}, []Form{Fondant, DrySugar}, nil},
		{"combs", NeedQuery{Lack: 3, High: -2, Mean: -6, Known: true, Combs: true, CombKg: 2}, []Form{Combs, Fondant}, []string{"must-touch"}},
		{"unknown", NeedQuery{Lack: 3}, []Form{Fondant}, []string{"no-forecast", "must-touch"}},
	} {
		n := Emergency(c.q, figs)
		var forms []Form
		for _, o := range n.Options {
			forms = append(forms, o.Form)
			if o.Form != Syrup && (o.Kg <= 0 || o.Now > o.Kg || o.Visits < 1) {
				t.Errorf("%s: %+v", c.name, o)
			}
		}
		if len(forms) != len(c.forms) {
			t.Errorf("%s: %v, want %v", c.name, forms, c.forms)
			continue
		}
		for i := range forms {
			if forms[i] != c.forms[i] {
				t.Errorf("%s: %v, want %v", c.name, forms, c.forms)
			}
		}
		for _, code := range c.codes {
			if !hasCode(n.Reasons, code) {
				t.Errorf("%s: %s is not said", c.name, code)
			}
		}
	}
	n := Emergency(NeedQuery{Lack: 3, High: 13, Mean: 8, Known: true, SyrupKg: 0.9, Combs: true, CombKg: 2}, figs)
	near(t, "combs", float64(n.Options[0].Count), 2, 0)
	near(t, "litres", n.Options[1].Litres.L(), 3/0.9, 1e-12)
	// 3 kg of stores: 3/0.9 = 3.33 kg of fondant, 3.5 by steps, two visits of at most 2.5; 3/0.8 = 3.75, 4 kg of sugar.
	near(t, "fondant", n.Options[2].Kg.Kg(), 3.5, 1e-9)
	near(t, "fondant now", n.Options[2].Now.Kg(), 2.5, 1e-9)
	near(t, "fondant visits", float64(n.Options[2].Visits), 2, 0)
	near(t, "dry sugar", n.Options[3].Kg.Kg(), 4, 1e-9)
}

func TestThinFeed(t *testing.T) {
	warm, cold := []units.Temp{14, 13, 12}, []units.Temp{14, 9, 12}
	forage := Forage{Day: day(t, "2027-04-30")}
	on := day(t, "2027-04-01")
	run := &Programme{From: day(t, "2027-03-25")}
	has := figure.Est(6, 1)
	for _, c := range []struct {
		name       string
		q          ThinQuery
		give, stop bool
		code       string
	}{
		{"lasts", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: warm, Forage: forage}, false, false, "no-need"},
		{"runs out", ThinQuery{Day: on, Stores: has, Runway: 20, Highs: warm, Forage: forage}, true, false, "runway"},
		{"21 days are enough", ThinQuery{Day: on, Stores: has, Runway: 21, Highs: warm, Forage: forage}, false, false, "no-need"},
		{"runs out, cold", ThinQuery{Day: on, Stores: has, Runway: 10, Highs: cold, Forage: forage}, false, false, "too-cold"},
		{"runs out, no forecast", ThinQuery{Day: on, Stores: has, Runway: 10, Forage: forage}, false, false, "too-cold"},
		{"super", ThinQuery{Day: on, Stores: has, Runway: 10, Highs: warm, Forage: forage, Super: true}, false, false, "super"},
		{"super on a programme", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: warm, Forage: forage, Super: true, Programme: run, Running: true}, false, true, "super"},
		{"programme", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: warm, Forage: forage, Programme: run}, true, false, "programme"},
		{"programme later", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: warm, Forage: forage, Programme: &Programme{From: on + 3}}, false, false, "programme-later"},
		{"programme too early", ThinQuery{Day: day(t, "2027-03-10"), Stores: has, Runway: 60, Highs: warm, Forage: forage, Programme: &Programme{From: day(t, "2027-03-01")}}, false, false, "too-early"},
		{"programme, cold", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: cold, Forage: forage, Programme: run}, false, false, "too-cold"},
		{"runs on", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: warm, Forage: forage, Programme: run, Running: true}, true, false, "programme"},
		{"forage", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: warm, Forage: forage, Programme: run, Running: true, Begun: true}, false, true, "forage"},
		{"past its day", ThinQuery{Day: on, Stores: has, Runway: 60, Highs: warm, Forage: forage, Programme: &Programme{From: on - 20, Until: on - 1}, Running: true}, false, true, "programme-over"},
		{"full", ThinQuery{Day: on, Stores: figure.Est(11, 1), Runway: 90, Highs: warm, Forage: forage, Programme: run, Running: true}, false, true, "full"},
		{"past its day, starving", ThinQuery{Day: on, Stores: figure.Est(1, 1), Runway: 5, Highs: warm, Forage: forage, Programme: &Programme{From: on - 20, Until: on - 1}, Running: true}, true, false, "programme-over"},
		{"not known", ThinQuery{Day: on, Runway: math.NaN(), Highs: warm, Forage: forage}, false, false, "no-reading"},
	} {
		got := ThinFeed(c.q, figs)
		if got.Give != c.give || got.Stop != c.stop || !hasCode(got.Reasons, c.code) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

func TestTally(t *testing.T) {
	all := []Wintered{
		{Colony: "1", Alive: true, Left: figure.Est(6, 1)}, {Colony: "2", Alive: true, Left: figure.Est(10, 1)}, {Colony: "3", Alive: true},
		{Colony: "4", Cause: CauseStarved, Left: figure.Est(0, 0.5), Foretold: 0.6}, {Colony: "5", Cause: CauseStarved, Left: figure.Est(7, 0.5), Foretold: 0.01},
		{Colony: "6", Cause: "queenless"}, {Colony: "7", Foretold: math.NaN()}, {Colony: "8", Cause: CauseStarved, Foretold: math.NaN()},
	}
	got := Tally(all, 4)
	if got.Colonies != 8 || got.Alive != 3 || got.Starved != 3 || got.WithFood != 1 || got.Unforeseen != 1 {
		t.Errorf("%+v", got)
	}
	want := []CauseCount{{CauseStarved, 3}, {"not known", 1}, {"queenless", 1}}
	for i := range want {
		if got.Causes[i] != want[i] {
			t.Errorf("causes %v", got.Causes)
		}
	}
	near(t, "left", got.Left.Mean, 8, 1e-12)
	near(t, "spread", got.Left.SD, 2, 1e-12)
	if x := Tally(nil, 4); x.Colonies != 0 || x.Left.Known {
		t.Errorf("nobody: %+v", x)
	}
}
