package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

type sheetsPage struct {
	Base
	Ask      sheetsAsk
	Days     []Option
	Yards    []Option
	Papers   []Option
	Sack     units.Mass // that sugar is bought in, where nothing is typed
	Rows     []sheetRow
	All      *sheetRow // everything for the day, nil when nothing goes out
	Empty    bool      // no hives
	Loopback string    // the address for the codes, if only this computer has it
}

// sheetsAsk is what the keeper chose, as it stands in the address of every sheet.
type sheetsAsk struct {
	Day     units.Day
	Yard    string // "" = all
	Paper   sheet.Paper
	Sack    string // as typed, "" = the usual
	Address string // for the codes on labels
	Skip    []string
}

// DayValue and PaperValue give the choices as the form sends them.
func (a sheetsAsk) DayValue() string { return a.Day.String() }

// PaperValue is the paper as the form sends it.
func (a sheetsAsk) PaperValue() string { return string(a.Paper) }

// SackValue gives what stands in the box for a sack: what was typed, else the
// usual one.
func (p *sheetsPage) SackValue() string {
	if p.Ask.Sack != "" {
		return p.Ask.Sack
	}
	return p.S.Mass(p.Sack)
}

// OpenMore tells whether the lesser choices are shown from the start.
func (p *sheetsPage) OpenMore() bool {
	return p.TroubleAt("sack") != "" || p.TroubleAt("address") != ""
}

// Codes tells whether the sheet has QR codes on it.
func (r sheetRow) Codes() bool { return r.Kind == "hives" || r.Kind == "yards" }

// Printed is what a line says of its last printing.
type Printed struct {
	When    units.Moment
	Changes int
	Say     string
}

// Printing says when a sheet was printed and what changed since.
func (p *sheetsPage) Printing(r sheetRow) Printed {
	x := Printed{r.Printed, r.Changes, ""}
	if r.Changes > 0 {
		x.Say = p.T("sheets.stale", "N", r.Changes, "When", p.S.Moment(r.Printed))
	} else {
		x.Say = p.T("sheets.fresh", "When", p.S.Moment(r.Printed))
	}
	return x
}

// sheetRow is one line of the list: a sheet that can be printed, or what it lacks.
type sheetRow struct {
	Kind    string
	Name    string
	First   bool // of its kind: it says what it is for
	Day     units.Day
	View    string // address of the page to print
	PDF     string
	Lacks   string
	Printed units.Moment // when it was last printed since the program began; zero = not
	Changes int          // acts written down since
}

// sheets answers: what do I print for tomorrow?
func (s *Server) sheets(w http.ResponseWriter, r *http.Request) {
	p := sheetsPage{Base: s.base(r, "sheets", "title.sheets")}
	s.house.view(func(st *season.State, _ units.Moment) { p.Sack = st.Sack() })
	shorts := s.shorts()
	p.Empty = len(shorts) == 0
	q := r.URL.Query()
	var why string
	plan, err := s.planFor(leftOut(q["skip"]), nil)
	if err != nil {
		why = s.troubleOf(&p.Base, err, "").Say
	}
	p.Ask, p.Trouble = s.readAsk(&p.Base, r, plan)
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusUnprocessableEntity
	}
	p.choices(s, plan)
	p.list(s, plan, why, shorts)
	s.show(w, code, "sheets", &p)
}

// leftOut makes the set of colonies that were left out of the plan.
func leftOut(ids []string) map[string]bool {
	skip := map[string]bool{}
	for _, id := range ids {
		skip[id] = true
	}
	return skip
}

// readAsk reads what was chosen. What cannot be read is told and stays typed.
func (s *Server) readAsk(b *Base, r *http.Request, plan *season.Planned) (sheetsAsk, []Trouble) {
	q := r.URL.Query()
	ask := sheetsAsk{Yard: q.Get("yard"), Sack: strings.TrimSpace(q.Get("sack")), Address: strings.TrimSpace(q.Get("address")), Skip: q["skip"]}
	var bad []Trouble
	trouble := func(field string, err error) {
		if err != nil {
			bad = append(bad, s.troubleOf(b, err, field))
		}
	}
	ask.Paper = sheet.Letter
	if b.S.System != units.US {
		ask.Paper = sheet.A4
	}
	var err error
	if v := q.Get("paper"); v != "" {
		if ask.Paper, err = sheet.ReadPaper(v); err != nil {
			trouble("paper", err)
			ask.Paper = sheet.Letter
		}
	}
	if v := q.Get("day"); v != "" {
		ask.Day, err = units.ParseDay(v)
		trouble("day", err)
	}
	if ask.Day == 0 && plan != nil && len(plan.Loads) > 0 {
		ask.Day = plan.Loads[0].Day
	}
	_, err = readSack(b, ask.Sack)
	trouble("sack", err)
	if ask.Address == "" {
		ask.Address = "http://" + r.Host
	}
	_, err = readAddress(ask.Address)
	trouble("address", err)
	return ask, bad
}

// readSack reads the weight of a sack; nothing is the usual one (0).
func readSack(b *Base, text string) (units.Mass, error) {
	if text == "" {
		return 0, nil
	}
	m, err := units.EnterMassIn(text, b.S.MassCol().Unit, b.S.Locale())
	if err != nil {
		return 0, err
	}
	if m.Q < 0.5 || m.Q > 1500 {
		return 0, fault.New(fault.OutOfRange, "", "no sack weighs that").WithHint("for example 50 lb or 25 kg")
	}
	return m.Q, nil
}

// readAddress reads the address that codes lead to: a web address without a path.
func readAddress(text string) (string, error) {
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.User != nil || strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Fragment != "" || len(text) > 200 {
		return "", fault.Newf(fault.NotUnderstood, "", "%q is not an address of this program", text).WithHint("for example http://192.168.1.20:8642")
	}
	return u.Scheme + "://" + u.Host, nil
}

// query writes what was chosen, as every sheet's address carries it.
func (a *sheetsAsk) query(more ...string) string {
	v := url.Values{"paper": {string(a.Paper)}}
	if len(a.Skip) > 0 {
		v["skip"] = a.Skip
	}
	for i := 0; i+1 < len(more); i += 2 {
		if more[i+1] != "" {
			v.Set(more[i], more[i+1])
		}
	}
	return v.Encode()
}

// choices fills the lists to choose from.
func (p *sheetsPage) choices(s *Server, plan *season.Planned) {
	if plan != nil {
		loads := map[units.Day]int{}
		for _, l := range plan.Loads {
			loads[l.Day]++
		}
		for _, l := range plan.Loads {
			if n := loads[l.Day]; n > 0 {
				p.Days = append(p.Days, Option{l.Day.String(), p.T("sheets.day.loads", "Day", p.S.DayYear(l.Day), "N", n)})
				loads[l.Day] = 0
			}
		}
		if n, ok := loads[p.Ask.Day]; !ok && n == 0 && p.Ask.Day != 0 {
			p.Days = append(p.Days, Option{p.Ask.Day.String(), p.S.DayYear(p.Ask.Day)})
		}
	}
	if len(p.Days) == 0 {
		p.Days = []Option{{"", p.T("sheets.day.none")}}
	}
	p.Yards = []Option{{"", p.T("short.yard.all")}}
	s.house.view(func(st *season.State, _ units.Moment) {
		for _, y := range st.Yards() {
			name := y.Name
			if name == "" {
				name = y.ID
			}
			p.Yards = append(p.Yards, Option{y.ID, name})
		}
	})
	for _, paper := range sheet.Papers() {
		p.Papers = append(p.Papers, Option{string(paper), p.T("sheets.paper." + string(paper))})
	}
	if u, err := url.Parse(p.Ask.Address); err == nil && loopback(u.Hostname()) {
		p.Loopback = p.Ask.Address
	}
}

func loopback(host string) bool {
	return host == "localhost" || host == "::1" || strings.HasPrefix(host, "127.")
}

// list makes the lines: first what the day needs in the order it is used, then
// what needs no day.
func (p *sheetsPage) list(s *Server, plan *season.Planned, why string, shorts []season.Short) {
	if p.Empty {
		return
	}
	ask := &p.Ask
	day := ask.Day.String()
	add := func(kind, name, lacks string, more ...string) {
		if p.Lent() && !lentSheets[kind] {
			return
		}
		row := sheetRow{Kind: kind, Name: name, Day: ask.Day, Lacks: lacks}
		row.First = len(p.Rows) == 0 || p.Rows[len(p.Rows)-1].Kind != kind
		if lacks == "" {
			q := ask.query(more...)
			row.View, row.PDF = "/sheets/"+kind+"?"+q, "/sheets/"+kind+".pdf?"+q
			row.Printed, row.Changes = s.printed(kind + "?" + q)
		}
		p.Rows = append(p.Rows, row)
	}
	batches, loads, rounds := 0, 0, 0
	if plan != nil {
		for i, b := range plan.Batches {
			if b.Day == ask.Day {
				batches++
				add("batch", p.T("sheets.batch.name", "No", i+1), "", "n", strconv.Itoa(i+1))
			}
		}
		served := map[string]bool{}
		for _, l := range plan.Loads {
			if l.Day != ask.Day {
				continue
			}
			loads++
			add("load", p.T("sheets.load.name", "No", l.N), "", "n", strconv.Itoa(l.N))
			for _, st := range l.Stops {
				if !served[st.Yard] && (ask.Yard == "" || ask.Yard == st.Yard) {
					served[st.Yard] = true
					rounds++
					add("yard", optionLabel(p.Yards, st.Yard), "", "yard", st.Yard, "day", day)
				}
			}
		}
	}
	lack := func(n int, kind, key string) {
		switch {
		case n > 0:
		case why != "":
			add(kind, "", why)
		case plan != nil && len(plan.Loads) == 0:
			add(kind, "", p.T("sheets.lacks.nothing"))
		default:
			add(kind, "", p.T(key))
		}
	}
	lack(batches, "batch", "sheets.lacks.batches")
	lack(loads, "load", "sheets.lacks.loads")
	lack(rounds, "yard", "sheets.lacks.round")
	yard := optionLabel(p.Yards, ask.Yard)
	noHives := ""
	if ask.Yard != "" && !anyIn(shorts, ask.Yard) {
		noHives = p.T("sheets.lacks.hives")
	}
	add("heft", yard, noHives, "yard", ask.Yard)
	add("winter", yard, noHives, "yard", ask.Yard)
	switch {
	case why != "":
		add("shopping", "", why)
	case len(plan.Loads) == 0:
		add("shopping", "", p.T("sheets.lacks.nothing"))
	default:
		add("shopping", p.T("sheets.shopping.name"), "", "sack", ask.Sack)
	}
	add("hives", yard, noHives, "yard", ask.Yard, "address", ask.Address)
	add("yards", p.T("sheets.yards.name"), "", "address", ask.Address)
	tanks := ""
	s.house.view(func(st *season.State, at units.Moment) {
		if len(st.OnHandBatches(at)) == 0 {
			tanks = p.T("sheets.lacks.mixed")
		}
	})
	add("tank", p.T("sheets.tanks.name"), tanks)
	add("inspector", p.T("sheets.inspector.name"), "")
	lacksTank := ""
	s.house.view(func(st *season.State, _ units.Moment) {
		if !st.Settings.TankTold() {
			lacksTank = p.T("sheets.lacks.tank")
		}
	})
	add("dip", p.T("sheets.dip.name"), lacksTank)
	if batches+loads > 0 && !p.Lent() {
		q := ask.query("day", day, "sack", ask.Sack)
		p.All = &sheetRow{Kind: "day", Day: ask.Day, View: "/sheets/day?" + q, PDF: "/sheets/day.pdf?" + q}
		p.All.Printed, p.All.Changes = s.printed("day?" + q)
	}
}

func anyIn(shorts []season.Short, yard string) bool {
	for i := range shorts {
		if shorts[i].Colony.Yard == yard {
			return true
		}
	}
	return false
}

func optionLabel(options []Option, value string) string {
	for _, o := range options {
		if o.Value == value {
			return o.Label
		}
	}
	return value
}
