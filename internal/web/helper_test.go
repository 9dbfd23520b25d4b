package web

import (
	"encoding/json"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"larder/internal/access"
	"larder/internal/season"
	"larder/internal/units"
)

// dear is the small season with prices no other figure looks like.
func dear(t *testing.T) []season.Fact {
	t.Helper()
	facts := smallSeason(t)
	for i, kv := range [][2]string{{"house.currency", "USD"}, {"price.sugar_per_kg", "7.77 USD"}, {"price.per_km", "3.33 USD"}, {"price.per_hour", "91 USD"}} {
		id := season.ID{0x01, 0x98, 6: 0x70, 8: 0x80, 13: 7, 14: byte(i), 15: 1}
		facts = append(facts, season.Fact{ID: id, Seen: units.OnDay(sept(-20)), Body: season.Setting{Key: kv[0], Value: kv[1]}})
	}
	return facts
}

// dearHome is a house on a network whose prices are told.
func dearHome(t *testing.T) *homeSite {
	t.Helper()
	h := newHomeSite(t, "plain")
	o := h.srv.options
	s := newSiteWith(t, smallNow, Options{Door: h.door, Hosts: o.Hosts, Lan: o.Lan}, dear(t)...)
	h.site = s
	return h
}

// as asks as a helper by his login.
func (h *homeSite) as(token, method, path string, pairs ...string) *answer {
	h.t.Helper()
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return h.ask(from("192.168.1.50", method, path, v, ownerCookie, token))
}

// A helper walks every link he is shown, from the first page on: none of them is
// shut, no form is one he may not send, and nowhere does a price stand.
func TestHelperSeesNoPricesAndNoShutDoors(t *testing.T) {
	h := dearHome(t)
	if a := h.ask(from("127.0.0.1", http.MethodGet, "/plan", nil)); !strings.Contains(a.text(), "$") {
		t.Fatalf("the owner sees no costs: this test could not fail\n%s", a.text())
	}
	if a := h.ask(from("127.0.0.1", http.MethodPost, "/plan/out", url.Values{})); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	mux := h.srv.routes()
	route := func(method, to string) string {
		_, p := mux.Handler(httptest.NewRequest(method, to, nil))
		return p
	}
	seen, queue := map[string]bool{}, []string{"/"}
	for _, p := range allRoutes(t) { // and what no link leads to
		if method, path := pathOf(p); method == http.MethodGet && doors[p] == forHelper {
			queue = append(queue, path)
		}
	}
	queue = append(queue, "/sheets/load?n=1", "/sheets/yard?yard=mill&day=2026-09-05", "/sheets/batch?n=1")
	whole := 0
	for len(queue) > 0 && len(seen) < 400 {
		path := queue[0]
		queue = queue[1:]
		key, _, _ := strings.Cut(path, "#")
		// The round as a file has its script in it. The manual is one book for all
		// readers: it holds nothing of this house, and tells of pages that are the
		// owner's.
		if seen[key] || strings.HasSuffix(key, ".html") || strings.HasPrefix(key, "/manual") {
			continue
		}
		seen[key] = true
		a := h.as(h.eva, http.MethodGet, key)
		if a.Code == http.StatusForbidden && strings.HasPrefix(key, "/sheets/shopping") {
			a.has("this sheet is the owner's")
			continue
		}
		if a.Code == http.StatusForbidden || a.Code == http.StatusUnauthorized {
			t.Errorf("%s: %d", key, a.Code)
		}
		if a.Code == http.StatusOK {
			whole++
		}
		if text := a.text(); strings.Contains(a.Body, "$") && a.doc != nil || strings.Contains(text, "USD") || strings.Contains(text, "7.77") {
			t.Errorf("%s tells a helper of money:\n%.3000s", key, text)
		}
		if a.doc == nil {
			continue
		}
		each(a.doc, func(n *html.Node) {
			if n.Type != html.ElementNode {
				return
			}
			to, method := "", http.MethodGet
			switch n.Data {
			case "a":
				to = attr(n, "href")
			case "form":
				to = attr(n, "action")
				if m := attr(n, "method"); m == "post" {
					method = http.MethodPost
				}
			}
			if to, _, _ = strings.Cut(to, "#"); !strings.HasPrefix(to, "/") {
				return
			}
			p := route(method, to)
			if doors[p] < forHelper {
				t.Errorf("%s shows a helper the way to %s %s (%s)", key, method, to, p)
			}
			if method == http.MethodGet && n.Data == "a" {
				queue = append(queue, to)
			}
		})
	}
	if whole < 30 {
		t.Errorf("only %d pages were seen whole of %d", whole, len(seen))
	}
	// What he may not even ask for says so in a sentence.
	for _, path := range []string{"/house", "/shed/cost", "/shed", "/figures", "/rig/hose", "/given/review", "/sheets/shopping", "/sheets/shopping.pdf", "/sheets/inspector", "/sheets/day?day=2026-09-05"} {
		a := h.as(h.eva, http.MethodGet, path)
		if a.Code != http.StatusForbidden || len(a.text()) < 40 {
			t.Errorf("%s: %d %s", path, a.Code, a.text())
		}
	}
}

// A helper logs; what he wrote bears his name, and that alone he takes back.
func TestHelperTakesBackOnlyHisOwn(t *testing.T) {
	h := newHomeSite(t, "plain")
	act := func(a *answer) string {
		t.Helper()
		if a.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", a.Code, a.text())
		}
		u, err := url.Parse(a.Head.Get("Location"))
		if err != nil {
			t.Fatal(err)
		}
		return u.Query().Get("done")
	}
	owners := act(h.ask(from("127.0.0.1", http.MethodPost, "/hives/m1/look", url.Values{"bees": {"9"}, "day": {"2026-09-04"}})))
	evas := act(h.as(h.eva, http.MethodPost, "/hives/m2/look", "bees", "8", "day", "2026-09-04"))
	cleos := act(h.ask(from("192.168.1.30", http.MethodPost, "/hives/m3/look", url.Values{"bees": {"7"}, "day": {"2026-09-04"}}, phoneCookie, h.cleo)))
	by := map[string]string{}
	for _, f := range h.marked() {
		by[f.ID.String()] = f.By
	}
	for act, want := range map[string]string{owners: "", evas: "Eva", cleos: "Cleo's phone"} {
		if got, ok := by[act]; !ok || got != want {
			t.Errorf("%s is by %q (%v), want %q", act, got, ok, want)
		}
	}
	refused := func(a *answer) {
		t.Helper()
		if a.Code != http.StatusForbidden || !strings.Contains(a.text(), "a helper takes back only what he wrote down himself") {
			t.Errorf("%d %s", a.Code, a.text())
		}
	}
	if a := h.as(h.eva, http.MethodGet, "/hives/m1?done="+owners); strings.Contains(a.Body, `action="/undo"`) {
		t.Error("she is offered to undo what the owner did")
	}
	for _, act := range []string{owners, cleos} {
		refused(h.as(h.eva, http.MethodPost, "/undo", "act", act))
	}
	refused(h.as(h.eva, http.MethodPost, "/hives/m1/strike", "fact", owners))
	refused(h.as(h.eva, http.MethodPost, "/hives/m1/look", "right", owners, "bees", "3", "day", "2026-09-04"))
	if n := len(h.marked()); n != 0 {
		t.Errorf("%d facts were written by what was refused", n)
	}
	again := act(h.as(h.eva, http.MethodPost, "/undo", "act", evas))
	act(h.as(h.eva, http.MethodPost, "/undo", "act", again)) // and that too
	if f := h.marked(); len(f) != 2 || f[0].By != "Eva" || f[1].By != "Eva" {
		t.Errorf("%+v", f)
	}
	// The owner undoes anybody's.
	act(h.ask(from("192.168.1.40", http.MethodPost, "/undo", url.Values{"act": {cleos}}, ownerCookie, h.owner)))
	// What is given is put right by who gave it.
	raw := func(cookie, token string, entries ...phoneEntry) *answer {
		b, err := json.Marshal(batch(entries...))
		if err != nil {
			t.Fatal(err)
		}
		r := httptest.NewRequest(http.MethodPost, "/phone/facts", strings.NewReader(string(b)))
		r.Header.Set("Content-Type", "application/json")
		r.Host, r.RemoteAddr = "barn.local:8642", "192.168.1.30:40000"
		r.AddCookie(&http.Cookie{Name: cookie, Value: token})
		return h.ask(r)
	}
	anns := entry(11, madeNow, "given", gave)
	if a := raw(phoneCookie, h.ann, anns); !strings.Contains(a.Body, `"is":"stored"`) {
		t.Fatal(a.Body)
	}
	refused(h.as(h.eva, http.MethodGet, "/given/"+anns.ID))
	refused(h.as(h.eva, http.MethodPost, "/given/"+anns.ID, "amount", "1 L"))
	refused(h.as(h.eva, http.MethodPost, "/given/"+anns.ID+"/strike"))
	strike := func(n int, of string) phoneEntry { return entry(n, madeNow, "strike", `{"fact":"`+of+`"}`) }
	replace := entry(13, madeNow, "given", gave)
	replace.Replaces = anns.ID
	// From a helper's phone: his own gift and its strike are taken; another's strike,
	// one of a fact nobody knows, a hive, an id of another's are not.
	mine := entry(14, madeNow, "given", `{"colony":"m2","feed":"syrup","volume":"2 L","plan":"p/1"}`)
	a := raw(phoneCookie, h.cleo, strike(12, anns.ID), replace, mine, strike(15, mine.ID), strike(16, entry(99, madeNow, "left", "{}").ID),
		entry(17, madeNow, "colony", `{"colony":{"id":"n1","yard":"hill","kind":"full"}}`))
	var reply phoneReply
	if err := json.Unmarshal([]byte(a.Body), &reply); err != nil {
		t.Fatal(a.Body)
	}
	want := []string{"refused", "refused", "stored", "stored", "refused", "refused"}
	for i, x := range reply.Answers {
		if x.Is != want[i] || x.Is == "refused" && (x.Say == "" || x.Hint == "") {
			t.Errorf("entry %d: %+v, want %s", i, x, want[i])
		}
	}
	for _, f := range h.marked() {
		if f.By != "Cleo's phone" && f.By != "Ann's phone" && f.By != "" {
			t.Errorf("%+v", f)
		}
	}
}

// Whatever page he comes by, a helper's facts are of the kinds that are his.
func TestHelperWritesNoOtherKind(t *testing.T) {
	h := newHomeSite(t, "plain")
	v := &visitor{helper: "Eva"}
	for _, k := range season.Kinds() {
		err := h.srv.house.lentMay(v, &season.Fact{Body: bodyOf(t, k)}, nil)
		if (err == nil) != lentKinds[k] {
			t.Errorf("%s: %v", k, err)
		}
	}
	for k := range lentKinds {
		for _, money := range []string{"setting", "price", "bought", "label", "yard", "plan-out", "colony", "moved"} {
			if k == money {
				t.Errorf("a helper may write %s", k)
			}
		}
	}
}

func bodyOf(t *testing.T, kind string) any {
	t.Helper()
	b, err := season.DecodeBody(kind, []byte("{}"))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A helper who is taken off is out with the next request, his phone too.
func TestHelperTakenOffIsOutAtOnce(t *testing.T) {
	h := newHomeSite(t, "plain")
	desk := func(path string, pairs ...string) *answer {
		t.Helper()
		v := url.Values{}
		for i := 0; i+1 < len(pairs); i += 2 {
			v.Add(pairs[i], pairs[i+1])
		}
		return h.ask(from("127.0.0.1", http.MethodPost, path, v))
	}
	// Too short, twice, then well: the name stays in the box, the password never.
	a := desk("/house/helpers", "name", "Flo", "password", "short")
	if a.Code != http.StatusUnprocessableEntity || strings.Contains(a.Body, `value="short"`) {
		t.Errorf("%d", a.Code)
	}
	a.has("needs at least 8")
	if !strings.Contains(a.Body, `value="Flo"`) {
		t.Error("the name that was typed is lost")
	}
	if a := desk("/house/helpers", "name", "eva", "password", helpersPassword); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("a name twice: %d", a.Code)
	}
	if a := desk("/house/helpers", "name", "Flo", "password", helpersPassword); a.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", a.Code, a.text())
	}
	login := h.ask(from("192.168.1.51", http.MethodPost, "/login", url.Values{"name": {"flo"}, "password": {helpersPassword}, "to": {"/short"}}))
	flo := cookieOf(t, login, ownerCookie).Value
	if a := h.as(flo, http.MethodGet, "/short"); a.Code != http.StatusOK {
		t.Fatalf("%d", a.Code)
	} else {
		a.has("Logged in as Flo, a helper")
		a.hasNot("House", "Feed shed")
	}
	var id string
	for _, x := range h.door.Helpers() {
		if x.Name == "Flo" {
			id = x.ID
		}
	}
	if a := desk("/house/phones/code", "whose", id); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	code, _, _ := h.door.Offered()
	h.ask(from("127.0.0.1", http.MethodGet, "/house/phones", nil)).has("This code is for a phone of Flo, a helper", "Logins now")
	pair := h.ask(from("192.168.1.52", http.MethodPost, "/pair", url.Values{"code": {code}, "name": {"Flo's phone"}}))
	phone := cookieOf(t, pair, phoneCookie).Value
	see := func() (int, int) {
		return h.as(flo, http.MethodGet, "/short").Code, h.ask(from("192.168.1.52", http.MethodGet, "/short", nil, phoneCookie, phone)).Code
	}
	if a, b := see(); a != 200 || b != 200 {
		t.Fatalf("%d %d", a, b)
	}
	if a := h.ask(from("192.168.1.52", http.MethodGet, "/figures", nil, phoneCookie, phone)); a.Code != http.StatusForbidden {
		t.Errorf("a helper's phone sees the figures: %d", a.Code)
	}
	// A new password ends the login, not the phone.
	if a := desk("/house/helpers/"+id+"/password", "password", "another one of hers"); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	if a, b := see(); a != 401 || b != 200 {
		t.Errorf("after a new password: %d %d", a, b)
	}
	login = h.ask(from("192.168.1.51", http.MethodPost, "/login", url.Values{"name": {"Flo"}, "password": {"another one of hers"}}))
	flo = cookieOf(t, login, ownerCookie).Value
	if a := desk("/house/helpers/" + id + "/remove"); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	if a, b := see(); a != 401 || b != 401 {
		t.Errorf("after she was taken off: %d %d", a, b)
	}
	login = h.ask(from("192.168.1.51", http.MethodPost, "/login", url.Values{"name": {"Flo"}, "password": {"another one of hers"}}))
	if login.Code != http.StatusUnprocessableEntity {
		t.Errorf("she logs in again: %d", login.Code)
	}
	login.has("this name and this password do not go together")
	if login.field("name") != "Flo" {
		t.Error("the name that was typed is lost")
	}
	// The owner ends one login from the list.
	for _, x := range h.door.Sessions() {
		if a := desk("/house/logins/" + x.ID + "/end"); a.Code != http.StatusSeeOther {
			t.Errorf("%d", a.Code)
		}
	}
	if a := h.ask(from("192.168.1.40", http.MethodGet, "/short", nil, ownerCookie, h.owner)); a.Code != 401 {
		t.Errorf("an ended login is let in: %d", a.Code)
	}
}

// Who did what stands in the trail, newest first, with whence; nothing secret
// does; nobody but the owner reads it.
func TestTrailTellsWhoDidWhat(t *testing.T) {
	h := newHomeSite(t, "plain")
	h.ask(from("192.168.1.66", http.MethodPost, "/login", url.Values{"password": {"a wrong guess"}}))
	h.ask(from("192.168.1.66", http.MethodPost, "/login", url.Values{"name": {"my secret words"}, "password": {"x"}}))
	h.ask(from("192.168.1.66", http.MethodPost, "/pair", url.Values{"code": {"M7Q4K2TX"}, "name": {"Mallory"}}))
	h.ask(from("192.168.1.40", http.MethodPost, "/house", url.Values{"price.per_km": {"0.45 USD"}, "rig.tank": {"160 L"}}, ownerCookie, h.owner))
	h.ask(from("192.168.1.30", http.MethodPost, "/units", url.Values{"units": {"metric"}}, phoneCookie, h.ann))
	h.ask(from("192.168.1.40", http.MethodPost, "/logout", nil, ownerCookie, h.owner))
	type line struct {
		what        access.What
		role        access.Role
		about, from string
	}
	want := []line{
		{access.SignedOut, access.RoleOwner, "", "192.168.1.40"},
		{access.SettingsSet, access.RolePhone, "house.units", "192.168.1.30"},
		{access.SettingsSet, access.RoleOwner, "rig.tank, price.per_km", "192.168.1.40"},
		{access.PairingFailed, access.RoleNobody, "Mallory", "192.168.1.66"},
		{access.SignInFailed, access.RoleNobody, "", "192.168.1.66"},
		{access.SignInFailed, access.RoleNobody, "", "192.168.1.66"},
		{access.HelperRemoved, access.RoleConsole, "Gus", ""},
	}
	list, err := h.door.Trail(100)
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range want {
		e := list[i]
		if e.What != w.what || e.Role != w.role || e.From != w.from || e.About != w.about && w.what != access.SettingsSet ||
			w.what == access.SettingsSet && len(strings.Split(e.About, ", ")) != len(strings.Split(w.about, ", ")) || e.At.IsZero() {
			t.Errorf("line %d: %+v, want %+v", i, e, w)
		}
		if (e.Role == access.RoleOwner || e.Role == access.RolePhone) && e.Session == "" {
			t.Errorf("line %d does not say by which login or phone: %+v", i, e)
		}
	}
	raw, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	for _, secret := range []string{ownersPassword, helpersPassword, "wrong guess", "my secret words", h.owner, h.ann, "M7Q4K2TX"} {
		if strings.Contains(string(raw), secret) {
			t.Errorf("the trail tells %q", secret)
		}
	}
	h.ask(from("127.0.0.1", http.MethodGet, "/house/trail", nil)).has("could not log in", "Mallory", "192.168.1.66", "took a helper off", "Gus", "own phone", "changed settings")
	for cookie, token := range map[string]string{ownerCookie: h.eva, phoneCookie: h.ann} {
		if a := h.ask(from("192.168.1.30", http.MethodGet, "/house/trail", nil, cookie, token)); a.Code != http.StatusForbidden {
			t.Errorf("%d", a.Code)
		}
	}
	for _, what := range access.Whats() {
		for _, lang := range []string{"en", "es"} {
			if s := h.srv.screens.texts.message(lang, "trail."+string(what), nil); strings.Contains(s, "⟨") {
				t.Errorf("%s has no word for %s", lang, what)
			}
		}
	}
}

// Before there is a password, the code of the console sets it, once; nothing else
// of the house is answered to other devices.
func TestFirstPassword(t *testing.T) {
	h := newHomeSite(t, "plain")
	m := &access.Memory{}
	door, err := access.Open(m, func() time.Time { return h.now }, rand.NewChaCha8([32]byte{9}))
	if err != nil {
		t.Fatal(err)
	}
	o := h.srv.options
	h.site = newSiteWith(t, smallNow, Options{Door: door, Hosts: o.Hosts, Lan: o.Lan}, smallSeason(t)...)
	ask := func(method, path string, pairs ...string) *answer {
		v := url.Values{}
		for i := 0; i+1 < len(pairs); i += 2 {
			v.Add(pairs[i], pairs[i+1])
		}
		return h.ask(from("192.168.1.30", method, path, v))
	}
	if a := ask(http.MethodPost, "/first", "code", "", "password", ownersPassword); a.Code != http.StatusUnprocessableEntity || door.HasPassword() {
		t.Errorf("without a code: %d", a.Code)
	}
	code, _, err := door.OfferFirst()
	if err != nil {
		t.Fatal(err)
	}
	if a := ask(http.MethodGet, "/short"); a.Code != http.StatusUnauthorized {
		t.Errorf("%d", a.Code)
	} else {
		a.has("The owner's first password")
	}
	a := ask(http.MethodPost, "/first", "code", code, "password", "seven77")
	if a.Code != http.StatusUnprocessableEntity || a.field("code") != code || door.HasPassword() {
		t.Errorf("%d %q", a.Code, a.field("code"))
	}
	a.has("needs at least 8")
	if a := ask(http.MethodPost, "/first", "code", "AAAAAAAA", "password", ownersPassword); a.Code != http.StatusUnprocessableEntity || door.HasPassword() {
		t.Errorf("a wrong code: %d", a.Code)
	}
	if a := ask(http.MethodPost, "/first", "code", strings.ToLower(access.ShowCode(code)), "password", ownersPassword); a.Code != http.StatusSeeOther || !door.HasPassword() {
		t.Errorf("%d %s", a.Code, a.text())
	}
	if a := ask(http.MethodPost, "/first", "code", code, "password", "another of mine"); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("it works twice: %d", a.Code)
	}
	if a := ask(http.MethodPost, "/login", "password", ownersPassword); a.Code != http.StatusSeeOther {
		t.Errorf("%d", a.Code)
	}
	// Old, it works no more.
	fresh, err := access.Open(&access.Memory{}, func() time.Time { return h.now }, rand.NewChaCha8([32]byte{10}))
	if err != nil {
		t.Fatal(err)
	}
	if code, _, err = fresh.OfferFirst(); err != nil {
		t.Fatal(err)
	}
	h.now = h.now.Add(access.CodeLife)
	if err := fresh.SetFirst(code, ownersPassword, "192.168.1.30"); err == nil || fresh.HasPassword() {
		t.Error("a code works after its time")
	}
}

// TestOwnPassword: a helper sets a new one of her own, with the old; no password
// is ever sent back, and a phone without a login has none.
func TestOwnPassword(t *testing.T) {
	h := newHomeSite(t, "plain")
	const next = "smoke before you lift"
	change := func(token, now, next string) *answer {
		t.Helper()
		return h.ask(from("192.168.1.50", http.MethodPost, "/login/password", url.Values{"now": {now}, "next": {next}}, ownerCookie, token))
	}
	h.as(h.eva, http.MethodGet, "/short").has("My password")
	h.as(h.eva, http.MethodGet, "/login").has("Change your password", "Eva")
	a := change(h.eva, "not hers at all", next)
	if a.Code != http.StatusUnprocessableEntity || strings.Contains(a.Body, next) || strings.Contains(a.Body, "not hers at all") {
		t.Errorf("another password than hers: %d", a.Code)
	}
	a.has("not the password you have now")
	a = change(h.eva, helpersPassword, "short")
	if a.Code != http.StatusUnprocessableEntity {
		t.Errorf("a short one: %d", a.Code)
	}
	a.has("needs at least 8")
	a = change(h.eva, helpersPassword, next)
	if a.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", a.Code, a.text())
	}
	fresh := cookieOf(t, a, ownerCookie).Value
	h.as(fresh, http.MethodGet, "/login?set=1").has("Your password is changed")
	if a := h.as(h.eva, http.MethodGet, "/short"); a.Code == http.StatusOK {
		t.Error("the login from before goes on")
	}
	if a := h.ask(from("192.168.1.51", http.MethodPost, "/login", url.Values{"name": {"eva"}, "password": {next}})); a.Code != http.StatusSeeOther {
		t.Errorf("with the new one: %d", a.Code)
	}
	for name, r := range map[string]*http.Request{
		"this computer": from("127.0.0.1", http.MethodPost, "/login/password", url.Values{"now": {ownersPassword}, "next": {next}}),
		"a phone":       from("192.168.1.60", http.MethodPost, "/login/password", url.Values{"now": {ownersPassword}, "next": {next}}, phoneCookie, h.ann),
	} {
		if a := h.ask(r); a.Code != http.StatusNotFound {
			t.Errorf("%s: %d", name, a.Code)
		}
	}
	if h.as(h.owner, http.MethodGet, "/login").Code != http.StatusOK {
		t.Error("the owner's login ended")
	}
}
