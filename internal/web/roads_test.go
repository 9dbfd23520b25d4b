package web

import (
	"testing"

	"larder/internal/season"
)

// A table is shown as it will be taken, kept when asked, and not kept twice.
// What the table leaves open is asked for; what was pasted stays in the box.
func TestRoads(t *testing.T) {
	s := newSmallSite(t)
	s.get("/yards").has("Distances and driving times", "Show what it is taken for")
	const table = "from,to,km,min,remark\nhome,mill,14,20,\nmill,home,15,22,\ndepot,home,3,9,\n"
	s.marked()
	a := s.post("/roads", "text", table)
	a.has("2 roads would be kept", "distance, km", "driving time, min", "passed over", "none of yours", "depot")
	if n := len(s.bodies()); n != 0 {
		t.Errorf("looking kept %d facts", n)
	}
	s.marked()
	s.done("/roads/save", "text", table)
	got := s.bodies()
	if len(got) != 2 || got[0].(season.Road).To != "mill" || got[0].(season.Road).Dist != 14000 || got[1].(season.Road).Time != 22*60 {
		t.Errorf("%+v", got)
	}
	s.marked()
	s.done("/roads/save", "text", table)
	if got := s.bodies(); len(got) != 0 {
		t.Errorf("kept twice: %+v", got)
	}
	s.get("/roads").has("told", "by the map")

	const bare = ",home,mill\nhome,0,9\nmill,9,0\n"
	a = s.post("/roads", "text", bare)
	a.has("does not say whether it holds distances", "Unit of distances")
	if a.Code != 422 || a.field("text") != bare {
		t.Errorf("%d, %q", a.Code, a.field("text"))
	}
	s.post("/roads", "text", bare, "dist", "mi").has("distance, mi as you told")

	const matrix = `{"durations":[[0,900],[960,0]]}`
	a = s.post("/roads", "text", matrix)
	a.has("does not name its places", "in the order of the table", "home, ")
	s.post("/roads", "text", matrix, "places", "home, mill").has("driving time, s", "2 roads would be kept")
}
