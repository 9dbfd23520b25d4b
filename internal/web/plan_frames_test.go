package web

import (
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"larder/internal/folder"
	"larder/internal/ledger"
)

// An offer of frames is agreed to, taken back, agreed again and moved, one
// button at a time; one that is not on the page is refused.
func TestPlanFrames(t *testing.T) {
	facts, err := folder.Read(fstest.MapFS{
		"season.toml":  {Data: []byte("format = 1\nsince = 2026-01-01\n[house]\nunits = \"us\"\n[home]\nlat = 42.4\nlon = -76.5\n[rig]\ntank = \"40 US gal\"\n")},
		"yards.csv":    {Data: []byte("yard,name,lat,lon,stop\nmill,Mill Lane,42.42,-76.4,2026-10-20\n")},
		"colonies.csv": {Data: []byte("colony,yard,stack,feeder,target\nheavy,mill,lang10-deep + lang10-deep,tray-2,30 kg\nshort,mill,lang10-deep + lang10-deep,tray-2,30 kg\n")},
		"readings.csv": {Data: []byte("date,colony,way,gross\n2026-09-03,heavy,full,90 kg\n2026-09-03,short,full,52 kg\n")},
		"looks.csv":    {Data: []byte("date,colony,super,disease,treatment,bees\n2026-09-03,heavy,no,no,no,12\n2026-09-03,short,no,no,no,12\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	s := newSite(t, smallNow, facts...)
	a := s.get("/plan")
	p, err := s.srv.planFor(nil, nil)
	if err != nil || len(p.Frames) != 1 {
		t.Fatal(err, len(p.Frames))
	}
	o := p.Frames[0]
	a.has("Before syrup", "Frames carry disease", "Agree", o.From, o.To)
	pairs := []string{"from", o.From, "to", o.To, "frame", o.Frame, "frames", strconv.Itoa(o.Frames), "do"}
	s.get("/plan?frames=all").has("Plan as if all were agreed", "Tried")
	s.marked()
	if to := s.done("/plan/frames", append(pairs, "agree")...); !strings.HasPrefix(to, "/plan") {
		t.Error(to)
	}
	if got := s.bodies(); len(got) != 1 || got[0].(ledger.Agreed).Frames != o.Frames {
		t.Errorf("%+v", got)
	}
	s.get("/plan").has("Agreed: the plan counts it", "They are moved", "Take back")
	s.done("/plan/frames", append(pairs, "back")...)
	s.done("/plan/frames", append(pairs, "agree")...)
	s.marked()
	s.done("/plan/frames", append(pairs, "moved")...)
	if got := s.bodies(); len(got) != 1 || got[0].(ledger.Given).From != o.From || got[0].(ledger.Given).Feed != ledger.Comb {
		t.Errorf("%+v", got)
	}
	if a := s.post("/plan/frames", append(pairs, "moved")...); a.Code != 404 {
		t.Errorf("moved twice: %d", a.Code)
	}
}
