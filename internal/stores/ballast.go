package stores

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// fullComb is the comb of ten Langstroth deep frames, both sides (dm²): the
// full hive that the figures for unseen bees, brood and pollen are told for.
const fullComb = 2 * 10 * 8.7

// takeBallast takes off bees, brood and pollen.
func (e *Estimate) takeBallast(c Context) error {
	area, err := c.Catalogue.CombArea(c.Catalogue.Beside(c.Stack, c.Feeder))
	if err != nil {
		return err
	}
	size := min(1, float64(area)/fullComb)
	side, err := broodSide(c)
	if err != nil {
		return err
	}
	bees, seen := bees(c, side, size)
	e.take("bees", bees)
	if !seen {
		e.Reasons = append(e.Reasons, because("no-look", "nobody looked at the bees: {0} of them is taken, give or take {1}", units.Mass(bees.Mean), units.Mass(bees.SD)))
	} else if age := c.lookAge(); age > 21 {
		e.Reasons = append(e.Reasons, because("old-look", "the bees were last looked at {0} days before", age))
	}
	e.take("brood", brood(c, side, size))
	e.take("pollen", unseen(c.Figures, "stores.pollen_kg", size))
	return nil
}

// broodSide is the comb side that a "frame of bees" is counted on: the largest
// frame of the stack.
func broodSide(c Context) (units.Area, error) {
	var side units.Area
	for _, b := range c.Stack.Boxes {
		k, err := c.Catalogue.Box(b.Kind)
		if err != nil {
			return 0, err
		}
		f, err := c.Catalogue.Frame(k.Frame)
		if err != nil {
			return 0, err
		}
		side = max(side, f.Area)
	}
	return side, nil
}

// BeesMass gives the weight of a number of bees in kg.
func BeesMass(n float64, fs figure.Set) float64 { return n * fs.V("stores.bee_g") / 1000 }

// BeesOn gives the number of bees on frames fully covered on both sides.
func BeesOn(frames float64, side units.Area, fs figure.Set) float64 {
	return frames * 2 * float64(side) * fs.V("stores.bees_dm2")
}

func bees(c Context, side units.Area, size float64) (figure.Estimate, bool) {
	fs := c.Figures
	if c.Look == nil || !c.Look.BeesKnown {
		return unseen(fs, "stores.bees_unseen_kg", size), false
	}
	kg := BeesMass(BeesOn(max(0, c.Look.Bees), side, fs), fs)
	// A quarter frame is the least a keeper tells apart.
	least := BeesMass(BeesOn(0.25, side, fs), fs)
	return figure.Est(kg, math.Hypot(least, kg*math.Hypot(fs.V("stores.bees_spread"), fs.V("stores.bees_drift")*float64(c.lookAge())))), true
}

func brood(c Context, side units.Area, size float64) figure.Estimate {
	fs := c.Figures
	g := fs.V("stores.brood_g_dm2") / 1000
	if c.Look != nil && c.Look.BroodKnown && c.lookAge() <= oldBrood {
		kg := max(0, c.Look.Brood) * 2 * float64(side) * g
		least := 0.25 * 2 * float64(side) * g
		// A brood comb is laid and hatches in three weeks: an older look says
		// less and less.
		return figure.Est(kg, math.Hypot(least, kg*math.Hypot(fs.V("stores.brood_spread"), float64(c.lookAge())/42)))
	}
	if c.Brood.Known {
		return c.Brood.Times(g)
	}
	return unseen(fs, "stores.brood_unseen_kg", size)
}

// oldBrood is the days, two rounds of worker brood, after which a look at the
// brood says nothing any more: what is believed without a look says more.
const oldBrood = 42

func unseen(fs figure.Set, key string, size float64) figure.Estimate {
	return figure.Est(fs.V(key), fs.SD(key)).Times(size)
}

// lookAge is the days between the look and the reading, whichever came first; 0
// when either has no moment.
func (c Context) lookAge() int {
	if c.At.IsZero() || c.LookAt.IsZero() {
		return 0
	}
	d := int(c.At.Day() - c.LookAt.Day())
	return max(d, -d)
}
