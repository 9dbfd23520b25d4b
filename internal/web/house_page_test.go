package web

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http/httptest"
	"testing"

	"larder/internal/fault"
	"larder/internal/season"
)

func TestHouse(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/house")
	a.has("facts are kept in this book", "fetches from outside", "Nothing. It asks no other computer", "GeoNames, CC BY 4.0", "No", "larder backup")
	for _, k := range season.SettingKeys() {
		a.field(k.Key)
	}
	if a.field("rig.tank") != "150 L" {
		t.Error(a.field("rig.tank"))
	}
	s.done("/house", "rig.tank", "150 L", "rig.payload", "", "rig.pump", "3", "crew.per_day", "8")
	b := s.bodies()
	if len(b) != 2 || b[0] != setting("rig.pump", "3 US gal/min") || b[1] != setting("crew.per_day", "8 h") {
		t.Errorf("%v", b)
	}
	// Amounts stay as they were typed when units are switched.
	s.done("/units", "units", "metric", "back", "/house")
	if got := s.get("/house").field("rig.pump"); got != "3 US gal/min" {
		t.Error(got)
	}
	s.marked()
	a = s.post("/house", "rig.tank", "plenty", "rig.pump", "4 L/min", "house.zone", "Mars/Olympus")
	if a.Code != 422 || a.field("rig.tank") != "plenty" || a.field("rig.pump") != "4 L/min" || a.field("house.zone") != "Mars/Olympus" || len(s.marked()) != 0 {
		t.Errorf("%d %s", a.Code, a.text())
	}
	s.done("/house", "rig.tank", "")
	if b := s.bodies(); len(b) != 1 || b[0] != setting("rig.tank", "") {
		t.Errorf("%v", b)
	}
	s.done("/units", "language", "es", "back", "/house")
	s.get("/house").has("Equipo", "Nada. No pide nada")
}

func TestBackUpAndTakeAway(t *testing.T) {
	plain := newSmallSite(t)
	for _, path := range []string{"/house/export/zip", "/house/export/exe"} {
		if a := plain.do(request("GET", path)); a.Code != 404 {
			t.Errorf("%s: %d", path, a.Code)
		}
	}
	if a := plain.post("/house/backup"); a.Code != 404 {
		t.Error(a.Code)
	}
	to := &pretendShelf{}
	s := newSiteWith(t, smallNow, Options{Version: "1.2.3",
		Backups: to,
		Export: func(_ context.Context, w io.Writer, form string) error {
			_, err := io.WriteString(w, "all of it as "+form)
			return err
		}}, smallSeason(t)...)
	p := s.get("/house")
	p.has("None is made by itself", "another disk")
	p.hasNot("read back whole")
	s.done("/house/backup")
	s.get("/house").has("read back whole", "larder-2026.db", "1.2.3", "1 back-up is kept in /away")
	to.fails = fault.New(fault.NoRoom, "", "the disk is full").WithHint("make room")
	s.done("/house/backup")
	s.get("/house").has("The back-up failed", "the disk is full", "make room")
	to.fails = errors.New("secret inside")
	s.done("/house/backup")
	s.get("/house").hasNot("secret")
	a := s.do(request("GET", "/house/export/zip"))
	if a.Body != "all of it as zip" || a.Head.Get("Content-Disposition") != `attachment; filename="larder-2026-09-04.zip"` {
		t.Errorf("%q %v", a.Body, a.Head)
	}
}

// An export that fails tells why, and one that fails after its beginning was sent
// is not taken for whole.
func TestExportThatFails(t *testing.T) {
	s := newSiteWith(t, smallNow, Options{Export: func(_ context.Context, w io.Writer, form string) error {
		if form == "zip" {
			if _, err := w.Write(bytes.Repeat([]byte("half "), 100_000)); err != nil {
				return err
			}
		}
		return fault.New(fault.WontFit, "weather", "there are more rows than a sheet may have").WithHint("export a folder instead")
	}}, smallSeason(t)...)
	a := s.do(request("GET", "/house/export/xlsx"))
	if a.Code < 400 || a.Head.Get("Content-Disposition") != "" {
		t.Errorf("%d %v", a.Code, a.Head)
	}
	a.has("more rows than a sheet may have", "export a folder instead")
	srv := httptest.NewServer(s.srv)
	defer srv.Close()
	r, err := srv.Client().Get(srv.URL + "/house/export/zip")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if n, err := io.Copy(io.Discard, r.Body); err == nil {
		t.Errorf("%d bytes of a file that is not whole came as if they were all", n)
	}
}

// pretendShelf makes no copies.
type pretendShelf struct {
	last  LastBackup
	fails error
}

func (p *pretendShelf) Make(context.Context) (string, error) {
	p.last = LastBackup{At: smallNow, Where: "larder-2026.db", Dir: "/away", Kept: 1, Err: p.fails}
	return p.last.Where, p.fails
}

func (p *pretendShelf) Last() LastBackup { return p.last }
