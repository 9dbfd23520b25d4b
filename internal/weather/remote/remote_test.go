package remote

import (
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
	"larder/internal/weather"
)

var today = units.DayOf(2026, 10, 3)

var ask = Ask{Station: "ridge", Lat: 42.4367, Lon: -76.5012, From: today - 1, To: today + 2, Today: today}

// answer is a good one, with replacements to spoil it.
func answer(spoil ...string) string {
	return strings.NewReplacer(spoil...).Replace(`{"latitude":42.45,"longitude":-76.5,"elevation":310.0,"timezone":"America/New_York",
"daily_units":{"time":"iso8601","temperature_2m_max":"°C","temperature_2m_min":"°C","precipitation_sum":"mm"},
"daily":{"time":["2026-10-02","2026-10-03","2026-10-04"],"temperature_2m_max":[17.5,14,null],"temperature_2m_min":[6.5,4,2],"precipitation_sum":[0,2.5,null]}}`)
}

func says(body string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		io.WriteString(w, body)
	}
}

// serve gives a service that answers so, on this machine, allowed.
func serve(t *testing.T, h http.Handler) (Service, *httptest.Server) {
	t.Helper()
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	return Service{Template: srv.URL + "/daily?la={lat}&lo={lon}&a={from}&b={to}", Nearby: true, Now: func() time.Time { return time.Unix(1790000000, 0) }}, srv
}

func TestFetch(t *testing.T) {
	var asked string
	s, _ := serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked = r.URL.String()
		if len(r.Cookies()) > 0 || r.Header.Get("Authorization") != "" || r.Header.Get("Referer") != "" {
			t.Errorf("told of us: %v", r.Header)
		}
		says(answer())(w, r)
	}))
	got, err := s.Fetch(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	if asked != "/daily?la=42.44&lo=-76.5&a=2026-10-02&b=2026-10-05" {
		t.Errorf("asked %s", asked)
	}
	want := []weather.Day{
		{Station: "ridge", Day: today - 1, TMax: 17.5, HasMax: true, TMin: 6.5, HasMin: true, HasRain: true},
		{Station: "ridge", Day: today, TMax: 14, HasMax: true, TMin: 4, HasMin: true, Rain: 2.5, HasRain: true, Forecast: true},
		{Station: "ridge", Day: today + 1, TMin: 2, HasMin: true, Forecast: true},
	}
	if days := got.File.Series[0].Days(); fmt.Sprint(days) != fmt.Sprint(want) {
		t.Errorf("%+v", days)
	}
	if got.Kept || got.Age != 0 || got.Host != "127.0.0.1" || got.File.Stations[0].Elev != 310 {
		t.Errorf("%+v", got)
	}
}

// A service that misbehaves in every way is refused with a sentence, in time,
// and leaves nothing behind.
func TestMisbehaviour(t *testing.T) {
	plain := func(status int, kind, body string, head ...string) http.HandlerFunc {
		return func(w http.ResponseWriter, _ *http.Request) {
			for i := 0; i+1 < len(head); i += 2 {
				w.Header().Set(head[i], head[i+1])
			}
			w.Header().Set("Content-Type", kind)
			w.WriteHeader(status)
			io.WriteString(w, body)
		}
	}
	forever := func(r *http.Request) { <-r.Context().Done() }
	to := func(where string) http.HandlerFunc {
		return func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, where, http.StatusFound) }
	}
	for _, c := range []struct {
		name string
		h    http.HandlerFunc
		kind fault.Kind
		say  string
	}{
		{"slow head", func(_ http.ResponseWriter, r *http.Request) { forever(r) }, fault.Unreachable, "too long"},
		{"slow body", func(w http.ResponseWriter, r *http.Request) {
			says(answer()[:50])(w, r)
			w.(http.Flusher).Flush()
			forever(r)
		}, fault.Unreachable, "too long"},
		{"dripping body", func(w http.ResponseWriter, r *http.Request) {
			for r.Context().Err() == nil {
				says(" ")(w, r)
				w.(http.Flusher).Flush()
				time.Sleep(10 * time.Millisecond)
			}
		}, fault.Unreachable, "too long"},
		{"endless body", func(w http.ResponseWriter, r *http.Request) {
			for block := strings.Repeat(" ", 1<<16); r.Context().Err() == nil; {
				if says(block)(w, r); r.Context().Err() != nil {
					return
				}
			}
		}, fault.Damaged, "too long"},
		{"gzip bomb", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "application/json")
			w.Header().Set("Content-Encoding", "gzip")
			z := gzip.NewWriter(w)
			for range 20 << 4 {
				z.Write(make([]byte, 1<<16))
			}
			z.Close()
		}, fault.Damaged, "too long"},
		{"endless heads", func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("X-Long", strings.Repeat("x", 1<<20))
			says(answer())(w, r)
		}, fault.Unreachable, "cannot be reached"},
		{"round in circles", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/again", http.StatusFound) }, fault.Unreachable, "on and on"},
		{"to a file", to("file:///etc/passwd"), fault.Unreachable, "an address that is none"},
		{"with a password", to("http://a:b@127.0.0.1/"), fault.Unreachable, "an address that is none"},
		{"to link-local", to("http://169.254.169.254/latest"), fault.Unreachable, "169.254.169.254 lies inside"},
		{"a page", plain(200, "text/html", "<html>"), fault.Damaged, "not JSON"},
		{"no kind", plain(200, "", answer()), fault.Damaged, "not JSON"},
		{"not found", plain(404, "application/json", `{"error":true}`), fault.Unreachable, "(404)"},
		{"no content", plain(204, "application/json", ""), fault.Unreachable, "(204)"},
		{"too often", plain(429, "application/json", "{}", "Retry-After", "120"), fault.Busy, "too often"},
		{"ill", plain(500, "text/plain", "oops"), fault.Unreachable, "of its own (500)"},
		{"cut off", func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Length", "4000")
			says(answer())(w, r)
		}, fault.Damaged, "broke off"},
		{"empty", says(""), fault.Damaged, "cut off or is not a forecast"},
		{"half", says(answer()[:200]), fault.Damaged, "cut off or is not a forecast"},
		{"two", says(answer() + answer()), fault.Damaged, "cut off or is not a forecast"},
		{"a list", says("[1,2]"), fault.Damaged, "not a forecast"},
		{"no days", says("{}"), fault.Missing, "no list of days"},
		{"deep", says(strings.Repeat("[", 1<<20)), fault.Damaged, "not a forecast"},
		{"NaN", says(answer("14,", "NaN,")), fault.Damaged, "not a forecast"},
		{"huge", says(answer("14,", "1e999,")), fault.NotUnderstood, "is not a number"},
		{"large", says(answer("14,", "1e300,")), fault.OutOfRange, "cannot be the high"},
		{"hot", says(answer("14,", "99,")), fault.OutOfRange, "cannot be the high"},
		{"text", says(answer("14,", `"14",`)), fault.NotUnderstood, "is not a number"},
		{"upside down", says(answer("14,", "1,")), fault.OutOfRange, "below its low"},
		{"no units", says(answer("daily_units", "dayly_units")), fault.Missing, "in what unit"},
		{"kelvin", says(answer("°C", "K")), fault.NotUnderstood, "not a unit"},
		{"days missing", says(answer(`"2026-10-04"`, "")), fault.Damaged, "not a forecast"},
		{"fewer days", says(answer(`,"2026-10-04"`, "")), fault.Damaged, "3 values for 2 days"},
		{"last year", says(answer("2026-10", "2025-10")), fault.Damaged, "asked was 2026-10-02"},
		{"no such day", says(answer("2026-10-04", "2026-13-44")), fault.NotUnderstood, "2026-13-44"},
		{"twice", says(answer("2026-10-03", "2026-10-02")), fault.Conflict, "has another"},
		{"elsewhere", says(answer("42.45", "-42.45")), fault.Damaged, "another place"},
	} {
		s, _ := serve(t, c.h)
		s.Keep, s.head, s.whole = t.TempDir(), 20*time.Second, 20*time.Second // large answers take a slow machine a while
		if c.say == "too long" && c.kind == fault.Unreachable {
			s.head, s.whole = 150*time.Millisecond, 400*time.Millisecond
		}
		begin := time.Now()
		_, err := s.Fetch(t.Context(), ask)
		if !fault.Is(first(err), c.kind) || !strings.Contains(first(err).Error(), c.say) {
			t.Errorf("%s: %v %v", c.name, fault.KindOf(first(err)), err)
		}
		if took := time.Since(begin); took > 19*time.Second {
			t.Errorf("%s took %v", c.name, took)
		}
		if left, _ := os.ReadDir(s.Keep); len(left) > 0 {
			t.Errorf("%s: kept %v", c.name, left)
		}
	}
}

// first gives the first of several troubles.
func first(err error) error {
	var many fault.List
	if errors.As(err, &many) && len(many) > 0 {
		return many[0]
	}
	if err == nil {
		return errors.New("no trouble at all")
	}
	return err
}

// Units are read for each array by itself.
func TestMixedUnits(t *testing.T) {
	s, _ := serve(t, says(answer(`"temperature_2m_max":"°C"`, `"temperature_2m_max":"°F"`, "17.5,14,", "68,50,", `"mm"`, `"inch"`)))
	got, err := s.Fetch(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	if d := got.File.Series[0].Days()[1]; d.TMax != 10 || d.TMin != 4 || d.Rain != 63.5 {
		t.Errorf("%+v", d)
	}
}

// Without leave nothing of this machine is called: not by address, not by a
// name that leads here, not by a redirect. The server must not see a thing.
func TestNothingNearIsCalled(t *testing.T) {
	called := 0
	s, srv := serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { called++; says(answer())(w, r) }))
	s.Nearby = false
	for _, host := range []string{"127.0.0.1", "localhost", "[::1]", "[::ffff:127.0.0.1]", "0.0.0.0"} {
		s.Template = strings.Replace(srv.URL, "127.0.0.1", host, 1) + "/{lat}/{lon}"
		_, err := s.Fetch(t.Context(), ask)
		if !fault.Is(err, fault.Unreachable) || called > 0 {
			t.Errorf("%s: %v, called %d times", host, err, called)
		}
	}
}

// A name may lead to another address at the second look: each call is judged by
// the address it is made to.
func TestEveryCallIsJudged(t *testing.T) {
	for _, c := range []struct {
		at           string
		open, nearby bool
	}{
		{"93.184.215.14:443", true, true}, {"[2606:2800:21f:cb07::1]:443", true, true},
		{"127.0.0.1:80", false, true}, {"127.9.9.9:80", false, true}, {"[::1]:80", false, true}, {"[::ffff:127.0.0.1]:80", false, true},
		{"10.1.2.3:80", false, true}, {"172.16.0.1:80", false, true}, {"192.168.1.1:80", false, true}, {"[fd00::1]:80", false, true}, {"[::ffff:10.0.0.1]:80", false, true},
		{"169.254.169.254:80", false, false}, {"[fe80::1]:80", false, false}, {"[fe80::1%eth0]:80", false, false}, {"0.0.0.0:80", false, false}, {"[::]:80", false, false},
		{"100.64.0.1:80", false, false}, {"224.0.0.1:80", false, false}, {"[ff02::1]:80", false, false}, {"255.255.255.255:80", false, false}, {"192.0.0.192:80", false, false},
		{"[64:ff9b::7f00:1]:80", false, false}, {"[2002:7f00:1::]:80", false, false}, {"[2001:0:7f00:1::]:80", false, false}, {"[fec0::1]:80", false, false}, {"[::127.0.0.1]:80", false, false},
		{"nowhere", false, false},
	} {
		if got := (Service{}).mayCall(t.Context(), "tcp", c.at, nil) == nil; got != c.open {
			t.Errorf("%s: may be called %v", c.at, got)
		}
		if got := (Service{Nearby: true}).mayCall(t.Context(), "tcp", c.at, nil) == nil; got != c.nearby {
			t.Errorf("%s, nearby: may be called %v", c.at, got)
		}
	}
	if open(netip.Addr{}) {
		t.Error("no address is open")
	}
}

func TestAddresses(t *testing.T) {
	for template, kind := range map[string]fault.Kind{
		"": fault.Missing, "weather.example/{lat}": fault.Usage, "ftp://weather.example/{lat}": fault.Usage, "https://a:b@weather.example/{lat}": fault.Usage,
		"https:///{lat}": fault.Usage, "https://weather.example/{secret}": fault.Usage, "http://%zz/": fault.Usage,
	} {
		if _, err := (Service{Template: template}).Fetch(t.Context(), ask); !fault.Is(err, kind) {
			t.Errorf("%q: %v", template, err)
		}
	}
	for name, a := range map[string]Ask{"pole": {Lat: 91, From: 1, To: 1}, "no days": {}, "backwards": {From: 5, To: 4}, "ages": {From: 1, To: 1000}} {
		if _, err := (Service{Template: "https://weather.example/{lat}"}).Fetch(t.Context(), a); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("%s: %v", name, err)
		}
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	s, _ := serve(t, says(answer()))
	if _, err := s.Fetch(stopped, ask); !fault.Is(err, fault.Stopped) {
		t.Errorf("stopped: %v", err)
	}
}

// The last answer is kept: used while young, told of with its age when old, and
// never trusted more than the network.
func TestKept(t *testing.T) {
	calls, now := 0, time.Unix(1790000000, 0)
	s, _ := serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { calls++; says(answer())(w, r) }))
	s.Keep, s.Again, s.Now = filepath.Join(t.TempDir(), "kept"), time.Hour, func() time.Time { return now }
	fetch := func(a Ask) Answer {
		t.Helper()
		got, err := s.Fetch(t.Context(), a)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	fetch(ask)
	now = now.Add(20 * time.Minute)
	if got := fetch(ask); calls != 1 || !got.Kept || got.Age != 20*time.Minute || got.File.Series[0].Len() != 3 {
		t.Errorf("after 20 min: %d calls, %+v", calls, got)
	}
	longer := ask
	longer.To += 3
	if got := fetch(longer); calls != 2 || got.Kept {
		t.Errorf("other days: %d calls", calls)
	}
	now = now.Add(26 * time.Hour)
	if k, ok := s.Kept(ask); !ok || k.Age != 26*time.Hour {
		t.Errorf("a day later: %v %v", ok, k.Age)
	}
	if got := fetch(ask); calls != 3 || got.Kept {
		t.Errorf("a day later: %d calls", calls)
	}
	for name, spoil := range map[string]func(string) error{
		"damaged": func(f string) error { return os.WriteFile(f, []byte("{"), 0o600) },
		"forged": func(f string) error {
			return os.WriteFile(f, []byte(`{"fetched":"2026-09-21T00:00:00Z","from":"2026-10-02","to":"2026-10-05","today":"2026-10-03","body":"{}"}`), 0o600)
		},
		"gone": os.Remove,
	} {
		fetch(ask)
		if err := spoil(s.file(ask)); err != nil {
			t.Fatal(err)
		}
		if _, ok := s.Kept(ask); ok {
			t.Errorf("%s: taken", name)
		}
	}
	now = now.Add(-400 * 24 * time.Hour) // a clock set back
	fetch(ask)
	now = now.Add(-time.Hour)
	if _, ok := s.Kept(ask); ok {
		t.Error("an answer from the future was taken")
	}
	s.Keep = filepath.Join(s.file(ask), "under a file") // cannot be made: the answer is used all the same
	fetch(ask)
}

func TestNeverFromSafeToOpen(t *testing.T) {
	call := func(u string) *http.Request { return httptest.NewRequest(http.MethodGet, u, nil) }
	check := Service{}.client().CheckRedirect
	if err := check(call("http://b.example/"), []*http.Request{call("https://a.example/")}); !fault.Is(err, fault.Unreachable) {
		t.Errorf("https to http: %v", err)
	}
	if err := check(call("https://b.example/"), []*http.Request{call("http://a.example/")}); err != nil {
		t.Errorf("http to https: %v", err)
	}
}
