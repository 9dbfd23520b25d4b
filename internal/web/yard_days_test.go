package web

import (
	"context"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/units"
)

// planDays tells of each day of the plan which yards are driven to.
func (s *site) planDays() map[units.Day][]string {
	s.t.Helper()
	out := map[units.Day][]string{}
	s.srv.house.view(func(st *season.State, at units.Moment) {
		p, err := st.Plan(at, planSeed)
		if err != nil {
			s.t.Fatal(err)
		}
		for _, l := range p.Loads {
			for _, stop := range l.Stops {
				out[l.Day] = append(out[l.Day], stop.Yard)
			}
		}
	})
	return out
}

func TestGateOfAYard(t *testing.T) {
	s := newSmallSite(t)
	if len(s.planDays()[sept(5)]) == 0 {
		t.Fatalf("no load on the first day: %v: this test could not fail", s.planDays())
	}
	s.done("/yards/mill/gate", "opens", "8 am", "shuts", "17:30", "shut", "Sunday; 2026-09-05", "access", "code 12")
	b := s.bodies()
	if len(b) != 1 || b[0].(apiary.Yard).Opens != 8*units.Hour || b[0].(apiary.Yard).Shut != "sun; 2026-09-05" || b[0].(apiary.Yard).Access != "code 12" || b[0].(apiary.Yard).Name != "Mill Lane" {
		t.Fatalf("%+v", b)
	}
	a := s.get("/yards/mill")
	a.has("Open: from 08:00 to 17:30; shut on sun; 2026-09-05", "code 12", "All that was told of this yard")
	// Saving what is shown writes nothing.
	s.done("/yards/mill/gate", "opens", a.field("opens"), "shuts", a.field("shuts"), "shut", a.field("shut"), "access", a.field("access"))
	if b := s.bodies(); len(b) != 0 {
		t.Errorf("%+v", b)
	}
	for d, yards := range s.planDays() {
		if strings.Contains(strings.Join(yards, " "), "mill") && (d == sept(5) || d == sept(6)) {
			t.Errorf("mill is driven to on %s, when nobody gets in", d)
		}
	}
	// What cannot be read stays as typed, at its box; nothing is kept.
	bad := s.post("/yards/mill/gate", "opens", "9:30", "shuts", "9:00", "shut", "sometimes")
	if bad.Code != 422 || bad.field("opens") != "9:30" || bad.field("shut") != "sometimes" || len(s.bodies()) != 0 {
		t.Error(bad.Code)
	}
	bad.has("neither a day of the week nor a date")
	s.post("/yards/mill/gate", "opens", "9:30", "shuts", "9:00").has("the gate shuts before it opens")
	// Taken back, the row before it counts again.
	s.done("/yards/mill/strike", "fact", s.lastID(func(b any) bool { y, is := b.(apiary.Yard); return is && y.ID == "mill" }))
	s.get("/yards/mill").hasNot("Open: from 08:00")
	if y, _ := s.srv.yardTold("mill"); y.Opens != 0 || y.Name != "Mill Lane" {
		t.Errorf("%+v", y)
	}
	// The only word there is of a yard is not taken back.
	first := s.lastID(func(b any) bool { y, is := b.(apiary.Yard); return is && y.ID == "mill" && y.Opens == 0 })
	if a := s.post("/yards/mill/strike", "fact", first); a.Code != 409 {
		t.Errorf("%d", a.Code)
	}
}

// lastID gives the id of the last fact in the book whose body is asked for.
func (s *site) lastID(is func(body any) bool) string {
	s.t.Helper()
	facts, err := s.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		s.t.Fatal(err)
	}
	for i := len(facts) - 1; i >= 0; i-- {
		if is(facts[i].Body) {
			return facts[i].ID.String()
		}
	}
	s.t.Fatal("there is no such fact")
	return ""
}

func TestTypedDaysOfAYard(t *testing.T) {
	s := newSmallSite(t)
	s.done("/yards/mill/days", "day", "5 Sep", "until", "7 Sep", "round", "no", "day_note", "field is sprayed")
	b := s.bodies()
	if len(b) != 3 || b[2] != (season.Feedable{Yard: "mill", Day: sept(7), Round: apiary.No, Note: "field is sprayed"}) {
		t.Fatalf("%+v", b)
	}
	for d, yards := range s.planDays() {
		if strings.Contains(strings.Join(yards, " "), "mill") && d <= sept(7) {
			t.Errorf("mill is driven to on %s", d)
		}
	}
	a := s.get("/yards/mill")
	a.has("Days that count as you typed them", "cannot be made", "field is sprayed", "Sat 5 Sep")
	// One of them is changed, in the box it is shown in.
	c := s.get("/yards/mill?day=2026-09-06")
	if c.field("day") != "2026-09-06" || c.field("day_note") != "field is sprayed" {
		t.Errorf("%q %q", c.field("day"), c.field("day_note"))
	}
	bad := s.post("/yards/mill/days", "day", c.field("day"), "until", "1 Sep 2026", "round", "yes", "part", "half")
	if bad.Code != 422 || bad.field("part") != "half" || bad.field("until") != "1 Sep 2026" || len(s.bodies()) != 0 {
		t.Error(bad.Code)
	}
	bad.has("the last day is before the first", "is not a number")
	s.done("/yards/mill/days", "day", c.field("day"), "round", "yes", "part", "50 %")
	if b := s.bodies(); len(b) != 1 || b[0] != (season.Feedable{Yard: "mill", Day: sept(6), Round: apiary.Yes, Factor: 0.5, FactorKnown: true}) {
		t.Fatalf("%+v", b)
	}
	// Taken back, the weather counts: not what was typed of that day before.
	s.done("/yards/mill/strike", "fact", s.lastID(func(b any) bool { f, is := b.(season.Feedable); return is && f.Round == apiary.Yes }))
	s.srv.house.view(func(st *season.State, _ units.Moment) {
		for _, f := range st.FeedableDays() {
			if f.Day == sept(6) {
				t.Errorf("%+v counts still", f)
			}
		}
	})
	if b := s.bodies(); len(b) != 2 {
		t.Errorf("%+v", b)
	}
	// Told a day of another yard is none of this one's.
	if a := s.post("/yards/hill/strike", "fact", s.lastID(func(b any) bool { f, is := b.(season.Feedable); return is && f.Day == sept(7) })); a.Code != 404 {
		t.Errorf("%d", a.Code)
	}
}

func TestNeedOfAHive(t *testing.T) {
	s := newSmallSite(t)
	need := func() (v units.Volume, typed bool) {
		s.srv.house.view(func(st *season.State, at units.Moment) {
			l := st.ShortOf(at, "m1")
			v, typed = l[0].Lack.Syrup, l[0].NeedTyped
		})
		return v, typed
	}
	worked, _ := need()
	s.done("/hives/m1/need", "need", "1.5 gal", "need_note", "by eye")
	b := s.bodies()
	if len(b) != 1 || b[0].(season.Need).Volume.As != "1.5 US gal" || b[0].(season.Need).Note != "by eye" {
		t.Fatalf("%+v", b)
	}
	if v, typed := need(); !typed || v != units.MustVolume("1.5 US gal") {
		t.Errorf("%v %v", v, typed)
	}
	a := s.get("/hives/m1")
	a.has("Syrup still to be given, by your word – 1.5 US gal", "You typed on", "you typed yourself", "still to be given by your word: 1.5 US gal; by eye")
	if a.field("need") != "" {
		t.Error("what was typed before stands in the box: it would be told anew")
	}
	bad := s.post("/hives/m1/need", "need", "900 gal")
	if bad.Code != 422 || bad.field("need") != "900 gal" || len(s.bodies()) != 0 {
		t.Error(bad.Code)
	}
	bad.has("900 US gal is more than can be", "at most 132 US gal")
	s.post("/hives/m1/need").has("it is not said how much")
	s.done("/hives/m1/need", "back", "1")
	if v, typed := need(); typed || v != worked {
		t.Errorf("%v %v, not %v", v, typed, worked)
	}
	if a := s.post("/hives/m1/need", "back", "1"); a.Code != 422 {
		t.Error(a.Code)
	}
	// Or the line is taken out of the history.
	s.done("/hives/m1/need", "need", "0")
	if v, typed := need(); !typed || v != 0 {
		t.Errorf("%v %v", v, typed)
	}
	s.done("/hives/m1/strike", "fact", s.lastID(func(b any) bool { n, is := b.(season.Need); return is && !n.Volume.IsZero() }))
	if _, typed := need(); typed {
		t.Error("what was struck counts")
	}
}

func TestFeederThatIsNeverEmpty(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/hives/m1")
	form := []string{"stack", a.field("stack"), "feeder", a.field("feeder"), "volume", a.field("volume"), "target", a.field("target"), "kind", a.field("kind"), "note", a.field("note")}
	s.done("/hives/m1", form...)
	if b := s.bodies(); len(b) != 0 {
		t.Errorf("saving what is there wrote %+v", b)
	}
	s.done("/hives/m1", append(form, "never_empty", "1")...)
	b := s.bodies()
	if len(b) != 1 || !b[0].(apiary.Placed).Colony.NeverEmpty {
		t.Fatalf("%+v", b)
	}
	s.get("/hives/m1").has("Its feeder is never to run empty.")
	s.done("/hives/m1", append(form, "never_empty", "1")...)
	if b := s.bodies(); len(b) != 0 {
		t.Errorf("saving what is there wrote %+v", b)
	}
	s.done("/hives/m1", form...)
	if b := s.bodies(); len(b) != 1 || b[0].(apiary.Placed).Colony.NeverEmpty {
		t.Fatalf("%+v", b)
	}
}
