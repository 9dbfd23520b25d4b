package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// giveSheetPage is a yard's sheet of given and left.
type giveSheetPage struct {
	Base
	Yards   []apiary.Yard
	Yard    string
	Feed    ledger.Feed
	Day     string
	DaySays string
	Batch   string
	Batches []ledger.Batch
	Lot     string           // of what is given by weight
	Lots    []season.ShedLot // that it may come from
	Unit    string           // of what is given
	Litres  string           // unit of what is left
	Coming  *season.Coming
	Rows    []giveRow
	All     bool
}

// giveRow is one hive of the sheet.
type giveRow struct {
	I, N    int
	Hive    string
	Stand   int
	Holds   string
	Planned string // in words, "" = nothing
	Cells   season.GiftCells
	Bad     map[string]cellSays
	Kept    string // what was typed when it was asked about
}

// IsBad tells whether something is wrong with a cell.
func (r giveRow) IsBad(cell string) bool { _, bad := r.Bad[cell]; return bad }

// Feeds lists the kinds of feed.
func (giveSheetPage) Feeds() []ledger.Feed { return feeds }

// Whys lists the reasons for not feeding.
func (giveSheetPage) Whys() []string { return season.NotFedWhys() }

// Syrup tells whether syrup is given.
func (p *giveSheetPage) Syrup() bool { return p.Feed == ledger.Syrup }

// Combs tells whether frames are given.
func (p *giveSheetPage) Combs() bool { return p.Feed == ledger.Comb }

// HasLot tells whether what is given comes from a lot that was bought.
func (p *giveSheetPage) HasLot() bool { return !p.Syrup() && !p.Combs() }

// giveSheet shows a yard's sheet of given and left.
func (s *Server) giveSheet(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "given-sheet", s.giveSheetPage(r, r.URL.Query()))
}

// giveSheetPage makes the sheet q asks for: the yard of the coming load where it
// names none.
func (s *Server) giveSheetPage(r *http.Request, q url.Values) *giveSheetPage {
	p := &giveSheetPage{Base: s.base(r, "given-sheet", "title.givensheet"), Yard: q.Get("yard"), Feed: ledger.Feed(q.Get("feed")), Day: q.Get("day"), Batch: q.Get("batch")}
	if !slices.Contains(feeds, p.Feed) {
		p.Feed = ledger.Syrup
	}
	if strings.TrimSpace(p.Day) == "" {
		p.Day = p.Facts.Day().String()
	}
	if d, err := season.ReadDay(p.Day, season.OrderNotTold, p.Facts.Day()); err == nil {
		p.DaySays = p.S.DayYear(d)
	}
	p.Lot = strings.TrimSpace(q.Get("lot"))
	p.Litres = p.S.VolumeSmallCol().Unit
	p.Unit = p.Litres
	if !p.Syrup() {
		p.Unit = p.S.MassCol().Unit
	}
	plan, err := s.planFor(nil, nil)
	if err != nil {
		plan = nil // without a plan the sheet has no planned amounts, and is a sheet all the same
	}
	s.house.view(func(st *season.State, at units.Moment) {
		if p.Lots = st.LotsFor(p.Feed, at); len(p.Lots) > 0 && !q.Has("lot") {
			p.Lot = p.Lots[0].Lot.Lot // what is to be used first
		}
		p.Yards = slices.DeleteFunc(st.Yards(), func(y apiary.Yard) bool { return y.Closed })
		p.Batches = st.Batches()
		slices.Reverse(p.Batches)
		if p.Yard == "" {
			p.Yard = comingYard(st, p.Yards, plan)
		}
		if p.Syrup() {
			if c, ok := st.Coming(p.Yard, plan); ok {
				p.Coming = &c
			}
		}
		if len(p.Batches) > 0 && !q.Has("batch") {
			p.Batch = p.Batches[0].ID
		}
		for _, c := range st.Colonies() {
			if c.State == apiary.Alive && c.Yard == p.Yard {
				p.Rows = append(p.Rows, p.row(c))
			}
		}
	})
	return p
}

// comingYard is the yard that is to be fed first, else the first there is.
func comingYard(st *season.State, yards []apiary.Yard, plan *season.Planned) string {
	best, yard := units.Day(0), ""
	for _, y := range yards {
		if c, ok := st.Coming(y.ID, plan); ok && (yard == "" || c.Day < best) {
			best, yard = c.Day, y.ID
		}
	}
	if yard == "" && len(yards) > 0 {
		yard = yards[0].ID
	}
	return yard
}

func (p *giveSheetPage) row(c *season.Colony) giveRow {
	r := giveRow{I: len(p.Rows), N: len(p.Rows) + 1, Hive: c.ID, Stand: c.Stand, Cells: season.GiftCells{Colony: c.ID, Holds: c.FeederHolds()}}
	if r.Cells.Holds > 0 {
		r.Holds = p.S.VolumeSmall(r.Cells.Holds)
	}
	if p.Coming != nil {
		if v := p.Coming.Fill(c.ID); v > 0 {
			r.Cells.Planned, r.Planned = v, p.S.VolumeSmall(v)
			r.Cells.Was = p.S.VolumeSmallCol().Num(v)
			r.Cells.Given = r.Cells.Was
		}
	}
	return r
}

// saveGiveSheet keeps a sheet of given and left as one act.
func (s *Server) saveGiveSheet(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	f := r.PostForm
	p := s.giveSheetPage(r, f)
	p.Path = "/given/sheet"
	day, err := season.ReadDay(p.Day, season.OrderNotTold, p.Facts.Day())
	if err == nil && day > p.Facts.Day() {
		err = fault.New(fault.OutOfRange, "", "this day is still to come")
	}
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "day"))
	}
	sheet := season.GiftSheet{Feed: p.Feed, FeedUnit: p.Litres, MassUnit: p.S.MassCol().Unit, Batch: p.Batch, Lot: p.Lot, All: f.Get("all") != "", Locale: p.S.Locale()}
	if p.Coming != nil {
		sheet.Plan = p.Coming.Ref()
	}
	p.All = sheet.All
	typed, kept := map[string]season.GiftCells{}, map[string]string{}
	for i := 0; f.Has("hive." + strconv.Itoa(i)); i++ {
		at := func(cell string) string { return f.Get(cell + "." + strconv.Itoa(i)) }
		kept[at("hive")] = at("kept")
		typed[at("hive")] = season.GiftCells{Was: at("was"), Tick: at("tick") != "", Given: at("given"), Left: at("left"), Why: at("why"), From: at("from"), Note: at("note")}
	}
	var rows []season.GiftCells
	for i := range p.Rows {
		c := &p.Rows[i].Cells
		if t, ok := typed[c.Colony]; ok {
			t.Colony, t.Holds, t.Planned = c.Colony, c.Holds, c.Planned
			if t.Was != c.Was && (t.Tick || sheet.All && t.Was != "") {
				t.Was = "" // the plan moved on while this was typed: what was shown then is what was given
			}
			*c = t
		}
		rows = append(rows, *c)
	}
	var drafts []season.DraftedGift
	s.house.view(func(st *season.State, _ units.Moment) { drafts = st.DraftGifts(sheet, rows) })
	var bodies []season.SeenBody
	for i := range drafts {
		for _, b := range drafts[i].Bodies {
			bodies = append(bodies, season.SeenBody{Seen: units.OnDay(day), Body: b})
		}
		p.mark(i, &drafts[i], kept[drafts[i].Cells.Colony])
	}
	if len(p.Trouble) == 0 && len(bodies) == 0 {
		p.Trouble = append(p.Trouble, Trouble{Say: p.T("given.nothing")})
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "given-sheet", p)
		return
	}
	act, err := s.house.append(r.Context(), "given", s.factsOf(bodies)...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/given?"+url.Values{"yard": {p.Yard}}.Encode(), act)
}

// mark shows what is wrong with a row, and asks about what is unlikely unless it
// was kept when it was asked about before.
func (p *giveSheetPage) mark(i int, d *season.DraftedGift, kept string) {
	row := &p.Rows[i]
	row.Bad = map[string]cellSays{}
	if key := d.Cells.Given + "|" + d.Cells.Left; kept == key {
		row.Kept = key
	} else if len(d.Trouble) == 0 {
		for _, f := range d.Over {
			t := p.unlikely(f.Cell+"-"+strconv.Itoa(i), row.Hive, f)
			row.Bad[f.Cell] = cellSays{p.T("readings.ask") + " " + p.overFull(f), t.Hint}
			row.Kept = key
			p.Trouble = append(p.Trouble, t)
		}
	}
	for _, t := range d.Trouble {
		c := cellSays{p.Say(t.Say), p.sc.texts.sentence(p.S, t.Hint, nil)}
		row.Bad[t.Cell] = c
		p.Trouble = append(p.Trouble, Trouble{Field: t.Cell + "-" + strconv.Itoa(i), Say: row.Hive + ": " + c.Say, Hint: c.Hint})
	}
}

// overFull says that more was typed than a feeder holds.
func (b *Base) overFull(f season.OverFull) string {
	return b.T("given.overfull", "Amount", b.S.Amount(f.Volume), "Holds", b.S.VolumeSmall(f.Holds))
}

// unlikely asks about it: it is kept when it is saved once more.
func (b *Base) unlikely(field, hive string, f season.OverFull) Trouble {
	return Trouble{Field: field, Say: b.T("readings.unlikely", "Hive", hive, "Why", b.overFull(f)), Hint: b.T("readings.unlikely.hint")}
}
