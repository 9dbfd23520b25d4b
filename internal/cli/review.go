package cli

import (
	"fmt"

	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/units"
)

type reviewCmd struct {
	source
}

// reviewedJSON is a colony or a yard looked back on.
type reviewedJSON struct {
	Colony   string   `json:"colony,omitempty"`
	Yard     string   `json:"yard"`
	PlannedL float64  `json:"planned_l"`
	GivenL   float64  `json:"given_l"`
	TakenL   *float64 `json:"taken_l"`
	SolidKg  float64  `json:"solid_kg"`
	StopKg   *float64 `json:"stores_at_stop_kg"`
	State    string   `json:"state,omitempty"`
	Cause    string   `json:"cause,omitempty"`
	Colonies int      `json:"colonies,omitempty"`
	Dead     int      `json:"dead,omitempty"`
}

func reviewedDoc(x *season.Reviewed, colony bool) reviewedJSON {
	j := reviewedJSON{Yard: x.Yard, PlannedL: x.Planned.L(), GivenL: x.Given.L(), SolidKg: x.Solid.Kg(), State: string(x.State), Cause: x.Cause, Colonies: x.Colonies, Dead: x.Dead}
	if colony {
		j.Colony = x.Name
	}
	if x.Looked > 0 {
		l := x.Taken.L()
		j.TakenL = &l
	}
	if x.AtStop.Known {
		j.StopKg = &x.AtStop.Mean
	}
	return j
}

// Run looks back on the season: planned, given, taken, and what was learned.
func (c *reviewCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	v := st.Review(at)
	s := r.style(st.Settings.Style())
	if r.JSON {
		return r.printJSON(reviewDoc(&v, at, s))
	}
	fmt.Fprintf(r.Out, "Looking back, %s to %s\n\n", s.DayYear(v.From), s.DayYear(v.To))
	t := newTable("yard", ">hives", ">planned", ">given", ">taken", ">dead")
	for _, y := range append(v.Yards, v.All) {
		name := y.Name
		if name == "" {
			name = "all"
		}
		t.row(name, fmt.Sprint(y.Colonies), s.VolumeBig(y.Planned), s.VolumeBig(y.Given), s.VolumeBig(y.Taken), fmt.Sprint(y.Dead))
	}
	t.print(r.Out)
	fmt.Fprintln(r.Out)
	dead := newTable("stores at the stop day", ">hives", ">died", ">starved")
	for _, b := range v.ByStores {
		name := "over " + s.Mass(b.From)
		if b.Below > 0 {
			name = s.Mass(b.From) + " to " + s.Mass(b.Below)
		}
		dead.row(name, fmt.Sprint(b.Colonies), fmt.Sprint(b.Dead), fmt.Sprint(b.Starved))
	}
	dead.row("not known", fmt.Sprint(v.Unknown.Colonies), fmt.Sprint(v.Unknown.Dead), fmt.Sprint(v.Unknown.Starved))
	dead.print(r.Out)
	fmt.Fprintln(r.Out)
	whys(r.Out, s, v.Findings)
	fmt.Fprintf(r.Out, "\nSugar for next autumn: %s\n", s.Mass(v.Order))
	return nil
}

type bandJSON struct {
	FromKg   float64  `json:"from_kg"`
	BelowKg  *float64 `json:"below_kg"`
	Colonies int      `json:"colonies"`
	Dead     int      `json:"dead"`
	Starved  int      `json:"starved"`
}

func reviewDoc(v *season.Review, at units.Moment, s units.Style) map[string]any {
	colonies, yards, bands := make([]reviewedJSON, len(v.Colonies)), make([]reviewedJSON, len(v.Yards)), make([]bandJSON, len(v.ByStores))
	for i := range v.Colonies {
		colonies[i] = reviewedDoc(&v.Colonies[i], true)
	}
	for i := range v.Yards {
		yards[i] = reviewedDoc(&v.Yards[i], false)
	}
	for i, b := range v.ByStores {
		bands[i] = bandJSON{FromKg: b.From.Kg(), Colonies: b.Colonies, Dead: b.Dead, Starved: b.Starved}
		if b.Below > 0 {
			kg := b.Below.Kg()
			bands[i].BelowKg = &kg
		}
	}
	return map[string]any{"as_of": at, "from": v.From, "to": v.To, "colonies": colonies, "yards": yards, "by_stores_at_stop": bands,
		"stores_unknown": bandJSON{Colonies: v.Unknown.Colonies, Dead: v.Unknown.Dead, Starved: v.Unknown.Starved},
		"learned": map[string]any{
			"uptake":      map[string]any{"looks": v.Uptake.Looks, "taken_l": v.Uptake.Taken.L(), "expected_l": v.Uptake.Expected.L()},
			"conversion":  map[string]any{"pairs": v.Yield.Pairs, "gained_kg": v.Yield.Gained, "expected_kg": v.Yield.Expected},
			"consumption": learnedDoc(v.Learned, s),
		},
		"sugar_used_kg": v.SugarUsed.Kg(), "sugar_order_kg": v.Order.Kg(), "reasons": season.Reasons(v.Findings, s)}
}

type learnedJSON struct {
	Yard    string             `json:"yard"`
	Pairs   int                `json:"pairs"`
	Ratio   float64            `json:"eaten_over_expected"`
	Before  [4]float64         `json:"rates_before_g"`
	After   [4]float64         `json:"rates_after_g"`
	Reasons []season.ReasonDoc `json:"reasons"`
}

func learnedDoc(all []season.Learned, s units.Style) []learnedJSON {
	out := make([]learnedJSON, len(all))
	for i := range all {
		l := &all[i]
		out[i] = learnedJSON{Yard: l.Yard, Pairs: l.Used, Ratio: l.Ratio, Reasons: season.Reasons(l.Say(), s)}
		for k, c := range l.Changed() {
			out[i].Before[k], out[i].After[k] = c.Before, c.After
		}
	}
	return out
}

func meanOf(e figure.Estimate) *float64 {
	if !e.Known {
		return nil
	}
	return &e.Mean
}
