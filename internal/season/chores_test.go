package season_test

import (
	"slices"
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/units"
)

func choreJobs(t *testing.T, s *small, d int, code season.JobCode) map[string][]string {
	t.Helper()
	now := units.OnDay(day(d))
	st := s.journal(t).AsOf(now)
	p, err := st.Plan(now, 1)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for _, j := range st.Jobs(now, &p) {
		if j.Code == code {
			out[j.Yards[0]] = j.Chores
		}
	}
	return out
}

// Opening is asked for before a yard's first round, until it is logged; closing
// after its last.
func TestYardsAreOpenedAndClosed(t *testing.T) {
	s := newSmall(t)
	open := choreJobs(t, s, 4, season.JobOpen)
	if !slices.Equal(open["mill"], season.OpeningChores()) || len(open) != 2 {
		t.Fatalf("to open: %v", open)
	}
	s.add(4, apiary.Chore{Yard: "mill", What: "narrow"})
	s.add(4, apiary.Chore{Yard: "mill", What: "tight"})
	if open := choreJobs(t, s, 4, season.JobOpen); !slices.Equal(open["mill"], []string{"level", "leak"}) {
		t.Errorf("left to open: %v", open)
	}
	leak := s.add(4, apiary.Chore{Yard: "mill", What: "leak"})
	s.add(4, apiary.Chore{Yard: "mill", What: "level"})
	if open := choreJobs(t, s, 4, season.JobOpen); open["mill"] != nil || len(open) != 1 {
		t.Errorf("mill is open: %v", open)
	}
	s.add(4, season.Strike{Fact: leak})
	if open := choreJobs(t, s, 4, season.JobOpen); !slices.Equal(open["mill"], []string{"leak"}) {
		t.Errorf("undone: %v", open)
	}
	if c := choreJobs(t, s, 4, season.JobClose); len(c) != 0 {
		t.Errorf("to close before anything was given: %v", c)
	}
	// All of mill gets plenty: it is begun, then closed; hill is still to be opened.
	for _, c := range []string{"m1", "m2", "m3"} {
		s.add(5, syrupTo(c, 8))
		s.add(9, syrupTo(c, 8))
		s.add(14, syrupTo(c, 8))
	}
	if open := choreJobs(t, s, 16, season.JobOpen); open["mill"] != nil {
		t.Errorf("mill is fed and to be opened: %v", open)
	}
	if c := choreJobs(t, s, 16, season.JobClose); len(c) != 0 {
		t.Errorf("two days after the last fill: %v", c)
	}
	if c := choreJobs(t, s, 20, season.JobClose); !slices.Equal(c["mill"], season.ClosingChores()) {
		t.Errorf("to close: %v", c)
	}
	s.add(20, apiary.Chore{Yard: "mill", What: "feeders-off"})
	s.add(20, apiary.Chore{Yard: "mill", What: "leftover"})
	if c := choreJobs(t, s, 20, season.JobClose); !slices.Equal(c["mill"], []string{"guard"}) {
		t.Errorf("left to close: %v", c)
	}
}

func TestChoreIsChecked(t *testing.T) {
	for _, c := range []apiary.Chore{{What: "narrow"}, {Yard: "mill"}, {Yard: "mill", What: "sing"}} {
		f := season.Fact{ID: season.ID{1}, Seen: at, Body: c}
		if f.Check() == nil {
			t.Errorf("%+v was taken", c)
		}
	}
}
