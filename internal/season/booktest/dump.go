package booktest

import (
	"encoding/json"
	"fmt"
	"strings"

	"larder/internal/apiary"
	"larder/internal/season"
)

// Dump writes a state out in full, one line a thing, so that two states are the
// same exactly when their dumps are.
func Dump(st *season.State) string {
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
	for _, y := range append(st.Yards(), toldOfOnly...) {
		line("yard", y)
		for _, c := range append(season.OpeningChores(), season.ClosingChores()...) {
			if when, ok := st.ChoreDone(y.ID, c); ok {
				fmt.Fprintf(&b, "  %s %s\n", c, when)
			}
		}
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
	for _, s := range st.StationPlaces() {
		line("station", s)
	}
	for _, r := range st.Roads() {
		line("road", r)
	}
	for _, x := range st.Trucks() {
		line("truck", x)
	}
	for _, x := range st.WorkingDays() {
		line("workday", x)
	}
	for _, x := range st.FeedableDays() {
		line("feedable", x)
	}
	for _, x := range st.SourcesTold() {
		line("source", x)
	}
	for _, x := range st.Batches() {
		line("batch", x)
	}
	for _, x := range st.Purchases() {
		line("purchase", x)
	}
	for _, x := range st.ShedFacts() {
		line("shed", x)
	}
	for _, x := range st.Labels() {
		line("label", x)
		w, ok := st.Spoon(x.Product)
		fmt.Fprintf(&b, "  spoon %v %v\n", ok, w)
	}
	for _, x := range st.Plans() {
		line("plan", x)
	}
	return b.String()
}

// toldOfOnly are the yards of [AnySet]: a chore can be told of a yard that is
// told of in no other way, and such a yard is not listed.
var toldOfOnly = []apiary.Yard{{ID: "north"}, {ID: "south"}, {ID: "east"}}
