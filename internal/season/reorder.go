package season

import "larder/internal/apiary"

// Reorder gives the facts that put a hive one place up (or down) in the walking
// order of its yard. Places are counted anew from 1, so that hives without a
// place get one. nil when there is nothing to move.
func (st *State) Reorder(yard, hive string, up bool) []any {
	list := st.HivesAt(yard)
	at := -1
	for i, c := range list {
		if c.ID == hive {
			at = i
		}
	}
	to := at + 1
	if up {
		to = at - 1
	}
	if at < 0 || to < 0 || to >= len(list) {
		return nil
	}
	list[at], list[to] = list[to], list[at]
	var out []any
	for i, c := range list {
		if c.Stand != i+1 {
			out = append(out, apiary.Moved{Colony: c.ID, Yard: yard, Stand: i + 1})
		}
	}
	return out
}
