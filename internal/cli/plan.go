package cli

import (
	"fmt"
	"io"
	"maps"
	"slices"

	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

type planCmd struct {
	source
	Seed uint64 `default:"1" help:"Seed of the search: same facts, moment and seed give the same plan."`
	Why  bool   `help:"Also the reasons of every line."`
}

// The JSON of a plan: DESIGN §6. Times and places as in the manual, "Commands".
type (
	planJSON struct {
		AsOf     units.Moment     `json:"as_of"`
		Start    units.Day        `json:"start"`
		Seed     uint64           `json:"seed"`
		Brix     float64          `json:"brix"`
		Colonies []planColonyJSON `json:"colonies"`
		Batches  []batchJSON      `json:"batches"`
		Loads    []loadJSON       `json:"loads"`
		Totals   totalsJSON       `json:"totals"`
		Bounds   boundsJSON       `json:"bounds"`
		Unmet    []unmetJSON      `json:"unmet"`
		Stops    []stopDayJSON    `json:"stop_days"`
		Reasons  []reasonJSON     `json:"reasons"`
	}
	planColonyJSON struct {
		Colony  string       `json:"colony"`
		Yard    string       `json:"yard"`
		NeedL   float64      `json:"need_l"`
		GivenL  float64      `json:"given_l"`
		TakenL  float64      `json:"taken_l"`
		Fills   int          `json:"fills"`
		Reasons []reasonJSON `json:"reasons"`
	}
	batchJSON struct {
		Day     units.Day    `json:"day"`
		SyrupL  float64      `json:"syrup_l"`
		SugarKg float64      `json:"sugar_kg"`
		WaterL  float64      `json:"water_l"`
		Reasons []reasonJSON `json:"reasons"`
	}
	loadJSON struct {
		N          int          `json:"n"`
		Day        units.Day    `json:"day"`
		Truck      string       `json:"truck"`
		LoadL      float64      `json:"load_l"`
		Stops      []stopJSON   `json:"stops"`
		DistanceKm float64      `json:"distance_km"`
		TimeMin    float64      `json:"time_min"`
		Reasons    []reasonJSON `json:"reasons"`
	}
	stopJSON struct {
		Yard       string     `json:"yard"`
		Fills      []fillJSON `json:"fills"`
		DistanceKm float64    `json:"distance_km"`
		TimeMin    float64    `json:"time_min"`
	}
	fillJSON struct {
		Colony  string       `json:"colony"`
		FillL   float64      `json:"fill_l"`
		Reasons []reasonJSON `json:"reasons"`
	}
	totalsJSON struct {
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
	boundsJSON struct {
		Loads      int          `json:"loads"`
		Visits     int          `json:"visits"`
		DistanceKm float64      `json:"distance_km"`
		Reasons    []reasonJSON `json:"reasons"`
	}
	unmetJSON struct {
		Colony string  `json:"colony"`
		Yard   string  `json:"yard"`
		UnmetL float64 `json:"unmet_l"`
		// Reason is all reasons in one line; Reasons has them apart.
		Reason  string       `json:"reason"`
		Reasons []reasonJSON `json:"reasons"`
	}
	stopDayJSON struct {
		Yard    string       `json:"yard"`
		Day     units.Day    `json:"day"`
		Low     units.Day    `json:"low"`
		High    units.Day    `json:"high"`
		Known   bool         `json:"known"`
		Reasons []reasonJSON `json:"reasons"`
	}
)

func planOf(p *season.Planned, at units.Moment, s units.Style) (planJSON, error) {
	out := planJSON{AsOf: at, Start: p.Start, Seed: p.Seed, Brix: p.Strength.Brix(), Reasons: reasonsJSON(p.Reasons, s),
		Colonies: []planColonyJSON{}, Batches: []batchJSON{}, Loads: []loadJSON{}, Unmet: []unmetJSON{}, Stops: []stopDayJSON{}}
	for _, c := range p.Colonies {
		out.Colonies = append(out.Colonies, planColonyJSON{c.Colony, c.Yard, c.Need.L(), c.Given.L(), c.Taken.L(), c.Fills, reasonsJSON(c.Why, s)})
	}
	for _, b := range p.Batches {
		out.Batches = append(out.Batches, batchJSON{b.Day, b.Syrup.L(), b.Sugar.Kg(), b.Water.L(), reasonsJSON(b.Why, s)})
	}
	for _, l := range p.Loads {
		out.Loads = append(out.Loads, loadOf(l, s))
	}
	for _, u := range p.NotServed() {
		out.Unmet = append(out.Unmet, unmetJSON{u.Colony, u.Yard, u.Volume.L(), tell(s, u.Why, len(u.Why)+1), reasonsJSON(u.Why, s)})
	}
	for _, y := range p.Stops {
		out.Stops = append(out.Stops, stopDayJSON{y.Yard.ID, y.Stop.Day, y.Stop.Low, y.Stop.High, y.Known, reasonsJSON(y.Why, s)})
	}
	t, b := p.Totals, p.Bounds
	out.Totals = totalsJSON{Loads: t.Loads, Visits: t.Visits, Fills: t.Fills, SyrupL: t.Syrup.L(), DistanceKm: t.Dist.Km(), TimeMin: t.Time.Min(),
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
	out.Bounds = boundsJSON{b.Loads, b.Visits, b.Dist.Km(), reasonsJSON(b.Why, s)}
	return out, nil
}

func loadOf(l feeding.Load, s units.Style) loadJSON {
	out := loadJSON{N: l.N, Day: l.Day, Truck: l.Truck, LoadL: l.Syrup.L(), DistanceKm: l.Dist.Km(), TimeMin: l.Time.Min(), Reasons: reasonsJSON(l.Why, s)}
	for _, st := range l.Stops {
		x := stopJSON{Yard: st.Yard, DistanceKm: st.Dist.Km(), TimeMin: st.Time.Min()}
		for _, f := range st.Fills {
			x.Fills = append(x.Fills, fillJSON{f.Colony, f.Volume.L(), reasonsJSON(f.Why, s)})
		}
		out.Stops = append(out.Stops, x)
	}
	return out
}

// Run plans the feeding.
func (c *planCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	p, err := st.Plan(at, c.Seed)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	if r.JSON {
		j, err := planOf(&p, at, s)
		if err != nil {
			return err
		}
		return r.printJSON(j)
	}
	fmt.Fprintf(r.Out, "Feeding plan as of %s, syrup %s (%s)\n", s.Moment(at), st.Settings.Strength, s.Strength(p.Strength))
	printPlan(r.Out, s, &p, c.Why)
	return nil
}

// printPlan writes a plan for people: what it comes to, then day by day, then
// who is not served.
func printPlan(w io.Writer, s units.Style, p *season.Planned, why bool) {
	printTotals(w, s, p)
	name := map[string]string{}
	for _, y := range p.Stops {
		name[y.Yard.ID] = y.Yard.ID
		if y.Yard.Name != "" {
			name[y.Yard.ID] = y.Yard.Name
		}
	}
	if len(p.Batches) > 0 {
		fmt.Fprintf(w, "\nMix\n")
		t := newTable("ready by", ">syrup", ">sugar", ">water")
		for _, b := range p.Batches {
			t.row(s.Day(b.Day), s.VolumeBig(b.Syrup), s.Mass(b.Sugar), s.VolumeBig(b.Water))
		}
		t.print(w)
	}
	for _, l := range p.Loads {
		fmt.Fprintf(w, "\nLoad %d, %s: %s, %s, %s\n", l.N, s.DayYear(l.Day), s.VolumeBig(l.Syrup), s.Road(l.Dist), s.Duration(l.Time))
		if why {
			whys(w, s, l.Why)
		}
		for _, st := range l.Stops {
			fmt.Fprintf(w, "  %s (%d)\n", name[st.Yard], len(st.Fills))
			printFills(w, s, st.Fills, why)
		}
	}
	if len(p.NotServed()) > 0 {
		fmt.Fprintf(w, "\nNot served by this plan\n")
		t := newTable("yard", "hive", ">lacks", "because")
		for _, u := range p.NotServed() {
			lacks := "?"
			if u.Volume > 0 {
				lacks = s.Volume(u.Volume)
			}
			t.row(u.Yard, u.Colony, lacks, tell(s, u.Why, 1))
		}
		t.print(w)
	}
}

// printFills puts fills in lines of up to the width, in walking order.
func printFills(w io.Writer, s units.Style, fills []feeding.Fill, why bool) {
	if why {
		for _, f := range fills {
			fmt.Fprintf(w, "    %-12s %s\n", f.Colony, s.Volume(f.Volume))
			whys(w, s, f.Why)
		}
		return
	}
	line := ""
	for i, f := range fills {
		if i > 0 {
			line += " · "
		}
		line += f.Colony + "\u00a0" + nbsp(s.Volume(f.Volume))
	}
	para(w, "    ", line)
}

// nbsp keeps an amount in one piece when lines are wrapped.
func nbsp(s string) string {
	out := []rune(s)
	for i, c := range out {
		if c == ' ' {
			out[i] = '\u00a0'
		}
	}
	return string(out)
}

func whys(w io.Writer, s units.Style, rs []feeding.Reason) {
	for _, r := range rs {
		para(w, "      because ", s.Say(r.Say, r.Amounts))
	}
}

func printTotals(w io.Writer, s units.Style, p *season.Planned) {
	t, b := p.Totals, p.Bounds
	if t.Loads == 0 {
		fmt.Fprintf(w, "\nNothing to haul.\n")
	} else {
		fmt.Fprintf(w, "\n%s of syrup (%s of sugar, %s of water) in %s and %s,\n%s on the road, %s at work and %s of mixing",
			s.VolumeBig(t.Syrup), s.Mass(t.Sugar), s.VolumeBig(t.Water), count(len(p.Batches), "batch", "batches"), count(t.Loads, "load", "loads"),
			s.Road(t.Dist), s.Duration(t.Time), s.Duration(t.Mixing))
		if !t.Cost.IsZero() {
			fmt.Fprintf(w, ", %s in all", s.Money(t.Cost))
		}
		fmt.Fprintf(w, ".\nIt cannot be done in fewer than %s and %s, nor on less than %s.\n",
			count(b.Loads, "load", "loads"), count(b.Visits, "visit", "visits"), s.Road(b.Dist))
	}
	for _, r := range p.Reasons {
		para(w, "  · ", s.Say(r.Say, r.Amounts))
	}
	for _, y := range p.Stops {
		if y.Known {
			fmt.Fprintf(w, "Stop day at %s: %s", y.Yard.ID, s.Day(y.Stop.Day))
			if y.Stop.Low != 0 && y.Stop.Low != y.Stop.High {
				fmt.Fprintf(w, " (likely %s to %s)", s.Date(y.Stop.Low), s.Date(y.Stop.High))
			}
			fmt.Fprintln(w)
		}
	}
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
