package web

import (
	"net/http"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// FramesSay sums up what frames save.
func (p *planPage) FramesSay() string {
	var out []string
	if syrup, mass, n := p.Plan.FramesSaved(true); n > 0 {
		out = append(out, p.T("frames.sum.agreed", "Mass", p.S.Mass(mass), "Syrup", p.S.VolumeBig(syrup)))
	}
	if syrup, mass, n := p.Plan.FramesSaved(false); n > 0 {
		out = append(out, p.T("frames.sum.offered", "Mass", p.S.Mass(mass), "Syrup", p.S.VolumeBig(syrup)))
	}
	return strings.Join(out, " ")
}

// FrameMuch says how many frames, and what stands in them.
func (p *planPage) FrameMuch(o season.FrameOffer) string {
	say := p.T("frames.n", "N", o.Frames)
	if o.Mass.Known {
		say += " ≈ " + p.S.Mass(units.Mass(o.Mass.Mean))
	}
	return say
}

// saveFrames agrees to an offer of sealed frames, takes it back, or writes down
// that they were moved.
func (s *Server) saveFrames(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	f := r.PostFormValue
	a := ledger.Agreed{Colony: f("to"), From: f("from"), Frame: f("frame")}
	p, err := s.planFor(nil, nil)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	offer, says := season.FrameOffer{}, ""
	for _, o := range p.Frames { // only what stands on the page: an offer may be gone by now
		if o.From == a.From && o.To == a.Colony && o.Frame == a.Frame && strconv.Itoa(o.Frames) == f("frames") {
			offer = o
		}
	}
	var body any
	switch gone := offer.Frames == 0; {
	case gone:
	case f("do") == "agree" && !offer.Agreed:
		a.Frames = offer.Frames
		says, body = "frames", a
	case f("do") == "back" && offer.Agreed:
		says, body = "frames-back", a
	case f("do") == "moved" && offer.Agreed && len(offer.Off) == 0:
		says = "frames-moved"
		body = ledger.Given{Colony: a.Colony, Feed: ledger.Comb, From: a.From, Mass: units.In(units.Mass(offer.Mass.Mean))}
	}
	if body == nil {
		s.fail(w, r, fault.New(fault.NotFound, "", "this offer is not on the plan any more").WithHint("look at the Plan again: the facts have changed"))
		return
	}
	act, err := s.write(r.Context(), says, []any{body})
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/plan#frames", act)
}
