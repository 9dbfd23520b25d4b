package season

import (
	"slices"

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
