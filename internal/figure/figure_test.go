package figure_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"pgregory.net/rapid"
)

var some = []figure.Figure{
	{Key: "test.b", Name: "b", Value: 2, Unit: "kg", Low: 1, High: 3, SD: 0.5, Source: "Nobody, On b, 1900, p. 1", Grade: figure.Memory},
	{Key: "test.a", Name: "a", Value: 10, Unit: "%", Low: 5, High: 20, Source: "common practice, no source", Grade: figure.Practice},
}

func TestSetGives(t *testing.T) {
	s := figure.NewSet(some[:1], some[1:])
	if s.V("test.a") != 10 || s.V("test.b") != 2 || s.SD("test.b") != 0.5 || s.Get("test.b") != some[0] {
		t.Errorf("a %v, b %v ± %v", s.V("test.a"), s.V("test.b"), s.SD("test.b"))
	}
	var keys []string
	for _, f := range s.All() {
		keys = append(keys, f.Key)
	}
	if !slices.Equal(keys, []string{"test.a", "test.b"}) {
		t.Errorf("listed as %v", keys)
	}
	if _, ok := s.Default("test.c"); ok || s.IsOwn("test.a") || len(s.Outside()) != 0 {
		t.Error("a set of defaults has something of its own")
	}
	if len((figure.Set{}).All()) != 0 {
		t.Error("the zero set is not empty")
	}
}

func TestOwnValues(t *testing.T) {
	base := figure.NewSet(some)
	own, err := base.With("test.b", 7)
	if err != nil {
		t.Fatal(err)
	}
	// What the keeper says is taken and marked; the published figure stays.
	f := own.Get("test.b")
	if own.V("test.b") != 7 || f.Grade != figure.Own || !strings.Contains(f.Note, some[0].Source) || !own.IsOwn("test.b") {
		t.Errorf("own value: %+v", f)
	}
	if d, ok := own.Default("test.b"); !ok || d != some[0] {
		t.Errorf("the published figure became %+v", d)
	}
	if !slices.Equal(own.Outside(), []string{"test.b"}) {
		t.Errorf("outside: %v", own.Outside())
	}
	if base.V("test.b") != 2 || base.IsOwn("test.b") {
		t.Error("the set it came from changed")
	}
	for key, v := range map[string]float64{"test.c": 1, "test.a": math.NaN(), "test.b": math.Inf(1)} {
		got, err := base.With(key, v)
		if err == nil || fault.HintOf(err) == "" || fault.KindOf(err) == fault.Internal || got.IsOwn(key) {
			t.Errorf("%s = %v: %v", key, v, err)
		}
	}
}

func TestMistakesOfTheProgramPanic(t *testing.T) {
	for name, f := range map[string]func(){
		"twice":   func() { figure.NewSet(some, some) },
		"unknown": func() { figure.NewSet(some).V("test.c") },
		"no set":  func() { figure.Set{}.SD("test.a") },
	} {
		func() {
			defer func() {
				if r, ok := recover().(string); !ok || !strings.HasPrefix(r, "figure: ") {
					t.Errorf("%s: panicked with %v", name, r)
				}
			}()
			f()
		}()
	}
}

// A set is a value: whatever is laid over it, older sets keep what they had.
func TestSetIsAValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sets := []figure.Set{figure.NewSet(some)}
		want := [][2]float64{{10, 2}}
		for range rapid.IntRange(1, 8).Draw(t, "steps") {
			from := rapid.IntRange(0, len(sets)-1).Draw(t, "from")
			v := rapid.Float64Range(-50, 50).Draw(t, "v")
			which := rapid.IntRange(0, 1).Draw(t, "which")
			next, err := sets[from].With([]string{"test.a", "test.b"}[which], v)
			if err != nil {
				t.Fatal(err)
			}
			w := want[from]
			w[which] = v
			sets, want = append(sets, next), append(want, w)
		}
		for i, s := range sets {
			if got := [2]float64{s.V("test.a"), s.V("test.b")}; got != want[i] {
				t.Fatalf("set %d has %v, want %v", i, got, want[i])
			}
		}
	})
}
