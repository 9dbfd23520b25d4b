package web

import (
	"net/http"
	"strings"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// tracePage follows a lot to colonies, or a colony to lots.
type tracePage struct {
	Base
	Lot, Colony string
	Lots        []string // to choose from
	Trace       *season.Trace
}

// LotBox and ColonyBox are what to follow.
func (p *tracePage) LotBox() Field {
	f := p.Field("lot", "trace.lot", p.Lot, "", "short")
	f.List = "lots"
	return f
}

// ColonyBox is the colony to follow.
func (p *tracePage) ColonyBox() Field {
	return p.Field("colony", "trace.colony", p.Colony, "", "short")
}

// Gave says how much a gift was.
func (p *tracePage) Gave(g season.TraceGift) string {
	if g.Volume > 0 {
		return p.S.Volume(g.Volume)
	}
	return p.S.MassSmall(g.Mass)
}

// Ref says a lot, and whether anybody wrote it down.
func (p *tracePage) Ref(l season.LotRef) string {
	say := strings.TrimSpace(l.Item + " " + l.Lot)
	if !l.Named {
		return p.T("trace.workedout", "Lot", say)
	}
	return say
}

// Way says how feed came to a colony.
func (p *tracePage) Way(k season.TracedColony) string {
	if k.How == "" {
		return ""
	}
	return p.T("trace.way."+k.How, "Via", k.Via)
}

// trace shows it.
func (s *Server) trace(w http.ResponseWriter, r *http.Request) {
	p := &tracePage{Base: s.base(r, "trace", "title.trace"), Lot: strings.TrimSpace(r.URL.Query().Get("lot")), Colony: strings.TrimSpace(r.URL.Query().Get("colony"))}
	s.house.view(func(st *season.State, at units.Moment) {
		shed := st.Shed(at)
		for _, l := range shed.Stock.Lots {
			if l.Lot != "" {
				p.Lots = append(p.Lots, l.Lot)
			}
		}
		var t season.Trace
		found, what := true, "lot"
		switch {
		case p.Lot != "":
			t, found = st.TraceLot(p.Lot, at)
		case p.Colony != "":
			what = "colony"
			t, found = st.TraceColony(p.Colony, at)
		default:
			return
		}
		if !found {
			p.trouble(s.troubleOf(&p.Base, fault.New(fault.NotFound, "", "nothing is known of it").WithHint("Feed shed lists the lots, Yards and hives the colonies"), what))
			return
		}
		p.Trace = &t
	})
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusNotFound
	}
	s.show(w, code, "trace", p)
}

// Spent says what else was taken of a lot.
func (p *tracePage) Spent(i ledger.Issue) string { return p.T("happening." + i.Why) }
