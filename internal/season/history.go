package season

import (
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/units"
)

// Entry is one fact of a history and whether it counts.
type Entry struct {
	Fact
	InForce bool // false: struck, or corrected by a later fact
}

// History gives all facts about a subject that are known as of asOf (zero =
// all), in order of truth, those that no longer count among them: nothing that
// was ever written down is hidden.
func (j *Journal) History(s Subject, asOf units.Moment) []Entry {
	l := j.about[s]
	if l == nil {
		return nil
	}
	out := make([]Entry, 0, len(l.facts))
	for _, i := range l.facts {
		if f := j.at(i); f.KnownAt(asOf) {
			out = append(out, Entry{Fact: *f, InForce: j.inForce(i, asOf)})
		}
	}
	return out
}

// SettingHistory is [Journal.History] of one setting, latest first.
func (j *Journal) SettingHistory(key string) []Entry {
	out := j.History(Subject{"setting", key}, units.Moment{})
	slices.Reverse(out)
	return out
}

// ColonyHistory is [Journal.History] of one colony, latest first.
func (j *Journal) ColonyHistory(id string) []Entry {
	out := j.History(colony(id), units.Moment{})
	slices.Reverse(out)
	return out
}

// Told gives what is in force of each subject of a sort ("truck", "workday",
// "feedable"), by name: the fact that counts.
func (j *Journal) Told(sort string) []Entry {
	var out []Entry
	for _, s := range j.subjects(sort) {
		if l := j.line(s, units.Moment{}); len(l) > 0 {
			out = append(out, Entry{Fact: *l[len(l)-1], InForce: true})
		}
	}
	return out
}

// subjects lists the subjects of a sort by name.
func (j *Journal) subjects(sort string) []Subject {
	var out []Subject
	for s := range j.about {
		if s.Sort == sort {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b Subject) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// TypedDays gives the days of a yard that count as they were typed, by day.
func (j *Journal) TypedDays(yard string) []Entry {
	return slices.DeleteFunc(j.Told("feedable"), func(e Entry) bool {
		f := e.Body.(Feedable)
		return f.Yard != yard || f.Round == apiary.Unknown && !f.FactorKnown
	})
}

// YardHistory gives all that was ever told of a yard itself and of days of it,
// latest first.
func (j *Journal) YardHistory(id string) []Entry {
	out := slices.DeleteFunc(j.History(Subject{"yard", id}, units.Moment{}), func(e Entry) bool { _, is := e.Body.(apiary.Yard); return !is })
	for _, s := range j.subjects("feedable") {
		if strings.HasPrefix(s.Name, id+"\x00") {
			out = append(out, j.History(s, units.Moment{})...)
		}
	}
	slices.SortStableFunc(out, func(a, b Entry) int {
		if c := b.Seen.Compare(a.Seen); c != 0 {
			return c
		}
		return b.ID.Compare(a.ID)
	})
	return out
}

// ToTakeBack lists the facts to be struck so that nothing counts any more of what
// a fact is about: with the last one alone, one before it would count again.
func (j *Journal) ToTakeBack(id ID) []ID {
	f, ok := j.Fact(id)
	if !ok {
		return nil
	}
	var out []ID
	for _, s := range f.About() {
		for _, g := range j.line(s, units.Moment{}) {
			out = append(out, g.ID)
		}
	}
	return out
}
