package season

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/route"
	"larder/internal/units"
)

// Trip is one load of a plan taken out, as it is driven: stop by stop, hive by
// hive in walking order, with what has been written down of it so far.
type Trip struct {
	Plan   string // id of the plan taken out
	Load   int    // from 1
	Of     int    // loads of that plan
	Day    units.Day
	Truck  string
	Syrup  units.Volume   // in the tank when it starts
	Given  units.Volume   // of it, written down as given
	Pump   units.Flow     // measured at the nozzle, by the bucket test; 0 = not measured
	Lag    units.Duration // of hand and valve, each fill
	Fill   TripFill       // where the tank is filled, if not at home
	ThenTo string         // where the truck goes from the last stop to be filled again; "" = home
	Next   int            // load that is filled there; 0 = none
	Stops  []TripStop
	Visits int // fills of the trip that are written down
	Fills  int // fills of the trip
}

// TripFill is a place other than home where the tank is filled.
type TripFill struct {
	Place string // its name; "" = the tank is filled at home
	Yard  string // name of the yard it stands at, if at one
	Where route.Place
	Note  string
}

// TripStop is one yard of a trip.
type TripStop struct {
	Yard   apiary.Yard // Name is never empty
	Dist   units.Length
	Syrup  units.Volume // to be put out here
	Hives  []TripHive   // those with a fill, in walking order
	Others []TripHive   // the yard's other living colonies, in walking order
	First  bool         // nothing of the plan was given here before
	Last   bool         // no later load of the plan comes here
	Chores []string     // opening the yard: what is not logged yet, on its first trip
}

// TripHive is one colony at a stop.
type TripHive struct {
	Colony    string
	Stand     int
	Feeder    string       // name of the kind on it, "" = none known
	Holds     units.Volume // what that holds, 0 = not known
	Plan      units.Volume // its fill; 0 = none on this trip
	Pump      units.Duration
	Expect    figure.Estimate // litres thought to be in the feeder now
	Left      units.Volume    // what the last look into the feeder found
	LeftAt    units.Moment    // when that was; zero = never
	Hold      []feeding.Reason
	Ask       []feeding.Reason
	Elsewhere bool // it no longer stands here, or no longer lives
	Done      []TripDone
}

// TripDone is one thing written down for a hive on this trip.
type TripDone struct {
	Fact   ID
	Seen   units.Moment
	Made   units.Moment // when it was written down
	By     string
	NotFed string       // why; "" = it was given
	Volume units.Volume // given
}

// Quarters gives what is in the feeder when it is empty, a quarter, half, three
// quarters and brim full; nil when it is not known what it holds.
func (h *TripHive) Quarters() []units.Volume {
	if h.Holds <= 0 {
		return nil
	}
	out := make([]units.Volume, 5)
	for i := range out {
		out[i] = units.Volume(math.Round(h.Holds.L()*float64(i)*25) / 100) // to the centilitre: nobody sees more
	}
	return out
}

// OnPlan writes that something belongs to load n of a plan taken out.
func OnPlan(plan string, n int) string { return plan + "/" + strconv.Itoa(n) }

// onPlan reads what OnPlan wrote, or a bare plan id (load 0: not said which).
func onPlan(ref, plan string) (load int, ok bool) {
	if ref == plan {
		return 0, true
	}
	rest, ok := strings.CutPrefix(ref, plan+"/")
	if !ok {
		return 0, false
	}
	n, err := strconv.Atoi(rest)
	return n, err == nil && n > 0
}

// visitsOf lists what was written down for a colony on a plan, by load. What
// does not say its load counts for the colony's first load that has nothing yet.
func (st *State) visitsOf(c *Colony, plan string, loads []int) map[int][]TripDone {
	out := map[int][]TripDone{}
	var loose []TripDone
	for _, e := range c.Events {
		d := TripDone{Fact: e.ID, Seen: e.Seen, Made: e.WrittenAt(), By: e.By}
		ref := ""
		switch b := e.Body.(type) {
		case ledger.Given:
			if b.Colony != c.ID {
				continue
			}
			ref, d.Volume = b.Plan, b.Volume.Q
		case ledger.NotFed:
			ref, d.NotFed = b.Plan, cmp.Or(b.Why, "other")
		default:
			continue
		}
		n, ok := onPlan(ref, plan)
		switch {
		case !ok:
		case n == 0:
			loose = append(loose, d)
		default:
			out[n] = append(out[n], d)
		}
	}
	for _, n := range loads {
		if len(loose) > 0 && len(out[n]) == 0 {
			out[n], loose = loose[:1:1], loose[1:]
		}
	}
	if len(loose) > 0 && len(loads) > 0 { // more than was planned: with the last
		n := loads[len(loads)-1]
		out[n] = append(out[n], loose...)
	}
	return out
}

// loadsOf lists the loads of a plan that serve each colony.
func loadsOf(doc *PlanDoc) map[string][]int {
	out := map[string][]int{}
	for _, l := range doc.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				if k := out[f.Colony]; len(k) == 0 || k[len(k)-1] != l.N {
					out[f.Colony] = append(k, l.N)
				}
			}
		}
	}
	return out
}

// Out gives the plan last taken out.
func (st *State) Out() (id string, doc PlanDoc, ok bool) { return st.lastOut() }

// Trip gives load n of the plan taken out under id; "" is the one taken out
// last. Amounts are those the keeper took out: they do not change on the way.
// Holds, feeders and what is left are as of at. Faults: fault.NotFound.
func (st *State) Trip(id string, n int, at units.Moment) (Trip, error) {
	doc, err := st.planOut(&id)
	if err != nil {
		return Trip{}, err
	}
	k := slices.IndexFunc(doc.Loads, func(l LoadDoc) bool { return l.N == n })
	if k < 0 {
		return Trip{}, fault.Newf(fault.NotFound, "", "there is no load %d in this plan", n).WithHint("Round lists the loads of the plan that was taken out")
	}
	l := doc.Loads[k]
	t := Trip{Plan: id, Load: n, Of: len(doc.Loads), Day: l.Day, Truck: l.Truck, Syrup: units.Volume(l.LoadL)}
	t.Pump, t.Lag = st.Settings.PumpRate()
	t.fillsAt(st, &doc, k, at)
	m := tripMaker{st: st, b: st.bench(at), plan: id, load: n, served: loadsOf(&doc), pump: t.Pump, lag: t.Lag}
	m.inYards()
	for _, s := range l.Stops {
		x := m.stop(s)
		x.First, x.Last = true, true
		for i := range doc.Loads {
			if i != k && slices.ContainsFunc(doc.Loads[i].Stops, func(o StopDoc) bool { return o.Yard == s.Yard }) {
				x.First, x.Last = x.First && i > k, x.Last && i < k
			}
		}
		if x.First {
			x.Chores = st.choresOpen(s.Yard, OpeningChores(), at.Day()-units.Day(m.b.figs.V("season.autumn_days")))
		}
		t.Stops = append(t.Stops, x)
		t.Fills += len(x.Hives)
		for _, h := range append(x.Hives[:len(x.Hives):len(x.Hives)], x.Others...) {
			for _, d := range h.Done {
				t.Given += d.Volume
			}
			if len(h.Done) > 0 && h.Plan > 0 {
				t.Visits++
			}
		}
	}
	return t, nil
}

// fillsAt says where the tank of load k is filled, and where it is filled again.
func (t *Trip) fillsAt(st *State, doc *PlanDoc, k int, at units.Moment) {
	l := &doc.Loads[k]
	t.ThenTo = l.To
	for _, o := range doc.Loads[k+1:] {
		if l.To != "" && o.Day == l.Day && o.Truck == l.Truck {
			t.Next = o.N
			break
		}
	}
	if t.Fill.Place = l.From; l.From == "" {
		return
	}
	for _, x := range st.Sources(at) {
		if x.Place == l.From {
			t.Fill.Yard, t.Fill.Where, t.Fill.Note = x.YardName, x.Where, x.Note
		}
	}
}

// planOut reads a plan taken out; id "" becomes that of the last.
func (st *State) planOut(id *string) (PlanDoc, error) {
	none := fault.New(fault.NotFound, "", "no plan was taken out").WithHint("look at the Plan and take it out to the yard")
	if *id == "" {
		last, doc, ok := st.lastOut()
		if !ok {
			return PlanDoc{}, none
		}
		*id = last
		return doc, nil
	}
	p, ok := st.plans[*id]
	if !ok {
		return PlanDoc{}, none
	}
	doc, ok := readPlan(p)
	if !ok {
		return PlanDoc{}, fault.New(fault.Damaged, *id, "this plan cannot be read").WithHint("take a new plan out")
	}
	return doc, nil
}

type tripMaker struct {
	st     *State
	b      *bench
	plan   string
	load   int
	served map[string][]int
	pump   units.Flow
	lag    units.Duration
	yards  map[string][]*Colony // living, in walking order
}

func (m *tripMaker) inYards() {
	m.yards = map[string][]*Colony{}
	for _, c := range m.st.Colonies() {
		if c.State == apiary.Alive {
			m.yards[c.Yard] = append(m.yards[c.Yard], c)
		}
	}
}

func (m *tripMaker) stop(s StopDoc) TripStop {
	y, ok := m.st.Yard(s.Yard)
	if !ok {
		y.ID = s.Yard
	}
	y.Name = cmp.Or(y.Name, y.ID)
	y.HasPlace = m.st.Lies(y)
	x := TripStop{Yard: y, Dist: units.Length(s.DistanceKm * 1000)}
	planned := map[string]bool{}
	for _, f := range s.Fills {
		planned[f.Colony] = true
		x.Syrup += units.Volume(f.FillL)
		c, ok := m.st.Colony(f.Colony)
		if !ok { // a plan of another book: shown as it was taken out
			c = &Colony{Colony: apiary.Colony{ID: f.Colony, Yard: s.Yard, State: apiary.Alive}}
		}
		h := m.hive(c, units.Volume(f.FillL))
		h.Elsewhere = c.Yard != s.Yard || c.State != apiary.Alive
		x.Hives = append(x.Hives, h)
	}
	for _, c := range m.yards[s.Yard] {
		if !planned[c.ID] {
			x.Others = append(x.Others, m.hive(c, 0))
		}
	}
	return x
}

func (m *tripMaker) hive(c *Colony, fill units.Volume) TripHive {
	h := TripHive{Colony: c.ID, Stand: c.Stand, Plan: fill, Feeder: c.Feeder}
	if m.pump > 0 && fill > 0 {
		h.Pump = units.Duration(fill.L()/float64(m.pump)) + m.lag
	}
	if k, err := m.b.cat.Feeder(c.Feeder); err == nil {
		h.Feeder = k.Name
	}
	if v, _, _, err := m.b.cat.Holds(c.Stack, c.Feeder, c.FeederVolume); err == nil {
		h.Holds = v
	}
	var j Judged
	m.b.look(c, m.b.at, &j)
	h.Hold, h.Ask = feeding.Holds(j.Answers)
	h.Expect = m.st.runFeeder(c, m.b.at.Day(), m.b.uptake(c, &j)).Now
	for _, e := range c.Events {
		if left, ok := e.Body.(ledger.Left); ok && m.b.at.Covers(e.Seen) {
			h.Left, h.LeftAt = left.Volume.Q, e.Seen
		}
	}
	h.Done = m.st.visitsOf(c, m.plan, m.served[c.ID])[m.load]
	return h
}
