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

// NextStand gives the place after the last in the walking order of a yard.
func (st *State) NextStand(yard string) int {
	n := 0
	for _, c := range st.HivesAt(yard) {
		n = max(n, c.Stand)
	}
	return n + 1
}

// Changes gives the bodies of facts that turn a colony into what is wanted: a
// feeder or boxes alone when nothing else changes, else the colony anew. Yard,
// stand and state are not changed by it.
func (c *Colony) Changes(want apiary.Colony) []any {
	want.Yard, want.Stand, want.State, want.Into, want.From = c.Yard, c.Stand, c.State, c.Into, c.From
	same := want.Kind == c.Kind && want.Target == c.Target && want.NeverEmpty == c.NeverEmpty && want.Wrapped == c.Wrapped && want.Note == c.Note
	stack := want.Stack.String() == c.Stack.String()
	feeder := want.Feeder == c.Feeder && want.FeederVolume == c.FeederVolume
	switch {
	case same && stack && feeder && c.Told:
		return nil
	case !same || !c.Told:
		placed := want
		placed.State, placed.Into = "", ""
		return []any{apiary.Placed{Colony: placed}}
	}
	var out []any
	if !stack {
		out = append(out, apiary.Restacked{Colony: c.ID, Stack: want.Stack})
	}
	if !feeder {
		out = append(out, apiary.FeederSet{Colony: c.ID, Feeder: want.Feeder, Volume: want.FeederVolume})
	}
	return out
}
