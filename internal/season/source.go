package season

import (
	"math"
	"slices"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/route"
	"larder/internal/units"
)

func sourceFigures() []figure.Figure {
	return []figure.Figure{
		{Key: "season.same_strength", Name: "most by which syrup elsewhere may be stronger or weaker than what is fed and still fill a tank", Value: 1, Unit: "% sugar", Low: 0, High: 5,
			Source: "common practice, no source", Grade: figure.Practice, Note: "its litres count as litres of the syrup that is fed"},
	}
}

// Source is mixed syrup that stands away from home, where a tank may be filled
// on the way: at a yard, or at any other place.
type Source struct {
	Place    string                      `json:"place,omitzero"` // its name, no yard's
	Yard     string                      `json:"yard,omitzero"`  // where it stands; "" = at a place of its own
	HasPlace bool                        `json:"has_place,omitzero"`
	Lat      float64                     `json:"lat,omitzero"` // degrees, when HasPlace
	Lon      float64                     `json:"lon,omitzero"`
	OnHand   units.Entered[units.Volume] `json:"on_hand,omitzero"`  // stands there when it was seen
	Strength units.Strength              `json:"strength,omitzero"` // 0 = not told: that which is fed
	From     units.Day                   `json:"from,omitzero"`     // first day on which it is there; 0 = at once
	Fill     units.Duration              `json:"fill,omitzero"`     // filling the tank there; 0 = as at home
	Gone     bool                        `json:"gone,omitzero"`     // no longer used
	Note     string                      `json:"note,omitzero"`
}

func checkSource(s Source) error {
	if foldName(s.Place) == HomeWord {
		return fault.New(fault.Conflict, s.Place, "home is where the truck starts, not syrup elsewhere").WithHint("what stands at home is told in the setting kitchen.on_hand")
	}
	if s.Place != "" && s.Place == s.Yard {
		return fault.New(fault.Conflict, s.Place, "a store of syrup and a yard have the same name").WithHint("call the store otherwise, for example %s syrup", s.Place)
	}
	if s.OnHand.IsZero() && !s.Gone {
		return fault.New(fault.Missing, s.Place, "it is not told how much syrup stands there").WithHint("for example 275 US gal; 0 when it is empty")
	}
	return first(needName("place", s.Place), goodName("yard", s.Yard), goodPlace(s.HasPlace, s.Lat, s.Lon), between("litres", s.OnHand.Q.L(), 0, 1e6),
		between("strength", float64(s.Strength), 0, 1), between("filling", s.Fill.Min(), 0, 600))
}

// toldSource is a Source and when it was so.
type toldSource struct {
	Source
	Fact ID
	Seen units.Moment
	Made units.Moment // when it was written down
}

// lastSource gives the last Source of a line.
func lastSource(l []*Fact) (toldSource, bool) {
	for _, f := range slices.Backward(l) {
		if s, ok := f.Body.(Source); ok {
			return toldSource{s, f.ID, f.Seen, f.WrittenAt()}, true
		}
	}
	return toldSource{}, false
}

// SourceAt is syrup elsewhere as it stands at some moment.
type SourceAt struct {
	Source
	Fact     ID           // that told it
	Seen     units.Moment // when it stood so
	Where    route.Place  // its own place, else that of its yard
	YardName string       // "" = it stands at no yard
	// Fetched is what loads were filled with there since: of the plans taken out,
	// those of which something is written down, each with the whole of its tank.
	Fetched units.Volume
	Left    units.Volume
	// Off says why no tank is filled there; nil = one may be.
	Off []feeding.Reason
}

// SourcesTold lists the places in use with syrup away from home, by name, as they
// were told last.
func (st *State) SourcesTold() []Source {
	var out []Source
	for _, s := range sorted(st.sources) {
		if !s.Gone {
			out = append(out, s.Source)
		}
	}
	return out
}

// Sources lists the places in use with syrup away from home, by name, as they
// stand at a moment.
func (st *State) Sources(at units.Moment) []SourceAt {
	b := st.bench(at)
	out := b.sources()
	if between, err := b.roads(); err == nil { // else the plan says why there are none
		for i := range out {
			out[i].offRoad(between)
		}
	}
	return out
}

// offRoad says of a store that it fills no tank where no way leads there.
func (x *SourceAt) offRoad(between func(from, to string) (feeding.Road, bool)) {
	if _, there := between("", x.Place); !there && x.Off == nil {
		x.Off = []feeding.Reason{{Code: "source-road", Say: "the syrup at {0} is not counted on: the way there is not known; give its place, or tell the way in the distances", Amounts: []any{x.Place}}}
	}
}

func (b *bench) sources() []SourceAt {
	var out []SourceAt
	for _, s := range sorted(b.st.sources) {
		if s.Gone {
			continue
		}
		x := SourceAt{Source: s.Source, Fact: s.Fact, Seen: s.Seen, Where: route.Place{ID: s.Place, HasPlace: s.HasPlace, Lat: s.Lat, Lon: s.Lon}}
		if y, ok := b.st.Yard(s.Yard); s.Yard != "" && ok {
			x.YardName = yardName(y)
			if !s.HasPlace {
				x.Where.HasPlace, x.Where.Lat, x.Where.Lon = y.HasPlace, y.Lat, y.Lon
			}
		}
		out = append(out, x)
	}
	if len(out) == 0 {
		return nil
	}
	fetched := b.st.fetched()
	for i := range out {
		x := &out[i]
		x.Fetched = fetched[x.Place]
		x.Left = max(0, x.OnHand.Q-x.Fetched)
		x.Off = b.sourceOff(x)
	}
	return out
}

// sourceOff says why no tank is filled at a store; nil where one may be. The way
// there is looked at with the others.
func (b *bench) sourceOff(x *SourceAt) []feeding.Reason {
	off := func(code, say string, amounts ...any) []feeding.Reason {
		return []feeding.Reason{{Code: code, Say: say, Amounts: amounts}}
	}
	fed, same := b.st.Settings.Syrup, b.figs.V("season.same_strength")/100
	if _, yard := b.st.Yard(x.Place); yard {
		return off("source-name", "the syrup at {0} is not counted on: a yard has the same name, so call the store otherwise", x.Place)
	}
	if _, ok := b.st.Yard(x.Yard); x.Yard != "" && !ok {
		return off("source-yard", "the syrup at {0} is not counted on: there is no yard {1}", x.Place, x.Yard)
	}
	if x.Strength > 0 && math.Abs(float64(x.Strength-fed)) > same+1e-9 {
		return off("source-strength", "the syrup at {0} is not counted on: it is of {1} and you feed {2}", x.Place, x.Strength, fed)
	}
	if x.Left <= 0 {
		if x.Fetched > 0 {
			return off("source-empty", "nothing is left at {0}: {1} stood there and {2} were fetched since; if there is more, tell it anew", x.Place, x.OnHand.Q, x.Fetched)
		}
		return off("source-empty", "nothing stands at {0}", x.Place)
	}
	return nil
}

// fetched sums what tanks were filled with at each place since its store was told
// last, by the loads of plans taken out of which something is written down. A load
// takes its whole tank with it: what is not given comes home. What was fetched
// beside any plan nobody knows of.
func (st *State) fetched() map[string]units.Volume {
	out := map[string]units.Volume{}
	for _, p := range st.Plans() {
		doc := st.outDoc(p)
		if doc == nil || !slices.ContainsFunc(doc.Loads, func(l LoadDoc) bool { return l.From != "" }) {
			continue
		}
		type done struct {
			first *TripDone
			given units.Volume
		}
		of := map[int]*done{}
		served := loadsOf(doc)
		for _, c := range st.Colonies() {
			for n, visits := range st.visitsOf(c, p.Plan, served[c.ID]) {
				d := of[n]
				if d == nil {
					d = &done{}
					of[n] = d
				}
				for i := range visits {
					v := &visits[i]
					d.given += v.Volume
					if d.first == nil || v.Seen.Compare(d.first.Seen) < 0 {
						d.first = v
					}
				}
			}
		}
		for i := range doc.Loads {
			l := &doc.Loads[i]
			d := of[l.N]
			if told, ok := st.sources[l.From]; ok && d != nil && told.before(d.first) {
				out[l.From] += max(units.Volume(l.LoadL), d.given)
			}
		}
	}
	return out
}

// before tells whether a store was told before a visit.
func (s *toldSource) before(v *TripDone) bool {
	return stoodBefore(s.Seen, s.Made, v.Seen, v.Made)
}

// atYard leads a store of syrup that stands at a yard to that yard, so that the
// ways to it are the yard's.
func atYard(sources []SourceAt) func(place string) string {
	at := map[string]string{}
	for i := range sources {
		if x := &sources[i]; x.Yard != "" && !x.HasPlace {
			at[x.Place] = x.Yard
		}
	}
	return func(place string) string {
		if y := at[place]; y != "" {
			return y
		}
		return place
	}
}

// planSources puts into a problem what a tank may be filled with elsewhere. It
// needs the problem's roads.
func (b *bench) planSources(p *feeding.Problem, sources []SourceAt) {
	for i := range sources {
		x := &sources[i]
		if x.offRoad(p.Road); x.Off != nil {
			continue
		}
		p.Sources = append(p.Sources, feeding.Source{Place: x.Place, OnHand: x.Left, Fill: x.Fill, From: x.From})
	}
}

// PlanSource is syrup elsewhere and what a plan fetches there.
type PlanSource struct {
	SourceAt
	Planned units.Volume
	Loads   []int // that are filled there
}

// After is what is left there when the plan is done.
func (s *PlanSource) After() units.Volume { return max(0, s.Left-s.Planned) }

// fetches sets what a plan fetches beside what stands elsewhere, and says it.
func fetches(sources []SourceAt, pl *feeding.Plan) []PlanSource {
	var out []PlanSource
	for _, s := range sources {
		x := PlanSource{SourceAt: s}
		for i := range pl.Loads {
			if l := &pl.Loads[i]; l.From == s.Place {
				x.Planned += l.Syrup
				x.Loads = append(x.Loads, l.N)
			}
		}
		switch {
		case s.Off != nil:
			pl.Reasons = append(pl.Reasons, s.Off...)
		case x.Planned > 0:
			pl.Reasons = append(pl.Reasons, feeding.Reason{Code: "source-used", Say: "of the {0} at {1} the plan fetches {2}, in this many loads: {3}", Amounts: []any{s.Left, s.Place, x.Planned, len(x.Loads)}})
		default:
			pl.Reasons = append(pl.Reasons, feeding.Reason{Code: "source-idle", Say: "{0} stand at {1}: the plan fills no tank there", Amounts: []any{s.Left, s.Place}})
		}
		out = append(out, x)
	}
	return out
}
