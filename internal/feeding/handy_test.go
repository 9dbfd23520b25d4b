package feeding

import (
	"fmt"
	"math"
	"testing"

	"larder/internal/units"
	"pgregory.net/rapid"
)

// beforeHandy gives the plan as it stands before its fills are made handy.
func beforeHandy(p Problem) (*solution, error) {
	j, err := prepare(&p)
	if err != nil || j.tank == 0 {
		return nil, err
	}
	j.setUp()
	s := j.newSearch(j.begin())
	s.run()
	return j.byLoads(s.best).sooner(), nil
}

// counted is what of a plan must not change, and its odd fills.
type counted struct{ lids, odd int }

func (s *solution) counted() (c counted) {
	for y := range s.yards {
		for _, h := range s.fed[y] {
			days, fills := s.fillsTo(y, h)
			b := s.start(h)
			for i, d := range days {
				c.lids++
				if !s.pourable(h, s.content(h, &b, d), fills[i].v) {
					c.odd++
				}
				s.pour(h, &b, d, fills[i].v)
			}
		}
	}
	return c
}

func (s *solution) givenBy(h int) (v micro) {
	_, fills := s.fillsTo(s.hives[h].yard, h)
	for _, f := range fills {
		v += f.v
	}
	return v
}

// TestHandyTakesNothingAway: whatever the season, handy fills leave loads, road,
// lids and everybody served in full as they were, take less than a step from
// whom the plan leaves short, and are no more odd than before.
func TestHandyTakesNothingAway(t *testing.T) {
	changed := 0
	rapid.Check(t, func(t *rapid.T) {
		p := someProblem(t)
		p.Iterations = rapid.IntRange(1, 60).Draw(t, "steps")
		s, err := beforeHandy(p)
		if err != nil {
			t.Fatal(err)
		}
		if s == nil {
			return
		}
		s.weigh()
		x := s.handy()
		a, b := s.counted(), x.counted()
		if b.lids != a.lids || b.odd > a.odd || x.mark.loads != s.mark.loads || x.mark.exactDist != s.mark.exactDist || x.mark.dry > s.mark.dry {
			t.Errorf("%+v %+v became %+v %+v", a, s.mark, b, x.mark)
		}
		if d := x.worked() - s.worked(); d > tick(60*len(s.hives))+s.mix.time { // a batch more at most
			t.Errorf("%d ms more work", d)
		}
		for h := range s.hives {
			was, is := s.givenBy(h), x.givenBy(h)
			full := s.hives[h].want-was <= dust
			if full && s.hives[h].want-is > dust || was-is >= s.step || is > s.hives[h].want {
				t.Errorf("%s gets %d µL, was to get %d of %d", s.hives[h].Colony, is, was, s.hives[h].want)
			}
		}
		if y := x.handy(); y.counted() != x.counted() {
			t.Errorf("made handy twice: %+v, %+v", x.counted(), y.counted())
		}
		if b.odd < a.odd {
			changed++
		}
	})
	if changed == 0 {
		t.Error("no season had a fill made handy: this test holds nothing")
	}
	t.Logf("%d seasons had fills made handy", changed)
}

// TestSharedTankIsPoured: where two yards share tanks that suffice just for them,
// litres come out odd, and handy fills make nearly all of them whole steps.
func TestSharedTankIsPoured(t *testing.T) {
	half, err := set.With("feeding.step_l", 0.5)
	if err != nil {
		t.Fatal(err)
	}
	var was, is counted
	for seed := range uint64(12) {
		p := smallProblem(seed, 4)
		p.Figures = half
		for i := range p.Hives {
			p.Hives[i].Need = HandyNeed(p.Hives[i].Need, 0, 0.5)
		}
		s, err := beforeHandy(p)
		if err != nil {
			t.Fatal(err)
		}
		a, b := s.counted(), s.handy().counted()
		was.lids, was.odd, is.odd = was.lids+a.lids, was.odd+a.odd, is.odd+b.odd
		mustMake(t, p)
	}
	if was.odd < 8 || is.odd*5 > was.odd {
		t.Errorf("of %d fills %d were odd and %d are", was.lids, was.odd, is.odd)
	}
	t.Logf("of %d fills %d were odd and %d are", was.lids, was.odd, is.odd)
}

// TestHandyByHand: two feeders of 6 L, a tank of 9.3 L: the flow gives 5.3 L and
// 4 L, in half litres that is 5 or 5.5 and 4 or 3.5; each still gets its 8 L.
func TestHandyByHand(t *testing.T) {
	half, err := set.With("feeding.step_l", 0.5)
	if err != nil {
		t.Fatal(err)
	}
	p := tiny()
	p.Figures, p.Hives = half, p.Hives[:2]
	p.Yards, p.Days = p.Yards[:1], 4
	p.Yards[0].Feed, p.Yards[0].Factor, p.Yards[0].Stop = []bool{true, false, false, true}, full(4, 1), start+3
	p.Rigs[0].Tank = 9.3
	for i := range p.Hives {
		p.Hives[i].Need, p.Hives[i].Feeder, p.Hives[i].Uptake = 8, 6, 4
	}
	p.Crew.LoadsPerDay = 1
	if s, err := beforeHandy(p); err != nil || s.counted().odd == 0 {
		t.Errorf("%v: nothing odd to begin with", err)
	}
	pl := mustMake(t, p)
	if len(pl.Unmet) > 0 || len(pl.Loads) != 2 {
		t.Fatalf("want both served with two loads\n%s", dump(pl))
	}
	for _, l := range pl.Loads {
		for _, f := range l.Stops[0].Fills {
			if v := f.Volume.L(); math.Abs(2*v-math.Round(2*v)) > 1e-3 {
				t.Errorf("%s gets %v L on %s", f.Colony, v, l.Day)
			}
		}
	}
}

func TestHandyNeed(t *testing.T) {
	for _, c := range []struct{ need, in, step, want, room float64 }{
		{5, 0, 0.5, 5, 5}, {5.1, 0, 0.5, 5.5, 5}, {5, 0.8, 0.5, 5.3, 4.8}, {5.3, 0.8, 0.5, 5.3, 5.3}, {0.6, 0.8, 0.5, 0.6, 0.6},
		{5, 0.8, 0, 5, 5}, {0, 0, 0.5, 0, 0}, {10.5 * units.USQuart.L(), 0, units.USQuart.L() / 2, 10.5 * units.USQuart.L(), 10.5 * units.USQuart.L()},
	} {
		n, r := HandyNeed(units.Volume(c.need), units.Volume(c.in), units.Volume(c.step)), HandyRoom(units.Volume(c.need), units.Volume(c.in), units.Volume(c.step))
		if math.Abs(n.L()-c.want) > 1e-9 || math.Abs(r.L()-c.room) > 1e-9 {
			t.Errorf("%v: need %v, room %v", fmt.Sprint(c), n, r)
		}
	}
}

// A feeder of so many US quarts loses none of them to the rounding of its litres:
// 1 US gal is 231 cubic inches of 16.387064 mL, which is 3.785411784 L.
func TestHandyFeederIsAsPrinted(t *testing.T) {
	const quart = 231 * 16.387064e-3 / 4
	for _, c := range []struct{ holds, step, want float64 }{
		{15.14, quart / 2, 16 * quart}, {7.57, quart / 2, 8 * quart}, {3.785, quart / 2, 4 * quart}, {2.84, quart / 2, 3 * quart},
		{3.8, quart / 2, 3.8},              // a gallon pail that holds more is not a gallon
		{15, quart / 2, 15}, {15, 0.5, 15}, // litres
		{15.14, 0, 15.14}, {0, 0.5, 0}, {0.1, 0.5, 0.1}, // nothing to round to
	} {
		if got := HandyFeeder(units.Volume(c.holds), units.Volume(c.step)).L(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%g L in steps of %.4f: %.6f, want %.6f", c.holds, c.step, got, c.want)
		}
	}
}
