package season

import (
	"errors"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/units"
	"larder/internal/weather"
)

// look fills in what the looks at a colony answer as of at.
//
// A count of bees is the last one made. For disease, treatment, super and
// refusal the last answer counts; a good answer grows old after
// "season.look_days" and is then asked again, a bad one stands until it is
// answered otherwise. What a visit found when it did not feed answers too.
func (b *bench) look(c *Colony, at units.Moment, out *Judged) {
	old := units.Day(b.figs.V("season.look_days"))
	type answer struct {
		a  apiary.Answer
		at units.Moment
	}
	var queen, disease, treatment, super, refuses answer
	hear := func(q *answer, a apiary.Answer, at units.Moment) {
		if a != apiary.Unknown {
			*q = answer{a, at}
		}
	}
	for _, f := range c.Events {
		if !at.Covers(f.Seen) {
			continue
		}
		switch e := f.Body.(type) {
		case apiary.Look:
			out.LookAt = f.Seen
			if e.BeesKnown {
				out.Bees, out.Looked, out.BeesAt = figure.Est(e.Bees, 0.5), true, f.Seen
			}
			hear(&queen, e.Queen, f.Seen)
			hear(&disease, e.Disease, f.Seen)
			hear(&treatment, e.Treatment, f.Seen)
			hear(&super, e.Super, f.Seen)
			hear(&refuses, e.Refuses, f.Seen)
		case ledger.NotFed:
			switch e.Why {
			case "super":
				hear(&super, apiary.Yes, f.Seen)
			case "queenless":
				hear(&queen, apiary.No, f.Seen)
			case "refused":
				hear(&refuses, apiary.Yes, f.Seen)
			}
		case ledger.Given:
			if e.Colony == c.ID && e.Feed == ledger.Syrup {
				hear(&refuses, apiary.No, f.Seen) // given anew: let us see
			}
		}
	}
	stands := func(q answer, good apiary.Answer) apiary.Answer {
		if q.a == good && at.Day()-q.at.Day() > old {
			return apiary.Unknown
		}
		return q.a
	}
	out.Answers = feeding.Seen{
		Queen: stands(queen, apiary.Yes), Disease: stands(disease, apiary.No), Treatment: stands(treatment, apiary.No),
		Super: stands(super, apiary.No), Refuses: refuses.a,
	}
	if !out.Looked {
		out.Bees = figure.Est(b.plainBees(c))
	}
}

// plainBees gives the frames of bees of a colony nobody looked at, and their
// spread.
func (b *bench) plainBees(c *Colony) (frames, sd float64) {
	key := "season.bees_full"
	if c.Kind == apiary.Nuc {
		key = "season.bees_nuc"
	}
	return b.figs.V(key), b.figs.SD(key)
}

// uptake gives what the colony takes in a day by the model: its bees, its
// feeder, that day's weather.
func (b *bench) uptake(c *Colony, j *Judged) uptakeOn {
	full := b.fullUptake(c, j).L()
	s := b.skyOf(c.Yard)
	return func(d units.Day) float64 {
		if len(b.st.feedable) > 0 {
			if f, ok := b.st.feedable[feedableKey(c.Yard, d)]; ok && f.FactorKnown {
				return full * f.Factor
			}
		}
		return full * b.factor(s, d)
	}
}

// factor gives what part of full uptake is taken on a day under a sky: worked
// out once a day, since all hives of the place share it.
func (b *bench) factor(s *sky, d units.Day) float64 {
	if f, ok := s.factor[d]; ok {
		return f
	}
	f := b.figs.V("season.unknown_factor")
	if t, ok := s.max(d); ok {
		if x, err := feeding.DayFactor(t, b.st.Settings.Syrup, b.figs); err == nil {
			f = x
		}
	}
	s.factor[d] = f
	return f
}

// fullUptake is what the colony takes on a warm day.
func (b *bench) fullUptake(c *Colony, j *Judged) units.Volume {
	if c.Feeder == "" {
		return 0
	}
	kind, err := b.cat.Feeder(c.Feeder)
	if err != nil {
		return 0
	}
	v, err := feeding.FullUptake(min(j.Bees.Mean, 40), kind.Uptake(b.figs), b.st.Settings.Syrup, b.figs)
	if err != nil {
		return 0
	}
	return v
}

// HiveType gives the row of the targets table a hive belongs to, "" if its
// woodenware is not known: "nuc"; "single" or "dadant" (one box, by its comb);
// "double-medium" or "double" (several). The limits are those between the
// hives the published targets were given for (derived): one box of up to 185
// dm² of comb, both sides, is a single (ten Langstroth deeps have 174, eleven
// National deeps 143; fourteen-by-twelve and Dadant above 200); several boxes
// up to 300 dm² are a deep with a medium or brood and a half (231 to 286), above
// it a double (348).
func HiveType(k apiary.Kind, s hive.Stack, cat hive.Catalogue) string {
	if k == apiary.Nuc {
		return "nuc"
	}
	area, err := cat.CombArea(s)
	switch {
	case err != nil || len(s.Boxes) == 0:
		return ""
	case len(s.Boxes) == 1 && area <= 185:
		return "single"
	case len(s.Boxes) == 1:
		return "dadant"
	case area <= 300:
		return "double-medium"
	}
	return "double"
}

var catalogue = hive.Default

// sky is the weather of one yard.
type sky struct {
	factor  map[units.Day]float64 // part of full uptake, by day, once asked
	series  weather.Series
	known   bool
	place   string          // station used and the height it is brought to: equal in yards under one sky
	climate *apiary.Climate // from its normals, once asked
	stops   map[stopAsk]stopAnswer
	past    map[pastAsk]pastAnswer
	cals    map[calAsk]calAnswer
}

// stopAsk is what the stop day of a yard depends on beside its weather, where
// the keeper typed none.
type stopAsk struct {
	season int
	south  bool
}

type stopAnswer struct {
	stop weather.Stop
	err  error
}

// stopDay gives the stop day of a season here, worked out once for all yards
// under this sky.
func (s *sky) stopDay(q weather.StopQuery, figs figure.Set) (weather.Stop, error) {
	if q.Typed != 0 {
		return weather.StopDay(q, figs)
	}
	ask := stopAsk{q.Season, q.South}
	if a, ok := s.stops[ask]; ok {
		return a.stop, a.err
	}
	stop, err := weather.StopDay(q, figs)
	if s.stops == nil {
		s.stops = map[stopAsk]stopAnswer{}
	}
	s.stops[ask] = stopAnswer{stop, err}
	return stop, err
}

// calAsk is what a calendar depends on beside the weather.
type calAsk struct {
	from units.Day
	days int
}

type calAnswer struct {
	cal weather.Cal
	err error
}

// calendar gives the calendar of days here, worked out once for all yards under
// this sky. Nothing in it may be changed.
func (s *sky) calendar(from units.Day, days int, figs figure.Set) (weather.Cal, error) {
	ask := calAsk{from, days}
	if a, ok := s.cals[ask]; ok {
		return a.cal, a.err
	}
	cal, err := weather.Calendar(weather.CalendarQuery{From: from, Days: days, Series: s.series}, figs)
	if s.cals == nil {
		s.cals = map[calAsk]calAnswer{}
	}
	s.cals[ask] = calAnswer{cal, err}
	return cal, err
}

func (s *sky) max(d units.Day) (units.Temp, bool) {
	if !s.known {
		return 0, false
	}
	day, ok := s.series.At(d)
	return day.TMax, ok && day.HasMax
}

func (b *bench) isSouth(yard string) bool {
	y, _ := b.st.Yard(yard)
	return y.HasPlace && weather.South(y.Lat)
}

// asReason turns an error into a reason beside a result.
func asReason(code string, err error) feeding.Reason {
	var e *fault.Error
	if errors.As(err, &e) {
		say := e.Error()
		if e.Hint != "" {
			say += "; " + e.Hint
		}
		return feeding.Reason{Code: code, Say: say}
	}
	return feeding.Reason{Code: code, Say: err.Error()}
}
