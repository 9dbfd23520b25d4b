package season

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// A feeder followed from reading to reading holds what one followed from the
// beginning for each reading by itself does.
func TestFeederFollowedOn(t *testing.T) {
	filled, followed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		d0 := units.DayOf(2026, time.August, 1)
		j, n := NewJournal(), 0
		add := func(d units.Day, body any) {
			n++
			if _, err := j.Add(Fact{ID: ID{6: 0x70, 8: 0x80, 14: byte(n >> 8), 15: byte(n)}, Seen: units.OnDay(d), Body: body}); err != nil {
				t.Fatal(err)
			}
		}
		add(d0, apiary.Yard{ID: "y", Station: "s"})
		add(d0, apiary.Placed{Colony: apiary.Colony{ID: "c", Yard: "y", Stand: 1, Kind: apiary.Full, Feeder: "tray-2"}})
		for d := d0; d < d0+60; d++ {
			max := units.Temp(rapid.Float64Range(-5, 30).Draw(t, "max"))
			add(d, weather.Day{Station: "s", Day: d, TMax: max, HasMax: true})
		}
		litres := func(name string) units.Entered[units.Volume] {
			return units.In(units.Volume(rapid.Float64Range(0.1, 5).Draw(t, name)))
		}
		d := d0
		for range rapid.IntRange(1, 40).Draw(t, "facts") {
			d += units.Day(rapid.IntRange(0, 3).Draw(t, "days"))
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				add(d, ledger.Given{Colony: "c", Feed: ledger.Syrup, Volume: litres("given")})
			case 1:
				add(d, ledger.Left{Colony: "c", Volume: litres("left")})
			case 2:
				add(d, apiary.FeederSet{Colony: "c", Feeder: rapid.SampledFrom([]string{"", "tray-2"}).Draw(t, "feeder")})
			case 3:
				add(d, apiary.Look{Colony: "c", Bees: rapid.Float64Range(1, 12).Draw(t, "bees"), BeesKnown: true})
			default:
				add(d, stores.Reading{Colony: "c", Way: stores.Full, Gross: units.In(units.Mass(40))})
			}
		}
		b := j.Now().bench(units.OnDay(d))
		c := b.st.colonies["c"]
		w := woodenware{}
		for i, f := range c.Events {
			w.see("c", f)
			if _, ok := f.Body.(stores.Reading); !ok || w.syrup == nil {
				continue
			}
			part, none := Colony{Colony: c.Colony, Events: c.Events[:i]}, Judged{}
			b.look(&part, f.Seen, &none)
			want := b.st.runFeeder(&part, f.Seen.Day()-1, b.uptake(&part, &none)).Now
			if w.run != nil && w.runOf == w.others {
				followed++
			}
			if got := w.inFeeder(b, c, f); got != want {
				t.Fatalf("fact %d, on %v: followed on it holds %v, from the beginning %v", i, f.Seen, got, want)
			}
			if want.Mean > 0 {
				filled++
			}
		}
	})
	if filled == 0 || followed == 0 {
		t.Errorf("%d readings had something in the feeder, %d were followed on: the histories drawn show nothing", filled, followed)
	}
}
