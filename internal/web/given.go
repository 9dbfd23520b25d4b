package web

import (
	"net/http"
	"net/url"
	"strings"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// logEntries is about how many entries of the log one page shows: whole days,
// until there are as many.
const logEntries = 120

// feeds are the kinds of feed, in the order of the form.
var feeds = []ledger.Feed{ledger.Syrup, ledger.Fondant, ledger.DrySugar, ledger.Protein, ledger.Comb}

type givenPage struct {
	Base
	Days           []season.GiftDay
	Sum            season.GiftSum
	Yards          []apiary.Yard
	Names          map[string]string
	Yard, Hive     string
	From, To, Kind string // as typed
	Earlier        string // address of the days before, "" = none
	Any            bool   // there is anything in the log at all
	Check          []season.Gift
	Struck         []season.Gift
	Strike         string // address that lists struck entries
}

// Kinds lists the kinds of entry.
func (givenPage) Kinds() []season.GiftKind {
	return []season.GiftKind{season.GiftGiven, season.GiftLeft, season.GiftTaken, season.GiftNotFed}
}

// given is the log of what was given, left and taken.
func (s *Server) given(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	p := givenPage{Base: s.base(r, "given", "title.given"), Yard: q.Get("yard"), Hive: strings.TrimSpace(q.Get("hive")),
		From: q.Get("from"), To: q.Get("to"), Kind: q.Get("kind")}
	f := season.GiftFilter{Yard: p.Yard, Colony: p.Hive, Kind: season.GiftKind(p.Kind)}
	f.From, f.To = s.dayOf(&p.Base, "from", p.From), s.dayOf(&p.Base, "to", p.To)
	s.house.view(func(st *season.State, at units.Moment) {
		p.Yards, p.Names = st.Yards(), yardNames(st)
		p.Days, p.Sum = st.Gifts(f, at)
		all := p.Days
		if f != (season.GiftFilter{}) {
			all, _ = st.Gifts(season.GiftFilter{}, at)
		}
		p.Any = len(all) > 0
		if q.Has("struck") {
			p.Struck = s.house.journal.StruckGifts(f)
		}
	})
	for _, d := range p.Days {
		for _, g := range d.Gifts {
			if g.Trouble != nil {
				p.Check = append(p.Check, g)
			}
		}
	}
	p.cut(q)
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "given", &p)
}

// dayOf reads a day of a filter; none is no limit.
func (s *Server) dayOf(b *Base, field, text string) units.Day {
	if strings.TrimSpace(text) == "" {
		return 0
	}
	d, err := season.ReadDay(text, season.OrderNotTold, b.Facts.Day())
	if err != nil {
		b.Trouble = append(b.Trouble, s.troubleOf(b, err, field))
	}
	return d
}

// cut shows the latest days and makes the way to those before.
func (p *givenPage) cut(q url.Values) {
	q.Del("done")
	q.Del("left")
	s := url.Values{}
	for k, v := range q {
		s[k] = v
	}
	s.Set("struck", "1")
	p.Strike = "/given?" + s.Encode() + "#struck"
	n := 0
	for i, d := range p.Days {
		if n += len(d.Gifts); n > logEntries && i > 0 {
			q.Set("to", d.Day.String())
			q.Del("struck")
			p.Earlier = "/given?" + q.Encode()
			p.Days = p.Days[:i]
			return
		}
	}
}

// GiftSays puts an entry into words.
func (b *Base) GiftSays(g season.Gift) string {
	switch g.Kind {
	case season.GiftLeft:
		return b.T("given.left", "Volume", b.S.Amount(g.Volume))
	case season.GiftTaken:
		return b.T("given.taken", "Volume", b.S.Amount(g.Volume))
	case season.GiftNotFed:
		return b.T("given.notfed", "Why", b.T("notfed."+g.Why))
	}
	if g.Feed == ledger.Syrup {
		return b.T("given.syrup", "Volume", b.S.Amount(g.Volume), "Strength", b.S.Strength(g.Strength))
	}
	if g.From != "" {
		return b.T("given.from", "Mass", b.S.Amount(g.Mass), "Feed", b.T("feed."+string(g.Feed)), "From", g.From)
	}
	if g.Lot != "" {
		return b.T("given.mass.lot", "Mass", b.S.Amount(g.Mass), "Feed", b.T("feed."+string(g.Feed)), "Lot", g.Lot)
	}
	return b.T("given.mass", "Mass", b.S.Amount(g.Mass), "Feed", b.T("feed."+string(g.Feed)))
}

// SumSays puts a sum into words: only what there is.
func (b *Base) SumSays(s season.GiftSum) string {
	var out []string
	if s.Fills > 0 {
		out = append(out, b.T("given.sum.syrup", "N", s.Fills, "Volume", b.S.VolumeBig(s.Syrup)))
	}
	for _, x := range []struct {
		key string
		m   units.Mass
	}{{"fondant", s.Fondant}, {"dry-sugar", s.Dry}, {"frames", s.Comb}, {"protein", s.Protein}} {
		if x.m > 0 {
			out = append(out, b.T("given.sum.mass", "Mass", b.S.Mass(x.m), "Feed", b.T("feed."+x.key)))
		}
	}
	if s.Looks > 0 {
		out = append(out, b.T("given.sum.taken", "Volume", b.S.VolumeBig(s.Taken)))
	}
	return strings.Join(out, " · ")
}
