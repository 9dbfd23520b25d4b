package web

import (
	"bytes"
	"context"
	"crypto/tls"
	"go/ast"
	"go/parser"
	"go/token"
	"image"
	"image/color"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	qr "github.com/piglig/go-qr"
	"golang.org/x/net/html"

	"larder/internal/access"
	"larder/internal/season"
)

const ownersPassword = "four hives behind the barn"

// homeSite is a house on a home network: its password is set, Ann's phone is
// paired, Bob's was taken off the list.
type homeSite struct {
	*site
	door     *access.Door
	now      time.Time
	ann, bob string // tokens of phones: of the owner's own, of one taken off
	cleo     string // of a phone in a helper's hands
	owner    string // tokens of logins
	eva      string // a helper's
	gone     string // of a helper who was taken off
}

// newHomeSite opens it; how is what the connection is like.
func newHomeSite(t *testing.T, how string) *homeSite {
	t.Helper()
	h := &homeSite{now: smallNow}
	var err error
	h.door, err = access.Open(&access.Memory{}, func() time.Time { return h.now }, rand.NewChaCha8([32]byte{7}))
	if err != nil {
		t.Fatal(err)
	}
	o := Options{Door: h.door, Hosts: []string{"barn.local"}, Proxied: []string{"larder.example.ORG"}, Lan: &Lan{How: how, Secure: how != "plain", Root: []byte{0x30, 1, 2}, Print: "AA:BB", Ends: smallNow,
		Home: netip.Addr.IsPrivate, Addresses: func() []string { return []string{"http://192.168.1.20:8642", "http://barn.local:8642"} }}}
	h.site = newSiteWith(t, smallNow, o, smallSeason(t)...)
	if _, err := h.door.SetPassword(ownersPassword, access.Console()); err != nil {
		t.Fatal(err)
	}
	h.ann, h.bob = h.paired("Ann's phone"), h.paired("Bob's phone")
	if _, err := h.door.Revoke("Bob's phone", access.Console()); err != nil {
		t.Fatal(err)
	}
	h.owner, err = h.door.Login("", ownersPassword, "192.168.1.40")
	if err != nil {
		t.Fatal(err)
	}
	h.eva, h.gone = h.helper("Eva"), h.helper("Gus")
	h.cleo = h.pairedFor("Cleo's phone", access.Hands{Helper: true})
	if _, err := h.door.RemoveHelper("Gus", access.Console()); err != nil {
		t.Fatal(err)
	}
	return h
}

const helpersPassword = "lift the lids gently"

// helper lets a helper in and gives the token of his login.
func (h *homeSite) helper(name string) string {
	h.t.Helper()
	if _, err := h.door.AddHelper(name, helpersPassword, access.Console()); err != nil {
		h.t.Fatal(err)
	}
	token, err := h.door.Login(name, helpersPassword, "192.168.1.50")
	if err != nil {
		h.t.Fatal(err)
	}
	return token
}

func (h *homeSite) paired(name string) string { return h.pairedFor(name, access.Hands{}) }

// pairedFor pairs a phone that goes into these hands.
func (h *homeSite) pairedFor(name string, hands access.Hands) string {
	h.t.Helper()
	code, _, err := h.door.Offer(hands, access.Console())
	if err != nil {
		h.t.Fatal(err)
	}
	token, _, err := h.door.Pair(code, name, "192.168.1.30")
	if err != nil {
		h.t.Fatal(err)
	}
	return token
}

// from makes a request of another device: form and cookies in pairs of name and
// value.
func from(address, method, path string, fields url.Values, cookies ...string) *http.Request {
	r := httptest.NewRequest(method, path, strings.NewReader(fields.Encode()))
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.Host, r.RemoteAddr = "barn.local:8642", net.JoinHostPort(address, "40000")
	for i := 0; i+1 < len(cookies); i += 2 {
		r.AddCookie(&http.Cookie{Name: cookies[i], Value: cookies[i+1]})
	}
	return r
}

// allRoutes reads the patterns out of routes.go.
func allRoutes(t *testing.T) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "routes.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	ast.Inspect(f, func(n ast.Node) bool {
		if c, ok := n.(*ast.CallExpr); ok && len(c.Args) == 2 {
			if l, ok := c.Args[0].(*ast.BasicLit); ok && l.Kind == token.STRING {
				if s, err := strconv.Unquote(l.Value); err == nil && (strings.HasPrefix(s, "GET ") || strings.HasPrefix(s, "POST ")) {
					out = append(out, s)
				}
			}
		}
		return true
	})
	if len(out) < 80 {
		t.Fatalf("only %d routes were found: is routes.go written otherwise now?", len(out))
	}
	return out
}

// pathOf fills the gaps of a pattern with what there is, where something is.
func pathOf(pattern string) (method, path string) {
	method, path, _ = strings.Cut(pattern, " ")
	for gap, with := range map[string]string{"{$}": "", "{name}": "larder.css", "{key}": "stores.hand_fair_kg", "{form}": "zip", "{kind}": "shopping",
		"{code}": "M7Q4K2TX", "{part}": "tank", "{load}": "1", "{colony}": "m1", "{yard}": "mill", "{n}": "1", "{page}": "errors"} {
		path = strings.ReplaceAll(path, gap, with)
	}
	id := "mill"
	if strings.HasPrefix(path, "/hive") {
		id = "m1"
	}
	return method, strings.ReplaceAll(path, "{id}", id)
}

// shouldBe says for whom a route is, by another rule than the table of the
// program: the house itself is the owner's, the way in is everybody's; what a
// helper logs and has to see for it is a short list, the rest is done in the yard
// and at the table by the owner, also with his phone.
func shouldBe(pattern string) door {
	method, path, _ := strings.Cut(pattern, " ")
	first, rest, _ := strings.Cut(strings.TrimPrefix(path, "/"), "/")
	get := method == "GET"
	switch first {
	case "house", "start":
		return forOwner
	case "login": // the way in; a password of one's own is for who is in
		if rest != "" {
			return forHelper
		}
		return forAll
	case "assets", "manifest.webmanifest", "logout", "pair", "certificate", "first", "manual":
		return forAll
	case "roads", "sources": // how far it is and what syrup stands elsewhere, for the plan
		return forPhone
	case "figures", "rig": // how the rig is built is the house's
		if !get {
			return forOwner
		}
		return forPhone // what the pump costs stands there
	case "shed", "units": // prices, lots, labels; what holds for everybody
		return forPhone
	case "yards", "hives": // he looks, and takes a look of his back
		if get || strings.HasSuffix(rest, "/look") || pattern == "POST /hives/{id}/strike" {
			return forHelper
		}
		return forPhone
	case "readings":
		if strings.HasPrefix(rest, "paste") || strings.HasPrefix(rest, "scale") { // many at once
			return forPhone
		}
	case "given":
		if rest == "review" {
			return forPhone
		}
	case "stop", "weather", "winter", "plan", "mix": // he reads, the owner decides
		if !get {
			return forPhone
		}
	case "short":
		if rest == "plan" {
			return forPhone
		}
	case "round":
		if rest == "out" {
			return forPhone
		}
	}
	return forHelper
}

// Every route, asked by everybody there is: 401 for who is not known, 403 for who
// may not and for other sites, else what this computer itself gets; and who is
// turned away has changed nothing.
func TestEveryRouteForEveryone(t *testing.T) {
	routes := allRoutes(t)
	known := map[string]bool{"GET /": true}
	for _, p := range routes {
		known[p] = true
		if doors[p] != shouldBe(p) {
			t.Errorf("%q: doors.go says %d, it should be %d: say there who may", p, doors[p], shouldBe(p))
		}
	}
	for p := range doors {
		if !known[p] {
			t.Errorf("doors.go has %q, which is no route", p)
		}
	}
	h := newHomeSite(t, "plain")
	visitors := []struct {
		name    string
		in      door // the most private door that opens
		nobody  bool
		cookies []string
	}{
		{name: "anonymous", in: forAll, nobody: true},
		{name: "made-up tokens", in: forAll, nobody: true, cookies: []string{phoneCookie, h.ann[:42] + "x", ownerCookie, h.owner[1:]}},
		{name: "tokens swapped", in: forAll, nobody: true, cookies: []string{phoneCookie, h.owner, ownerCookie, h.ann}},
		{name: "tokens of TLS over plain", in: forAll, nobody: true, cookies: []string{"__Host-" + phoneCookie, h.ann, "__Host-" + ownerCookie, h.owner}},
		{name: "paired phone", in: forPhone, cookies: []string{phoneCookie, h.ann}},
		{name: "helper", in: forHelper, cookies: []string{ownerCookie, h.eva}},
		{name: "helper's phone", in: forHelper, cookies: []string{phoneCookie, h.cleo}},
		{name: "helper with his phone", in: forHelper, cookies: []string{phoneCookie, h.cleo, ownerCookie, h.eva}},
		{name: "helper taken off", in: forAll, nobody: true, cookies: []string{ownerCookie, h.gone}},
		{name: "revoked phone", in: forAll, nobody: true, cookies: []string{phoneCookie, h.bob}},
		{name: "owner", in: forOwner, cookies: []string{ownerCookie, h.owner}},
	}
	before := len(kept2(t, h.site))
	for _, p := range routes {
		method, path := pathOf(p)
		want := shouldBe(p)
		for _, v := range visitors {
			// Who is let in gets on; that is tried on a house of its own, since it may
			// write. Who is not must leave this one as it is.
			if v.in <= want {
				continue
			}
			h.now = h.now.Add(3 * time.Second) // strangers are held to fifty a minute
			a := h.ask(from("192.168.1.30", method, path, url.Values{"name": {"x"}}, v.cookies...))
			code := http.StatusForbidden
			if v.nobody {
				code = http.StatusUnauthorized
			}
			if a.Code != code {
				t.Errorf("%s, %s: %d, want %d", p, v.name, a.Code, code)
			}
			if strings.Contains(a.Body, "Mill Lane") || strings.Contains(a.Body, "m1") && a.doc != nil && strings.Contains(a.text(), "m1") {
				t.Errorf("%s, %s: the answer tells of the hives", p, v.name)
			}
			if code == http.StatusUnauthorized && a.Head.Get("WWW-Authenticate") == "" {
				t.Errorf("%s, %s: 401 without saying how", p, v.name)
			}
		}
		if method == http.MethodPost {
			for _, v := range append(visitors, struct {
				name    string
				in      door
				nobody  bool
				cookies []string
			}{name: "this computer"}) {
				for _, head := range [][2]string{{"Sec-Fetch-Site", "cross-site"}, {"Origin", "http://evil.example"}, {"Origin", "null"}} {
					address := "192.168.1.30"
					if v.name == "this computer" {
						address = "127.0.0.1"
					}
					r := from(address, method, path, nil, v.cookies...)
					r.Header.Set(head[0], head[1])
					if a := h.ask(r); a.Code != http.StatusForbidden {
						t.Errorf("%s, %s, %s %s: %d, want 403", p, v.name, head[0], head[1], a.Code)
					}
				}
			}
		}
	}
	if n := len(kept2(t, h.site)); n != before {
		t.Errorf("%d facts were written by those who were turned away", n-before)
	}
	if len(h.door.Phones()) != 3 || len(h.door.Helpers()) != 1 {
		t.Errorf("phones: %v", h.door.Phones())
	}
}

// Who is let in gets what this computer itself gets.
func TestThoseLetInGetOn(t *testing.T) {
	h := newHomeSiteOf(t)
	for _, p := range allRoutes(t) {
		method, path := pathOf(p)
		if strings.HasPrefix(path, "/login") || path == "/logout" || strings.HasPrefix(path, "/pair") {
			continue // these answer by who asks: TestLogin, TestPair
		}
		get := func(who string) int {
			switch who {
			case "owner":
				return h.ask(from("192.168.1.40", method, path, nil, ownerCookie, h.owner)).Code
			case "paired phone":
				return h.ask(from("192.168.1.30", method, path, nil, phoneCookie, h.ann)).Code
			}
			return h.ask(from("127.0.0.1", method, path, nil)).Code
		}
		want := get("this computer")
		if want == http.StatusUnauthorized || want == http.StatusForbidden {
			t.Errorf("%s is shut to this computer: %d", p, want)
		}
		for _, who := range []string{"owner", "paired phone"} {
			if who == "paired phone" && shouldBe(p) == forOwner {
				continue
			}
			got := get(who)
			if got != want && method == http.MethodPost { // what the first wrote is in the way: each on a house of his own
				h = newHomeSiteOf(t)
				got = get(who)
			}
			if got != want {
				t.Errorf("%s, %s: %d, this computer gets %d", p, who, got, want)
			}
		}
		if strings.HasPrefix(p, "POST /start") {
			h = newHomeSiteOf(t) // the example may be on the table now
		}
	}
}

// newHomeSiteOf is newHomeSite on one door, kept for the whole test: hashing the
// password three hundred times over is of no use.
func newHomeSiteOf(t *testing.T) *homeSite {
	t.Helper()
	if sharedHome == nil {
		sharedHome = newHomeSite(t, "plain")
	}
	h := &homeSite{}
	*h = *sharedHome
	h.site = newSiteWith(t, smallNow, Options{Door: h.door, Hosts: []string{"barn.local"}, Lan: sharedHome.srv.options.Lan, Export: nil}, smallSeason(t)...)
	return h
}

var sharedHome *homeSite

func kept2(t *testing.T, s *site) []string {
	t.Helper()
	var out []string
	for _, f := range s.marked() {
		out = append(out, f.ID.String())
	}
	s.mark = 0
	return out
}

// Who is asked for: names we do not go by, addresses we do not have.
func TestHostAndHome(t *testing.T) {
	h := newHomeSite(t, "plain")
	ask := func(remote, host, local string) int {
		r := from(remote, http.MethodGet, "/login", nil)
		r.Host = host
		if local != "" {
			r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, net.TCPAddrFromAddrPort(netip.MustParseAddrPort(local))))
		}
		return h.ask(r).Code
	}
	for _, c := range []struct {
		remote, host, local string
		want                int
	}{
		{"192.168.1.30", "barn.local:8642", "", 200},
		{"192.168.1.30", "BARN.local", "", 200},
		{"192.168.1.30", "evil.example", "192.168.1.20:8642", 421},
		{"192.168.1.30", "192.168.1.20:8642", "192.168.1.20:8642", 200},
		{"192.168.1.30", "192.168.1.21:8642", "192.168.1.20:8642", 421},
		{"192.168.1.30", "[fd00::20]:8642", "[fd00::20]:8642", 200},
		{"192.168.1.30", "192.168.1.20", "", 421},
		{"203.0.113.5", "barn.local", "", 403}, // a forwarded port: the internet is not at home
		{"2001:db8::1", "barn.local", "", 403},
		{"fd00::30", "barn.local", "", 200},
		{"127.0.0.1", "barn.local", "", 200},
	} {
		if got := ask(c.remote, c.host, c.local); got != c.want {
			t.Errorf("%s asks %s at %s: %d, want %d", c.remote, c.host, c.local, got, c.want)
		}
	}
	// A proxy on this computer does not make its visitors us.
	for _, head := range []string{"Forwarded", "X-Forwarded-For", "X-Real-Ip"} {
		r := from("127.0.0.1", http.MethodGet, "/short", nil)
		r.Header.Set(head, "for=192.0.2.1")
		if a := h.ask(r); a.Code != http.StatusUnauthorized {
			t.Errorf("with %s: %d", head, a.Code)
		}
	}
	// Nor one that does not say for whom it asks: by its name, or in HTTP/1.0.
	for what, change := range map[string]func(*http.Request){
		"its name":             func(r *http.Request) { r.Host = "Larder.example.org" },
		"its name and port":    func(r *http.Request) { r.Host = "larder.example.org:443" },
		"HTTP/1.0":             func(r *http.Request) { r.Proto, r.ProtoMajor, r.ProtoMinor = "HTTP/1.0", 1, 0 },
		"the proxy's own mark": func(r *http.Request) { r.Header.Set("Via", "1.1 gate") },
	} {
		r := from("127.0.0.1", http.MethodGet, "/short", nil)
		if a := h.ask(r); a.Code != http.StatusOK {
			t.Fatalf("this computer itself: %d", a.Code)
		}
		r = from("127.0.0.1", http.MethodGet, "/short", nil)
		change(r)
		if a := h.ask(r); a.Code != http.StatusUnauthorized {
			t.Errorf("by %s: %d", what, a.Code)
		}
	}
	// Without a door only this computer is answered.
	s := newSmallSite(t)
	if a := s.ask(from("192.168.1.30", http.MethodGet, "/", nil)); a.Code != http.StatusMisdirectedRequest {
		t.Errorf("%d", a.Code)
	}
	r := from("192.168.1.30", http.MethodGet, "/", nil)
	r.Host = "localhost"
	if a := s.ask(r); a.Code != http.StatusForbidden {
		t.Errorf("%d", a.Code)
	}
}

// Where all have to log in, nobody is let in for sitting at the computer; any
// address of its is answered, and phones are sent the way the owner came.
func TestNobodySitsAtTheDesk(t *testing.T) {
	h := newHomeSite(t, "plain")
	o := h.srv.options
	h.site = newSiteWith(t, smallNow, Options{Door: h.door, Hosts: o.Hosts, Proxied: o.Proxied, Lan: o.Lan, NoDesk: true}, smallSeason(t)...)
	ask := func(host, token string) *answer {
		r := from("127.0.0.1", http.MethodGet, "/house/phones", nil, ownerCookie, token)
		r.Host = host
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, net.TCPAddrFromAddrPort(netip.MustParseAddrPort("172.17.0.2:8642"))))
		return h.ask(r)
	}
	for host, want := range map[string]int{"localhost:8642": 401, "192.168.1.77:8642": 401, "[fd00::77]:8642": 401, "larder.example.org": 401, "evil.example": 421} {
		if a := ask(host, "nobody's"); a.Code != want {
			t.Errorf("%s: %d, want %d", host, a.Code, want)
		}
	}
	if _, _, err := h.door.Offer(access.Hands{}, access.Console()); err != nil {
		t.Fatal(err)
	}
	for host, want := range map[string]string{
		"larder.example.org": "http://larder.example.org/pair", "192.168.1.77:8642": "http://192.168.1.77:8642/pair",
		"barn.local:8642": "http://barn.local:8642/pair", "localhost:8642": "http://192.168.1.20:8642/pair",
	} {
		a := ask(host, h.owner)
		if a.Code != http.StatusOK {
			t.Fatalf("%s: %d", host, a.Code)
		}
		a.has(want)
	}
}

func cookieOf(t *testing.T, a *answer, name string) *http.Cookie {
	t.Helper()
	for _, c := range (&http.Response{Header: a.Head}).Cookies() {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no cookie %s: %v", name, a.Head["Set-Cookie"])
	return nil
}

func TestLogin(t *testing.T) {
	h := newHomeSite(t, "plain")
	h.ask(from("192.168.1.30", http.MethodGet, "/login?to=/plan", nil)).has("Password", "not encrypted")
	a := h.ask(from("192.168.1.30", http.MethodPost, "/login", url.Values{"password": {"wrong one"}, "to": {"/plan"}}))
	if a.Code != http.StatusUnprocessableEntity || a.field("to") != "/plan" || a.field("password") != "" {
		t.Errorf("%d %q %q", a.Code, a.field("to"), a.field("password"))
	}
	a.has("this is not the owner's password")
	a = h.ask(from("192.168.1.30", http.MethodPost, "/login", url.Values{"password": {ownersPassword}, "to": {"/plan?x=1"}}))
	c := cookieOf(t, a, ownerCookie)
	if a.Code != http.StatusSeeOther || a.Head.Get("Location") != "/plan?x=1" || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Secure || c.Path != "/" || c.Domain != "" {
		t.Errorf("%d %s %+v", a.Code, a.Head.Get("Location"), c)
	}
	// A new login from the same browser: a new token, and the old one ends.
	h.now = h.now.Add(time.Minute)
	b := cookieOf(t, h.ask(from("192.168.1.30", http.MethodPost, "/login", url.Values{"password": {ownersPassword}}, ownerCookie, c.Value)), ownerCookie)
	if b.Value == c.Value || h.ask(from("192.168.1.30", http.MethodGet, "/house", nil, ownerCookie, c.Value)).Code != http.StatusUnauthorized {
		t.Error("the token of the login before still works")
	}
	c = b
	page := h.ask(from("192.168.1.30", http.MethodGet, "/house", nil, ownerCookie, c.Value))
	page.has("Logged in as the owner", "Log out")
	a = h.ask(from("192.168.1.30", http.MethodPost, "/logout", nil, ownerCookie, c.Value))
	if a.Code != http.StatusSeeOther || cookieOf(t, a, ownerCookie).MaxAge >= 0 {
		t.Errorf("%d", a.Code)
	}
	if a := h.ask(from("192.168.1.30", http.MethodGet, "/house", nil, ownerCookie, c.Value)); a.Code != http.StatusUnauthorized {
		t.Errorf("after logging out: %d", a.Code)
	} else {
		a.has("Your login has ended")
	}
	// Nobody is led elsewhere.
	for _, to := range []string{"https://evil.example/", "//evil.example", "/\\evil.example", "/\t/evil.example", "/\n/evil.example", "\\\\evil", "evil", "/.//evil.example", "javascript:alert(1)"} {
		h.now = h.now.Add(time.Minute)
		a := h.ask(from("192.168.1.30", http.MethodPost, "/login", url.Values{"password": {ownersPassword}, "to": {to}}))
		l := a.Head.Get("Location")
		u, err := url.Parse(l)
		if a.Code != http.StatusSeeOther || err != nil || u.Host != "" || u.Scheme != "" || !strings.HasPrefix(l, "/") || strings.HasPrefix(l, "//") || strings.ContainsAny(l, "\t\n\\") {
			t.Errorf("%q leads to %q (%d)", to, l, a.Code)
		}
	}
	// Guessing is held back, and is told for how long; this computer never is.
	h.now = h.now.Add(time.Hour)
	codes := map[int]int{}
	var last *answer
	for range 12 {
		last = h.ask(from("192.168.1.66", http.MethodPost, "/login", url.Values{"password": {"guess"}}))
		codes[last.Code]++
	}
	if codes[422] != 5 || codes[429] != 7 {
		t.Errorf("answers: %v", codes)
	}
	if n, err := strconv.Atoi(last.Head.Get("Retry-After")); err != nil || n < 1 || n > 11 {
		t.Errorf("Retry-After %q", last.Head.Get("Retry-After"))
	}
	last.has("held back for a while")
	if a := h.ask(from("127.0.0.1", http.MethodGet, "/house", nil)); a.Code != 200 {
		t.Errorf("the owner is locked out at home: %d", a.Code)
	}
	if a := h.ask(from("192.168.1.66", http.MethodGet, "/house", nil, ownerCookie, h.owner)); a.Code != 200 {
		t.Errorf("a login that was made before is shut out by guesses: %d", a.Code)
	}
}

func TestLoginOverTLS(t *testing.T) {
	h := newHomeSite(t, "own")
	over := func(r *http.Request) *http.Request { r.TLS = &tls.ConnectionState{}; return r }
	a := h.ask(over(from("192.168.1.30", http.MethodPost, "/login", url.Values{"password": {ownersPassword}})))
	c := cookieOf(t, a, "__Host-"+ownerCookie)
	if !c.Secure || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || c.Domain != "" {
		t.Errorf("%+v", c)
	}
	if a := h.ask(over(from("192.168.1.30", http.MethodGet, "/house", nil, c.Name, c.Value))); a.Code != 200 {
		t.Errorf("%d", a.Code)
	}
	// The bare name is for plain connections: it is not taken here.
	if a := h.ask(over(from("192.168.1.30", http.MethodGet, "/house", nil, ownerCookie, c.Value))); a.Code != 401 {
		t.Errorf("%d", a.Code)
	}
	// A plain connection is led to the safe one, this computer's own is not.
	a = h.ask(from("192.168.1.30", http.MethodGet, "/round?x=1", nil))
	if a.Code != http.StatusTemporaryRedirect || a.Head.Get("Location") != "https://barn.local:8642/round?x=1" {
		t.Errorf("%d %s", a.Code, a.Head.Get("Location"))
	}
	if a := h.ask(from("192.168.1.30", http.MethodPost, "/login", url.Values{"password": {ownersPassword}})); a.Code != http.StatusForbidden {
		t.Errorf("a password over a plain connection: %d", a.Code)
	}
	if a := h.ask(from("127.0.0.1", http.MethodGet, "/house", nil)); a.Code != 200 {
		t.Errorf("%d", a.Code)
	}
	for how, want := range map[string]bool{"acme": true, "own": false, "home": false} {
		a := newHomeSite(t, how).ask(over(from("192.168.1.30", http.MethodGet, "/login", nil)))
		if got := a.Head.Get("Strict-Transport-Security") != ""; got != want {
			t.Errorf("%s: HSTS %v", how, got)
		}
		if n, err := strconv.Atoi(strings.TrimPrefix(a.Head.Get("Strict-Transport-Security"), "max-age=")); want && (err != nil || n < 365*24*3600) {
			t.Errorf("%s: HSTS for less than a year: %s", how, a.Head.Get("Strict-Transport-Security"))
		}
	}
}

func TestCertificatePage(t *testing.T) {
	h := newHomeSite(t, "home")
	a := h.ask(from("192.168.1.30", http.MethodGet, "/", nil))
	if a.Code != http.StatusSeeOther || a.Head.Get("Location") != "/certificate" {
		t.Errorf("%d %s", a.Code, a.Head.Get("Location"))
	}
	h.ask(from("192.168.1.30", http.MethodGet, "/certificate", nil)).has("switch on full trust", "CA certificate", "AA:BB", "To remove it", "https://barn.local:8642/")
	a = h.ask(from("192.168.1.30", http.MethodGet, "/certificate/root.crt", nil))
	if a.Code != 200 || a.Head.Get("Content-Type") != "application/x-x509-ca-cert" || !bytes.Equal([]byte(a.Body), []byte{0x30, 1, 2}) {
		t.Errorf("%d %s %x", a.Code, a.Head.Get("Content-Type"), a.Body)
	}
	p := newHomeSite(t, "plain")
	p.ask(from("192.168.1.30", http.MethodGet, "/certificate", nil)).has("nothing needs to be put on a phone")
	if a := p.ask(from("192.168.1.30", http.MethodGet, "/certificate/root.crt", nil)); a.Code != 404 {
		t.Errorf("%d", a.Code)
	}
}

func TestPair(t *testing.T) {
	h := newHomeSite(t, "plain")
	// The desk makes a code; its picture, read by a reader that is not ours, opens
	// the pairing page with the code in it.
	if a := h.ask(from("127.0.0.1", http.MethodPost, "/house/phones/code", nil)); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	code, _, _ := h.door.Offered()
	for at, base := range []string{"http://192.168.1.20:8642", "http://barn.local:8642"} {
		desk := h.ask(from("127.0.0.1", http.MethodGet, "/house/phones?at="+strconv.Itoa(at), nil))
		desk.has(access.ShowCode(code), base, "Ann's phone", "taken off")
		if got := readQR(t, desk.doc); got != base+"/pair/"+code {
			t.Errorf("the picture says %q", got)
		}
	}
	page := h.ask(from("192.168.1.31", http.MethodGet, "/pair/"+code, nil))
	if page.Code != 200 || page.field("code") != access.ShowCode(code) {
		t.Errorf("%d %q", page.Code, page.field("code"))
	}
	// No name: what was typed stays, the code is not used up.
	a := h.ask(from("192.168.1.31", http.MethodPost, "/pair", url.Values{"code": {code}, "name": {" "}}))
	if a.Code != http.StatusUnprocessableEntity || a.field("code") != code {
		t.Errorf("%d %q", a.Code, a.field("code"))
	}
	a = h.ask(from("192.168.1.31", http.MethodPost, "/pair", url.Values{"code": {code}, "name": {"Ann's phone"}}))
	if a.Code != http.StatusUnprocessableEntity {
		t.Errorf("%d", a.Code)
	}
	a.has("another phone has this name")
	a = h.ask(from("192.168.1.31", http.MethodPost, "/pair", url.Values{"code": {strings.ToLower(access.ShowCode(code))}, "name": {"Cleo"}}))
	c := cookieOf(t, a, phoneCookie)
	if a.Code != http.StatusSeeOther || a.Head.Get("Location") != "/round" || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode {
		t.Errorf("%d %s %+v", a.Code, a.Head.Get("Location"), c)
	}
	h.ask(from("192.168.1.31", http.MethodGet, "/round", nil, phoneCookie, c.Value)).has("This phone: Cleo")
	round := h.ask(from("192.168.1.31", http.MethodGet, "/round", nil, phoneCookie, c.Value))
	round.hasNot("House")
	a = h.ask(from("192.168.1.32", http.MethodPost, "/pair", url.Values{"code": {code}, "name": {"Dan"}}))
	if a.Code != http.StatusUnprocessableEntity || a.field("name") != "Dan" {
		t.Errorf("a code works twice: %d", a.Code)
	}
	a.has("this code does not work")
	// Taken off at the desk, it is told so.
	var id string
	for _, p := range h.door.Phones() {
		if p.Name == "Cleo" {
			id = p.ID
		}
	}
	if a := h.ask(from("127.0.0.1", http.MethodPost, "/house/phones/"+id+"/revoke", nil)); a.Code != http.StatusSeeOther {
		t.Errorf("%d", a.Code)
	}
	a = h.ask(from("192.168.1.31", http.MethodGet, "/round", nil, phoneCookie, c.Value))
	a.has("Cleo was taken off the list at home", "Nothing on this phone is lost")
	// And so is its outbox, in kind.
	a = h.ask(from("192.168.1.31", http.MethodPost, "/phone/facts", nil, phoneCookie, c.Value))
	if a.Code != http.StatusUnauthorized || a.Head.Get("Content-Type") != "application/json" || !strings.Contains(a.Body, `"larder":1`) {
		t.Errorf("%d %s", a.Code, a.Body)
	}
}

// readQR reads the picture of a page.
func readQR(t *testing.T, doc *html.Node) string {
	t.Helper()
	var boxes [][3]int
	side := 0
	each(doc, func(n *html.Node) {
		if n.Type != html.ElementNode || n.Data != "rect" || !within(n, "svg") {
			return
		}
		num := func(k string) int { v, _ := strconv.Atoi(attr(n, k)); return v }
		if attr(n, "fill") == "#fff" {
			side = num("width")
		} else {
			boxes = append(boxes, [3]int{num("x"), num("y"), num("width")})
		}
	})
	const dots = 4
	img := image.NewGray(image.Rect(0, 0, side*dots, side*dots))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, b := range boxes {
		for x := b[0] * dots; x < (b[0]+b[2])*dots; x++ {
			for y := b[1] * dots; y < (b[1]+1)*dots; y++ {
				img.SetGray(x, y, color.Gray{})
			}
		}
	}
	got, err := qr.Decode(img)
	if err != nil {
		t.Errorf("%d boxes on %d: %v", len(boxes), side, err)
	}
	return got
}

// Facts of a paired phone bear the name it was paired by, whatever it says.
func TestPairedPhoneWritesUnderItsName(t *testing.T) {
	h := newHomeSite(t, "plain")
	raw := `{"protocol":1,"device":"d","name":"The owner","now":"2026-09-04T10:00:00Z","entries":[{"id":"0198f2a4-5b6c-7d8e-9f00-112233445566","seq":1,"made":"` + madeNow + `","kind":"given","body":` + gave + `}]}`
	r := from("192.168.1.30", http.MethodPost, "/phone/facts", nil, phoneCookie, h.ann)
	r.Body = http.NoBody
	r = r.Clone(r.Context())
	req := httptest.NewRequest(http.MethodPost, "/phone/facts", strings.NewReader(raw))
	req.Header = r.Header
	req.Header.Set("Content-Type", "application/json")
	req.Host, req.RemoteAddr = r.Host, r.RemoteAddr
	if a := h.ask(req); a.Code != 200 || !strings.Contains(a.Body, `"stored"`) {
		t.Fatalf("%d %s", a.Code, a.Body)
	}
	if f := kept(t, h.site); len(f) != 1 || f[0].By != "Ann's phone" {
		t.Errorf("%+v", f)
	}
	// More than ten a second, for long, is held back in kind.
	codes := map[int]int{}
	for range 80 {
		req := httptest.NewRequest(http.MethodPost, "/phone/facts", strings.NewReader(raw))
		req.Header = r.Header
		req.Host, req.RemoteAddr = r.Host, r.RemoteAddr
		codes[h.ask(req).Code]++
	}
	if codes[200] != 49 || codes[429] != 31 {
		t.Errorf("%v", codes)
	}
}

// A stranger who asks without end is held back; those let in are not.
func TestStrangersAreHeldBack(t *testing.T) {
	h := newHomeSite(t, "plain")
	codes := map[int]int{}
	for range 70 {
		codes[h.ask(from("192.168.1.66", http.MethodGet, "/short", nil)).Code]++
	}
	if codes[401] != 50 || codes[429] != 20 {
		t.Errorf("%v", codes)
	}
	if a := h.ask(from("192.168.1.30", http.MethodGet, "/short", nil, phoneCookie, h.ann)); a.Code != 200 {
		t.Errorf("%d", a.Code)
	}
}

// The example looked at beside the book is behind the same door.
func TestTrialIsBehindTheDoor(t *testing.T) {
	h := newHomeSite(t, "plain")
	o := h.srv.options
	o.ExampleSeason = func() ([]season.Fact, time.Time, error) { return smallSeason(t), smallNow, nil }
	srv, err := New(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	h.srv = srv
	if a := h.ask(from("127.0.0.1", http.MethodPost, "/start/example", nil)); a.Code != http.StatusSeeOther || srv.trial.Load() == nil {
		t.Fatalf("%d", a.Code)
	}
	for _, path := range []string{"/short", "/house", "/start/own"} {
		method := http.MethodGet
		if path == "/start/own" {
			method = http.MethodPost
		}
		if a := h.ask(from("192.168.1.30", method, path, nil)); a.Code != http.StatusUnauthorized {
			t.Errorf("%s: %d", path, a.Code)
		}
	}
}
