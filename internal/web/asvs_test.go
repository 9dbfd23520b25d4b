package web

import (
	"bytes"
	"encoding/json"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"larder/internal/access"
)

// The boxes for secrets: a password is not shown, never filled in from here, sent in
// the body only, taken from where a browser keeps passwords or pasted; and nothing
// else is asked of who comes in: no question with an answer others know.
func TestPasswordBoxes(t *testing.T) {
	h := newHomeSite(t, "plain")
	plain := func(doc *html.Node, path string) (names []string) {
		each(doc, func(form *html.Node) {
			if form.Type != html.ElementNode || form.Data != "form" {
				return
			}
			secret := false
			each(form, func(n *html.Node) {
				if n.Type != html.ElementNode || n.Data != "input" && n.Data != "textarea" && n.Data != "select" || attr(n, "type") == "hidden" {
					return
				}
				name := attr(n, "name")
				names = append(names, name)
				if name != "password" && name != "now" && name != "next" && attr(n, "type") != "password" {
					return
				}
				secret = true
				if attr(n, "type") != "password" || attr(n, "value") != "" {
					t.Errorf("%s: the box %s shows what is in it", path, name)
				}
				if a := attr(n, "autocomplete"); a != "current-password" && a != "new-password" {
					t.Errorf("%s: the box %s has autocomplete %q", path, name, a)
				}
				for _, a := range n.Attr {
					if slices.Contains([]string{"maxlength", "minlength", "pattern", "readonly", "disabled"}, a.Key) || strings.HasPrefix(a.Key, "on") {
						t.Errorf("%s: the box %s has %s", path, name, a.Key)
					}
				}
			})
			if secret && attr(form, "method") != "post" {
				t.Errorf("%s: a password is sent in the address", path)
			}
		})
		return names
	}
	want := map[string]string{"/login": "name password", "/first": "code password", "/pair": "code name"}
	fresh, err := access.Open(&access.Memory{}, func() time.Time { return h.now }, rand.NewChaCha8([32]byte{9}))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := fresh.OfferFirst(); err != nil {
		t.Fatal(err)
	}
	o := h.srv.options
	begun := newSiteWith(t, smallNow, Options{Door: fresh, Hosts: o.Hosts, Lan: o.Lan}, smallSeason(t)...)
	for path, names := range want {
		where := h.site
		if path == "/first" { // offered as long as there is no password
			where = begun
		}
		a := where.ask(from("192.168.1.30", http.MethodGet, path, nil))
		got := plain(a.doc, path)
		slices.Sort(got)
		if strings.Join(slices.Compact(got), " ") != names {
			t.Errorf("%s asks %v, want %s", path, got, names)
		}
	}
	boxes := len(plain(h.as(h.eva, http.MethodGet, "/login").doc, "/login, in"))
	boxes += len(plain(h.ask(from("127.0.0.1", http.MethodGet, "/house/phones", nil)).doc, "/house/phones"))
	if boxes < 4 {
		t.Errorf("only %d boxes were seen", boxes)
	}
	// Nothing listens to what is typed or pasted there.
	for _, name := range []string{"shared.js", "login.js", "panel.js"} {
		for _, listens := range []string{"paste", "keydown", "keypress", "beforeinput", `addEventListener("input"`} {
			if b := h.srv.screens.assets[name]; b == nil || bytes.Contains(b, []byte(listens)) {
				t.Errorf("%s (%d bytes) has to do with %s", name, len(b), listens)
			}
		}
	}
}

// logged lets what a house logs be read.
func (h *homeSite) logged() *bytes.Buffer {
	h.t.Helper()
	var b bytes.Buffer
	o := h.srv.options
	o.Log = slog.New(slog.NewJSONHandler(&b, &slog.HandlerOptions{Level: slog.LevelDebug}))
	srv, err := New(h.t.Context(), o)
	if err != nil {
		h.t.Fatal(err)
	}
	h.srv = srv
	return &b
}

// No secret is taken from an address, and none comes into the log, the trail or an
// address that is told.
func TestNoSecretInAnAddress(t *testing.T) {
	h := newHomeSite(t, "plain")
	log := h.logged()
	code, _, err := h.door.Offer(access.Hands{}, access.Console())
	if err != nil {
		t.Fatal(err)
	}
	q := url.Values{"password": {ownersPassword}, "now": {ownersPassword}, "next": {ownersPassword + "!"}, "code": {code}, "name": {"Mallory"},
		ownerCookie: {h.owner}, phoneCookie: {h.ann}, "token": {h.owner}}.Encode()
	for _, p := range []struct {
		method, path string
		want         int
	}{
		{http.MethodPost, "/login", 422}, {http.MethodGet, "/login", 200}, {http.MethodPost, "/pair", 422}, {http.MethodGet, "/house", 401}, {http.MethodGet, "/short", 401}, {http.MethodPost, "/login/password", 401},
	} {
		a := h.ask(from("192.168.1.30", p.method, p.path+"?"+q, nil))
		if a.Code != p.want || a.Head.Get("Set-Cookie") != "" {
			t.Errorf("%s %s: %d %s", p.method, p.path, a.Code, a.Head.Get("Set-Cookie"))
		}
	}
	if len(h.door.Phones()) != 3 {
		t.Error("a code in the query pairs a phone")
	}
	// A code of the picture stands in the address; it is used up there and then, and
	// nobody else is told the address.
	secrets := []string{h.owner, h.ann, h.eva, ownersPassword, code}
	told := func(a *answer) {
		t.Helper()
		for _, s := range secrets[:4] {
			if strings.Contains(a.Body, s) || strings.Contains(a.Head.Get("Location"), url.QueryEscape(s)) {
				t.Errorf("a secret is told: %.6s…", s)
			}
		}
		if strings.Contains(a.Head.Get("Location"), code) {
			t.Error("the code is told in an address")
		}
	}
	page := h.ask(from("192.168.1.30", http.MethodGet, "/pair/"+code, nil))
	if page.Head.Get("Referrer-Policy") != "same-origin" || page.Head.Get("Cache-Control") != "no-store" {
		t.Errorf("%v", page.Head)
	}
	told(page)
	a := h.ask(from("192.168.1.30", http.MethodPost, "/pair", url.Values{"code": {code}, "name": {"Dan"}}))
	if a.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", a.Code, a.text())
	}
	told(a)
	if a := h.ask(from("192.168.1.31", http.MethodPost, "/pair", url.Values{"code": {code}, "name": {"Gil"}})); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("it works again: %d", a.Code)
	}
	for _, path := range []string{"/", "/house", "/house/phones", "/house/trail", "/login", "/round"} {
		told(h.ask(from("192.168.1.40", http.MethodGet, path, nil, ownerCookie, h.owner)))
	}
	for _, s := range secrets {
		if strings.Contains(log.String(), s) {
			t.Errorf("the log has a secret: %.6s…", s)
		}
	}
	if log.Len() == 0 {
		t.Error("nothing was logged: this test could not fail")
	}
}

// Who is turned away stands in the log, a line each, with whence; what he typed
// forges no line of it.
func TestRefusalsAreLogged(t *testing.T) {
	h := newHomeSite(t, "plain")
	log := h.logged()
	ask := func(r *http.Request, want int) {
		t.Helper()
		if a := h.ask(r); a.Code != want {
			t.Errorf("%d, want %d", a.Code, want)
		}
	}
	r := from("192.168.1.66", http.MethodGet, "/", nil)
	r.Host = "evil.example\n{\"level\":\"INFO\"}"
	ask(r, 421)
	r = from("192.168.1.66", http.MethodPost, "/login", url.Values{"password": {ownersPassword}})
	r.Header.Set("Origin", "http://evil.example")
	ask(r, 403)
	ask(from("192.168.1.66", http.MethodGet, "/short%0a%7b%22msg%22:%22login%22%7d", nil), 401)
	ask(from("203.0.113.9", http.MethodGet, "/", nil), 403)
	ask(from("192.168.1.66", http.MethodPost, "/login", url.Values{"password": {"wrong\n{}"}}), 422)
	ask(from("192.168.1.30", http.MethodGet, "/house", nil, phoneCookie, h.ann), 403)
	want := []string{"asked by a name that is not ours", "from another site", "not let in", "from outside the home network", "login failed", "not let in"}
	lines := strings.Split(strings.TrimSpace(log.String()), "\n")
	if len(lines) != len(want) {
		t.Fatalf("%d lines:\n%s", len(lines), log)
	}
	for i, l := range lines {
		var x map[string]any
		if err := json.Unmarshal([]byte(l), &x); err != nil || x["msg"] != want[i] || x["time"] == "" || !strings.Contains(x["from"].(string), "192.168.1.") && !strings.Contains(x["from"].(string), "203.0.113.9") {
			t.Errorf("line %d, want %s: %s (%v)", i+1, want[i], l, err)
		}
	}
}

// Who logs out, or is shut out, is told to drop the copies of pages his browser
// keeps; who is still let in some other way keeps them.
func TestCopiesGoWithTheLogin(t *testing.T) {
	h := newHomeSite(t, "plain")
	drops := func(a *answer) bool {
		found := false
		each(a.doc, func(n *html.Node) { found = found || n.Type == html.ElementNode && hasAttr(n, "data-forget") })
		if found && !strings.Contains(a.Body, "/assets/login.js") && !strings.Contains(a.Body, "/assets/door.js") {
			t.Error("no script heeds it")
		}
		return found
	}
	if drops(h.as(h.eva, http.MethodGet, "/short")) || drops(h.as(h.eva, http.MethodGet, "/login?out=1")) {
		t.Error("one who is in is to drop his pages")
	}
	h.as(h.eva, http.MethodPost, "/logout")
	if !drops(h.as(h.eva, http.MethodGet, "/login?out=1")) || !drops(h.as(h.eva, http.MethodGet, "/round")) {
		t.Error("one who has logged out keeps his pages")
	}
	if drops(h.ask(from("192.168.1.30", http.MethodGet, "/login?out=1", nil, phoneCookie, h.cleo, ownerCookie, h.eva))) {
		t.Error("the phone is still paired, and is to drop its pages")
	}
	if !drops(h.ask(from("192.168.1.30", http.MethodGet, "/round", nil, phoneCookie, h.bob))) {
		t.Error("a phone taken off the list keeps its pages")
	}
	if drops(h.ask(from("192.168.1.30", http.MethodGet, "/house", nil, phoneCookie, h.ann))) {
		t.Error("a phone that may not see one page is to drop all")
	}
}

// What follows a step is not had without it: a round without a plan taken out, a
// hive of it, its sheet typed in; taking back what nobody did; a password changed
// without a login. Nothing is written by the trying.
func TestStepsAreNotSkipped(t *testing.T) {
	h := newHomeSite(t, "plain")
	kept2(t, h.site)
	for _, p := range []struct {
		method, path string
		fields       url.Values
	}{
		{http.MethodGet, "/round/1", nil}, {http.MethodGet, "/round/1/hive/m1", nil}, {http.MethodGet, "/round/1/type", nil},
		{http.MethodPost, "/round/1/hive/m1", url.Values{"given": {"2 L"}}}, {http.MethodPost, "/round/1/type", url.Values{"given-m1": {"2 L"}}},
		{http.MethodPost, "/undo", url.Values{"act": {"0198f2a4-5b6c-7d8e-9f00-112233445566"}}},
		{http.MethodPost, "/hives/m1/strike", url.Values{"fact": {"0198f2a4-5b6c-7d8e-9f00-112233445566"}}},
		{http.MethodPost, "/login/password", url.Values{"now": {ownersPassword}, "next": {"smoke before you lift"}}},
	} {
		if a := h.ask(from("127.0.0.1", p.method, p.path, p.fields)); a.Code < 400 || a.Code >= 500 {
			t.Errorf("%s %s: %d", p.method, p.path, a.Code)
		}
	}
	if n := len(h.marked()); n != 0 {
		t.Errorf("%d facts were written", n)
	}
	if a := h.ask(from("127.0.0.1", http.MethodPost, "/plan/out", nil)); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	if a := h.ask(from("127.0.0.1", http.MethodGet, "/round/1", nil)); a.Code != http.StatusOK {
		t.Errorf("with the plan taken out: %d", a.Code)
	}
}
