package stores

import (
	"math"
	"slices"
	"strings"

	"larder/internal/figure"
	"larder/internal/units"
)

// Fed is food that became stores: syrup taken from a feeder, sealed combs given
// or (Gain below nothing) taken out, stores that came or went with bees.
//
// Gain counts in full from its moment; the water still in syrup is not stores,
// it is taken off readings by weight instead. Syrup emptied over several days
// is best given as several Feds.
type Fed struct {
	ID   string
	At   units.Moment // when it was taken
	Gain figure.Estimate
	// Syrup is the weight of the syrup as taken, water and all; 0 = it needs
	// no ripening.
	Syrup    units.Mass
	Strength units.Strength // of that syrup; 0 = not told
}

// Seen is one judged reading on the time line.
type Seen struct {
	ID  string
	At  units.Moment
	Est Estimate
}

// Line is the time line of one colony.
type Line struct {
	Seen  []Seen
	Fed   []Fed
	Eaten Eaten
	Until units.Moment // what is later is not counted; zero = the last event
	// Room is the most its combs hold, in kg; not known = no limit.
	Room    figure.Estimate
	Figures figure.Set
}

// StepKind says what a step of a history was.
type StepKind string

// The kinds.
const (
	StepSeen StepKind = "seen"
	StepFed  StepKind = "fed"
)

// Step is one event of a history: what was expected just before it, what it
// said, and what was believed after.
type Step struct {
	ID        string
	Kind      StepKind
	Moment    units.Moment
	Predicted figure.Estimate
	Read      figure.Estimate // StepSeen: the reading, with unripe syrup taken off
	Gained    figure.Estimate // StepFed
	After     figure.Estimate
	Reasons   []Reason
	Question  *Reason
}

// Track is what is believed of one colony's stores.
type Track struct {
	At      units.Moment
	Now     Estimate // as of At; not Known without a reading
	History []Step   // in order of time
}

// The filter.
//
// State: stores s and the error b of the hive's empty weight, with their
// variances and covariance. A weighing reads z = s + b + noise, any other
// reading z = s + noise. b does not change until the woodenware does, so two
// weighings with one wrong tare do not make the filter twice as sure; that is
// the one thing a filter of s alone gets wrong. With a measured tare b is next
// to nothing and it is the plain scalar filter.
//
// Eating over a stretch without a believed reading is wrong as a whole, not day
// by day: its variance is (spread × sum)², not a sum of squares. After a
// reading a new stretch begins.
//
// A reading more than "stores.question_sd" (3) standard deviations of
// (prediction − reading) away is a question. It is not averaged in: the
// prediction stays, and its spread is widened so far that the reading, were it
// exact, would stand at the edge. So the next reading decides: one that bears
// out the doubted reading is believed, one that bears out the prediction is too.
//
// Stores do not fall below nothing: the mean is held at 0, its spread is not
// touched. The spread never shrinks but by a reading.
type filter struct {
	fs         figure.Set
	known      bool
	s, b       float64
	ss, sb, bb float64 // variances and covariance
	key        string  // of the empty weight b belongs to
	day        units.Day
	use        float64 // eaten since the last believed reading
	gained     float64 // given since then
	syrupSD    float64 // sum of the spreads of syrup taken since then
	guessed    bool    // something unknown was given since then
	plain      bool
	last       Seen // the last believed reading
	eaten      Eaten
	room       figure.Estimate
	doubt      *Reason
}

type event struct {
	seen *Seen
	fed  *Fed
}

func (e event) at() units.Moment {
	if e.seen != nil {
		return e.seen.At
	}
	return e.fed.At
}

// order puts events in time: by local day, moment, readings before food (a
// hive is weighed before it is fed), then id, then size. So the order of rows
// never matters.
func order(a, b event) int {
	if d := a.at().Day() - b.at().Day(); d != 0 {
		return int(d)
	}
	if c := a.at().Compare(b.at()); c != 0 {
		return c
	}
	switch {
	case a.seen != nil && b.seen != nil:
		if c := strings.Compare(a.seen.ID, b.seen.ID); c != 0 {
			return c
		}
		return bySize(a.seen.Est.Estimate, b.seen.Est.Estimate)
	case a.fed != nil && b.fed != nil:
		if c := strings.Compare(a.fed.ID, b.fed.ID); c != 0 {
			return c
		}
		return bySize(a.fed.Gain, b.fed.Gain)
	case a.seen != nil:
		return -1
	}
	return 1
}

func bySize(a, b figure.Estimate) int {
	for _, x := range [][2]float64{{a.SD, b.SD}, {a.Mean, b.Mean}} {
		if x[0] != x[1] {
			if x[0] < x[1] {
				return -1
			}
			return 1
		}
	}
	return 0
}

// Carry runs the readings and gifts of one colony through time to l.Until.
func Carry(l Line) Track {
	var events []event
	for i := range l.Seen {
		events = append(events, event{seen: &l.Seen[i]})
	}
	for i := range l.Fed {
		events = append(events, event{fed: &l.Fed[i]})
	}
	events = slices.DeleteFunc(events, func(e event) bool {
		return e.at().IsZero() || !l.Until.IsZero() && !l.Until.Covers(e.at())
	})
	slices.SortStableFunc(events, order)
	until := l.Until
	if until.IsZero() && len(events) > 0 {
		until = events[len(events)-1].at()
	}
	f := filter{fs: l.Figures, eaten: l.Eaten, room: l.Room}
	t := Track{At: until}
	for i, e := range events {
		f.eatTo(e.at().Day())
		if e.seen != nil {
			t.History = append(t.History, f.see(*e.seen, events[:i]))
		} else {
			t.History = append(t.History, f.feed(*e.fed))
		}
	}
	if !until.IsZero() {
		f.eatTo(until.Day())
	}
	t.Now = f.now(until)
	return t
}

func (f *filter) estimate() figure.Estimate {
	if !f.known {
		return figure.Estimate{}
	}
	return figure.Est(f.s, math.Sqrt(f.ss))
}

// eatTo eats up to the morning of day d: what is eaten on a day goes after all
// that was seen on it.
func (f *filter) eatTo(d units.Day) {
	if !f.known {
		f.day = d
		return
	}
	for ; f.day < d; f.day++ {
		kg, plain := f.eaten.on(f.day, f.fs)
		f.plain = f.plain || plain
		before := f.use
		f.use += kg
		r := f.eaten.spread(f.fs)
		f.ss += r * r * (f.use*f.use - before*before)
		f.s = max(0, f.s-kg)
	}
}

var unknownGain = because("gain-unknown", "how much stores came with a gift is not known; none is counted")

func (f *filter) feed(g Fed) Step {
	st := Step{ID: g.ID, Kind: StepFed, Moment: g.At, Predicted: f.estimate(), Gained: g.Gain}
	switch {
	case !f.known:
		st.Reasons = append(st.Reasons, because("no-reading", "nothing is known of the stores before it"))
	case !g.Gain.Known:
		st.Reasons = append(st.Reasons, unknownGain)
		f.guessed = true
	default:
		f.s = max(0, f.s+g.Gain.Mean)
		if before := f.syrupSD; g.Syrup > 0 {
			f.syrupSD += g.Gain.SD
			f.ss += f.syrupSD*f.syrupSD - before*before
		} else {
			f.ss += g.Gain.SD * g.Gain.SD
		}
		f.gained += g.Gain.Mean
		if f.room.Known && f.s > f.room.Mean+2*f.room.SD {
			st.Reasons = append(st.Reasons, because("above-room", "that makes {0}, more than its combs hold", units.Mass(f.s)))
		}
	}
	st.After = f.estimate()
	return st
}

// weighs tells whether a way finds weight, and so weighs unripe syrup as well.
func (w Way) weighs() bool { return w == Full || w == Scale || w == LiftBoth || w == LiftOne }

// see joins one reading.
func (f *filter) see(z Seen, before []event) Step {
	st := Step{ID: z.ID, Kind: StepSeen, Moment: z.At, Predicted: f.estimate(), Reasons: z.Est.Reasons, Question: z.Est.Question}
	if !z.Est.Known {
		f.doubt = z.Est.Question
		st.After = f.estimate()
		return st
	}
	z.Est = f.ripened(z, before, &st)
	st.Read = z.Est.Estimate
	f.takeTare(z.Est.Shared)
	noise := max(z.Est.SD*z.Est.SD-z.Est.Shared.SD*z.Est.Shared.SD, 1e-4)
	h := 0.0
	if z.Est.Shared.Key != "" {
		h = 1
	}
	if !f.known {
		f.start(z, noise, h)
		st.After = f.estimate()
		return st
	}
	miss := z.Est.Mean - f.s - h*f.b
	total := f.ss + 2*h*f.sb + h*f.bb + noise
	if q := f.fs.V("stores.question_sd"); miss*miss > q*q*total {
		f.ss += miss*miss/(q*q) - (total - noise)
		doubt := because("does-not-fit", "{0} was read where {1} was expected: is one of them wrong? A second look decides",
			units.Mass(z.Est.Mean), units.Mass(st.Predicted.Mean))
		st.Question, f.doubt = &doubt, &doubt
		st.After = f.estimate()
		return st
	}
	f.join(miss, total, h)
	f.believe(z)
	st.After = f.estimate()
	return st
}

// start makes the state of the first reading: anything was as likely before.
func (f *filter) start(z Seen, noise, h float64) {
	f.known, f.s = true, z.Est.Mean
	f.ss = noise + h*f.bb
	f.sb = -h * f.bb
	f.believe(z)
}

func (f *filter) believe(z Seen) {
	f.s = max(0, f.s)
	f.last, f.day = z, z.At.Day()
	f.use, f.gained, f.syrupSD = 0, 0, 0
	f.doubt, f.plain, f.guessed = nil, false, false
}

// takeTare sets the error of the empty weight when the woodenware is new: it
// is not known and has nothing to do with the stores.
func (f *filter) takeTare(sh Shared) {
	if sh.Key == "" || sh.Key == f.key {
		return
	}
	f.key, f.b, f.bb, f.sb = sh.Key, 0, sh.SD*sh.SD, 0
}

// join is the Kalman update for z = s + h·b + noise.
func (f *filter) join(miss, total, h float64) {
	cs, cb := f.ss+h*f.sb, f.sb+h*f.bb
	ks, kb := cs/total, cb/total
	f.s += ks * miss
	f.b += kb * miss
	f.ss = max(f.ss-ks*cs, 1e-6)
	f.sb -= ks * cb
	f.bb = max(f.bb-kb*cb, 0)
}

// ripened takes off a weighing what syrup taken in the days before it still
// has to lose.
func (f *filter) ripened(z Seen, before []event, st *Step) Estimate {
	e := z.Est
	if !e.Way.weighs() {
		return e
	}
	extra := figure.Est(0, 0)
	for _, b := range before {
		if b.fed != nil && b.fed.Syrup > 0 {
			// Not independent: the same bees dry it all. Spreads add up.
			u := Unripe(b.fed.Syrup, b.fed.Strength, float64(z.At.Day()-b.fed.At.Day()), f.fs)
			extra = figure.Est(extra.Mean+u.Mean, extra.SD+u.SD)
		}
	}
	if extra.Mean == 0 {
		return e
	}
	e.take("water to go from unripe syrup", extra)
	e.Mean = max(0, e.Mean)
	why := because("unripe", "syrup taken in the last {0} days is not ripe: {1} of it is water still to go", int(f.fs.V("stores.ripen_days")), units.Mass(extra.Mean))
	e.Reasons = append(slices.Clone(e.Reasons), why)
	st.Reasons = e.Reasons
	return e
}

// now sums up.
func (f *filter) now(at units.Moment) Estimate {
	if !f.known {
		return Estimate{Reasons: []Reason{because("no-reading", "nobody has judged its stores yet")}, Question: f.doubt}
	}
	e := f.last.Est
	e.Estimate = f.estimate()
	e.Reasons = slices.Clone(e.Reasons)
	e.Question = f.doubt
	if f.last.Est.Question != nil && f.doubt == nil {
		e.Question = f.last.Est.Question
	}
	if age := int(at.Day() - f.last.At.Day()); age > 0 {
		e.Reasons = append(e.Reasons, because("reading-age", "the reading is {0} days old", age))
	}
	if f.gained != 0 {
		e.Reasons = append(e.Reasons, because("fed-since", "{0} of stores fed since is counted in", units.Mass(f.gained)))
	}
	if f.guessed {
		e.Reasons = append(e.Reasons, unknownGain)
	}
	if f.use > 0 {
		e.Reasons = append(e.Reasons, because("eaten-since", "{0} is taken as eaten since", units.Mass(f.use)))
	}
	if f.plain {
		e.Reasons = append(e.Reasons, because("plain-use", "what it eats is a plain published figure, not this winter's weather"))
	}
	if f.s == 0 {
		e.Reasons = append(e.Reasons, because("may-be-empty", "by the reckoning nothing is left"))
	}
	return e
}
