package ledger

import (
	"strings"
	"testing"

	"larder/internal/units"
	"pgregory.net/rapid"
)

func names(ks []Kin) string {
	out := make([]string, len(ks))
	for i, k := range ks {
		out[i] = k.Colony
		if k.How != "" {
			out[i] += "(" + k.How + " " + k.Via + ")"
		}
	}
	return strings.Join(out, " ")
}

var ties = []Tie{
	{From: "b", Into: "a", At: on(10), How: "unite"},
	{From: "a", Into: "n", At: on(12), How: "split"},
	{From: "a", Into: "z", At: on(5), How: "split"},
	{From: "n", Into: "q", At: on(14), How: "frames"},
}

func TestHeirsAndForebears(t *testing.T) {
	// What b got on day 8 came to a on day 10, to n on day 12, to q on day 14; z
	// was split off before.
	if got := names(Heirs("b", on(8), ties)); got != "b a(unite b) n(split a) q(frames n)" {
		t.Error(got)
	}
	if got := names(Heirs("a", on(13), ties)); got != "a" {
		t.Error(got)
	}
	if got := names(Forebears("q", ties)); got != "q b(unite a) a(split n) n(frames q)" {
		t.Error(got)
	}
	if got := names(Forebears("z", ties)); got != "z a(split z)" {
		t.Error(got)
	}
}

// Both ways tell the same: a colony is an heir of feed given at a moment exactly
// when the giver is a forebear of it up to that moment or later.
func TestBothWaysAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		colony := rapid.SampledFrom([]string{"a", "b", "c", "d"})
		var ties []Tie
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			x := Tie{From: colony.Draw(t, "from"), Into: colony.Draw(t, "into"), At: on(rapid.IntRange(1, 9).Draw(t, "day")), How: "split"}
			if x.From != x.Into {
				ties = append(ties, x)
			}
		}
		at := on(rapid.IntRange(0, 10).Draw(t, "given"))
		for _, fed := range []string{"a", "b", "c", "d"} {
			heir := map[string]bool{}
			for _, k := range Heirs(fed, at, ties) {
				heir[k.Colony] = true
			}
			for _, c := range []string{"a", "b", "c", "d"} {
				back := false
				for _, k := range Forebears(c, ties) {
					if k.Colony == fed && (k.At == units.Moment{} || k.At.Compare(at) >= 0) {
						back = true
					}
				}
				if back != heir[c] {
					t.Fatalf("fed %s on %v: %s heir %v, forebear %v; %+v", fed, at, c, heir[c], back, ties)
				}
			}
		}
	})
}
