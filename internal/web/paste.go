package web

import (
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/units"
)

// How much of a pasted table the preview shows.
const (
	previewRows  = 10
	previewBad   = 100
	previewNames = 60
)

type pastePage struct {
	Base
	Text    string // as pasted
	Read    *season.PasteRead
	Columns []pasteColumn
	First   []pasteLine // the first rows, as they will be kept
	Bad     []pasteLine // rows that cannot be taken
	Names   []pasteName
	More    int // names beyond those listed
	Head    bool
	Unit    string
	Day     string
	NeedDay bool // no column holds the day
	AllAs   string
	Yards   []apiary.Yard
	NewYard string
	Stack   string
	Feeder  string
	Hives   []string // to match names to
}

// pasteColumn is one column and what it is taken for.
type pasteColumn struct {
	I       int
	Head    string
	Samples []string
	season.PasteColumn
}

// No is the number of the column, from 1.
func (c pasteColumn) No() int { return c.I + 1 }

// pasteLine is one row of the table, in words.
type pasteLine struct {
	N          int
	Name, Hive string
	Day        string
	Read       string
	Fate       season.PasteFate
	Why        []string
}

// pasteName is a name that is no hive of ours, and its place in the form.
type pasteName struct {
	I int
	season.PasteName
	Do    string // "new", "leave" or "match"
	Match string
}

// Fields lists what a column may be taken for.
func (pastePage) Fields() []season.Field { return season.Fields }

// Taken gives how many rows would be kept.
func (p *pastePage) Taken() int { return p.Read.Fates[season.FateTake] }

// Count gives how many rows have a fate.
func (p *pastePage) Count(fate string) int { return p.Read.Fates[season.PasteFate(fate)] }

// StackField is the choice of woodenware for new hives.
func (p *pastePage) StackField() Field {
	return p.Choose("stack", "paste.stack", p.Stack, "", p.stackOptions(p.Stack))
}

// FeederField is the choice of feeder for new hives.
func (p *pastePage) FeederField() Field {
	return p.Choose("feeder", "paste.feeder", p.Feeder, "", p.feederOptions())
}

// paste asks for a table.
func (s *Server) paste(w http.ResponseWriter, r *http.Request) {
	p := pastePage{Base: s.base(r, "paste", "title.paste")}
	s.show(w, http.StatusOK, "paste", &p)
}

// previewPaste shows how a pasted table will be taken. Nothing is kept.
func (s *Server) previewPaste(w http.ResponseWriter, r *http.Request) {
	p, err := s.readPaste(w, r)
	code := http.StatusOK
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "text"))
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "paste", p)
}

// readPaste reads the form of a table and works out what it comes to. Its page
// is there even when there is an error.
func (s *Server) readPaste(w http.ResponseWriter, r *http.Request) (*pastePage, error) {
	r.Body = http.MaxBytesReader(w, r.Body, 3*tableBytes) // the text again, and what was chosen
	formErr := parseUpload(r, 3*tableBytes, fault.Newf(fault.OutOfRange, "", "the file has more than %d MB", tableBytes>>20).WithHint("paste only the columns with the hives and what was read"))
	p := &pastePage{Base: s.base(r, "paste", "title.paste"), Text: r.PostFormValue("text")}
	p.Path = "/readings/paste"
	if formErr != nil {
		return p, formErr
	}
	if b, ok, err := uploaded(r, "file", tableBytes); err != nil {
		return p, err
	} else if ok {
		if p.Text, err = tableText(b); err != nil {
			return p, err
		}
	}
	if len(p.Text) > 3*tableBytes/2 {
		return p, fault.Newf(fault.OutOfRange, "", "the table has more than %d MB", tableBytes>>20)
	}
	rows, err := cutTable(p.Text)
	if err != nil {
		return p, err
	}
	first := 1
	rows, first = belowTitle(rows, first)
	if len(rows) == 0 {
		return p, fault.New(fault.Missing, "", "nothing was pasted").WithHint("copy the rows in your spreadsheet and paste them here")
	}
	return p, s.takePaste(p, r.PostForm, rows, first)
}

// parseUpload reads a form that may bring a file; a plain form will do as well.
// Faults: tooBig when it is longer than may come, fault.NotUnderstood when it is no
// form, or what was typed is no text.
func parseUpload(r *http.Request, memory int64, tooBig error) error {
	err := r.ParseMultipartForm(memory)
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		return tooBig
	case err != nil && !errors.Is(err, http.ErrNotMultipart), r.MultipartForm != nil && !isText(r.MultipartForm.Value):
		return fault.New(fault.NotUnderstood, "", "this form cannot be read")
	}
	return nil
}

// uploaded gives the bytes of a file of the form, if one was chosen: one more than
// most of one that is too long.
func uploaded(r *http.Request, name string, most int64) ([]byte, bool, error) {
	if r.MultipartForm == nil || len(r.MultipartForm.File[name]) == 0 {
		return nil, false, nil
	}
	h := r.MultipartForm.File[name][0]
	if h.Size == 0 {
		return nil, false, nil
	}
	f, err := h.Open()
	if err != nil {
		return nil, false, fault.Wrap(err, "open upload")
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, most+1))
	return b, true, fault.Wrap(err, "read upload")
}

// belowTitle passes over blank rows and a title above the table.
func belowTitle(rows [][]string, first int) ([][]string, int) {
	wide := 0
	for _, r := range rows {
		wide = max(wide, filled(r))
	}
	for len(rows) > 0 && (filled(rows[0]) == 0 || filled(rows[0]) == 1 && wide > 1 && first <= 5) {
		rows, first = rows[1:], first+1
	}
	return rows, first
}

func filled(row []string) int {
	n := 0
	for _, c := range row {
		if strings.TrimSpace(c) != "" {
			n++
		}
	}
	return n
}

// takePaste works out the table by what was chosen in the form.
func (s *Server) takePaste(p *pastePage, f url.Values, rows [][]string, first int) error {
	ask := season.Paste{Rows: rows, First: first, Usual: p.S.MassCol().Unit, FeedUnit: p.S.VolumeCol().Unit, Locale: p.S.Locale(), Today: p.Facts.Day()}
	head, body := season.SplitHead(rows)
	switch {
	case f.Get("head") == "no":
		head = nil
	case f.Get("head") == "yes" && head == nil && len(rows) > 0:
		head, body = rows[0], rows[1:]
	}
	if head != nil {
		ask.Head, ask.Rows, ask.First, p.Head = head, body, first+1, true
	}
	if f.Has("field.0") {
		ask.Fields = make([]season.Field, 0, 8)
		for i := 0; f.Has("field." + strconv.Itoa(i)); i++ {
			ask.Fields = append(ask.Fields, season.Field(f.Get("field."+strconv.Itoa(i))))
		}
	}
	if u := f.Get("unit"); u == "lb" || u == "kg" {
		ask.Unit = u
	}
	ask.Order = season.ParseDayOrder(f.Get("order"))
	p.Day, p.AllAs = f.Get("day"), f.Get("all")
	if p.Day == "" {
		p.Day = p.Facts.Day().String()
	}
	var err error
	if ask.Day, err = season.ReadDay(p.Day, season.OrderNotTold, p.Facts.Day()); err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "day"))
	}
	ask.Names = chosenNames(f)
	p.NewYard, p.Stack, p.Feeder = strings.TrimSpace(f.Get("yard")), f.Get("stack"), f.Get("feeder")
	s.house.view(func(st *season.State, _ units.Moment) {
		p.Yards = st.Yards()
		s.newHives(p, st, f)
		ask.NewYard, ask.NewFeed = p.NewYard, p.Feeder
		ask.NewStack, err = hive.ParseStack(p.Stack)
		read := st.ReadPaste(ask)
		if p.AllAs == "new" || p.AllAs == "leave" { // the same for all names
			for _, n := range read.Names {
				ask.Names[n.Name] = map[string]string{"new": season.NameNew, "leave": season.NameLeave}[p.AllAs]
			}
			read = st.ReadPaste(ask)
		}
		p.Read = &read
		if len(read.Names) > 0 {
			for _, c := range st.Colonies() {
				p.Hives = append(p.Hives, c.ID)
			}
		}
	})
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "stack"))
	}
	p.describe(ask, f)
	return nil
}

// newHives fills in where new hives would stand and of what they would be made.
func (s *Server) newHives(p *pastePage, st *season.State, f url.Values) {
	if p.NewYard == "" {
		p.NewYard = p.T("paste.home")
		if len(p.Yards) > 0 {
			p.NewYard = p.Yards[0].ID
		}
	}
	if !f.Has("stack") {
		if stack, feeder, ok := st.UsualHive(p.NewYard); ok {
			p.Stack, p.Feeder = stack.String(), feeder
		} else {
			p.Stack, p.Feeder = firstStack(p.S.System), firstFeeder(p.S.System)
		}
	}
}

// chosenNames reads what is to become of names: name.0 with do.0 and match.0.
func chosenNames(f url.Values) map[string]string {
	out := map[string]string{}
	for i := 0; f.Has("name." + strconv.Itoa(i)); i++ {
		n := strconv.Itoa(i)
		switch f.Get("do." + n) {
		case "new":
			out[f.Get("name."+n)] = season.NameNew
		case "match":
			out[f.Get("name."+n)] = strings.TrimSpace(f.Get("match." + n))
		case "leave":
			out[f.Get("name."+n)] = season.NameLeave
		}
	}
	return out
}

// describe puts the table as it was read into words.
func (p *pastePage) describe(ask season.Paste, f url.Values) {
	p.Unit = p.Read.Unit
	for i, c := range p.Read.Columns {
		col := pasteColumn{I: i, Head: c.Head, PasteColumn: c}
		for _, r := range ask.Rows[:min(len(ask.Rows), 3)] {
			if i < len(r) && strings.TrimSpace(r[i]) != "" {
				col.Samples = append(col.Samples, short(strings.TrimSpace(r[i]), 24))
			}
		}
		p.Columns = append(p.Columns, col)
	}
	p.NeedDay = !slices.ContainsFunc(p.Read.Columns, func(c season.PasteColumn) bool { return c.Field == season.FieldDate })
	for i := range p.Read.Rows {
		r := &p.Read.Rows[i]
		if i < previewRows {
			p.First = append(p.First, p.tableLine(r))
		}
		if r.Fate == season.FateBad && len(p.Bad) < previewBad {
			p.Bad = append(p.Bad, p.tableLine(r))
		}
	}
	for i, n := range p.Read.Names {
		if i == previewNames {
			p.More = len(p.Read.Names) - previewNames
			break
		}
		x := pasteName{I: i, PasteName: n, Do: "leave", Match: f.Get("match." + strconv.Itoa(i))}
		switch {
		case n.Choice == season.NameNew:
			x.Do = "new"
		case n.Choice != season.NameLeave:
			x.Do, x.Match = "match", n.Choice
		case x.Match == "" && len(n.Near) > 0:
			x.Match = n.Near[0]
		}
		p.Names = append(p.Names, x)
	}
	if p.Read.AskOrder {
		p.Trouble = append(p.Trouble, Trouble{Field: "order", Say: p.T("paste.order.ask"), Hint: p.T("paste.order.hint")})
	}
	for _, t := range p.Read.Twice {
		p.Trouble = append(p.Trouble, Trouble{Field: "field-0", Say: p.T("paste.twice", "Field", p.T("field."+string(t)))})
	}
	switch {
	case p.Read.NoHive:
		p.Trouble = append(p.Trouble, Trouble{Field: "field-0", Say: p.T("paste.nohive"), Hint: p.T("paste.choose")})
	case p.Read.NoRead:
		p.Trouble = append(p.Trouble, Trouble{Field: "field-0", Say: p.T("paste.noread"), Hint: p.T("paste.choose")})
	}
}

// tableLine puts one row into words.
func (b *Base) tableLine(r *season.PasteRow) pasteLine {
	out := pasteLine{N: r.N, Name: short(r.Name, 40), Hive: r.Colony, Fate: r.Fate}
	if !r.Seen.IsZero() {
		out.Day = b.S.DayYear(r.Seen.Day())
	}
	if r.Draft.HasReading {
		out.Read = readAs(b, &r.Draft)
	}
	for _, t := range r.Why {
		say := b.Say(t.Say)
		if t.Cell != "" {
			say = short(t.Cell, 40) + ": " + say
		}
		if t.Hint != "" {
			say += " – " + b.sc.texts.sentence(b.S, t.Hint, nil)
		}
		out.Why = append(out.Why, say)
	}
	return out
}

// short cuts a text to at most n letters.
func short(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n]) + "…"
}
