package season_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/units"
)

// What is told of wraps and wind moves the model's target the published way: wraps
// save food (St. Clair, Beach and Dolezal, 2022), wind costs it (Moeller, 1977);
// told of the hive or of its yard it is the same, told of a hive it is that hive's
// alone, and taken back nothing is left of it.
func TestShelterIsTold(t *testing.T) {
	d := units.DayOf(2026, time.September, 2)
	wants := func(more ...season.Fact) (map[string]units.Mass, *season.State, units.Moment) {
		j, at := herdAt(t, 4)
		j.Now().Short(at) // what is remembered of before must not stand
		for _, f := range more {
			if _, err := j.Add(f); err != nil {
				t.Fatal(err)
			}
		}
		m := map[string]units.Mass{}
		for _, x := range j.Now().Short(at) {
			m[x.Colony.ID] = x.Aim.Want
		}
		return m, j.Now(), at
	}
	plain, st, at := wants()
	var c apiary.Colony
	for _, x := range st.Short(at) {
		c = x.Colony.Colony
	}
	if len(plain) < 2 || plain[c.ID] == 0 {
		t.Fatalf("%v", plain)
	}
	for _, r := range st.DrivesOf(at, c.ID) {
		if strings.HasPrefix(r.Code, "shelter") {
			t.Errorf("plain wood: %+v", r)
		}
	}
	var yards []apiary.Yard
	yards = append(yards, st.Yards()...)
	told := func(windy, wrapped bool) (out []season.Fact) {
		for i, y := range yards {
			y.Windy, y.Wrapped = windy, wrapped
			out = append(out, extra(byte(40+i), d, y))
		}
		return out
	}
	own := c
	own.State, own.Wrapped = "", true
	hive := extra(80, d, apiary.Placed{Colony: own})
	only, st, at := wants(hive)
	for id, kg := range only {
		if wrapped := kg < plain[id]; wrapped != (id == c.ID) || kg > plain[id] {
			t.Errorf("%s wrapped: %s wants %v, before %v", c.ID, id, kg, plain[id])
		}
	}
	// The screen's words say the same two amounts.
	said := false
	for _, r := range st.DrivesOf(at, c.ID) {
		if r.Code == "shelter-target" {
			said = true
			if a := r.Amounts; math.Abs(float64(a[0].(units.Mass)-only[c.ID])) > 1e-6 || math.Abs(float64(a[1].(units.Mass)-plain[c.ID])) > 1e-6 {
				t.Errorf("said %v, is %v and was %v", a, only[c.ID], plain[c.ID])
			}
		}
	}
	if !said {
		t.Error("its effect is not told")
	}
	wrapped, _, _ := wants(told(false, true)...)
	windy, _, _ := wants(told(true, false)...)
	both, _, _ := wants(told(true, true)...)
	for id, kg := range plain {
		if !(wrapped[id] < kg && kg < windy[id] && wrapped[id] < both[id] && both[id] < windy[id]) {
			t.Errorf("%s: wrapped %v, plain %v, windy %v, both %v", id, wrapped[id], kg, windy[id], both[id])
		}
	}
	if wrapped[c.ID] != only[c.ID] {
		t.Errorf("by its yard %v, by itself %v", wrapped[c.ID], only[c.ID])
	}
	back, _, _ := wants(append(told(true, true), hive, extra(90, d, season.Strike{Fact: hive.ID}), extra(91, d, season.Strike{Fact: told(true, true)[0].ID}))...)
	if len(yards) == 1 {
		for id := range plain {
			if back[id] != plain[id] {
				t.Errorf("%s: taken back it wants %v, before %v", id, back[id], plain[id])
			}
		}
	}
	// Polystyrene wrapped counts as polystyrene.
	own.Stack.Poly, own.Wrapped = true, false
	foam, _, _ := wants(extra(80, d, apiary.Placed{Colony: own}))
	own.Wrapped = true
	foamWrapped, _, _ := wants(extra(80, d, apiary.Placed{Colony: own}))
	if !(foam[c.ID] < plain[c.ID]) || foam[c.ID] != foamWrapped[c.ID] {
		t.Errorf("plain %v, foam %v, foam wrapped %v", plain[c.ID], foam[c.ID], foamWrapped[c.ID])
	}
}
