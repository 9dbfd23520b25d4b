package web

import (
	"net/http"
	"time"
)

// loadZone finds a time zone by its name.
func loadZone(name string) (*time.Location, error) { return time.LoadLocation(name) }

// backUp backs the book up now and says on the page what became of it.
func (s *Server) backUp(w http.ResponseWriter, r *http.Request) {
	if s.options.Backup == nil {
		http.NotFound(w, r)
		return
	}
	b := s.base(r, "house", "title.house")
	x := backedUp{At: b.Facts}
	where, err := s.options.Backup(r.Context())
	if err != nil {
		t := s.troubleOf(&b, err, "")
		x.Bad = &t
	}
	x.Where = where
	s.backup.set(x)
	s.done(w, r, "/house", "")
}

// exports are the forms all facts can be taken away in, by the ending of the
// file.
var exports = map[string]string{
	"zip": "application/zip", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}

// export sends all facts as a file.
func (s *Server) export(w http.ResponseWriter, r *http.Request) {
	form := r.PathValue("form")
	kind, ok := exports[form]
	if !ok || s.options.Export == nil {
		http.NotFound(w, r)
		return
	}
	b := s.base(r, "house", "title.house")
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="larder-`+b.Facts.Day().String()+"."+form+`"`)
	if err := s.options.Export(r.Context(), w, form); err != nil {
		s.log.Error("export", "form", form, "err", err) // what was sent is cut off, which no reader takes for whole
		panic(http.ErrAbortHandler)
	}
}
