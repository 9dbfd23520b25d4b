package season

import (
	"larder/internal/feeding"
	"larder/internal/units"
	"larder/internal/weather"
)

// Sure is how sure one can be, and the feedable days left and stop day one can
// then count on.
type Sure struct {
	Chance float64
	Days   int       // feedable days left, today not counted
	Stop   units.Day // the stop day falls on this day or later
}

// StopYear is how many past years had one stop day.
type StopYear struct {
	Day   units.Day
	Years int
}

// Stopping is one yard against its stop day: how many days for syrup are left and
// what is still to be given.
type Stopping struct {
	YardStop
	Name  string // of the yard, or its id
	Hives int    // living colonies

	// Years are the replays of past years, the earliest stop day first, ByDay how
	// many had each; Sures what can be counted on with 50, 80 and 95 %. All empty
	// where no past year is known.
	Years []weather.Replay
	Sures []Sure
	ByDay []StopYear
	Few   bool // the years are few: the ends are not known well

	Syrup  units.Volume // still to be given by the plan as it stands
	Loads  int
	Days   int // days on which a load goes out to it
	Unmet  units.Volume
	Tight  bool // more days of work than can be counted on with 80 %
	NoPlan bool // there is no plan to hold it against
}

// Stopping answers for every yard with living colonies until which day bees take
// syrup and whether there is time for all. plan is the plan as it stands, nil
// where there is none.
func (st *State) Stopping(at units.Moment, plan *Planned) []Stopping {
	b := st.bench(at)
	hives := map[string]int{}
	for _, c := range st.Colonies() {
		if c.State == "alive" {
			hives[c.Yard]++
		}
	}
	var out []Stopping
	for _, y := range st.Yards() {
		if hives[y.ID] == 0 {
			continue
		}
		s := Stopping{YardStop: b.stopDay(y, at.Day()), Name: y.Name, Hives: hives[y.ID], NoPlan: plan == nil}
		if s.Name == "" {
			s.Name = y.ID
		}
		s.lookAhead(b)
		if plan != nil {
			s.workLeft(plan)
		}
		out = append(out, s)
	}
	return out
}

// lookAhead plays the past years through.
func (s *Stopping) lookAhead(b *bench) {
	today, south := b.at.Day(), b.isSouth(s.Yard.ID)
	o, err := weather.Replays(weather.StopQuery{Season: weather.Season(today, south), South: south, Series: b.skyOf(s.Yard.ID).series,
		Feed: weather.Feed{Strength: b.st.Settings.Syrup}, Typed: b.typedStop(s.Yard, today)}, today+1, b.figs)
	if err != nil {
		s.Why = append(s.Why[:len(s.Why):len(s.Why)], asReason("no-years", err))
		return
	}
	s.Years, s.Few = o.Years, o.Few
	for _, y := range o.Years {
		if n := len(s.ByDay); n > 0 && s.ByDay[n-1].Day == y.Stop {
			s.ByDay[n-1].Years++
		} else {
			s.ByDay = append(s.ByDay, StopYear{y.Stop, 1})
		}
	}
	for _, p := range [...]float64{0.5, 0.8, 0.95} {
		s.Sures = append(s.Sures, Sure{p, o.Feedable(p), o.Stop(p)})
	}
}

// workLeft counts what the plan still has for the yard.
func (s *Stopping) workLeft(plan *Planned) {
	last := units.Day(0)
	for _, l := range plan.Loads {
		for _, stop := range l.Stops {
			if stop.Yard != s.Yard.ID {
				continue
			}
			s.Loads++
			if l.Day != last {
				s.Days++
				last = l.Day
			}
			for _, f := range stop.Fills {
				s.Syrup += f.Volume
			}
		}
	}
	for _, u := range plan.Unmet {
		if u.Yard == s.Yard.ID {
			s.Unmet += u.Volume
		}
	}
	for _, x := range s.Sures {
		s.Tight = s.Tight || x.Chance == 0.8 && s.Days > x.Days
	}
}

// Verdict says in a sentence whether there is time.
func (s *Stopping) Verdict() feeding.Reason {
	say := func(code, text string, amounts ...any) feeding.Reason {
		return feeding.Reason{Code: code, Say: text, Amounts: amounts}
	}
	switch {
	case !s.Known:
		return say("stop-unknown", "when to stop here is not known: type the day")
	case s.NoPlan:
		return say("no-plan", "there is no plan to hold the days left against")
	case s.Days == 0 && s.Unmet > 0:
		return say("none-planned", "{0} is lacking and no load can be planned any more", s.Unmet)
	case s.Days == 0:
		return say("nothing-left", "nothing is left to be given here")
	case len(s.Sures) == 0:
		return say("days-unknown", "the plan still has {0} on so many days: {1}; how many good days are left is not known", s.Syrup, s.Days)
	case s.Tight:
		return say("tight", "the plan needs {0} days of driving here and only {1} good ones can be counted on in 8 years of 10: begin at once", s.Days, s.Sures[1].Days)
	case s.Unmet > 0:
		return say("unmet", "the plan fits, but {0} cannot be served at all", s.Unmet)
	}
	return say("time-enough", "the plan needs {0} days of driving here; {1} good ones can be counted on in 8 years of 10", s.Days, s.Sures[1].Days)
}
