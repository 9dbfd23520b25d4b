package weather

import (
	"fmt"
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Basis says what a day or a date rests on.
type Basis string

// The bases.
const (
	NotKnown   Basis = ""
	Typed      Basis = "typed"     // the keeper's own
	Measured   Basis = "measured"  // this season's weather as it was
	Forecast   Basis = "forecast"  // this season's weather, part of it foretold
	ManyYears  Basis = "years"     // past years, enough of them
	FewerYears Basis = "few-years" // past years, fewer than wanted
)

// Feed says what is being fed, as far as ripening goes.
type Feed struct {
	Invert   bool           // invert syrup rather than sugar syrup
	Strength units.Strength // of the syrup
}

// Lead gives the days the feed needs to be taken, ripened and capped: 14, or 7
// for invert syrup of 72 % and above (figures).
func (f Feed) Lead(set figure.Set) int {
	if f.Invert && float64(f.Strength) >= set.V(keyInvert)-1e-9 {
		return int(math.Round(set.V(keyRipenInvert)))
	}
	return int(math.Round(set.V(keyRipenSyrup)))
}

// StopQuery asks for the stop day of one season at one place.
type StopQuery struct {
	Season int  // the year it begins in, see [Season]
	South  bool // southern hemisphere
	// Series is all that is known of the place: past years, this season so far,
	// and the forecast. Days of this season replace those of past years.
	Series Series
	Feed   Feed
	// Confidence is the chance that syrup given on the stop day still ripens;
	// 0 takes the figure (0.9). 0.5 and up, below 1.
	Confidence float64
	// Typed is the keeper's own stop day; it wins. 0 = none.
	Typed units.Day
}

// Stop is the last day on which syrup may be given (with enough time for it to
// be taken and ripened).
type Stop struct {
	Day    units.Day // the day to use
	Low    units.Day // in nine years of ten it is this day or later …
	High   units.Day // … and in nine of ten this day or earlier
	Normal units.Day // by the mean of all years day by day; 0 = not known. For comparison only: see StopDay
	Lead   int       // days taken off the first cold day
	Years  int       // past years used
	Basis  Basis
	// Reasons say where it comes from.
	Reasons []Reason
}

// DaysLeft gives how many days after on remain: 0 on the stop day itself,
// negative past it.
func (s Stop) DaysLeft(on units.Day) int { return int(s.Day) - int(on) }

// Advice says what the stop day means on a day: nothing while it is far off, a
// warning inside 10 days (figure), other feed once it is past.
func (s Stop) Advice(on units.Day, set figure.Set) (Reason, bool) {
	left := s.DaysLeft(on)
	switch {
	case left < 0:
		return Reason{Code: "after-stop", Amounts: []any{s.Day},
			Say: "the stop day was {0}: give frames of sealed stores, fondant or dry sugar, no syrup"}, true
	case left == 0:
		return Reason{Code: "stop-today", Say: "this is the last day for syrup"}, true
	case float64(left) <= set.V(keyStopWarn):
		return Reason{Code: "stop-near", Amounts: []any{s.Day},
			Say: "the last day for syrup is {0}, " + count(left, "day") + " from now"}, true
	}
	return Reason{}, false
}

// count writes "1 day", "2 days".
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// scenarios is what each past year would make of this season.
type scenarios struct {
	a       autumn
	own     highs
	seasons []int // past seasons used, rising
	cold    []int // index of the first cold day of each; a.n = never
	past    []highs
	leftOut int
	earlier int // no day before this index can be the first cold one any more
}

// StopDay works out the last day for syrup of one season: the first cold day
// less the days syrup needs to ripen.
//
// Every past year is replayed whole: this season's own days, measured or
// forecast, then that year's days where this season's are not known. Each
// replay has its own first cold day; Day is the one that is reached in at least
// the share Confidence of them. With fewer years than enough (figure, 20) the
// years are taken as a small sample and the bounds made wider (see predicted).
// Once this season's own days hold the first cold day, that is the answer and
// past years no longer matter.
//
// The mean of all years, day by day, gives Normal. It is later than most single
// years' day, because a single year needs only one cool spell; it is shown
// beside Day and not used for it.
//
// Gaps of up to three days (figure) are filled first; a year in which more is
// unknown before its first cold day is left out.
//
// Errors: fault.Missing when nothing is known from which to work it out;
// fault.NotKnownHere when the place hardly ever turns cold; fault.OutOfRange
// for a confidence that is none.
func StopDay(q StopQuery, set figure.Set) (Stop, error) {
	if q.Confidence == 0 {
		q.Confidence = set.V(keyStopChance)
	}
	if !(q.Confidence >= 0.5 && q.Confidence < 1) {
		return Stop{}, fault.Newf(fault.OutOfRange, "stop day", "a chance of %g %% cannot be planned on", q.Confidence*100).
			WithHint("between 50 and 99 %%")
	}
	s, err := workOut(q, set)
	if q.Typed == 0 {
		return s, err
	}
	return typed(q, s, err), nil
}

// typed lays the keeper's own day over what was worked out, if anything was.
func typed(q StopQuery, worked Stop, err error) Stop {
	s := Stop{Day: q.Typed, Low: q.Typed, High: q.Typed, Basis: Typed,
		Reasons: []Reason{{Code: "typed", Say: "typed by the keeper"}}}
	if err == nil {
		s.Normal, s.Lead, s.Years = worked.Normal, worked.Lead, worked.Years
		s.Reasons = append(s.Reasons, Reason{Code: "worked-out", Amounts: []any{worked.Day, worked.Low, worked.High},
			Say: "worked out from the weather it would be {0}, between {1} and {2}"})
	}
	return s
}

func workOut(q StopQuery, set figure.Set) (Stop, error) {
	filled, _ := Fill(q.Series, set)
	sc := replay(q, filled, set)
	st := Stop{Lead: q.Feed.Lead(set), Years: len(sc.cold)}
	rule := Reason{Code: "rule",
		Say: fmt.Sprintf("the first day on which the last %d highs average less than {0}, less %s to ripen",
			sc.a.win, count(st.Lead, "day")),
		Amounts: []any{units.Temp(set.V(keyStopMean))}}
	st.Normal = sc.normal(st.Lead)
	switch i, what := sc.a.firstCold(sc.own); what {
	case found:
		return sc.settled(st, i, filled, rule), nil
	case never:
		return Stop{}, tooWarm("this season the highs here did not fall to where feeding must end")
	}
	if len(sc.cold) == 0 {
		return Stop{}, fault.New(fault.Missing, "stop day", "no weather of past years is known for this place").
			WithHint("type the stop day, or read in a file of daily weather")
	}
	return sc.spread(st, q, set, rule)
}

// tooWarm refuses a place or season outside what the rule was made for.
func tooWarm(say string) error {
	return fault.New(fault.NotKnownHere, "stop day", say).
		WithHint("the rule was made for places with a cold winter: type the stop day")
}

// replay makes the scenarios.
func replay(q StopQuery, filled Series, set figure.Set) scenarios {
	sc := scenarios{a: makeAutumn(q.Season, q.South, set)}
	sc.own = sc.a.take(filled, 0)
	// Days known so far without a break have been looked at and were not cold,
	// else the season would be settled.
	sc.earlier = sc.a.win - 1
	for sc.earlier < sc.a.n && sc.own.known[sc.earlier] {
		sc.earlier++
	}
	first, last, ok := filled.Span()
	if !ok {
		return sc
	}
	for season := Season(first, q.South); season <= Season(last, q.South); season++ {
		if season == q.Season {
			continue
		}
		past := sc.a.take(filled, season-q.Season)
		if past.share() == 0 {
			continue
		}
		i, what := sc.a.firstCold(sc.own.over(past))
		if what == gap {
			if past.share() >= 0.5 { // else it is only begun or only ended: not worth a word
				sc.leftOut++
			}
			continue
		}
		sc.seasons = append(sc.seasons, season)
		sc.past = append(sc.past, past)
		sc.cold = append(sc.cold, i)
	}
	return sc
}

// settled is the answer when this season's own days hold the first cold day.
func (sc scenarios) settled(st Stop, i int, s Series, rule Reason) Stop {
	st.Day = sc.a.day(i) - units.Day(st.Lead)
	st.Low, st.High, st.Basis = st.Day, st.Day, Measured
	said := Reason{Code: "own-days", Say: "by this season's own weather that day was {0}", Amounts: []any{sc.a.day(i)}}
	// One foretold day among the ten is enough to make it a forecast.
	for _, d := range s.Between(sc.a.day(i-sc.a.win+1), sc.a.day(i)).days {
		if d.Forecast {
			st.Basis = Forecast
			said = Reason{Code: "forecast", Say: "by the forecast that day is {0}; a forecast may be wrong", Amounts: []any{sc.a.day(i)}}
		}
	}
	st.Reasons = []Reason{rule, said}
	return st
}

// spread is the answer from past years.
func (sc scenarios) spread(st Stop, q StopQuery, set figure.Set, rule Reason) (Stop, error) {
	warm := 0
	for _, i := range sc.cold {
		if i == sc.a.n {
			warm++
		}
	}
	// Where most years never turn cold the rule is out of its range, and a date
	// would only look like an answer.
	pick := sc.bounds(q.Confidence, set)
	if 2*warm > len(sc.cold) || pick.lo >= sc.a.n {
		return Stop{}, tooWarm(fmt.Sprintf("in %d of %d years the highs here did not fall to where feeding must end", warm, len(sc.cold)))
	}
	outer := sc.bounds(0.9, set)
	date := func(i int) units.Day { return sc.a.day(i) - units.Day(st.Lead) }
	st.Day, st.Low, st.High = date(pick.lo), date(outer.lo), date(outer.hi)
	st.Basis = ManyYears
	st.Reasons = []Reason{rule, {Code: "years",
		Say: fmt.Sprintf("from %s of weather, %d to %d; in %.0f of 100 such years syrup given on the stop day ripens",
			count(len(sc.cold), "year"), sc.seasons[0], sc.seasons[len(sc.seasons)-1], q.Confidence*100)}}
	if outer.few {
		st.Basis = FewerYears
		st.Reasons = append(st.Reasons, Reason{Code: "few-years",
			Say: fmt.Sprintf("only %s of weather known, %.0f are wanted: the range is made wider for it",
				count(len(sc.cold), "year"), set.V(keyYears))})
	}
	if sc.earlier > sc.a.win-1 {
		st.Reasons = append(st.Reasons, Reason{Code: "own-days", Amounts: []any{sc.a.day(sc.earlier - 1)},
			Say: "this season's own days up to {0} are used as they were or are foretold"})
	}
	if st.Normal != 0 {
		st.Reasons = append(st.Reasons, Reason{Code: "normal", Amounts: []any{st.Normal},
			Say: "by the mean of the years, day by day, it would be {0}; single years turn cold earlier than their mean"})
	}
	if warm > 0 {
		st.Reasons = append(st.Reasons, Reason{Code: "no-cold",
			Say: fmt.Sprintf("in %s the highs did not fall that far by midwinter", count(warm, "year"))})
	}
	if sc.leftOut > 0 {
		st.Reasons = append(st.Reasons, Reason{Code: "left-out",
			Say: count(sc.leftOut, "year") + " left out: too many days not known"})
	}
	return st, nil
}

// bound is a range of indices.
type bound struct {
	lo, hi int
	few    bool
}

// bounds gives the indices that the first cold day reaches, and does not pass,
// with chance p each.
func (sc scenarios) bounds(p float64, set figure.Set) bound {
	b := bound{lo: lowerOf(sc.cold, p), hi: upperOf(sc.cold, p), few: float64(len(sc.cold)) < set.V(keyYears)}
	if b.few {
		df0 := max(int(math.Round(set.V(keyStopSDYears))), 1)
		lo, hi := predicted(sc.cold, p, set.V(keyStopSD), df0)
		// Never narrower than the years themselves, never before days that are
		// already known not to be cold, never past where we stopped looking.
		b.lo = max(min(b.lo, int(math.Floor(lo))), sc.earlier)
		b.hi = max(b.hi, int(math.Ceil(hi)))
	}
	b.hi = min(b.hi, sc.a.n)
	b.lo = min(b.lo, b.hi)
	return b
}

// normal gives the stop day by the mean of the years' highs, day by day; 0 when
// it cannot be told.
func (sc scenarios) normal(lead int) units.Day {
	m := highs{t: make([]int64, sc.a.n), known: make([]bool, sc.a.n)}
	for i := range sc.a.n {
		var sum, n int64
		for _, p := range sc.past {
			if p.known[i] {
				sum += p.t[i]
				n++
			}
		}
		if n > 0 {
			m.t[i], m.known[i] = int64(math.Round(float64(sum)/float64(n))), true
		}
	}
	i, what := sc.a.firstCold(m)
	if what != found {
		return 0
	}
	return sc.a.day(i) - units.Day(lead)
}
