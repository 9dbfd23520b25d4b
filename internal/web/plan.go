package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync/atomic"

	"larder/internal/feeding"
	"larder/internal/route"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// whatIfs are the settings that can be tried out beside the plan.
var whatIfs = []string{"rig.tank", "feed.strength", "crew.people", "plan.start"}

type planPage struct {
	Base
	Plan    *season.Planned  // by the settings in force
	Past    *season.Replayed // the plan played through past years; nil when there is none
	Try     *season.Planned  // with what is tried out, nil = nothing
	Diff    season.Difference
	Changes map[string]string // what is tried out, as typed
	Now     map[string]string // the values in force
	Skip    []string
	Names   map[string]string // of yards
	Out     []season.PlanOut
	Days    []planDay
	More    []feeding.Change // what one thing more would bring, where it is asked for
	Idle    []feeding.Change // of which more would leave the plan as it is
	Asked   bool             // for More
	Map     season.PlanMap
	Drawn   *sheet.Drawing // the map of all yards, nil = there is none to draw
}

// WhatIfs lists the settings that can be tried out.
func (planPage) WhatIfs() []string { return whatIfs }

// Tried gives what was typed to be tried, "" for the value in force.
func (p *planPage) Tried(key string) string { return p.Changes[key] }

// plan shows days, batches, loads, rounds, distance, cost and bound, with every
// reason.
func (s *Server) plan(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	p := planPage{Base: s.base(r, "plan", "title.plan"), Changes: s.tried(r), Now: map[string]string{}, Skip: q["skip"]}
	var home route.Place
	s.house.view(func(st *season.State, _ units.Moment) {
		p.Names = yardNames(st)
		p.Out = st.Plans()
		home = st.Places().Home
		for _, k := range whatIfs {
			p.Now[k] = st.Value(k)
		}
	})
	code := http.StatusOK
	skip := leftOut(p.Skip)
	var err error
	if p.Plan, err = s.planFor(skip, nil); err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, ""))
		code = http.StatusOK // the page itself says what is missing and where to tell it
	} else if p.Past, err = s.replayFor(skip); err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, ""))
	}
	if p.Plan != nil && len(p.Changes) > 0 {
		if p.Try, err = s.planFor(skip, p.Changes); err != nil {
			p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, ""))
			code = http.StatusUnprocessableEntity
		} else {
			p.Diff = p.Plan.Against(p.Try)
		}
	}
	if p.Asked = p.Plan != nil && asksMore(r); p.Asked {
		var all []feeding.Change
		if all, err = wait[[]feeding.Change](s.moreTask(skip)); err != nil {
			p.Trouble, p.Asked = append(p.Trouble, s.troubleOf(&p.Base, err, "")), false
		}
		p.More, p.Idle = season.Parted(all)
	}
	if p.Plan != nil {
		p.daysOf(p.Plan, home)
	}
	s.show(w, code, "plan", &p)
}

// tried gives the settings a request asks to try out, where they differ from
// those in force.
func (s *Server) tried(r *http.Request) map[string]string {
	q, out := r.URL.Query(), map[string]string{}
	var st units.Style
	now := map[string]string{}
	s.house.view(func(state *season.State, _ units.Moment) {
		st = state.Settings.Style()
		for _, k := range whatIfs {
			now[k] = state.Value(k)
		}
	})
	for _, k := range whatIfs {
		if v := strings.TrimSpace(q.Get(k)); v != "" && v != now[k] {
			out[k] = canonical(st, k, v)
		}
	}
	if q.Get(allFrames) == "all" {
		out[allFrames] = "all"
	}
	return out
}

// canonical writes a tried value as settings are written: amounts with their
// unit in the keeper's units. What cannot be read is passed on and refused with
// a sentence.
func canonical(st units.Style, key, v string) string {
	l := st.Locale()
	switch key {
	case "rig.tank":
		if e, err := units.EnterVolumeIn(v, st.VolumeCol().Unit, l); err == nil {
			return e.String()
		}
	}
	return v
}

// ComparePath leads to this plan beside another, without the hives left out here.
func (p *planPage) ComparePath() string {
	if len(p.Skip) == 0 {
		return "/plan/compare"
	}
	return "/plan/compare?" + url.Values{"skip": p.Skip}.Encode()
}

// planFor plans with what is asked: colonies to skip, settings tried out. It is
// worked out once for each state of the facts.
func (s *Server) planFor(skip map[string]bool, changes map[string]string) (*season.Planned, error) {
	return wait[*season.Planned](s.planTask(skip, changes))
}

// planTask starts the plan that [Server.planFor] gives.
func (s *Server) planTask(skip map[string]bool, changes map[string]string) *task {
	key := url.Values{}
	for id, on := range skip {
		if on {
			key.Add("skip", id)
		}
	}
	slices.Sort(key["skip"])
	for k, v := range changes {
		key.Set(k, v)
	}
	enough := &atomic.Bool{}
	return s.house.beginCut("plan?"+key.Encode(), enough, func(st *season.State, at units.Moment, look season.Watch) any {
		if s.options.Held != nil {
			s.options.Held(look)
		}
		if len(changes) > 0 {
			var tried []season.Setting
			for _, k := range whatIfs {
				if v, ok := changes[k]; ok {
					tried = append(tried, season.Setting{Key: k, Value: v})
				}
			}
			t, err := st.SupposeSettings(tried...)
			if err != nil {
				return err
			}
			st = t
		}
		p, err := st.PlanSoFar(at, planSeed, skip, look, enough.Load)
		if err != nil {
			return err
		}
		if changes[allFrames] != "" && len(skip) == 0 {
			q, err := st.PlanAllFrames(at, planSeed, &p)
			if err != nil {
				return err
			}
			if q != nil {
				return q
			}
		}
		return &p
	})
}

// needsReplay starts what the plan page needs: the plan, then past years, and
// what would change it where that is asked for.
func (s *Server) needsReplay(r *http.Request) []*task {
	skip := leftOut(r.URL.Query()["skip"])
	out := append(s.needsPlan(r), s.replayTask(skip))
	if asksMore(r) {
		out = append(out, s.moreTask(skip))
	}
	return out
}

// asksMore tells whether the reader wants to know what would change the plan.
func asksMore(r *http.Request) bool { return r.URL.Query().Get("more") == "yes" }

// moreTask works out what one thing more would bring. Its key names the plan it
// is of, so that it is never kept for a plan of other facts.
func (s *Server) moreTask(skip map[string]bool) *task {
	plan := s.planTask(skip, nil)
	return s.house.begin("more "+plan.id, func(_ *season.State, _ units.Moment, look season.Watch) any {
		p, err := wait[*season.Planned](plan)
		if err != nil {
			return err
		}
		l, err := p.WhatWouldChange(look)
		if err != nil {
			return err
		}
		return l
	})
}

// replayFor gives the plan played through past years.
func (s *Server) replayFor(skip map[string]bool) (*season.Replayed, error) {
	return wait[*season.Replayed](s.replayTask(skip))
}

// replayTask starts what [Server.replayFor] gives. Its key names the plan it is
// of, so that it is never kept for a plan of other facts.
func (s *Server) replayTask(skip map[string]bool) *task {
	plan := s.planTask(skip, nil)
	return s.house.begin("replay "+plan.id, func(st *season.State, at units.Moment, look season.Watch) any {
		p, err := wait[*season.Planned](plan)
		if err != nil {
			return err
		}
		past, err := st.Replay(at, p, look)
		if err != nil {
			return err
		}
		return &past
	})
}

// allFrames is what is tried out when every offer of sealed frames is taken for
// agreed.
const allFrames = "frames"

// planSeed is the seed of every plan on the screens; the command line can take
// another.
const planSeed = 1

func yardNames(st *season.State) map[string]string {
	names := map[string]string{}
	for _, y := range st.Yards() {
		names[y.ID] = y.ID
		if y.Name != "" {
			names[y.ID] = y.Name
		}
	}
	return names
}
