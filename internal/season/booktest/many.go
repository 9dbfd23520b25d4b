package booktest

import (
	"fmt"
	"math/rand/v2"
	"time"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// Many makes a large season: so many colonies, forty to a yard, over so many
// years, about twenty facts a colony and year, with a weather station for every
// ten yards. The same arguments give the same facts, in the order in which they
// would have come in: a yard's round in walking order, now and then a slip
// corrected or struck.
func Many(colonies, years int) []season.Fact {
	m := maker{rng: rand.New(rand.NewPCG(1, uint64(colonies)<<8|uint64(years)))}
	yards := (colonies + 39) / 40
	first := units.DayOf(2023, 3, 1)
	for y := range yards {
		m.add(first, 8, apiary.Yard{ID: yardName(y), Station: fmt.Sprintf("station-%d", y/10)})
	}
	for c := range colonies {
		m.add(first, 9, apiary.Placed{Colony: apiary.Colony{ID: colonyName(c), Yard: yardName(c / 40), Stand: c%40 + 1, Kind: apiary.Full,
			Stack: hive.Stack{Boxes: []hive.Box{{Kind: "lang10-deep"}, {Kind: "lang10-medium"}}}}})
	}
	for day := range units.Day(365 * years) {
		d := first + day
		for s := 0; s*10 < yards; s++ {
			m.add(d, 23, weather.Day{Station: fmt.Sprintf("station-%d", s), Day: d, TMax: m.tenths(-50, 350), TMin: m.tenths(-200, -60),
				HasMax: true, HasMin: true, HasRain: true, Rain: float64(m.rng.IntN(300)) / 10})
		}
		// A yard is visited every three weeks or so; over a year that makes
		// twenty facts for each of its colonies.
		for y := range yards {
			if (int(day)+y*5)%23 == 0 {
				m.round(d, y, colonies)
			}
		}
	}
	return m.facts
}

func yardName(y int) string   { return fmt.Sprintf("yard %d", y+1) }
func colonyName(c int) string { return fmt.Sprintf("%d-%d", c/40+1, c%40+1) }

type maker struct {
	rng   *rand.Rand
	facts []season.Fact
}

func (m *maker) tenths(lo, hi int) units.Temp { return units.Temp(lo+m.rng.IntN(hi-lo)) / 10 }

func (m *maker) add(d units.Day, hour int, body any) season.ID {
	n := len(m.facts)
	zone := time.FixedZone("", -4*3600)
	t := time.Date(d.Year(), d.Month(), d.DayOfMonth(), hour, n%60, 0, n%1000*1e6, zone)
	f := season.Fact{ID: ID(n), Seen: units.At(t), By: "phone-2", Body: body}
	if m.rng.IntN(3) > 0 { // written down a little later
		f.Made = units.At(t.Add(time.Duration(m.rng.IntN(90)) * time.Second))
	}
	m.facts = append(m.facts, f)
	return f.ID
}

// round is one visit to a yard: a fact or so for each colony, of the kind the
// time of year asks for.
func (m *maker) round(d units.Day, y, colonies int) {
	for c := y * 40; c < min(colonies, y*40+40); c++ {
		name := colonyName(c)
		switch m.rng.IntN(6) {
		case 0, 1:
			id := m.add(d, 10, stores.Reading{Colony: name, Way: stores.LiftBoth, Lift1: m.pounds(30, 70), Lift2: m.pounds(30, 70)})
			if m.rng.IntN(50) == 0 {
				m.add(d, 18, season.Strike{Fact: id, Why: "wrong hive"})
			}
		case 2:
			m.add(d, 10, stores.Reading{Colony: name, Way: stores.Frames, Frames: []stores.FrameCount{
				{Box: "lang10-deep", Sealed: float64(m.rng.IntN(32)) / 4}, {Box: "lang10-medium", Sealed: float64(m.rng.IntN(36)) / 4, Open: 0.5}}})
		case 3, 4:
			m.add(d, 11, ledger.Left{Colony: name, Volume: m.quarts(0, 8)})
			m.add(d, 11, ledger.Given{Colony: name, Feed: ledger.Syrup, Volume: m.quarts(4, 12), Strength: 0.667, Batch: fmt.Sprintf("b%d", int(d))})
		case 5:
			m.add(d, 12, apiary.Look{Colony: name, Bees: float64(m.rng.IntN(40)) / 4, BeesKnown: true, Brood: float64(m.rng.IntN(20)) / 4, BroodKnown: true, Queen: apiary.Yes})
		}
	}
}

func (m *maker) pounds(lo, hi int) units.Entered[units.Mass] {
	return lb(fmt.Sprintf("%d lb", lo+m.rng.IntN(hi-lo)))
}

func (m *maker) quarts(lo, hi int) units.Entered[units.Volume] {
	return gal(fmt.Sprintf("%d US qt", lo+m.rng.IntN(hi-lo)))
}
