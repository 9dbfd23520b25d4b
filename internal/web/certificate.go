package web

import (
	"net/http"
	"strings"

	"larder/internal/units"
)

// certificatePage explains, step by step, how a phone comes to trust the
// connection to this house, what that trust means, and how it is taken back.
type certificatePage struct {
	Base
	Has   bool   // there is a home authority
	Print string // in lines
	Ends  units.Moment
	Safe  string // our address over TLS
	Now   bool   // this connection is over TLS already
}

// certificate shows it, also over a plain connection: that is how one begins.
func (s *Server) certificate(w http.ResponseWriter, r *http.Request) {
	p := &certificatePage{Base: s.base(r, "certificate", "title.certificate"), Now: r.TLS != nil}
	if l := s.options.Lan; l != nil && l.How == "home" {
		p.Has, p.Ends, p.Safe = true, s.moment(l.Ends), "https://"+r.Host+"/"
		// In groups of eight pairs, to be compared by eye.
		pairs := strings.Split(l.Print, ":")
		var lines []string
		for i := 0; i < len(pairs); i += 8 {
			lines = append(lines, strings.Join(pairs[i:min(i+8, len(pairs))], ":"))
		}
		p.Print = strings.Join(lines, " ")
	}
	s.show(w, http.StatusOK, "certificate", p)
}

// rootFile gives the root: the certificate phones install, never its key.
func (s *Server) rootFile(w http.ResponseWriter, r *http.Request) {
	l := s.options.Lan
	if l == nil || l.How != "home" {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert") // not as an attachment: then some phones only file it away
	_, _ = w.Write(l.Root)                                       // the reader may have gone
}
