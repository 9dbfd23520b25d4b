package web

import (
	"mime"
	"net/http"
	"path"
)

// assetFile serves a style sheet or script. Its address carries a hash of its
// content, so it may be kept for ever.
func (s *Server) assetFile(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	b, ok := s.screens.assets[name]
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", mime.TypeByExtension(path.Ext(name)))
	if r.URL.Query().Get("v") == s.screens.hash[name] {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	_, _ = w.Write(b)
}
