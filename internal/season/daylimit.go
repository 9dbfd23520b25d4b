package season

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/feeding"
	"larder/internal/units"
)

// WorkUse is what one kind of work takes of a day, of all crews together.
type WorkUse struct {
	What  string // "mixing", "filling", "driving", "waiting", "setup", "hands", "pumping"
	Time  units.Duration
	Share float64 // of the work of the day, 0…1
}

// DayLimit is what a day of the plan is made of and what keeps it from being
// larger.
type DayLimit struct {
	// Limit is "time", "tank", "payload", "another" (full tanks, and no time for
	// one load more) or, where none of these binds, "hives".
	Limit      string
	Busy, Of   units.Duration // work of all crews, and their working time; Of 0 = none told
	Full, Room units.Volume   // what the day's loads carry, and what their tanks could
	Loads      int
	Crews      int            // that work that day or could
	Free       units.Duration // what is left of its time to the crew that has most left
	Uses       []WorkUse      // what is not nothing, the largest first
	Why        []feeding.Reason
}

// limit works out what limits a day whose rows are made. Time binds when no crew has
// as much left as one more hive of that day would take: lid to lid and a mean fill
// through the pump. Tanks bind when no load of the day has room for its smallest fill
// and no more loads may go out, or no crew has as much time left as the shortest of
// them takes before its first lid and for one hive.
func (p *Planned) limit(w *WorkDay) DayLimit {
	l := DayLimit{}
	uses, hive, again := p.uses(w)
	for _, what := range workUses {
		if t := uses[what]; t > 0 {
			l.Busy += t
			l.Uses = append(l.Uses, WorkUse{What: what, Time: t})
		}
	}
	for i := range l.Uses {
		l.Uses[i].Share = float64(l.Uses[i].Time / l.Busy)
	}
	slices.SortStableFunc(l.Uses, func(a, b WorkUse) int { return cmp.Compare(b.Time, a.Time) })
	mayGo := p.crewsOn(w, &l)
	full, held := p.tanksOn(w.Day, &l)
	last := mayGo > 0 && l.Loads >= mayGo
	switch {
	case l.Of > 0 && l.Free < hive:
		l.Limit = "time"
	case full && last:
		l.Limit = held
	case full && l.Of > 0 && l.Free < again+hive:
		l.Limit = "another"
	default:
		l.Limit = "hives"
	}
	l.say()
	return l
}

// workUses are the kinds of work, in the order of the day.
var workUses = [...]string{"mixing", "filling", "driving", "waiting", "setup", "hands", "pumping"}

// uses gives what each kind of work takes of a day, what one hive takes on average,
// and the least a load takes before its first lid and after its last.
func (p *Planned) uses(w *WorkDay) (uses map[string]units.Duration, hive, again units.Duration) {
	uses = map[string]units.Duration{}
	again = units.Duration(math.Inf(1))
	hives := 0
	for _, row := range w.Rows {
		r := p.Problem.RigOf(row.Truck)
		for _, b := range row.Bars {
			if b.Load == 0 {
				uses["mixing"] += b.To - b.From
				continue
			}
			around := b.To - b.From
			for _, x := range b.Parts {
				t := x.To - x.From
				switch x.Kind {
				case WorkFill:
					uses["filling"] += t
				case WorkDrive:
					uses["driving"] += t
				case WorkWait:
					uses["waiting"] += t
				case WorkYard:
					setup := min(p.setupAt(x.Place), t)
					var pump units.Duration
					if r.Pump > 0 {
						pump = min(units.Duration(x.Syrup.L()/float64(r.Pump)), t-setup)
					}
					uses["setup"] += setup
					uses["pumping"] += pump
					uses["hands"] += t - setup - pump
					hives += x.Hives
					around -= t - setup
				}
			}
			again = min(again, around)
		}
	}
	if hives > 0 {
		hive = (uses["hands"] + uses["pumping"]) / units.Duration(hives)
	}
	return uses, hive, again
}

func (p *Planned) setupAt(yard string) units.Duration {
	if i := slices.IndexFunc(p.Problem.Yards, func(y feeding.Yard) bool { return y.ID == yard }); i >= 0 {
		return p.Problem.Yards[i].Setup
	}
	return 0
}

// crewsOn notes the working time of the crews whose truck may go out and how much
// is left to the one that has most. It gives the most loads that may go out, 0 = as
// time allows.
func (p *Planned) crewsOn(w *WorkDay, l *DayLimit) (mayGo int) {
	crew := &p.Problem.Crew
	mayGo, told := 0, true
	for i := range p.Problem.Rigs {
		r := &p.Problem.Rigs[i]
		if d := int(w.Day - p.Problem.Start); r.Out != nil && (d < 0 || d >= len(r.Out) || !r.Out[d]) {
			continue
		}
		left := p.workingTime(r, w.Day)
		l.Of += left
		l.Crews++
		mayGo += r.LoadsPerDay
		told = told && r.LoadsPerDay > 0
		for _, row := range w.Rows {
			if row.Truck == r.Truck && !row.Mixes {
				left -= row.Busy
			}
		}
		l.Free = max(l.Free, left)
	}
	// Mixing that stands by itself falls to whoever has the time.
	l.Free = max(0, min(l.Free, l.Of-l.Busy))
	if !told {
		mayGo = 0
	}
	if crew.LoadsPerDay > 0 && (mayGo == 0 || crew.LoadsPerDay < mayGo) {
		mayGo = crew.LoadsPerDay
	}
	return mayGo
}

// tanksOn notes what a day's loads carry and could. It tells whether none has room
// for the smallest fill of the day, and what holds them: "tank" or "payload".
func (p *Planned) tanksOn(day units.Day, l *DayLimit) (full bool, held string) {
	least := units.Volume(math.Inf(1))
	var gaps []units.Volume
	held = "payload"
	for k := range p.Loads {
		x := &p.Loads[k]
		if x.Day != day {
			continue
		}
		r := p.Problem.RigOf(x.Truck)
		room := r.Hauls(p.Problem.Kitchen.Density)
		if room == r.Tank {
			held = "tank"
		}
		l.Loads++
		l.Full, l.Room = l.Full+x.Syrup, l.Room+room
		gaps = append(gaps, room-x.Syrup)
		for _, s := range x.Stops {
			for _, f := range s.Fills {
				least = min(least, f.Volume)
			}
		}
	}
	return len(gaps) > 0 && slices.Max(gaps) < least, held
}

// say puts it into words.
func (l *DayLimit) say() {
	add := func(code, say string, amounts ...any) {
		l.Why = append(l.Why, feeding.Reason{Code: code, Say: say, Amounts: amounts})
	}
	switch l.Limit {
	case "time":
		if l.Crews > 1 {
			add("limit-time", "the working time limits this day: the crew with most of it left has {0}, too little for one more hive", l.Free)
			break
		}
		add("limit-time", "the working time limits this day: of {0} there is {1} left, too little for one more hive", l.Of, l.Free)
	case "tank":
		add("limit-tank", "the tank limits this day: {0} of the {1} its loads can hold, and no more loads go out in a day", l.Full, l.Room)
	case "payload":
		add("limit-payload", "what the truck may carry limits this day: {0} of the {1} it may haul in its loads, and no more loads go out in a day", l.Full, l.Room)
	case "another":
		if l.Crews > 1 {
			add("limit-another", "full tanks and the working time limit this day: the crew with most of it left has {0}, too little for another load", l.Free)
			break
		}
		add("limit-another", "full tanks and the working time limit this day: of {0} there is {1} left, too little for another load", l.Of, l.Free)
	default:
		switch {
		case l.Of > 0 && l.Loads > 0:
			add("limit-hives", "neither time nor tank limits this day: {0} of work and room for {1} are left", l.Of-l.Busy, l.Room-l.Full)
		case l.Loads > 0:
			add("limit-untold", "how long a working day is was not told; room for {0} is left in the tank", l.Room-l.Full)
		case l.Of > 0:
			add("limit-mixing", "syrup is mixed ahead on this day: {0} of work is left", l.Of-l.Busy)
		}
	}
	if len(l.Uses) == 0 {
		return
	}
	say := map[string]string{
		"mixing":  "the largest part of the work is mixing: {0}, that is {1} %",
		"filling": "the largest part of the work is filling tanks: {0}, that is {1} %",
		"driving": "the largest part of the work is driving: {0}, that is {1} %",
		"waiting": "the largest part of the time is waiting at a gate: {0}, that is {1} %",
		"setup":   "the largest part of the work is setting up in the yards: {0}, that is {1} %",
		"hands":   "the largest part of the work is by hand at the hives: {0}, that is {1} %",
		"pumping": "the largest part of the work is pumping: {0}, that is {1} %",
	}
	add("limit-most", say[l.Uses[0].What], l.Uses[0].Time, Of100(l.Uses[0].Share))
}

// DayLimitDoc is what limits one day, for JSON.
type DayLimitDoc struct {
	Day     units.Day          `json:"day"`
	Limit   string             `json:"limit"`
	WorkMin float64            `json:"work_min"`
	OfMin   float64            `json:"working_time_min"` // 0 = not told
	SyrupL  float64            `json:"syrup_l"`
	RoomL   float64            `json:"room_l"`
	Parts   map[string]float64 `json:"parts_min"`
	Reasons []ReasonDoc        `json:"reasons"`
}

// LimitDocs lists what limits each day of the plan.
func (p *Planned) LimitDocs(s units.Style) []DayLimitDoc {
	out := []DayLimitDoc{}
	for _, w := range p.WorkDays() {
		l := &w.Limits
		d := DayLimitDoc{Day: w.Day, Limit: l.Limit, WorkMin: l.Busy.Min(), OfMin: l.Of.Min(), SyrupL: l.Full.L(), RoomL: l.Room.L(), Parts: map[string]float64{}, Reasons: Reasons(l.Why, s)}
		for _, u := range l.Uses {
			d.Parts[u.What] = u.Time.Min()
		}
		out = append(out, d)
	}
	return out
}

// LimitsOn gives what limits a day of the plan; nothing on a day without work.
func (p *Planned) LimitsOn(day units.Day) DayLimit {
	for _, w := range p.WorkDays() {
		if w.Day == day {
			return w.Limits
		}
	}
	return DayLimit{}
}
