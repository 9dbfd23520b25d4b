package web

import (
	"context"
	"net/http"
	"time"

	"larder/internal/access"
	"larder/internal/units"
)

// Backups is a folder in which proved copies of the book are kept.
type Backups interface {
	// Make backs the book up now, proves the copy and says where it lies.
	Make(ctx context.Context) (where string, err error)
	// Last tells of the last one.
	Last() LastBackup
}

// LastBackup is the last back-up, made by hand or by the day.
type LastBackup struct {
	At    time.Time // zero = there was none
	Where string
	Err   error  // why it failed; nil = it was proved
	Dir   string // where they are kept
	Kept  int    // how many there are
	Daily bool   // one is made each day
	Apart bool   // they are kept where the keeper does not come: he is not told where
}

// backedUp is the last back-up as the page tells it.
type backedUp struct {
	At    units.Moment
	Where string
	Kept  int
	Dir   string
	Daily bool
	Apart bool
	Bad   *Trouble
}

// fillBackups tells what became of the last back-up.
func (s *Server) fillBackups(p *housePage) {
	if s.options.Backups == nil {
		return
	}
	last := s.options.Backups.Last()
	p.Last = backedUp{Where: last.Where, Kept: last.Kept, Dir: last.Dir, Daily: last.Daily, Apart: last.Apart}
	if !last.At.IsZero() {
		s.house.mu.Lock()
		zone, _ := s.house.journal.Now().Settings.Location(time.LoadLocation) // UTC when unknown: the page says so
		s.house.mu.Unlock()
		p.Last.At = units.At(last.At.In(zone))
	}
	if last.Err != nil {
		t := s.troubleOf(&p.Base, last.Err, "")
		p.Last.Bad = &t
	}
}

// loadZone finds a time zone by its name.
func loadZone(name string) (*time.Location, error) { return time.LoadLocation(name) }

// backUp backs the book up now and says on the page what became of it.
func (s *Server) backUp(w http.ResponseWriter, r *http.Request) {
	if s.options.Backups == nil {
		http.NotFound(w, r)
		return
	}
	// What became of it stands on the page: the folder remembers.
	if where, err := s.options.Backups.Make(r.Context()); err != nil {
		s.log.Error("backup", "to", where, "err", err)
	} else {
		s.note(r.Context(), access.BackedUp, "")
	}
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
	s.note(r.Context(), access.Exported, form)
	out := begun{w: w}
	if err := s.options.Export(r.Context(), &out, form); err != nil {
		s.log.Error("export", "form", form, "err", err)
		if out.yes {
			panic(http.ErrAbortHandler) // what was sent is cut off, which no reader takes for whole
		}
		w.Header().Del("Content-Type")
		w.Header().Del("Content-Disposition")
		s.fail(w, r, err)
	}
}

// begun tells whether anything was sent.
type begun struct {
	w   http.ResponseWriter
	yes bool
}

func (b *begun) Write(p []byte) (int, error) {
	b.yes = true
	return b.w.Write(p)
}
