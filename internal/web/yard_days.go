package web

import (
	"net/http"
	"net/url"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
)

// typedDay is a day of a yard that counts as it was typed.
type typedDay struct {
	season.Entry
	Feedable    season.Feedable
	Round, Part string
	Change      string // where it is changed
}

// fillDays reads what was typed of the yard's days, and all that was ever told of
// it.
func (p *yardPage) fillDays(j *season.Journal) {
	for _, e := range j.TypedDays(p.Yard.ID) {
		f := e.Body.(season.Feedable)
		if f.Day < p.Facts.Day() {
			continue // it stands in the history
		}
		p.Typed = append(p.Typed, typedDay{e, f, p.roundWords(f.Round), p.partWords(f), p.dayPath(f)})
	}
	told := 0
	for _, e := range j.YardHistory(p.Yard.ID) {
		l := p.sayFact(e, "")
		if _, is := e.Body.(apiary.Yard); is && e.InForce {
			told++
		}
		p.History = append(p.History, l)
	}
	for i := range p.History { // the only word there is of the yard stays
		_, is := p.History[i].Body.(apiary.Yard)
		p.History[i].Stays = is && told == 1
	}
}

// dayPath gives where a typed day of a yard is changed.
func (b *Base) dayPath(f season.Feedable) string {
	return b.YardPath(f.Yard) + "?day=" + url.QueryEscape(f.Day.String()) + "#days"
}

// Rounds lists what can be said of a day.
func (p *yardPage) Rounds() []Option {
	return []Option{{"", p.T("day.round.weather")}, {"yes", p.T("day.round.yes")}, {"no", p.T("day.round.no")}}
}

// saveGate keeps when and how one gets into a yard.
func (s *Server) saveGate(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "gate")
	if p == nil {
		return
	}
	f := r.PostFormValue
	p.Gate = season.GateText{Access: f("access"), Opens: f("opens"), Shuts: f("shuts"), Shut: f("shut")}
	y, slips := season.ReadGate(p.Gate, p.Yard, p.S)
	s.slips(&p.Base, slips, "")
	var bodies []any
	if y != p.Yard {
		bodies = append(bodies, y)
	}
	s.yardKept(w, r, p, "yard", bodies)
}

// saveDays keeps what the keeper knows of days of a yard; it wins over the
// weather.
func (s *Server) saveDays(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "days")
	if p == nil {
		return
	}
	f := r.PostFormValue
	p.Day = season.FeedableText{Day: f("day"), Until: f("until"), Round: f("round"), Part: f("part"), Note: f("day_note")}
	days, slips := season.ReadFeedable(p.Yard.ID, p.Day, p.S, p.Facts.Day())
	s.slips(&p.Base, slips, "")
	var bodies []any
	for _, d := range days {
		bodies = append(bodies, d)
	}
	s.yardKept(w, r, p, "days", bodies)
}

// strikeYard takes back what was told of a yard, or of a day of it: the weather
// counts again there.
func (s *Server) strikeYard(w http.ResponseWriter, r *http.Request) {
	p := s.yardSent(w, r, "")
	if p == nil {
		return
	}
	id, err := season.ParseID(r.PostFormValue("fact"))
	for _, l := range p.History {
		if err != nil || l.ID != id || !l.InForce {
			continue
		}
		if l.Stays {
			s.fail(w, r, fault.New(fault.Conflict, "", "this is all that is told of the yard").WithHint("a yard that is no longer used is closed, on its page"))
			return
		}
		strikes := []season.ID{id}
		if _, day := l.Body.(season.Feedable); day {
			s.house.mu.Lock()
			strikes = s.house.journal.ToTakeBack(id)
			s.house.mu.Unlock()
		}
		s.yardKept(w, r, p, "struck", nil, strikes...)
		return
	}
	s.fail(w, r, fault.New(fault.NotFound, "", "this is not told of this yard, or it does not count already"))
}
