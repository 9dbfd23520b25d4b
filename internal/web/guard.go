package web

import (
	"compress/gzip"
	"errors"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"runtime/debug"
	"strings"
	"sync"
	"unicode/utf8"
)

// Limits of request bodies.
const (
	maxForm = 256 << 10
	maxFile = 2 << 20
)

// policy is the content security policy of every page: nothing inline, nothing
// from elsewhere, no framing.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'; " +
	"require-trusted-types-for 'script'"

// guard wraps the routes: panics become a plain page, unknown host names are
// refused (a rebound name agrees with itself, so the origin check alone does not
// see it), requests from other sites change nothing, headers are complete.
func (s *Server) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.log.Warn("from another site", "from", r.RemoteAddr, "origin", r.Header.Get("Origin"), "path", r.URL.Path)
		http.Error(w, "This came from another site and was not taken.", http.StatusForbidden)
	}))
	inner := cross.Handler(compressed(next))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			switch p := recover(); p {
			case nil:
			case http.ErrAbortHandler:
				panic(p) // the server breaks the line off, or half an answer would look like all of it
			default:
				s.log.Error("panic", "path", r.URL.Path, "panic", p, "stack", string(debug.Stack()))
				http.Error(w, "Something went wrong inside. Nothing was changed by this.", http.StatusInternalServerError)
			}
		}()
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin") // no-referrer would make our own posts carry Origin: null
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera="+cameraFor(r.URL.Path)+", microphone=(), geolocation=(), payment=(), usb=(), screen-wake-lock=(self)")
		h.Set("Cache-Control", "no-store")
		if !s.knows(r) {
			s.log.Warn("asked by a name that is not ours", "from", r.RemoteAddr, "host", r.Host)
			http.Error(w, "This server does not go by that name.", http.StatusMisdirectedRequest)
			return
		}
		if !s.atHome(w, r) {
			return
		}
		limit := int64(maxForm)
		if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
			limit = 3 * maxFile // a file, or the same again as text with what was chosen about it
			if r.URL.Path == "/weather" {
				limit = weatherBytes + maxForm
			}
		}
		switch r.URL.Path {
		case "/phone/file":
			limit = maxPictures
		case "/phone/code":
			limit = maxPicture
		}
		// A form says how long it is: one that is too long is not begun. What a phone
		// sends is answered in kind, a file by its page.
		if strings.HasPrefix(r.Header.Get("Content-Type"), "application/x-www-form-urlencoded") && r.ContentLength > limit {
			http.Error(w, "This is more than can be taken at once. Nothing was changed by this.", http.StatusRequestEntityTooLarge)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		inner.ServeHTTP(w, r)
	})
}

// readable refuses a form that is no text, before anything is made of it: bytes
// that are no letters would be kept in memory and written down as others.
func readable(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost || !strings.HasPrefix(r.Header.Get("Content-Type"), "application/x-www-form-urlencoded") {
			next.ServeHTTP(w, r)
			return
		}
		var long *http.MaxBytesError
		if err := r.ParseForm(); errors.As(err, &long) {
			http.Error(w, "This is more than can be taken at once. Nothing was changed by this.", http.StatusRequestEntityTooLarge)
			return
		} else if err != nil || !isText(r.PostForm) {
			http.Error(w, "This form came damaged: part of it is not text. Nothing was changed by this.", http.StatusBadRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func isText(form url.Values) bool {
	for k, all := range form {
		for _, v := range all {
			if !utf8.ValidString(k) || !utf8.ValidString(v) {
				return false
			}
		}
	}
	return true
}

// cameraFor lets one page use a camera: where a phone's codes are read.
func cameraFor(path string) string {
	if path == "/phone/file" {
		return "(self)"
	}
	return "()"
}

// knows tells whether we go by the name that was asked for. An address is ours
// when the connection came to it: addresses change, and no foreign name hides in
// one. Where nobody is let in for where he sits any address is: in a container the
// connection comes to another than was asked for.
func (s *Server) knows(r *http.Request) bool {
	host := strings.ToLower(hostOf(r.Host))
	if s.hosts[host] {
		return true
	}
	asked, err := netip.ParseAddr(host)
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if err == nil && s.options.NoDesk {
		return true
	}
	if err != nil || !ok {
		return false
	}
	at, err := netip.ParseAddrPort(local.String())
	return err == nil && at.Addr().Unmap().WithZone("") == asked.Unmap().WithZone("")
}

func hostOf(h string) string {
	if name, _, err := net.SplitHostPort(h); err == nil {
		return name
	}
	return strings.Trim(h, "[]")
}

// compressed gzips text for those who take it. A writer of zips is 800 KB: it is
// used again, not made for each answer.
func compressed(next http.Handler) http.Handler {
	idle := &sync.Pool{New: func() any { return gzip.NewWriter(nil) }}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") || strings.HasSuffix(r.URL.Path, "/events") {
			next.ServeHTTP(w, r)
			return
		}
		z := &zipWriter{ResponseWriter: w, idle: idle}
		defer z.close()
		next.ServeHTTP(z, r)
	})
}

// zipWriter decides at the first byte whether to compress: text yes, PDF and
// pictures no.
type zipWriter struct {
	http.ResponseWriter
	idle    *sync.Pool   // of *gzip.Writer
	gz      *gzip.Writer // nil = as it comes
	decided bool
}

func (z *zipWriter) WriteHeader(code int) {
	z.decide(code)
	z.ResponseWriter.WriteHeader(code)
}

func (z *zipWriter) decide(code int) {
	if z.decided {
		return
	}
	z.decided = true
	h := z.Header()
	h.Add("Vary", "Accept-Encoding")
	t := h.Get("Content-Type")
	if code == http.StatusNoContent || code == http.StatusNotModified || h.Get("Content-Encoding") != "" ||
		!(strings.HasPrefix(t, "text/") || strings.Contains(t, "javascript") || strings.Contains(t, "json") || strings.Contains(t, "svg")) {
		return
	}
	h.Set("Content-Encoding", "gzip")
	h.Del("Content-Length")
	z.gz = z.idle.Get().(*gzip.Writer)
	z.gz.Reset(z.ResponseWriter)
}

func (z *zipWriter) Write(b []byte) (int, error) {
	if !z.decided {
		if z.Header().Get("Content-Type") == "" {
			z.Header().Set("Content-Type", http.DetectContentType(b))
		}
		z.WriteHeader(http.StatusOK)
	}
	if z.gz != nil {
		return z.gz.Write(b)
	}
	return z.ResponseWriter.Write(b)
}

func (z *zipWriter) close() {
	if z.gz != nil {
		z.gz.Close()
		z.gz.Reset(nil) // it holds on to nobody's answer
		z.idle.Put(z.gz)
		z.gz = nil
	}
}

func (z *zipWriter) Unwrap() http.ResponseWriter { return z.ResponseWriter }
