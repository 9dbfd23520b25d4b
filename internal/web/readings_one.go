package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"slices"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// oneHivePage is the sheet of readings one hive at a time, for the phone.
type oneHivePage struct {
	Base
	Yard     string
	Way      stores.Way
	Unit     string
	FeedUnit string
	Hive     string
	In       string // name of its yard
	N, Of    int
	Now      string
	Cells    season.Cells
	Seen     string // words by which it was shown to be unlikely
	Ask      bool
	Before   string // hives beside it in walking order, "" = none
	After    string
	Doc      string // all hives as JSON, for a phone without signal; "" = too many
}

// phoneHives is the most hives a phone takes along on this page.
const phoneHives = 2000

// readingsDoc is what the script needs to go from hive to hive without signal.
type readingsDoc struct {
	Hives []readingsHive    `json:"hives"`
	Words map[string]string `json:"words"`
	Feed  string            `json:"feed"` // unit of what is in a feeder
}

type readingsHive struct {
	Hive string `json:"hive"`
	Yard string `json:"yard"`
	In   string `json:"in"`  // name of the yard
	Now  string `json:"now"` // what is known of its stores
}

// doc makes that document of all hives of the book, in walking order.
func (p *oneHivePage) doc(round []*season.Colony, names map[string]string, shorts []season.Short) string {
	if len(round) > phoneHives {
		return ""
	}
	now := map[string]string{}
	for i := range shorts {
		now[shorts[i].Colony.ID] = p.stands(&shorts[i])
	}
	d := readingsDoc{Hives: []readingsHive{}, Words: p.yardWords(), Feed: p.FeedUnit}
	for _, c := range round {
		d.Hives = append(d.Hives, readingsHive{c.ID, c.Yard, names[c.Yard], p.T("readings.now", "Say", now[c.ID])})
	}
	raw, err := json.Marshal(d)
	if err != nil {
		panic("web: " + err.Error()) // strings of ours
	}
	return string(raw)
}

// Ways lists the ways of reading.
func (oneHivePage) Ways() []stores.Way { return sheetWays }

// At gives the address of another hive of the same round.
func (p *oneHivePage) At(hive string) string {
	return "/readings/one?" + url.Values{"yard": {p.Yard}, "way": {string(p.Way)}, "unit": {p.Unit}, "hive": {hive}}.Encode()
}

// readOne asks for the reading of one hive.
func (s *Server) readOne(w http.ResponseWriter, r *http.Request) {
	p, err := s.oneHive(r, r.URL.Query())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.show(w, http.StatusOK, "readings-one", p)
}

// oneHive makes the page of the hive that q names, else of the first.
func (s *Server) oneHive(r *http.Request, q url.Values) (*oneHivePage, error) {
	p := &oneHivePage{Base: s.base(r, "readings-one", "title.readings"), Yard: q.Get("yard"), Way: stores.Way(q.Get("way")), Unit: q.Get("unit")}
	if !slices.Contains(sheetWays, p.Way) {
		p.Way = stores.Full
	}
	if p.Unit != "lb" && p.Unit != "kg" {
		p.Unit = p.S.MassCol().Unit
	}
	p.FeedUnit = p.S.VolumeSmallCol().Unit
	var round, all []*season.Colony
	var names map[string]string
	s.house.view(func(st *season.State, _ units.Moment) {
		names = yardNames(st)
		for _, c := range st.Colonies() {
			if c.State != apiary.Alive {
				continue
			}
			all = append(all, &season.Colony{Colony: c.Colony})
			if p.Yard == "" || c.Yard == p.Yard {
				round = append(round, all[len(all)-1])
			}
		}
	})
	if p.Of = len(round); p.Of == 0 {
		return p, nil
	}
	i := 0
	if id := q.Get("hive"); id != "" {
		if i = slices.IndexFunc(round, func(c *season.Colony) bool { return c.ID == id }); i < 0 {
			return nil, fault.Newf(fault.NotFound, "", "there is no hive %s here", id).WithHint("Yards and hives lists those there are")
		}
	}
	p.N, p.Hive, p.In = i+1, round[i].ID, names[round[i].Yard]
	if i > 0 {
		p.Before = round[i-1].ID
	}
	if i+1 < len(round) {
		p.After = round[i+1].ID
	}
	shorts := s.shorts()
	for i := range shorts {
		if shorts[i].Colony.ID == p.Hive {
			p.Now = p.stands(&shorts[i])
		}
	}
	p.Doc = p.doc(all, names, shorts)
	return p, nil
}

// saveReadOne keeps one reading and goes on to the next hive.
func (s *Server) saveReadOne(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	p, err := s.oneHive(r, r.PostForm)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	sheet := season.Sheet{Way: p.Way, Unit: p.Unit, FeedUnit: p.FeedUnit, Locale: p.S.Locale(), Seen: p.Facts} // seen just now
	rows, err := s.typedRows(&p.Base, sheet, url.Values{"hive.0": {p.Hive}, "first.0": {r.PostForm.Get("first")}, "second.0": {r.PostForm.Get("second")},
		"feeder.0": {r.PostForm.Get("feeder")}, "note.0": {r.PostForm.Get("note")}, "kept.0": {r.PostForm.Get("kept")}})
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if len(rows) == 0 {
		s.fail(w, r, fault.New(fault.NotFound, "", "this hive is no longer here"))
		return
	}
	t := &rows[0]
	for cell, x := range t.bad(&p.Base) {
		p.Trouble = append(p.Trouble, Trouble{Field: cell, Say: x.Say, Hint: x.Hint})
	}
	if len(p.Trouble) == 0 && len(t.makes.Ask) > 0 && t.kept != t.key() {
		p.Ask, p.Seen = true, t.key()
		for _, a := range t.makes.Ask {
			p.Trouble = append(p.Trouble, Trouble{Field: season.CellFirst, Say: p.T("readings.ask") + " " + a, Hint: p.T("readings.unlikely.hint")})
		}
	}
	if len(p.Trouble) == 0 && len(t.draft.Bodies) == 0 && !t.draft.NotRead {
		p.Trouble = append(p.Trouble, Trouble{Field: season.CellFirst, Say: p.T("readings.nothing")})
	}
	if len(p.Trouble) > 0 {
		p.Cells = t.typed
		s.show(w, http.StatusUnprocessableEntity, "readings-one", p)
		return
	}
	var facts []season.Fact
	for _, body := range t.draft.Bodies {
		facts = append(facts, s.house.fact(sheet.Seen, "", body))
	}
	act, err := s.house.append(r.Context(), "readings", facts...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	to := "/readings?yard=" + url.QueryEscape(p.Yard)
	if p.After != "" {
		to = p.At(p.After)
	}
	s.done(w, r, to, act)
}

// Digits are the keys of the pad, as a telephone has them.
func (p *oneHivePage) Digits() []string {
	return []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", string(p.S.Locale().Decimal), "0"}
}
