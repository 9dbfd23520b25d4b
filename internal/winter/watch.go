package winter

import (
	"math"
	"runtime"
	"sync"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Levels are the quantiles of a fan.
func Levels() [nLevels]float64 { return [nLevels]float64{0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95} }

const nLevels = 7

// Fan is what one colony is likely to have, morning by morning: index 0 is the
// first day. Stores stop falling at the first dependable forage.
type Fan struct {
	Colony string
	Known  bool // false: its stores are not known, and all below is empty
	From   units.Day
	// Stores holds the quantiles of [Levels], kg of ripe stores; Mean the mean.
	Stores [nLevels][]float64
	Mean   []float64
	// Short is the chance that it has come below the reserve by that morning,
	// Out that nothing is left.
	Short, Out []float64
	Reserve    units.Mass
	// RunsShortOn is the first morning on which it is not sure enough that the
	// reserve is whole: Short has passed 1 − Confidence. 0 = not before forage.
	RunsShortOn units.Day
	// LikelyShortOn is the first morning on which it is more likely short than
	// not; 0 = not before forage.
	LikelyShortOn units.Day
	Confidence    float64
	Reasons       []Reason
}

// ShortAtAll gives the chance that it comes below the reserve before the first
// dependable forage.
func (f Fan) ShortAtAll() float64 {
	if !f.Known {
		return math.NaN()
	}
	return f.Short[len(f.Short)-1]
}

// On gives the index of a day; ok is false outside the fan.
func (f Fan) On(d units.Day) (i int, ok bool) {
	i = int(d - f.From)
	return i, f.Known && i >= 0 && i < len(f.Mean)
}

// WatchQuery asks for fans.
type WatchQuery struct {
	Colonies []Colony // all of the ensemble's yard
	// Confidence is the chance that stores must last; 0 takes the figure (0.95).
	Confidence float64
	// Reserve is what must not be touched; nil takes the figure (4 kg).
	Reserve *units.Mass
	// Workers is the most processors used; 0 = all. The answer is the same.
	Workers int
}

// Watch carries the stores of each colony through the winters of the ensemble
// to the first dependable forage. Quantiles are read from bins of at most 0.05
// kg, straight within a bin; chances are exact counts of the draws. Fans come in
// the order asked.
//
// Errors: fault.OutOfRange for a confidence or reserve that is none;
// fault.NotKnownHere for a colony outside the model.
func (e *Ensemble) Watch(q WatchQuery) ([]Fan, error) {
	conf, reserve, err := e.terms(q.Confidence, q.Reserve)
	if err != nil {
		return nil, err
	}
	for _, c := range q.Colonies {
		if err := checkColony(c); err != nil {
			return nil, err
		}
	}
	fans := make([]Fan, len(q.Colonies))
	workers := q.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	tiles := (len(fans) + tile - 1) / tile
	var wg sync.WaitGroup
	// Tiles are handed out by number, and each fan depends on its colony alone.
	for w := range min(workers, tiles) {
		wg.Go(func() {
			k := newKernel(e, reserve.Kg())
			for t := w; t < tiles; t += min(workers, tiles) {
				a, b := t*tile, min((t+1)*tile, len(fans))
				k.run(q.Colonies[a:b], fans[a:b])
			}
		})
	}
	wg.Wait()
	for i := range fans {
		fans[i].finish(e, q.Colonies[i], conf, reserve)
	}
	return fans, nil
}

func (e *Ensemble) terms(conf float64, res *units.Mass) (float64, units.Mass, error) {
	if conf == 0 {
		conf = e.figs.V(keyConfidence)
	}
	if !(conf >= 0.5 && conf < 1) {
		return 0, 0, fault.Newf(fault.OutOfRange, "winter", "a chance of %g %% cannot be planned on", conf*100).WithHint("between 50 and 99 %%")
	}
	reserve := units.Mass(e.figs.V(keyReserve))
	if res != nil {
		reserve = *res
	}
	if !(reserve >= 0 && reserve <= 50) {
		return 0, 0, fault.Newf(fault.OutOfRange, "winter", "a reserve of %.1f kg cannot be kept", reserve.Kg()).WithHint("between 0 and 50 kg")
	}
	return conf, reserve, nil
}

// finish fills in what follows from the fan.
func (f *Fan) finish(e *Ensemble, c Colony, conf float64, reserve units.Mass) {
	f.Colony, f.From, f.Confidence, f.Reserve = c.ID, e.from, conf, reserve
	if !f.Known {
		f.Reasons = []Reason{because("no-reading", "Nothing is known of its stores: heft it")}
		return
	}
	for i, p := range f.Short {
		day := f.From + units.Day(i)
		if f.RunsShortOn == 0 && p > 1-conf+1e-12 {
			f.RunsShortOn = day
		}
		if f.LikelyShortOn == 0 && p > 0.5 {
			f.LikelyShortOn = day
		}
	}
	f.Reasons = append([]Reason{f.verdict(conf)}, e.Reasons(c)...)
}

func (f *Fan) verdict(conf float64) Reason {
	last := len(f.Mean) - 1
	if f.RunsShortOn == 0 {
		return because("lasts", "By first forage it has about {0}, in nine of ten cases {1} to {2}",
			units.Mass(f.Stores[3][last]), units.Mass(f.Stores[0][last]), units.Mass(f.Stores[6][last]))
	}
	return because("runs-short", "From {0} on the chance is more than {1} % that it is below the reserve of {2}",
		f.RunsShortOn, math.Round((1-conf)*1000)/10, f.Reserve)
}

// Estimate gives mean and spread of the stores on a morning, for those who want
// one number; the spread is that of the 10 and 90 % quantiles as if normal.
func (f Fan) Estimate(d units.Day) figure.Estimate {
	i, ok := f.On(d)
	if !ok {
		return figure.Estimate{}
	}
	const z90 = 1.2815515655446004 // standard normal, 0.9
	return figure.Est(f.Mean[i], (f.Stores[5][i]-f.Stores[1][i])/(2*z90))
}
