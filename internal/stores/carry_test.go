package stores_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/stores"
	"larder/internal/units"

	"pgregory.net/rapid"
)

func TestNothingKnownStaysNotKnown(t *testing.T) {
	l := stores.Line{Fed: []stores.Fed{{ID: "a", At: on(time.September, 5), Gain: figure.Est(5, 0.6)}}, Until: on(time.October, 1), Figures: figs}
	got := stores.Carry(l)
	if got.Now.Known || codes(got.Now.Reasons) != "no-reading" || len(got.History) != 1 || got.History[0].After.Known {
		t.Errorf("%+v", got)
	}
	if got := stores.Carry(stores.Line{Figures: figs}); got.Now.Known || len(got.History) != 0 {
		t.Errorf("%+v", got)
	}
}

func TestFedAndEatenAreCounted(t *testing.T) {
	l := stores.Line{
		Seen:  []stores.Seen{seen("1", on(time.September, 1), stores.Frames, 14, 1)},
		Fed:   []stores.Fed{{ID: "a", At: on(time.September, 11), Gain: figure.Est(5, 0.5)}, {ID: "b", At: on(time.September, 12), Gain: figure.Est(-2, 0.2)}},
		Eaten: flatUse(0.1), Until: on(time.September, 21), Figures: figs,
	}
	got := stores.Carry(l)
	near(t, "mean", got.Now.Mean, 14+5-2-20*0.1, 1e-9)
	near(t, "spread", got.Now.SD, math.Sqrt(1+.25+.04+math.Pow(.33*2, 2)), 1e-9)
	if c := codes(got.Now.Reasons); c != "reading-age fed-since eaten-since" {
		t.Error(c)
	}
	near(t, "before the gift", got.History[1].Predicted.Mean, 13, 1e-9)
	near(t, "after the gift", got.History[1].After.Mean, 18, 1e-9)
	// What comes later is not counted.
	l.Until = on(time.September, 11)
	near(t, "on the day of the gift", stores.Carry(l).Now.Mean, 18, 1e-9)
	l.Until = on(time.September, 10)
	near(t, "the day before", stores.Carry(l).Now.Mean, 14-0.9, 1e-9)
}

// Ten days of one feed are wrong together, by one conversion; combs of ten
// givers are not.
func TestSyrupOfManyDaysIsWrongTogether(t *testing.T) {
	for syrup, want := range map[units.Mass]float64{1.3: math.Hypot(1, 10*0.1), 0: math.Hypot(1, math.Sqrt(10)*0.1)} {
		l := stores.Line{Seen: []stores.Seen{seen("1", on(time.September, 1), stores.Frames, 8, 1)}, Eaten: flatUse(0), Figures: figs}
		for i := range 10 {
			l.Fed = append(l.Fed, stores.Fed{ID: string(rune('a' + i)), At: on(time.September, 2+i), Gain: figure.Est(1, 0.1), Syrup: syrup, Strength: 2. / 3})
		}
		got := stores.Carry(l).Now
		near(t, "mean", got.Mean, 18, 1e-9)
		near(t, "spread", got.SD, want, 1e-9)
	}
}

func TestAGiftOfUnknownSizeIsSaid(t *testing.T) {
	l := stores.Line{Seen: []stores.Seen{seen("1", on(time.September, 1), stores.Frames, 8, 1)}, Fed: []stores.Fed{{ID: "a", At: on(time.September, 2)}}, Eaten: flatUse(0), Figures: figs}
	got := stores.Carry(l)
	if got.Now.Mean != 8 || !strings.Contains(codes(got.Now.Reasons), "gain-unknown") {
		t.Errorf("%+v", got.Now)
	}
	l.Seen = append(l.Seen, seen("2", on(time.September, 3), stores.Frames, 8, 1))
	if got := stores.Carry(l); strings.Contains(codes(got.Now.Reasons), "gain-unknown") {
		t.Error("a reading after it knows better")
	}
}

func TestPlainFigureStandsIn(t *testing.T) {
	l := stores.Line{Seen: []stores.Seen{seen("1", on(time.November, 1), stores.Frames, 14, 1)}, Until: on(time.December, 1), Figures: figs}
	got := stores.Carry(l)
	// bienen&natur: about 1 kg a month in November.
	near(t, "left", got.Now.Mean, 13, 0.05)
	if !strings.Contains(codes(got.Now.Reasons), "plain-use") {
		t.Error(codes(got.Now.Reasons))
	}
	// In the south November is a month of the season.
	l.Eaten.South = true
	near(t, "left in the south", stores.Carry(l).Now.Mean, 14-30*0.178, 0.05)
}

// Table tare and a lift of the hive, then a platform scale with the same table:
// the change between weighings is known better than either.
func TestReadingsOfAHiveJoin(t *testing.T) {
	s := stack(t, "lang10-deep")
	a := judge(t, stores.Reading{Way: stores.LiftBoth, Lift1: kg(16), Lift2: kg(17)}, stores.Context{Stack: s})
	b := judge(t, stores.Reading{Way: stores.Full, Gross: kg(32)}, stores.Context{Stack: s})
	if a.Shared != b.Shared || a.Shared.SD <= 0 {
		t.Fatalf("they do not share a tare: %+v, %+v", a.Shared, b.Shared)
	}
	l := stores.Line{Seen: []stores.Seen{{ID: "1", At: on(time.October, 1), Est: a}, {ID: "2", At: on(time.October, 11), Est: b}}, Eaten: flatUse(0.1), Figures: figs}
	got := stores.Carry(l)
	if got.Now.SD > a.SD || got.Now.SD > b.SD || got.Now.SD < b.Shared.SD*0.9 {
		t.Errorf("%v and %v join to %v", a.Estimate, b.Estimate, got.Now.Estimate)
	}
}

func TestAReadingThatDoesNotFit(t *testing.T) {
	base := []stores.Seen{seen("1", on(time.October, 1), stores.Frames, 20, 1)}
	odd := seen("2", on(time.October, 11), stores.Frames, 8, 1)
	l := stores.Line{Seen: append(slices.Clone(base), odd), Eaten: flatUse(0.1), Figures: figs}
	got := stores.Carry(l)
	st := got.History[1]
	if st.Question == nil || st.Question.Code != "does-not-fit" || got.Now.Question == nil {
		t.Fatalf("12 kg off and nothing asked: %+v", st)
	}
	if len(st.Question.Amounts) != 2 {
		t.Fatalf("both numbers must be shown: %v", st.Question.Amounts)
	}
	near(t, "what was read", st.Question.Amounts[0].(units.Mass).Kg(), 8, 1e-9)
	near(t, "what was expected", st.Question.Amounts[1].(units.Mass).Kg(), 19, 1e-9)
	near(t, "the prediction stays", st.After.Mean, 19, 1e-9)
	near(t, "and is less sure: the reading at three of it", st.After.SD, 11./3, 1e-9)
	near(t, "the reading is kept as it was", st.Read.Mean, 8, 1e-9)
	near(t, "now", got.Now.Mean, 19, 1e-9)
	// A second look that bears the odd one out is believed …
	l.Seen = append(l.Seen, seen("3", on(time.October, 11), stores.Frames, 8.2, 0.5))
	got = stores.Carry(l)
	if got.Now.Question != nil || math.Abs(got.Now.Mean-8.2) > 0.5 {
		t.Errorf("two looks at 8 kg: %+v", got.Now)
	}
	// … and so is one that bears out the prediction.
	l.Seen[2] = seen("3", on(time.October, 12), stores.Frames, 19, 0.5)
	got = stores.Carry(l)
	if got.Now.Question != nil || math.Abs(got.Now.Mean-19) > 0.3 {
		t.Errorf("back at 19 kg: %+v", got.Now)
	}
}

// What could not be judged is asked about and leaves the estimate alone.
func TestAQuestionFromJudgingIsCarried(t *testing.T) {
	bad := judge(t, stores.Reading{Way: stores.Full, Gross: kg(5)}, stores.Context{Stack: stack(t, "lang10-deep")})
	l := stores.Line{Seen: []stores.Seen{seen("1", on(time.October, 1), stores.Frames, 20, 1), {ID: "2", At: on(time.October, 2), Est: bad}}, Eaten: flatUse(0), Figures: figs}
	got := stores.Carry(l)
	if q := got.History[1].Question; q == nil || q.Code != "below-empty" || got.Now.Mean != 20 {
		t.Errorf("%+v", got)
	}
	if q := got.Now.Question; q == nil || q.Code != "below-empty" {
		t.Errorf("the question is lost: %+v", q)
	}
	l.Seen = l.Seen[1:]
	if got := stores.Carry(l); got.Now.Known || got.Now.Question == nil {
		t.Errorf("only a question: %+v", got.Now)
	}
}

// 15 kg of 2:1 taken on 1 October make 11.41 kg of stores when ripe; weighed on
// that day they show between 2.2 and 3.6 kg too much, after two weeks none.
func TestUnripeSyrupIsTakenOffWeighings(t *testing.T) {
	for _, r := range []struct {
		day     int
		way     stores.Way
		off, sd float64
	}{
		{1, stores.Full, 2.85, 1.0},
		{8, stores.Full, 1.43, 0.5},
		{15, stores.Full, 0, 0},
		{1, stores.Frames, 0, 0}, // nobody weighs a frame count
	} {
		l := stores.Line{
			Seen: []stores.Seen{
				seen("1", on(time.September, 30), stores.Frames, 10, 1),
				seen("2", units.At(time.Date(2026, time.October, r.day, 18, 0, 0, 0, time.UTC)), r.way, 23, 1),
			},
			Fed:   []stores.Fed{{ID: "a", At: on(time.October, 1), Gain: figure.Est(11.41, 1), Syrup: 15, Strength: 2. / 3}},
			Eaten: flatUse(0), Figures: figs,
		}
		st := stores.Carry(l).History[2]
		near(t, "read", st.Read.Mean, 23-r.off, 0.03)
		spread := l.Seen[1].Est.SD
		near(t, "spread", st.Read.SD, math.Hypot(spread, r.sd), 0.05)
		if has := strings.Contains(codes(st.Reasons), "unripe"); has != (r.off > 0) {
			t.Errorf("day %d, %s: %s", r.day, r.way, codes(st.Reasons))
		}
	}
}

func TestMoreThanItsCombsHold(t *testing.T) {
	room, err := hive.Default().Room(stack(t, "nuc5-deep"), figs)
	if err != nil {
		t.Fatal(err)
	}
	l := stores.Line{Seen: []stores.Seen{seen("1", on(time.October, 1), stores.Frames, 10, 1)},
		Fed: []stores.Fed{{ID: "a", At: on(time.October, 2), Gain: figure.Est(9, 1)}}, Room: room, Eaten: flatUse(0), Figures: figs}
	if got := codes(stores.Carry(l).History[1].Reasons); got != "above-room" {
		t.Error(got)
	}
}

// line draws any time line, readings that fit and that do not.
func line(t *rapid.T) stores.Line {
	l := stores.Line{Eaten: flatUse(rapid.Float64Range(0, 0.3).Draw(t, "use")), Figures: figs}
	day := func() units.Moment {
		return units.At(time.Date(2026, time.September, rapid.IntRange(1, 80).Draw(t, "day"), rapid.IntRange(0, 3).Draw(t, "h")*6, 0, 0, 0, time.UTC))
	}
	ways := []stores.Way{stores.Full, stores.LiftBoth, stores.Frames, stores.Hand}
	for i := range rapid.IntRange(0, 6).Draw(t, "readings") {
		l.Seen = append(l.Seen, seen(string(rune('a'+i/2)), day(), rapid.SampledFrom(ways).Draw(t, "way"),
			rapid.Float64Range(0, 30).Draw(t, "mean"), rapid.Float64Range(0.2, 5).Draw(t, "sd")))
	}
	for i := range rapid.IntRange(0, 6).Draw(t, "gifts") {
		l.Fed = append(l.Fed, stores.Fed{ID: string(rune('a' + i/2)), At: day(), Gain: figure.Est(rapid.Float64Range(-3, 8).Draw(t, "gain"), rapid.Float64Range(0, 2).Draw(t, "gsd")),
			Syrup: units.Mass(rapid.Float64Range(0, 10).Draw(t, "syrup")), Strength: units.Strength(rapid.SampledFrom([]float64{0, 0.5, 0.6, 2. / 3, 0.75}).Draw(t, "strength"))})
	}
	return l
}

func TestPropertiesOfCarrying(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := line(t)
		got := stores.Carry(l)
		before := figure.Estimate{}
		for _, s := range got.History {
			if s.After.Known && (s.After.Mean < 0 || math.IsNaN(s.After.Mean) || !(s.After.SD > 0)) {
				t.Fatalf("step %+v", s)
			}
			if before.Known && s.Predicted.SD < before.SD-1e-9 {
				t.Fatalf("surer without a reading: %v, then %v", before, s.Predicted)
			}
			switch {
			case s.Kind == stores.StepFed && s.Predicted.Known && s.After.SD < s.Predicted.SD-1e-9:
				t.Fatalf("surer by a gift: %+v", s)
			case s.Kind == stores.StepSeen && s.Predicted.Known && s.Question == nil && s.After.SD > s.Predicted.SD+1e-9:
				t.Fatalf("less sure by a reading that fits: %+v", s)
			case s.Question != nil && s.Question.Code == "does-not-fit" && (s.After.Mean != s.Predicted.Mean || s.After.SD < s.Predicted.SD):
				t.Fatalf("a reading that does not fit was averaged in: %+v", s)
			}
			before = s.After
		}
		// Further days only make it less sure.
		l.Until = got.At
		if got.At.IsZero() {
			return
		}
		later := l
		later.Until = units.OnDay(got.At.Day() + 9)
		now, then := stores.Carry(l).Now, stores.Carry(later).Now
		if now.Known && (then.SD < now.SD-1e-9 || then.Mean > now.Mean+1e-9) {
			t.Fatalf("nine days later %v, now %v", then.Estimate, now.Estimate)
		}
	})
}

// However the rows come, also with the same moment and the same id, the answer
// is the same.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := line(t)
		want := stores.Carry(l)
		m := l
		m.Seen = rapid.Permutation(l.Seen).Draw(t, "readings in another order")
		m.Fed = rapid.Permutation(l.Fed).Draw(t, "gifts in another order")
		got := stores.Carry(m)
		if got.Now.Estimate != want.Now.Estimate || len(got.History) != len(want.History) {
			t.Fatalf("%v, want %v", got.Now.Estimate, want.Now.Estimate)
		}
		for i := range got.History {
			if got.History[i].After != want.History[i].After || got.History[i].ID != want.History[i].ID {
				t.Fatalf("step %d: %+v, want %+v", i, got.History[i], want.History[i])
			}
		}
	})
}

// A hive is weighed before it is fed: with the same moment the reading comes
// first.
func TestWeighedThenFed(t *testing.T) {
	at := units.At(time.Date(2026, time.October, 3, 10, 0, 0, 0, time.UTC))
	l := stores.Line{Seen: []stores.Seen{seen("z", at, stores.Frames, 10, 1)}, Fed: []stores.Fed{{ID: "a", At: at, Gain: figure.Est(5, 1)}}, Eaten: flatUse(0), Figures: figs}
	near(t, "weighed, then fed", stores.Carry(l).Now.Mean, 15, 1e-9)
}
