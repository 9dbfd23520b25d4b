package season

import (
	"maps"
	"slices"
	"strings"

	"larder/internal/feeding"
	"larder/internal/units"
)

// ReasonDoc is why: a stable code, and a sentence in the units asked for.
type ReasonDoc struct {
	Code string `json:"code"`
	Say  string `json:"say"`
}

// Reasons puts reasons into words.
func Reasons(rs []feeding.Reason, s units.Style) []ReasonDoc {
	out := make([]ReasonDoc, 0, len(rs))
	for _, r := range rs {
		out = append(out, ReasonDoc{r.Code, s.Say(r.Say, r.Amounts)})
	}
	return out
}

func tell(s units.Style, rs []feeding.Reason) string {
	words := make([]string, len(rs))
	for i, r := range rs {
		words[i] = s.Say(r.Say, r.Amounts)
	}
	return strings.Join(words, "; ")
}

// The JSON of a plan, in SI. Its keys are documented in the manual, "Commands",
// and never change their meaning.
type (
	PlanDoc struct {
		AsOf  units.Moment `json:"as_of"`
		Start units.Day    `json:"start"`
		Seed  uint64       `json:"seed"`
		// Iterations is how many steps the search took; with the same facts, moment
		// and seed they give this plan again.
		Iterations int     `json:"iterations"`
		Brix       float64 `json:"brix"`
		// Basis marks all the plan is made from but the colonies: two plans with the
		// same mark differ only by what was written down of colonies.
		Basis    string          `json:"basis,omitempty"`
		Colonies []PlanColonyDoc `json:"colonies"`
		Batches  []BatchDoc      `json:"batches"`
		Loads    []LoadDoc       `json:"loads"`
		Totals   TotalsDoc       `json:"totals"`
		Bounds   BoundsDoc       `json:"bounds"`
		Unmet    []UnmetDoc      `json:"unmet"`
		Stops    []StopDayDoc    `json:"stop_days"`
		Reasons  []ReasonDoc     `json:"reasons"`
		Frames   []FrameDoc      `json:"frames"`
		// Sources is mixed syrup that stands elsewhere: only where some was told.
		Sources []SourceDoc `json:"sources,omitempty"`
		// FramesAll is what agreeing to every offer would save: only where it is
		// asked for.
		FramesAll *GainDoc `json:"frames_all,omitempty"`
		// Changes is what one thing more would bring: only where it is asked for.
		Changes []ChangeDoc `json:"changes,omitzero"`
		// Days is what limits each working day: only where it is asked for, so not in
		// a plan taken out.
		Days []DayLimitDoc `json:"days,omitempty"`
		// Replay is the plan played through past years: only where it is asked for,
		// so not in a plan taken out.
		Replay *ReplayDoc `json:"replay,omitempty"`
	}
	// SourceDoc is one store of syrup elsewhere and what the plan fetches there.
	SourceDoc struct {
		Place    string      `json:"place"`
		Yard     string      `json:"yard,omitempty"` // where it stands, if at a yard
		ToldL    float64     `json:"told_l"`
		FetchedL float64     `json:"fetched_l"` // since it was told
		LeftL    float64     `json:"left_l"`
		PlannedL float64     `json:"planned_l"` // the loads of this plan
		AfterL   float64     `json:"after_l"`
		From     units.Day   `json:"from,omitzero"`
		Loads    []int       `json:"loads"`
		Counted  bool        `json:"counted"` // a tank may be filled there
		Reasons  []ReasonDoc `json:"reasons"` // why not
	}
	FrameDoc struct {
		Yard    string      `json:"yard"`
		From    string      `json:"from"`
		To      string      `json:"to"`
		Frame   string      `json:"frame"`
		Frames  int         `json:"frames"`
		Kg      float64     `json:"kg"`
		SdKg    float64     `json:"sd_kg"`
		SyrupL  float64     `json:"syrup_less_l"`
		Agreed  bool        `json:"agreed"`
		Counts  bool        `json:"counts"`
		Reasons []ReasonDoc `json:"reasons"`
	}
	GainDoc struct {
		SyrupL     float64 `json:"syrup_less_l"`
		Loads      int     `json:"loads_fewer"`
		DistanceKm float64 `json:"distance_less_km"`
		TimeMin    float64 `json:"time_less_min"`
	}
	PlanColonyDoc struct {
		Colony  string      `json:"colony"`
		Yard    string      `json:"yard"`
		NeedL   float64     `json:"need_l"`
		GivenL  float64     `json:"given_l"`
		TakenL  float64     `json:"taken_l"`
		Fills   int         `json:"fills"`
		Reasons []ReasonDoc `json:"reasons"`
	}
	BatchDoc struct {
		Day     units.Day   `json:"day"`
		SyrupL  float64     `json:"syrup_l"`
		SugarKg float64     `json:"sugar_kg"`
		WaterL  float64     `json:"water_l"`
		Reasons []ReasonDoc `json:"reasons"`
	}
	LoadDoc struct {
		N          int         `json:"n"`
		Day        units.Day   `json:"day"`
		Truck      string      `json:"truck"`
		From       string      `json:"from,omitempty"`      // where the tank is filled; none = at home
		To         string      `json:"to,omitempty"`        // where the truck goes to be filled next; none = home
		LeaveMin   float64     `json:"leave_min,omitempty"` // minutes after midnight, where yards have hours
		LoadL      float64     `json:"load_l"`
		Stops      []StopDoc   `json:"stops"`
		DistanceKm float64     `json:"distance_km"`
		TimeMin    float64     `json:"time_min"`
		Reasons    []ReasonDoc `json:"reasons"`
	}
	StopDoc struct {
		Yard       string    `json:"yard"`
		Fills      []FillDoc `json:"fills"`
		DistanceKm float64   `json:"distance_km"`
		TimeMin    float64   `json:"time_min"`
	}
	FillDoc struct {
		Colony  string      `json:"colony"`
		FillL   float64     `json:"fill_l"`
		Reasons []ReasonDoc `json:"reasons"`
	}
	TotalsDoc struct {
		Loads      int              `json:"loads"`
		Visits     int              `json:"visits"`
		Fills      int              `json:"fills"`
		SyrupL     float64          `json:"syrup_l"`
		DistanceKm float64          `json:"distance_km"`
		TimeMin    float64          `json:"time_min"`
		MixingMin  float64          `json:"mixing_min"`
		SugarKg    float64          `json:"sugar_kg"`
		WaterL     float64          `json:"water_l"`
		CostMinor  *int64           `json:"cost_minor"`
		Currency   string           `json:"currency"`
		CostParts  map[string]int64 `json:"cost_parts_minor"`
	}
	BoundsDoc struct {
		Loads      int         `json:"loads"`
		Visits     int         `json:"visits"`
		DistanceKm float64     `json:"distance_km"`
		TimeMin    float64     `json:"time_min"`
		Gap        GapDoc      `json:"gap"`
		Reasons    []ReasonDoc `json:"reasons"`
	}
	// GapDoc is how far the plan lies above each bound, in hundredths of the plan.
	GapDoc struct {
		LoadsPct    float64 `json:"loads_pct"`
		VisitsPct   float64 `json:"visits_pct"`
		DistancePct float64 `json:"distance_pct"`
		TimePct     float64 `json:"time_pct"`
	}
	UnmetDoc struct {
		Colony string  `json:"colony"`
		Yard   string  `json:"yard"`
		UnmetL float64 `json:"unmet_l"`
		// Reason is all reasons in one line; Reasons has them apart.
		Reason  string      `json:"reason"`
		Reasons []ReasonDoc `json:"reasons"`
	}
	StopDayDoc struct {
		Yard    string      `json:"yard"`
		Day     units.Day   `json:"day"`
		Low     units.Day   `json:"low"`
		High    units.Day   `json:"high"`
		Known   bool        `json:"known"`
		Reasons []ReasonDoc `json:"reasons"`
	}
)

// Doc gives the plan as it is printed, frozen and exchanged. Sentences are in the
// units and words of s. Fault: amounts of money that cannot be counted.
func (p *Planned) Doc(at units.Moment, s units.Style) (PlanDoc, error) {
	out := PlanDoc{AsOf: at, Start: p.Start, Seed: p.Seed, Iterations: p.Iterations, Brix: p.Strength.Brix(), Basis: p.Basis, Reasons: Reasons(p.Reasons, s),
		Colonies: []PlanColonyDoc{}, Batches: []BatchDoc{}, Loads: []LoadDoc{}, Unmet: []UnmetDoc{}, Stops: []StopDayDoc{}, Frames: []FrameDoc{}}
	for _, c := range p.Colonies {
		out.Colonies = append(out.Colonies, PlanColonyDoc{c.Colony, c.Yard, c.Need.L(), c.Given.L(), c.Taken.L(), c.Fills, Reasons(c.Why, s)})
	}
	for _, b := range p.Batches {
		out.Batches = append(out.Batches, BatchDoc{b.Day, b.Syrup.L(), b.Sugar.Kg(), b.Water.L(), Reasons(b.Why, s)})
	}
	for _, l := range p.Loads {
		out.Loads = append(out.Loads, loadDoc(l, s))
	}
	for _, u := range p.NotServed() {
		out.Unmet = append(out.Unmet, UnmetDoc{u.Colony, u.Yard, u.Volume.L(), tell(s, u.Why), Reasons(u.Why, s)})
	}
	for _, y := range p.Stops {
		out.Stops = append(out.Stops, StopDayDoc{y.Yard.ID, y.Stop.Day, y.Stop.Low, y.Stop.High, y.Known, Reasons(y.Why, s)})
	}
	for _, o := range p.Frames {
		out.Frames = append(out.Frames, FrameDoc{o.Yard, o.From, o.To, o.Frame, o.Frames, o.Mass.Mean, o.Mass.SD, o.Syrup.L(), o.Agreed,
			o.Agreed && len(o.Off) == 0, Reasons(slices.Concat(o.Off, o.Why), s)})
	}
	for i := range p.Sources {
		x := &p.Sources[i]
		out.Sources = append(out.Sources, SourceDoc{x.Place, x.Yard, x.OnHand.Q.L(), x.Fetched.L(), x.Left.L(), x.Planned.L(), x.After().L(), x.From,
			append([]int{}, x.Loads...), x.Off == nil, Reasons(x.Off, s)})
	}
	t, b := p.Totals, p.Bounds
	out.Totals = TotalsDoc{Loads: t.Loads, Visits: t.Visits, Fills: t.Fills, SyrupL: t.Syrup.L(), DistanceKm: t.Dist.Km(), TimeMin: t.Time.Min(),
		MixingMin: t.Mixing.Min(), SugarKg: t.Sugar.Kg(), WaterL: t.Water.L(), Currency: t.Cost.Currency(), CostParts: map[string]int64{}}
	if !t.Cost.IsZero() {
		m, err := t.Cost.Minor()
		if err != nil {
			return out, err
		}
		out.Totals.CostMinor = &m
	}
	for _, k := range slices.Sorted(maps.Keys(t.CostParts)) {
		m, err := t.CostParts[k].Minor()
		if err != nil {
			return out, err
		}
		out.Totals.CostParts[k] = m
	}
	out.Bounds = boundsDoc(b, s)
	return out, nil
}

func loadDoc(l feeding.Load, s units.Style) LoadDoc {
	out := LoadDoc{N: l.N, Day: l.Day, Truck: l.Truck, From: l.From, To: l.To, LeaveMin: l.Leave.Min(), LoadL: l.Syrup.L(), DistanceKm: l.Dist.Km(), TimeMin: l.Time.Min(), Reasons: Reasons(l.Why, s)}
	for _, st := range l.Stops {
		x := StopDoc{Yard: st.Yard, DistanceKm: st.Dist.Km(), TimeMin: st.Time.Min()}
		for _, f := range st.Fills {
			x.Fills = append(x.Fills, FillDoc{f.Colony, f.Volume.L(), Reasons(f.Why, s)})
		}
		out.Stops = append(out.Stops, x)
	}
	return out
}
