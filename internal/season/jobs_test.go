package season_test

import (
	"slices"
	"testing"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

func jobsOf(t *testing.T, s *small, at units.Moment) []season.Job {
	t.Helper()
	st := s.journal(t).AsOf(at)
	if p, err := st.Plan(at, 1); err == nil {
		return st.Jobs(at, &p)
	}
	return st.Jobs(at, nil)
}

func job(jobs []season.Job, code season.JobCode) *season.Job {
	for i := range jobs {
		if jobs[i].Code == code {
			return &jobs[i]
		}
	}
	return nil
}

func wantJob(t *testing.T, jobs []season.Job, code season.JobCode, colonies ...string) *season.Job {
	t.Helper()
	j := job(jobs, code)
	if j == nil {
		t.Fatalf("no job %q in %+v", code, jobs)
	}
	if colonies != nil && !slices.Equal(j.Colonies, colonies) {
		t.Errorf("%s is for %v, want %v", code, j.Colonies, colonies)
	}
	return j
}

func TestJobsOfTheSmallSeason(t *testing.T) {
	jobs := jobsOf(t, newSmall(t), at)
	// Nobody weighed h2: ten days (the figure) before the stop day of the 30th it
	// must be known.
	r := wantJob(t, jobs, season.JobReadings, "h2")
	if r.Last != day(20) || r.Late || r.Known != 0 || !slices.Equal(r.Yards, []string{"hill"}) {
		t.Errorf("readings: %+v", r)
	}
	// 10 min setting up, 3 min for the hive, and the road there and back: 13.9 km
	// as the crow flies, so more than 20 min of driving.
	if r.Work < 33*units.Minute || r.Work > 90*units.Minute {
		t.Errorf("one hive takes %v", r.Work)
	}
	round := wantJob(t, jobs, season.JobRound)
	if round.Last != day(30) || round.On <= at.Day() || round.Volume <= 0 || round.Work <= 0 {
		t.Errorf("round: %+v", round)
	}
	mix := wantJob(t, jobs, season.JobMix)
	if mix.On != mix.Last || mix.Volume <= 0 || mix.Work <= 0 {
		t.Errorf("mix: %+v", mix)
	}
	wantJob(t, jobs, season.JobPrices)
	for _, code := range []season.JobCode{season.JobTank, season.JobAnswers, season.JobLeft, season.JobReweigh, season.JobSupers, season.JobUnite, season.JobStopDay, season.JobWinter} {
		if j := job(jobs, code); j != nil {
			t.Errorf("there is no cause for %+v", j)
		}
	}
	// First what gets too late first; what has no last day comes last.
	last := units.Day(0)
	for i, j := range jobs {
		if j.Last != 0 && j.Last < last || j.Last != 0 && i > 0 && jobs[i-1].Last == 0 {
			t.Errorf("job %d (%s, last %s) stands after one of %s", i, j.Code, j.Last, last)
		}
		last = max(last, j.Last)
	}
}

func TestJobsOfAPlanAreTheNextOfIt(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	days := map[units.Day]int{}
	for _, l := range p.Loads {
		days[l.Day]++
	}
	mixing := map[units.Day]bool{}
	for _, b := range p.Batches {
		mixing[b.Day] = true
	}
	jobs := st.Jobs(at, &p)
	round, mix := wantJob(t, jobs, season.JobRound), wantJob(t, jobs, season.JobMix)
	if countJobs(jobs, season.JobRound) != 1 || round.On != p.Loads[0].Day || round.Loads != days[round.On] || round.Load != 1 || round.Follow != len(days)-1 {
		t.Errorf("the plan drives on %v: %+v", days, round)
	}
	if countJobs(jobs, season.JobMix) != 1 || mix.On != p.Batches[0].Day || mix.Follow != len(mixing)-1 {
		t.Errorf("the plan mixes on %v: %+v", mixing, mix)
	}
}

func TestJobsAskWhatIsNotTold(t *testing.T) {
	t.Run("tank", func(t *testing.T) {
		s := newSmall(t)
		s.add(1, season.Setting{Key: "rig.tank"})
		jobs := jobsOf(t, s, at)
		if j := wantJob(t, jobs, season.JobTank); j.Last != day(20) {
			t.Errorf("%+v", j)
		}
		if job(jobs, season.JobRound) != nil {
			t.Error("a round without a tank")
		}
	})
	t.Run("answers", func(t *testing.T) {
		// Nobody looked at m9. One that lacks stores is asked about, one of plenty
		// is not: it needs no syrup.
		for _, kg := range []units.Mass{38, 64} {
			s := newSmall(t)
			s.add(-10, apiary.Placed{Colony: apiary.Colony{ID: "m9", Yard: "mill", Stand: 9, Kind: apiary.Full, Stack: mustStack(t, "lang10-deep + lang10-medium"), Feeder: "tray-2"}})
			s.add(3, stores.Reading{Colony: "m9", Way: stores.Full, Gross: units.In(kg)})
			jobs := jobsOf(t, s, at)
			if kg == 38 {
				wantJob(t, jobs, season.JobAnswers, "m9")
			} else if j := job(jobs, season.JobAnswers); j != nil {
				t.Errorf("%+v", j)
			}
		}
	})
	t.Run("supers", func(t *testing.T) {
		s := newSmall(t)
		s.add(4, apiary.Look{Colony: "m1", Super: apiary.Yes})
		wantJob(t, jobsOf(t, s, at), season.JobSupers, "m1")
	})
	t.Run("unite", func(t *testing.T) {
		s := newSmall(t)
		s.add(4, apiary.Look{Colony: "m3", Bees: 2, BeesKnown: true, Queen: apiary.No})
		wantJob(t, jobsOf(t, s, at), season.JobUnite, "m3")
	})
	t.Run("disease", func(t *testing.T) {
		s := newSmall(t)
		s.add(4, apiary.Look{Colony: "m3", Disease: apiary.Yes})
		wantJob(t, jobsOf(t, s, at), season.JobSick, "m3")
	})
	t.Run("place", func(t *testing.T) {
		s := newSmall(t)
		s.add(4, stores.Reading{Colony: "x1", Way: stores.Full, Gross: units.In(units.Mass(38))})
		wantJob(t, jobsOf(t, s, at), season.JobPlace, "x1")
	})
	t.Run("winter and stop day", func(t *testing.T) {
		s := newSmall(t)
		s.add(1, apiary.Yard{ID: "hill", Station: "nowhere"})
		jobs := jobsOf(t, s, at)
		wantJob(t, jobs, season.JobWinter, "h1", "h2")
		s.add(2, apiary.Yard{ID: "hill", Station: "nowhere", Climate: apiary.Cold})
		wantJob(t, jobsOf(t, s, at), season.JobStopDay, "h1")
	})
}

func TestJobsAfterFeeding(t *testing.T) {
	s := newSmall(t)
	s.add(2, ledger.Given{Colony: "m3", Feed: ledger.Syrup, Volume: units.In(units.Volume(6))})
	for _, c := range []struct {
		on            int
		left, reweigh bool
	}{{4, false, false}, {7, true, false}, {12, true, true}, {20, true, true}} {
		jobs := jobsOf(t, s, units.OnDay(day(c.on)))
		if got := job(jobs, season.JobLeft) != nil; got != c.left {
			t.Errorf("day %d: left %v, want %v", c.on, got, c.left)
		}
		j := job(jobs, season.JobReweigh)
		if (j != nil) != c.reweigh {
			t.Errorf("day %d: reweigh %v, want %v", c.on, j, c.reweigh)
		}
		if j != nil && (j.Last != day(16) || j.Late != (c.on > 16)) {
			t.Errorf("day %d: %+v", c.on, j)
		}
	}
	// Looked into and weighed again: nothing is left to do for it.
	s.add(13, ledger.Left{Colony: "m3", Volume: units.Entered[units.Volume]{As: "0 L"}})
	s.add(13, stores.Reading{Colony: "m3", Way: stores.Full, Gross: units.In(units.Mass(60))})
	jobs := jobsOf(t, s, units.OnDay(day(14)))
	if job(jobs, season.JobLeft) != nil || job(jobs, season.JobReweigh) != nil {
		t.Errorf("%+v", jobs)
	}
}

func TestJobsByTheTimeOfYear(t *testing.T) {
	s := newSmall(t)
	// Old readings are asked for again before the stop day, not in spring and not
	// after it.
	three := jobsOf(t, s, units.OnDay(day(26)))
	if j := wantJob(t, three, season.JobReadings); countJobs(three, season.JobReadings) != 1 || !slices.Equal(j.Yards, []string{"hill", "mill"}) || len(j.Colonies) != 5 {
		t.Errorf("three weeks on both yards are read anew, by the same day: %+v", j)
	}
	old := 0
	for _, j := range three {
		old += j.Known
	}
	if old != 4 {
		t.Errorf("%d old readings, want 4", old)
	}
	if n := countJobs(jobsOf(t, s, units.OnDay(day(45))), season.JobReadings); n != 1 {
		t.Errorf("%d jobs of readings after the stop day, want that of h2 alone", n)
	}
	// Ten days before the stop day is past: late, but still worth doing.
	if j := wantJob(t, jobsOf(t, s, units.OnDay(day(22))), season.JobReadings); !j.Late {
		t.Errorf("%+v", j)
	}
	far := newSmall(t)
	for _, y := range []string{"mill", "hill"} {
		far.add(1, apiary.Yard{ID: y, Climate: apiary.Temperate, Station: "s", Stop: day(150)})
	}
	if n := countJobs(jobsOf(t, far, at), season.JobReadings); n != 0 {
		t.Error("readings are asked for half a year before the stop day")
	}
}

func countJobs(jobs []season.Job, code season.JobCode) int {
	n := 0
	for _, j := range jobs {
		if j.Code == code {
			n++
		}
	}
	return n
}

func TestNoJobsWithoutHives(t *testing.T) {
	if jobs := season.NewJournal().AsOf(at).Jobs(at, nil); len(jobs) != 0 {
		t.Errorf("%+v", jobs)
	}
}

func mustStack(t *testing.T, text string) hive.Stack {
	t.Helper()
	s, err := hive.ParseStack(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
