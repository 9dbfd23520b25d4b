package season_test

import (
	"math"
	"testing"

	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// What the list of the short says is still to be given is what the plan gives or
// leaves unmet, hive by hive, with syrup in the feeders; nothing in a feeder is
// asked for again.
func TestWhatIsToBeGivenIsThePlans(t *testing.T) {
	small := newSmall(t)
	for c, l := range map[string]units.Volume{"m1": 6, "m2": 40, "h1": 1.3} {
		small.add(4, ledger.Given{Colony: c, Feed: ledger.Syrup, Volume: units.In(l)})
	}
	at := units.OnDay(day(4))
	st := small.journal(t).AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	of := map[string]float64{}
	for _, c := range p.Colonies {
		of[c.Colony] += c.Given.L()
	}
	for _, u := range p.Unmet {
		of[u.Colony] += u.Volume.L()
	}
	shorts := st.Short(at)
	inFeeders := 0
	for i := range shorts {
		x := &shorts[i]
		if x.Feeder.Mean > 0.25 && x.Lack.Syrup > 0 {
			inFeeders++
			if x.Give > 0 && x.Give >= x.Lack.Syrup {
				t.Errorf("%s: %v of %v with %.2f L in its feeder", x.Colony.ID, x.Give, x.Lack.Syrup, x.Feeder.Mean)
			}
		}
		want := 0.0
		if x.ToFeed() {
			want = x.Give.L()
		}
		if math.Abs(of[x.Colony.ID]-want) > 0.01 {
			t.Errorf("%s: to be given %.2f L, the plan has %.2f", x.Colony.ID, want, of[x.Colony.ID])
		}
	}
	if inFeeders == 0 {
		t.Error("nothing stands in a feeder: the test says nothing")
	}
	sum := season.Sum(shorts)
	if n := sum.Feed + sum.Waiting + sum.NoRoom + sum.Enough + sum.NotKnown + sum.Held; n != sum.Colonies {
		t.Errorf("%d of %d colonies are counted", n, sum.Colonies)
	}
}
