package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"larder/internal/season"
	"larder/internal/units"
)

// nextRows is the most jobs the page shows at once.
const nextRows = 7

type nextPage struct {
	Base
	Jobs   []nextJob
	More   int // jobs that are not shown
	Hives  int
	Names  map[string]string // of yards
	NoPlan *Trouble          // why there is none
	Old    units.Day         // of the latest weather, when it is old; 0 = not
}

// nextJob is one line.
type nextJob struct {
	season.Job
	Do string // where it is done
}

// next answers: what must be done next, and what gets too late first?
func (s *Server) next(w http.ResponseWriter, r *http.Request) {
	p := nextPage{Base: s.base(r, "next", "title.next")}
	s.house.view(func(st *season.State, at units.Moment) {
		p.Hives = len(st.Colonies())
		p.Names = yardNames(st)
		p.Old = st.OldWeather(at)
	})
	if p.Hives == 0 && p.May("GET /start") {
		http.Redirect(w, r, "/start", http.StatusSeeOther)
		return
	}
	plan, err := s.planFor(nil, nil)
	if err != nil {
		plan = nil
		t := s.troubleOf(&p.Base, err, "")
		p.NoPlan = &t
	}
	jobs := remember(s.house, fmt.Sprintf("jobs %p", plan), func(st *season.State, at units.Moment) []season.Job { return st.Jobs(at, plan) })
	if s.watchOn() {
		if w, err := wait[*season.WatchList](s.watchTask()); err == nil { // else it was stopped: the other jobs stand
			jobs = remember(s.house, fmt.Sprintf("winter jobs %p %p", plan, w), func(st *season.State, at units.Moment) []season.Job { return st.AddWinter(jobs, at, w) })
		}
	}
	if p.Lent() {
		jobs = slices.DeleteFunc(slices.Clone(jobs), func(j season.Job) bool { return ownersJobs[j.Code] })
	}
	rows := nextRows
	if r.URL.Query().Get("all") != "" {
		rows = len(jobs)
	}
	for i, j := range jobs {
		if i >= rows {
			p.More = len(jobs) - i
			break
		}
		p.Jobs = append(p.Jobs, nextJob{j, p.doneAt(j)})
	}
	s.show(w, http.StatusOK, "next", &p)
}

// needsNext starts the plan, and the winter watch where it is on.
func (s *Server) needsNext(r *http.Request) []*task {
	out := s.needsPlan(r)
	if s.watchOn() {
		out = append(out, s.watchTask())
	}
	return out
}

// watchOn tells whether it is winter in some yard.
func (s *Server) watchOn() bool {
	return remember(s.house, "watch on", func(st *season.State, at units.Moment) bool { return st.WatchOn(at) })
}

// ownersJobs are those a helper could not do.
var ownersJobs = map[season.JobCode]bool{season.JobTank: true, season.JobPrices: true, season.JobPlace: true, season.JobWinter: true,
	season.JobBoxes: true, season.JobRoom: true, season.JobStopDay: true, season.JobUnite: true}

// doneAt gives the page a job is done on.
func (p *nextPage) doneAt(j season.Job) string {
	yard := ""
	if len(j.Yards) > 0 {
		yard = j.Yards[0]
	}
	one := ""
	if len(j.Yards) == 1 {
		one = "?yard=" + url.QueryEscape(yard)
	}
	switch j.Code {
	case season.JobReadings, season.JobReweigh:
		return "/readings" + one
	case season.JobLow, season.JobLater, season.JobHeft:
		if one != "" {
			return "/winter" + one
		}
		return "/winter"
	case season.JobMix:
		return "/mix"
	case season.JobRound:
		return "/load/" + strconv.Itoa(j.Load)
	case season.JobLeft:
		return "/given" + one
	case season.JobOpen, season.JobClose:
		return "/chores/" + url.PathEscape(yard)
	case season.JobTank:
		return "/house#rig.tank"
	case season.JobPrices:
		return "/house#price.sugar_per_kg"
	case season.JobPlace:
		return "/yards"
	case season.JobWinter, season.JobStopDay:
		return p.YardPath(yard) + "?fold=edit#edit"
	case season.JobAnswers:
		return p.YardPath(yard) + "?fold=look#looks"
	case season.JobRoom:
		if len(j.Colonies) > 1 {
			return "/short?show=" + string(season.ShowNoRoom)
		}
		return p.HivePath(j.Colonies[0]) + "?fold=edit#edit"
	case season.JobBoxes:
		return p.HivePath(j.Colonies[0]) + "?fold=edit#edit"
	case season.JobUnite:
		return p.HivePath(j.Colonies[0]) + "?fold=unite#unite"
	}
	return p.HivePath(j.Colonies[0]) + "?fold=look#look" // disease, supers
}

// Where gives the names of a job's yards.
func (p *nextPage) Where(j nextJob) []string {
	out := make([]string, len(j.Yards))
	for i, y := range j.Yards {
		out[i] = p.Names[y]
		if out[i] == "" {
			out[i] = y
		}
	}
	return out
}

// Which names the colonies of a job, the first few where they are many.
func (p *nextPage) Which(j nextJob) string {
	const most = 4
	out := strings.Join(j.Colonies[:min(len(j.Colonies), most)], ", ")
	if more := len(j.Colonies) - most; more > 0 {
		out = p.T("job.which.more", "Hives", out, "N", more)
	}
	return out
}

// FeedWord names what is fed in need, "" where nothing is.
func (p *nextPage) FeedWord(j nextJob) string {
	if j.Form == "" {
		return ""
	}
	return p.T("need.word." + j.Form.Key())
}

// FeedNow says how much is fed in need at this visit, "" where it is not known.
func (p *nextPage) FeedNow(j nextJob) string {
	if j.Feed <= 0 {
		return ""
	}
	return p.S.Mass(j.Feed)
}

// When gives a day, "" for none.
func (p *nextPage) When(d units.Day) string {
	if d == 0 {
		return ""
	}
	return p.S.Day(d)
}

// Big and Small are the keys of a job's words: what, and why.
func (j nextJob) Big() string { return "job." + string(j.Code) }

// Small is the key of the reason.
func (j nextJob) Small() string { return "job.why." + string(j.Code) }
