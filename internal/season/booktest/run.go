package booktest

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// Run puts an engine through everything a Book has to be. open gives a fresh,
// empty book each time and sees to it that it is closed when t ends.
func Run(t *testing.T, open func(t testing.TB) season.Book) {
	for _, c := range []struct {
		name string
		test func(*testing.T, season.Book)
	}{
		{"empty", testEmpty},
		{"every kind", testEveryKind},
		{"twice", testTwice},
		{"conflict", testConflict},
		{"conflict in one call", testConflictInside},
		{"all or none", testAllOrNone},
		{"as of", testAsOf},
		{"order", testOrder},
		{"strikes", testStrikes},
		{"awkward texts", testAwkward},
		{"large", testLarge},
		{"not numbers", testNotNumbers},
		{"settled", testSettled},
		{"cancelled", testCancelled},
		{"closed", testClosed},
		{"a whole season at once", testImport},
		{"many writers", testManyWriters},
		{"same facts from many", testSameFromMany},
		{"readers among writers", testReaders},
		{"cancelled in the crowd", testCancelledCrowd},
	} {
		t.Run(c.name, func(t *testing.T) { c.test(t, open(t)) })
	}
	t.Run("any facts", func(t *testing.T) {
		rapid.Check(t, func(rt *rapid.T) { testAny(t, rt, open) })
	})
}

var ctx = context.Background()

func mustAppend(t testing.TB, b season.Book, facts ...season.Fact) {
	t.Helper()
	if err := b.Append(ctx, facts...); err != nil {
		t.Fatalf("Append: %v (%s)", err, fault.HintOf(err))
	}
}

func mustFacts(t testing.TB, b season.Book, asOf units.Moment) []season.Fact {
	t.Helper()
	facts, err := b.Facts(ctx, asOf)
	if err != nil {
		t.Fatalf("Facts: %v", err)
	}
	return facts
}

// same fails unless got are the facts of want, in order of truth, to the letter.
func same(t testing.TB, got, want []season.Fact) {
	t.Helper()
	want = slices.Clone(want)
	season.SortFacts(want)
	if len(got) != len(want) {
		t.Fatalf("%d facts, want %d", len(got), len(want))
	}
	for i := range want {
		if !season.Same(&got[i], &want[i]) {
			x, _ := json.Marshal(got[i])
			y, _ := json.Marshal(want[i])
			t.Fatalf("fact %d:\n got %s\nwant %s", i, x, y)
		}
	}
	if a, b := season.Digest(got), season.Digest(want); a != b {
		t.Fatalf("digests differ")
	}
}

func testEmpty(t *testing.T, b season.Book) {
	same(t, mustFacts(t, b, units.Moment{}), nil)
	mustAppend(t, b)
	same(t, mustFacts(t, b, at(0)), nil)
}

func testEveryKind(t *testing.T, b season.Book) {
	samples := Samples()
	have := map[string]bool{}
	for _, f := range samples {
		have[f.Kind()] = true
	}
	for _, k := range season.Kinds() {
		if !have[k] {
			t.Errorf("there is no sample of kind %q: add one", k)
		}
	}
	mustAppend(t, b, samples...)
	got := mustFacts(t, b, units.Moment{})
	same(t, got, samples)
	want := slices.Clone(samples)
	season.SortFacts(want)
	for i := range want {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("fact %d:\n got %#v\nwant %#v", i, got[i], want[i])
		}
	}
}

func testTwice(t *testing.T, b season.Book) {
	s := Samples()
	mustAppend(t, b, s[:10]...)
	mustAppend(t, b, s[:10]...)
	mustAppend(t, b, s[5:20]...)
	mustAppend(t, b, append(slices.Clone(s[20:]), s[20:]...)...)
	mustAppend(t, b, mustFacts(t, b, units.Moment{})...)
	same(t, mustFacts(t, b, units.Moment{}), s)
}

func testConflict(t *testing.T, b season.Book) {
	s := Samples()
	mustAppend(t, b, s[:5]...)
	for name, change := range map[string]func(*season.Fact){
		"body":     func(f *season.Fact) { f.Body = apiary.Look{Colony: "x"} },
		"seen":     func(f *season.Fact) { f.Seen = at(99) },
		"made":     func(f *season.Fact) { f.Made = at(99) },
		"by":       func(f *season.Fact) { f.By = "somebody else" },
		"replaces": func(f *season.Fact) { f.Replaces = ID(77) },
	} {
		f := s[2]
		change(&f)
		err := b.Append(ctx, s[6], f, s[7])
		if !fault.Is(err, fault.Conflict) {
			t.Errorf("%s: %v, want a conflict", name, err)
		}
	}
	same(t, mustFacts(t, b, units.Moment{}), s[:5])
	mustAppend(t, b, s[6]) // and the book goes on
	same(t, mustFacts(t, b, units.Moment{}), append(slices.Clone(s[:5]), s[6]))
}

func testConflictInside(t *testing.T, b season.Book) {
	s := Samples()
	f := s[0]
	f.By = "another"
	if err := b.Append(ctx, s[0], s[1], f); !fault.Is(err, fault.Conflict) {
		t.Fatalf("%v, want a conflict", err)
	}
	same(t, mustFacts(t, b, units.Moment{}), nil)
}

func testAllOrNone(t *testing.T, b season.Book) {
	s := Samples()
	mustAppend(t, b, s[0])
	for name, bad := range map[string]season.Fact{
		"no id":           {Seen: at(1), Body: s[3].Body},
		"no time":         {ID: ID(900), Body: s[3].Body},
		"no body":         {ID: ID(900), Seen: at(1)},
		"foreign body":    {ID: ID(900), Seen: at(1), Body: "text"},
		"pointer to body": {ID: ID(900), Seen: at(1), Body: &apiary.Look{Colony: "c"}},
		"no colony":       {ID: ID(900), Seen: at(1), Body: apiary.Look{}},
		"corrects itself": {ID: ID(900), Seen: at(1), Replaces: ID(900), Body: apiary.Look{Colony: "c"}},
		"by two lines":    {ID: ID(900), Seen: at(1), By: "a\nb", Body: apiary.Look{Colony: "c"}},
	} {
		if err := b.Append(ctx, s[1], bad, s[2]); err == nil {
			t.Errorf("%s: kept", name)
		}
	}
	same(t, mustFacts(t, b, units.Moment{}), s[:1])
}

func testAsOf(t *testing.T, b season.Book) {
	s := Samples()
	mustAppend(t, b, s...)
	known := func(m units.Moment) (out []season.Fact) {
		for _, f := range s {
			if m.IsZero() || m.Covers(f.Seen) && m.Covers(f.WrittenAt()) {
				out = append(out, f)
			}
		}
		return out
	}
	moments := []units.Moment{{}, at(-1), at(1000), units.OnDay(units.DayOf(1999, 1, 1))}
	for h := 0; h < 60; h += 3 {
		moments = append(moments, at(h), units.OnDay(at(h).Day()), units.At(at(h).Time().UTC()))
	}
	for _, m := range moments {
		same(t, mustFacts(t, b, m), known(m))
	}
}

func testOrder(t *testing.T, b season.Book) {
	var facts []season.Fact
	for i := range 50 { // same moments, ids against the order of arrival
		facts = append(facts, season.Fact{ID: ID(500 - i), Seen: at(i % 7), Body: apiary.Look{Colony: "c"}})
	}
	for i := range facts {
		mustAppend(t, b, facts[(i*13)%len(facts)])
	}
	same(t, mustFacts(t, b, units.Moment{}), facts)
}

// testStrikes sees to it that struck and corrected facts stay readable and that
// what is read folds to what was written.
func testStrikes(t *testing.T, b season.Book) {
	s := Samples()
	strike := s[len(s)-1]
	s = append(s, season.Fact{ID: ID(700), Seen: at(80), Body: season.Strike{Fact: strike.ID}},
		season.Fact{ID: ID(701), Seen: at(81), Body: season.Strike{Fact: ID(9999)}}) // of a fact still to come
	mustAppend(t, b, s...)
	got := mustFacts(t, b, units.Moment{})
	same(t, got, s)
	if a, w := dumpOf(t, got), dumpOf(t, s); a != w {
		t.Fatalf("state differs:\n%s\nwant\n%s", a, w)
	}
}

func dumpOf(t testing.TB, facts []season.Fact) string {
	t.Helper()
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		t.Fatal(err)
	}
	return Dump(j.Now())
}

func testAwkward(t *testing.T, b season.Book) {
	facts := Awkward()
	mustAppend(t, b, facts...)
	got := mustFacts(t, b, units.Moment{})
	same(t, got, facts)
	for i := range got {
		if g, w := got[i].Body.(apiary.Look).Note, facts[i].Body.(apiary.Look).Note; g != w {
			t.Errorf("%q came back as %q", w, g)
		}
	}
}

func testLarge(t *testing.T, b season.Book) {
	plan := json.RawMessage(`{"notes":["` + strings.Repeat("0123456789abcdef", 80_000) + `"]}`) // 1.3 MB
	facts := []season.Fact{
		{ID: ID(1), Seen: at(1), Body: season.PlanOut{Plan: "p", Content: plan}},
		{ID: ID(2), Seen: at(2), Body: apiary.Look{Colony: "c", Note: strings.Repeat("é", 200_000)}},
	}
	mustAppend(t, b, facts...)
	same(t, mustFacts(t, b, units.Moment{}), facts)
}

// testNotNumbers sees to it that nothing is kept that could not be read again.
func testNotNumbers(t *testing.T, b season.Book) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, body := range map[string]any{
		"not a number":    apiary.Yard{ID: "y", Elev: units.Length(nan)},
		"endless":         apiary.Yard{ID: "y", Elev: units.Length(inf)},
		"latitude":        apiary.Yard{ID: "y", Lat: nan},
		"stack":           apiary.Restacked{Colony: "c", Stack: Samples()[3].Body.(apiary.Placed).Colony.Stack},
		"half a document": season.PlanOut{Plan: "p", Content: json.RawMessage(`{"a":`)},
	} {
		if r, ok := body.(apiary.Restacked); ok {
			r.Stack.Tare = units.Mass(nan)
			body = r
		}
		if err := b.Append(ctx, season.Fact{ID: ID(1), Seen: at(1), Body: body}); err == nil {
			t.Errorf("%s: kept", name)
		}
	}
	same(t, mustFacts(t, b, units.Moment{}), nil)
	for _, when := range []units.Moment{units.OnDay(0), units.At(at(0).Time().AddDate(300, 0, 0)), units.At(at(0).Time().AddDate(-300, 0, 0))} {
		if err := b.Append(ctx, season.Fact{ID: ID(1), Seen: when, Body: apiary.Look{Colony: "c"}}); err == nil {
			t.Errorf("%v: kept", when.Time())
		}
	}
}

// testSettled sends facts whose text changes when it is read and written again,
// twice: as they are and as they came back.
func testSettled(t *testing.T, b season.Book) {
	facts := []season.Fact{
		{ID: ID(1), Seen: at(1), Body: apiary.Yard{ID: "y", Elev: units.Length(math.Copysign(0, -1))}},
		{ID: ID(2), Seen: at(2), Body: apiary.Look{Colony: "c", Note: "broken \xff text"}},
		{ID: ID(3), Seen: at(3), Body: season.PlanOut{Plan: "p", Content: json.RawMessage(` { "a" : 1 } `)}},
		{ID: ID(4), Seen: at(4), Made: at(4), Body: apiary.Look{Colony: "c"}},
	}
	mustAppend(t, b, facts...)
	mustAppend(t, b, facts...)
	got := mustFacts(t, b, units.Moment{})
	if len(got) != len(facts) {
		t.Fatalf("%d facts, want %d", len(got), len(facts))
	}
	mustAppend(t, b, got...)
	j := season.NewJournal()
	if n, err := j.Add(append(got, facts...)...); err != nil || n != len(facts) {
		t.Fatalf("a journal takes them for different: %d, %v", n, err)
	}
}

func testCancelled(t *testing.T, b season.Book) {
	s := Samples()
	mustAppend(t, b, s[0])
	gone, cancel := context.WithCancel(ctx)
	cancel()
	if err := b.Append(gone, s[1]); !errors.Is(err, context.Canceled) {
		t.Errorf("Append: %v, want cancelled", err)
	}
	if _, err := b.Facts(gone, units.Moment{}); !errors.Is(err, context.Canceled) {
		t.Errorf("Facts: %v, want cancelled", err)
	}
	same(t, mustFacts(t, b, units.Moment{}), s[:1])
}

func testClosed(t *testing.T, b season.Book) {
	mustAppend(t, b, Samples()[0])
	for range 2 {
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.Append(ctx, Samples()[1]); err == nil {
		t.Error("a closed book takes facts")
	}
	if _, err := b.Facts(ctx, units.Moment{}); err == nil {
		t.Error("a closed book gives facts")
	}
}

// testAny writes sets at random, in parts that overlap, and reads them back.
func testAny(t *testing.T, rt *rapid.T, open func(testing.TB) season.Book) {
	facts := AnySet(30).Draw(rt, "facts")
	b := open(t)
	defer b.Close()
	for from := 0; from < len(facts); from += 7 {
		part := facts[max(0, from-2):min(len(facts), from+7)]
		if err := b.Append(ctx, part...); err != nil {
			rt.Fatalf("Append: %v", err)
		}
	}
	got, err := b.Facts(ctx, units.Moment{})
	if err != nil {
		rt.Fatalf("Facts: %v", err)
	}
	same(rt2tb{t, rt}, got, facts)
	if a, w := dumpOf(t, got), dumpOf(t, facts); a != w {
		rt.Fatalf("state differs:\n%s\nwant\n%s", a, w)
	}
}

// rt2tb lets a check made for tests fail a property, so that it is shrunk.
type rt2tb struct {
	testing.TB
	rt *rapid.T
}

func (r rt2tb) Fatalf(format string, args ...any) { r.rt.Helper(); r.rt.Fatalf(format, args...) }
