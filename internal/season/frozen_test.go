package season_test

import (
	"reflect"
	"testing"
	"time"

	"larder/internal/season"
	"larder/internal/units"
)

// TestFrozenIsItsOwn: the frozen state shares nothing that the Journal changes: every map of the state is
// another, with the same in it.
func TestFrozenIsItsOwn(t *testing.T) {
	j := season.NewJournal()
	if _, err := j.Add(herd(40)...); err != nil {
		t.Fatal(err)
	}
	live := j.Now()
	frozen := j.Frozen()
	l, f := reflect.ValueOf(live).Elem(), reflect.ValueOf(frozen).Elem()
	for i := range l.NumField() {
		if l.Field(i).Kind() == reflect.Map && l.Field(i).Pointer() == f.Field(i).Pointer() {
			t.Errorf("the frozen state has the journal's own %s", l.Type().Field(i).Name)
		}
	}
	at := units.OnDay(units.DayOf(2026, time.September, 8))
	want, err := live.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	got, err := frozen.Plan(at, 1)
	if err != nil || !reflect.DeepEqual(got.Plan, want.Plan) {
		t.Errorf("the frozen state plans otherwise (%v)", err)
	}
}
