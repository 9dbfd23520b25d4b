package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// shortRows is how many lines Who is short shows at once.
const shortRows = 100

type shortPage struct {
	Base
	Rows       []shortRow
	Sum        season.Totals // of all colonies
	Yards      []apiary.Yard
	Show       season.Show
	Sort       season.Sort
	Yard, Find string
	Axis       sheet.Drawing
	AddsUp     addsUp
	Syrup      string // the season's, as typed
	First      int    // of the lines shown, from 1
	Last, Of   int
	Prev, Next string // addresses of the pages before and after, "" = none
}

// shortRow is one colony.
type shortRow struct {
	*season.Short
	Bar    sheet.Drawing
	Dots   sheet.Drawing
	Ticked bool
	Old    bool // its reading is older than "season.look_days"
}

// addsUp is what the ticked colonies come to.
type addsUp struct {
	Hives int
	Plan  *season.Planned // nil when it cannot be planned
	Why   Trouble
}

// short answers: which colonies lack stores, by how much, how sure?
func (s *Server) short(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	p := shortPage{Base: s.base(r, "short", "title.short"), Show: season.Show(q.Get("show")), Sort: season.Sort(q.Get("sort")), Yard: q.Get("yard"), Find: q.Get("find")}
	if p.Show == "" {
		p.Show = season.ShowAll
	}
	if p.Sort == "" {
		p.Sort = season.ByShortage
	}
	shorts := s.shorts()
	p.Sum = season.Sum(shorts)
	days := s.figure("season.look_days")
	s.house.view(func(st *season.State, _ units.Moment) { p.Yards, p.Syrup = st.Yards(), st.Settings.Strength })
	// With ten thousand colonies putting them in order takes a fifth of the page.
	all := remember(s.house, "choose?"+url.Values{"show": {string(p.Show)}, "yard": {p.Yard}, "find": {p.Find}, "sort": {string(p.Sort)}}.Encode(),
		func(*season.State, units.Moment) []*season.Short {
			return season.Choose(shorts, p.Show, p.Yard, p.Find, p.Sort)
		})
	p.page(all, q, shorts, units.Day(days))
	p.AddsUp = s.addUp(r, skipped(shorts, q["tick"], q.Has("ticked")))
	s.show(w, http.StatusOK, "short", &p)
}

// page cuts the list into pages and draws the lines of one.
func (p *shortPage) page(all []*season.Short, q url.Values, shorts []season.Short, old units.Day) {
	n, _ := strconv.Atoi(q.Get("page")) // no number is the first page
	n = max(0, min(n, (len(all)-1)/shortRows))
	from, to := n*shortRows, min(len(all), (n+1)*shortRows)
	p.First, p.Last, p.Of = from+1, to, len(all)
	at := func(k int) string {
		q.Set("page", strconv.Itoa(k))
		q.Del("done")
		return "/short?" + q.Encode()
	}
	if n > 0 {
		p.Prev = at(n - 1)
	}
	if to < len(all) {
		p.Next = at(n + 1)
	}
	scale := barScale(shorts, p.S)
	p.Axis = sheet.BarAxis(scale, p.T("short.axis"))
	ticked, asked := map[string]bool{}, q.Has("ticked")
	for _, id := range q["tick"] {
		ticked[id] = true
	}
	for _, x := range all[from:to] {
		bar := sheet.BarOf(x, scale, p.S, p.T)
		row := shortRow{Short: x, Bar: sheet.StoresBar(bar), Ticked: x.ToFeed() && (!asked || ticked[x.Colony.ID]),
			Old: !x.ReadAt.IsZero() && p.Facts.Day()-x.ReadAt.Day() > old}
		bar.Title = sheet.DotsTitle(x, p.S, p.T)
		row.Dots = sheet.Dots(bar)
		p.Rows = append(p.Rows, row)
	}
}

// skipped gives the colonies to be fed that are not ticked; with nothing asked
// all are ticked.
func skipped(shorts []season.Short, tick []string, asked bool) map[string]bool {
	skip := map[string]bool{}
	if !asked {
		return skip
	}
	on := map[string]bool{}
	for _, id := range tick {
		on[id] = true
	}
	for i := range shorts {
		if id := shorts[i].Colony.ID; shorts[i].ToFeed() && !on[id] {
			skip[id] = true
		}
	}
	return skip
}

// needsTicked starts the plan for what is ticked.
func (s *Server) needsTicked(r *http.Request) []*task {
	q := r.URL.Query()
	return []*task{s.planTask(skipped(s.shorts(), q["tick"], q.Has("ticked")), nil)}
}

// addUp plans for all but the skipped and says what it comes to.
func (s *Server) addUp(r *http.Request, skip map[string]bool) addsUp {
	b := s.base(r, "short", "title.short")
	p, err := s.planFor(skip, nil)
	if err != nil {
		return addsUp{Why: s.troubleOf(&b, err, "")}
	}
	a := addsUp{Plan: p}
	for _, c := range p.Colonies {
		if c.Fills > 0 {
			a.Hives++
		}
	}
	return a
}

// Days counts the days on which a load goes out.
func (a addsUp) Days() int {
	days := map[units.Day]bool{}
	for _, l := range a.Plan.Loads {
		days[l.Day] = true
	}
	return len(days)
}

// shortSum answers the page's script: what the ticked come to, in words.
func (s *Server) shortSum(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		http.Error(w, "too much", http.StatusRequestEntityTooLarge)
		return
	}
	a := s.addUp(r, skipped(s.shorts(), r.PostForm["tick"], true))
	b := s.base(r, "short", "title.short")
	out := map[string]string{}
	if a.Plan == nil {
		out["trouble"] = strings.TrimSpace(a.Why.Say + ". " + a.Why.Hint)
	} else {
		t := a.Plan.Totals
		out["hives"], out["syrup"], out["sugar"] = b.S.Num(float64(a.Hives), 0), b.S.VolumeBig(t.Syrup), b.S.Mass(t.Sugar)
		out["loads"], out["days"], out["time"] = b.S.Num(float64(t.Loads), 0), b.S.Num(float64(a.Days()), 0), b.S.Duration(t.Time+t.Mixing)
	}
	w.Header().Set("Content-Type", "application/json")
	if err := json.NewEncoder(w).Encode(out); err != nil {
		s.log.Warn("short sum", "err", err) // the reader has gone
	}
}

// shortPlan goes to the plan for the ticked colonies.
func (s *Server) shortPlan(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	q := url.Values{}
	for _, x := range season.Choose(s.shorts(), season.ShowFeed, "", "", season.ByName) {
		if skipped([]season.Short{*x}, r.PostForm["tick"], true)[x.Colony.ID] {
			q.Add("skip", x.Colony.ID)
		}
	}
	http.Redirect(w, r, strings.TrimSuffix("/plan?"+q.Encode(), "?"), http.StatusSeeOther)
}

// shorts judges all colonies, once for each state of the facts.
func (s *Server) shorts() []season.Short {
	return remember(s.house, "short", func(st *season.State, at units.Moment) []season.Short { return st.Short(at) })
}

// figure gives one figure in force.
func (s *Server) figure(key string) float64 {
	var v float64
	s.house.view(func(st *season.State, _ units.Moment) {
		set, _ := st.Settings.FigureSet()
		v = set.V(key)
	})
	return v
}

// Word gives the message key of a chance word.
func (r shortRow) Word() string { return wordKey(r.Lack.Word) }

// wordKey names a chance word by its first part: "on the edge – heft again".
func wordKey(word string) string {
	word, _, _ = strings.Cut(word, " – ")
	return "chance." + strings.ReplaceAll(word, " ", "-")
}

// Shows lists the parts of the list that can be chosen.
func (shortPage) Shows() []season.Show {
	return []season.Show{season.ShowAll, season.ShowFeed, season.ShowUnknown, season.ShowNoRoom, season.ShowHeld}
}

// Sorts lists the orders that can be chosen.
func (shortPage) Sorts() []season.Sort {
	return []season.Sort{season.ByShortage, season.ByChance, season.ByName, season.ByRead}
}

// barScale is one axis for all strips: to the largest target or weight likely.
func barScale(shorts []season.Short, s units.Style) sheet.Scale {
	return sheet.MassScale(season.MostStores(shorts), s, 6)
}
