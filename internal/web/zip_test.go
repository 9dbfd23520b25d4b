package web

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strings"
	"sync"
	"testing"
)

// Writers of zips are used again: each answer is its own all the same, whole, with
// others at the same time, after one that was broken off, and after one that nothing
// was written to.
func TestZipsAreNotMixed(t *testing.T) {
	text := func(n string) string { return strings.Repeat("answer "+n+"\n", 300) }
	h := compressed(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/plain")
		switch n := r.URL.Query().Get("n"); {
		case strings.HasSuffix(n, "3"):
			_, _ = io.WriteString(w, text(n)[:1000])
			panic(http.ErrAbortHandler)
		case strings.HasSuffix(n, "5"):
			w.WriteHeader(http.StatusOK)
		default:
			_, _ = io.WriteString(w, text(n))
		}
	}))
	var wg sync.WaitGroup
	for who := range 8 {
		wg.Go(func() {
			for i := range 60 {
				n := fmt.Sprint(who*100 + i)
				r := httptest.NewRequest(http.MethodGet, "/?n="+n, nil)
				r.Header.Set("Accept-Encoding", "gzip")
				w := httptest.NewRecorder()
				func() {
					defer func() { _ = recover() }()
					h.ServeHTTP(w, r)
				}()
				want := text(n)
				switch {
				case strings.HasSuffix(n, "3"):
					want = want[:1000]
				case strings.HasSuffix(n, "5"):
					want = ""
				}
				z, err := gzip.NewReader(bytes.NewReader(w.Body.Bytes()))
				if err != nil {
					t.Errorf("%s: %v", n, err)
					return
				}
				if got, err := io.ReadAll(z); err != nil || string(got) != want {
					t.Errorf("%s: another answer (%v): %.40q", n, err, got)
				}
			}
		})
	}
	wg.Wait()
}

// An answer does not cost a writer of zips of its own.
func TestAnswersCostNoZip(t *testing.T) {
	h := compressed(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/plain")
		_, _ = io.WriteString(w, "kept")
	}))
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	r.Header.Set("Accept-Encoding", "gzip")
	const answers = 400
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range answers {
		h.ServeHTTP(httptest.NewRecorder(), r)
	}
	runtime.ReadMemStats(&after)
	// The race detector has a pool forget one in four.
	if n := (after.TotalAlloc - before.TotalAlloc) / answers; n > 400<<10 {
		t.Errorf("%d bytes an answer", n)
	} else {
		t.Logf("%d bytes an answer", n)
	}
}
