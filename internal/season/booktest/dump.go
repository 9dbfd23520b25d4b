package booktest

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"

	"larder/internal/season"
)

// Dump writes a state out in full, one line a thing, so that two states are the
// same exactly when their dumps are. Roads can only be asked for by name, so
// the places to ask for are those of the yards, home, and places.
func Dump(st *season.State, places ...string) string {
	var b strings.Builder
	line := func(what string, v any) {
		j, err := json.Marshal(v)
		if err != nil {
			panic("booktest: " + err.Error())
		}
		fmt.Fprintf(&b, "%s %s\n", what, j)
	}
	fmt.Fprintf(&b, "as of %q\n", st.AsOf.String())
	line("settings", st.Settings)
	places = append([]string{""}, places...)
	for _, y := range st.Yards() {
		line("yard", y)
		places = append(places, y.ID)
	}
	for _, c := range st.Colonies() {
		line("colony", c.Colony)
		fmt.Fprintf(&b, "  told %v\n", c.Told)
		for _, f := range c.Events {
			line("  event", f)
		}
	}
	for _, s := range st.Stations() {
		for _, d := range st.Weather(s) {
			line("weather", d)
		}
	}
	for _, from := range places {
		for _, to := range places {
			if r, ok := st.Road(from, to); ok {
				line("road "+from+" to "+to, r)
			}
		}
	}
	for _, x := range st.Batches() {
		line("batch", x)
	}
	for _, x := range st.Purchases() {
		line("purchase", x)
	}
	for _, x := range st.Plans() {
		line("plan", x)
	}
	return b.String()
}

// Hash is a short form of [Dump], for files that tests keep.
func Hash(st *season.State, places ...string) string {
	h := sha256.Sum256([]byte(Dump(st, places...)))
	return hex.EncodeToString(h[:])
}
