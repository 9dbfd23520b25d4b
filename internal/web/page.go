package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/winter"
)

//go:embed screen
var screenFiles embed.FS

// screens are the parsed templates, one set for each folder of screen/ that has a
// page.html, and the assets.
type screens struct {
	pages  map[string]*template.Template
	assets map[string][]byte
	hash   map[string]string
	texts  *texts
}

// loadScreens gives everything parsed, once for all servers of a program: nothing
// of it is changed afterwards.
var loadScreens = sync.OnceValue(parseScreens)

// parseScreens parses everything. What does not parse is a mistake of the program
// and panics: every start and every test sees it.
func parseScreens() *screens {
	sc := &screens{pages: map[string]*template.Template{}, assets: map[string][]byte{}, hash: map[string]string{}, texts: loadTexts()}
	shared := template.Must(template.New("shared").Funcs(funcs).ParseFS(screenFiles, "screen/shared/*.html"))
	dirs, err := fs.ReadDir(screenFiles, "screen")
	if err != nil {
		panic("web: " + err.Error())
	}
	var css bytes.Buffer
	bundle := func(name string) {
		if b, err := screenFiles.ReadFile("screen/" + name + "/page.css"); err == nil {
			css.Write(b)
			css.WriteByte('\n')
		}
		if b, err := screenFiles.ReadFile("screen/" + name + "/page.js"); err == nil {
			sc.asset(name+".js", sc.linked(b))
		}
	}
	sc.loadOffline()
	bundle("shared")
	for _, d := range dirs {
		if d.Name() == "shared" {
			continue
		}
		bundle(d.Name())
		p := "screen/" + d.Name() + "/page.html"
		if _, err := fs.Stat(screenFiles, p); err == nil {
			sc.pages[d.Name()] = template.Must(template.Must(shared.Clone()).ParseFS(screenFiles, p))
		}
	}
	sc.asset("larder.css", css.Bytes())
	sheetAssets(sc)
	return sc
}

func (sc *screens) asset(name string, b []byte) {
	sum := sha256.Sum256(b)
	sc.assets[name] = b
	sc.hash[name] = hex.EncodeToString(sum[:6])
}

// Link is one word of the navigation.
type Link struct {
	Href, Key string
	Here      bool
}

// Group is one group of the navigation.
type Group struct {
	Key   string
	Links []Link
}

// Base is what every page has. A page struct embeds it.
type Base struct {
	Screen  string // name of the folder in screen/
	Title   string // message key
	Name    string // of what the page is about, for its title
	Path    string // of the request, with its query: where forms return to
	Lang    string
	S       units.Style
	Facts   units.Moment // as of when the page is
	Example bool
	Beside  bool   // the example is looked at beside the keeper's own book
	Theme   string // "", "light" or "dark"
	Status  *Status
	Trouble []Trouble // a form that could not be taken: what and where
	who     *visitor
	sc      *screens
}

// Status is the line that says what was done and offers to undo it.
type Status struct {
	Key string // message key
	N   int    // how many facts it wrote
	Act string // to undo; "" = cannot be undone here
}

// Trouble is one thing wrong with a form, said at the top and beside its field.
type Trouble struct {
	Field string // id of the field, "" = the form as a whole
	Say   string
	Hint  string
	No    string // number of the error, where the manual tells more; "" = none
}

// ErrorPath gives the address of an error in the manual.
func (b *Base) ErrorPath(number string) string { return "/manual/errors#" + strings.ToLower(number) }

// HelpPath gives where the manual tells about the screen.
func (b *Base) HelpPath() string { return "/manual/screens#" + b.Screen }

// T gives the message of a key in the page's language; see texts.message.
func (b *Base) T(key string, args ...any) string { return b.sc.texts.message(b.Lang, key, args) }

// Say gives a sentence of the core in the page's language and units.
func (b *Base) Say(r feeding.Reason) string { return b.sc.texts.sentence(b.S, r.Say, r.Amounts) }

// Asset gives the address of an asset; it changes when the asset does.
func (b *Base) Asset(name string) string { return "/assets/" + name + "?v=" + b.sc.hash[name] }

// HasScript tells whether the screen has a script of its own.
func (b *Base) HasScript() bool { return b.sc.assets[b.Screen+".js"] != nil }

// TroubleAt gives what is wrong with one field, "" if nothing.
func (b *Base) TroubleAt(field string) string {
	for _, t := range b.Trouble {
		if t.Field == field {
			return t.Say
		}
	}
	return ""
}

// Nav gives the navigation: only what exists.
func (b *Base) Nav() []Group {
	here := func(href, key string) Link {
		p, _, _ := strings.Cut(b.Path, "?")
		return Link{href, key, p == href || href != "/" && strings.HasPrefix(p, href+"/")}
	}
	var out []Group
	for _, g := range navigation {
		x := Group{Key: g.key}
		for _, l := range g.links {
			if !b.who.may(doors["GET "+l[0]]) {
				continue
			}
			x.Links = append(x.Links, here(l[0], l[1]))
		}
		out = append(out, x)
	}
	return out
}

// Bar gives the bottom bar of the phone.
func (b *Base) Bar() []Link {
	p, _, _ := strings.Cut(b.Path, "?")
	var out []Link
	for _, l := range bar {
		out = append(out, Link{l[0], l[1], p == l[0]})
	}
	return out
}

// In tells whether who asks is let in: others see neither jobs nor settings.
func (b *Base) In() bool { return b.who.in() }

// LoggedIn tells whether the owner is logged in from another device.
func (b *Base) LoggedIn() bool { return b.who.owner && !b.who.local }

// HelperName gives the name of the helper who is logged in, "" for others.
func (b *Base) HelperName() string {
	if b.who.local || b.who.owner {
		return ""
	}
	return b.who.helper
}

// Lent tells whether a helper asks: he sees no money and changes no settings.
func (b *Base) Lent() bool { return b.who.lent() }

// Mine tells whether who asks may take back what stands under this name.
func (b *Base) Mine(by string) bool {
	return !b.who.lent() || b.who.wrote(&season.Fact{By: by})
}

// May tells whether who asks may use a route, "POST /yards": pages leave out what
// would be refused.
func (b *Base) May(pattern string) bool { return b.who.may(doors[pattern]) }

// PhoneName gives the name of the paired phone that asks, "" for others.
func (b *Base) PhoneName() string {
	if b.who.phone == nil || !b.who.in() {
		return ""
	}
	return b.who.phone.Name
}

// Command gives a command line of ours, as it is typed in any language.
func (b *Base) Command(words string) string { return "larder " + words }

// base fills what every page has.
func (s *Server) base(r *http.Request, screen, title string) Base {
	b := Base{Screen: screen, Title: title, Path: r.URL.RequestURI(), Example: s.example, Beside: s.beside, sc: s.screens, who: s.visitorOf(r)}
	s.house.view(func(st *season.State, at units.Moment) {
		b.S, b.Facts = st.Settings.Style(), at
		b.Lang = st.Settings.Language
	})
	b.S.Lang = b.Lang
	if c, err := r.Cookie("theme"); err == nil && (c.Value == "light" || c.Value == "dark") {
		b.Theme = c.Value
	}
	if act := r.URL.Query().Get("done"); act != "" && b.In() {
		s.house.mu.Lock()
		if g, ok := s.house.groups[act]; ok {
			b.Status = &Status{Key: "done." + g.Says, N: len(g.IDs), Act: act}
			if f, _ := s.house.journal.Fact(g.IDs[0]); !b.Mine(f.By) {
				b.Status.Act = "" // another's
			}
		}
		s.house.mu.Unlock()
	}
	return b
}

// show renders a page: into memory first, so that a template that fails does not
// send half a page. code is the HTTP status.
func (s *Server) show(w http.ResponseWriter, code int, screen string, page any) {
	t := s.screens.pages[screen]
	if t == nil {
		panic("web: no screen " + screen)
	}
	if s.shown != nil {
		s.shown(screen, page)
	}
	var buf bytes.Buffer
	if err := t.ExecuteTemplate(&buf, "page", page); err != nil {
		s.log.Error("template", "screen", screen, "err", err)
		http.Error(w, "This page could not be drawn. Nothing was changed by this.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(code)
	_, _ = buf.WriteTo(w) // the reader may have gone: nothing to be done
}

// done answers a state change: back to a page of ours, with what was done.
func (s *Server) done(w http.ResponseWriter, r *http.Request, to, act string) {
	to = ownPath(to)
	sep := "?"
	if strings.Contains(to, "?") {
		sep = "&"
	}
	if act != "" {
		to += sep + "done=" + act
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

// ownPath keeps redirects on this server and drops an old "done".
func ownPath(to string) string {
	// Browsers leave tabs and line ends out of an address: "/<tab>/x" is "//x".
	odd := strings.ContainsFunc(to, func(r rune) bool { return r == '\\' || r < ' ' || r == 0x7f })
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || odd {
		return "/"
	}
	p, q, _ := strings.Cut(to, "?")
	var keep []string
	for part := range strings.SplitSeq(q, "&") {
		if part != "" && !strings.HasPrefix(part, "done=") {
			keep = append(keep, part)
		}
	}
	p = path.Clean(p)
	if len(keep) > 0 {
		return p + "?" + strings.Join(keep, "&")
	}
	return p
}

// troubleOf turns an error into what a form shows; fields names the field an
// error's Thing belongs to.
func (s *Server) troubleOf(b *Base, err error, field string) Trouble {
	var e *fault.Error
	if !errors.As(err, &e) {
		s.log.Error("internal", "path", b.Path, "err", err)
		return Trouble{Field: field, Say: b.T("error.internal"), No: fault.Internal.Number()}
	}
	return Trouble{Field: field, Say: b.sc.texts.sentence(b.S, e.Error(), nil), Hint: b.sc.texts.sentence(b.S, e.Hint, nil), No: e.Kind.Number()}
}

// unkept answers when what a form said could not be written down after all: the
// page again, with why and with what was typed. What is no matter of the form (he
// may not, there is no such thing, a fault of ours) gets a page of its own.
func (s *Server) unkept(w http.ResponseWriter, r *http.Request, screen string, page any, b *Base, err error) {
	code := statusOf(err)
	switch code {
	case http.StatusForbidden, http.StatusNotFound, http.StatusInternalServerError:
		s.fail(w, r, err)
		return
	}
	b.trouble(s.troubleOf(b, err, ""))
	s.show(w, code, screen, page)
}

// statusOf gives the HTTP status of an error.
func statusOf(err error) int {
	var n *notYours
	if errors.As(err, &n) {
		return http.StatusForbidden
	}
	switch fault.KindOf(err) {
	case fault.NotFound:
		return http.StatusNotFound
	case fault.Conflict:
		return http.StatusConflict
	case fault.Busy, fault.NoRoom, fault.Unreachable:
		return http.StatusServiceUnavailable
	case fault.Internal, fault.Damaged:
		return http.StatusInternalServerError
	}
	return http.StatusUnprocessableEntity
}

// funcs are the few things a template cannot say with methods: turning the bare
// numbers of an estimate back into what they measure, and two spans into one.
var funcs = template.FuncMap{
	"mass":   func(kg float64) units.Mass { return units.Mass(kg) },
	"volume": func(l float64) units.Volume { return units.Volume(l) },
	"temp":   func(c float64) units.Temp { return units.Temp(c) },
	"neg":    func(m units.Mass) units.Mass { return -m },
	"geo":    func(lat, lon float64) template.URL { return template.URL(geoLink(lat, lon)) }, // two numbers: nothing typed is in it
	"list":   func(words ...string) []string { return words },
	"last":   func(l []*season.Short) int { return len(l) - 1 },
	"reason": func(r winter.Reason) feeding.Reason { return feeding.Reason(r) },
	"both":   func(a, b units.Duration) units.Duration { return a + b },
	"plus":   func(a, b int) int { return a + b },
}
