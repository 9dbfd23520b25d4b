package web

import (
	"net/http"
	"strconv"

	"larder/internal/fault"
)

// stepPage is one step of a batch on a page of its own: for the phone at the
// tank.
type stepPage struct {
	*mixPage
	Step mixStep
	Back string // address of the step before, "" = none
	Go   string // address of the step after, "" = none
}

// tankStep shows one step.
func (s *Server) tankStep(w http.ResponseWriter, r *http.Request) {
	p := s.mixPageOf(r, r.URL.Query())
	p.Screen, p.Theme = "mix-step", "light" // read in the sun, whatever the device is set to
	steps := p.Steps()
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil || n < 1 || n > max(len(steps), 1) {
		s.fail(w, r, fault.New(fault.NotFound, "", "there is no such step").WithHint("go back to Mix"))
		return
	}
	if len(steps) == 0 { // nothing to mix: the page of the recipe says why
		code := http.StatusOK
		if len(p.Trouble) > 0 {
			code = http.StatusUnprocessableEntity
		}
		p.Screen = "mix"
		s.show(w, code, "mix", p)
		return
	}
	out := stepPage{mixPage: p, Step: steps[n-1]}
	if n > 1 {
		out.Back = steps[n-2].Link
	}
	if n < len(steps) {
		out.Go = steps[n].Link
	}
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "mix-step", &out)
}
