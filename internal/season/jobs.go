package season

import (
	"cmp"
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/units"
	"larder/internal/winter"
)

// JobCode says what sort of job it is. Codes are stable: screens keep their
// words by them.
type JobCode string

// The jobs, in the order in which they are done when their last days are equal:
// what others wait for comes first.
const (
	JobPlace    JobCode = "place"    // facts name colonies of which nobody said where they stand
	JobBoxes    JobCode = "boxes"    // its woodenware was not told
	JobWinter   JobCode = "winter"   // the class of winter is not known, so there is no target
	JobStopDay  JobCode = "stop-day" // the last day for syrup is not known, or only by a rule of thumb
	JobTank     JobCode = "tank"     // it is not told what the tank holds
	JobSick     JobCode = "disease"  // disease seen or suspected
	JobSupers   JobCode = "supers"   // honey supers to come off before any syrup
	JobAnswers  JobCode = "answers"  // super, disease, treatment: not told, so no syrup yet
	JobReadings JobCode = "readings" // stores not known, or known long ago
	JobUnite    JobCode = "unite"    // too weak or queenless: no syrup will save it
	JobOpen     JobCode = "open"     // before the first round: see OpeningChores
	JobMix      JobCode = "mix"      // a batch of the plan
	JobRound    JobCode = "round"    // the loads of one day of the plan
	JobLeft     JobCode = "left"     // see what is left in the feeders
	JobReweigh  JobCode = "reweigh"  // weigh again once the syrup is ripe
	JobLow      JobCode = "low"      // by the winter watch: feed in need
	JobLater    JobCode = "later"    // by the winter watch: it will not last to first forage
	JobRoom     JobCode = "room"     // its combs cannot hold what it needs
	JobHeft     JobCode = "heft"     // by the winter watch: a heft may change what is done
	JobClose    JobCode = "close"    // after the last round: see ClosingChores
	JobPrices   JobCode = "prices"   // without them a plan has no cost
)

var jobOrder = []JobCode{JobPlace, JobBoxes, JobWinter, JobStopDay, JobTank, JobLow, JobLater, JobSick, JobSupers, JobAnswers, JobReadings, JobUnite, JobRoom, JobHeft,
	JobOpen, JobMix, JobRound, JobLeft, JobClose, JobReweigh, JobPrices}

// Job is one thing to do next.
type Job struct {
	Code     JobCode
	Yards    []string       // where; empty = at home
	Colonies []string       // which, by yard, stand and name
	Known    int            // JobReadings: how many of them were read, but long ago
	Chores   []string       // JobOpen, JobClose: what is still to be done there
	Loads    int            // JobRound, JobMix: how many loads or batches
	Load     int            // JobRound: the number of the first
	Follow   int            // JobRound, JobMix: on how many days more of the same are planned
	Volume   units.Volume   // JobRound, JobMix
	Form     winter.Form    // JobLow: what to feed first of all
	Feed     units.Mass     // JobLow: how much of it at this visit, all colonies together; 0 for syrup. JobLater: the stores they lack
	On       units.Day      // the day the plan has it on, or the next mild one (JobLow); 0 = any
	Last     units.Day      // the last safe day; 0 = none is known
	Late     bool           // that day is past
	Work     units.Duration // hands and wheels; 0 = not worked out
	Why      []feeding.Reason
}

// jobFigures lists what the list of jobs assumes.
func jobFigures() []figure.Figure {
	practice := "common practice, no source"
	return []figure.Figure{
		{Key: "season.reading_days", Name: "days after which a reading of stores is old", Value: 21, Unit: "days", Low: 7, High: 60,
			Source: practice, Grade: figure.Practice},
		{Key: "season.ready_days", Name: "days before the stop day by which stores should be known", Value: 10, Unit: "days", Low: 3, High: 40,
			Source: practice, Grade: figure.Practice, Note: "leaves time to mix, drive and let them take it; sets the last safe day of readings and answers"},
		{Key: "season.autumn_days", Name: "days before the stop day from which stores are asked for", Value: 60, Unit: "days", Low: 20, High: 200,
			Source: practice, Grade: figure.Practice},
		{Key: "season.feeder_days", Name: "days after a fill when the feeder should be looked into", Value: 5, Unit: "days", Low: 1, High: 14,
			Source: "derived: a third of a fill left after 5 days means they have had enough or something is wrong", Grade: figure.Derived},
		{Key: "season.reweigh_from", Name: "days after feeding before a new weight is true", Value: 10, Unit: "days", Low: 5, High: 21,
			Source: "derived: taken syrup loses 14 to 24 % of its mass while it ripens", Grade: figure.Derived},
		{Key: "season.reweigh_to", Name: "days after feeding by which the new weight should be taken", Value: 14, Unit: "days", Low: 7, High: 30,
			Source: practice, Grade: figure.Practice},
		{Key: "season.heft_min", Name: "time to weigh or heft one hive and note it", Value: 3, Unit: "min", Low: 0.5, High: 15, Source: practice, Grade: figure.Practice},
		{Key: "season.look_min", Name: "time to look into one hive and close it", Value: 6, Unit: "min", Low: 1, High: 30, Source: practice, Grade: figure.Practice},
		{Key: "season.feeder_look_min", Name: "time to look into one feeder", Value: 1, Unit: "min", Low: 0.2, High: 5, Source: practice, Grade: figure.Practice},
	}
}

// Jobs lists what to do next, the job that gets too late first at the top.
// planned is the plan as of at; nil when none could be made (no tank told, say):
// then there are no rounds and batches in the list, but a job that says what is
// missing.
//
// The last safe day of a round is the earliest stop day of its yards; of a
// reading or an answer "season.ready_days" before it, so that there is time to
// feed by it. Work is hands at the hives and, where the roads are known, the
// wheels there and back. The same job in several yards with the same last day is
// one job.
func (st *State) Jobs(at units.Moment, planned *Planned) []Job {
	l := jobList{st: st, b: st.bench(at), at: at, planned: planned, stop: map[string]YardStop{}}
	l.gather()
	for _, y := range l.yards {
		l.ofYard(y, l.byYard[y])
	}
	l.ofChores()
	l.atHome()
	l.ofPlan()
	return l.ordered(l.out)
}

// ordered says which jobs are late, puts first what gets too late first, and what
// is the same in several yards into one.
func (l *jobList) ordered(jobs []Job) []Job {
	for i := range jobs {
		j := &jobs[i]
		j.Late = j.Last != 0 && j.Last < l.at.Day()
	}
	slices.SortStableFunc(jobs, func(a, b Job) int {
		return cmp.Or(cmp.Compare(orLast(a.Last), orLast(b.Last)), slices.Index(jobOrder, a.Code)-slices.Index(jobOrder, b.Code), cmp.Compare(a.On, b.On))
	})
	return merged(jobs)
}

// merged puts jobs of several yards that are the same and get too late on the
// same day into one.
func merged(jobs []Job) []Job {
	var out []Job
	for _, j := range jobs {
		if n := len(out); n > 0 && len(j.Yards) > 0 && j.On == 0 && out[n-1].Code == j.Code && out[n-1].Last == j.Last && out[n-1].Form == j.Form {
			m := &out[n-1]
			m.Yards = append(m.Yards, j.Yards...)
			m.Colonies = append(m.Colonies, j.Colonies...)
			m.Known += j.Known
			m.Feed += j.Feed
			m.Work += j.Work
			continue
		}
		out = append(out, j)
	}
	return out
}

// orLast puts a day that is not known behind all others.
func orLast(d units.Day) units.Day {
	if d == 0 {
		return 1<<31 - 1
	}
	return d
}

// jobList is the list being made.
type jobList struct {
	st      *State
	b       *bench
	at      units.Moment
	planned *Planned
	yards   []string // with living colonies, by id
	byYard  map[string][]*Short
	stop    map[string]YardStop
	fed     map[string]bool // colonies the plan still has fills for
	wanted  bool            // something is short or not known
	road    func(from, to string) (feeding.Road, bool)
	out     []Job
}

func (l *jobList) gather() {
	var shorts []Short
	if l.planned != nil {
		shorts = l.planned.Short
		for _, s := range l.planned.Stops {
			l.stop[s.Yard.ID] = s
		}
	} else {
		shorts = l.st.Short(l.at)
		for _, s := range l.st.StopDays(l.at) {
			l.stop[s.Yard.ID] = s
		}
	}
	l.byYard = map[string][]*Short{}
	for i := range shorts {
		s := &shorts[i]
		l.byYard[s.Colony.Yard] = append(l.byYard[s.Colony.Yard], s)
	}
	l.yards = sortedKeys(l.byYard)
	if road, err := l.b.roads(); err == nil { // else work is hands alone
		l.road = road
	}
	l.fed = map[string]bool{}
	if l.planned != nil {
		for i := range l.planned.Loads {
			for _, s := range l.planned.Loads[i].Stops {
				for _, f := range s.Fills {
					l.fed[f.Colony] = true
				}
			}
		}
	}
}

func (l *jobList) days(key string) units.Day { return units.Day(l.b.figs.V(key)) }

// last is the last safe day of getting things known in a yard, 0 if its stop day
// is not known.
func (l *jobList) last(yard string) units.Day {
	if s := l.stop[yard]; s.Known {
		return s.Stop.Day - l.days("season.ready_days")
	}
	return 0
}

// sorting is what a yard's colonies ask for.
type sorting struct {
	place, boxes, room, winter, sick, supers, answers, readings, unite, left, reweigh []string
	short                                                                             []string // may be fed and lack something
	old                                                                               int
	leftBy, reweighBy                                                                 units.Day
}

func (l *jobList) ofYard(yard string, shorts []*Short) {
	stop := l.stop[yard]
	today := l.at.Day()
	season := !stop.Known || today >= stop.Stop.Day-l.days("season.autumn_days")
	over := stop.Known && today > stop.Stop.Day
	var s sorting
	for _, x := range shorts {
		l.sort(&s, x, season, over)
	}
	why := stop.Why
	last := l.last(yard)
	if over {
		last = 0 // syrup is no more; what is found out still serves the winter
	}
	l.add(Job{Code: JobPlace, Colonies: s.place}, yard, 0)
	l.add(Job{Code: JobBoxes, Colonies: s.boxes}, yard, 0)
	l.add(Job{Code: JobWinter, Colonies: s.winter}, yard, 0)
	if !stop.Known || stop.Usual && !stop.Typed { // the usual day is a rule of thumb: his own, or the weather's, is better
		l.add(Job{Code: JobStopDay, Colonies: s.short, Why: why}, yard, 0)
	}
	l.add(Job{Code: JobSick, Colonies: s.sick, Last: last, Why: why}, yard, l.b.figs.V("season.look_min"))
	l.add(Job{Code: JobSupers, Colonies: s.supers, Last: last, Why: why}, yard, l.b.figs.V("season.look_min"))
	l.add(Job{Code: JobAnswers, Colonies: s.answers, Last: last, Why: why}, yard, l.b.figs.V("season.look_min"))
	l.add(Job{Code: JobReadings, Colonies: s.readings, Known: s.old, Last: last, Why: why}, yard, l.b.figs.V("season.heft_min"))
	l.add(Job{Code: JobUnite, Colonies: s.unite, Last: last, Why: why}, yard, l.b.figs.V("season.look_min"))
	l.add(Job{Code: JobRoom, Colonies: s.room, Last: last, Why: why}, yard, l.b.figs.V("season.look_min"))
	l.add(Job{Code: JobLeft, Colonies: s.left, Last: s.leftBy}, yard, l.b.figs.V("season.feeder_look_min"))
	l.add(Job{Code: JobReweigh, Colonies: s.reweigh, Last: s.reweighBy}, yard, l.b.figs.V("season.heft_min"))
}

// sort files one colony under what it asks for.
func (l *jobList) sort(s *sorting, x *Short, season, over bool) {
	id, today := x.Colony.ID, l.at.Day()
	if !x.Colony.Told {
		s.place = append(s.place, id)
		return // the rest follows once it is told
	}
	for _, r := range x.Lack.Why {
		switch r.Code {
		case "no-target":
			s.winter = append(s.winter, id)
		case "no-stack":
			s.boxes = append(s.boxes, id)
		}
	}
	gave, looked := lastGiven(x.Colony, l.at)
	if gave != 0 && today-gave <= l.days("season.plan_days") {
		if x.Colony.Feeder != "" && looked < gave && today-gave >= l.days("season.feeder_days") {
			s.left = append(s.left, id)
			by := gave + l.days("season.reweigh_to")
			if stop := l.stop[x.Colony.Yard]; stop.Known && !over {
				by = stop.Stop.Day
			}
			s.leftBy = earlier(s.leftBy, by)
		}
		if !l.fed[id] && today-gave >= l.days("season.reweigh_from") && (x.ReadAt.IsZero() || x.ReadAt.Day() < gave+l.days("season.reweigh_from")) {
			s.reweigh = append(s.reweigh, id)
			s.reweighBy = earlier(s.reweighBy, gave+l.days("season.reweigh_to"))
			return
		}
	}
	if !season {
		return
	}
	wants := x.Lack.Syrup > 0 || !x.Lack.Known && !x.NeedTyped
	l.wanted = l.wanted || wants
	if x.Lack.Syrup > 0 && len(x.Hold) == 0 {
		s.short = append(s.short, id)
	}
	for _, h := range x.Hold {
		switch h.Code {
		case feeding.CodeDisease:
			s.sick = append(s.sick, id)
		case feeding.CodeSuper:
			if wants && !over {
				s.supers = append(s.supers, id)
			}
		case feeding.CodeWeak, feeding.CodeQueenless:
			if !slices.Contains(s.unite, id) {
				s.unite = append(s.unite, id)
			}
		case feeding.CodeAskDisease, feeding.CodeAskTreatment, feeding.CodeAskSuper:
			if wants && !over && !slices.Contains(s.answers, id) {
				s.answers = append(s.answers, id)
			}
		}
	}
	if x.Tight && !over && !slices.Contains(s.unite, id) { // once it is cold Winter watch says what to give
		s.room = append(s.room, id)
	}
	switch {
	case x.ReadAt.IsZero():
		s.readings = append(s.readings, id)
	case today-x.ReadAt.Day() > l.days("season.reading_days") && (!over || !x.Stores().Known):
		s.readings = append(s.readings, id)
		s.old++
	}
}

// earlier gives the earlier of two days, 0 counting as none.
func earlier(a, b units.Day) units.Day {
	if a == 0 {
		return b
	}
	return min(a, b)
}

// lastGiven gives the day of the last syrup a colony was given, and the day its
// feeder was last looked into.
func lastGiven(c *Colony, at units.Moment) (gave, looked units.Day) {
	for _, f := range c.Events {
		if !at.Covers(f.Seen) {
			continue
		}
		switch e := f.Body.(type) {
		case ledger.Given:
			if e.Colony == c.ID && e.Feed == ledger.Syrup {
				gave = f.Seen.Day()
			}
		case ledger.Left, ledger.Taken:
			looked = f.Seen.Day()
		case apiary.FeederSet:
			if e.Feeder == "" {
				looked = f.Seen.Day()
			}
		}
	}
	return gave, looked
}

// add puts a job of one yard on the list, if it has colonies. Minutes are for
// each hive; 0 = done at the table.
func (l *jobList) add(j Job, yard string, minutes float64) {
	if len(j.Colonies) == 0 {
		return
	}
	if yard != "" {
		j.Yards = []string{yard}
	}
	if minutes > 0 {
		y, _ := l.st.Yard(yard)
		j.Work = orMin(y.Setup, l.b.figs.V("feeding.setup_min")) + units.Duration(minutes*float64(len(j.Colonies)))*units.Minute + l.driving(yard)
	}
	l.out = append(l.out, j)
}

// driving is the way to a yard and back, 0 where it is not known.
func (l *jobList) driving(yard string) units.Duration {
	if l.road == nil {
		return 0
	}
	out, ok1 := l.road("", yard)
	back, ok2 := l.road(yard, "")
	if !ok1 || !ok2 {
		return 0
	}
	return out.Time + back.Time
}

// atHome lists what is to be told at the table.
func (l *jobList) atHome() {
	var first units.Day
	for _, y := range l.yards {
		if d := l.last(y); d >= l.at.Day() {
			first = earlier(first, d)
		}
	}
	if l.st.Settings.TankUsable() <= 0 && l.wanted {
		l.out = append(l.out, Job{Code: JobTank, Last: first})
	}
	s := &l.st.Settings
	if l.planned != nil && len(l.planned.Loads) > 0 && s.SugarPerKg.IsZero() && s.PerKm.IsZero() && s.PerHour.IsZero() {
		l.out = append(l.out, Job{Code: JobPrices})
	}
}

// ofPlan lists the next mixing and the next round of the plan, those of a day
// together; the rest follows from the plan.
func (l *jobList) ofPlan() {
	if l.planned == nil {
		return
	}
	p := l.planned
	mix := len(l.out)
	for i := 0; i < len(p.Batches); {
		j := Job{Code: JobMix, On: p.Batches[i].Day, Last: p.Batches[i].Day}
		for ; i < len(p.Batches) && p.Batches[i].Day == j.On; i++ {
			j.Loads++
			j.Volume += p.Batches[i].Syrup
			j.Work += p.Problem.Kitchen.Mixing
		}
		l.nextOf(mix, j)
	}
	round := len(l.out)
	for i := 0; i < len(p.Loads); {
		j := Job{Code: JobRound, On: p.Loads[i].Day, Load: p.Loads[i].N}
		for ; i < len(p.Loads) && p.Loads[i].Day == j.On; i++ {
			load := &p.Loads[i]
			j.Loads++
			j.Volume += load.Syrup
			j.Work += load.Time
			for _, s := range load.Stops {
				if !slices.Contains(j.Yards, s.Yard) {
					j.Yards = append(j.Yards, s.Yard)
				}
				if stop := l.stop[s.Yard]; stop.Known {
					j.Last = earlier(j.Last, stop.Stop.Day)
				}
				for _, f := range s.Fills {
					j.Colonies = append(j.Colonies, f.Colony)
				}
			}
		}
		l.nextOf(round, j)
	}
}

// nextOf puts the first job of a sort on the list, at place at, and counts the
// others with it.
func (l *jobList) nextOf(at int, j Job) {
	if len(l.out) > at {
		l.out[at].Follow++
		return
	}
	l.out = append(l.out, j)
}

// OldWeather gives the last day of measured weather when it is more than two
// days ago: what is worked out for the days since rests on forecasts and past
// years. 0 when the weather is fresh, or none is known.
func (st *State) OldWeather(at units.Moment) units.Day {
	var last units.Day
	for _, station := range st.Stations() {
		days := st.Weather(station)
		for i := len(days) - 1; i >= 0; i-- {
			if !days[i].Forecast {
				last = max(last, days[i].Day)
				break
			}
		}
	}
	if last == 0 || at.Day()-last <= 2 {
		return 0
	}
	return last
}
