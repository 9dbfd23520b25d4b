package web

import (
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"larder/internal/season"
	"larder/internal/units"
)

// A book nobody described a rig in: every page says what is missing and has the
// boxes to tell it in.
func TestRigNobodyDescribed(t *testing.T) {
	s := newSite(t, smallNow)
	a := s.get("/rig")
	a.has("Tank", "Pump and hose", "Wiring", "Heater", "Truck and axles", "Lifting", "not told yet")
	for part, lacks := range map[string]string{"tank": "the shape of the tank has not been told", "hose": "neither the hose nor a bucket test has been told",
		"wire": "how far the pump is from the battery has not been told", "heat": "it is not told how much is to be warmed", "truck": "what the truck may carry has not been told"} {
		s.get("/rig/"+part).has(lacks, "How it is built")
	}
	s.get("/rig/lift").has("sugar sack, floor to tank rim", "A full pail: 2.")
	if a := s.do(get("/rig/cellar")); a.Code != http.StatusNotFound {
		t.Errorf("%d", a.Code)
	}
}

// The tank: 19.2 in in a cylinder of 48 by 96 in are 280.9 of 752 US gal (published
// worked example); telling it is one fact for each box, and a try is none.
func TestRigTank(t *testing.T) {
	s := newSite(t, smallNow)
	s.done("/rig/tank", "tank.shape", "lying", "tank.diameter", "48", "tank.length", "96 in", "dip", "19.2")
	b := s.bodies()
	if len(b) != 3 || b[0] != setting("tank.shape", "lying") || b[1] != setting("tank.length", "96 in") || b[2] != setting("tank.diameter", "48 in") {
		t.Errorf("%v", b)
	}
	a := s.get("/rig/tank?dip=19.2")
	a.has("281 ± 4 US gal", "37 % of a full one", "752 US gal at 4 ft", "worked out from the sizes of the tank", "Dips and what is in it")
	if !strings.Contains(a.Body, `role="img"`) || !strings.Contains(a.Body, "<title>281 US gal at a dip of 19.2 in</title>") {
		t.Error("the drawing does not say what it shows")
	}
	s.get("/rig/tank?holds=281").has("19.2 in", "is the dip for 281 US gal")
	s.marked()
	tried := s.get("/rig/tank?dip=10&tank.diameter=36+in")
	tried.has("Tried out, not kept.")
	if len(s.marked()) != 0 {
		t.Error("a try wrote facts down")
	}
	a = s.post("/rig/tank", "tank.diameter", "wide", "tank.heel", "-1", "dip", "deep")
	if a.Code != 422 || a.field("tank.diameter") != "wide" || a.field("dip") != "deep" || len(s.marked()) != 0 {
		t.Errorf("%d", a.Code)
	}
	// A bucket table on a slope is refused, with a way on.
	a = s.do(get("/rig/tank?dip=3&nose=3&tank.strap=0+in+%3D+0+gal%0A6+in+%3D+10+gal"))
	a.has("a bucket table holds on level ground only", "level the truck")
}

// Pump and hose: the bucket test goes first, and both answers are ranges.
func TestRigHose(t *testing.T) {
	s := newExampleSite(t)
	a := s.get("/rig/hose")
	a.has("3.0 ± 0.1 US gal/min", "by your bucket test", "with a 1 in hose", "with syrup of 83 °F", "Nuc top feeder", "Pump off when nobody holds the nozzle", "it goes before the theory")
	if !strings.Contains(a.Body, "They meet at") {
		t.Error("the curve does not say its finding")
	}
	s.get("/rig/hose?pump.bucket=&rig.pump=&at=59&fill=3+qt").has("worked out from pump and hose", "asked for", "Tried out, not kept.")
	b := s.post("/rig/hose", "pump.bucket", "a pail in a while", "hose.length", "50 ft")
	if b.Code != 422 || b.field("pump.bucket") != "a pail in a while" {
		t.Errorf("%d %q", b.Code, b.field("pump.bucket"))
	}
	s.done("/rig/hose", "pump.bucket", "5 gal in 120 s\n5 in 121\n5 gal in 119 s\n5 gal in 120 s\n5 gal in 120 s")
	if b := s.bodies(); !slices.Contains(b, any(setting("pump.bucket", "5 US gal in 120 s; 5 US gal in 121 s; 5 US gal in 119 s; 5 US gal in 120 s; 5 US gal in 120 s"))) {
		t.Errorf("%v", b)
	}
	s.get("/rig/hose").has("2.5 ± 0.1 US gal/min")
}

func TestRigWireHeatLift(t *testing.T) {
	s := newExampleSite(t)
	s.get("/rig/wire").has("10 AWG, fuse 15 A", "Fuse at the battery", "a licensed electrician", "it will do")
	s.get("/rig/wire?wire.size=18+AWG").has("18 AWG: too thin")
	s.get("/rig/heat").has("2.3 ± 0.1 h", "RCD/GFCI", "burns through skin in seconds", "Propane instead")
	s.get("/rig/heat?make=60&heater.power=200+W&heater.foam=").has("Never: no warmer than")
	s.get("/rig/lift?weight=55&out=18&from=8&to=47&per_min=1").has("Up to 18 lb", "3.1 times that")
	s.get("/rig/lift?weight=55&open=1").has("it shifts", "put a lid on a full pail, or pump")
	s.get("/rig/lift").has("Pails or pump: 38 hives", "after 2600 hive visits")
}

// Room left in the tank is one number, on Load and on Plan, in each system.
func TestRoomLeftIsToldOnce(t *testing.T) {
	room := regexp.MustCompile(`room for ([0-9.,]+ (?:US gal|UK gal|US qt|qt|L))`)
	for _, system := range []string{"us", "metric", "uk"} {
		s := newExampleSite(t)
		s.done("/units", "units", system, "back", "/")
		p, err := s.srv.planFor(nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		loads := map[units.Day]int{}
		for _, l := range p.Loads {
			loads[l.Day]++
		}
		n := 0
		for _, l := range p.Loads {
			got := room.FindAllStringSubmatch(s.get("/load/"+strconv.Itoa(l.N)).text(), -1)
			if loads[l.Day] > 1 || len(got) < 2 {
				continue // the day's room is that of all its tanks
			}
			n++
			for _, g := range got[1:] {
				if g[1] != got[0][1] {
					t.Errorf("%s, load %d: room for %s and for %s", system, l.N, got[0][1], g[1])
				}
			}
		}
		if n == 0 {
			t.Errorf("%s: no load tells its room twice", system)
		}
	}
}

// Axles: on the rig's page and on the load itself, bars that say their finding.
func TestRigTruckAndLoad(t *testing.T) {
	s := newExampleSite(t)
	a := s.get("/rig/truck?syrup=120")
	a.has("Take off 40 US gal", "more than the rear axle may carry", "handbook go before this page")
	if !strings.Contains(a.Body, "<title>Payload: 439 lb too much.") {
		t.Error("the bars do not say what they show")
	}
	l := s.get("/load")
	l.has("Check the load index of the tyres", "Strap it for hard braking", "Fuse at the battery")
	if !strings.Contains(l.Body, "Rear axle: ") {
		t.Error("no axle on the load")
	}
	// A lighter sticker, and the plan loads no more than it allows.
	s.done("/rig/truck", "truck.payload", "1000 lb")
	s.get("/load").has("1000 lb")
	p, err := s.srv.planFor(nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range p.Loads {
		if kg := x.Syrup.L() * 1.3264; kg > (1000-610)*0.45359237+0.01 {
			t.Errorf("load %d weighs %.1f kg", x.N, kg)
		}
	}
}

// The Round's seconds are those of the bucket test, with the lag of hand and
// valve.
func TestRoundRunsByTheBucketTest(t *testing.T) {
	s := newExampleSite(t)
	s.done("/rig/hose", "pump.bucket", "2 L in 14.2 s\n4 L in 27.9 s\n6 L in 41.8 s\n8 L in 55.4 s")
	s.done("/plan/out")
	s.srv.house.view(func(st *season.State, _ units.Moment) {
		trip, err := st.Trip("", 1, s.srv.house.at(st))
		if err != nil {
			t.Fatal(err)
		}
		h := trip.Stops[0].Hives[0]
		want := h.Plan.L()/(8.727/60) + 0.449
		if got := float64(h.Pump); got < want-0.1 || got > want+0.1 {
			t.Errorf("%.2f s for %v, not %.2f", got, h.Plan, want)
		}
	})
}

// The dip chart prints on both papers, and says what it lacks where no tank was
// described.
func TestDipChartSheet(t *testing.T) {
	s := newExampleSite(t)
	s.get("/sheets").has("Dip chart of the tank")
	s.get("/sheets/dip").has("Dip chart", "24 in", "59.7", "!!")
	for _, paper := range []string{"a4", "letter"} {
		a := s.do(get("/sheets/dip.pdf?paper=" + paper))
		if a.Code != 200 || !strings.HasPrefix(a.Body, "%PDF") {
			t.Errorf("%s: %d", paper, a.Code)
		}
	}
	e := newSmallSite(t)
	e.get("/sheets").has("the tank has not been described")
	if a := e.do(get("/sheets/dip")); a.Code != 422 {
		t.Errorf("%d", a.Code)
	}
}

// In Spanish every page speaks Spanish, and safety lines have the English
// beneath.
func TestRigInSpanish(t *testing.T) {
	s := newExampleSite(t)
	s.done("/units", "language", "es", "back", "/rig")
	s.get("/rig").has("Equipo", "Tanque")
	a := s.get("/rig/hose")
	a.has("según su prueba del balde", "cierre despacio", "close gently")
	s.get("/rig/wire").has("fusible", "Fuse at the battery")
}

// A list that cannot be taken stays as it was typed, semicolons and all; one that was
// taken stands a line for each entry.
func TestListsStayAsTyped(t *testing.T) {
	s := newSmallSite(t)
	a := s.post("/rig/tank", "tank.strap", "lots; of it")
	if a.Code != 422 || a.field("tank.strap") != "lots; of it" {
		t.Errorf("%d %q", a.Code, a.field("tank.strap"))
	}
	s.done("/rig/tank", "tank.strap", "0 cm = 0 L\n20 cm = 110 L")
	if got := strings.Count(s.get("/rig/tank").field("tank.strap"), "\n"); got != 1 {
		t.Errorf("%q", s.get("/rig/tank").field("tank.strap"))
	}
}
