package season

import "strings"

// SettingGroup is the settings of one part of the House page.
type SettingGroup struct {
	Name string // "house", "home", "feed", "rig", …: the first part of the keys
	Keys []SettingKey
}

// SettingGroups lists [SettingKeys] by the first part of their keys, in the order
// of the manual.
func SettingGroups() []SettingGroup {
	var out []SettingGroup
	for _, k := range SettingKeys() {
		name, _, _ := strings.Cut(k.Key, ".")
		if n := len(out); n == 0 || out[n-1].Name != name {
			out = append(out, SettingGroup{Name: name})
		}
		g := &out[len(out)-1]
		g.Keys = append(g.Keys, k)
	}
	return out
}
