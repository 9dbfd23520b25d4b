package feeding

import (
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"sync"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// The hive types of the target table.
const (
	HiveNuc          = "nuc"           // 4 to 6 frames
	HiveSingle       = "single"        // single deep, single National
	HiveDoubleMedium = "double-medium" // deep and medium, brood-and-a-half
	HiveDouble       = "double"        // double deep
	HiveDadant       = "dadant"        // Dadant, 14x12 or Commercial single
)

//go:embed data/targets.tsv
var targetsTSV string

//go:embed data/published.tsv
var publishedTSV string

// Suggested is one cell of the table of suggested targets.
type Suggested struct {
	Climate apiary.Climate
	Hive    string
	Stores  units.Mass
	From    string // the published rows it stands on, as text with their sources
}

// Published is one published stores target. Low and High are 0 where the
// publication gives none (a bare floor has no High, a gross weight neither).
type Published struct {
	ID, Region, Hive string
	Low, High        units.Mass
	Source           string
	Grade            figure.Grade
}

// Target gives the suggested stores at the end of feeding for a class of
// winter and a hive type. It is judged about the middle of published rows, a default to be
// argued with, never a constant: the keeper's own target and the one computed
// from his winters stand beside it. A class or type outside the table is
// NotKnownHere; there is no nearest cell.
func Target(c apiary.Climate, hive string) (Suggested, error) {
	for _, s := range targets() {
		if s.Climate == c && s.Hive == hive {
			return s, nil
		}
	}
	if c == apiary.ClimateUnknown {
		return Suggested{}, fault.New(fault.NotKnownHere, "", "the class of winter of this yard is not known").
			WithHint("give the yard's place, or say warm, mild, temperate, cold or very-cold")
	}
	return Suggested{}, fault.Newf(fault.NotKnownHere, "", "no published target for a %q hive in a %q winter", hive, string(c)).
		WithHint("set the target of the colony yourself")
}

// Targets gives the whole table, in its order.
func Targets() []Suggested { return slices.Clone(targets()) }

// targets is the table, read once: it never changes while the program runs.
var targets = sync.OnceValue(readTargets)

func readTargets() []Suggested {
	pub := map[string]string{}
	for _, p := range PublishedTargets() {
		pub[p.ID] = p.Source
	}
	var out []Suggested
	for _, f := range rows(targetsTSV, 4) {
		kg, err := strconv.ParseFloat(f[2], 64)
		if err != nil {
			panic("feeding: targets.tsv: " + err.Error())
		}
		out = append(out, Suggested{apiary.Climate(f[0]), f[1], units.Mass(kg), cited(f[3], pub)})
	}
	return out
}

// cited replaces row names by their sources.
func cited(list string, pub map[string]string) string {
	var out []string
	for _, id := range strings.Split(list, ", ") {
		switch src, ok := pub[id]; {
		case ok:
			out = append(out, src)
		case id == "judged":
			out = append(out, "judged from the neighbouring cells")
		default:
			panic("feeding: targets.tsv names no published row: " + id)
		}
	}
	return strings.Join(out, "; ")
}

// PublishedTargets gives the published rows the suggestions stand on.
func PublishedTargets() []Published {
	mass := func(s string) units.Mass {
		if s == "-" {
			return 0
		}
		kg, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic("feeding: published.tsv: " + err.Error())
		}
		return units.Mass(kg)
	}
	var out []Published
	for _, f := range rows(publishedTSV, 7) {
		out = append(out, Published{f[0], f[1], f[2], mass(f[3]), mass(f[4]), f[5], figure.Grade(f[6])})
	}
	return out
}

// rows splits a table of ours; a malformed one is a mistake of the program.
func rows(tsv string, n int) [][]string {
	var out [][]string
	for _, line := range strings.Split(tsv, "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		f := strings.Split(line, "\t")
		if len(f) != n {
			panic("feeding: a table row has the wrong number of fields: " + line)
		}
		out = append(out, f)
	}
	return out
}

// MostStores gives the most stores a colony's comb should hold, from what all
// of it would hold if full of sealed stores: late brood and the cluster need
// empty comb. Overfull brood combs are a fault too (bienen&natur; BienenSchweiz;
// ATTTA 2024).
func MostStores(allFull units.Mass, set figure.Set) units.Mass {
	return units.Mass(allFull.Kg() * set.V("feeding.comb_full"))
}

// Weak tells whether a colony has too few bees to winter: frames of bees below
// the fewest published for that class of winter, or for a nuc. A climate not
// known is NotKnownHere. The Reason is set when it is weak, and is then one of
// its holds: it should be united, not fed.
func Weak(frames float64, c apiary.Climate, hive string, set figure.Set) (bool, Reason, error) {
	key := "feeding.weak_" + strings.ReplaceAll(string(c), "-", "_")
	switch {
	case hive == HiveNuc:
		key = "feeding.weak_nuc"
	case !slices.Contains([]apiary.Climate{apiary.Warm, apiary.Mild, apiary.Temperate, apiary.Cold, apiary.VeryCold}, c):
		return false, Reason{}, fault.New(fault.NotKnownHere, "", "how strong a colony must be depends on the winter, and the class of winter is not known").
			WithHint("give the yard's place, or say warm, mild, temperate, cold or very-cold")
	}
	least := set.V(key)
	if frames >= least {
		return false, Reason{}, nil
	}
	return true, Reason{Code: CodeWeak, Say: "it covers {0} frames, fewer than the {1} that winter here: unite it, syrup will not save it",
		Amounts: []any{frames, least}}, nil
}
