package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// sheetRows is how many hives one sheet of readings shows: as many as a keeper
// types in one go.
const sheetRows = 300

// sheetWays are the ways of reading a sheet may be in. The automatic scale comes
// by file.
var sheetWays = []stores.Way{stores.Full, stores.LiftBoth, stores.LiftOne, stores.Frames, stores.Hand}

type readingsPage struct {
	Base
	Yards      []apiary.Yard
	Yard       string
	Way        stores.Way
	Unit       string // of weights without one
	FeedUnit   string // of what is in feeders
	Day        string // as typed
	DaySays    string // the day in words, "" when it cannot be read
	Rows       []readingsRow
	From       int // number of the first row less one
	Of         int
	Prev, Next string
	Good, Bad  int  // rows of a form that could not be taken whole
	Ask        int  // rows that are unlikely and not said to be kept
	Saved      bool // this page follows a save: drafts kept by the browser go
	Kept       bool // rows stay typed from a save before
}

// readingsRow is one hive of the sheet.
type readingsRow struct {
	I     int // place in the form
	N     int // number on the sheet, from 1
	Hive  string
	Yard  string
	Cells season.Cells
	Now   string              // what is believed of it
	Makes rowSays             // what the row as typed makes of it
	Bad   map[string]cellSays // by cell
}

// IsBad tells whether something is wrong with a cell.
func (r readingsRow) IsBad(cell string) bool { _, bad := r.Bad[cell]; return bad }

// Seen gives the words by which the row was shown to be unlikely; "" = it is
// not.
func (r readingsRow) Seen() string {
	if len(r.Makes.Ask) == 0 {
		return ""
	}
	return cellsKey(r.Cells)
}

// rowSays is what a typed row comes to, in words.
type rowSays struct {
	Read string   `json:"read,omitempty"` // as it was understood
	Say  string   `json:"say,omitempty"`  // stores and shortage
	Ask  []string `json:"ask,omitempty"`  // why it is unlikely
}

// cellSays is what is wrong with a cell.
type cellSays struct {
	Say  string `json:"say"`
	Hint string `json:"hint,omitempty"`
}

// Ways lists the ways a sheet may be in.
func (readingsPage) Ways() []stores.Way { return sheetWays }

// Units lists the units of weight a sheet may be in.
func (readingsPage) Units() []string { return []string{"lb", "kg"} }

// Second tells whether the column of the second lift is wanted.
func (p *readingsPage) Second() bool {
	return p.Way == stores.LiftBoth || slices.ContainsFunc(p.Rows, func(r readingsRow) bool { return r.Cells.Second != "" || r.Cells.Way == string(stores.LiftBoth) })
}

// Fresh tells whether nothing of the page was typed before.
func (p *readingsPage) Fresh() bool { return len(p.Trouble) == 0 && !p.Kept }

// readings is the sheet to type weights and hefts into.
func (s *Server) readings(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	p := s.readingsPage(r, q)
	p.Saved = p.Status != nil && p.Status.Key == "done.readings"
	if left, ok := fromShelf[leftover](&s.shelf, q.Get("left")); ok {
		p.Kept = true
		p.fill(left.rows)
		p.Way, p.Unit, p.Day, p.DaySays = left.sheet.Way, left.sheet.Unit, left.day, p.S.DayYear(left.sheet.Seen.Day())
	}
	s.show(w, http.StatusOK, "readings", p)
}

// readingsPage makes the sheet of what q asks for: a yard or all, a way, a unit,
// a day.
func (s *Server) readingsPage(r *http.Request, q url.Values) *readingsPage {
	p := &readingsPage{Base: s.base(r, "readings", "title.readings"), Yard: q.Get("yard"), Way: stores.Way(q.Get("way")), Unit: q.Get("unit"), Day: q.Get("day")}
	if !slices.Contains(sheetWays, p.Way) {
		p.Way = stores.Full
	}
	if !slices.Contains(p.Units(), p.Unit) {
		p.Unit = p.S.MassCol().Unit
	}
	p.FeedUnit = p.S.VolumeSmallCol().Unit
	if p.Day == "" {
		p.Day = p.Facts.Day().String()
	}
	if d, err := season.ReadDay(p.Day, season.OrderNotTold, p.Facts.Day()); err == nil {
		p.DaySays = p.S.DayYear(d)
	}
	var names map[string]string
	s.house.view(func(st *season.State, _ units.Moment) {
		p.Yards, names = st.Yards(), yardNames(st)
		for _, c := range st.Colonies() {
			if c.State == apiary.Alive && (p.Yard == "" || c.Yard == p.Yard) {
				p.Rows = append(p.Rows, readingsRow{Hive: c.ID, Yard: names[c.Yard], Cells: season.Cells{Colony: c.ID}})
			}
		}
	})
	p.cut(q)
	at := map[string]int{}
	for i := range p.Rows {
		at[p.Rows[i].Hive] = i
	}
	shorts := s.shorts()
	for k := range shorts { // in words only for those shown
		if i, ok := at[shorts[k].Colony.ID]; ok {
			p.Rows[i].Now = p.stands(&shorts[k])
		}
	}
	return p
}

// cut shows one sheet's worth of the hives.
func (p *readingsPage) cut(q url.Values) {
	p.Of = len(p.Rows)
	n, _ := strconv.Atoi(q.Get("page")) // no number is the first page
	n = max(0, min(n, (p.Of-1)/sheetRows))
	p.From = n * sheetRows
	p.Rows = p.Rows[p.From:min(p.Of, p.From+sheetRows)]
	for i := range p.Rows {
		p.Rows[i].I, p.Rows[i].N = i, p.From+i+1
	}
	at := func(k int) string {
		v := url.Values{"yard": {p.Yard}, "way": {string(p.Way)}, "unit": {p.Unit}, "day": {p.Day}, "page": {strconv.Itoa(k)}}
		return "/readings?" + v.Encode()
	}
	if n > 0 {
		p.Prev = at(n - 1)
	}
	if p.From+sheetRows < p.Of {
		p.Next = at(n + 1)
	}
}

// fill puts typed cells into the rows of their hives.
func (p *readingsPage) fill(rows []typedRow) {
	by := map[string]*typedRow{}
	for i := range rows {
		by[rows[i].draft.Cells.Colony] = &rows[i]
	}
	for i := range p.Rows {
		if t, ok := by[p.Rows[i].Hive]; ok {
			p.Rows[i].Cells = t.typed
			p.Rows[i].Bad = t.bad(&p.Base)
			p.Rows[i].Makes = t.makes
		}
	}
}

// stands says what is believed of a colony now.
func (b *Base) stands(x *season.Short) string {
	e := x.Stores()
	if !e.Known {
		return b.T("readings.unknown")
	}
	mass := b.S.MassPM(units.Mass(e.Mean), units.Mass(e.SD))
	switch {
	case !x.Lack.Known:
		return b.T("readings.makes", "Stores", mass)
	case x.Lack.Short > 0:
		return b.T("readings.makes.short", "Stores", mass, "Short", b.S.Mass(x.Lack.Short))
	}
	return b.T("readings.makes.enough", "Stores", mass)
}

// says gives reasons in words.
func (b *Base) says(rs []feeding.Reason) []string {
	var out []string
	for _, r := range rs {
		out = append(out, b.Say(r))
	}
	return out
}
