package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Grip is how well a load can be held.
type Grip string

// The grips: handles that fit the hand; cut-outs, or fingers bent 90° under
// it; bulky, sagging or slippery.
const (
	Good Grip = "good"
	Fair Grip = "fair"
	Poor Grip = "poor"
)

// Lift is one two-handed lift. Heights are of the hands.
type Lift struct {
	Load   units.Mass
	Out    units.Length // H: from between the ankles to the hands, forwards; 0 = worked out from Width
	Width  units.Length // of the load, for where Out is not told
	From   units.Length // V: height of the hands at the start
	To     units.Length // and at the end
	Twist  Angle        // A: 0 straight ahead
	PerMin float64      // F: lifts a minute; see Often
	For    units.Duration
	Rest   units.Duration // light work after it, counted for the length class; 0 = none told
	Grip   Grip
	// Placed is true where the load is set down with care: then the end counts
	// as well as the start.
	Placed bool

	// What puts a lift outside the equation.
	OneHand    bool // one-handed
	Carried    bool // carried more than a step or two
	PartFilled bool // an open or part-filled vessel: it shifts
	Cramped    bool // sitting, kneeling, or no room
	Slippery   bool // poor footing
	Air        units.Temp
	AirKnown   bool
}

// refused says why the equation does not speak of this lift, or nil. Source:
// Waters, Putz-Anderson & Garg, Applications Manual for the Revised NIOSH
// Lifting Equation, NIOSH 94-110 (rev. 9/2021), section 1.2.
func (l Lift) refused() error {
	const op = "rig.Lift"
	say := func(why, hint string) error {
		return trouble(fault.NotKnownHere, op, "the lifting equation does not hold %s", why).WithHint("%s", hint)
	}
	switch {
	case l.OneHand:
		return say("for lifting with one hand", "use both hands")
	case l.PartFilled:
		return say("for an open or part-filled vessel: it shifts", "put a lid on a full pail, or pump")
	case l.Carried:
		return say("for carrying", "see the limits of carrying")
	case l.Cramped:
		return say("for sitting, kneeling or where there is no room", "make room first")
	case l.Slippery:
		return say("on slippery ground", "make the footing firm first")
	case l.AirKnown && (l.Air < 19 || l.Air > 26):
		return say("well outside 19 to 26 °C", "take it as worse than the figure for mild air")
	case l.For > 8*units.Hour:
		return say("for more than eight hours", "share the work")
	}
	return nil
}

// niosh is one of the equation's two unit systems. They differ by up to half a
// percent; we answer in the metric one and keep the other for the manual's
// printed examples.
type niosh struct {
	load           float64 // kg or lb
	near, far      float64 // H
	origin, slope  float64 // V
	least, most, k float64 // D: shortest and longest, and the slope of DM
	high           float64 // V above which 0
	column         float64 // V that picks the columns of FM and CM
}

var (
	nioshMetric = niosh{load: 23, near: 25, far: 63, origin: 75, slope: 0.003, least: 25, most: 175, k: 4.5, high: 175, column: 75}
	nioshUS     = niosh{load: 51, near: 10, far: 25, origin: 30, slope: 0.0075, least: 10, most: 70, k: 1.8, high: 70, column: 30}
)

// Multipliers are the factors of the equation, each 0…1.
type Multipliers struct{ H, V, D, A, F, C float64 }

func (m Multipliers) product() float64 { return m.H * m.V * m.D * m.A * m.F * m.C }

// multipliers in the system's own lengths, a in degrees, f per minute.
//
//	HM 25/H · VM 1 − 0.003|V − 75| · DM 0.82 + 4.5/D · AM 1 − 0.0032 A
func (n niosh) multipliers(h, v, d, a, f float64, c class, grip Grip) Multipliers {
	m := Multipliers{H: n.near / math.Max(h, n.near), V: 1 - n.slope*math.Abs(v-n.origin),
		D: 0.82 + n.k/math.Max(d, n.least), A: 1 - 0.0032*a, F: frequency(f, c, v >= n.column), C: coupling(grip, v >= n.column)}
	// The multiplier of the shortest way is 1 by definition: 0.82 + 4.5/25.
	m.D = math.Min(m.D, 1)
	if h > n.far {
		m.H = 0
	}
	if v < 0 || v > n.high {
		m.V = 0
	}
	if d > n.most {
		m.D = 0
	}
	if a > 135 {
		m.A = 0
	}
	return m
}

func coupling(g Grip, high bool) float64 {
	switch {
	case g == Poor:
		return 0.90
	case g == Fair && !high:
		return 0.95
	}
	return 1
}

// class is how long the work goes on.
type class int

const (
	short    class = iota // up to 1 h, then rest as long as the work
	moderate              // up to 2 h, then rest 0.3 times as long
	long                  // up to 8 h
)

func (l Lift) class() class {
	switch {
	case l.For <= units.Hour && l.Rest >= l.For:
		return short
	case l.For <= 2*units.Hour && float64(l.Rest) >= 0.3*float64(l.For):
		return moderate
	}
	return long
}

// fms are the frequency multipliers by lifts a minute, for the three classes.
// Source: the same manual, table 5; short and the first five of moderate seen,
// the rest from memory and in two independent open programs. Where high and low
// hands differ (long work from 9 a minute), the second value is for hands at
// 75 cm or above.
var fms = [...]struct {
	f float64
	m [3][2]float64
}{
	{0.2, [3][2]float64{{1.00, 1.00}, {0.95, 0.95}, {0.85, 0.85}}},
	{0.5, [3][2]float64{{0.97, 0.97}, {0.92, 0.92}, {0.81, 0.81}}},
	{1, [3][2]float64{{0.94, 0.94}, {0.88, 0.88}, {0.75, 0.75}}},
	{2, [3][2]float64{{0.91, 0.91}, {0.84, 0.84}, {0.65, 0.65}}},
	{3, [3][2]float64{{0.88, 0.88}, {0.79, 0.79}, {0.55, 0.55}}},
	{4, [3][2]float64{{0.84, 0.84}, {0.72, 0.72}, {0.45, 0.45}}},
	{5, [3][2]float64{{0.80, 0.80}, {0.60, 0.60}, {0.35, 0.35}}},
	{6, [3][2]float64{{0.75, 0.75}, {0.50, 0.50}, {0.27, 0.27}}},
	{7, [3][2]float64{{0.70, 0.70}, {0.42, 0.42}, {0.22, 0.22}}},
	{8, [3][2]float64{{0.60, 0.60}, {0.35, 0.35}, {0.18, 0.18}}},
	{9, [3][2]float64{{0.52, 0.52}, {0.30, 0.30}, {0, 0.15}}},
	{10, [3][2]float64{{0.45, 0.45}, {0.26, 0.26}, {0, 0.13}}},
}

// fastest is where our table of frequencies ends.
const fastest = 10

// frequency reads the table, straight between its rows; below 0.2 as 0.2.
func frequency(f float64, c class, high bool) float64 {
	col := 0
	if high {
		col = 1
	}
	if f <= fms[0].f {
		return fms[0].m[c][col]
	}
	for i := 1; i < len(fms); i++ {
		if f <= fms[i].f {
			u := (f - fms[i-1].f) / (fms[i].f - fms[i-1].f)
			return (1-u)*fms[i-1].m[c][col] + u*fms[i].m[c][col]
		}
	}
	return 0
}

// Often gives the lifts a minute of work that is not steady: rate × minutes/15,
// counted over any quarter of an hour (manual p. 16).
func Often(rate float64, working units.Duration) (float64, error) {
	const op = "rig.Often"
	if err := firstErr(amount(op, "the rate", rate), covered(op, "working time in a quarter of an hour", "min", working.Min(), 0, 15)); err != nil {
		return 0, err
	}
	return rate * working.Min() / 15, nil
}

// LiftLimit is what nearly all healthy people may lift so.
type LiftLimit struct {
	Limit       units.Mass // RWL; 0 = not to be lifted so at all
	Index       float64    // LI = Load/RWL; 0 where Limit is 0
	AtEnd       bool       // the end of the lift is the worse place
	Multipliers Multipliers
	Cautions    []Caution
}

// Limit gives the recommended weight limit and the lifting index by the revised
// NIOSH equation, RWL = 23 kg·HM·VM·DM·AM·FM·CM, at the start and, if Placed, at
// the end; the worse counts. The index does not say what one person can do: up
// to 1 is the goal, above 1 the risk rises for some, above 3 for nearly all.
//
// What the equation does not cover is refused with [fault.NotKnownHere], and so
// are more than ten lifts a minute.
func (l Lift) Limit(fig figure.Set) (LiftLimit, error) {
	const op = "rig.Lift.Limit"
	if err := l.refused(); err != nil {
		return LiftLimit{}, err
	}
	if err := l.check(op); err != nil {
		return LiftLimit{}, err
	}
	m := l.at(l.From)
	out := LiftLimit{Multipliers: m}
	if l.Placed {
		// The column of the frequency goes with the height at the start.
		end := l.at(l.To)
		end.F = m.F
		if end.product() < m.product() {
			out.Multipliers, out.AtEnd = end, true
		}
	}
	out.Limit = units.Mass(nioshMetric.load * out.Multipliers.product())
	if out.Limit > 0 {
		out.Index = float64(l.Load / out.Limit)
	}
	out.Cautions = liftCautions(l, out, or(fig))
	return out, nil
}

func (l Lift) check(op string) error {
	err := firstErr(positive(op, "the load", float64(l.Load)), finite(op, "a height", float64(l.From)), finite(op, "a height", float64(l.To)),
		amount(op, "the reach", float64(l.Out)), amount(op, "the width of the load", float64(l.Width)), amount(op, "the twist", float64(l.Twist)),
		covered(op, "a rate of lifting", "per minute", l.PerMin, 0, fastest), amount(op, "the time", float64(l.For)), amount(op, "the rest", float64(l.Rest)))
	switch {
	case err != nil:
		return err
	case l.Out == 0 && l.Width == 0:
		return trouble(fault.Missing, op, "how far the hands are from the ankles has not been told").WithHint("measure it, or give the width of the load")
	case l.Grip != Good && l.Grip != Fair && l.Grip != Poor:
		return trouble(fault.Missing, op, "how well it can be gripped has not been told").WithHint("good, fair or poor")
	}
	return nil
}

// at is the multipliers with the hands at the height v.
func (l Lift) at(v units.Length) Multipliers {
	h := float64(l.Out) * 100
	if h == 0 {
		// Manual section 1.3.1: H = 20 + W/2 cm, or 25 + W/2 below 25 cm.
		h = 20 + float64(l.Width)*50
		if v < 0.25 {
			h += 5
		}
	}
	d := math.Abs(float64(l.To-l.From)) * 100
	return nioshMetric.multipliers(h, float64(v)*100, d, float64(l.Twist), l.PerMin, l.class(), l.Grip)
}

func liftCautions(l Lift, out LiftLimit, fig figure.Set) []Caution {
	var c []Caution
	switch {
	case out.Limit == 0:
		c = append(c, caution("lift-never", "Not to be lifted so at all: too far out, too high, too much twist or too often"))
	case out.Index > 3:
		c = append(c, caution("lift-all", "More than three times what should be lifted so: a risk for nearly everybody. Use a lift"))
	case out.Index > 1:
		c = append(c, caution("lift-some", "{0} times what should be lifted so: the risk rises for some. Closer, higher, lighter, less often", math.Round(out.Index*10)/10))
	}
	if two := fig.V(KeyTwoPeople); float64(l.Load) > two {
		c = append(c, caution("two-people", "Two people or a lift over {0}", units.Mass(two)))
	}
	return c
}

// CompositeIndex is the lifting index of several kinds of lift in one job, each
// with its own rate: the worst single task's index and what each further task
// adds, CLI = STLI₁ + Σ FILIᵢ·(1/FM₁…ᵢ − 1/FM₁…ᵢ₋₁) (manual section 2.4.5). All
// must be of the same length class.
func CompositeIndex(lifts []Lift, fig figure.Set) (float64, error) {
	const op = "rig.CompositeIndex"
	if len(lifts) == 0 {
		return 0, trouble(fault.Missing, op, "no lifts were told").WithHint("one line for each kind of lift")
	}
	tasks := make([]task, len(lifts))
	for i, l := range lifts {
		r, err := l.Limit(fig)
		if err != nil {
			return 0, err
		}
		if r.Limit == 0 {
			return 0, trouble(fault.NotKnownHere, op, "one of the lifts is not to be done at all").WithHint("change that one first")
		}
		if l.class() != lifts[0].class() {
			return 0, trouble(fault.NotKnownHere, op, "the lifts go on for different times").WithHint("give all the length of the whole job")
		}
		high := float64(l.From)*100 >= nioshMetric.column
		tasks[i] = task{stli: r.Index, fili: r.Index * r.Multipliers.F, often: l.PerMin,
			fm: func(f float64) float64 { return frequency(f, l.class(), high) }}
	}
	return composite(tasks)
}

// task is one kind of lift, as numbers.
type task struct {
	stli, fili, often float64
	fm                func(f float64) float64
}

func composite(tasks []task) (float64, error) {
	// The worst first; equal ones in the order given.
	order := append([]task(nil), tasks...)
	for i := 1; i < len(order); i++ {
		for k := i; k > 0 && order[k].stli > order[k-1].stli; k-- {
			order[k], order[k-1] = order[k-1], order[k]
		}
	}
	cli, f := order[0].stli, order[0].often
	for _, t := range order[1:] {
		before, after := t.fm(f), t.fm(f+t.often)
		if after == 0 {
			return 0, trouble(fault.NotKnownHere, "rig.CompositeIndex", "together that is more lifts a minute than the table holds").WithHint("spread the work over more time")
		}
		cli += t.fili * (1/after - 1/before)
		f += t.often
	}
	return cli, nil
}
