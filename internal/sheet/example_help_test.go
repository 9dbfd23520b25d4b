package sheet_test

import (
	"io/fs"
	"sync"
	"testing"
	"time"

	"larder/internal/cli/example"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

// invented is the example season as of its day, with its plan.
type invented struct {
	st   *season.State
	at   units.Moment
	plan season.Planned
}

// theSeason works the example out once for all tests.
var theSeason = sync.OnceValues(func() (invented, error) {
	var none invented
	dir, err := fs.Sub(example.Files, "season")
	if err != nil {
		return none, err
	}
	facts, err := folder.Read(dir)
	if err != nil {
		return none, err
	}
	days, err := example.Weather()
	if err != nil {
		return none, err
	}
	j := season.NewJournal()
	if _, err := j.Add(append(facts, days...)...); err != nil {
		return none, err
	}
	d, err := units.ParseDay(example.Day)
	if err != nil {
		return none, err
	}
	at := units.At(time.Date(d.Year(), d.Month(), d.DayOfMonth(), 8, 0, 0, 0, time.UTC))
	st := j.AsOf(at)
	plan, err := st.Plan(at, 1)
	return invented{st, at, plan}, err
})

func exampleSeason(t testing.TB) invented {
	t.Helper()
	x, err := theSeason()
	if err != nil {
		t.Fatal(err)
	}
	return x
}
