package main

import (
	"larder/internal/feeding"
	"larder/internal/units"
)

// rule is a way of feeding that needs no more than a pencil.
type rule struct {
	name string
	feeding.Habit
}

// rules are the two ways, each with two fixed amounts: what the hives that need
// anything need on the average, and what suffices for nine of ten of them. Both
// are more than a keeper without readings knows.
var rules = []rule{
	{"every feeder each week, nearest yard first, to the average need", feeding.Weekly()},
	{"every feeder each week, nearest yard first, to enough for nine of ten", feeding.Habit{Apart: 7, Fixed: feeding.NineOfTen}},
	{"the same for every hive, farthest yard first, the average need", feeding.Habit{Far: true, Apart: 4, Fixed: feeding.AverageNeed}},
	{"the same for every hive, farthest yard first, enough for nine of ten", feeding.Habit{Far: true, Apart: 4, Fixed: feeding.NineOfTen}},
}

// work is what a season came to.
type work struct {
	hours, km, sugar float64
	loads            int
	given            [][]float64 // litres by hive and day
}

// pencil drives a season by rule r.
func pencil(p *feeding.Problem, r rule) work {
	pl := feeding.ByHabit(p, r.Habit)
	return planned(p, &pl)
}

func yardOf(p *feeding.Problem, id string) *feeding.Yard {
	for i := range p.Yards {
		if p.Yards[i].ID == id {
			return &p.Yards[i]
		}
	}
	return nil
}

// planned is the work of a plan, its fills taken from it and nothing else.
func planned(p *feeding.Problem, pl *feeding.Plan) work {
	w := work{hours: float64((pl.Totals.Time + pl.Totals.Mixing) / units.Hour), km: pl.Totals.Dist.Km(), loads: len(pl.Loads), given: make([][]float64, len(p.Hives))}
	hive := map[string]int{}
	for i := range p.Hives {
		hive[p.Hives[i].Colony] = i
		w.given[i] = make([]float64, p.Days)
	}
	for _, l := range pl.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				w.given[hive[f.Colony]][l.Day-p.Start] += f.Volume.L()
				w.sugar += f.Volume.L() * float64(p.Kitchen.Density) / 1000 * float64(p.Kitchen.Strength)
			}
		}
	}
	return w
}

// outcome is what the bees have of it.
type outcome struct {
	hours, km, sugar float64
	loads            float64
	short            float64 // colonies that may be fed and lack more than a quarter of a litre
	lack             float64 // litres they lack
	nothing          float64 // colonies fed that needed nothing
	waste            float64 // litres given beyond need, or not taken by the stop day
}

// judge follows every feeder through the season: a fill, then that day's
// uptake. What is left after the stop day is lost.
func judge(p *feeding.Problem, w work) outcome {
	o := outcome{hours: w.hours, km: w.km, sugar: w.sugar, loads: float64(w.loads)}
	for i := range p.Hives {
		h := &p.Hives[i]
		y := yardOf(p, h.Yard)
		in, taken, given := h.InFeeder.L(), 0.0, 0.0
		for d := range p.Days {
			in += w.given[i][d]
			given += w.given[i][d]
			if p.Start+units.Day(d) <= y.Stop {
				t := min(in, h.Uptake.L()*y.Factor[d])
				in, taken = in-t, taken+t
			}
		}
		if lack := h.Need.L() - taken; lack > 0.25 && len(h.Hold) == 0 {
			o.short++
			o.lack += lack
		}
		if h.Need == 0 && given > 0 {
			o.nothing++
		}
		o.waste += given - min(given, h.Need.L(), taken)
	}
	return o
}

func (o *outcome) add(x outcome, part float64) {
	o.hours += x.hours * part
	o.km += x.km * part
	o.sugar += x.sugar * part
	o.loads += x.loads * part
	o.short += x.short * part
	o.lack += x.lack * part
	o.nothing += x.nothing * part
	o.waste += x.waste * part
}
