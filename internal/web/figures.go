package web

import (
	"net/http"
	"strings"
	"unicode"
	"unicode/utf8"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/units"
)

type figuresPage struct {
	Base
	Groups []figureGroup
	Own    int
	Find   string
}

// figureGroup is the figures of one part of the program.
type figureGroup struct {
	Key     string // of its name
	Figures []figureLine
}

// figureLine is one figure with what the keeper made of it.
type figureLine struct {
	figure.Figure
	Published figure.Figure // the default
	Own       bool
	Outside   bool
	Changed   *season.Entry // the setting that made it his own, nil = none
}

// Text writes a value of the figure.
func (b *Base) Text(x float64) string { return season.FigureText(x, b.S) }

// FigurePath gives the address of a figure's page.
func (b *Base) FigurePath(key string) string { return "/figures/" + key }

// Cap writes a name with a capital at the front.
func (b *Base) Cap(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// GradeShown tells whether the grade says more than the source does.
func (b *Base) GradeShown(f figure.Figure) bool { return f.Grade != figure.Practice }

// GradeKey gives the key of the words for a grade.
func (b *Base) GradeKey(g figure.Grade) string { return "grade." + string(g) }

// figures answers: what does it assume, from where?
func (s *Server) figures(w http.ResponseWriter, r *http.Request) {
	p := figuresPage{Base: s.base(r, "figures", "title.figures"), Find: strings.TrimSpace(r.URL.Query().Get("find"))}
	lines := s.figureLines()
	find := strings.ToLower(p.Find)
	for _, l := range lines {
		if l.Own {
			p.Own++
		}
		if find != "" && !strings.Contains(strings.ToLower(l.Key+" "+l.Name+" "+l.Source+" "+l.Note), find) {
			continue
		}
		part, _, _ := strings.Cut(l.Key, ".")
		if n := len(p.Groups); n == 0 || p.Groups[n-1].Key != figureGroupKey(part) {
			p.Groups = append(p.Groups, figureGroup{Key: figureGroupKey(part)})
		}
		g := &p.Groups[len(p.Groups)-1]
		g.Figures = append(g.Figures, l)
	}
	s.show(w, http.StatusOK, "figures", &p)
}

// figureLines lists the figures in use, by key.
func (s *Server) figureLines() []figureLine {
	s.house.mu.Lock()
	defer s.house.mu.Unlock()
	st := s.house.journal.Now()
	set, _ := st.Settings.FigureSet()
	all := set.All()
	out := make([]figureLine, len(all))
	for i, f := range all {
		out[i] = figureLine{Figure: f, Own: set.IsOwn(f.Key), Outside: !f.InRange(f.Value)}
		out[i].Published, _ = set.Default(f.Key)
		if out[i].Own {
			if h := s.house.journal.SettingHistory("figure." + f.Key); len(h) > 0 {
				out[i].Changed = &h[0]
			}
		}
	}
	return out
}

type figurePage struct {
	Base
	Line    figureLine
	History []season.Entry // of the keeper's own value, latest first
	Value   string         // as typed
	Tried   bool           // a value is tried out
	Now     season.Totals
	Then    season.Totals
	Outside bool // the value tried lies outside the believable range
}

// figureShown shows one figure, and what a value tried out would change.
func (s *Server) figureShown(w http.ResponseWriter, r *http.Request) {
	p, err := s.figurePage(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	code := http.StatusOK
	if r.URL.Query().Has("value") {
		p.Value = r.URL.Query().Get("value")
		if err := s.tryFigure(p); err != nil {
			p.trouble(s.troubleOf(&p.Base, err, "value"))
			code = http.StatusUnprocessableEntity
		}
	}
	s.show(w, code, "figure", p)
}

// figurePage reads one figure.
func (s *Server) figurePage(r *http.Request) (*figurePage, error) {
	key := r.PathValue("key")
	p := &figurePage{Base: s.base(r, "figure", "title.figure")}
	for _, l := range s.figureLines() {
		if l.Key == key {
			p.Line = l
		}
	}
	if p.Line.Key == "" {
		return nil, fault.Newf(fault.NotFound, "", "there is no figure %s", key).WithHint("Figures we use lists them all")
	}
	p.Base.Name = p.Cap(p.Line.Name)
	p.Value = p.Text(p.Line.Value)
	s.house.mu.Lock()
	p.History = s.house.journal.SettingHistory("figure." + key)
	s.house.mu.Unlock()
	return p, nil
}

// tryFigure works out what another value would change, before it is kept.
func (s *Server) tryFigure(p *figurePage) error {
	key := "figure." + p.Line.Key
	v, err := season.ReadSetting(key, p.Value, p.S, p.Facts.Day())
	if err != nil {
		return err
	}
	shorts := s.shorts()
	p.Now = season.Sum(shorts)
	type answer struct {
		sum season.Totals
		out bool
		err error
	}
	a := remember(s.house, "figure?"+key+"="+v, func(st *season.State, at units.Moment) answer {
		t, err := st.SupposeSettings(season.Setting{Key: key, Value: v})
		if err != nil {
			return answer{err: err}
		}
		set, _ := t.Settings.FigureSet()
		f := set.Get(p.Line.Key)
		return answer{sum: season.Sum(t.Short(at)), out: !f.InRange(f.Value)}
	})
	if a.err != nil {
		return a.err
	}
	p.Then, p.Outside, p.Tried = a.sum, a.out, true
	return nil
}

// saveFigure keeps a value of the keeper's own, or takes it back.
func (s *Server) saveFigure(w http.ResponseWriter, r *http.Request) {
	p, err := s.figurePage(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	key := "figure." + p.Line.Key
	v := ""
	if r.PostFormValue("back_to") == "" {
		p.Value = r.PostFormValue("value")
		if v, err = season.ReadSetting(key, p.Value, p.S, p.Facts.Day()); err == nil && v == "" {
			err = fault.New(fault.Missing, "", "no value is typed").WithHint("or take the published value back")
		}
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, "value"))
			s.show(w, http.StatusUnprocessableEntity, "figure", p)
			return
		}
	}
	act, err := s.write(r.Context(), "figure", s.changed(map[string]string{key: v}, []string{key}))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, p.FigurePath(p.Line.Key), act)
}

// SettingText says what a setting said: a value, or that it was taken back.
func (p *figurePage) SettingText(e season.Entry) string {
	v, _ := e.Body.(season.Setting)
	if v.Value == "" {
		return p.T("figures.tookback")
	}
	return v.Value + " " + p.Line.Unit
}

// figureGroupKey gives the key of the name of a part of the program.
func figureGroupKey(part string) string {
	if part == "syrup" { // "figures.syrup" is a line of the effect
		return "figures.syrup.group"
	}
	return "figures." + part
}
