package season_test

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

func litres(x float64) units.Entered[units.Volume] {
	return units.Entered[units.Volume]{Q: units.Volume(x), As: units.Volume(x).String()}
}

func syrupTo(c string, x float64) ledger.Given {
	return ledger.Given{Colony: c, Feed: ledger.Syrup, Volume: litres(x)}
}

func TestGiftsTakeWhatIsLeftOffWhatWasGiven(t *testing.T) {
	s := newSmall(t)
	s.add(2, syrupTo("m1", 4))
	s.add(2, syrupTo("m2", 3))
	s.add(2, ledger.Given{Colony: "h1", Feed: ledger.Fondant, Mass: units.In(units.Mass(2.5))})
	s.add(3, syrupTo("m1", 2))
	s.add(4, ledger.Left{Colony: "m1", Volume: litres(1.5)})
	s.add(4, ledger.Left{Colony: "m2", Volume: litres(5)})
	s.add(4, ledger.NotFed{Colony: "h2", Why: "wasps"})
	days, sum := s.journal(t).AsOf(at).Gifts(season.GiftFilter{}, at)
	if len(days) != 3 || days[0].Day != day(4) || days[2].Day != day(2) {
		t.Fatalf("days %+v", days)
	}
	if d := days[2].Sum; d.Fills != 2 || d.Syrup != 7 || d.Fondant != 2.5 {
		t.Errorf("sum of the second: %+v", d)
	}
	byColony := map[string]season.Gift{}
	for _, g := range days[0].Gifts {
		byColony[g.Colony] = g
	}
	if g := byColony["m1"]; !g.TakenKnown || math.Abs(g.Taken.L()-4.5) > 1e-12 || g.Trouble != nil {
		t.Errorf("m1: %+v", g)
	}
	if g := byColony["m2"]; g.Trouble == nil || g.Trouble.Code != "left-more-than-given" || g.Taken != 0 {
		t.Errorf("m2: %+v", g)
	}
	if g := byColony["h2"]; g.Kind != season.GiftNotFed || g.Why != "wasps" || g.TakenKnown {
		t.Errorf("h2: %+v", g)
	}
	if sum.Fills != 3 || sum.Syrup != 9 || sum.Taken != 4.5 || sum.Looks != 2 {
		t.Errorf("sum %+v", sum)
	}
}

func TestGiftsFilter(t *testing.T) {
	s := newSmall(t)
	s.add(2, syrupTo("m1", 4))
	s.add(3, syrupTo("h1", 3))
	s.add(4, ledger.Left{Colony: "m1", Volume: litres(1)})
	st := s.journal(t).AsOf(at)
	for _, c := range []struct {
		name string
		f    season.GiftFilter
		n    int
	}{
		{"all", season.GiftFilter{}, 3},
		{"yard", season.GiftFilter{Yard: "hill"}, 1},
		{"hive", season.GiftFilter{Colony: "m1"}, 2},
		{"from", season.GiftFilter{From: day(3)}, 2},
		{"to", season.GiftFilter{To: day(3)}, 2},
		{"kind", season.GiftFilter{Kind: season.GiftLeft}, 1},
	} {
		days, _ := st.Gifts(c.f, at)
		n := 0
		for _, d := range days {
			n += len(d.Gifts)
		}
		if n != c.n {
			t.Errorf("%s: %d entries, want %d", c.name, n, c.n)
		}
	}
	// The sum of what was taken does not depend on what is shown.
	days, _ := st.Gifts(season.GiftFilter{Kind: season.GiftLeft}, at)
	if days[0].Gifts[0].Taken != 3 {
		t.Errorf("taken %v", days[0].Gifts[0].Taken)
	}
}

func TestGiftsFollowCorrections(t *testing.T) {
	s := newSmall(t)
	wrong := s.add(2, syrupTo("m1", 40))
	s.add(2, syrupTo("m1", 4))
	s.facts[len(s.facts)-1].Replaces = wrong
	st := s.journal(t).AsOf(at)
	days, sum := st.Gifts(season.GiftFilter{}, at)
	if sum.Syrup != 4 || len(days) != 1 || !days[0].Gifts[0].Corrects {
		t.Errorf("%+v %+v", sum, days)
	}
	if _, ok := st.Gift(wrong, at); ok {
		t.Error("a corrected entry is still in force")
	}
	if g, ok := st.Gift(days[0].Gifts[0].Fact, at); !ok || g.Volume.Q != 4 {
		t.Errorf("%+v", g)
	}
}

// The log and the feeder line of the judge keep the same account by different
// code: what was seen to be taken is the same.
func TestGiftsAgreeWithTheFeederLine(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newSmall(t)
		d := 1
		for range rapid.IntRange(1, 8).Draw(rt, "entries") {
			d += rapid.IntRange(1, 2).Draw(rt, "days")
			x := float64(rapid.IntRange(0, 16).Draw(rt, "quarters")) / 4
			switch rapid.IntRange(0, 4).Draw(rt, "kind") {
			case 0, 1:
				s.add(d, syrupTo("m1", x+0.25))
			case 2:
				s.add(d, ledger.Left{Colony: "m1", Volume: litres(x)})
			case 3:
				s.add(d, ledger.Taken{Colony: "m1", Volume: litres(x)})
			case 4:
				s.add(d, apiary.FeederSet{Colony: "m1", Feeder: "tray-2"})
			}
		}
		late := units.OnDay(day(29))
		st := s.journal(t).AsOf(late)
		_, sum := st.Gifts(season.GiftFilter{Colony: "m1"}, late)
		j, _ := st.JudgeOne("m1", late)
		seen := 0.0
		for _, i := range j.Intakes {
			if i.Seen {
				seen += i.Volume.Mean
			}
		}
		if math.Abs(seen-sum.Taken.L()) > 1e-9 {
			rt.Fatalf("log %.3f L, feeder line %.3f L", sum.Taken.L(), seen)
		}
	})
}

func TestComingIsTheFirstRoundOfTheYard(t *testing.T) {
	s := newSmall(t)
	st := s.journal(t).AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	c, ok := st.Coming("mill", &p)
	if !ok || c.Plan != "" || c.Fill("m1") <= 0 || c.Fill("m3") != 0 {
		t.Fatalf("%+v %v", c, ok)
	}
	if _, ok := st.Coming("nowhere", &p); ok {
		t.Error("a round in no yard")
	}
	// Taken out, it is the plan as frozen; written down, the next round.
	doc, err := p.Doc(at, units.Style{})
	if err != nil {
		t.Fatal(err)
	}
	content, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	s.add(4, season.PlanOut{Plan: "p1", Content: content})
	st = s.journal(t).AsOf(at)
	out, ok := st.Coming("mill", nil)
	if !ok || out.Plan != "p1" || out.Fill("m1") != c.Fill("m1") {
		t.Fatalf("taken out: %+v %v", out, ok)
	}
	for _, f := range out.Fills {
		s.add(4, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: units.In(f.Volume), Plan: "p1"})
	}
	next, ok := s.journal(t).AsOf(at).Coming("mill", nil)
	if ok && next.Day <= out.Day {
		t.Errorf("after writing it down: %+v", next)
	}
}

func TestComingLeavesOutWhatIsWrittenDown(t *testing.T) {
	s := newSmall(t)
	s.add(4, season.PlanOut{Plan: "p1", Content: json.RawMessage(`{"as_of":"2026-09-04","loads":[{"n":1,"day":"2026-09-05","stops":[{"yard":"mill","fills":[{"colony":"m1","fill_l":4},{"colony":"m2","fill_l":3}]}]},{"n":2,"day":"2026-09-12","stops":[{"yard":"mill","fills":[{"colony":"m1","fill_l":2}]}]}]}`)})
	s.add(4, ledger.Given{Colony: "m1", Feed: ledger.Syrup, Volume: litres(4), Plan: "p1"})
	c, ok := s.journal(t).AsOf(at).Coming("mill", nil)
	if !ok || c.Load != 1 || len(c.Fills) != 1 || c.Fill("m2") != 3 {
		t.Fatalf("%+v", c)
	}
	s.add(4, ledger.NotFed{Colony: "m2", Why: "robbing", Plan: "p1"})
	c, ok = s.journal(t).AsOf(at).Coming("mill", nil)
	if !ok || c.Load != 2 || c.Fill("m1") != 2 {
		t.Fatalf("%+v", c)
	}
}
