package season

import (
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
	Uses       []WorkUse // what is not nothing, the largest first
	Why        []feeding.Reason
}

// limit works out what limits a day. One crew's time binds when what is left of it
// is less than one more hive of that day would take: lid to lid and a mean fill
// through the pump. A tank binds when all its loads of the day have no room for
// the smallest fill of the day and no more loads may go out, or what is left of
// the time is less than the shortest of them takes before its first lid.
func (p *Planned) limit(w *WorkDay) DayLimit {
	l := DayLimit{}
	var uses [len(workUses)]units.Duration
	if n := p.batchesOn(w.Day); n > 0 {
		uses[0] = units.Duration(n) * p.Problem.Kitchen.Mixing
	}
	least, fills := units.Volume(math.Inf(1)), 0
	var hands, pumping units.Duration
	held, again := "", units.Duration(math.Inf(1))
	for k := range p.Loads {
		x := &p.Loads[k]
		if x.Day != w.Day {
			continue
		}
		r := p.Problem.RigOf(x.Truck)
		room, by := r.Tank, "tank"
		if m := units.Volume(r.Payload.Kg() / float64(p.Problem.Kitchen.Density) * 1000); r.Payload > 0 && p.Problem.Kitchen.Density > 0 && m < room {
			room, by = m, "payload"
		}
		if held == "" || held == by {
			held = by
		} else {
			held = "tank"
		}
		l.Loads++
		start := x.Time
		l.Full, l.Room = l.Full+x.Syrup, l.Room+room
		for i := range x.Stops {
			s := &x.Stops[i]
			var v units.Volume
			for _, f := range s.Fills {
				v, least = v+f.Volume, min(least, f.Volume)
			}
			fills += len(s.Fills)
			var setup, pump units.Duration
			for _, y := range p.Problem.Yards {
				if y.ID == s.Yard {
					setup = min(y.Setup, s.Time)
				}
			}
			if r.Pump > 0 {
				pump = min(units.Duration(v.L()/float64(r.Pump)), s.Time-setup)
			}
			uses[4] += setup
			start -= s.Time - setup
			hands, pumping = hands+s.Time-setup-pump, pumping+pump
		}
		again = min(again, start)
	}
	uses[5], uses[6] = hands, pumping
	for _, row := range w.Rows {
		for _, b := range row.Bars {
			for _, x := range b.Parts {
				switch x.Kind {
				case WorkFill:
					uses[1] += x.To - x.From
				case WorkDrive:
					uses[2] += x.To - x.From
				case WorkWait:
					uses[3] += x.To - x.From
				}
			}
		}
	}
	for i, t := range uses {
		l.Busy += t
		if t > 0 {
			l.Uses = append(l.Uses, WorkUse{What: workUses[i], Time: t})
		}
	}
	for i := range l.Uses {
		l.Uses[i].Share = float64(l.Uses[i].Time / l.Busy)
	}
	slices.SortStableFunc(l.Uses, func(a, b WorkUse) int { return int(math.Copysign(1, float64(b.Time-a.Time))) })
	driven := 0
	for i := range p.Problem.Rigs {
		r := &p.Problem.Rigs[i]
		if d := int(w.Day - p.Problem.Start); r.Out != nil && (d < 0 || d >= len(r.Out) || !r.Out[d]) {
			continue
		}
		l.Of += p.workingTime(r, w.Day)
		driven += r.LoadsPerDay
		if r.LoadsPerDay == 0 {
			driven = math.MinInt32
		}
	}
	most := p.Problem.Crew.LoadsPerDay
	if driven > 0 && (most == 0 || driven < most) {
		most = driven
	}
	one := units.Duration(0)
	if fills > 0 {
		one = (hands + pumping) / units.Duration(fills)
	}
	full := l.Loads > 0 && l.Room-l.Full < min(least, l.Room)
	last := most > 0 && l.Loads >= most
	switch {
	case l.Of > 0 && l.Of-l.Busy < one:
		l.Limit = "time"
	case full && last:
		l.Limit = held
	case full && l.Of > 0 && l.Of-l.Busy < again+one:
		l.Limit = "another"
	default:
		l.Limit = "hives"
	}
	l.say()
	return l
}

// workUses are the kinds of work, in the order of the day.
var workUses = [...]string{"mixing", "filling", "driving", "waiting", "setup", "hands", "pumping"}

func (p *Planned) batchesOn(d units.Day) int {
	n := 0
	for _, b := range p.Batches {
		if b.Day == d {
			n++
		}
	}
	return n
}

// say puts it into words.
func (l *DayLimit) say() {
	add := func(code, say string, amounts ...any) {
		l.Why = append(l.Why, feeding.Reason{Code: code, Say: say, Amounts: amounts})
	}
	switch l.Limit {
	case "time":
		add("limit-time", "the working time limits this day: of {0} there is {1} left, too little for one more hive", l.Of, max(0, l.Of-l.Busy))
	case "tank":
		add("limit-tank", "the tank limits this day: {0} of the {1} its loads can hold, and no more loads go out in a day", l.Full, l.Room)
	case "payload":
		add("limit-payload", "what the truck may carry limits this day: {0} of the {1} it may haul in its loads, and no more loads go out in a day", l.Full, l.Room)
	case "another":
		add("limit-another", "full tanks and the working time limit this day: of {0} there is {1} left, too little for another load", l.Of, l.Of-l.Busy)
	default:
		switch {
		case l.Of > 0 && l.Loads > 0:
			add("limit-hives", "neither time nor tank limits this day: {0} of work and room for {1} are left; what the hives need and take, and the other days, set it", l.Of-l.Busy, l.Room-l.Full)
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
