package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/bits"

	"larder/internal/feeding"
	"larder/internal/units"
)

// The whole season as one mixed integer programme, after the model of the
// literature on inventory routing: what is decided is which set of yards each
// trip of each day calls at, which hives are opened on it, and the litres.
//
//	z[T,d,k]  1 = trip k of day d calls at the yards of T, driven in the best
//	          order (price: Held-Karp over the set)
//	o[h,d,k]  1 = hive h is opened on it
//	g[h,d,k]  litres it gets then
//	s[h,d]    litres in its feeder on the morning of day d
//	t[h,d]    litres it takes on day d
//	e[h]      litres it lacks
//	b[d]      batches mixed on day d, m[d] litres of them
//	i[d]      litres in the house in the evening
//
// Rows: a trip is one set; only a yard called at has hives opened, and a hive is
// opened once a day; tank; feeder after the fill; what is in the feeder is taken
// or still there; nothing is in it after the stop day, so nothing is given that
// cannot be taken; need and comb; stock, store, mixer; the minutes of each day.
// Cuts that cost no plan: the fewest fills of each hive, visits of each yard,
// loads and batches.
//
// Nothing of the planner is used but its question and the meaning of its terms.
type model struct {
	p     *feeding.Problem
	n     int // yards
	trips int // most in a day
	tours []tour
	hives []hive
	tank  float64
	total float64 // litres wanted
	// crumb is what a hive may lack and still count as served. The planner makes no
	// round for a handy step, so a plan of it is held against plans that do not either.
	crumb float64
}

// tour is the best way through a set of yards.
type tour struct {
	set     int
	order   []int
	seconds float64 // driving and setting up, filling the tank
	metres  float64
}

// price is what a trip costs of one thing.
func (t *tour) price(of what) float64 {
	switch of {
	case loads:
		return 1
	case stops:
		return float64(len(t.order))
	case road:
		return t.metres
	}
	return t.seconds
}

type hive struct {
	*feeding.Hive
	yard  int
	end   int       // first day on which nothing is taken
	takes []float64 // by day
	want  float64   // litres beyond what is in the feeder
	fed   bool      // may be fed at all
	most  float64   // it can be given
}

func newModel(p *feeding.Problem) *model {
	m := &model{p: p, n: len(p.Yards), trips: p.Crew.LoadsPerDay, tank: p.Rigs[0].Tank.L()}
	if kg := p.Rigs[0].Payload; kg > 0 {
		m.tank = min(m.tank, kg.Kg()/float64(p.Kitchen.Density)*1000)
	}
	for i := range p.Hives {
		m.hives = append(m.hives, m.newHive(&p.Hives[i]))
	}
	m.heldKarp()
	return m
}

func (m *model) newHive(h *feeding.Hive) hive {
	x := hive{Hive: h}
	for y := range m.p.Yards {
		if m.p.Yards[y].ID == h.Yard {
			x.yard = y
		}
	}
	y := &m.p.Yards[x.yard]
	x.end = max(0, min(m.p.Days, int(y.Stop-m.p.Start)+1))
	can := 0.0
	for d := range m.p.Days {
		x.takes = append(x.takes, 0)
		if d < x.end {
			x.takes[d] = h.Uptake.L() * y.Factor[d]
			can += x.takes[d]
		}
	}
	soaks := min(h.InFeeder.L(), can)
	x.want = max(0, h.Need.L()-soaks)
	if x.want < 0.0101 {
		x.want = 0 // two teaspoons count as nothing
	}
	x.most = x.want
	if h.RoomTold {
		x.most = min(x.most, max(0, h.Room.L()-soaks))
	}
	x.fed = x.want > 0 && len(h.Hold) == 0 && h.Feeder > 0 && soaks >= h.InFeeder.L()
	m.total += x.want
	return x
}

// least is what a hive must be given to count as served.
func (m *model) least(x *hive) float64 { return max(0, x.want-m.crumb) }

// fills is the fewest that give a hive that much, on any days.
func (m *model) fills(x *hive) int {
	if m.least(x) == 0 {
		return 0
	}
	return max(1, int(math.Ceil(m.least(x)/x.Feeder.L()-1e-9)))
}

// heldKarp finds the best tour of every set of yards: least time, then least
// way.
func (m *model) heldKarp() {
	id := func(i int) string {
		if i < 0 {
			return ""
		}
		return m.p.Yards[i].ID
	}
	type state struct{ sec, met float64 }
	less := func(a, b state) bool { return a.sec < b.sec-1e-9 || a.sec < b.sec+1e-9 && a.met < b.met-1e-9 }
	leg := func(a, b int) state {
		r, ok := m.p.Road(id(a), id(b))
		if !ok {
			return state{1e9, 1e9}
		}
		return state{float64(r.Time), float64(r.Dist)}
	}
	best := make([][]state, 1<<m.n)
	from := make([][]int, 1<<m.n)
	for set := 1; set < 1<<m.n; set++ {
		best[set], from[set] = make([]state, m.n), make([]int, m.n)
		for last := range m.n {
			best[set][last] = state{math.Inf(1), math.Inf(1)}
			if set>>last&1 == 0 {
				continue
			}
			rest := set &^ (1 << last)
			if rest == 0 {
				best[set][last], from[set][last] = leg(-1, last), -1
				continue
			}
			for q := range m.n {
				if rest>>q&1 == 1 {
					x := leg(q, last)
					if c := (state{best[rest][q].sec + x.sec, best[rest][q].met + x.met}); less(c, best[set][last]) {
						best[set][last], from[set][last] = c, q
					}
				}
			}
		}
		t := tour{set: set}
		top, end := state{math.Inf(1), math.Inf(1)}, -1
		for last := range m.n {
			if set>>last&1 == 1 {
				x := leg(last, -1)
				if c := (state{best[set][last].sec + x.sec, best[set][last].met + x.met}); less(c, top) {
					top, end = c, last
				}
			}
		}
		t.seconds, t.metres = top.sec+float64(m.p.Rigs[0].Fill), top.met
		for y := range m.n {
			if set>>y&1 == 1 {
				t.seconds += float64(m.p.Yards[y].Setup)
			}
		}
		for s, q := set, end; q >= 0; {
			t.order = append([]int{q}, t.order...)
			s, q = s&^(1<<q), from[s][q]
		}
		m.tours = append(m.tours, t)
	}
}

// open tells whether trip set may go out on day d: a round may be made at all
// its yards.
func (m *model) open(set, d int) bool {
	for y := range m.n {
		if set>>y&1 == 1 {
			yard := &m.p.Yards[y]
			if d >= len(yard.Feed) || !yard.Feed[d] || m.p.Start+units.Day(d) > yard.Stop {
				return false
			}
		}
	}
	return true
}

// aim says what is asked for.
type aim struct {
	everybody bool // nobody may lack anything
	shortage  bool // least weighted litres short, else least of
	of        what
}

// what is one thing a plan takes.
type what int

const (
	crewTime what = iota // seconds, mixing included
	loads
	stops
	road // metres
)

// weight is what a litre short of counts for: the planner's own first tier, by
// risk, and a little for those hardly at risk.
func weight(h *feeding.Hive) float64 { return 0.05 + h.Risk }

// writeLP writes the programme as CPLEX-LP text.
func (m *model) writeLP(w io.Writer, a aim) error {
	out := bufio.NewWriter(w)
	pr := func(format string, args ...any) { fmt.Fprintf(out, format, args...) }
	pr("\\ a season of %d yards, %d hives, %d days\nMinimize\n cost:", m.n, len(m.hives), m.p.Days)
	rig, k := &m.p.Rigs[0], &m.p.Kitchen
	seconds := func(d int) { // of day d
		for q := range m.trips {
			for _, t := range m.tours {
				if m.open(t.set, d) {
					pr(" + %.9g z_%d_%d_%d\n", t.seconds, t.set, d, q)
				}
			}
			for h := range m.hives {
				if m.can(h, d) {
					pr(" + %.9g o_%d_%d_%d + %.9g g_%d_%d_%d\n", float64(rig.PerHive), h, d, q, 1/float64(rig.Pump), h, d, q)
				}
			}
		}
		pr(" + %.9g b_%d\n", float64(k.Mixing), d)
	}
	switch {
	case a.shortage:
		for h := range m.hives {
			pr(" + %.9g e_%d", weight(m.hives[h].Hive), h)
		}
		pr("\n")
	case a.of == crewTime:
		for d := range m.p.Days {
			seconds(d)
		}
	default:
		for d := range m.p.Days {
			for q := range m.trips {
				for _, t := range m.tours {
					if m.open(t.set, d) {
						pr(" + %.9g z_%d_%d_%d\n", t.price(a.of), t.set, d, q)
					}
				}
			}
		}
	}
	pr("Subject To\n")
	for d := range m.p.Days {
		m.dayRows(pr, d)
		pr(" day_%d:", d)
		seconds(d)
		pr(" <= %.9g\n", float64(m.p.Crew.PerDay))
	}
	m.hiveRows(pr, a)
	m.stockRows(pr)
	if a.everybody {
		m.cuts(pr)
	}
	pr("Bounds\n")
	for d := range m.p.Days {
		for h := range m.hives {
			if d < m.hives[h].end {
				pr(" t_%d_%d <= %.9g\n", h, d, m.hives[h].takes[d])
			}
		}
	}
	pr("Generals\n")
	for d := range m.p.Days {
		pr(" b_%d", d)
	}
	pr("\nBinaries\n")
	for d := range m.p.Days {
		for q := range m.trips {
			for _, t := range m.tours {
				if m.open(t.set, d) {
					pr(" z_%d_%d_%d\n", t.set, d, q)
				}
			}
			for h := range m.hives {
				if m.can(h, d) {
					pr(" o_%d_%d_%d\n", h, d, q)
				}
			}
		}
	}
	pr("End\n")
	return out.Flush()
}

// can tells whether hive h may be given anything on day d.
func (m *model) can(h, d int) bool {
	x := &m.hives[h]
	return x.fed && d < x.end && m.open(1<<x.yard, d)
}

// left is what hive h can take from day d on.
func (m *model) left(h, d int) (v float64) {
	for ; d < m.hives[h].end; d++ {
		v += m.hives[h].takes[d]
	}
	return v
}

type printer func(format string, args ...any)

func (m *model) dayRows(pr printer, d int) {
	for q := range m.trips {
		any := false
		pr(" one_%d_%d:", d, q)
		for _, t := range m.tours {
			if m.open(t.set, d) {
				pr(" + z_%d_%d_%d", t.set, d, q)
				any = true
			}
		}
		if !any {
			pr(" 0 b_%d", d)
		}
		pr(" <= 1\n")
		if q > 0 && any { // trips of a day are alike: the one of the larger number first
			pr(" first_%d_%d:", d, q)
			for _, t := range m.tours {
				if m.open(t.set, d) {
					pr(" + %d z_%d_%d_%d - %d z_%d_%d_%d", t.set, t.set, d, q-1, t.set, t.set, d, q)
				}
			}
			pr(" >= 0\n")
		}
		if any {
			pr(" tank_%d_%d:", d, q)
			for h := range m.hives {
				if m.can(h, d) {
					pr(" + g_%d_%d_%d", h, d, q)
				}
			}
			for _, t := range m.tours {
				if m.open(t.set, d) {
					pr(" - %.9g z_%d_%d_%d", m.tank, t.set, d, q)
				}
			}
			pr(" <= 0\n")
		}
	}
	for h := range m.hives {
		if !m.can(h, d) {
			continue
		}
		x := &m.hives[h]
		pr(" once_%d_%d:", h, d)
		for q := range m.trips {
			pr(" + o_%d_%d_%d", h, d, q)
		}
		pr(" <= 1\n")
		for q := range m.trips {
			pr(" lid_%d_%d_%d: g_%d_%d_%d - %.9g o_%d_%d_%d <= 0\n", h, d, q, h, d, q, min(x.Feeder.L(), x.most, m.left(h, d), m.tank), h, d, q)
			pr(" call_%d_%d_%d: o_%d_%d_%d", h, d, q, h, d, q)
			for _, t := range m.tours {
				if t.set>>x.yard&1 == 1 && m.open(t.set, d) {
					pr(" - z_%d_%d_%d", t.set, d, q)
				}
			}
			pr(" <= 0\n")
		}
	}
}

func (m *model) gifts(pr printer, h, d int) {
	if m.can(h, d) {
		for q := range m.trips {
			pr(" + g_%d_%d_%d", h, d, q)
		}
	}
}

func (m *model) hiveRows(pr printer, a aim) {
	for h := range m.hives {
		x := &m.hives[h]
		if x.fed {
			pr(" start_%d: s_%d_0 = %.9g\n", h, h, x.InFeeder.L())
			for d := range x.end {
				pr(" keep_%d_%d: s_%d_%d - t_%d_%d - s_%d_%d", h, d, h, d, h, d, h, d+1)
				m.gifts(pr, h, d)
				pr(" = 0\n")
				pr(" full_%d_%d: s_%d_%d", h, d, h, d)
				m.gifts(pr, h, d)
				pr(" <= %.9g\n", max(x.Feeder.L(), x.InFeeder.L()))
				if m.can(h, d) && x.InFeeder > x.Feeder { // overfull already: none on top
					pr(" over_%d_%d: s_%d_%d", h, d, h, d)
					m.gifts(pr, h, d)
					for q := range m.trips {
						pr(" + %.9g o_%d_%d_%d", x.InFeeder.L()-x.Feeder.L(), h, d, q)
					}
					pr(" <= %.9g\n", x.InFeeder.L())
				}
			}
			pr(" dry_%d: s_%d_%d = 0\n", h, h, x.end)
			pr(" most_%d: 0 e_%d", h, h)
			for d := range x.end {
				m.gifts(pr, h, d)
			}
			pr(" <= %.9g\n", x.most)
		}
		pr(" need_%d: e_%d", h, h)
		if x.fed {
			for d := range x.end {
				m.gifts(pr, h, d)
			}
		}
		pr(" = %.9g\n", x.want)
		if a.everybody {
			pr(" served_%d: e_%d <= %.9g\n", h, h, m.crumb)
		}
	}
}

func (m *model) stockRows(pr printer) {
	k := &m.p.Kitchen
	for d := range m.p.Days {
		pr(" stock_%d: i_%d - m_%d", d, d, d)
		if d > 0 {
			pr(" - i_%d", d-1)
		}
		for h := range m.hives {
			m.gifts(pr, h, d)
		}
		if d == 0 {
			pr(" = %.9g\n", k.OnHand.L())
		} else {
			pr(" = 0\n")
		}
		batch := m.total
		if k.Mixer > 0 {
			batch = k.Mixer.L()
		}
		pr(" batch_%d: m_%d - %.9g b_%d <= 0\n", d, d, batch, d)
		if k.Store > 0 {
			pr(" store_%d: i_%d <= %.9g\n", d, d, max(k.Store.L(), k.OnHand.L()))
		}
	}
}

// cuts are rows that every plan keeps in which nobody lacks anything; they only
// help the solver prove.
func (m *model) cuts(pr printer) {
	round := func(x float64) int { return int(math.Ceil(x - 1e-6)) }
	for h := range m.hives {
		x := &m.hives[h]
		if !x.fed {
			continue
		}
		pr(" fills_%d: 0 e_%d", h, h)
		for d := range m.p.Days {
			if m.can(h, d) {
				for q := range m.trips {
					pr(" + o_%d_%d_%d", h, d, q)
				}
			}
		}
		pr(" >= %d\n", m.fills(x))
	}
	for set := 1; set < 1<<m.n; set++ {
		litres, fills := 0.0, 0
		for h := range m.hives {
			if x := &m.hives[h]; set>>x.yard&1 == 1 && x.want > 0 {
				litres += m.least(x)
				fills = max(fills, m.fills(x))
			}
		}
		// So many trips must touch the set.
		need := max(round(litres/m.tank), fills)
		if need == 0 || litres == 0 {
			continue
		}
		if n := bits.OnesCount(uint(set)); n > 1 && n < m.n && need < 2 {
			continue
		}
		pr(" touch_%d:", set)
		for d := range m.p.Days {
			for q := range m.trips {
				for _, t := range m.tours {
					if t.set&set != 0 && m.open(t.set, d) {
						pr(" + z_%d_%d_%d", t.set, d, q)
					}
				}
			}
		}
		pr(" >= %d\n", need)
	}
	if k := &m.p.Kitchen; k.Mixer > 0 {
		least := 0.0
		for h := range m.hives {
			least += m.least(&m.hives[h])
		}
		pr(" mixed:")
		for d := range m.p.Days {
			pr(" + b_%d", d)
		}
		pr(" >= %d\n", max(0, round((least-k.OnHand.L())/k.Mixer.L())))
	}
}
