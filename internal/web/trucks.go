package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// trucksPage answers: with what, with whom and on which days is syrup driven out?
type trucksPage struct {
	Base
	Fold    string // the form that is open: "usual", "truck", "day" or ""
	First   []Field
	Usual   []Field
	Changed *season.Entry // the latest word of the first truck and the usual day; nil = none
	FirstIn string        // what the first truck is called, "" = not told
	Trucks  []truckLine
	Days    []workdayLine
	Truck   season.TruckText
	Was     string // name of the truck that is being changed; "" = a new one
	Day     season.WorkingDayText
}

// truckLine is one of the further trucks.
type truckLine struct {
	season.Entry
	Name     string
	Text     season.TruckText
	InPlace  bool // it stands in place of the first
	NoLonger bool
}

// workdayLine is a day of work unlike the others.
type workdayLine struct {
	season.Entry
	On   units.Day
	Text season.WorkingDayText
}

// firstKeys are the settings of the first truck, usualKeys those of a usual day.
var (
	firstKeys = []string{"rig.truck", "rig.tank", "rig.payload", "rig.pump", "rig.per_hive", "rig.filling"}
	usualKeys = []string{"crew.per_day", "crew.begins", "crew.loads_per_day", "crew.people"}
)

// ChangePath gives where it is changed.
func (l truckLine) ChangePath() string {
	return "/rig/trucks?truck=" + url.QueryEscape(l.Name) + "#truck-form"
}

// ChangePath gives where it is changed.
func (l workdayLine) ChangePath() string { return "/rig/trucks?day=" + l.On.String() + "#day-form" }

// trucks shows the trucks and the days of work.
func (s *Server) trucks(w http.ResponseWriter, r *http.Request) {
	p := s.trucksPage(r, nil)
	q := r.URL.Query()
	p.Fold = q.Get("fold")
	for _, t := range p.Trucks {
		if t.Name == q.Get("truck") {
			p.Truck, p.Was, p.Fold = t.Text, t.Name, "truck"
		}
	}
	for _, d := range p.Days {
		if d.Text.Day == q.Get("day") {
			p.Day, p.Fold = d.Text, "day"
		}
	}
	s.show(w, http.StatusOK, "trucks", p)
}

// trucksPage reads the page; typed gives what was typed of the settings where they
// could not be taken.
func (s *Server) trucksPage(r *http.Request, typed map[string]string) *trucksPage {
	p := &trucksPage{Base: s.base(r, "trucks", "title.trucks")}
	s.house.mu.Lock()
	defer s.house.mu.Unlock()
	j := s.house.journal
	st := j.Now()
	p.FirstIn = st.Settings.Truck
	for _, k := range season.SettingKeys() {
		first, usual := slices.Contains(firstKeys, k.Key), slices.Contains(usualKeys, k.Key)
		if !first && !usual {
			continue
		}
		v, ok := typed[k.Key]
		if !ok {
			v = st.Value(k.Key)
		}
		if f := p.settingField(k, v); first {
			p.First = append(p.First, f)
		} else {
			p.Usual = append(p.Usual, f)
		}
		if h := j.SettingHistory(k.Key); len(h) > 0 && (p.Changed == nil || h[0].Seen.Compare(p.Changed.Seen) > 0) {
			p.Changed = &h[0]
		}
	}
	for _, e := range j.Told("truck") {
		t := e.Body.(season.Truck)
		p.Trucks = append(p.Trucks, truckLine{e, t.Name, t.Text(p.S), t.Name == st.Settings.Truck, t.Gone})
	}
	for _, e := range j.Told("workday") {
		if d := e.Body.(season.WorkingDay); d.Day >= p.Facts.Day() {
			p.Days = append(p.Days, workdayLine{e, d.Day, d.Text(p.S)})
		}
	}
	return p
}

// trucksSent reads the page and the form sent to it; nil when the answer is given.
func (s *Server) trucksSent(w http.ResponseWriter, r *http.Request, fold string) *trucksPage {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return nil
	}
	p := s.trucksPage(r, nil)
	p.Fold = fold
	return p
}

// trucksKept writes facts and goes back, or shows the page again when something is
// wrong with the form.
func (s *Server) trucksKept(w http.ResponseWriter, r *http.Request, p *trucksPage, says string, bodies []any, strikes ...season.ID) {
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "trucks", p)
		return
	}
	act, err := s.write(r.Context(), says, bodies, strikes...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/rig/trucks", act)
}

// saveUsual keeps the first truck and the usual day of work.
func (s *Server) saveUsual(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	b := s.base(r, "trucks", "title.trucks")
	sent := s.settingsSent(r, &b, append(slices.Clone(firstKeys), usualKeys...))
	p := s.trucksPage(r, sent.typed)
	p.Fold, p.Trouble = "usual", sent.bad
	for _, fields := range [][]Field{p.First, p.Usual} {
		for i := range fields {
			fields[i].Bad = p.TroubleAt(fields[i].ID)
		}
	}
	s.trucksKept(w, r, p, "house", s.changed(sent.set, sent.order))
}

// saveTruck keeps a further truck, new or changed.
func (s *Server) saveTruck(w http.ResponseWriter, r *http.Request) {
	p := s.trucksSent(w, r, "truck")
	if p == nil {
		return
	}
	f := r.PostFormValue
	p.Truck = season.TruckText{Name: strings.TrimSpace(f("name")), Tank: f("tank"), Payload: f("payload"), Pump: f("pump"), PerHive: f("per_hive"), Filling: f("filling"), PerDay: f("per_day"), Loads: f("loads"), Gone: f("gone") != ""}
	var was season.Truck
	for _, t := range p.Trucks {
		switch t.Name {
		case f("was"):
			was = t.Body.(season.Truck)
			p.Was, p.Truck.Name = t.Name, t.Name // its name stays
		case p.Truck.Name:
			if f("was") == "" {
				p.trouble(s.troubleOf(&p.Base, fault.Newf(fault.Conflict, "", "there is a truck %s already", t.Name).WithHint("it is changed in the list"), "name"))
			}
		}
	}
	t, slips := season.ReadTruck(p.Truck, was, p.S)
	s.slips(&p.Base, slips, "")
	var bodies []any
	if t != was {
		bodies = append(bodies, t)
	}
	s.trucksKept(w, r, p, "truck", bodies)
}

// saveWorkdays keeps days of work unlike the others.
func (s *Server) saveWorkdays(w http.ResponseWriter, r *http.Request) {
	p := s.trucksSent(w, r, "day")
	if p == nil {
		return
	}
	f := r.PostFormValue
	p.Day = season.WorkingDayText{Day: f("work_day"), Until: f("work_until"), PerDay: f("work_per_day"), People: f("work_people"), Off: f("work_off") != "", Note: f("work_note")}
	days, slips := season.ReadWorkingDays(p.Day, p.S, p.Facts.Day())
	s.slips(&p.Base, slips, "work_")
	var bodies []any
	for _, d := range days {
		bodies = append(bodies, d)
	}
	s.trucksKept(w, r, p, "workdays", bodies)
}

// strikeTruck takes a truck back, strikeWorkday a day of work: nothing of it counts
// any more.
func (s *Server) strikeTruck(w http.ResponseWriter, r *http.Request) {
	if p := s.trucksSent(w, r, ""); p != nil {
		var ids []season.ID
		for _, t := range p.Trucks {
			ids = append(ids, t.ID)
		}
		s.strikeOne(w, r, p, ids)
	}
}

func (s *Server) strikeWorkday(w http.ResponseWriter, r *http.Request) {
	if p := s.trucksSent(w, r, ""); p != nil {
		var ids []season.ID
		for _, d := range p.Days {
			ids = append(ids, d.ID)
		}
		s.strikeOne(w, r, p, ids)
	}
}

// strikeOne takes back the fact the form names, if it is one of those that count.
func (s *Server) strikeOne(w http.ResponseWriter, r *http.Request, p *trucksPage, ids []season.ID) {
	id, err := season.ParseID(r.PostFormValue("fact"))
	if err != nil || !slices.Contains(ids, id) {
		s.fail(w, r, fault.New(fault.NotFound, "", "this does not count already"))
		return
	}
	s.takeBack(w, r, p, id)
}

func (s *Server) takeBack(w http.ResponseWriter, r *http.Request, p *trucksPage, id season.ID) {
	s.house.mu.Lock()
	strikes := s.house.journal.ToTakeBack(id)
	s.house.mu.Unlock()
	s.trucksKept(w, r, p, "struck", nil, strikes...)
}
