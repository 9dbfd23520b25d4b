package web

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"larder/internal/access"
	"larder/internal/season"
	"larder/internal/units"
)

// trailPage answers: who came in or tried to, from where, and who changed what
// others may do?
type trailPage struct {
	Base
	Can  bool
	List []trailRow
	More bool // there are older lines than those shown
}

type trailRow struct {
	At               units.Moment
	Role, Name, From string
	What, About      string
}

// mostShown is how many lines of the trail one page shows.
const mostShown = 200

// trail shows it.
func (s *Server) trail(w http.ResponseWriter, r *http.Request) {
	p := &trailPage{Base: s.base(r, "trail", "title.trail"), Can: s.options.Door != nil}
	if p.Can {
		list, err := s.options.Door.Trail(mostShown + 1)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		if p.More = len(list) > mostShown; p.More {
			list = list[:mostShown]
		}
		for _, e := range list {
			p.List = append(p.List, trailRow{s.moment(e.At), "role." + string(e.Role), e.Name, e.From, "trail." + string(e.What), e.About})
		}
	}
	s.show(w, http.StatusOK, "trail", p)
}

// note writes into the trail what was done. That it cannot be written undoes
// nothing that was done: it is said in the log.
func (s *Server) note(ctx context.Context, what access.What, about string) {
	if s.options.Door == nil || s.beside {
		return
	}
	if err := s.options.Door.Note(visitorIn(ctx).actor(), what, about); err != nil {
		s.log.Error("trail", "what", what, "err", err)
	}
}

// noteSettings writes into the trail which settings a request changed. The facts
// themselves keep the values.
func (s *Server) noteSettings(ctx context.Context, facts []season.Fact) {
	var keys []string
	for i := range facts {
		if set, ok := facts[i].Body.(season.Setting); ok && !slices.Contains(keys, set.Key) {
			keys = append(keys, set.Key)
		}
	}
	if len(keys) > 0 {
		s.note(ctx, access.SettingsSet, strings.Join(keys, ", "))
	}
}
