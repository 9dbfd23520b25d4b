package folder

import (
	"fmt"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/weather"
)

// maxNames is how many names are told of one by one.
const maxNames = 20

// strangers tells of names that only one table knows: most are slips of the
// pen. None of them keeps a fact out: a book may well hold a reading of a
// colony that nobody has told of yet.
func (l *loader) strangers() {
	colonies, yards, placed := map[string]bool{}, map[string]bool{}, false
	for i := range l.got {
		switch b := l.got[i].fact.Body.(type) {
		case apiary.Placed:
			colonies[b.Colony.ID], placed = true, true
		case apiary.Split:
			colonies[b.New.ID] = true
		case apiary.Yard:
			yards[b.ID] = true
		}
	}
	if !placed {
		colonies = nil // splits alone do not say who there is
	}
	c := asker{l: l, known: colonies, what: "colony", where: "colonies.csv"}
	y := asker{l: l, known: yards, what: "yard", where: "yards.csv"}
	for i := range l.got {
		p := &l.got[i]
		for _, s := range p.fact.About() {
			if s.Sort == "colony" {
				c.ask(s.Name, p)
			}
		}
		switch b := p.fact.Body.(type) {
		case apiary.Placed:
			y.ask(b.Colony.Yard, p)
		case apiary.Split:
			y.ask(b.New.Yard, p)
		case apiary.Moved:
			y.ask(b.Yard, p)
		case season.Road:
			y.ask(b.From, p)
			y.ask(b.To, p)
		}
	}
	c.rest()
	y.rest()
}

// asker tells of names that are not known, each once.
type asker struct {
	l           *loader
	known       map[string]bool
	what, where string
	seen        map[string]bool
}

func (a *asker) ask(name string, p *placedFact) {
	if len(a.known) == 0 || name == "" || a.known[name] || a.seen[name] {
		return
	}
	if a.seen == nil {
		a.seen = map[string]bool{}
	}
	a.seen[name] = true
	if len(a.seen) <= maxNames {
		a.l.warn(p.at(), fmt.Sprintf("%s %q is not in %s", a.what, name, a.where), "is the name written the same in both?")
	}
}

func (a *asker) rest() {
	if n := len(a.seen) - maxNames; n > 0 {
		a.l.warn(a.where, fmt.Sprintf("%d more names of this kind are not in it", n), "")
	}
}

// twoWeathers tells of days for which a station has two rows that differ, with
// nothing to say which is right.
func (l *loader) twoWeathers() {
	type key struct {
		day  weather.Day // station, day and forecast only
		seen string
	}
	first := map[key]weather.Day{}
	told := map[string]bool{}
	for i := range l.got {
		f := &l.got[i].fact
		d, ok := f.Body.(weather.Day)
		if !ok || !f.Replaces.IsZero() || !f.Made.IsZero() {
			continue
		}
		k := key{weather.Day{Station: d.Station, Day: d.Day, Forecast: d.Forecast}, f.Seen.String()}
		old, there := first[k]
		if !there {
			first[k] = d
		} else if old != d && !told[d.Station] {
			told[d.Station] = true
			l.warn(l.got[i].at(), fmt.Sprintf("%s has %s twice, with different weather", d.Station, d.Day), "keep one row for each day")
		}
	}
}
