package booktest

import (
	"time"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/supplement"
	"larder/internal/units"
	"larder/internal/weather"
)

// AnySet draws a set of good facts about few colonies and few hours, so that
// they meet: same moments, corrections and strikes of each other, strikes of
// strikes, of facts that are not there, and round in circles.
func AnySet(max int) *rapid.Generator[[]season.Fact] {
	return rapid.Custom(func(t *rapid.T) []season.Fact {
		n := rapid.IntRange(0, max).Draw(t, "n")
		facts := make([]season.Fact, n)
		for i := range facts {
			facts[i] = season.Fact{
				ID: ID(i + 1), Seen: anyMoment.Draw(t, "seen"), Body: anyBody.Draw(t, "body"),
				By: rapid.SampledFrom([]string{"", "desk", "phone"}).Draw(t, "by"),
			}
			if rapid.Bool().Draw(t, "made noted") {
				facts[i].Made = anyMoment.Draw(t, "made")
			}
			// n+1 is an id that is not there.
			other := func(what string) season.ID { return ID(rapid.IntRange(1, n+1).Draw(t, what)) }
			switch rapid.IntRange(0, 5).Draw(t, "against") {
			case 0:
				if id := other("struck"); id != facts[i].ID {
					facts[i].Body = season.Strike{Fact: id}
				}
			case 1:
				if id := other("corrected"); id != facts[i].ID {
					facts[i].Replaces = id
				}
			}
		}
		return facts
	})
}

var anyMoment = rapid.Custom(func(t *rapid.T) units.Moment {
	hour := rapid.IntRange(0, 60).Draw(t, "hour")
	if rapid.IntRange(0, 4).Draw(t, "bare day") == 0 {
		return units.OnDay(at(hour).Day())
	}
	zone := time.FixedZone("", 60*rapid.SampledFrom([]int{-240, 0, 60, 345}).Draw(t, "zone"))
	return units.At(at(hour).Time().In(zone))
})

var (
	anyColony  = rapid.SampledFrom([]string{"1", "2", "10", "weak"})
	anyYard    = rapid.SampledFrom([]string{"north", "south", "east"})
	anyMass    = rapid.Custom(func(t *rapid.T) units.Mass { return units.Mass(rapid.IntRange(1, 900).Draw(t, "hg")) / 10 })
	anyEntered = rapid.Custom(func(t *rapid.T) units.Entered[units.Mass] {
		if rapid.Bool().Draw(t, "in pounds") {
			return lb(rapid.StringMatching(`[1-9][0-9]?(\.[1-9])? lb`).Draw(t, "mass"))
		}
		return units.In(anyMass.Draw(t, "mass"))
	})
	anyVolume = rapid.Custom(func(t *rapid.T) units.Entered[units.Volume] {
		return gal(rapid.StringMatching(`[1-9](\.[1-9])? (L|US gal|US qt)`).Draw(t, "volume"))
	})
	anyNote = rapid.OneOf(rapid.Just(""), rapid.String())
	anyDay  = rapid.Custom(func(t *rapid.T) units.Day { return at(24 * rapid.IntRange(0, 5).Draw(t, "day")).Day() })
)

var anyBody = rapid.OneOf(
	anyOf(func(t *rapid.T) apiary.Yard {
		return apiary.Yard{ID: anyYard.Draw(t, "yard"), Climate: rapid.SampledFrom([]apiary.Climate{"", apiary.Mild, apiary.Cold}).Draw(t, "climate"), Access: anyNote.Draw(t, "access")}
	}),
	anyOf(func(t *rapid.T) apiary.Placed { return apiary.Placed{Colony: drawColony(t)} }),
	anyOf(func(t *rapid.T) apiary.Moved {
		return apiary.Moved{Colony: anyColony.Draw(t, "colony"), Yard: anyYard.Draw(t, "yard"), Stand: rapid.IntRange(0, 9).Draw(t, "stand")}
	}),
	anyOf(func(t *rapid.T) apiary.Restacked {
		return apiary.Restacked{Colony: anyColony.Draw(t, "colony"), Stack: hive.Stack{Boxes: []hive.Box{{Kind: "lang10-deep", Frames: rapid.IntRange(0, 10).Draw(t, "frames")}}}}
	}),
	anyOf(func(t *rapid.T) apiary.FeederSet {
		return apiary.FeederSet{Colony: anyColony.Draw(t, "colony"), Feeder: rapid.SampledFrom([]string{"", "jar", "top2"}).Draw(t, "feeder")}
	}),
	anyOf(func(t *rapid.T) apiary.United {
		u := apiary.United{From: anyColony.Draw(t, "from"), Into: anyColony.Draw(t, "into")}
		if u.From == u.Into {
			u.Into = "other"
		}
		return u
	}),
	anyOf(func(t *rapid.T) apiary.Split {
		s := apiary.Split{From: anyColony.Draw(t, "from"), New: drawColony(t), Stores: anyMass.Draw(t, "stores")}
		if s.From == s.New.ID {
			s.From = "other"
		}
		return s
	}),
	anyOf(func(t *rapid.T) apiary.Ended {
		return apiary.Ended{Colony: anyColony.Draw(t, "colony"), State: rapid.SampledFrom([]apiary.State{apiary.Dead, apiary.Sold}).Draw(t, "state")}
	}),
	anyOf(func(t *rapid.T) apiary.Look {
		return apiary.Look{Colony: anyColony.Draw(t, "colony"), Bees: float64(rapid.IntRange(0, 40).Draw(t, "bees")) / 4, BeesKnown: true,
			Queen: apiary.Answer(rapid.IntRange(0, 2).Draw(t, "queen")), Note: anyNote.Draw(t, "note")}
	}),
	anyOf(func(t *rapid.T) stores.Reading {
		return stores.Reading{Colony: anyColony.Draw(t, "colony"), Way: stores.LiftBoth, Lift1: anyEntered.Draw(t, "lift1"), Lift2: anyEntered.Draw(t, "lift2"), Note: anyNote.Draw(t, "note")}
	}),
	anyOf(func(t *rapid.T) ledger.Given {
		return ledger.Given{Colony: anyColony.Draw(t, "colony"), Feed: ledger.Comb, Mass: anyEntered.Draw(t, "mass"), From: anyColony.Draw(t, "from")}
	}),
	anyOf(func(t *rapid.T) ledger.Given {
		return ledger.Given{Colony: anyColony.Draw(t, "colony"), Feed: ledger.Syrup, Volume: anyVolume.Draw(t, "volume"), Strength: units.Strength(rapid.IntRange(0, 1000).Draw(t, "strength")) / 1000}
	}),
	anyOf(func(t *rapid.T) ledger.NotFed { return ledger.NotFed{Colony: anyColony.Draw(t, "colony"), Why: "full"} }),
	anyOf(func(t *rapid.T) ledger.Left {
		return ledger.Left{Colony: anyColony.Draw(t, "colony"), Volume: anyVolume.Draw(t, "volume")}
	}),
	anyOf(func(t *rapid.T) ledger.Taken {
		return ledger.Taken{Colony: anyColony.Draw(t, "colony"), Volume: anyVolume.Draw(t, "volume")}
	}),
	anyOf(func(t *rapid.T) ledger.Batch {
		return ledger.Batch{ID: rapid.SampledFrom([]string{"b1", "b2"}).Draw(t, "batch"), Volume: anyVolume.Draw(t, "volume"), Lots: []string{anyNote.Draw(t, "lot")}}
	}),
	anyOf(func(t *rapid.T) ledger.Purchase {
		return ledger.Purchase{Item: rapid.SampledFrom([]string{"sugar", "fondant"}).Draw(t, "item"), Mass: anyEntered.Draw(t, "mass"), Note: anyNote.Draw(t, "note")}
	}),
	anyOf(func(t *rapid.T) ledger.Handled {
		return ledger.Handled{What: rapid.SampledFrom([]ledger.Happening{ledger.Spilt, ledger.Counted}).Draw(t, "what"), Item: rapid.SampledFrom([]string{"sugar", "fondant"}).Draw(t, "item"), Mass: anyEntered.Draw(t, "mass")}
	}),
	anyOf(func(t *rapid.T) ledger.Handled {
		return ledger.Handled{What: ledger.Back, Batch: rapid.SampledFrom([]string{"b1", "b2"}).Draw(t, "batch"), Volume: anyVolume.Draw(t, "volume"), Note: anyNote.Draw(t, "note")}
	}),
	anyOf(func(t *rapid.T) supplement.Label {
		return supplement.Label{Product: rapid.SampledFrom([]string{"x", "y"}).Draw(t, "product"), OpenedDays: supplement.Saying(supplement.Days(rapid.IntRange(0, 99).Draw(t, "days")))}
	}),
	anyOf(func(t *rapid.T) supplement.Weighing {
		return supplement.Weighing{Product: rapid.SampledFrom([]string{"x", "y"}).Draw(t, "product"), Spoonfuls: 5, Together: anyEntered.Draw(t, "mass")}
	}),
	anyOf(func(t *rapid.T) weather.Day {
		lo := rapid.IntRange(-200, 200).Draw(t, "low")
		return weather.Day{Station: anyYard.Draw(t, "station"), Day: anyDay.Draw(t, "day"), TMin: units.Temp(lo) / 10, TMax: units.Temp(lo+rapid.IntRange(0, 200).Draw(t, "range")) / 10,
			HasMin: true, HasMax: true, Forecast: rapid.Bool().Draw(t, "forecast")}
	}),
	anyOf(func(t *rapid.T) weather.Station {
		return weather.Station{ID: anyYard.Draw(t, "station"), HasElev: true, Elev: units.Length(rapid.IntRange(0, 900).Draw(t, "elev"))}
	}),
	anyOf(func(t *rapid.T) season.Truck {
		return season.Truck{Name: anyYard.Draw(t, "truck"), Tank: units.Volume(rapid.IntRange(1, 900).Draw(t, "tank")), Gone: rapid.Bool().Draw(t, "gone")}
	}),
	anyOf(func(t *rapid.T) season.WorkingDay {
		return season.WorkingDay{Day: anyDay.Draw(t, "day"), People: rapid.IntRange(0, 12).Draw(t, "people"), Off: rapid.Bool().Draw(t, "off")}
	}),
	anyOf(func(t *rapid.T) season.Feedable {
		return season.Feedable{Yard: anyYard.Draw(t, "yard"), Day: anyDay.Draw(t, "day"), Round: apiary.Answer(rapid.IntRange(0, 2).Draw(t, "round")), FactorKnown: true, Factor: float64(rapid.IntRange(0, 4).Draw(t, "factor")) / 4}
	}),
	anyOf(func(t *rapid.T) season.Need {
		return season.Need{Colony: anyColony.Draw(t, "colony"), Volume: anyVolume.Draw(t, "volume")}
	}),
	anyOf(func(t *rapid.T) season.Source {
		return season.Source{Place: "s" + anyYard.Draw(t, "place"), OnHand: anyVolume.Draw(t, "have"), Gone: rapid.Bool().Draw(t, "gone")}
	}),
	anyOf(func(t *rapid.T) ledger.Agreed {
		return ledger.Agreed{Colony: "a" + anyYard.Draw(t, "to"), From: "b" + anyYard.Draw(t, "from"), Frames: rapid.IntRange(0, 4).Draw(t, "frames")}
	}),
	anyOf(func(t *rapid.T) apiary.Chore {
		return apiary.Chore{Yard: anyYard.Draw(t, "yard"), What: rapid.SampledFrom(append(season.OpeningChores(), season.ClosingChores()...)).Draw(t, "chore")}
	}),
	anyOf(func(t *rapid.T) season.Road {
		return season.Road{From: "", To: anyYard.Draw(t, "to"), Dist: units.Length(rapid.IntRange(0, 50000).Draw(t, "metres"))}
	}),
	anyOf(func(t *rapid.T) season.Setting {
		return rapid.SampledFrom([]season.Setting{{Key: "house.name", Value: "A"}, {Key: "house.name", Value: "B"}, {Key: "house.name"}, {Key: "feed.care", Value: "1 in 20"}}).Draw(t, "setting")
	}),
	anyOf(func(t *rapid.T) season.PlanOut {
		return season.PlanOut{Plan: rapid.SampledFrom([]string{"p1", "p2"}).Draw(t, "plan"), Content: []byte(`{"loads":[]}`)}
	}),
)

func anyOf[B any](draw func(*rapid.T) B) *rapid.Generator[any] {
	return rapid.Custom(func(t *rapid.T) any { return draw(t) })
}

func drawColony(t *rapid.T) apiary.Colony {
	return apiary.Colony{ID: anyColony.Draw(t, "colony"), Yard: anyYard.Draw(t, "yard"), Stand: rapid.IntRange(0, 9).Draw(t, "stand"),
		Kind: rapid.SampledFrom([]apiary.Kind{apiary.Full, apiary.Nuc}).Draw(t, "kind"), Target: anyMass.Draw(t, "target")}
}
