package web

import (
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"larder/internal/season"
	"larder/internal/sqlite"
)

// A book that cannot be opened is told of in the browser's language: the reason of
// the file's own package too, and the way back.
func TestShutSpeaksTheBrowsersLanguage(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.larder")
	if err := os.WriteFile(path, []byte(strings.Repeat("no book at all ", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	_, shut := sqlite.Open(path, sqlite.Options{})
	if shut == nil {
		t.Fatal("it opened")
	}
	s, err := New(t.Context(), Options{Book: &season.Memory{}, Now: func() time.Time { return smallNow }, NewID: func() season.ID { return season.ID{1} }, Shut: shut})
	if err != nil {
		t.Fatal(err)
	}
	for lang, want := range map[string][]string{
		"en": {"this file is not a book, or its beginning is damaged", "nothing in it was changed; bring a backup back with"},
		"es": {"este archivo no es un libro, o su principio está dañado", "no se cambió nada en él; recupere una copia con"},
	} {
		r := httptest.NewRequest(http.MethodGet, "/short", nil)
		r.Host, r.RemoteAddr = "127.0.0.1:8642", "127.0.0.1:5000"
		r.Header.Set("Accept-Language", lang)
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		for _, x := range want {
			if !strings.Contains(w.Body.String(), x) {
				t.Errorf("%s: the page lacks %q:\n%s", lang, x, w.Body.String())
			}
		}
	}
}
