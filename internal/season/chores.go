package season

import (
	"slices"

	"larder/internal/apiary"
	"larder/internal/units"
)

// OpeningChores is what is done in a yard before its first round, in order:
// entrances made small, hives level, boxes bee-tight, one feeder tested for
// leaks. Common practice, no source.
func OpeningChores() []string { return []string{"narrow", "level", "tight", "leak"} }

// ClosingChores is what is done after its last: feeders off, leftover syrup
// measured and back to stock or thrown away, entrances and mouse guards set for
// winter. Common practice, no source. Weighing again 10 to 14 days later is a
// job of its own.
func ClosingChores() []string { return []string{"feeders-off", "leftover", "guard"} }

// What is noted of a yard in spring beside its chores.
const (
	ForageBegan  = "forage"    // the first forage a colony can live on was seen that day
	ProgBuildUp  = "build-up"  // thin feed is begun to build up colonies
	ProgSplit    = "split"     // thin feed is begun to make splits
	ProgComb     = "draw-comb" // thin feed is begun to have comb drawn
	ProgrammeOff = "feed-ended"
)

// SpringNotes lists what is noted of a yard in spring: the first forage seen, a
// programme of thin feed begun, and its end.
func SpringNotes() []string {
	return []string{ForageBegan, ProgBuildUp, ProgSplit, ProgComb, ProgrammeOff}
}

func checkChore(b apiary.Chore) error {
	return first(needName("yard", b.Yard), oneOf("chore", b.What, slices.Concat(OpeningChores(), ClosingChores(), SpringNotes())...))
}

// foldForage gives the days on which first forage was seen, rising; of one year
// the last word counts.
func foldForage(l []*Fact) []units.Day {
	var out []units.Day
	for _, f := range l {
		if c, ok := f.Body.(apiary.Chore); ok && c.What == ForageBegan {
			d := f.Seen.Day()
			out = slices.DeleteFunc(out, func(o units.Day) bool { return o.Year() == d.Year() })
			out = append(out, d)
		}
	}
	slices.Sort(out)
	return out
}

// ForageSeen gives the days on which the keeper saw first forage begin in a
// yard, rising.
func (st *State) ForageSeen(yard string) []units.Day { return st.forage[yard] }

// Programme gives the programme of thin feed that runs in a yard and since when;
// "" = none.
func (st *State) Programme(yard string) (what string, since units.Day) {
	var at units.Moment
	for _, p := range []string{ProgBuildUp, ProgSplit, ProgComb} {
		if m, ok := st.ChoreDone(yard, p); ok && m.Compare(at) > 0 {
			what, at = p, m
		}
	}
	if off, ok := st.ChoreDone(yard, ProgrammeOff); ok && off.Compare(at) >= 0 {
		return "", 0
	}
	return what, at.Day()
}

// foldChores gives when each chore of a yard was done last.
func foldChores(l []*Fact) map[string]units.Moment {
	var done map[string]units.Moment
	for _, f := range l {
		if c, ok := f.Body.(apiary.Chore); ok {
			if done == nil {
				done = map[string]units.Moment{}
			}
			done[c.What] = f.Seen
		}
	}
	return done
}

// ChoreDone gives when a chore was done last in a yard; false = never.
func (st *State) ChoreDone(yard, what string) (units.Moment, bool) {
	m, ok := st.chores[yard][what]
	return m, ok
}

// choresOpen lists the chores that were not done on or after a day.
func (st *State) choresOpen(yard string, chores []string, since units.Day) []string {
	return slices.DeleteFunc(chores, func(c string) bool {
		at, ok := st.ChoreDone(yard, c)
		return ok && at.Day() >= since
	})
}

// ofChores lists the yards to be opened before their first round and those to be
// closed after their last.
func (l *jobList) ofChores() {
	firstRound := l.firstRounds()
	for _, yard := range l.yards {
		var gave units.Day
		var colonies []string
		feeding := false // a fill is still to come
		for _, x := range l.byYard[yard] {
			d, _ := lastGiven(x.Colony, l.at)
			gave = max(gave, d)
			feeding = feeding || l.fed[x.Colony.ID]
			colonies = append(colonies, x.Colony.ID)
		}
		today := l.at.Day()
		begun := gave != 0 && today-gave <= l.days("season.autumn_days")
		if first := firstRound[yard]; first != 0 && !begun {
			todo := l.st.choresOpen(yard, OpeningChores(), today-l.days("season.autumn_days"))
			if len(todo) > 0 {
				l.add(Job{Code: JobOpen, Colonies: colonies, Chores: todo, On: first, Last: first}, yard, l.b.figs.V("season.feeder_look_min"))
			}
		}
		if begun && !feeding && l.planned != nil && today-gave >= l.days("season.feeder_days") {
			todo := l.st.choresOpen(yard, ClosingChores(), gave)
			if len(todo) > 0 {
				l.add(Job{Code: JobClose, Colonies: colonies, Chores: todo, Last: gave + l.days("season.reweigh_to")}, yard, l.b.figs.V("season.feeder_look_min"))
			}
		}
	}
}

// firstRounds gives the day of the first round of each yard by the plan.
func (l *jobList) firstRounds() map[string]units.Day {
	out := map[string]units.Day{}
	if l.planned == nil {
		return out
	}
	for i := range l.planned.Loads {
		for _, s := range l.planned.Loads[i].Stops {
			out[s.Yard] = earlier(out[s.Yard], l.planned.Loads[i].Day)
		}
	}
	return out
}
