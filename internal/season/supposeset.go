package season

import "maps"

// SupposeSettings gives the state as it would stand with other settings, for
// showing what a change would do before it is kept: an own figure, a larger
// tank. An empty value takes a setting back. st itself is not changed; the two
// share the facts. Errors: those of a setting that cannot be kept.
func (st *State) SupposeSettings(settings ...Setting) (*State, error) {
	out := *st
	out.memo = newMemo()
	out.values = maps.Clone(st.values)
	for _, s := range settings {
		if err := checkSetting(s); err != nil {
			return nil, err
		}
		if s.Value == "" {
			delete(out.values, s.Key)
		} else {
			out.values[s.Key] = s.Value
		}
		if s.Key == onHand {
			out.hand = toldHand{told: s.Value != "", supposed: s.Value != ""}
		}
	}
	out.Settings = settingsFrom(out.values)
	return &out, nil
}

// Value gives a setting in force as it was typed, "" when it was not told.
func (st *State) Value(key string) string { return st.values[key] }
