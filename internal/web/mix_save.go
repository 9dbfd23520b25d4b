package web

import (
	"net/http"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/supplement"
	"larder/internal/units"
)

type mixedPage struct {
	Base
	Batch batchForm
	Query string
}

// Box is one box of what is written down.
func (p *mixedPage) Box(name, class string) Field {
	v := map[string]string{"batch": p.Batch.ID, "day": p.Batch.Day, "syrup": p.Batch.Volume, "brix": p.Batch.Strength, "sugar_used": p.Batch.Sugar,
		"water_used": p.Batch.Water, "lots": p.Batch.Lots, "temp": p.Batch.Temp, "note": p.Batch.Note,
		"dose_used": p.Batch.Dose, "dose_lot": p.Batch.DoseLot}[name]
	return p.Field(name, "batch."+name, v, "", class)
}

// Down gives the form that writes the batch down.
func (p *mixPage) Down() *mixedPage { return &mixedPage{Base: p.Base, Batch: p.Batch} }

// saveBatch writes down a batch that was mixed.
func (s *Server) saveBatch(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	f := r.PostForm
	at := func(k string) string { return strings.TrimSpace(f.Get(k)) }
	p := &mixedPage{Base: s.base(r, "mixed", "title.mixed"), Query: f.Get("recipe"),
		Batch: batchForm{at("batch"), at("day"), at("syrup"), at("brix"), at("sugar_used"), at("water_used"), at("lots"), at("temp"), at("note"),
			at("dose_product"), at("dose_used"), at("dose_lot")}}
	seen, b := s.batchOf(p)
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "mixed", p)
		return
	}
	act, err := s.house.append(r.Context(), "batch", s.house.fact(seen, "", b))
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "syrup"))
		s.show(w, statusOf(err), "mixed", p)
		return
	}
	s.done(w, r, "/mix", act)
}

// batchOf reads what was typed of a batch.
func (s *Server) batchOf(p *mixedPage) (units.Moment, ledger.Batch) {
	t, l := p.Batch, p.S.Locale()
	bad := func(field string, err error) { p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, field)) }
	var b ledger.Batch
	var seen units.Moment // today is now
	if d, err := season.ReadDay(t.Day, season.OrderNotTold, p.Facts.Day()); err != nil {
		bad("day", err)
	} else if d > p.Facts.Day() {
		bad("day", fault.New(fault.OutOfRange, "", "this day is still to come"))
	} else if d != p.Facts.Day() {
		seen = units.OnDay(d)
	}
	if b.ID = t.ID; b.ID == "" {
		bad("batch", fault.New(fault.Missing, "", "the batch has no name").WithHint("what you write on the tank"))
	}
	s.house.view(func(st *season.State, _ units.Moment) {
		if _, ok := st.Batch(b.ID); ok {
			bad("batch", fault.Newf(fault.Conflict, "", "there is a batch %s already", b.ID).WithHint("the next free name is %s", st.NextBatchID(p.Facts.Day())))
		}
	})
	var err error
	if b.Volume, err = units.EnterVolumeIn(t.Volume, p.S.VolumeCol().Unit, l); err != nil {
		bad("syrup", err)
	}
	if b.Strength, err = units.ParseStrengthIn(t.Strength, "%", l); err != nil {
		bad("brix", err)
	}
	if t.Sugar != "" {
		if b.Sugar, err = units.EnterMassIn(t.Sugar, p.S.MassCol().Unit, l); err != nil {
			bad("sugar_used", err)
		}
	}
	if t.Water != "" {
		if b.Water, err = units.EnterVolumeIn(t.Water, p.S.VolumeCol().Unit, l); err != nil {
			bad("water_used", err)
		}
	}
	if t.Temp != "" {
		if b.Temp, err = units.ParseTempIn(t.Temp, strings.TrimPrefix(p.S.TempCol().Unit, "°"), l); err != nil {
			bad("temp", err)
		}
		b.TempKnown = err == nil
	}
	for lot := range strings.FieldsFuncSeq(t.Lots, func(r rune) bool { return r == ',' || r == ';' }) {
		if lot = strings.TrimSpace(lot); lot != "" {
			b.Lots = append(b.Lots, lot)
		}
	}
	if t.Product != "" && t.Dose != "" {
		a, err := supplement.ParseAmount(t.Dose, l)
		if err != nil {
			bad("dose_used", err)
		}
		b.Used = []ledger.Used{{Item: t.Product, Lot: t.DoseLot, Mass: a.Mass, Volume: a.Volume}}
		if t.DoseLot != "" && !slices.Contains(b.Lots, t.DoseLot) {
			b.Lots = append(b.Lots, t.DoseLot)
		}
	}
	b.Note = t.Note
	return seen, b
}
