package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"larder/internal/feeding"
	"larder/internal/season"
)

// row is one season solved twice.
type row struct {
	name              string
	hives             int
	fed               bool    // everybody can be fed
	ours, best, bound float64 // the tier compared: minutes, or weighted litres short
	closed            bool
	gap               float64        // against the best, or the bound where not closed
	made, solved      string         // loads, stops, lids, batches and km of the two plans
	least             feeding.Bounds // what ours says no plan can beat
	took              time.Duration
	planned           time.Duration
	faults            []string // never any
}

// compare plans a season and has it solved exactly. Where the solver proves
// that everybody can be fed, what is compared is the crew's time, loads and
// mixing; else the litres short, weighted by risk. Each plan, ours and the
// solver's, goes through the verifier.
func compare(name string, p feeding.Problem, limit time.Duration) (row, error) {
	r := row{name: name, hives: len(p.Hives)}
	begun := time.Now()
	pl, err := feeding.Make(p)
	if err != nil {
		return r, fmt.Errorf("%s: %w", name, err)
	}
	r.planned = time.Since(begun)
	for _, f := range season.Verify(&p, &pl) {
		r.faults = append(r.faults, "ours: "+f.String())
	}
	m := newModel(&p)
	m.crumb = p.Figures.V("feeding.step_l")
	x, err := m.solve(aim{everybody: true}, limit)
	if err != nil {
		return r, fmt.Errorf("%s: %w", name, err)
	}
	r.fed, r.took = !x.infeasible, x.took
	minutes := (pl.Totals.Time + pl.Totals.Mixing).Min()
	if r.fed {
		r.ours, r.best, r.bound, r.closed = minutes, x.best/60, x.bound/60, x.closed
		if short := m.short(&pl, m.crumb); short > 0 {
			// Everybody can be fed and ours leaves some short: that is the gap. Where
			// the solver has not found out, nobody short is still what is aimed at.
			r.fed, r.ours, r.best, r.bound, r.closed = false, short, 0, 0, x.found
		}
	} else {
		if x, err = m.solve(aim{shortage: true}, limit); err != nil {
			return r, fmt.Errorf("%s: %w", name, err)
		}
		r.took += x.took
		r.ours, r.best, r.bound, r.closed = m.short(&pl, 0), x.best, x.bound, x.closed
	}
	r.made = parts(&pl)
	r.least = pl.Bounds
	if x.found {
		theirs := m.plan(x)
		r.solved = parts(&theirs)
		for _, f := range season.Verify(&p, &theirs) {
			r.faults = append(r.faults, "the solver's: "+f.String())
		}
		if len(theirs.Unmet) == 0 {
			r.faults = append(r.faults, m.disprove(&pl, &theirs)...)
		}
		if r.closed && r.ours < r.best-slip(r.fed, r.best) {
			r.faults = append(r.faults, fmt.Sprintf("ours, %.3f, is below what the solver says is least, %.3f", r.ours, r.best))
		}
	}
	r.gap = gap(r.ours, r.floor(), r.fed)
	return r, nil
}

// parts says what a plan consists of.
func parts(pl *feeding.Plan) string {
	t := &pl.Totals
	return fmt.Sprintf("%d, %d, %d, %d, %.0f", t.Loads, t.Visits, t.Fills, len(pl.Batches), t.Dist.Km())
}

// slip is what rounding may make of equal plans: our planner counts whole
// milliseconds, and leaves two teaspoons a hive unserved without a word.
func slip(fed bool, best float64) float64 {
	if fed {
		return 0.3
	}
	return 0.15 + 0.001*best
}

// floor is what ours is held against: the best, or, where that is not proven,
// the bound.
func (r *row) floor() float64 {
	if r.closed {
		return r.best
	}
	return max(0, r.bound)
}

// gap is how far ours lies above least, as a part of it. A shortage below a
// litre is held against a litre: against nothing it would be without end.
func gap(ours, least float64, fed bool) float64 {
	if !fed {
		least, ours = max(least, 1), ours-least+max(least, 1)
	}
	if !(least > 0) || math.IsInf(least, 0) {
		return math.NaN()
	}
	return max(0, ours/least-1)
}

// short is the weighted litres a plan leaves short, of those short by more than
// crumb.
func (m *model) short(pl *feeding.Plan, crumb float64) (v float64) {
	got := map[string]float64{}
	for i := range pl.Colonies {
		got[pl.Colonies[i].Colony] = pl.Colonies[i].Given.L()
	}
	for h := range m.hives {
		if lack := m.hives[h].want - got[m.hives[h].Colony]; lack > max(0.0101, crumb+0.001) {
			v += weight(m.hives[h].Hive) * lack
		}
	}
	return v
}

// disprove holds our bounds against the solver's plan: a bound that it beats
// was no bound.
func (m *model) disprove(ours, theirs *feeding.Plan) (faults []string) {
	if len(ours.Unmet) > 0 {
		return nil // they hold for plans that give as much as ours does
	}
	b, t := &ours.Bounds, &theirs.Totals
	if b.Loads > t.Loads || b.Visits > t.Visits || float64(b.Dist) > float64(t.Dist)+20 || float64(b.Time) > float64(t.Time+t.Mixing)+5 {
		faults = append(faults, fmt.Sprintf("our bounds (%d loads, %d stops, %.1f km, %.0f min) are beaten: %d loads, %d stops, %.1f km, %.0f min",
			b.Loads, b.Visits, b.Dist.Km(), b.Time.Min(), t.Loads, t.Visits, t.Dist.Km(), (t.Time+t.Mixing).Min()))
	}
	return faults
}

// table writes rows for people.
func table(rows []row) string {
	var b strings.Builder
	b.WriteString("| season | hives | compared | ours | best or bound | gap | closed | loads, stops, lids, batches, km | the solver's | solver | planner |\n|---|---|---|---|---|---|---|---|---|---|---|\n")
	for i := range rows {
		r := &rows[i]
		what := "crew minutes"
		if !r.fed {
			what = "weighted litres short"
		}
		closed := "yes"
		if !r.closed {
			closed = "**no**, bound"
		}
		fmt.Fprintf(&b, "| %s | %d | %s | %.2f | %.2f | %.2f %% | %s | %s | %s | %.1f s | %.2f s |\n",
			r.name, r.hives, what, r.ours, r.floor(), 100*r.gap, closed, r.made, r.solved, r.took.Seconds(), r.planned.Seconds())
	}
	return b.String()
}

// summary is mean and worst gap, and how many cases are open or broken.
func summary(rows []row) (mean, worst float64, open, broken int) {
	for i := range rows {
		mean += rows[i].gap / float64(len(rows))
		worst = max(worst, rows[i].gap)
		if !rows[i].closed {
			open++
		}
		if len(rows[i].faults) > 0 {
			broken++
		}
	}
	return mean, worst, open, broken
}
