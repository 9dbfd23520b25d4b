package web

import (
	"net/http"
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/units"
)

// yardForm reads the page of a yard and the form sent to it; nil when the yard
// is not there (the answer is given then).
func (s *Server) yardSent(w http.ResponseWriter, r *http.Request, fold string) *yardPage {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return nil
	}
	p, err := s.yardPage(r)
	if err != nil {
		s.fail(w, r, err)
		return nil
	}
	p.Fold = fold
	return p
}

// kept writes facts and goes back to the yard, or shows the page again when
// something is wrong with the form.
func (s *Server) yardKept(w http.ResponseWriter, r *http.Request, p *yardPage, says string, bodies []any, strikes ...season.ID) {
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "yard", p)
		return
	}
	act, err := s.write(r.Context(), says, bodies, strikes...)
	if err != nil {
		s.unkept(w, r, "yard", p, &p.Base, err)
		return
	}
	s.done(w, r, p.YardPath(p.Yard.ID), act)
}

// saveYard keeps what is told of a yard.
func (s *Server) saveYard(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "edit")
	if p == nil {
		return
	}
	f := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	p.Edit = yardForm{Name: f("name"), Place: f("place"), Winter: f("winter"), Stop: f("stop"), Station: f("station"),
		Height: f("elev"), Setup: f("setup"), Road: f("road"), RoadTime: f("road_time"), Windy: f("windy") != "", Wrapped: f("wrapped") != ""}
	y, slips := season.ReadHeight(p.Edit.Height, p.Yard, p.S)
	s.slips(&p.Base, slips, "")
	y.Name, y.Climate, y.Station, y.Windy, y.Wrapped = p.Edit.Name, apiary.Climate(p.Edit.Winter), p.Edit.Station, p.Edit.Windy, p.Edit.Wrapped
	y.HasPlace, y.Lat, y.Lon, y.Stop, y.Setup = false, 0, 0, 0, 0
	bad := func(field string, err error) {
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, field))
		}
	}
	if p.Edit.Place != "" {
		at, choices, err := readPlace(p.Edit.Place)
		if len(choices) > 1 && err != nil {
			names := make([]string, 0, len(choices))
			for _, c := range choices[:min(len(choices), 6)] {
				names = append(names, c.String())
			}
			err = fault.Newf(fault.Conflict, "", "%s may be several", p.Edit.Place).WithHint("%s", strings.Join(names, "; "))
		}
		bad("place", err)
		y.HasPlace, y.Lat, y.Lon = err == nil, at.Lat, at.Lon
	}
	var err error
	if p.Edit.Stop != "" {
		y.Stop, err = season.ReadComingDay(p.Edit.Stop, p.Facts.Day())
		bad("stop", err)
	}
	if p.Edit.Setup != "" {
		y.Setup, err = units.ParseDurationIn(p.Edit.Setup, "min", p.S.Locale())
		bad("setup", err)
	}
	road := s.readRoad(p, bad)
	var bodies []any
	if y != p.Yard {
		bodies = append(bodies, y)
	}
	if road != nil {
		bodies = append(bodies, *road)
	}
	s.yardKept(w, r, p, "yard", bodies)
}

// readRoad reads the way from home; nil when it is as it was.
func (s *Server) readRoad(p *yardPage, bad func(string, error)) *season.Road {
	was := yardForm{}
	var road season.Road
	s.house.view(func(st *season.State, _ units.Moment) {
		q := yardPage{Base: p.Base, Yard: p.Yard}
		q.fillForm(st)
		was = q.Edit
		road, _ = st.Road("", p.Yard.ID)
	})
	if p.Edit.Road == was.Road && p.Edit.RoadTime == was.RoadTime {
		return nil // as shown, which may be rounded
	}
	road.From, road.To = "", p.Yard.ID
	var err error
	if p.Edit.Road != was.Road {
		road.Dist = 0
		if p.Edit.Road != "" {
			road.Dist, err = units.ParseLengthIn(p.Edit.Road, p.S.RoadCol().Unit, p.S.Locale())
			bad("road", err)
		}
	}
	if p.Edit.RoadTime != was.RoadTime {
		road.Time = 0
		if p.Edit.RoadTime != "" {
			road.Time, err = units.ParseDurationIn(p.Edit.RoadTime, "min", p.S.Locale())
			bad("road_time", err)
		}
	}
	return &road
}

// addHives makes more hives in a yard.
func (s *Server) addHives(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "add")
	if p == nil {
		return
	}
	p.Hives, p.Stack, p.Feeder = r.PostFormValue("hives"), r.PostFormValue("stack"), r.PostFormValue("feeder")
	usual := s.readUsual(&p.Base, p.Stack, p.Feeder)
	var bodies []any
	if len(p.Trouble) == 0 {
		s.house.view(func(st *season.State, _ units.Moment) {
			names, err := season.ReadHives(p.Hives, p.Yard.ID, st.NextNumber(p.Yard.ID))
			if err == nil && len(names) == 0 {
				err = fault.New(fault.Missing, "", "no hive is told").WithHint("how many, or their names with commas between")
			}
			if err == nil {
				bodies, err = st.AddHives(p.Yard.ID, names, usual)
			}
			if err != nil {
				p.trouble(s.troubleOf(&p.Base, err, "hives"))
			}
		})
	}
	if _, told := s.yardTold(p.Yard.ID); !told && len(bodies) > 0 {
		bodies = append([]any{p.Yard}, bodies...)
	}
	s.yardKept(w, r, p, "hives", bodies)
}

// yardTold tells whether there is a fact of the yard itself.
func (s *Server) yardTold(id string) (y apiary.Yard, ok bool) {
	s.house.view(func(st *season.State, _ units.Moment) { y, ok = st.Yard(id) })
	return y, ok
}

// lookYard answers super, disease and treatment for all colonies of a yard that
// wait for it.
func (s *Server) lookYard(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "look")
	if p == nil {
		return
	}
	p.Bees, p.Safe = strings.TrimSpace(r.PostFormValue("bees")), r.PostFormValue("safe") != ""
	look := apiary.Look{}
	if p.Bees != "" {
		var err error
		if look.Bees, err = season.ReadCount(p.Bees, p.S.Locale()); err != nil {
			p.trouble(s.troubleOf(&p.Base, err, "bees"))
		}
		look.BeesKnown = true
	}
	if !p.Safe && !look.BeesKnown && len(p.Trouble) == 0 {
		p.trouble(Trouble{Field: "safe", Say: p.T("yard.look.nothing")})
	}
	var bodies []any
	for _, x := range p.Rows {
		l := look
		l.Colony = x.Colony.ID
		if p.Safe { // what is known to be otherwise stays so
			l.Super, l.Disease, l.Treatment = unlessYes(x.Answers.Super), unlessYes(x.Answers.Disease), unlessYes(x.Answers.Treatment)
		}
		if l != (apiary.Look{Colony: l.Colony}) {
			bodies = append(bodies, l)
		}
	}
	s.yardKept(w, r, p, "look", bodies)
}

// unlessYes answers no where nobody has answered yes: an answer for many does not
// clear one that was seen.
func unlessYes(a apiary.Answer) apiary.Answer {
	if a == apiary.Yes {
		return apiary.Unknown
	}
	return apiary.No
}

// sameAsItIs stands in a form for leaving each hive as it is.
const sameAsItIs = "same"

// setHives changes boxes or feeders of all hives of a yard, or of all of one kind.
func (s *Server) setHives(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "all")
	if p == nil {
		return
	}
	p.All = allForm{Kind: r.PostFormValue("all_kind"), Stack: strings.TrimSpace(r.PostFormValue("all_stack")), Feeder: r.PostFormValue("all_feeder")}
	set := season.HiveSet{Kind: apiary.Kind(p.All.Kind)}
	if p.All.Feeder != sameAsItIs {
		set.Feeder = &p.All.Feeder
	}
	if p.All.Stack != "" {
		var err error
		if set.Stack, err = hive.ParseStack(p.All.Stack); err != nil {
			p.trouble(s.troubleOf(&p.Base, err, "all_stack"))
		} else if t, ask := p.askTare(set.Stack, r.PostFormValue("kept"), "all_stack"); ask {
			p.Kept = set.Stack.String()
			p.trouble(t)
		}
	}
	var bodies []any
	if len(p.Trouble) == 0 {
		s.house.view(func(st *season.State, _ units.Moment) {
			var err error
			if bodies, err = st.SetHives(p.Yard.ID, set); err != nil {
				field := "all_feeder"
				if fault.Is(err, fault.Missing) && (p.All.Stack != "" || set.Feeder != nil) {
					field = "all_kind" // there is none of it
				}
				p.trouble(s.troubleOf(&p.Base, err, field))
			}
		})
	}
	s.yardKept(w, r, p, "hives-set", bodies)
}

// endHives notes that hives of a yard died or were sold: one act, one undo.
func (s *Server) endHives(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "end")
	if p == nil {
		return
	}
	p.End = endForm{Kind: r.PostFormValue("end_kind"), Names: strings.TrimSpace(r.PostFormValue("end_names")), State: r.PostFormValue("end_state"), Cause: r.PostFormValue("end_cause")}
	end := season.HivesEnd{Names: p.End.Names, All: p.End.Kind == allOfThem, State: apiary.State(p.End.State), Cause: p.End.Cause}
	if !end.All {
		end.Kind = apiary.Kind(p.End.Kind)
	}
	if _, err := causeOf(end.Cause); err != nil {
		p.trouble(s.troubleOf(&p.Base, err, "end_cause"))
	}
	var bodies []any
	s.house.view(func(st *season.State, _ units.Moment) {
		var err error
		if bodies, err = st.EndHives(p.Yard.ID, end); err != nil {
			field := "end_names"
			switch {
			case p.End.State == "":
				field = "end_state"
			case p.End.Names == "" && p.End.Kind != "":
				field = "end_kind"
			}
			p.trouble(s.troubleOf(&p.Base, err, field))
		}
	})
	s.yardKept(w, r, p, "hives-ended", bodies)
}

// orderHive moves one hive up or down in the walking order.
func (s *Server) orderHive(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "")
	if p == nil {
		return
	}
	var bodies []any
	s.house.view(func(st *season.State, _ units.Moment) {
		bodies = st.Reorder(p.Yard.ID, r.PostFormValue("hive"), r.PostFormValue("by") == "up")
	})
	s.yardKept(w, r, p, "order", bodies)
}

// closeYard closes a yard without hives, or opens it again.
func (s *Server) closeYard(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "")
	if p == nil {
		return
	}
	y := p.Yard
	y.Closed = r.PostFormValue("open") == ""
	if y.Closed && slices.ContainsFunc(p.Rows, func(x *season.Short) bool { return x.Colony.State == apiary.Alive }) {
		p.trouble(Trouble{Say: p.T("yard.close.hives")})
	}
	s.yardKept(w, r, p, "yard", []any{y})
}
