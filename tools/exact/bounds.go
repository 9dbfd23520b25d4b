package main

import (
	"fmt"
	"strings"
	"time"

	"larder/internal/feeding"
)

// least is a season in which everybody is fed, with the bounds our plan prints,
// each held against the least there really is: loads, stops, kilometres and
// minutes of the crew, each alone.
type least struct {
	name   string
	said   [4]float64
	is     [4]float64 // the least, or where not closed the solver's bound
	closed [4]bool
	faults []string
}

var whats = [4]struct {
	of   what
	name string
	unit float64 // of the programme in one of ours
	slip float64
}{{loads, "loads", 1, 1e-6}, {stops, "stops", 1, 1e-6}, {road, "km", 1000, 0.02}, {crewTime, "min", 60, 0.05}}

// bounds solves for the least of each thing; ok is false when our plan leaves
// somebody short, since its bounds then hold for plans that do so too.
func bounds(name string, p feeding.Problem, limit time.Duration) (l least, ok bool, err error) {
	pl, err := feeding.Make(p)
	if err != nil || len(pl.Unmet) > 0 || len(pl.Loads) == 0 {
		return l, false, err
	}
	b := &pl.Bounds
	l = least{name: name, said: [4]float64{float64(b.Loads), float64(b.Visits), b.Dist.Km(), b.Time.Min()}}
	m := newModel(&p)
	for i, w := range whats {
		x, err := m.solve(aim{everybody: true, of: w.of}, limit)
		if err != nil {
			return l, false, err
		}
		if x.infeasible {
			l.faults = append(l.faults, "the solver says nobody can feed everybody, and our plan does")
			continue
		}
		l.closed[i] = x.closed
		l.is[i] = x.bound / w.unit
		if x.found && l.said[i] > x.best/w.unit+w.slip {
			l.faults = append(l.faults, fmt.Sprintf("said to be no fewer than %.2f %s, and %.2f will do", l.said[i], w.name, x.best/w.unit))
		}
	}
	return l, true, nil
}

// boundsTable sets what is said beside what is.
func boundsTable(rows []least) string {
	var b strings.Builder
	b.WriteString("| season | loads | stops | km | crew minutes |\n|---|---|---|---|---|\n")
	for i := range rows {
		r := &rows[i]
		fmt.Fprintf(&b, "| %s |", r.name)
		for k := range whats {
			open := ""
			if !r.closed[k] {
				open = " (not closed)"
			}
			fmt.Fprintf(&b, " %.*f of %.*f%s |", k/2, r.said[k], k/2, r.is[k], open)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
