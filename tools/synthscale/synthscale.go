// Package synthscale makes the trace of an automatic hive scale that never
// stood under a hive: synthetic, seeded, and with the truth beside it.
//
// No series of real hive weights can be had under a licence that lets it be
// shipped, so what reads scales is tested on these. A trace is the sum of
//
//   - what the colony eats, a slow fall with a daily wave (flight, dew);
//   - feeding: sudden steps, of which the water then goes in days;
//   - jumps of the empty weight: a stone laid on, a box taken off;
//   - wet wood: rain soaks in within hours and dries over days;
//   - noise, single wild values, and gaps.
//
// Everything is drawn from one seed: the same seed gives the same trace.
package synthscale

import (
	"math"
	"math/rand/v2"
	"time"

	"larder/internal/stores"
	"larder/internal/units"
)

// Options says what kind of trace to make. The zero value of a field leaves
// that trouble out.
type Options struct {
	Seed  uint64
	From  units.Day
	Days  int
	Every int     // minutes between points; 0 = 60
	Start float64 // kg on the first midnight
	Use   float64 // kg eaten a day
	Wave  float64 // kg, half the height of the daily wave
	Noise float64 // kg, one standard deviation of a point

	Feeds   int     // times syrup is given
	FeedKg  float64 // kg at each
	Ripens  float64 // share of it that goes as water, over ten days
	Jumps   int     // changes of the empty weight
	JumpKg  float64 // up and down in turn
	Rains   int     // times the wood is soaked
	RainKg  float64 // at each; dries by half in two days
	Gaps    int     // stretches without points
	GapDays int     // length of each
	Wild    int     // single wild values
	WildKg  float64
}

// Change is a sudden change made on purpose.
type Change struct {
	At units.Moment // the first point after it
	Kg float64
}

// Truth is what the trace was made from.
type Truth struct {
	// Hive is what the hive weighed at each midnight from From on, without wave,
	// wet and noise; Stores the same without jumps of the empty weight and
	// feeding: what was eaten and dried alone.
	Hive, Stores []float64
	Feeds, Jumps []Change
	Rains        []units.Day
	Gaps         [][2]units.Day // first and last day without points
	Wild         []stores.Point
}

// Make makes a trace. Troubles are spread over days of their own, at least two
// days apart where there is room.
func Make(o Options) ([]stores.Point, Truth) {
	if o.Every == 0 {
		o.Every = 60
	}
	m := maker{o: o, src: rand.New(rand.NewPCG(o.Seed, 0x5ca1e)), sign: 1, steps: 24 * 60 / o.Every}
	for d, today := range place(o, m.src) {
		m.day(d, today)
	}
	return m.points, m.truth
}

// maker is a trace half made.
type maker struct {
	o      Options
	src    *rand.Rand
	steps  int // points a day
	points []stores.Point
	truth  Truth

	base   float64   // eaten and dried since the first midnight, below nothing
	jumps  float64   // feed and changes of the empty weight
	sign   float64   // of the next such change
	wet    float64   // water in the wood
	drying []float64 // kg a day still to go from feed, by the day it was given
}

// day adds the points of one day.
func (m *maker) day(d, today int) {
	date := m.o.From + units.Day(d)
	m.truth.Hive = append(m.truth.Hive, m.o.Start+m.base+m.jumps)
	m.truth.Stores = append(m.truth.Stores, m.o.Start+m.base)
	switch today {
	case gap:
		m.truth.gap(date)
	case soak:
		m.truth.Rains = append(m.truth.Rains, date)
	}
	goes := m.o.Use
	for _, kg := range m.drying {
		goes += kg
	}
	// Things are done at the hive in the afternoon, rain comes in the evening.
	visit, rain := 14*60/m.o.Every+m.src.IntN(2*60/m.o.Every+1), 19*60/m.o.Every
	wild, hours := 1+m.src.IntN(max(1, m.steps-2)), max(1, m.steps/8)
	for i := range m.steps {
		at := moment(date, i*m.o.Every)
		switch {
		case i == visit:
			m.visit(today, at)
		case today == soak && i >= rain && i < rain+hours:
			m.wet += m.o.RainKg / float64(hours)
		}
		part := float64(i) / float64(m.steps)
		wave := m.o.Wave * math.Sin(2*math.Pi*(part-0.25)) * daylight(part)
		p := stores.Point{At: at, Mass: units.Mass(m.o.Start + m.base + m.jumps + m.wet - goes*part + wave + m.o.Noise*m.src.NormFloat64())}
		m.wet *= math.Exp(-math.Ln2 / 2 / float64(m.steps)) // half in two days
		if today == mad && i == wild {
			p.Mass += units.Mass(m.o.WildKg)
			m.truth.Wild = append(m.truth.Wild, p)
		}
		if today != gap {
			m.points = append(m.points, p)
		}
	}
	m.base -= goes
	m.drying = age(m.drying, today == feed, m.o)
}

// visit does what is done at the hive that day.
func (m *maker) visit(today int, at units.Moment) {
	switch today {
	case feed:
		m.jumps += m.o.FeedKg
		m.truth.Feeds = append(m.truth.Feeds, Change{at, m.o.FeedKg})
	case jump:
		m.jumps += m.sign * m.o.JumpKg
		m.truth.Jumps = append(m.truth.Jumps, Change{at, m.sign * m.o.JumpKg})
		m.sign = -m.sign
	}
}

// age lets fed syrup dry in a straight line over ten days, from the day after
// on.
func age(drying []float64, fed bool, o Options) []float64 {
	if len(drying) == 10 {
		drying = drying[1:]
	}
	next := 0.0
	if fed {
		next = o.FeedKg * o.Ripens / 10
	}
	return append(drying, next)
}

// daylight is 1 while the sun is up and 0 at night, when all bees are home.
func daylight(part float64) float64 {
	if part > 0.3 && part < 0.8 {
		return 1
	}
	return 0
}

func (t *Truth) gap(d units.Day) {
	if n := len(t.Gaps); n > 0 && t.Gaps[n-1][1] == d-1 {
		t.Gaps[n-1][1] = d
		return
	}
	t.Gaps = append(t.Gaps, [2]units.Day{d, d})
}

func moment(d units.Day, minutes int) units.Moment {
	return units.At(d.Time().Add(time.Duration(minutes) * time.Minute))
}

// What happens on a day.
const (
	nothing = iota
	feed
	jump
	soak
	mad
	gap
)

// place deals the troubles to days. Two quiet days lie around each where there
// is room, so that the truth of one can be told from the other.
func place(o Options, src *rand.Rand) []int {
	plan := make([]int, o.Days)
	free := func(at, n int) bool {
		for d := at - 2; d < at+n+2; d++ {
			if d >= 0 && d < o.Days && plan[d] != nothing {
				return false
			}
		}
		return at >= 2 && at+n+2 <= o.Days
	}
	put := func(what, times, length int) {
		for range times {
			for range 1000 {
				at := src.IntN(o.Days)
				if !free(at, length) {
					continue
				}
				for d := at; d < at+length; d++ {
					plan[d] = what
				}
				break
			}
		}
	}
	put(gap, o.Gaps, max(o.GapDays, 1))
	put(feed, o.Feeds, 1)
	put(jump, o.Jumps, 1)
	put(soak, o.Rains, 1)
	put(mad, o.Wild, 1)
	return plan
}
