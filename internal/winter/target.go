package winter

import (
	"fmt"
	"math"
	"slices"

	"larder/internal/units"
)

// TargetQuery asks what a colony should have on the ensemble's first day.
type TargetQuery struct {
	Colony Colony // its stores are not looked at
	// Confidence is the chance that stores last; 0 takes the figure (0.95).
	Confidence float64
	// Reserve is what must not be touched; nil takes the figure (4 kg).
	Reserve *units.Mass
	// Published is the regional figure and PublishedFrom its source; Own the
	// keeper's own target. 0 = none. They stand beside the one worked out and
	// never change it.
	Published     units.Mass
	PublishedFrom string
	Own           units.Mass
	// Most is the most stores its combs should hold so that the cluster keeps
	// empty comb to sit on; 0 = not told.
	Most units.Mass
	// Frames is the frames of bees counted and Least the fewest that winter
	// here; 0 = not told.
	Frames, Least float64
}

// Target is what a colony should have, three ways side by side.
type Target struct {
	Kg            units.Mass // worked out: what is eaten with the chosen chance, and the reserve; within Most
	Want          units.Mass // the same whatever the combs hold
	Published     units.Mass
	PublishedFrom string
	Own           units.Mass
	// PublishedChance and OwnChance are the chances to last with those.
	PublishedChance, OwnChance float64
	// Plain is the sum anybody can do by hand: expected use, 1.65 × a quarter of
	// it, and the reserve.
	Plain units.Mass
	// Use is what is eaten, kg: quantiles of [Levels], mean and spread.
	Use        [nLevels]float64
	Mean, SD   float64
	Reserve    units.Mass
	Confidence float64
	// Chance is the chance to last with Kg; less than Confidence when the combs
	// cannot hold Want.
	Chance float64
	// Quad is Want by the quadrature, for comparison.
	Quad    units.Mass
	NoRoom  bool // Want is more than the combs should hold
	Weak    bool // too few bees to winter: unite, do not feed
	Parts   [nRates]units.Mass
	Drivers []Driver // what the spread comes from, greatest first
	Winters int
	Few     bool // fewer winters known than wanted
	Reasons []Reason
}

// Driver is one thing the spread of a target comes from.
type Driver struct {
	Code string
	Name string
	SD   units.Mass // spread it brings alone
}

var groupNames = [nGroups][2]string{
	ByWeather: {"weather", "which winter comes"},
	ByRates:   {"rates", "what bees eat for warmth"},
	ByBrood:   {"brood", "how much brood they rear, and when"},
	ByBees:    {"bees", "how many bees there are"},
	ByColony:  {"colony", "one colony against another"},
	ByForage:  {"forage", "when forage begins"},
	ByFew:     {"few-winters", "how few winters are known"},
}

// Target works out the stores with which a colony lasts to the first
// dependable forage with the chosen chance, over the past winters and the
// spread of all figures, plus the reserve:
//
//	Want = quantile(eaten, confidence) + reserve
//
// Kg is Want, held to what its combs should hold: overfull brood combs crowd
// out late brood, and the cluster needs empty comb to sit on (bienen&natur;
// BienenSchweiz; ATTTA 2024). A colony with fewer frames of bees than winter
// here is said to be weak: unite it; a target does not save it.
func (e *Ensemble) Target(q TargetQuery) (Target, error) {
	conf, reserve, err := e.terms(q.Confidence, q.Reserve)
	if err != nil {
		return Target{}, err
	}
	quad, err := e.Quadrature(q.Colony)
	if err != nil {
		return Target{}, err
	}
	use := make([]float64, e.draws)
	e.eaten(use, q.Colony, e.days)
	slices.Sort(use)
	t := Target{Published: q.Published, PublishedFrom: q.PublishedFrom, Own: q.Own, Reserve: reserve, Confidence: conf,
		Winters: len(e.winters.Temp), Few: e.winters.Few}
	t.Mean, t.SD = moments(use)
	for i, l := range Levels() {
		t.Use[i] = quantile(use, l)
	}
	t.Want = reserve + units.Mass(quantile(use, conf))
	t.Quad = reserve + units.Mass(quad.Quantile(conf))
	t.Plain = reserve + units.Mass(t.Mean*(1+1.65*0.25))
	t.Kg, t.Chance = t.Want, conf
	if q.Most > 0 && t.Want > q.Most {
		t.Kg, t.NoRoom = q.Most, true
		t.Chance = shareBelow(use, (q.Most - reserve).Kg())
	}
	t.OwnChance = shareBelow(use, (q.Own - reserve).Kg())
	t.PublishedChance = shareBelow(use, (q.Published - reserve).Kg())
	t.Weak = q.Least > 0 && q.Frames > 0 && q.Frames < q.Least
	t.Parts = e.parts(q.Colony)
	t.Drivers = drivers(quad)
	t.Reasons = e.targetReasons(&t, q)
	return t, nil
}

// parts splits the mean use by what it goes on.
func (e *Ensemble) parts(c Colony) (out [nRates]units.Mass) {
	s, f := e.shareOf(c), c.factor(&e.params)
	for r := range out {
		row := e.sum[r][(e.days-e.first)*e.draws:]
		for j, x := range row {
			out[r] += units.Mass(colonyFactor(f.Mean, f.SD, e.e[j]) * s[r] * float64(x) / float64(len(row)))
		}
	}
	return out
}

func drivers(q Quad) []Driver {
	var out []Driver
	for g, n := range groupNames {
		if q.By[g] > 0 {
			out = append(out, Driver{n[0], n[1], units.Mass(q.By[g])})
		}
	}
	slices.SortStableFunc(out, func(a, b Driver) int {
		switch {
		case a.SD > b.SD:
			return -1
		case a.SD < b.SD:
			return 1
		}
		return 0
	})
	return out
}

func (e *Ensemble) targetReasons(t *Target, q TargetQuery) []Reason {
	out := []Reason{
		because("use", "Until {0} it eats about {1}; in {2} of 100 such winters no more than {3}; {4} more is the reserve",
			e.forage.Day, units.Mass(t.Mean), math.Round(t.Confidence*100), t.Want-t.Reserve, t.Reserve),
		because("goes-on", "Of that {0} goes on keeping the cluster warm, {1} on the bees themselves, {2} on feeding brood, {3} on keeping brood warm",
			t.Parts[Cluster], t.Parts[PerKg], t.Parts[BroodFood], t.Parts[BroodWarmth]),
	}
	if len(t.Drivers) > 0 {
		out = append(out, because("drives", "What makes it unsure is most of all "+t.Drivers[0].Name+" ({0} either way)", t.Drivers[0].SD))
	}
	if t.NoRoom {
		out = append(out, because("no-room", "It would want {0}, but its combs should hold no more than {1}: give it another box or the chance falls to {2} %",
			t.Want, q.Most, math.Round(t.Chance*100)))
	}
	if t.Weak {
		out = append(out, because("weak", "It covers {0} frames, fewer than the {1} that winter here: unite it, stores will not save it", q.Frames, q.Least))
	}
	if q.Own > 0 {
		out = append(out, because("own-target", fmt.Sprintf("Your own target of {0} lasts in %.0f of 100 such winters", 100*t.OwnChance), q.Own))
	}
	if q.Published > 0 {
		out = append(out, because("published", fmt.Sprintf("The published figure of {0} lasts in %.0f of 100 such winters", 100*t.PublishedChance), q.Published))
	}
	return append(out, e.Reasons(q.Colony)...)
}

// moments gives mean and spread.
func moments(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / n
	}
	return mean, math.Sqrt(sd)
}

// quantile reads sorted draws, straight between them.
func quantile(sorted []float64, p float64) float64 {
	x := p * float64(len(sorted)-1)
	i := min(int(x), len(sorted)-2)
	return sorted[i] + (x-float64(i))*(sorted[i+1]-sorted[i])
}

// shareBelow gives the share of sorted draws not above x.
func shareBelow(sorted []float64, x float64) float64 {
	i, _ := slices.BinarySearch(sorted, math.Nextafter(x, math.Inf(1)))
	return float64(i) / float64(len(sorted))
}
