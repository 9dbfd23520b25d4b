package web

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
)

// headers are those every answer bears, whatever it is.
var headers = map[string]string{
	"Content-Security-Policy": "default-src 'none'", "X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin",
	"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "Permissions-Policy": "geolocation=()",
}

// bears tells which headers an answer lacks; kept = it may be kept by the browser.
func (a *answer) bears(kept bool) (lacks []string) {
	for k, want := range headers {
		if !strings.Contains(a.Head.Get(k), want) {
			lacks = append(lacks, k)
		}
	}
	p := a.Head.Get("Content-Security-Policy")
	for _, never := range []string{"unsafe-inline", "unsafe-eval", "*", "http:", "https:"} {
		if strings.Contains(p, never) {
			lacks = append(lacks, "policy allows "+never)
		}
	}
	for _, must := range []string{"object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'", "form-action 'self'", "require-trusted-types-for 'script'"} {
		if !strings.Contains(p, must) {
			lacks = append(lacks, "policy without "+must)
		}
	}
	if c := a.Head.Get("Cache-Control"); !kept && c != "no-store" {
		lacks = append(lacks, "Cache-Control "+c)
	}
	for _, h := range []string{"Access-Control-Allow-Origin", "Server", "X-Powered-By"} {
		if a.Head.Get(h) != "" {
			lacks = append(lacks, h+" is there")
		}
	}
	kind := a.Head.Get("Content-Type")
	if a.Body != "" && kind == "" && a.Code != http.StatusSeeOther {
		lacks = append(lacks, "Content-Type")
	}
	if text := strings.HasPrefix(kind, "text/") || strings.HasSuffix(kind, "+xml") || strings.HasSuffix(kind, "/xml"); text && !strings.HasSuffix(strings.ToLower(kind), "; charset=utf-8") {
		lacks = append(lacks, "the letters of "+kind)
	}
	return lacks
}

// Every route, asked in every wrong way: by a name that is not ours, by a method it
// does not have, with a form that is too long, from another site, in another kind
// than it takes. The answer is the right 4xx with all headers, and nothing is
// written. The routes are those of routes.go: a new one is in.
func TestEveryRouteAskedWrongly(t *testing.T) {
	h := newHomeSite(t, "plain")
	long := strings.Repeat("x=1&", maxForm/4+1)
	trail, err := h.door.Trail(1000)
	if err != nil {
		t.Fatal(err)
	}
	ask := func(name, pattern, method, path string, want []int, change func(*http.Request)) {
		t.Helper()
		r := from("127.0.0.1", method, path, nil)
		change(r)
		a := h.ask(r)
		if !slices.Contains(want, a.Code) {
			t.Errorf("%s, %s: %d, want %v", pattern, name, a.Code, want)
		}
		if lacks := a.bears(false); len(lacks) > 0 {
			t.Errorf("%s, %s: %v", pattern, name, lacks)
		}
		if strings.Contains(a.Body, "goroutine") || strings.Contains(a.Body, ".go:") || strings.Contains(a.Body, "panic") {
			t.Errorf("%s, %s: the answer tells of the inside", pattern, name)
		}
	}
	kept2(t, h.site)
	for _, p := range allRoutes(t) {
		method, path := pathOf(p)
		ask("wrong host", p, method, path, []int{421}, func(r *http.Request) { r.Host = "evil.example" })
		for _, m := range []string{http.MethodPut, http.MethodDelete, http.MethodPatch, http.MethodOptions, "TRACE", "PROPFIND"} {
			ask("wrong method", p, m, path, []int{http.StatusMethodNotAllowed}, func(*http.Request) {})
		}
		if method != http.MethodPost {
			continue
		}
		if path != "/phone/file" && path != "/phone/code" { // these take pictures: TestPicturesOfCodesComeHome
			ask("too long a form", p, method, path, []int{http.StatusRequestEntityTooLarge}, func(r *http.Request) {
				r.Body, r.ContentLength = io.NopCloser(strings.NewReader(long)), int64(len(long))
			})
		}
		ask("from another site", p, method, path, []int{http.StatusForbidden}, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") })
		ask("from another port", p, method, path, []int{http.StatusForbidden}, func(r *http.Request) { r.Header.Set("Origin", "http://barn.local:9999") })
		if talk[p] || p == "POST /phone/code" {
			ask("as a form", p, method, path, []int{http.StatusUnsupportedMediaType}, func(*http.Request) {})
			ask("as text", p, method, path, []int{http.StatusUnsupportedMediaType}, func(r *http.Request) { r.Header.Set("Content-Type", "text/plain") })
		}
	}
	if n := len(h.marked()); n != 0 {
		t.Errorf("%d facts were written", n)
	}
	if now, err := h.door.Trail(1000); err != nil || len(now) != len(trail) {
		t.Errorf("%d lines more in the trail, %v", len(now)-len(trail), err)
	}
}

// Nothing is changed by asking for a page.
func TestReadingChangesNothing(t *testing.T) {
	h := newHomeSite(t, "plain")
	kept2(t, h.site)
	state := func() int {
		list, err := h.door.Trail(1000)
		if err != nil {
			t.Fatal(err)
		}
		return len(list) + len(h.door.Phones()) + len(h.door.Sessions()) + len(h.door.Helpers())
	}
	before := state()
	for _, p := range allRoutes(t) {
		method, path := pathOf(p)
		if method != http.MethodGet || strings.HasPrefix(path, "/house/export") { // taking all away is noted
			continue
		}
		for _, m := range []string{http.MethodGet, http.MethodHead} {
			a := h.ask(from("127.0.0.1", m, path+"?act=1&name=x&key=house.units&value=uk&fact=1&units=uk&password=abc", nil))
			if a.Code >= 500 {
				t.Errorf("%s %s: %d", m, path, a.Code)
			}
			if lacks := a.bears(path == "/assets/larder.css" || path == "/sw.js"); len(lacks) > 0 {
				t.Errorf("%s %s: %v", m, path, lacks)
			}
		}
	}
	if n := len(h.marked()); n != 0 || state() != before {
		t.Errorf("%d facts were written, or something at the door changed", n)
	}
}

// No folder is listed, and no file is had but those that are meant to be.
func TestNoFolderIsListed(t *testing.T) {
	h := newHomeSite(t, "plain")
	for _, path := range []string{"/assets/", "/assets", "/assets/..", "/assets/../doors.go", "/assets/%2e%2e/doors.go", "/assets/..%2fdoors.go", "/assets/%5c..%5cdoors.go", "/assets/page.html", "/assets/en.json", "/screen/", "/screen/house/page.html",
		"/text/en.json", "/.git/config", "/season.larder", "/season.larder.access", "/season.larder.trail", "/backups/", "/favicon.ico", "/debug/pprof/", "/house/export/", "/house/export/..", "/house/export/db", "/sheets/../season.larder", "/manual/../manual.go", "/manual/..%2fmanual.go"} {
		for _, address := range []string{"127.0.0.1", "192.168.1.66"} {
			r := from(address, http.MethodGet, "/", nil)
			r.URL = &url.URL{Path: strings.SplitN(path, "?", 2)[0], RawPath: path}
			if u, err := url.PathUnescape(path); err == nil {
				r.URL.Path = u
			}
			w := httptest.NewRecorder()
			h.srv.ServeHTTP(w, r)
			body := w.Body.String()
			if w.Code == http.StatusOK && path != "/manual/../manual.go" || strings.Contains(body, "package web") || strings.Contains(body, "argon2id") || strings.Contains(body, "<pre>") && strings.Contains(body, "<a href=") {
				t.Errorf("%s from %s: %d %.100s", path, address, w.Code, body)
			}
		}
	}
}
