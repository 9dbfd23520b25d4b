package season_test

import (
	"math"
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// What a yard is told of its bees counts for the weight told with it. Twelve
// Langstroth frames of bees, both sides, are about 2.6 kg (12 × 2 × 1090 bees of
// 0.11 g, evidence base §2.2); the same weight with four frames of bees leaves 8
// frames, 1.9 kg, more of stores. One pound of bees is 4000 (Oliver, ABJ 2016), so
// it must be 1.5 to 2.3 kg by either.
func TestBeesToldWithTheWeightCount(t *testing.T) {
	of := func(bees float64) float64 {
		s := &small{}
		s.add(1, apiary.Yard{ID: "y", Climate: apiary.Cold, Stop: day(30)})
		s.add(1, apiary.Placed{Colony: apiary.Colony{ID: "y-1", Yard: "y", Kind: apiary.Full, Stack: mustStack(t, "lang10-deep x2"), Feeder: "tray-2"}})
		r, err := season.ReadWhole("140 lb", units.Style{})
		if err != nil {
			t.Fatal(err)
		}
		tell(t, s, "y", season.Whole{Reading: r, Bees: bees, BeesKnown: true, Safe: true})
		at := units.OnDay(day(4))
		j, _ := s.journal(t).AsOf(at).JudgeOne("y-1", at)
		for _, x := range j.Track.Now.Reasons {
			if x.Code == "no-look" {
				t.Errorf("%v frames: %s", bees, x.Say)
			}
		}
		return j.Stores().Mean
	}
	if d := of(4) - of(12); d < 1.5 || d > 2.3 {
		t.Errorf("8 frames of bees more are %.2f kg less stores", d)
	}
}

// Of several looks the one before a reading counts; without one, that of the same
// day written later, else the next. What was seen after the day asked for is not
// known on it.
func TestWhichLookCountsForAReading(t *testing.T) {
	type look struct {
		day  int
		bees float64
	}
	judged := func(asOf int, looks ...look) float64 {
		s := &small{}
		s.add(1, apiary.Yard{ID: "y", Climate: apiary.Cold, Stop: day(30)})
		s.add(1, apiary.Placed{Colony: apiary.Colony{ID: "y-1", Yard: "y", Kind: apiary.Full, Stack: mustStack(t, "lang10-deep x2"), Feeder: "tray-2"}})
		s.add(6, stores.Reading{Colony: "y-1", Way: stores.Full, Gross: units.In(units.Mass(60))})
		for _, l := range looks {
			s.add(l.day, apiary.Look{Colony: "y-1", Bees: l.bees, BeesKnown: true})
		}
		at := units.OnDay(day(asOf))
		j, _ := s.journal(t).AsOf(at).JudgeOne("y-1", at)
		return j.Track.History[len(j.Track.History)-1].Read.Mean
	}
	same := func(what string, a, b float64) {
		if math.Abs(a-b) > 1e-9 {
			t.Errorf("%s: %.3f and %.3f kg", what, a, b)
		}
	}
	none := judged(12)
	same("the same day, written later", judged(12, look{6, 14}), judged(12, look{5, 14}))
	same("one before and a later one", judged(12, look{5, 14}, look{8, 4}), judged(12, look{5, 14}))
	same("one before and one of the day", judged(12, look{2, 4}, look{6, 14}), judged(12, look{6, 14}))
	same("only a later one", judged(12, look{8, 14}), judged(12, look{5, 14}))
	same("the nearer of two later", judged(12, look{8, 14}, look{10, 4}), judged(12, look{8, 14}))
	same("one still to come", judged(7, look{8, 14}), judged(7))
	if math.Abs(judged(12, look{6, 14})-none) < 0.1 {
		t.Error("the look changes nothing: the test says nothing")
	}
}
