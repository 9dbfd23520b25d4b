package web

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"html/template"
	"mime"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

type printPage struct {
	Base
	Name  string // what the page is called
	Paper sheet.Paper
	Body  template.HTML
	PDF   string
}

// drawn is what was drawn for one request: a page's body or a PDF.
type drawn struct {
	page printPage
	file string // name of the PDF
	pdf  []byte
}

// sheetPrint gives one sheet, or all of a day: as a page to print, or with
// ".pdf" as a PDF. Both are made from the same value.
func (s *Server) sheetPrint(w http.ResponseWriter, r *http.Request) {
	d, err := wait[*drawn](s.printTask(r))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	kind, pdf := strings.CutSuffix(r.PathValue("kind"), ".pdf")
	s.prints.note(kind+"?"+r.URL.Query().Encode(), s.house, d.page.Facts)
	if !pdf {
		p := d.page
		p.Base = s.base(r, "print", "title.sheets")
		s.show(w, http.StatusOK, "print", &p)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "application/pdf")
	h.Set("Content-Disposition", mime.FormatMediaType("inline", map[string]string{"filename": d.file + ".pdf"}))
	h.Set("Content-Length", strconv.Itoa(len(d.pdf)))
	_, _ = w.Write(d.pdf) // the reader may have gone: nothing to be done
}

// lentSheet turns a helper away from the sheets that are the owner's.
func (s *Server) lentSheet(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if kind, _ := strings.CutSuffix(r.PathValue("kind"), ".pdf"); s.visitorOf(r).lent() && !lentSheets[kind] {
			s.fail(w, r, &notYours{fault.New(fault.Unsafe, "", "this sheet is the owner's").WithHint("ask the owner; he can do it")})
			return
		}
		next(w, r)
	}
}

// needsPrint starts the plan, and what is drawn from it.
func (s *Server) needsPrint(r *http.Request) []*task {
	return append(s.needsPlan(r), s.printTask(r))
}

// printTask starts the drawing of what is asked for.
func (s *Server) printTask(r *http.Request) *task {
	kind, pdf := strings.CutSuffix(r.PathValue("kind"), ".pdf")
	b, q, query := s.base(r, "print", "title.sheets"), r.URL.Query(), r.URL.RawQuery
	address := q.Get("address")
	if address == "" {
		address = "http://" + r.Host
	}
	return s.house.begin(fmt.Sprintf("print %t %s %s %s", pdf, kind, address, query), func(st *season.State, at units.Moment, look season.Watch) any {
		p := printPage{Base: b}
		p.Facts = at
		docs, err := s.docs(&b, st, at, kind, address, q, look)
		if err == nil && q.Get("paper") != "" {
			p.Paper, err = sheet.ReadPaper(q.Get("paper"))
		}
		if err != nil {
			return err
		}
		if p.Paper == "" {
			p.Paper = sheet.A4
			if b.S.System == units.US {
				p.Paper = sheet.Letter
			}
		}
		d := &drawn{file: docs[0].File}
		p.Name = docs[0].Kind + ": " + docs[0].Name
		if kind == "day" {
			p.Name = b.T("sheets.all", "Day", docs[0].When)
			if day, err := units.ParseDay(q.Get("day")); err == nil {
				d.file, p.Name = sheet.FileName("sheets", day.String()), b.T("sheets.all", "Day", b.S.DayYear(day))
			}
		}
		if pdf {
			var buf bytes.Buffer
			err = sheet.PDF(&buf, sheet.Print{Paper: p.Paper, Title: p.Name, Lang: b.Lang, Made: at.Time()}, docs...)
			d.pdf = buf.Bytes()
		} else {
			p.Body, err = sheet.HTML(p.Paper, docs...)
			p.PDF = "/sheets/" + kind + ".pdf?" + query
		}
		if err != nil {
			return fault.Wrap(err, "print "+kind)
		}
		d.page = p
		return d
	})
}

// inspectorCSV gives the inspector's report as a table.
func (s *Server) inspectorCSV(w http.ResponseWriter, r *http.Request) {
	b := s.base(r, "print", "title.sheets")
	var buf bytes.Buffer
	out := csv.NewWriter(&buf)
	_ = out.Write(sheet.InspectorHead()) // into memory: cannot fail
	s.house.view(func(st *season.State, at units.Moment) {
		src := sheet.Source{Style: b.S, T: b.T, State: st, At: at}
		for _, row := range sheet.InspectorRows(&src) {
			for i, c := range row { // a name that a spreadsheet would work out is text
				if c != "" && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
					row[i] = "'" + c
				}
			}
			_ = out.Write(row)
		}
	})
	out.Flush()
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="inspector.csv"`)
	_, _ = w.Write(buf.Bytes()) // the reader may have gone: nothing to be done
}

// docs makes the sheets that are asked for.
func (s *Server) docs(b *Base, st *season.State, at units.Moment, kind, address string, q url.Values, look season.Watch) ([]sheet.Doc, error) {
	src := sheet.Source{Style: b.S, T: b.T, Short: s.shorts(), State: st, At: at}
	if b.Lang != "en" && b.Lang != "" {
		src.En = func(key string, args ...any) string { return b.sc.texts.message("en", key, args) }
	}
	var err error
	if src.Sack, err = readSack(b, q.Get("sack")); err != nil {
		return nil, err
	}
	if src.Base, err = readAddress(address); err != nil {
		return nil, err
	}
	plan, planErr := s.planFor(leftOut(q["skip"]), nil)
	if kind == "trip" { // of the plan taken out, whatever the plan would be by now
		if _, doc, ok := st.Out(); ok {
			out := doc.Amounts()
			src.Plan = &out
		}
	} else if planErr == nil {
		src.Plan = plan
	} else if needsPlan[kind] {
		return nil, planErr
	}
	if kind == "winter" {
		list := st.WatchList(at, 1)
		src.Winter = &list
	}
	docs, err := sheetsOf(&src, kind, q, look)
	if err == nil && len(docs) == 0 {
		err = fault.New(fault.Missing, kind, "there is nothing to print").WithHint("see Sheets for what it lacks")
	}
	return docs, err
}

// lentSheets are the kinds a helper takes along.
var lentSheets = map[string]bool{"batch": true, "load": true, "yard": true, "trip": true, "heft": true, "winter": true, "dip": true}

// needsPlan are the kinds that are made from a plan.
var needsPlan = map[string]bool{"day": true, "batch": true, "load": true, "yard": true, "shopping": true}

func sheetsOf(src *sheet.Source, kind string, q url.Values, look season.Watch) ([]sheet.Doc, error) {
	one := func(d sheet.Doc, err error) ([]sheet.Doc, error) { return []sheet.Doc{d}, err }
	number := func() int {
		n, err := strconv.Atoi(q.Get("n"))
		if err != nil {
			return 0 // there is none of that number, and it says so
		}
		return n
	}
	switch kind {
	case "day", "yard":
		day := src.NextDay(q.Get("yard"))
		if v := q.Get("day"); v != "" {
			var err error
			if day, err = units.ParseDay(v); err != nil {
				return nil, err
			}
		}
		if kind == "day" {
			return sheet.ForDay(src, day)
		}
		return one(sheet.YardSheet(src, q.Get("yard"), day))
	case "trip":
		return sheet.ForTrip(src, number())
	case "batch":
		return one(sheet.BatchCard(src, number()))
	case "load":
		return one(sheet.LoadCard(src, number()))
	case "shopping":
		return one(sheet.Shopping(src))
	case "dip":
		return one(sheet.DipChart(src))
	case "heft":
		return eachYard(src, q.Get("yard"), look, sheet.HeftSheet)
	case "winter":
		return one(sheet.WinterList(src, q.Get("yard")))
	case "hives":
		return eachYard(src, q.Get("yard"), look, sheet.HiveLabels)
	case "yards":
		return one(sheet.YardLabels(src))
	case "inspector":
		return one(sheet.Inspector(src))
	case "tank":
		return one(sheet.TankLabels(src))
	}
	return nil, fault.New(fault.NotFound, kind, "there is no such sheet").WithHint("see Sheets for what can be printed")
}

// eachYard makes a sheet for one yard, or for every yard with hives.
func eachYard(src *sheet.Source, yard string, look season.Watch, of func(*sheet.Source, string) (sheet.Doc, error)) ([]sheet.Doc, error) {
	if yard != "" {
		d, err := of(src, yard)
		return []sheet.Doc{d}, err
	}
	var docs []sheet.Doc
	yards := src.State.Yards()
	for i, y := range yards {
		if !look(season.Progress{Stage: "print", Done: i, Of: len(yards)}) {
			return nil, fault.New(fault.Stopped, "", "stopped before it was printed").WithHint("nothing was changed; ask again when you like")
		}
		if !anyIn(src.Short, y.ID) {
			continue
		}
		d, err := of(src, y.ID)
		if err != nil {
			return nil, err
		}
		docs = append(docs, d)
	}
	return docs, nil
}

// prints remembers what was printed since the program began, so that the list
// can say that paper in the truck is older than what is known.
type prints struct {
	mu sync.Mutex
	m  map[string]printing
}

type printing struct {
	version uint64
	at      units.Moment
}

const keepPrints = 500

func (p *prints) note(key string, h *house, at units.Moment) {
	var version uint64
	h.view(func(*season.State, units.Moment) { version = h.version })
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.m == nil || len(p.m) >= keepPrints {
		p.m = map[string]printing{}
	}
	p.m[key] = printing{version, at}
}

// printed tells when a sheet was last printed and how many acts were written
// down since.
func (s *Server) printed(key string) (units.Moment, int) {
	s.prints.mu.Lock()
	x, ok := s.prints.m[key]
	s.prints.mu.Unlock()
	if !ok {
		return units.Moment{}, 0
	}
	var n int
	s.house.view(func(*season.State, units.Moment) { n = int(s.house.version - x.version) })
	return x.at, n
}

// hiveCode is where the QR code of a hive's label leads.
func (s *Server) hiveCode(w http.ResponseWriter, r *http.Request) {
	http.Redirect(w, r, "/hives/"+url.PathEscape(r.PathValue("id")), http.StatusSeeOther)
}

// yardCode is where the QR code of a yard's label leads.
func (s *Server) yardCode(w http.ResponseWriter, r *http.Request) {
	http.Redirect(w, r, "/yards/"+url.PathEscape(r.PathValue("id")), http.StatusSeeOther)
}

// sheetAssets adds the style of each paper.
func sheetAssets(sc *screens) {
	for _, p := range sheet.Papers() {
		sc.asset("sheet-"+string(p)+".css", sheet.CSS(p))
	}
}
