package web

import (
	"net/http"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/units"
)

// hiveSent reads the page of a hive and the form sent to it; nil when the hive is
// not there (the answer is given then).
func (s *Server) hiveSent(w http.ResponseWriter, r *http.Request, fold string) *hivePage {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return nil
	}
	p, err := s.hivePage(r)
	if err != nil {
		s.fail(w, r, err)
		return nil
	}
	p.Fold = fold
	return p
}

// hiveKept writes facts and goes back to the hive, or shows the page again when
// something is wrong with the form.
func (s *Server) hiveKept(w http.ResponseWriter, r *http.Request, p *hivePage, says string, facts ...season.Fact) {
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "hive", p)
		return
	}
	act, err := s.house.append(r.Context(), says, facts...)
	if err != nil {
		s.unkept(w, r, "hive", p, &p.Base, err)
		return
	}
	s.done(w, r, p.HivePath(p.Hive.ID), act)
}

// one makes a fact of a body seen now.
func (s *Server) one(body any) season.Fact { return s.house.fact(units.Moment{}, "", body) }

// saveHive keeps boxes, feeder, target, kind and note: as small a fact as will do.
func (s *Server) saveHive(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "edit")
	if p == nil {
		return
	}
	f := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	was := p.Edit
	p.Edit = hiveForm{Stack: f("stack"), Feeder: f("feeder"), Volume: f("volume"), Target: f("target"), Kind: f("kind"), Note: f("note"), NeverEmpty: f("never_empty") != "", Wrapped: f("wrapped") != ""}
	c := p.Hive.Colony
	var err error
	bad := func(field string, err error) {
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, field))
		}
	}
	if c.Stack, err = hive.ParseStack(p.Edit.Stack); err != nil {
		bad("stack", err)
	} else {
		bad("feeder", c.Stack.Check(hive.Default(), p.Edit.Feeder))
		if t, ask := p.askTare(c.Stack, f("kept"), "stack"); ask && p.Edit.Stack != was.Stack {
			p.Kept = c.Stack.String()
			p.trouble(t)
		}
	}
	c.Feeder, c.Kind, c.Note, c.NeverEmpty, c.Wrapped = p.Edit.Feeder, apiary.Kind(p.Edit.Kind), p.Edit.Note, p.Edit.NeverEmpty, p.Edit.Wrapped
	if p.Edit.Volume != was.Volume { // as shown, it may be rounded
		c.FeederVolume = 0
		if p.Edit.Volume != "" {
			unit := p.S.VolumeCol().Unit
			if _, shown, ok := strings.Cut(was.Volume, " "); ok {
				unit = shown // a number typed over "3 qt" means quarts
			}
			c.FeederVolume, err = units.ParseVolumeIn(p.Edit.Volume, unit, p.S.Locale())
			if err == nil {
				err = season.CheckFeederSize(c.Stack, c.Feeder, c.FeederVolume)
			}
			bad("volume", err)
		}
	}
	if p.Edit.Target != was.Target {
		c.Target = 0
		if p.Edit.Target != "" {
			c.Target, err = units.ParseMassIn(p.Edit.Target, p.S.MassCol().Unit, p.S.Locale())
			bad("target", err)
		}
	}
	var facts []season.Fact
	if len(p.Trouble) == 0 {
		for _, b := range p.Hive.Changes(c) {
			facts = append(facts, s.one(b))
		}
	}
	s.hiveKept(w, r, p, "hive", facts...)
}

// needHive keeps the syrup that, by the keeper's word, it is still to be given, or
// lets it be worked out again.
func (s *Server) needHive(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "need")
	if p == nil {
		return
	}
	if r.PostFormValue("back") != "" {
		if p.Need.Told == nil {
			p.trouble(Trouble{Say: p.T("need.none")})
		}
		s.hiveKept(w, r, p, "need-back", s.one(season.Need{Colony: p.Hive.ID}))
		return
	}
	p.Need.Typed, p.Need.NoteNew = r.PostFormValue("need"), r.PostFormValue("need_note")
	n, slips := season.ReadNeed(p.Hive.ID, p.Need.Typed, p.Need.NoteNew, p.S)
	s.slips(&p.Base, slips, "")
	s.hiveKept(w, r, p, "need", s.one(n))
}

// lookHive keeps one look at the bees, new or in place of one that was wrong.
func (s *Server) lookHive(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "look")
	if p == nil {
		return
	}
	f := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	p.Look = lookForm{Right: f("right"), Day: f("day"), Bees: f("bees"), Brood: f("brood"), Queen: f("queen"), Disease: f("disease"), Treatment: f("treatment"),
		Super: f("super"), Refuses: f("refuses"), Granulated: f("granulated"), Note: f("look_note")}
	bad := func(field string, err error) {
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, field))
		}
	}
	l := apiary.Look{Colony: p.Hive.ID, Queen: answerOf(p.Look.Queen), Disease: answerOf(p.Look.Disease), Treatment: answerOf(p.Look.Treatment),
		Super: answerOf(p.Look.Super), Refuses: answerOf(p.Look.Refuses), Note: p.Look.Note}
	var err error
	if p.Look.Bees != "" {
		l.Bees, err = season.ReadCount(p.Look.Bees, p.S.Locale())
		l.BeesKnown = true
		bad("bees", err)
	}
	if p.Look.Brood != "" {
		l.Brood, err = season.ReadCount(p.Look.Brood, p.S.Locale())
		l.BroodKnown = true
		bad("brood", err)
	}
	if p.Look.Granulated != "" {
		l.Granulated, err = units.ParseMassIn(p.Look.Granulated, p.S.MassCol().Unit, p.S.Locale())
		bad("granulated", err)
	}
	day, err := season.ReadDay(p.Look.Day, season.OrderNotTold, p.Facts.Day())
	bad("day", err)
	if err == nil && day > p.Facts.Day() {
		bad("day", fault.New(fault.OutOfRange, "", "that day is still to come"))
	}
	if l == (apiary.Look{Colony: l.Colony}) && len(p.Trouble) == 0 {
		p.trouble(Trouble{Field: "bees", Say: p.T("look.nothing")})
	}
	seen := units.Moment{}
	if day != p.Facts.Day() {
		seen = units.OnDay(day)
	}
	fact := s.house.fact(seen, "", l)
	if id, err := season.ParseID(p.Look.Right); err == nil && !id.IsZero() {
		fact.Replaces = id
		for _, old := range p.History {
			if old.ID == id && old.Seen.Day() == day {
				fact.Seen = old.Seen
			}
		}
	}
	s.hiveKept(w, r, p, "look", fact)
}

func answerOf(s string) apiary.Answer {
	switch s {
	case "yes":
		return apiary.Yes
	case "no":
		return apiary.No
	}
	return apiary.Unknown
}

// moveHive says it now stands in another yard, last in its walking order unless a
// place is told.
func (s *Server) moveHive(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "move")
	if p == nil {
		return
	}
	p.Move.Yard, p.Move.Stand = r.PostFormValue("yard"), strings.TrimSpace(r.PostFormValue("stand"))
	m := apiary.Moved{Colony: p.Hive.ID, Yard: p.Move.Yard}
	s.house.view(func(st *season.State, _ units.Moment) {
		if _, ok := st.Yard(m.Yard); !ok && m.Yard != p.Hive.Yard {
			p.trouble(Trouble{Field: "yard", Say: p.T("hive.move.noyard")})
		}
		m.Stand = st.NextStand(m.Yard)
	})
	if p.Move.Stand != "" {
		n, err := strconv.Atoi(p.Move.Stand)
		if err != nil || n < 1 || n > 9999 {
			p.trouble(Trouble{Field: "stand", Say: p.T("hive.move.stand")})
		}
		m.Stand = n
	}
	s.hiveKept(w, r, p, "moved", s.one(m))
}

// uniteHive says it was joined into another colony.
func (s *Server) uniteHive(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "unite")
	if p == nil {
		return
	}
	p.Into = strings.TrimSpace(r.PostFormValue("into"))
	s.house.view(func(st *season.State, _ units.Moment) {
		c, ok := st.Colony(p.Into)
		switch {
		case !ok || c.State != apiary.Alive:
			p.trouble(Trouble{Field: "into", Say: p.T("hive.unite.none", "Hive", p.Into)})
		case c.ID == p.Hive.ID:
			p.trouble(Trouble{Field: "into", Say: p.T("hive.unite.self")})
		}
	})
	s.hiveKept(w, r, p, "united", s.one(apiary.United{From: p.Hive.ID, Into: p.Into}))
}

// splitHive says part of it became a new colony.
func (s *Server) splitHive(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "split")
	if p == nil {
		return
	}
	f := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	p.Split.New, p.Split.Stack, p.Split.Feeder, p.Split.Stores = f("new"), f("split_stack"), f("split_feeder"), f("stores")
	split := apiary.Split{From: p.Hive.ID, New: apiary.Colony{ID: p.Split.New, Yard: p.Hive.Yard, Feeder: p.Split.Feeder}}
	bad := func(field string, err error) {
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, field))
		}
	}
	var err error
	if split.New.Stack, err = hive.ParseStack(p.Split.Stack); err != nil {
		bad("split_stack", err)
	} else {
		bad("split_feeder", split.New.Stack.Check(hive.Default(), p.Split.Feeder))
	}
	split.New.Kind = apiary.KindOf(split.New.Stack, hive.Default())
	if p.Split.Stores != "" {
		split.Stores, err = units.ParseMassIn(p.Split.Stores, p.S.MassCol().Unit, p.S.Locale())
		bad("stores", err)
	}
	s.house.view(func(st *season.State, _ units.Moment) {
		split.New.Stand = st.NextStand(p.Hive.Yard)
		if _, err := st.AddHives(p.Hive.Yard, []string{p.Split.New}, season.Usual{Stack: split.New.Stack}); p.Split.New == "" || err != nil {
			if err == nil {
				err = fault.New(fault.Missing, "", "the new colony has no name").WithHint("a name that no hive has yet")
			}
			bad("new", err)
		}
	})
	s.hiveKept(w, r, p, "split", s.one(split))
}

// endHive says it is no more: dead or sold.
func (s *Server) endHive(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "end")
	if p == nil {
		return
	}
	p.End.State, p.End.Cause, p.End.Left = r.PostFormValue("state"), r.PostFormValue("cause"), strings.TrimSpace(r.PostFormValue("left"))
	e := apiary.Ended{Colony: p.Hive.ID, State: apiary.State(p.End.State)}
	if e.State == apiary.Dead {
		var err error
		if e.Cause, err = causeOf(p.End.Cause); err != nil {
			p.trouble(s.troubleOf(&p.Base, err, "cause"))
		}
		if p.End.Left != "" {
			e.LeftKnown = true
			if e.Left, err = units.ParseMassIn(p.End.Left, p.S.MassCol().Unit, p.S.Locale()); err != nil {
				p.trouble(s.troubleOf(&p.Base, err, "left"))
			}
		}
	}
	s.hiveKept(w, r, p, "ended", s.one(e))
}

// strikeFact takes one fact about a hive out of force, or brings it back.
func (s *Server) strikeFact(w http.ResponseWriter, r *http.Request) {
	p := s.hiveSent(w, r, "")
	if p == nil {
		return
	}
	id, err := season.ParseID(r.PostFormValue("fact"))
	found := false
	for _, l := range p.History {
		found = found || l.ID == id && l.InForce
	}
	if err != nil || !found {
		s.fail(w, r, fault.New(fault.NotFound, "", "this is not a fact about this hive, or it does not count already"))
		return
	}
	s.hiveKept(w, r, p, "struck", s.one(season.Strike{Fact: id, Why: "put right"}))
}
