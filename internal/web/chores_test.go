package web

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"larder/internal/apiary"
)

func TestChores(t *testing.T) {
	s := newSmallSite(t)
	s.get("/?all=1").has("Open the yard for feeding")
	s.get("/chores/mill").has("Mill Lane", "Feeders off")
	if a := s.do(httptest.NewRequest(http.MethodGet, "/chores/nowhere", nil)); a.Code != http.StatusNotFound {
		t.Errorf("%d", a.Code)
	}
	if a := s.post("/chores/mill", "note", "my note"); a.Code != http.StatusUnprocessableEntity || a.field("note") != "my note" {
		t.Errorf("nothing ticked: %d", a.Code)
	}
	s.done("/chores/mill", "what", "narrow", "what", "leak", "note", "one dripped")
	f := s.marked()
	if len(f) != 2 || f[0].Body != (apiary.Chore{Yard: "mill", What: "narrow", Note: "one dripped"}) {
		t.Errorf("%+v", f)
	}
	s.get("/chores/mill").has("last done")
}
