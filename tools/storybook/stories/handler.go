package stories

import (
	"fmt"
	"html"
	"net/http"
	"strings"
)

// seasonCookie remembers whose story is being looked at: the links of a page go
// on in the same season.
const seasonCookie = "story"

// Handler serves the list of stories at /, each at /story/<screen>/<state>, and
// behind their links the screens themselves in the season last looked at. A
// story answers exactly what the program answers, headers and all.
func (b *Book) Handler() http.Handler {
	m := http.NewServeMux()
	m.HandleFunc("GET /story/{screen}/{state}", b.story)
	m.HandleFunc("GET /story/{$}", b.index)
	m.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		name := "typical"
		if c, err := r.Cookie(seasonCookie); err == nil && seasons[c.Value] != nil {
			name = c.Value
		} else if r.URL.Path == "/" {
			http.Redirect(w, r, "/story/", http.StatusSeeOther)
			return
		}
		b.serve(name, w, r)
	})
	return m
}

func (b *Book) story(w http.ResponseWriter, r *http.Request) {
	s, ok := b.Find(r.PathValue("screen") + "/" + r.PathValue("state"))
	if !ok {
		http.NotFound(w, r)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: seasonCookie, Value: s.Season, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode})
	told := s.Request(r.Context())
	told.Host = r.Host
	for _, h := range []string{"Cookie", "Accept-Encoding"} {
		if v := r.Header.Get(h); v != "" {
			told.Header.Add(h, v) // a story may come with a cookie of its own
		}
	}
	b.serve(s.Season, w, told)
}

func (b *Book) serve(name string, w http.ResponseWriter, r *http.Request) {
	srv, err := b.Server(name)
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	srv.ServeHTTP(w, r)
}

// index lists the stories, a row for each screen.
func (b *Book) index(w http.ResponseWriter, _ *http.Request) {
	var out strings.Builder
	out.WriteString("<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>Storybook</title><h1>Every screen in every state</h1>\n")
	screen := ""
	for _, s := range b.Stories {
		if s.Screen != screen {
			screen = s.Screen
			fmt.Fprintf(&out, "<h2>%s</h2>\n", html.EscapeString(screen))
		}
		fmt.Fprintf(&out, "<a href=\"/story/%s\">%s</a> · \n", html.EscapeString(s.Name()), html.EscapeString(s.State))
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write([]byte(out.String())) // the reader may have gone
}
