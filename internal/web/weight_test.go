package web_test

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/net/html"

	"larder/internal/web"
	"larder/tools/storybook/stories"
)

// mostWeight is what a page for sixty hives may weigh as it is sent, with its
// style sheet and scripts.
const mostWeight = 150 << 10

// sixtyPages are the pages that list hives.
var sixtyPages = []string{"/", "/short", "/plan", "/load", "/readings", "/yards", "/yards/y01", "/hives/1-1", "/sheets", "/round", "/figures", "/house", "/mix", "/given"}

// TestPageWeight weighs what really goes over the wire for sixty hives: each
// page, compressed, and all it fetches.
func TestPageWeight(t *testing.T) {
	srv, err := stories.Open("sixty")
	if err != nil {
		t.Fatal(err)
	}
	fetch := func(path string) (sent int, body []byte) {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:50000"
		r.Header.Set("Accept-Encoding", "gzip")
		w := httptest.NewRecorder()
		srv.ServeHTTP(w, r)
		if w.Code != http.StatusOK {
			t.Fatalf("%s answers %d", path, w.Code)
		}
		sent, body = w.Body.Len(), w.Body.Bytes()
		if w.Header().Get("Content-Encoding") == "gzip" {
			z, err := gzip.NewReader(bytes.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			if body, err = io.ReadAll(z); err != nil {
				t.Fatal(err)
			}
		} else if sent > 1000 {
			t.Errorf("%s is not compressed", path)
		}
		return sent, body
	}
	assets := map[string]int{}
	for _, path := range sixtyPages {
		sent, body := fetch(path)
		doc, err := html.Parse(bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		page := sent
		for n := range doc.Descendants() {
			to := attr(n, "src")
			if n.Data == "link" && attr(n, "rel") == "stylesheet" {
				to = attr(n, "href")
			}
			if to == "" || strings.HasPrefix(to, "data:") {
				continue
			}
			if _, ok := assets[to]; !ok {
				assets[to], _ = fetch(to)
			}
			sent += assets[to]
		}
		t.Logf("%-12s %6.1f KB, %6.1f KB with style and scripts", path, float64(page)/1024, float64(sent)/1024)
		if sent > mostWeight {
			t.Errorf("%s weighs %d KB for sixty hives, at most %d KB", path, sent>>10, mostWeight>>10)
		}
	}
}

// ask sends one request and gives the status and how long it took.
func ask(srv *web.Server, method, path string, form url.Values) (int, time.Duration) {
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:50000"
	r.Header.Set("Accept-Encoding", "gzip")
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	w := httptest.NewRecorder()
	from := time.Now()
	srv.ServeHTTP(w, r)
	return w.Code, time.Since(from)
}

// TestHundredReaders has a hundred at the pages while one writes: nobody gets
// anything but an answer. Run with the race detector it looks for more.
func TestHundredReaders(t *testing.T) {
	srv, err := stories.Open("typical")
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for n := range 100 {
		wg.Go(func() {
			for k := range 2 {
				path := []string{"/short", "/plan", "/load", "/readings", "/"}[(n+k)%5]
				if code, _ := ask(srv, http.MethodGet, path, nil); code != http.StatusOK {
					t.Errorf("%s answers %d", path, code)
				}
			}
		})
	}
	wg.Go(func() {
		for k := range 6 {
			if code, _ := ask(srv, http.MethodPost, "/units", url.Values{"units": {[]string{"us", "metric", "uk"}[k%3]}}); code != http.StatusSeeOther {
				t.Errorf("units: %d", code)
			}
		}
	})
	wg.Wait()
}

// BenchmarkShort10k measures Who is short with ten thousand colonies, after the
// first look at them: the first page, and any page, order or part of the list.
// Wanted: p95 at most 100 ms, the first page at most 50 ms.
func BenchmarkShort10k(b *testing.B) {
	srv, err := stories.OpenMany(100, 100)
	if err != nil {
		b.Fatal(err)
	}
	from := time.Now()
	if code, _ := ask(srv, http.MethodGet, "/short", nil); code != http.StatusOK {
		b.Fatalf("%d", code)
	}
	b.Logf("the first look at 10 000 colonies took %v", time.Since(from).Round(time.Millisecond))
	for _, c := range []struct {
		name string
		path func(i int) string
	}{
		{"first", func(int) string { return "/short" }},
		{"any", func(i int) string {
			return fmt.Sprintf("/short?page=%d&sort=%s&show=%s", i*37%100, []string{"short", "chance", "name", "read"}[i%4], []string{"all", "feed", "unknown"}[i%3])
		}},
		{"yard", func(i int) string { return fmt.Sprintf("/short?yard=y%02d&sort=name", 1+i%99) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			var took []time.Duration
			for i := 0; b.Loop(); i++ {
				code, d := ask(srv, http.MethodGet, c.path(i), nil)
				if code != http.StatusOK {
					b.Fatalf("%s answers %d", c.path(i), code)
				}
				took = append(took, d)
			}
			report(b, took)
		})
	}
}

// BenchmarkHundredReaders measures a hundred readers at once at the pages of
// sixty hives.
func BenchmarkHundredReaders(b *testing.B) {
	srv, err := stories.Open("sixty")
	if err != nil {
		b.Fatal(err)
	}
	for _, p := range sixtyPages {
		ask(srv, http.MethodGet, p, nil) // warm
	}
	var mu sync.Mutex
	var took []time.Duration
	b.SetParallelism(50) // times the cores: a hundred on two
	b.RunParallel(func(pb *testing.PB) {
		for i := 0; pb.Next(); i++ {
			p := sixtyPages[i%len(sixtyPages)]
			code, d := ask(srv, http.MethodGet, p, nil)
			if code != http.StatusOK {
				b.Errorf("%s answers %d", p, code)
				return
			}
			mu.Lock()
			took = append(took, d)
			mu.Unlock()
		}
	})
	report(b, took)
}

func report(b *testing.B, took []time.Duration) {
	slices.Sort(took)
	at := func(p float64) float64 { return float64(took[int(p*float64(len(took)-1))].Microseconds()) / 1000 }
	b.ReportMetric(at(0.5), "p50-ms")
	b.ReportMetric(at(0.95), "p95-ms")
	b.ReportMetric(at(1), "max-ms")
}
