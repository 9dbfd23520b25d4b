package feeding

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/fault"
	"larder/internal/units"
)

// job is a Problem made ready: checked, in order of id, in whole units.
type job struct {
	p     *Problem
	rig   *Rig
	days  int
	hives []site  // by yard, stand, colony
	yards []place // by id
	roads roads
	step  micro
	stepL float64 // the same in µL, not rounded
	part  float64 // of a feeder, below which a top-up may wait
	tank  micro   // usable: tank and payload, whichever is less
	pump  float64
	day   tick // working time of a day
	loads int  // most loads a day
	mix   mixer

	// The fields above from pump on are those of the first truck on a usual day;
	// tank is the largest there is.
	trucks   []truck  // by name
	sources  []source // by place
	allLoads int      // most loads a day, all trucks together

	// What the search works with, see search.
	fed     [][]int  // hives that can be given something, by yard
	busy    int      // yards with such hives
	pools   []*pool  // by yard
	nothing []*calls // by yard: no visit
	before  []map[fillKey]micro
	rows    [4][]micro
	early   []micro // see mixer
	gated   bool    // some yard has hours of its own

	// Told to whoever watches: days gone through, of those foreseen.
	watch       func(Progress) bool
	found       *tiers // of the best plan so far
	done, ahead int
	stopped     bool
}

// site is one hive as the planner counts it.
type site struct {
	*Hive
	yard   int
	feeder micro
	inside micro   // in the feeder at the start
	need   micro   // beyond what is taken of that
	want   micro   // may be given at most: need, comb, holds; never what cannot be
	rate   float64 // µL a day at factor 1
	cum    []micro // taken up to the morning of each day, if it has that much
	weight int64   // what a litre short of counts for
	gaps   []gap   // parts of the need that no planning can serve
	bound  micro   // given with a round on every feedable day: no plan gives more
	goal   micro   // what to aim for, see limits
	band   int     // of risk, higher is riskier
}

// gap is a part of a need that is not served, and why.
type gap struct {
	v   micro
	why []Reason
}

// place is one yard as the planner counts it.
type place struct {
	*Yard
	hives []int // into job.hives, walking order
	feed  []int // days on which a round may be made, ascending
	end   int   // first day on which nothing is taken any more
	cum   []float64
	setup tick
	// reached tells whether the way there and back is known.
	reached bool
	// alone is whether a load for one lid there fits a working day.
	alone bool
}

// uptake is what hive h takes on days a, a+1 … b-1 if it has that much.
func (j *job) uptake(h, a, b int) micro {
	s := &j.hives[h]
	b = min(b, len(s.cum)-1)
	if a >= b {
		return 0
	}
	return s.cum[b] - s.cum[a]
}

// prepare checks p and makes the job. It refuses what no plan can be made of;
// a hive that cannot be fed is no such thing, it goes to Unmet.
func prepare(p *Problem) (*job, error) {
	if p.Days < 0 || p.Days > 1000 {
		return nil, fault.Newf(fault.OutOfRange, "", "a calendar of %d days is not a feeding season", p.Days)
	}
	j := &job{p: p, days: p.Days}
	if err := j.readYards(); err != nil {
		return nil, err
	}
	if err := j.readHives(); err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(j.hives, func(s site) bool { return s.want > 0 }) {
		return j, nil
	}
	if err := j.readRig(); err != nil {
		return nil, err
	}
	j.readRoads()
	j.limits()
	return j, nil
}

// readYards puts the yards in order and counts their days. Days after the stop
// day, and days the calendar says nothing of, count for nothing: uptake nobody
// promised is not planned on.
func (j *job) readYards() error {
	p := j.p
	for i := range p.Yards {
		y := &p.Yards[i]
		if !(y.Setup >= 0 && y.Setup <= 1e6) {
			return fault.Newf(fault.OutOfRange, y.ID, "setting up cannot take %v minutes", y.Setup.Min())
		}
		pl := place{Yard: y, setup: ticks(y.Setup)}
		pl.end = max(0, min(int(y.Stop-p.Start)+1, j.days, len(y.Factor)))
		pl.cum = make([]float64, pl.end+1)
		for d := range pl.end {
			f := y.Factor[d]
			if !(f >= 0 && f <= 1) {
				return fault.Newf(fault.OutOfRange, y.ID, "on %s bees would take %v of their uptake; it must lie between 0 and 1", p.Start+units.Day(d), f)
			}
			pl.cum[d+1] = pl.cum[d] + f
		}
		for d := range min(pl.end, len(y.Feed)) {
			if y.Feed[d] {
				pl.feed = append(pl.feed, d)
			}
		}
		j.yards = append(j.yards, pl)
	}
	slices.SortFunc(j.yards, func(a, b place) int { return cmp.Compare(a.ID, b.ID) })
	for i := range j.yards {
		if j.yards[i].ID == "" {
			return fault.New(fault.Missing, "", "a yard has no name")
		}
		if i > 0 && j.yards[i].ID == j.yards[i-1].ID {
			return fault.New(fault.Conflict, j.yards[i].ID, "this yard is in the list twice")
		}
	}
	return nil
}

// readHives puts the hives in walking order, yard by yard, so that the order of
// the rows can play no part in anything that follows.
func (j *job) readHives() error {
	p := j.p
	order := make([]*Hive, len(p.Hives))
	for i := range p.Hives {
		order[i] = &p.Hives[i]
	}
	slices.SortFunc(order, func(a, b *Hive) int {
		return cmp.Or(cmp.Compare(a.Yard, b.Yard), cmp.Compare(a.Stand, b.Stand), cmp.Compare(a.Colony, b.Colony))
	})
	seen := make(map[string]bool, len(order))
	band := max(1e-6, p.Figures.V("feeding.risk_band"))
	j.step = nearest(units.Volume(p.Figures.V("feeding.step_l")))
	j.stepL = p.Figures.V("feeding.step_l") * 1e6
	j.part = p.Figures.V("feeding.top_up_part")
	j.hives = make([]site, 0, len(order))
	y := 0
	for _, h := range order {
		for y < len(j.yards) && j.yards[y].ID < h.Yard {
			y++
		}
		switch {
		case h.Colony == "":
			return fault.New(fault.Missing, h.Yard, "a colony of this yard has no name")
		case seen[h.Colony]:
			return fault.New(fault.Conflict, h.Colony, "this colony is in the list twice")
		case y == len(j.yards) || j.yards[y].ID != h.Yard:
			return fault.Newf(fault.NotFound, h.Colony, "it stands in yard %q, which is not in the list", h.Yard)
		}
		if err := sane(h); err != nil {
			return err
		}
		seen[h.Colony] = true
		j.yards[y].hives = append(j.yards[y].hives, len(j.hives))
		j.hives = append(j.hives, site{
			Hive: h, yard: y, feeder: within(h.Feeder), inside: nearest(h.InFeeder),
			rate: float64(h.Uptake) * 1e6, band: int(math.Floor(h.Risk/band + 0.5)),
		})
		s := &j.hives[len(j.hives)-1]
		// A colony hardly at risk still counts for something.
		s.weight = 50 + int64(math.Round(1000*h.Risk))
		s.cum = make([]micro, len(j.yards[y].cum))
		for d, c := range j.yards[y].cum {
			// Rounding the running sum, not each day, makes spans add up exactly.
			s.cum[d] = micro(math.Floor(s.rate * c))
		}
		j.admit(len(j.hives) - 1)
	}
	return nil
}

// sane refuses amounts that cannot be.
func sane(h *Hive) error {
	for _, a := range []struct {
		v    units.Volume
		what string
	}{{h.Need, "need"}, {h.InFeeder, "syrup in the feeder"}, {h.Feeder, "feeder"}, {h.Uptake, "daily uptake"}, {h.Room, "room in the comb"}} {
		if !(a.v >= 0 && a.v <= 1000) {
			return fault.Newf(fault.OutOfRange, h.Colony, "a %s of %v L cannot be", a.what, a.v.L())
		}
	}
	if !(h.Risk >= 0 && h.Risk <= 1) {
		return fault.Newf(fault.OutOfRange, h.Colony, "a chance of %v cannot be", h.Risk)
	}
	return nil
}

// admit decides what part of a hive's need may be planned at all. What cannot
// be is kept as a gap with its reason. Roads and days come later, in limits.
func (j *job) admit(h int) {
	s := &j.hives[h]
	y := &j.yards[s.yard]
	// What is in the feeder will be taken without anybody driving there, as far
	// as the days allow.
	need := nearest(s.Need) - min(s.inside, j.uptake(h, 0, y.end))
	s.need = need
	if need <= dust {
		return
	}
	refuse := func(v micro, why ...Reason) {
		if v > dust {
			s.gaps = append(s.gaps, gap{v, why})
		}
	}
	switch {
	case len(s.Hold) > 0:
		refuse(need, s.Hold...)
		return
	case s.feeder <= dust:
		refuse(need, Reason{Code: "no-feeder", Say: "it has no feeder on"})
		return
	case y.Stop == 0: // no day: units.Day
		refuse(need, append(append([]Reason(nil), y.Why...), Reason{Code: "stop-unknown", Say: "the stop day of its yard is not known"})...)
		return
	case y.Stop < j.p.Start:
		refuse(need, Reason{Code: "stop-passed", Say: "the stop day {0} is past: give sealed frames, fondant or dry sugar", Amounts: []any{y.Stop}})
		return
	case s.rate <= 0:
		refuse(need, Reason{Code: "no-uptake", Say: "nothing is known of bees there that would take syrup"})
		return
	}
	if s.RoomTold {
		room := max(0, within(s.Room)-min(s.inside, j.uptake(h, 0, y.end)))
		if need > room {
			refuse(need-room, Reason{Code: "comb-full", Say: "its comb has no space for {0} of it", Amounts: []any{(need - room).volume()}})
			need = room
		}
	}
	if need > dust {
		s.want = need
	}
}

// readRig checks what hauls, mixes and works. It is asked only when somebody
// needs syrup: who feeds nobody need not own a tank.
func (j *job) readRig() error {
	p := j.p
	need := func(ok bool, say, hint string) error {
		if ok {
			return nil
		}
		return fault.New(fault.Missing, "", say).WithHint("%s", hint)
	}
	k := &p.Kitchen
	for _, err := range []error{
		need(len(p.Rigs) > 0, "no truck has been told", "give a tank and a pump"),
		need(p.Crew.PerDay > 0, "the working time of a day has not been told", "hours a day for feeding, or the figure feeding.crew_h"),
		need(k.Strength > 0 && k.Strength < 1, "the strength of the syrup has not been told", "2:1 by weight is 66.7 %"),
		need(k.Density > 500 && k.Density < 2000, "the density of the syrup has not been told", "2:1 by weight weighs about 1.33 kg a litre"),
		need(p.Road != nil, "no roads have been told", "give places or distances"),
	} {
		if err != nil {
			return err
		}
	}
	if !(k.Mixing >= 0 && k.Mixing <= 1e6) {
		return fault.Newf(fault.OutOfRange, "", "a step of the work cannot take %v minutes", k.Mixing.Min())
	}
	if err := j.readFleet(); err != nil {
		return err
	}
	t := &j.trucks[0]
	j.rig, j.pump, j.day = t.Rig, t.pump, ticksDown(p.Crew.PerDay)
	j.allLoads = p.Crew.LoadsPerDay
	if j.allLoads <= 0 {
		j.allLoads = math.MaxInt32
	}
	j.loads = min(j.allLoads, t.loads)
	j.mix = newMixer(k)
	j.mix.ahead = int(p.Figures.V("feeding.mix_ahead_days"))
	j.gated = slices.ContainsFunc(p.Yards, func(y Yard) bool { return y.Opens > 0 || y.Shuts > 0 })
	return nil
}

// ticksDown rounds a limit of time down.
func ticksDown(d units.Duration) tick {
	return min(longest, max(0, tick(math.Floor(min(float64(d)*1000+1e-3, float64(longest))))))
}

// limits works out, hive by hive, what the roads and the days allow at best,
// and keeps the rest as gaps.
//
// A hive's goal is what a round on every feedable day would bring into it: its
// need to the last drop, or what handy steps come to when the days are too few.
func (j *job) limits() {
	for i := range j.yards {
		y := &j.yards[i]
		out, ok1 := j.roads.drive(0, i+1)
		back, ok2 := j.roads.drive(i+1, 0)
		y.reached = ok1 && ok2
		y.alone = slices.ContainsFunc(j.trucks, func(t truck) bool {
			return slices.ContainsFunc(t.day, func(day tick) bool { return t.fill+out+back+y.setup+slices.Min(t.lid) <= day })
		})
		for _, h := range y.hives {
			s := &j.hives[h]
			if s.want == 0 {
				continue
			}
			if !y.reached {
				s.gaps = append(s.gaps, gap{s.want, []Reason{{Code: "road-unknown", Say: "the way to yard {0} is not known: give its place or its distance", Amounts: []any{y.ID}}}})
				s.want = 0
				continue
			}
			s.bound = j.everyDay(h)
			b := j.start(h)
			s.goal = j.toppedUp(h, &b, y.feed)
			if s.want-s.bound > dust {
				s.gaps = append(s.gaps, gap{s.want - s.bound, j.tooFewDays(y, s)})
			}
			if s.bound <= dust {
				s.want, s.bound, s.goal = 0, 0, 0
			}
		}
	}
}

// tooFewDays says what the days allow; when there is none at all, the yard's
// own reasons (its stop day, its weather) say why.
func (j *job) tooFewDays(y *place, s *site) []Reason {
	if len(y.feed) == 0 {
		return append([]Reason{{Code: "days", Say: "no day for a round is left before its stop day {0}", Amounts: []any{y.Stop}}}, y.Why...)
	}
	return []Reason{{Code: "days", Say: "even with a round on every feedable day it can take {0} and no more by its stop day {1}",
		Amounts: []any{s.bound.volume(), y.Stop}}}
}

// everyDay gives what hive h is given when it is topped up to the last drop on
// every feedable day: nobody can get more into it.
func (j *job) everyDay(h int) micro {
	st := j.start(h)
	var sum micro
	for _, d := range j.yards[j.hives[h].yard].feed {
		f, _ := j.room(h, &st, d)
		j.pour(h, &st, d, max(0, f.v))
		sum += max(0, f.v)
	}
	return sum
}
