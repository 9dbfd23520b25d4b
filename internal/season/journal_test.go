package season_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/stores"
	"larder/internal/units"
)

func look(n int, note string) season.Fact {
	return season.Fact{ID: booktest.ID(n), Seen: units.OnDay(units.DayOf(2026, 9, 1+n)), Body: apiary.Look{Colony: "1", Note: note}}
}

func strike(n, of int) season.Fact {
	return season.Fact{ID: booktest.ID(n), Seen: units.OnDay(units.DayOf(2026, 9, 1+n)), Body: season.Strike{Fact: booktest.ID(of)}}
}

func journal(t testing.TB, facts ...season.Fact) *season.Journal {
	t.Helper()
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		t.Fatal(err)
	}
	return j
}

// dump leaves out for which moment the state was asked.
func dump(st *season.State) string {
	_, rest, _ := strings.Cut(booktest.Dump(st), "\n")
	return rest
}

// TestAnyOrder: the same set of facts is the same state, in whatever order and
// however often the facts come, folded bit by bit or at once.
func TestAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := booktest.AnySet(24).Draw(t, "facts")
		want := season.NewJournal()
		if _, err := want.Add(facts...); err != nil {
			t.Fatal(err)
		}
		arrivals := rapid.Permutation(append(slices.Clone(facts), facts...)).Draw(t, "arrivals")
		j := season.NewJournal()
		if rapid.Bool().Draw(t, "looked at while empty") {
			j.Now()
		}
		for from := 0; from < len(arrivals); {
			n := min(len(arrivals)-from, rapid.IntRange(1, 9).Draw(t, "at once"))
			if _, err := j.Add(arrivals[from : from+n]...); err != nil {
				t.Fatal(err)
			}
			from += n
			fresh := season.NewJournal()
			if _, err := fresh.Add(arrivals[:from]...); err != nil {
				t.Fatal(err)
			}
			if got, want := dump(j.Now()), dump(fresh.Now()); got != want {
				t.Fatalf("folded bit by bit:\n%s\nat once:\n%s", got, want)
			}
		}
		if got, want := dump(j.Now()), dump(want.Now()); got != want {
			t.Fatalf("in another order:\n%s\nwant:\n%s", got, want)
		}
		if j.Len() != len(facts) {
			t.Fatalf("%d facts, want %d", j.Len(), len(facts))
		}
	})
}

// TestAsOf: the state as of a moment is the state of a keeper who was told only
// what was known by then.
func TestAsOf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := booktest.AnySet(24).Draw(t, "facts")
		j := season.NewJournal()
		if _, err := j.Add(facts...); err != nil {
			t.Fatal(err)
		}
		for _, f := range facts {
			m := f.WrittenAt()
			var known []season.Fact
			for _, g := range facts {
				if m.Covers(g.Seen) && m.Covers(g.WrittenAt()) {
					known = append(known, g)
				}
			}
			then := season.NewJournal()
			if _, err := then.Add(known...); err != nil {
				t.Fatal(err)
			}
			if got, want := dump(j.AsOf(m)), dump(then.Now()); got != want {
				t.Fatalf("as of %s:\n%s\nwant:\n%s", m, got, want)
			}
			season.SortFacts(known)
			got := j.Facts(m)
			if len(got) != len(known) {
				t.Fatalf("as of %s: %d facts known, want %d", m, len(got), len(known))
			}
			for i := range got {
				if got[i].ID != known[i].ID {
					t.Fatalf("as of %s: fact %d is %s, want %s", m, i, got[i].ID, known[i].ID)
				}
			}
		}
	})
}

// TestSchedules sends the facts of three to eight phones home in schedules made
// at random: parts go missing and are sent again, answers are lost, phones
// overtake each other. However it went, the state is that of all facts taken
// in order. LARDER_SCHEDULES makes it run longer (100000 before a release).
func TestSchedules(t *testing.T) {
	n := 1000
	if s := os.Getenv("LARDER_SCHEDULES"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	sets := make([][]season.Fact, 20)
	want := make([]string, len(sets))
	for i := range sets {
		sets[i] = booktest.AnySet(60).Filter(func(f []season.Fact) bool { return len(f) >= 20 }).Example(i)
		want[i] = dump(journal(t, sets[i]...).Now())
	}
	for seed := range n {
		k := seed % len(sets)
		if got := dump(comeHome(t, sets[k], rand.New(rand.NewPCG(uint64(seed), 9))).Now()); got != want[k] {
			t.Fatalf("schedule %d of set %d:\n%s\nwant:\n%s", seed, k, got, want[k])
		}
	}
}

// comeHome is one schedule.
func comeHome(t *testing.T, facts []season.Fact, rng *rand.Rand) *season.Journal {
	j := season.NewJournal()
	phones := make([][]season.Fact, 3+rng.IntN(6))
	for _, f := range facts { // some were on two phones
		for range 1 + rng.IntN(2) {
			p := rng.IntN(len(phones))
			phones[p] = append(phones[p], f)
		}
	}
	for slices.ContainsFunc(phones, func(q []season.Fact) bool { return len(q) > 0 }) {
		p := rng.IntN(len(phones))
		if len(phones[p]) == 0 {
			continue
		}
		part := phones[p][:1+rng.IntN(len(phones[p]))]
		switch rng.IntN(5) {
		case 0: // lost on the way
			continue
		case 1: // taken in, and the answer is lost: it will come again
			if _, err := j.Add(part...); err != nil {
				t.Fatal(err)
			}
			continue
		case 2: // someone looks meanwhile
			j.Now()
		case 3: // the phone sends in another order
			rng.Shuffle(len(part), func(a, b int) { part[a], part[b] = part[b], part[a] })
		}
		if _, err := j.Add(part...); err != nil {
			t.Fatal(err)
		}
		phones[p] = phones[p][len(part):]
	}
	return j
}

// inForce is the rule of strikes and corrections, said plainly and slowly: a
// fact counts unless one that counts, was known, and was written down later
// strikes or corrects it.
func inForce(facts []season.Fact, f season.Fact, asOf units.Moment) bool {
	known := func(f season.Fact) bool {
		return asOf.IsZero() || asOf.Covers(f.Seen) && asOf.Covers(f.WrittenAt())
	}
	if !known(f) {
		return false
	}
	for _, g := range facts {
		against := g.Replaces
		if s, ok := g.Body.(season.Strike); ok {
			against = s.Fact
		}
		if against != f.ID || !known(g) {
			continue
		}
		c := g.WrittenAt().Compare(f.WrittenAt())
		if (c > 0 || c == 0 && g.ID.Compare(f.ID) > 0) && inForce(facts, g, asOf) {
			return false
		}
	}
	return true
}

func TestInForceAgainstTheRule(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := booktest.AnySet(24).Draw(t, "facts")
		j := season.NewJournal()
		if _, err := j.Add(facts...); err != nil {
			t.Fatal(err)
		}
		asOf := units.Moment{}
		if len(facts) > 0 && rapid.Bool().Draw(t, "as of some fact") {
			asOf = rapid.SampledFrom(facts).Draw(t, "fact").Seen
		}
		taken, err := season.JournalOf(slices.Clone(facts))
		if err != nil {
			t.Fatal(err)
		}
		single := season.NewJournal() // strikes before what they strike
		for _, f := range rapid.Permutation(facts).Draw(t, "one by one") {
			if _, err := single.Add(f); err != nil {
				t.Fatal(err)
			}
		}
		for _, f := range facts {
			want := inForce(facts, f, asOf)
			for how, j := range map[string]*season.Journal{"at once": j, "taken over": taken, "one by one": single} {
				if got := j.InForce(f.ID, asOf); got != want {
					t.Fatalf("%s: fact %s as of %q: in force %v, want %v", how, f.ID, asOf.String(), got, want)
				}
			}
		}
	})
}

// TestJournalOf: a journal that takes over a slice is the journal of the same facts
// added, for less than a page of them, whole pages and more, and goes on like it.
func TestJournalOf(t *testing.T) {
	all := booktest.Many(40, 2)
	for i := range all { // a strike here and there, of what is before and after it
		if i%50 == 0 {
			all[i].Body = season.Strike{Fact: all[(i*7+3)%len(all)].ID}
		}
	}
	if len(all) < 1200 {
		t.Fatalf("%d facts are too few", len(all))
	}
	for _, n := range []int{0, 1, 255, 256, 257, 512, 1000} {
		want := journal(t, all[:n]...)
		got, err := season.JournalOf(slices.Clone(all[:n]))
		if err != nil {
			t.Fatal(err)
		}
		if got.Len() != n || dump(got.Now()) != dump(want.Now()) {
			t.Errorf("%d facts: another state", n)
		}
		for _, at := range []int{n, n + 1, n + 100} { // and more come, some of them known
			from := max(0, at-50)
			k, err := got.Add(all[from : at+100]...)
			if err != nil {
				t.Fatal(err)
			}
			if w, err := want.Add(all[from : at+100]...); err != nil || k != w {
				t.Errorf("%d facts: then %d new ones, want %d (%v)", n, k, w, err)
			}
			if dump(got.Now()) != dump(want.Now()) || got.Len() != want.Len() {
				t.Errorf("%d facts: another state after more", n)
			}
		}
		for _, f := range all[:n] {
			if g, ok := got.Fact(f.ID); !ok || !season.Same(&f, &g) {
				t.Fatalf("%d facts: %s is not found", n, f.ID)
			}
			if got.InForce(f.ID, units.Moment{}) != want.InForce(f.ID, units.Moment{}) {
				t.Fatalf("%d facts: %s is in force in one of them only", n, f.ID)
			}
		}
	}
}

// TestJournalOfRefuses: what Add refuses is refused in the same words; a fact that
// is there twice is passed over.
func TestJournalOfRefuses(t *testing.T) {
	all := booktest.Many(40, 1)
	at := len(all) / 2
	for name, spoil := range map[string]func(f *season.Fact){
		"no id":     func(f *season.Fact) { f.ID = season.ID{} },
		"no moment": func(f *season.Fact) { f.Seen = units.Moment{} },
		"no kind":   func(f *season.Fact) { f.Body = 7 },
		"no body":   func(f *season.Fact) { f.Body = nil },
		"bad body":  func(f *season.Fact) { f.Body = apiary.Look{Colony: "1", Bees: 1000} },
		"conflict":  func(f *season.Fact) { f.ID = all[3].ID },
	} {
		facts := slices.Clone(all)
		spoil(&facts[at])
		_, want := season.NewJournal().Add(facts...)
		if j, err := season.JournalOf(facts); err == nil || want == nil || err.Error() != want.Error() || j != nil {
			t.Errorf("%s: %v, want %v", name, err, want)
		}
	}
	twice := append(slices.Clone(all), all[5])
	if j, err := season.JournalOf(twice); err != nil || j.Len() != len(all) {
		t.Errorf("there twice: %v", err)
	}
}

// TestSortFacts: in order of truth as the plain way of sorting gives it, and none
// lost.
func TestSortFacts(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		facts := booktest.Many(5, 1)[:60+seed]
		for i := range facts { // many at one instant, some told in another zone
			facts[i].Seen = units.AtOffset(1_790_000_000_000+rng.Int64N(10), rng.IntN(3)*60)
		}
		rng.Shuffle(len(facts), func(i, j int) { facts[i], facts[j] = facts[j], facts[i] })
		want := slices.Clone(facts)
		slices.SortStableFunc(want, func(a, b season.Fact) int {
			if c := a.Seen.Compare(b.Seen); c != 0 {
				return c
			}
			return a.ID.Compare(b.ID)
		})
		season.SortFacts(facts)
		for i := range want {
			if facts[i].ID != want[i].ID {
				t.Fatalf("seed %d: at place %d is %s, want %s", seed, i, facts[i].ID, want[i].ID)
			}
		}
	}
}

func TestStrikes(t *testing.T) {
	corrected := look(3, "corrected")
	corrected.Replaces = booktest.ID(1)
	early := strike(0, 5) // written down before the fact it is against
	for _, c := range []struct {
		name  string
		facts []season.Fact
		want  []string // notes in force
	}{
		{"plain", []season.Fact{look(1, "a"), look(2, "b")}, []string{"a", "b"}},
		{"struck", []season.Fact{look(1, "a"), look(2, "b"), strike(3, 1)}, []string{"b"}},
		{"strike first", []season.Fact{strike(3, 1), look(1, "a")}, nil},
		{"strike struck", []season.Fact{look(1, "a"), strike(2, 1), strike(3, 2)}, []string{"a"}},
		{"and struck again", []season.Fact{look(1, "a"), strike(2, 1), strike(3, 2), strike(4, 3)}, nil},
		{"two strikes, one struck", []season.Fact{look(1, "a"), strike(2, 1), strike(3, 1), strike(4, 2)}, nil},
		{"corrected", []season.Fact{look(1, "a"), corrected}, []string{"corrected"}},
		{"correction struck", []season.Fact{look(1, "a"), corrected, strike(4, 3)}, []string{"a"}},
		{"only what is later strikes", []season.Fact{look(5, "a"), early}, []string{"a"}},
		{"strike of nothing", []season.Fact{look(1, "a"), strike(2, 99)}, []string{"a"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := journal(t, c.facts...)
			var got []string
			if col, ok := j.Now().Colony("1"); ok {
				for _, f := range col.Events {
					got = append(got, f.Body.(apiary.Look).Note)
				}
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("in force: %q, want %q", got, c.want)
			}
			if j.Len() != len(c.facts) || len(j.Facts(units.Moment{})) != len(c.facts) {
				t.Error("a struck fact is not readable any more")
			}
		})
	}
}

// TestLongChain: undo of undo of undo … does not take for ever.
func TestLongChain(t *testing.T) {
	const n = 20_000
	facts := []season.Fact{{ID: booktest.ID(1), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Look{Colony: "1"}}}
	for i := 2; i <= n; i++ {
		facts = append(facts, season.Fact{ID: booktest.ID(i), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: season.Strike{Fact: booktest.ID(i - 1)}})
	}
	j := journal(t, facts...)
	if j.InForce(booktest.ID(1), units.Moment{}) != (n%2 == 1) {
		t.Error("the first fact stands wrongly")
	}
}

func TestCorrectionMovesSubject(t *testing.T) {
	j := journal(t, look(1, "seen at the wrong hive"))
	j.Now()
	moved := season.Fact{ID: booktest.ID(2), Seen: look(1, "").Seen, Made: look(2, "").Seen, Replaces: booktest.ID(1), Body: apiary.Look{Colony: "2"}}
	if _, err := j.Add(moved); err != nil {
		t.Fatal(err)
	}
	st := j.Now()
	if c, ok := st.Colony("1"); ok && len(c.Events) > 0 {
		t.Error("the colony it was taken from still has it")
	}
	if c, ok := st.Colony("2"); !ok || len(c.Events) != 1 {
		t.Error("the right colony has not got it")
	}
}

func TestAddRefuses(t *testing.T) {
	j := journal(t, look(1, "a"))
	before := dump(j.Now())
	other := look(1, "another")
	for name, facts := range map[string][]season.Fact{
		"conflict":        {look(2, "b"), other},
		"conflict inside": {look(2, "b"), look(2, "c")},
		"bad":             {look(2, "b"), {ID: booktest.ID(3), Body: apiary.Look{Colony: "1"}}},
	} {
		n, err := j.Add(facts...)
		if err == nil || n != 0 {
			t.Errorf("%s: taken (%d)", name, n)
		}
		if strings.HasPrefix(name, "conflict") && !fault.Is(err, fault.Conflict) {
			t.Errorf("%s: %v", name, err)
		}
		if j.Len() != 1 || dump(j.Now()) != before {
			t.Errorf("%s: something of it was taken", name)
		}
		if _, ok := j.Fact(booktest.ID(2)); ok {
			t.Errorf("%s: a fact of the call is there", name)
		}
	}
	if n, err := j.Add(look(1, "a"), look(2, "b"), look(2, "b")); n != 1 || err != nil {
		t.Errorf("added %d, %v; want 1", n, err)
	}
}

// TestStateKeepsItsFacts: a state looked at before more facts came still has
// sound ones, and facts are not moved by later ones.
func TestStateKeepsItsFacts(t *testing.T) {
	j := journal(t, look(1, "a"))
	c, _ := j.AsOf(units.Moment{}).Colony("1")
	for i := 2; i < 5000; i++ {
		f := look(2, "b")
		f.ID = booktest.ID(i)
		if _, err := j.Add(f); err != nil {
			t.Fatal(err)
		}
	}
	if len(c.Events) != 1 || c.Events[0].Body.(apiary.Look).Note != "a" {
		t.Error("an earlier state has changed")
	}
}

// TestMemory: ten thousand colonies over three years have to fit a small
// machine. The goal is 400 bytes a fact with its share of indexes and state.
func TestMemory(t *testing.T) {
	wire := make([]season.Record, 0)
	for _, f := range booktest.Many(500, 3) {
		r, err := f.Record()
		if err != nil {
			t.Fatal(err)
		}
		wire = append(wire, r)
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	j := season.NewJournal()
	if _, err := j.Add(read(t, wire)...); err != nil {
		t.Fatal(err)
	}
	st := j.Now()
	runtime.GC()
	runtime.ReadMemStats(&after)
	per := float64(after.HeapAlloc-before.HeapAlloc) / float64(j.Len())
	t.Logf("%d facts, %.0f bytes each", j.Len(), per)
	if per > 400 {
		t.Errorf("%.0f bytes a fact, want 400 or less", per)
	}
	runtime.KeepAlive(st)
	runtime.KeepAlive(wire)
}

// read reads records as an engine does.
func read(t testing.TB, wire []season.Record) []season.Fact {
	d := season.NewDecoder()
	facts := make([]season.Fact, len(wire))
	for i := range wire {
		f, err := d.Fact(&wire[i])
		if err != nil {
			t.Fatal(err)
		}
		facts[i] = f
	}
	return facts
}

func TestMany(t *testing.T) {
	facts := booktest.Many(400, 3)
	if per := float64(len(facts)) / (400 * 3); per < 18 || per > 24 {
		t.Errorf("%.1f facts a colony and year, want about 20", per)
	}
	j := journal(t, facts...)
	st := j.Now()
	if len(st.Colonies()) != 400 || len(st.Yards()) != 10 {
		t.Errorf("%d colonies in %d yards", len(st.Colonies()), len(st.Yards()))
	}
}

func BenchmarkFold(b *testing.B) {
	for _, n := range []int{1_000, 16_000} { // colonies over three years: 60,000 and 1 M facts
		facts := booktest.Many(n, 3)
		b.Run(fmt.Sprintf("%d facts", len(facts)), func(b *testing.B) {
			for b.Loop() {
				j := season.NewJournal()
				if _, err := j.Add(facts...); err != nil {
					b.Fatal(err)
				}
				j.Now()
			}
			b.ReportMetric(float64(len(facts))*float64(b.N)/b.Elapsed().Seconds(), "facts/s")
		})
	}
}

func BenchmarkAddOne(b *testing.B) {
	j := season.NewJournal()
	if _, err := j.Add(booktest.Many(1000, 3)...); err != nil {
		b.Fatal(err)
	}
	j.Now()
	n := 10_000_000
	for b.Loop() {
		n++
		f := season.Fact{ID: booktest.ID(n), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: stores.Reading{Colony: fmt.Sprintf("%d-%d", n/40%25+1, n%40+1), Way: stores.Hand, Heft: stores.Fair}}
		if _, err := j.Add(f); err != nil {
			b.Fatal(err)
		}
		j.Now()
	}
}

func BenchmarkDecode(b *testing.B) {
	var wire []season.Record
	for _, f := range booktest.Many(400, 1) {
		r, err := f.Record()
		if err != nil {
			b.Fatal(err)
		}
		wire = append(wire, r)
	}
	b.Run("quick", func(b *testing.B) {
		for b.Loop() {
			read(b, wire)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(wire)), "ns/fact")
	})
	b.Run("json", func(b *testing.B) {
		for b.Loop() {
			for i := range wire {
				if _, err := season.DecodeBody(wire[i].Kind, wire[i].Body); err != nil {
					b.Fatal(err)
				}
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(wire)), "ns/fact")
	})
}
