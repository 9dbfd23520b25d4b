//go:build unix

package cli

import (
	"archive/zip"
	"bytes"
	"compress/zlib"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/postgres"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/web"
)

// routesOf reads the routes out of the table of the screens.
func routesOf(t *testing.T) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "../web/routes.go", nil, 0)
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
	if len(out) < 100 {
		t.Fatalf("only %d routes were found: is routes.go written otherwise now?", len(out))
	}
	return out
}

// markedSeason writes the example season with every name of a yard, colony, batch,
// lot, product and supplier, and every note, marked as one keeper's.
func markedSeason(t *testing.T, dir, mark string) {
	t.Helper()
	larder(t, "", "demo", "--folder", dir)
	names, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	colony, note := regexp.MustCompile(`\b([a-wyz])(\d{1,2})\b`), regexp.MustCompile(`\b(wet ground|still full|two sacks left|fed to nucs)\b`)
	for _, name := range names {
		raw, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		s := string(raw)
		if !strings.HasSuffix(name, "weather.csv") {
			if strings.HasSuffix(name, ".csv") {
				s = colony.ReplaceAllString(s, mark+"$1$2")
				for range 2 { // neighbouring cells share a comma
					s = regexp.MustCompile(`(?m)(^|,)(garden|creek|mill|ridge)(,|\r?$)`).ReplaceAllString(s, "${1}"+mark+"$2$3")
				}
				s = note.ReplaceAllString(s, mark+" $1")
			}
			for _, w := range []string{"Home Garden", "Creek Bottom", "Mill Lane", "Ridge Field", "invented powder", "the bakery wholesaler", "S-0815", "S-0531", "T-204", "F-0210", "Example season"} {
				s = strings.ReplaceAll(s, w, mark+" "+w)
			}
		}
		if err := os.WriteFile(name, []byte(s), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// tenant is one keeper with all that is his.
type tenant struct {
	name, mark, place    string
	door                 *access.Door
	book                 *postgres.Book
	owner, phone, helper string // cookies
	gone                 string // of a phone taken off
	phoneID, helperID    string
	loginID, act, gift   string
	yard, hive, load     string
}

// ids fills the gaps of a route with what is his.
func (k *tenant) fill(pattern string) (method, path string, his bool) {
	method, path, _ = strings.Cut(pattern, " ")
	for gap, with := range map[string]string{"{$}": "", "{name}": "larder.css", "{key}": "stores.hand_fair_kg", "{kind}": "shopping", "{code}": "M7Q4K2TX", "{part}": "tank", "{n}": "1", "{form}": "zip"} {
		path = strings.ReplaceAll(path, gap, with)
	}
	if strings.HasPrefix(path, "/working/") {
		path = strings.ReplaceAll(path, "{id}", "nothing")
	}
	id := k.yard
	switch {
	case strings.HasPrefix(path, "/hive"):
		id = k.hive
	case strings.HasPrefix(path, "/given"):
		id = k.gift
	case strings.HasPrefix(path, "/house/phones"):
		id = k.phoneID
	case strings.HasPrefix(path, "/house/helpers"):
		id = k.helperID
	case strings.HasPrefix(path, "/house/logins"):
		id = k.loginID
	}
	full := path
	for gap, with := range map[string]string{"{id}": id, "{yard}": k.yard, "{colony}": k.hive} {
		full = strings.ReplaceAll(full, gap, url.PathEscape(with))
	}
	return method, strings.ReplaceAll(full, "{load}", k.load), full != path
}

// co is several keepers in one program.
type co struct {
	t    *testing.T
	many *web.Many
}

func (c *co) ask(method, path, cookie, kind, body string) said {
	c.t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host, r.RemoteAddr = "barn.local:8642", "192.168.1.30:40000"
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	if cookie != "" {
		r.Header.Set("Cookie", cookie)
	}
	w := httptest.NewRecorder()
	c.many.ServeHTTP(w, r)
	return said{w.Code, w.Header(), seen(c.t, w.Body.Bytes())}
}

func (c *co) form(path, cookie string, pairs ...string) said {
	c.t.Helper()
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return c.ask(http.MethodPost, path, cookie, "application/x-www-form-urlencoded", v.Encode())
}

// seen is what is in a body: of a zip or a workbook all its files, of a PDF its
// texts and its title.
func seen(t *testing.T, body []byte) string {
	t.Helper()
	if bytes.HasPrefix(body, []byte("%PDF-")) {
		return paperText(t, body)
	}
	if !bytes.HasPrefix(body, []byte("PK")) {
		return string(body)
	}
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(&out, io.LimitReader(r, 64<<20)); err != nil {
			t.Fatal(err)
		}
		r.Close()
	}
	return out.String()
}

// paperText is what a PDF of ours says: its streams unpacked, and the NULs of
// UTF-16 taken out, so that a mark of plain letters is found wherever it stands. A
// mark in a QR code is not seen: the words under it are.
func paperText(t *testing.T, pdf []byte) string {
	t.Helper()
	out := bytes.Clone(pdf[:0])
	for {
		before, after, ok := bytes.Cut(pdf, []byte("\nstream\n"))
		out = append(out, before...)
		if !ok {
			break
		}
		packed, tail, _ := bytes.Cut(after, []byte("\nendstream"))
		pdf = tail
		if z, err := zlib.NewReader(bytes.NewReader(packed)); err != nil {
			out = append(out, packed...)
		} else if text, err := io.ReadAll(z); err != nil {
			t.Fatal(err)
		} else if bytes.Contains(text, []byte(" Tj")) { // else a typeface
			out = append(out, text...)
		}
	}
	return string(bytes.ReplaceAll(out, []byte{0}, nil))
}

// newCo makes two keepers with a season, an owner's login, phones and a helper
// each, in one database.
func newCo(t *testing.T, now func() time.Time) (*co, *tenant, *tenant) {
	t.Helper()
	address := pgURL(t)
	r := &run{common: common{Book: address}, World: World{Now: now, Env: func(string) string { return "" }, Err: io.Discard}, ctx: context.Background()}
	list, err := postgres.OpenKeepers(address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { list.Close() })
	strangers, err := access.Open(&access.Memory{}, now, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	tries, err := access.NewLobby(now, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	o := web.Options{Door: strangers, Now: now, NewID: newID, Hosts: []string{"barn.local"}, Patience: 2 * time.Minute,
		Lan: &web.Lan{How: "plain", Home: netip.Addr.IsPrivate, Addresses: func() []string { return []string{"http://barn.local:8642"} }}}
	backups, err := (&serveCmd{Backups: t.TempDir()}).shelvesOf(r, list)
	if err != nil {
		t.Fatal(err)
	}
	many, err := web.NewMany(r.ctx, &served{r, list, backups}, o, tries)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(many.Close)
	c := &co{t, many}
	keeper := func(name, mark string) *tenant {
		larder(t, name+"'s own long words\n", "--book", address, "keepers", "add", name)
		dir := filepath.Join(t.TempDir(), "season")
		markedSeason(t, dir, mark)
		larder(t, "", "--book", address, "--keeper", name, "import", dir)
		x, err := list.Named(r.ctx, name)
		if err != nil {
			t.Fatal(err)
		}
		k := &tenant{name: name, mark: mark, place: x.Place, yard: mark + "mill", hive: mark + "m1", load: "1"}
		if k.door, k.book, err = r.keeperDoor(list, x.Place); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { k.book.Close() })
		k.owner = c.form("/login", "", "keeper", name, "password", name+"'s own long words").cookie("larder-owner")
		h, err := k.door.AddHelper("Eva", mark+" lift the lids", access.Console())
		if err != nil {
			t.Fatal(err)
		}
		k.helperID = h.ID
		k.helper = c.form("/login", "", "keeper", name, "name", "Eva", "password", mark+" lift the lids").cookie("larder-owner")
		pair := func(phone string) string {
			code, _, err := k.door.Offer(access.Hands{}, access.Console())
			if err != nil {
				t.Fatal(err)
			}
			return c.form("/pair", "", "keeper", name, "code", code, "name", phone).cookie("larder-phone")
		}
		k.phone, k.gone = pair(mark+" phone"), pair(mark+" lost phone")
		if _, err := k.door.Revoke(mark+" lost phone", access.Console()); err != nil {
			t.Fatal(err)
		}
		for _, p := range k.door.Phones() {
			if p.Fate == access.Paired {
				k.phoneID = p.ID
			}
		}
		for _, s := range k.door.Sessions() {
			if s.Helper != "" {
				k.loginID = s.ID
			}
		}
		for what, got := range map[string]string{"owner": k.owner, "helper": k.helper, "phone": k.phone, "lost phone": k.gone, "phone id": k.phoneID, "login id": k.loginID} {
			if got == "" {
				t.Fatalf("%s has no %s", name, what)
			}
		}
		out := c.form("/plan/out", k.owner)
		if out.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", out.Code, plain(out.Body))
		}
		u, err := url.Parse(out.Head.Get("Location"))
		if err != nil {
			t.Fatal(err)
		}
		k.act = u.Query().Get("done")
		m := regexp.MustCompile(`/given/([0-9a-f-]{36})`).FindStringSubmatch(c.ask(http.MethodGet, "/given", k.owner, "", "").Body)
		if m == nil || k.act == "" {
			t.Fatalf("%s has no gift or no act", name)
		}
		k.gift = m[1]
		return k
	}
	return c, keeper("Ann", "zann"), keeper("Bob", "zbob")
}

// strangersIn are the words of the other keeper in an answer that were not in the
// request itself.
func strangersIn(body, mark string, request ...string) []string {
	var out []string
	asked := strings.Join(request, " ")
	for _, w := range regexp.MustCompile(mark+`[\w-]*`).FindAllString(body, -1) {
		if !strings.Contains(asked, w) && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// fingerprint is what is in a keeper's book and beside it.
func (k *tenant) fingerprint(t *testing.T) string {
	t.Helper()
	facts, err := k.book.Facts(t.Context(), units.Moment{})
	if err != nil {
		t.Fatal(err)
	}
	side, _, err := k.book.Side(t.Context(), accessName)
	if err != nil {
		t.Fatal(err)
	}
	trail, err := k.book.Trail(t.Context(), 10000)
	if err != nil {
		t.Fatal(err)
	}
	return season.Digest(facts) + side + strconv.Itoa(len(trail))
}

// Two keepers, every route there is: whoever of one asks, with his own ids and with
// the other's, sees no word of the other, and changes nothing of his; the other's
// ids are nobody's.
func TestTwoKeepersNeverMeetOnAnyRoute(t *testing.T) {
	day, err := units.ParseDay("2015-09-12")
	if err != nil {
		t.Fatal(err)
	}
	now := day.Time().Add(19 * time.Hour)
	c, ann, bob := newCo(t, func() time.Time { return now })
	routes := routesOf(t)
	for _, pair := range [][2]*tenant{{ann, bob}, {bob, ann}} {
		me, other := pair[0], pair[1]
		before := other.fingerprint(t)
		told := 0
		ask := func(who, cookie, pattern string, ids *tenant, more ...string) said {
			t.Helper()
			method, path, his := ids.fill(pattern)
			body, kind := "", ""
			if method == http.MethodPost {
				v := url.Values{"act": {ids.act}, "fact": {ids.gift}, "hive": {ids.hive}, "yard": {ids.yard}, "into": {ids.hive}, "whose": {ids.helperID}, "hive.0": {ids.hive}, "what": {"entrance"}, "password": {"long words of mine"}}
				body, kind = v.Encode(), "application/x-www-form-urlencoded"
			}
			a := c.ask(method, path+strings.Join(more, ""), cookie, kind, body)
			if words := strangersIn(a.Body+a.Head.Get("Location")+a.Head.Get("Content-Disposition"), other.mark, path, body, strings.Join(more, "")); len(words) > 0 {
				t.Errorf("%s of %s asks %s with ids of %s: told %v", who, me.name, pattern, ids.name, words)
			}
			if strings.Contains(a.Body, me.mark) {
				told++
			}
			if ids == other && his && a.Code != http.StatusNotFound && a.Code != http.StatusForbidden {
				led := pattern == "GET /hive/{id}" || pattern == "GET /yard/{id}" // where labels lead: the page behind is asked too
				if !led || a.Code != http.StatusSeeOther {
					t.Errorf("%s of %s asks %s with ids of %s: %d, want 404", who, me.name, pattern, ids.name, a.Code)
				}
			}
			return a
		}
		for _, pattern := range routes {
			if !strings.HasPrefix(pattern, "GET ") {
				continue
			}
			for who, cookie := range map[string]string{"the owner": me.owner, "the phone": me.phone, "the helper": me.helper} {
				for _, ids := range []*tenant{me, other} {
					ask(who, cookie, pattern, ids)
				}
			}
		}
		// Files and filters of all kinds.
		for _, path := range []string{"/shed/inspector.csv", "/sheets/inspector", "/sheets/heft", "/sheets/hives", "/sheets/yards", "/sheets/winter", "/sheets/tank", "/sheets/batch?n=1", "/sheets/load?n=1",
			"/sheets/trip?n=1", "/sheets/day?day=2015-09-13", "/round/1.html", "/phone/round?load=1", "/house/trail", "/house/phones", "/given?struck=1"} {
			for _, q := range []string{"", "yard=" + other.yard, "hive=" + other.hive, "done=" + other.act} {
				sep := "?"
				if strings.Contains(path, "?") {
					sep = "&"
				}
				a := c.ask(http.MethodGet, path+sep+q, me.owner, "", "")
				if words := strangersIn(a.Body, other.mark, path, q); len(words) > 0 {
					t.Errorf("%s asks %s%s%s: told %v", me.name, path, sep, q, words)
				}
				if strings.Contains(a.Body, me.mark) {
					told++
				}
				if strings.Contains(a.Body, `name="act" value="`+other.act) {
					t.Errorf("%s is offered to undo what %s did", me.name, other.name)
				}
			}
		}
		// Every kind of file: all the paper that is offered, as PDF, and what is taken
		// away as a table. Each has to have words of his own, or nothing was read.
		c.form("/plan/out", me.owner) // the trips are those of a plan taken out
		papers, kinds := []string{"/house/export/zip", "/house/export/xlsx", "/shed/inspector.csv", "/sheets/trip.pdf?n=1"}, map[string]bool{}
		for _, m := range regexp.MustCompile(`"(/sheets/(\w+)\.pdf\?[^"]*)"`).FindAllStringSubmatch(c.ask(http.MethodGet, "/sheets", me.owner, "", "").Body, -1) {
			if !kinds[m[2]] {
				kinds[m[2]] = true
				papers = append(papers, html.UnescapeString(m[1]))
			}
		}
		for _, path := range append(papers, "/sheets/heft.pdf?yard="+other.yard, "/sheets/yard.pdf?day=2015-09-13&yard="+other.yard) {
			a := c.ask(http.MethodGet, path, me.owner, "", "")
			if words := strangersIn(a.Body+a.Head.Get("Content-Disposition"), other.mark, path); len(words) > 0 {
				t.Errorf("%s is given %s: told %v", me.name, path, words)
			}
			if own := strings.Contains(a.Body, me.mark); strings.Contains(path, other.mark) {
				if own || a.Code != http.StatusNotFound {
					t.Errorf("%s asks %s: %d", me.name, path, a.Code)
				}
			} else if !own && !strings.HasPrefix(path, "/sheets/dip.pdf") && !strings.HasPrefix(path, "/sheets/shopping.pdf") { // a tank's chart and what is to be bought name nobody
				t.Errorf("%s: nothing of %s is in %s: this test could not fail (%d, %s)", path, me.name, a.Head.Get("Content-Type"), a.Code, a.Head.Get("Content-Disposition"))
			}
		}
		if len(kinds) < 10 {
			t.Errorf("paper of %d kinds only: %v", len(kinds), kinds)
		}
		if told < 60 {
			t.Errorf("%s saw words of his own %d times only: this test could not fail", me.name, told)
		}
		if other.fingerprint(t) != before {
			t.Errorf("reading as %s changed something of %s", me.name, other.name)
		}
		// What the phone says: the other's facts are not had here.
		facts, err := other.book.Facts(t.Context(), units.Moment{})
		if err != nil {
			t.Fatal(err)
		}
		var theirs []string
		for _, f := range facts {
			if f.Kind() == "given" || f.Kind() == "reading" {
				theirs = append(theirs, f.ID.String())
			}
		}
		raw, err := json.Marshal(map[string]any{"ids": theirs})
		if err != nil {
			t.Fatal(err)
		}
		a := c.ask(http.MethodPost, "/phone/have", me.phone, "application/json", string(raw))
		var reply struct {
			Missing []string `json:"missing"`
		}
		if err := json.Unmarshal([]byte(a.Body), &reply); err != nil || len(theirs) == 0 || len(reply.Missing) != len(theirs) {
			t.Errorf("of %d facts of %s, %s lacks %d (%v)", len(theirs), other.name, me.name, len(reply.Missing), err)
		}
		strike := fmt.Sprintf(`{"protocol":1,"device":"d","now":"2015-09-12T19:00:00Z","entries":[{"id":"0198f2a4-5b6c-7d8e-9f00-1122334455%s","seq":1,"made":"2015-09-12T18:00:00Z","kind":"strike","body":{"fact":%q}}]}`, map[string]string{"Ann": "66", "Bob": "77"}[me.name], theirs[0])
		c.ask(http.MethodPost, "/phone/facts", me.phone, "application/json", strike)
		for _, pattern := range routes {
			if strings.HasPrefix(pattern, "POST ") && pattern != "POST /login" && pattern != "POST /logout" && pattern != "POST /pair" && pattern != "POST /start/example" {
				ask("the owner", me.owner, pattern, other)
			}
		}
		if other.fingerprint(t) != before {
			t.Errorf("what %s sent changed something of %s", me.name, other.name)
		}
	}
}

// Tokens open the door they are for: with the other keeper's mark, none, or one made
// up they open nothing; nor do those of a phone taken off.
func TestTokensOfOneKeeperOpenNoOther(t *testing.T) {
	now := time.Date(2015, 9, 12, 19, 0, 0, 0, time.UTC)
	c, ann, bob := newCo(t, func() time.Time { now = now.Add(2 * time.Second); return now })
	value := func(cookie string) (name, mark, token string) {
		name, v, _ := strings.Cut(cookie, "=")
		mark, token, _ = strings.Cut(v, ".")
		return name, mark, token
	}
	_, annMark, annToken := value(ann.owner)
	_, bobMark, _ := value(bob.owner)
	_, _, annPhone := value(ann.phone)
	if annMark != ann.place || bobMark != bob.place || strings.Contains(strings.ToLower(annMark), "ann_") {
		t.Errorf("marks %q %q", annMark, bobMark)
	}
	routes := routesOf(t)
	for what, cookie := range map[string]string{
		"Ann's token for Bob's book":        "larder-owner=" + bobMark + "." + annToken,
		"Ann's phone for Bob's book":        "larder-phone=" + bobMark + "." + annPhone,
		"no mark":                           "larder-owner=" + annToken,
		"an empty mark":                     "larder-owner=." + annToken,
		"a mark made up":                    "larder-owner=larder_k_0123456789abcdef." + annToken,
		"a mark that is no place":           "larder-owner=public." + annToken,
		"a login as a phone":                "larder-phone=" + annMark + "." + annToken,
		"a phone as a login":                "larder-owner=" + annMark + "." + annPhone,
		"a phone taken off":                 bob.gone,
		"Ann's mark twice":                  "larder-owner=" + annMark + "." + annMark + "." + annToken,
		"Bob's mark, Ann's phone beside it": "larder-owner=" + bobMark + ".x; " + ann.phone,
		"nothing at all":                    "",
	} {
		for _, pattern := range routes {
			method, path, _ := bob.fill(pattern)
			first, _, _ := strings.Cut(strings.TrimPrefix(path, "/"), "/")
			switch first {
			case "assets", "manifest.webmanifest", "login", "logout", "pair", "certificate", "first", "manual":
				continue
			}
			if method == http.MethodPost && !strings.HasSuffix(pattern, "revoke") && pattern != "POST /undo" {
				continue // the same check for all: doors_test.go of the screens
			}
			a := c.ask(method, path, cookie, "", "")
			if a.Code != http.StatusUnauthorized && a.Code != http.StatusTooManyRequests {
				t.Errorf("%s, %s: %d, want 401", what, pattern, a.Code)
			}
			for _, k := range []*tenant{ann, bob} {
				if words := strangersIn(a.Body, k.mark, path); len(words) > 0 && cookie != bob.gone {
					t.Errorf("%s, %s: told %v", what, pattern, words)
				}
			}
		}
	}
	// Two cookies of two keepers: the login's book, and nothing of the phone's.
	a := c.ask(http.MethodGet, "/yards", ann.owner+"; "+bob.phone, "", "")
	if a.Code != 200 || !strings.Contains(a.Body, ann.mark) || strings.Contains(a.Body, bob.mark) {
		t.Errorf("%d", a.Code)
	}
	// A code pairs with the keeper who made it only.
	code, _, err := ann.door.Offer(access.Hands{}, access.Console())
	if err != nil {
		t.Fatal(err)
	}
	if a := c.form("/pair", "", "keeper", "Bob", "code", code, "name", "x"); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("Ann's code pairs with Bob: %d", a.Code)
	}
	if a := c.form("/pair", "", "keeper", "Ann", "code", code, "name", "x"); a.Code != http.StatusSeeOther {
		t.Errorf("%d", a.Code)
	}
}

// From what is answered nobody learns whether there is a keeper, or a helper, of a
// name: the same page, and the same wait after the same number of tries.
func TestNobodyLearnsWhoIsAKeeper(t *testing.T) {
	now := time.Date(2015, 9, 12, 19, 0, 0, 0, time.UTC)
	c, _, _ := newCo(t, func() time.Time { return now })
	tag := regexp.MustCompile(`(?i)bob|nobody|[Ee]va|gus`)
	answers := func(from, keeper, name string) []string {
		var out []string
		for range 8 {
			r := httptest.NewRequest(http.MethodPost, "/login", strings.NewReader(url.Values{"keeper": {keeper}, "name": {name}, "password": {"a guess of mine"}}.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.Host, r.RemoteAddr = "barn.local", from+":40000"
			w := httptest.NewRecorder()
			c.many.ServeHTTP(w, r)
			out = append(out, fmt.Sprint(w.Code, w.Header().Get("Retry-After"), tag.ReplaceAllString(w.Body.String(), "")))
		}
		return out
	}
	now = now.Add(24 * time.Hour)
	for _, name := range []string{"", "Eva", "Gus"} {
		is, not := answers("192.168.1.71", "Bob", name), answers("192.168.1.72", "Nobody", name)
		for i := range is {
			if is[i] != not[i] {
				t.Errorf("try %d of %q: a keeper's name answers\n%.1500s\nanother\n%.1500s", i+1, name, plain(is[i]), plain(not[i]))
			}
		}
		if !strings.HasPrefix(is[0], "422") || !strings.HasPrefix(is[7], "429") {
			t.Errorf("%.20s … %.20s", is[0], is[7])
		}
		now = now.Add(24 * time.Hour)
	}
	// From many addresses too: each name has so many tries.
	codes := map[string][]int{}
	for _, keeper := range []string{"Bob", "Nobody"} {
		for i := range 30 {
			r := httptest.NewRequest(http.MethodPost, "/login", strings.NewReader(url.Values{"keeper": {keeper}, "password": {"a guess of mine"}}.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.Host, r.RemoteAddr = "barn.local", fmt.Sprintf("10.0.0.%d:40000", i+1)
			w := httptest.NewRecorder()
			c.many.ServeHTTP(w, r)
			codes[keeper] = append(codes[keeper], w.Code)
		}
		now = now.Add(time.Hour)
	}
	if !slices.Equal(codes["Bob"], codes["Nobody"]) || !slices.Contains(codes["Bob"], 429) {
		t.Errorf("%v", codes)
	}
}

// Each keeper's book is backed up each day into a folder of its own, with nothing
// of another's in it; trouble with one holds up no other; an empty book can be
// filled from one. A keeper sees no more of the server's disk than a file's name.
func TestKeepersBackups(t *testing.T) {
	clock := time.Date(2026, 3, 1, 8, 0, 0, 0, time.Local)
	address := pgURL(t)
	var told bytes.Buffer
	r := &run{common: common{Book: address}, World: World{Now: func() time.Time { return clock }, Env: func(string) string { return "" }, Err: &told}, ctx: t.Context()}
	list, err := postgres.OpenKeepers(address)
	if err != nil {
		t.Fatal(err)
	}
	defer list.Close()
	digest := map[string]string{}
	for name, mark := range map[string]string{"Ann/..": "zann", "Bob": "zbob", "Cleo": "zcleo"} {
		larder(t, "a few long words of one's own\n", "--book", address, "keepers", "add", name)
		dir := filepath.Join(t.TempDir(), "season")
		markedSeason(t, dir, mark)
		larder(t, "", "--book", address, "--keeper", name, "import", dir)
		digest[name] = digestOf(t, larder(t, "", "--book", address, "--keeper", name, "check", "--json"))
	}
	root := t.TempDir()
	s, err := (&serveCmd{Backups: root}).shelvesOf(r, list)
	if err != nil {
		t.Fatal(err)
	}
	keeper := func(name string) postgres.Keeper {
		t.Helper()
		x, err := list.Named(t.Context(), name)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	// A file where Bob's folder should be.
	bobs := filepath.Join(root, folderOf(keeper("Bob")))
	if err := os.WriteFile(bobs, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s.all(t.Context())
	if !strings.Contains(told.String(), "the backup of the book of Bob was not made") || strings.Contains(told.String(), "Cleo") {
		t.Errorf("told: %s", told.String())
	}
	if err := os.Remove(bobs); err != nil {
		t.Fatal(err)
	}
	clock = clock.Add(time.Hour)
	s.all(t.Context()) // Bob's only: the others' are of today
	for name, mark := range map[string]string{"Ann/..": "zann", "Bob": "zbob", "Cleo": "zcleo"} {
		x := keeper(name)
		dir := filepath.Join(root, folderOf(x))
		if up, err := filepath.Rel(root, dir); err != nil || up != filepath.Base(dir) {
			t.Errorf("%s leads out of the folder", dir)
		}
		all, err := onShelf(dir)
		if err != nil || len(all) != 1 {
			t.Fatalf("%s has %d backups: %v", name, len(all), err)
		}
		file := filepath.Join(dir, all[0].name)
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, other := range []string{"zann", "zbob", "zcleo"} {
			if other != mark && bytes.Contains(raw, []byte(other)) {
				t.Errorf("something of %s is in the backup of %s", other, name)
			}
		}
		larder(t, "a few long words of one's own\n", "--book", address, "keepers", "add", "new "+mark)
		larder(t, "", "--book", address, "--keeper", "new "+mark, "restore", file)
		if got := digestOf(t, larder(t, "", "--book", address, "--keeper", "new "+mark, "check", "--json")); got != digest[name] {
			t.Errorf("%s restored is another book", name)
		}
		own := s.of(x)
		if last := own.Last(); last.Dir != "" || !last.Apart || last.Where != all[0].name || !last.Daily {
			t.Errorf("%+v", last)
		}
		if _, err := own.Make(t.Context()); !fault.Is(err, fault.Busy) && name == "Bob" {
			t.Errorf("asked for again at once: %v", err)
		}
	}
}

// digestOf reads the digest out of a report.
func digestOf(t *testing.T, report string) string {
	t.Helper()
	var x struct {
		Digest string `json:"digest"`
	}
	if err := json.Unmarshal([]byte(report), &x); err != nil || x.Digest == "" {
		t.Fatalf("%v: %s", err, report)
	}
	return x.Digest
}
