package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// The first run: from an empty book to a printed plan, one path of five steps.
// Each step writes what it was told as facts and the next reads them from the
// book, so going back, a reload or another day lose nothing. What is not yet a
// fact (winter and stop day before there is a yard) travels in the address.

// startSteps are the steps in order, by the last part of their address.
var startSteps = []string{"", "hives", "weigh", "feed", "plan"}

// startBase is what all steps have.
type startBase struct {
	Base
	Step     int // from 1
	Language string
	CanTry   bool // the example season can be tried from here
}

// Steps gives the keys of the steps' names.
func (startBase) Steps() []string { return startSteps }

// StepName gives the key of the name of a step.
func (startBase) StepName(step string) string {
	if step == "" {
		return "start.step.place"
	}
	return "start.step." + step
}

// At tells whether step i of [Steps] is the present one.
func (p startBase) At(i int) bool { return i+1 == p.Step }

func (s *Server) startBase(r *http.Request, step int) startBase {
	name := startSteps[step-1]
	if name == "" {
		name = "place"
	}
	p := startBase{Base: s.base(r, "start-"+name, "title.start."+name), Step: step, CanTry: s.exampleSeason != nil && !s.example}
	told := true
	s.house.view(func(st *season.State, _ units.Moment) { told = st.Value("house.language") != "" })
	// Before anybody has said so, the browser's language is the best guess; it is
	// kept with the first step.
	if !told && asksSpanish(r) {
		p.Lang, p.S.Lang, p.Language = "es", "es", "es"
	}
	return p
}

// asksSpanish tells whether the browser would rather have Spanish.
func asksSpanish(r *http.Request) bool {
	return strings.HasPrefix(strings.ToLower(r.Header.Get("Accept-Language")), "es")
}

type startPlacePage struct {
	startBase
	Units, Place, Winter, Stop string
	Choices                    []town
}

// UnitOptions lists the unit systems.
func (p *startPlacePage) UnitOptions() []Option {
	return []Option{{"us", p.T("units.us.long")}, {"metric", p.T("units.metric.long")}, {"uk", p.T("units.uk.long")}}
}

// Winters lists the classes of winter.
func (p *startPlacePage) Winters() []Option { return p.climateOptions(p.T("start.winter.place")) }

// startPlace is the first step: units and place.
func (s *Server) startPlace(w http.ResponseWriter, r *http.Request) {
	p := startPlacePage{startBase: s.startBase(r, 1)}
	p.Units = p.S.System.String()
	q := r.URL.Query()
	p.Winter, p.Stop = q.Get("winter"), q.Get("stop")
	s.house.view(func(st *season.State, _ units.Moment) {
		if st.Settings.HasHome {
			p.Place = st.Value("home.lat") + ", " + st.Value("home.lon")
		}
		for _, y := range st.Yards() {
			if !y.Closed && y.Climate != "" && p.Winter == "" {
				p.Winter, p.Stop = string(y.Climate), y.Stop.String()
			}
		}
	})
	if name := q.Get("place"); name != "" {
		p.Place = name
	}
	s.show(w, http.StatusOK, p.Screen, &p)
}

type startHivesPage struct {
	startBase
	Yards, Stack, Feeder string
	Had                  []string // ids of yards the list held when it was shown
	WasStack, WasFeeder  string
	Winter, Stop, Place  string
	WinterName           string
	Near                 *feeding.Reason // where the class of winter comes from
	StopDay              units.Day
}

// Stacks and Feeders list what to choose from.
func (p *startHivesPage) Stacks() []Option  { return p.stackOptions(p.Stack) }
func (p *startHivesPage) Feeders() []Option { return p.feederOptions() }

// Back gives the address of the step before, with what is no fact yet.
func (p *startHivesPage) Back() string {
	return "/start?" + url.Values{"winter": {p.Winter}, "stop": {p.Stop}, "place": {p.Place}}.Encode()
}

// startHives is the second step: yards and hives.
func (s *Server) startHives(w http.ResponseWriter, r *http.Request) {
	p := startHivesPage{startBase: s.startBase(r, 2)}
	q := r.URL.Query()
	p.Winter, p.Stop, p.Place = q.Get("winter"), q.Get("stop"), q.Get("place")
	p.Stack, p.Feeder = firstStack(p.S.System), firstFeeder(p.S.System)
	s.house.view(func(st *season.State, _ units.Moment) {
		var lines []string
		for _, y := range st.Yards() {
			if y.Closed {
				continue
			}
			if p.Winter == "" {
				p.Winter, p.Stop = string(y.Climate), y.Stop.String()
			}
			p.Had = append(p.Had, y.ID)
			lines = append(lines, st.YardLine(y.ID, p.S))
		}
		p.Yards = strings.Join(lines, "\n")
		if stack, feeder, ok := st.UsualHive(""); ok {
			p.Stack, p.Feeder = stack.String(), feeder
			p.WasStack, p.WasFeeder = p.Stack, p.Feeder
		}
	})
	if len(p.Had) == 0 {
		if p.Winter == "" {
			http.Redirect(w, r, "/start", http.StatusSeeOther)
			return
		}
		p.Yards = p.T("start.hives.default")
	}
	s.fillWinter(&p)
	s.show(w, http.StatusOK, p.Screen, &p)
}

// fillWinter says where winter and stop day come from.
func (s *Server) fillWinter(p *startHivesPage) {
	p.WinterName = p.winterName(apiary.Climate(p.Winter))
	p.StopDay, _ = units.ParseDay(p.Stop) // "" is no day
	s.house.view(func(st *season.State, at units.Moment) {
		figs, _ := st.Settings.FigureSet()
		if p.StopDay == 0 { // none was typed: so it begins, until weather tells
			p.StopDay, _ = season.SuggestStop(apiary.Climate(p.Winter), at.Day(), st.Settings.HasHome && weather.South(st.Settings.HomeLat), figs)
		}
		if !st.Settings.HasHome {
			return
		}
		if c, near, err := season.ClimateNear(st.Settings.HomeLat, st.Settings.HomeLon, figs); err == nil && string(c) == p.Winter {
			why := near.Why()
			p.Near = &why
		}
	})
}

type startWeighPage struct {
	startBase
	Rows    []startYard
	Weights string
	Unit    string
}

// startYard is what is told of one yard at the third step, as typed.
type startYard struct {
	ID, Name     string
	Hives        int
	Weight, Bees string
	Safe         bool
}

// WeightID, BeesID and SafeID name the fields of a yard.
func (y startYard) WeightID() string { return "weight." + y.ID }
func (y startYard) BeesID() string   { return "bees." + y.ID }
func (y startYard) SafeID() string   { return "safe." + y.ID }

// startWeigh is the third step: what do they weigh, and may they be fed?
func (s *Server) startWeigh(w http.ResponseWriter, r *http.Request) {
	p := startWeighPage{startBase: s.startBase(r, 3)}
	s.fillWeigh(&p)
	if len(p.Rows) == 0 {
		http.Redirect(w, r, "/start", http.StatusSeeOther)
		return
	}
	s.show(w, http.StatusOK, p.Screen, &p)
}

// fillWeigh lists the yards with what was told of them so far.
func (s *Server) fillWeigh(p *startWeighPage) {
	p.Unit = p.S.MassCol().Unit
	s.house.view(func(st *season.State, _ units.Moment) {
		for _, y := range st.Yards() {
			hives := st.HivesAt(y.ID)
			if y.Closed || len(hives) == 0 {
				continue
			}
			row := startYard{ID: y.ID, Name: y.ID, Hives: len(hives)}
			if y.Name != "" {
				row.Name = y.Name
			}
			whole, weight := st.WholeOf(y.ID)
			row.Weight, row.Safe = weight.String(), whole.Safe
			if weight.IsZero() {
				row.Weight = ""
			}
			if whole.Reading.Heft != "" {
				row.Weight = p.T("heft." + string(whole.Reading.Heft))
			}
			if whole.BeesKnown {
				row.Bees = season.FigureText(whole.Bees, p.S)
			}
			p.Rows = append(p.Rows, row)
		}
	})
}

type startFeedPage struct {
	startBase
	Strength, Tank, Mixer, Payload string
}

// Strengths lists the usual recipes, and the keeper's own if it is none of them.
func (p *startFeedPage) Strengths() []Option {
	var out []Option
	usual := []string{"2:1 by weight", "3:2 by weight", "1:1 by weight"}
	for _, v := range usual {
		out = append(out, Option{v, p.T("strength." + v[:3])})
	}
	if !slices.Contains(usual, p.Strength) {
		out = append(out, Option{p.Strength, p.Strength})
	}
	return out
}

// MixerNow is the mixer in the units of the page; what cannot be read stays as typed.
func (p *startFeedPage) MixerNow() string {
	e, err := units.EnterVolumeIn(p.Mixer, p.S.VolumeCol().Unit, p.S.Locale())
	if err != nil {
		return p.Mixer
	}
	return p.S.VolumeBig(e.Q)
}

// startFeed is the fourth step: feed and tank.
func (s *Server) startFeed(w http.ResponseWriter, r *http.Request) {
	p := startFeedPage{startBase: s.startBase(r, 4)}
	s.house.view(func(st *season.State, _ units.Moment) {
		p.Strength, p.Tank, p.Mixer, p.Payload = st.Settings.Strength, st.Value("rig.tank"), st.Value("kitchen.mixer"), st.Value("rig.payload")
	})
	if p.Tank == "" {
		p.Tank = map[units.System]string{units.US: "275 US gal", units.UK: "220 UK gal", units.Metric: "1000 L"}[p.S.System]
	}
	if p.Mixer == "" {
		p.Mixer = map[units.System]string{units.US: "55 US gal", units.UK: "45 UK gal", units.Metric: "200 L"}[p.S.System]
	}
	s.show(w, http.StatusOK, p.Screen, &p)
}

type startPlanPage struct {
	startBase
	Sum     season.Totals
	Plan    *season.Planned
	NoPlan  *Trouble
	Caveats []feeding.Reason
}

// startPlan is the last step: the plan in brief, and print.
func (s *Server) startPlan(w http.ResponseWriter, r *http.Request) {
	p := startPlanPage{startBase: s.startBase(r, 5)}
	shorts := s.shorts()
	if len(shorts) == 0 {
		http.Redirect(w, r, "/start", http.StatusSeeOther)
		return
	}
	p.Sum = season.Sum(shorts)
	plan, err := s.planFor(nil, nil)
	if err != nil {
		t := s.troubleOf(&p.Base, err, "")
		p.NoPlan = &t
	} else {
		p.Plan = plan
		p.Caveats = plan.Caveats(2)
	}
	s.show(w, http.StatusOK, p.Screen, &p)
}

// Days gives on how many days something is driven out.
func (p *startPlanPage) Days() int { return p.Plan.DrivingDays() }
