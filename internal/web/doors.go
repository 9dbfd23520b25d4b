package web

import (
	"context"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
)

// Lan is how other devices of the house reach this server.
type Lan struct {
	Addresses func() []string       // as a phone opens them, "http://192.168.1.20:8642", the likeliest first
	Home      func(netip.Addr) bool // whether an address is of the home network
	Secure    bool                  // over TLS; then plain connections are led there
	How       string                // "plain", "own", "acme" or "home": where the certificate comes from
	Root      []byte                // of "home": the root for phones, DER
	Print     string                // its fingerprint
	Ends      time.Time             // and its end
}

// door says who may use a route.
type door uint8

const (
	forOwner  door = iota // the owner: this computer, or his login
	forPhone              // his own paired phones too
	forHelper             // helpers too: by login, or with a phone given to them
	forAll                // whoever reaches us: nothing of the book is told
)

// doors says who may use which route; what is not here is the owner's. A helper
// logs rounds, readings and looks; money, figures, settings, labels and yards are
// none of his.
var doors = map[string]door{
	"GET /assets/{name}":        forAll,
	"GET /manifest.webmanifest": forAll, // browsers fetch it without saying who they are
	"GET /login":                forAll, "POST /login": forAll, "POST /logout": forAll,
	"GET /pair": forAll, "GET /pair/{code}": forAll, "POST /pair": forAll,
	"GET /first": forAll, "POST /first": forAll,
	"GET /certificate": forAll, "GET /certificate/root.crt": forAll,
	"GET /manual": forAll, "GET /manual/{page}": forAll, "GET /manual/{$}": forAll, "GET /manual/openapi.json": forAll,

	"POST /login/password": forHelper,                           // his own, and he must know it
	"POST /undo":           forHelper, "POST /theme": forHelper, // undo: what he wrote himself
	"GET /{$}": forHelper, "GET /": forHelper,
	"GET /yards": forHelper, "GET /yards/{id}": forHelper, "POST /yards/{id}/look": forHelper,
	"GET /hives/{id}": forHelper, "POST /hives/{id}/look": forHelper, "POST /hives/{id}/strike": forHelper, // strike: what he wrote himself
	"GET /short": forHelper, "POST /short/sum": forHelper, "GET /stop": forHelper, "GET /winter": forHelper,
	"GET /plan": forHelper, "GET /plan/compare": forHelper, "GET /load": forHelper, "GET /load/{n}": forHelper,
	"GET /readings": forHelper, "POST /readings": forHelper, "POST /readings/judge": forHelper, "GET /readings/one": forHelper, "POST /readings/one": forHelper,
	"GET /mix": forHelper, "GET /mix/step/{n}": forHelper,
	"GET /given": forHelper, "GET /given/sheet": forHelper, "POST /given/sheet": forHelper,
	"GET /given/{id}": forHelper, "POST /given/{id}": forHelper, "POST /given/{id}/strike": forHelper, // what he wrote himself
	"GET /sheets": forHelper, "GET /sheets/{kind}": forHelper, "GET /hive/{id}": forHelper, "GET /yard/{id}": forHelper, // but the shopping list
	"GET /round": forHelper, "GET /round/{load}": forHelper, "GET /round/{load}/hive/{colony}": forHelper, "POST /round/{load}/hive/{colony}": forHelper,
	"GET /round/type": forHelper, "POST /round/type": forHelper,
	"GET /round/{load}/type": forHelper, "POST /round/{load}/type": forHelper, "GET /chores/{yard}": forHelper, "POST /chores/{yard}": forHelper,
	"GET /phone/round": forHelper, "POST /phone/facts": forHelper, "POST /phone/have": forHelper, "GET /phone/file": forHelper, "POST /phone/file": forHelper, "POST /phone/code": forHelper,
	"GET /sw.js": forHelper, "GET /working/{id}": forHelper, "POST /working/{id}/stop": forHelper, "POST /working/{id}/take": forHelper, "POST /plan/whole": forPhone,

	"POST /units": forPhone, // for everybody at once: it is a setting
	"POST /yards": forPhone, "POST /yards/{id}": forPhone, "POST /yards/{id}/hives": forPhone, "POST /yards/{id}/all": forPhone, "POST /yards/{id}/end": forPhone, "POST /yards/{id}/order": forPhone, "POST /yards/{id}/close": forPhone,
	"POST /yards/{id}/gate": forPhone, "POST /yards/{id}/days": forPhone, "POST /yards/{id}/strike": forPhone,
	"POST /hives/{id}": forPhone, "POST /hives/{id}/need": forPhone, "POST /hives/{id}/move": forPhone, "POST /hives/{id}/unite": forPhone, "POST /hives/{id}/split": forPhone, "POST /hives/{id}/end": forPhone,
	"GET /roads": forPhone, "POST /roads": forPhone, "POST /roads/save": forPhone,
	"GET /figures": forPhone, "GET /figures/{key}": forPhone, "GET /rig": forPhone, "GET /rig/trucks": forPhone, "GET /rig/{part}": forPhone,
	"POST /short/plan": forPhone, "POST /stop/{yard}": forPhone, "POST /stop/weather/fetch": forPhone, "GET /weather": forHelper, "POST /weather": forPhone, "POST /winter/{yard}": forPhone, "GET /given/review": forPhone, "POST /plan/out": forPhone, "POST /plan/frames": forPhone, "POST /round/out": forPhone,
	"GET /sources": forPhone, "POST /sources": forPhone, "POST /sources/remove": forPhone,
	"GET /readings/paste": forPhone, "POST /readings/paste": forPhone, "POST /readings/paste/save": forPhone, "GET /readings/pasted": forPhone,
	"GET /readings/scale": forPhone, "POST /readings/scale": forPhone, "POST /readings/scale/save": forPhone,
	"POST /mix/done": forPhone,
	"GET /shed":      forPhone, "POST /shed": forPhone, "POST /shed/handled": forPhone, "GET /shed/labels": forPhone, "POST /shed/labels": forPhone, "POST /shed/spoon": forPhone,
	"GET /shed/cost": forPhone, "GET /shed/trace": forPhone, "GET /shed/inspector.csv": forPhone,
}

// talk are the routes that scripts ask: they are answered in kind.
var talk = map[string]bool{"GET /phone/round": true, "POST /phone/facts": true, "POST /phone/have": true}

// waysIn are open to all, and of no use while nobody can be told from anybody: a right
// password would be called a wrong one.
var waysIn = map[string]bool{
	"GET /login": true, "POST /login": true, "POST /logout": true, "GET /pair": true, "GET /pair/{code}": true, "POST /pair": true, "GET /first": true, "POST /first": true,
}

// visitor is who asks.
type visitor struct {
	local  bool          // at this computer itself
	owner  bool          // by a login that has not ended
	helper string        // his name, by a login of his that has not ended
	login  string        // id of that login
	ended  bool          // a login was shown that has
	phone  *access.Phone // a paired phone, or one that was
	fate   access.Fate
	from   string // address
	unsure bool   // who he is could not be looked up
}

// may tells whether a door is open to the visitor.
func (v *visitor) may(d door) bool {
	switch {
	case v.local || v.owner || d == forAll:
		return true
	case d == forPhone:
		return v.ownPhone()
	case d == forHelper:
		return v.helper != "" || v.fate == access.Paired
	}
	return false
}

// ownPhone tells whether he comes with a paired phone of the owner's own.
func (v *visitor) ownPhone() bool { return v.fate == access.Paired && !v.phone.For.Helper }

// in tells whether he is let in at all.
func (v *visitor) in() bool { return v.may(forHelper) }

// lent tells whether he is let in as a helper and no more.
func (v *visitor) lent() bool { return v.in() && !v.may(forPhone) }

// name is what stands beside what he writes down; "" = the owner.
func (v *visitor) name() string {
	switch {
	case v.local || v.owner:
		return ""
	case v.ownPhone() || v.helper == "" && v.fate == access.Paired:
		return v.phone.Name
	}
	return v.helper
}

// actor is who he is in the trail.
func (v *visitor) actor() access.Actor {
	switch {
	case v.local:
		return access.Console()
	case v.owner:
		return access.Actor{Role: access.RoleOwner, From: v.from, Session: v.login}
	case v.ownPhone() || v.helper == "" && v.fate == access.Paired:
		return v.phone.Actor(v.from)
	case v.helper != "":
		return access.Actor{Role: access.RoleHelper, Name: v.helper, From: v.from, Session: v.login}
	}
	return access.Actor{Role: access.RoleNobody, From: v.from}
}

// wrote tells whether he wrote this fact himself. Beside what a phone with a wrong
// clock wrote stands more than its name.
func (v *visitor) wrote(f *season.Fact) bool {
	name := v.name()
	return name != "" && (f.By == name || strings.HasPrefix(f.By, name+", clock "))
}

// mayTakeBack tells whether he may strike or put right these facts, as a fault:
// a helper only what he wrote himself.
func (v *visitor) mayTakeBack(facts ...season.Fact) error {
	if !v.lent() {
		return nil
	}
	for i := range facts {
		if !v.wrote(&facts[i]) {
			return &notYours{fault.New(fault.Unsafe, "", "a helper takes back only what he wrote down himself").WithHint("ask the owner; he can do it")}
		}
	}
	return nil
}

// notYours is the fault of a helper who wants what is the owner's: 403.
type notYours struct{ why *fault.Error }

// Error says so.
func (n *notYours) Error() string { return n.why.Error() }

// Unwrap gives the fault it is.
func (n *notYours) Unwrap() error { return n.why }

type visitorKey struct{}

// visitorOf gives who asks, as [Server.admit] found out.
func (s *Server) visitorOf(r *http.Request) *visitor {
	return visitorIn(r.Context())
}

func visitorIn(ctx context.Context) *visitor {
	if v, ok := ctx.Value(visitorKey{}).(*visitor); ok {
		return v
	}
	return &visitor{}
}

// Tokens are cookies that no script can read and no other site can send. Over
// TLS their names bind them to this very host; a plain connection cannot have
// that, and what was given over the one is not taken over the other.
const (
	ownerCookie = "larder-owner"
	phoneCookie = "larder-phone"
)

func cookieName(r *http.Request, name string) string {
	if secure(r) {
		return "__Host-" + name
	}
	return name
}

// secure tells whether the connection is encrypted up to this computer: ours is, or
// that of a proxy on this computer, which says so.
func secure(r *http.Request) bool {
	if r.TLS != nil {
		return true
	}
	a, err := netip.ParseAddrPort(r.RemoteAddr)
	return err == nil && a.Addr().Unmap().IsLoopback() && r.Header.Get("X-Forwarded-Proto") == "https"
}

func giveToken(w http.ResponseWriter, r *http.Request, name, token string, life time.Duration) {
	c := &http.Cookie{Name: cookieName(r, name), Value: token, Path: "/", HttpOnly: true, Secure: secure(r), SameSite: http.SameSiteStrictMode, MaxAge: int(life / time.Second)}
	if token == "" {
		c.MaxAge = -1
	}
	http.SetCookie(w, c)
}

// tokenOf gives the token a request shows to this keeper: of another's nothing is
// looked at.
func (s *Server) tokenOf(r *http.Request, name string) string {
	c, err := r.Cookie(cookieName(r, name))
	if err != nil {
		return ""
	}
	if s.options.Keeper == "" {
		return c.Value
	}
	token, ours := strings.CutPrefix(c.Value, s.options.Keeper+".")
	if !ours {
		return ""
	}
	return token
}

// forKeeper marks a token as a keeper's.
func forKeeper(keeper, token string) string {
	if keeper == "" || token == "" {
		return token
	}
	return keeper + "." + token
}

// find finds out who asks.
func (s *Server) find(r *http.Request) *visitor {
	v := &visitor{from: r.RemoteAddr}
	if a, err := netip.ParseAddrPort(r.RemoteAddr); err == nil {
		v.from = a.Addr().Unmap().WithZone("").String()
		// A proxy on this computer speaks for others: it is no reason to let them in.
		forwarded := r.Header.Get("Forwarded") != "" || r.Header.Get("X-Forwarded-For") != "" || r.Header.Get("X-Real-Ip") != "" || r.Header.Get("Via") != ""
		v.local = a.Addr().Unmap().IsLoopback() && !forwarded && !s.options.NoDesk && s.straight(r)
		// Such a proxy puts who asked it at the end; whoever comes from elsewhere may
		// say what he likes.
		if a.Addr().Unmap().IsLoopback() {
			all := strings.Split(r.Header.Get("X-Forwarded-For"), ",")
			if at, err := netip.ParseAddr(strings.TrimSpace(all[len(all)-1])); err == nil {
				v.from = at.Unmap().WithZone("").String()
			}
		}
	}
	if s.options.Door == nil {
		return v
	}
	blind := s.options.Door.Blind()
	defer func() { v.unsure = s.options.Door.Blind() != blind }()
	if t := s.tokenOf(r, ownerCookie); t != "" {
		x, ok := s.options.Door.Session(t)
		v.owner, v.helper, v.login, v.ended = ok && x.Helper == "", x.Name, x.ID, !ok
	}
	if t := s.tokenOf(r, phoneCookie); t != "" {
		var p access.Phone
		if p, v.fate = s.options.Door.Phone(t, v.from); v.fate != access.Unknown {
			v.phone = &p
		}
	}
	return v
}

// straight tells whether a request that names nobody it speaks for still comes from
// a browser, not from a proxy that was set up with little care: by a name that leads
// here by one, or in HTTP/1.0, which browsers have given up and proxies have not.
func (s *Server) straight(r *http.Request) bool {
	return !s.proxied[strings.ToLower(hostOf(r.Host))] && r.ProtoAtLeast(1, 1)
}

// admit lets through who may; others learn why not, and how they can.
func (s *Server) admit(m *http.ServeMux) http.Handler {
	next := readable(m)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		v := s.find(r)
		r = r.WithContext(context.WithValue(r.Context(), visitorKey{}, v))
		_, pattern := m.Handler(r)
		need := doors[pattern]                                                // unknown ways are the owner's: nobody else learns that they are none
		asked := s.options.Door != nil && (need != forAll || waysIn[pattern]) // who he is, or may be
		if asked && v.unsure {                                                // not a stranger's tries: he may be known
			s.unknowable(w, pattern)
			return
		}
		if !v.in() && s.options.Door != nil && pattern != "GET /assets/{name}" {
			if wait := s.options.Door.Stranger(v.from); wait > 0 {
				s.log.Warn("too many requests", "from", v.from)
				s.holdBack(w, pattern, wait)
				return
			}
		}
		if asked {
			if err := s.options.Door.Trouble(); err != nil {
				s.log.Error("who may come in cannot be looked up", "err", err)
				s.unknowable(w, pattern)
				return
			}
		}
		if v.may(need) {
			if v.in() { // who is not let in is told nothing of the book
				if err := s.house.catchUp(r.Context()); err != nil {
					s.log.Error("the book cannot be read", "err", err)
					s.cannot(w, pattern, "The book cannot be read now. Nothing was changed by this; try again in a moment.")
					return
				}
			}
			next.ServeHTTP(w, r)
			return
		}
		s.log.Info("not let in", "from", v.from, "method", r.Method, "path", r.URL.Path)
		s.shut(w, r, v, pattern)
	})
}

// unknowable tells one of whom nothing can be known now.
func (s *Server) unknowable(w http.ResponseWriter, pattern string) {
	s.cannot(w, pattern, "Who may come in cannot be looked up now. Nothing was changed by this; try again in a moment.")
}

// cannot tells that the place where all is kept does not answer: a phone keeps its
// entries and tries again.
func (s *Server) cannot(w http.ResponseWriter, pattern, say string) {
	w.Header().Set("Retry-After", "5")
	if talk[pattern] {
		s.phoneSay(w, http.StatusServiceUnavailable, phoneReply{Say: "the book at home cannot be reached; the entries stay on the phone and are sent in a moment"})
		return
	}
	http.Error(w, say, http.StatusServiceUnavailable)
}

// holdBack tells one who asks too often to wait.
func (s *Server) holdBack(w http.ResponseWriter, pattern string, wait time.Duration) {
	w.Header().Set("Retry-After", strconv.Itoa(int(wait/time.Second)+1))
	if talk[pattern] {
		s.phoneSay(w, http.StatusTooManyRequests, phoneReply{Say: "too much at once: the entries stay on the phone and are sent in a moment"})
		return
	}
	http.Error(w, "Too much at once. Wait a moment.", http.StatusTooManyRequests)
}

// shut answers one who is not let through: 401 who is not known, 403 who is and
// may not.
func (s *Server) shut(w http.ResponseWriter, r *http.Request, v *visitor, pattern string) {
	code := http.StatusUnauthorized
	if v.in() {
		code = http.StatusForbidden
	} else {
		w.Header().Set("WWW-Authenticate", "Larder")
	}
	switch {
	case talk[pattern]:
		s.phoneSay(w, code, phoneReply{Say: s.screens.texts.message(s.langOf(), "door.talk", nil)})
	case pattern == "GET /sw.js" || pattern == "GET /house/export/{form}":
		http.Error(w, "Not let in.", code)
	default:
		s.showDoor(w, r, code)
	}
}

// atHome turns away who does not come from the home network, and leads plain
// connections to the safe one where there is one. It tells whether to go on.
func (s *Server) atHome(w http.ResponseWriter, r *http.Request) bool {
	lan := s.options.Lan
	a, err := netip.ParseAddrPort(r.RemoteAddr)
	if lan == nil {
		if err != nil || !a.Addr().Unmap().IsLoopback() {
			http.Error(w, "This server answers its own computer only.", http.StatusForbidden)
			return false
		}
		return true
	}
	remote := a.Addr().Unmap().WithZone("")
	if err != nil || !remote.IsLoopback() && !lan.Home(remote) {
		s.log.Warn("from outside the home network", "from", r.RemoteAddr)
		http.Error(w, "This server answers its home network only.", http.StatusForbidden)
		return false
	}
	if r.TLS != nil {
		if lan.How == "acme" { // only there is the name surely ours, on every port, for good
			w.Header().Set("Strict-Transport-Security", "max-age=31536000") // a year, as ASVS 5.0, 3.4.1, asks
		}
		return true
	}
	if !lan.Secure || remote.IsLoopback() {
		return true
	}
	return s.leadToTLS(w, r)
}

// leadToTLS answers plain connections where a safe one is to be had: the page
// about the certificate, and else the way there.
func (s *Server) leadToTLS(w http.ResponseWriter, r *http.Request) bool {
	get := r.Method == http.MethodGet || r.Method == http.MethodHead
	path := r.URL.Path
	switch {
	case get && (strings.HasPrefix(path, "/assets/") || path == "/certificate" || path == "/certificate/root.crt"):
		return true
	case !get:
		http.Error(w, "This is taken over https only. Nothing was changed by this.", http.StatusForbidden)
	case s.options.Lan.How == "home": // a browser that does not know the root yet would only warn
		http.Redirect(w, r, "/certificate", http.StatusSeeOther)
	default:
		http.Redirect(w, r, "https://"+r.Host+r.URL.RequestURI(), http.StatusTemporaryRedirect)
	}
	return false
}
