package season_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/stores"
	"larder/internal/units"
)

// Offers keep every giver above its target with the keeper's confidence, are
// between sound colonies of one yard whose frames fit, and agreeing to all of
// them counts: no shortage grows, and nobody who was not short becomes so.
func TestFrameOffers(t *testing.T) {
	deep := hive.Stack{Boxes: []hive.Box{{Kind: "lang10-deep"}, {Kind: "lang10-deep"}}}
	other := hive.Stack{Boxes: []hive.Box{{Kind: "bsn-deep"}, {Kind: "bsn-deep"}}}
	day := units.DayOf(2026, time.September, 4)
	now := units.OnDay(day + 1)
	rapid.Check(t, func(t *rapid.T) {
		var facts []season.Fact
		add := func(d units.Day, bodies ...any) {
			for _, b := range bodies {
				facts = append(facts, season.Fact{ID: booktest.ID(len(facts) + 1), Seen: units.OnDay(d), Body: b})
			}
		}
		add(day-100, season.Setting{Key: "rig.tank", Value: "150 L"}, season.Setting{Key: "home.lat", Value: "42.4"}, season.Setting{Key: "home.lon", Value: "-76.5"})
		for _, y := range []string{"a", "b"} {
			add(day-100, apiary.Yard{ID: y, HasPlace: true, Lat: 42.45, Lon: -76.5, Stop: units.DayOf(2026, time.October, 20)})
		}
		sound := map[string]bool{}
		yard := map[string]string{}
		n := rapid.IntRange(2, 8).Draw(t, "hives")
		for i := range n {
			id := fmt.Sprintf("h%d", i)
			yard[id] = rapid.SampledFrom([]string{"a", "b"}).Draw(t, "yard")
			stack := deep
			if rapid.IntRange(0, 5).Draw(t, "kind") == 0 {
				stack = other
			}
			add(day-90, apiary.Placed{Colony: apiary.Colony{ID: id, Yard: yard[id], Stand: i + 1, Kind: apiary.Full, Stack: stack, Feeder: "tray-2", Target: 27}})
			disease := rapid.SampledFrom([]apiary.Answer{apiary.No, apiary.No, apiary.No, apiary.Yes, apiary.Unknown}).Draw(t, "disease")
			sound[id] = disease == apiary.No
			add(day, apiary.Look{Colony: id, Bees: 12, BeesKnown: true, Disease: disease, Treatment: apiary.No, Super: apiary.No},
				stores.Reading{Colony: id, Way: stores.Full, Gross: units.In(units.Mass(rapid.IntRange(40, 110).Draw(t, "kg")))})
		}
		j := season.NewJournal()
		if _, err := j.Add(facts...); err != nil {
			t.Fatal(err)
		}
		st := j.AsOf(now)
		p, err := st.Plan(now, 1)
		if err != nil {
			t.Fatal(err)
		}
		gives := map[string]figure.Estimate{}
		for _, o := range p.Frames {
			if o.Agreed || o.From == o.To || yard[o.From] != yard[o.To] || !sound[o.From] || !sound[o.To] || o.Frames < 1 || o.Syrup <= 0 {
				t.Fatalf("%+v", o)
			}
			g := gives[o.From]
			gives[o.From] = figure.Est(g.Mean+o.Mass.Mean, math.Hypot(g.SD, o.Mass.SD))
		}
		before := map[string]season.Short{}
		for _, x := range p.Short {
			before[x.Colony.ID] = x
			if g, ok := gives[x.Colony.ID]; ok {
				e := x.Lack.Stores
				if left := figure.Est(e.Mean-g.Mean, math.Hypot(e.SD, g.SD)); left.Below(x.Lack.Target.Kg()) > 0.1+1e-9 {
					t.Fatalf("%s gives %v of %v and has a target of %v", x.Colony.ID, g, e, x.Lack.Target)
				}
			}
		}
		q, err := st.PlanAllFrames(now, 1, &p)
		if err != nil {
			t.Fatal(err)
		}
		if (q == nil) != (len(p.Frames) == 0) {
			t.Fatal("a plan of no offers, or none of some")
		}
		if q == nil {
			return
		}
		for _, x := range q.Short {
			if x.Lack.Syrup > before[x.Colony.ID].Lack.Syrup {
				t.Fatalf("%s is to get more with the frames than without", x.Colony.ID)
			}
		}
		counted := 0
		for _, o := range q.Frames {
			if o.Agreed {
				counted++
				if len(o.Off) > 0 {
					t.Fatalf("an offer agreed to does not count: %+v", o)
				}
			}
		}
		if counted != len(p.Frames) || p.Against(q).Syrup > 0 {
			t.Fatalf("%d of %d counted, %v", counted, len(p.Frames), p.Against(q).Syrup)
		}
	})
}

func TestAgreedIsChecked(t *testing.T) {
	for _, b := range []ledger.Agreed{{}, {Colony: "a"}, {Colony: "a", From: "a", Frames: 1}, {Colony: "a", From: "b", Frames: -1}, {Colony: "a", From: "b", Frame: "nosuch"}} {
		f := season.Fact{ID: season.DerivedID("x", nil, 0), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: b}
		if f.Check() == nil {
			t.Errorf("%+v may be kept", b)
		}
	}
}
