package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// watchRows is how many colonies the winter watch shows at once, watchOpen of how
// many the fan is open from the start.
const (
	watchRows = 30
	watchOpen = 3
)

type watchPage struct {
	Base
	Rows       []watchRow
	Yards      []season.WatchYard
	Starts     units.Day // the watch is not on yet: when it begins; 0 = it is on
	Anyway     bool      // looked at before it begins
	Spring     bool      // it is after the new year: spring's questions stand
	All        int
	Due        int // worth a heft
	Alarm      int
	Later      int // lasts the next weeks, but not to first forage
	Plain      int // reckoned by its target, for want of weather
	Blind      int // nobody can say how long it lasts
	Yard       string
	Prev, Next string
	Learned    []season.Learned
	Day        string // as typed in the form of spring
	Asked      string // yard the form was for
}

// watchRow is one colony.
type watchRow struct {
	season.Watching
	Called string
	Fanned *sheet.Drawing
	Open   bool
}

// Heft gives the address where its heft is typed with one thumb.
func (r watchRow) Heft() string {
	return "/readings/one?" + url.Values{"yard": {r.Colony.Yard}, "hive": {r.Colony.ID}, "way": {"lift2"}}.Encode()
}

// Pressing is the key of the word for how pressing it is.
func (r watchRow) Pressing() string {
	return "watch.level." + strings.ReplaceAll(string(r.Level), " ", "-")
}

// LowDay gives the day from which it runs low, "" where it lasts to first forage.
func (p *watchPage) LowDay(r watchRow) string {
	if d, ok := r.ShortOn(); ok && d != 0 {
		return p.S.Date(d)
	}
	return ""
}

// LowKnown tells whether that is known.
func (r watchRow) LowKnown() bool {
	_, ok := r.ShortOn()
	return ok
}

// watch answers: which are running low now, and by when empty?
func (s *Server) watch(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "watch", s.watchPage(r))
}

// needsWatch starts the watch.
func (s *Server) needsWatch(*http.Request) []*task { return []*task{s.watchTask()} }

func (s *Server) watchTask() *task {
	return s.house.begin("watch", func(st *season.State, at units.Moment, look season.Watch) any {
		l, err := st.WatchListWatched(at, 1, look)
		if err != nil {
			return err
		}
		return &l
	})
}

func (s *Server) watchPage(r *http.Request) *watchPage {
	q := r.URL.Query()
	p := &watchPage{Base: s.base(r, "watch", "title.watch"), Yard: q.Get("yard"), Anyway: q.Get("anyway") != ""}
	p.Day = p.S.Date(p.Facts.Day())
	all, err := wait[*season.WatchList](s.watchTask())
	if err != nil { // stopped by somebody who looked at it too
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, ""))
		return p
	}
	p.Learned = remember(s.house, "learned", func(st *season.State, at units.Moment) []season.Learned { return st.Learned(at) })
	p.Starts, p.Yards = all.Starts, all.Yards
	if p.Anyway {
		p.Starts = 0
	}
	p.Spring = slices.ContainsFunc(all.Yards, func(y season.WatchYard) bool { return y.Spring })
	names := map[string]string{}
	for _, y := range all.Yards {
		names[y.Yard.ID] = y.Name
	}
	var rows []season.Watching
	for _, x := range all.Rows {
		if p.Yard != "" && x.Colony.Yard != p.Yard {
			continue
		}
		rows = append(rows, x)
		if x.Due {
			p.Due++
		}
		if x.Lack > 0 {
			p.Alarm++
		}
		if x.Later > 0 {
			p.Later++
		}
		if x.Plain.Known {
			p.Plain++
		} else if !x.Fan.Known {
			p.Blind++
		}
	}
	p.All = len(rows)
	if p.Starts == 0 {
		p.page(s, rows, q, names)
	}
	return p
}

// page cuts out the rows shown and draws their fans.
func (p *watchPage) page(s *Server, rows []season.Watching, q url.Values, names map[string]string) {
	n, _ := strconv.Atoi(q.Get("page")) // no number is the first page
	n = max(0, min(n, (len(rows)-1)/watchRows))
	from, to := n*watchRows, min(len(rows), (n+1)*watchRows)
	at := func(k int) string {
		q.Set("page", strconv.Itoa(k))
		q.Del("done")
		return "/winter?" + q.Encode()
	}
	if n > 0 {
		p.Prev = at(n - 1)
	}
	if to < len(rows) {
		p.Next = at(n + 1)
	}
	var ids []string
	for _, x := range rows[from:to] {
		ids = append(ids, x.Colony.ID)
	}
	fans := map[string]*season.Wintering{}
	var most units.Mass
	shown := remember(s.house, "fans "+strings.Join(ids, "\x00"), func(st *season.State, at units.Moment) []season.Wintering { return st.WinterWatch(at, 1, ids...) })
	for i := range shown {
		fans[shown[i].Colony.ID] = &shown[i]
		if f := &shown[i].Fan; f.Known {
			most = max(most, units.Mass(f.Stores[len(f.Stores)-1][0]))
		}
	}
	scale := sheet.MassScale(max(most, 10), p.S, 5)
	for i, x := range rows[from:to] {
		row := watchRow{Watching: x, Called: names[x.Colony.Yard], Open: n == 0 && i < watchOpen}
		if w := fans[x.Colony.ID]; w != nil && w.Fan.Known {
			d := sheet.FanOf(w, scale, p.S, p.T)
			row.Fanned = &d
		}
		p.Rows = append(p.Rows, row)
	}
}

// saveSpring keeps what was noted of a yard in spring: first forage seen, a
// programme of thin feed begun or ended.
func (s *Server) saveSpring(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	yard, what, typed := r.PathValue("yard"), r.PostForm.Get("what"), strings.TrimSpace(r.PostForm.Get("day-"+r.PathValue("yard")))
	p := s.watchPage(r)
	if !slices.ContainsFunc(p.Yards, func(y season.WatchYard) bool { return y.Yard.ID == yard }) || !slices.Contains(season.SpringNotes(), what) {
		s.fail(w, r, fault.New(fault.NotFound, yard, "there is no yard of this name").WithHint("see Yards and hives"))
		return
	}
	day, err := season.ReadDay(typed, season.OrderNotTold, p.Facts.Day())
	if err == nil && day > p.Facts.Day() {
		err = fault.New(fault.OutOfRange, "", "this day is still to come").WithHint("note it when it has come")
	}
	if err != nil {
		p.Day, p.Asked = typed, yard
		p.trouble(s.troubleOf(&p.Base, err, "day-"+yard))
		s.show(w, http.StatusUnprocessableEntity, "watch", p)
		return
	}
	act, err := s.house.append(r.Context(), "spring", s.house.fact(units.OnDay(day), "", apiary.Chore{Yard: yard, What: what}))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/winter?anyway=1", act)
}

// CauseWord gives the word for a cause of a dead-out.
func (p *Base) CauseWord(c string) string {
	if slices.Contains(causes, c) {
		return p.T("cause." + c)
	}
	if c == "" {
		return p.T("cause.unknown")
	}
	return c
}

// DayBox names the box for a yard's day, DayIn gives what stands in it.
func (p *watchPage) DayBox(yard string) string { return "day-" + yard }

// DayIn gives what stands in the box of a yard.
func (p *watchPage) DayIn(yard string) string {
	if p.Asked != "" && p.Asked != yard {
		return p.S.Date(p.Facts.Day())
	}
	return p.Day
}

// Notes lists what can be noted of a yard in spring.
func (p *watchPage) Notes(y season.WatchYard) []Option {
	var out []Option
	for _, n := range season.SpringNotes() {
		if (n == season.ProgrammeOff) == (y.Programme == "") && n != season.ForageBegan {
			continue
		}
		out = append(out, Option{n, p.T("spring." + n)})
	}
	return out
}
