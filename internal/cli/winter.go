package cli

import (
	"fmt"
	"slices"

	"larder/internal/season"
	"larder/internal/units"
)

type winterCmd struct {
	source
	Seed uint64 `default:"1" help:"Seed of the draws: same facts, moment and seed give the same answer."`
}

type winteringJSON struct {
	Colony      string             `json:"colony"`
	Yard        string             `json:"yard"`
	RunsShortOn units.Day          `json:"runs_short_on"`
	PShort      *float64           `json:"p_short"`
	StoresKg    *float64           `json:"stores_kg"`
	SDKg        *float64           `json:"sd_kg"`
	ByDay       []float64          `json:"stores_kg_by_day"`
	From        units.Day          `json:"from"`
	Forage      units.Day          `json:"first_forage"`
	TargetKg    *float64           `json:"target_kg"`
	PublishedKg *float64           `json:"published_target_kg"`
	OwnKg       *float64           `json:"own_target_kg"`
	Reasons     []season.ReasonDoc `json:"reasons"`
}

// Run tells which colony runs low, and when.
func (c *winterCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	all := st.WinterWatch(at, c.Seed)
	s := r.style(st.Settings.Style())
	if r.JSON {
		out := make([]winteringJSON, len(all))
		for i := range all {
			out[i] = winteringDoc(&all[i], s)
		}
		return r.printJSON(map[string]any{"as_of": at, "colonies": out})
	}
	fmt.Fprintf(r.Out, "Winter watch, as of %s\n\n", s.Moment(at))
	lines := make([]*season.Wintering, len(all))
	for i := range all {
		lines[i] = &all[i]
	}
	slices.SortStableFunc(lines, func(a, b *season.Wintering) int { return cmpShort(b) - cmpShort(a) })
	t := newTable("yard", "hive", ">stores now", ">needs today", "runs short", ">chance before forage", "what to know")
	for _, w := range lines {
		runs, chance, needs := "not known", "?", "?"
		if w.Modelled {
			needs = s.Mass(w.Target.Kg)
		}
		if w.Modelled && w.Fan.Known {
			chance = s.Percent(w.Fan.ShortAtAll())
			runs = "not before forage"
			if w.Fan.RunsShortOn != 0 {
				runs = "from " + s.Date(w.Fan.RunsShortOn)
			}
		}
		t.row(w.Colony.Yard, w.Colony.ID, kg(s, w.Stores()), needs, runs, chance, tell(s, w.Why, 1))
	}
	t.print(r.Out)
	fmt.Fprintln(r.Out)
	para(r.Out, "", "Short means less than the reserve of "+s.Mass(units.Mass(reserve(st)))+". Mid-winter use is known to about 20 %, spring use to 40 %.")
	return nil
}

func reserve(st *season.State) float64 {
	set, _ := st.Settings.FigureSet()
	return set.V("winter.reserve_kg")
}

// cmpShort ranks by the chance of running short, the unknown in the middle.
func cmpShort(w *season.Wintering) int {
	if !w.Modelled || !w.Fan.Known {
		return 500
	}
	return int(w.Fan.ShortAtAll() * 1000)
}

func winteringDoc(w *season.Wintering, s units.Style) winteringJSON {
	j := winteringJSON{Colony: w.Colony.ID, Yard: w.Colony.Yard, ByDay: []float64{}, Reasons: season.Reasons(w.Why, s), Forage: w.Forage.Day}
	if e := w.Stores(); e.Known {
		j.StoresKg, j.SDKg = &e.Mean, &e.SD
	}
	if !w.Modelled {
		return j
	}
	t := w.Target.Kg.Kg()
	j.TargetKg = &t
	if w.Target.Published > 0 {
		p := w.Target.Published.Kg()
		j.PublishedKg = &p
	}
	if w.Target.Own > 0 {
		o := w.Target.Own.Kg()
		j.OwnKg = &o
	}
	if w.Fan.Known {
		p := w.Fan.ShortAtAll()
		j.RunsShortOn, j.PShort, j.ByDay, j.From = w.Fan.RunsShortOn, &p, w.Fan.Mean, w.Fan.From
	}
	return j
}

type stopCmd struct {
	source
}

// Run tells until which day bees will still take syrup, yard by yard.
func (c *stopCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	stops := st.StopDays(at)
	if r.JSON {
		type stopJSON struct {
			Yard    string             `json:"yard"`
			Day     units.Day          `json:"day"`
			Low     units.Day          `json:"low"`
			High    units.Day          `json:"high"`
			Known   bool               `json:"known"`
			Left    int                `json:"days_left"`
			Reasons []season.ReasonDoc `json:"reasons"`
		}
		out := make([]stopJSON, len(stops))
		for i, y := range stops {
			out[i] = stopJSON{y.Yard.ID, y.Stop.Day, y.Stop.Low, y.Stop.High, y.Known, y.Left(at), season.Reasons(y.Why, s)}
		}
		return r.printJSON(map[string]any{"as_of": at, "yards": out})
	}
	fmt.Fprintf(r.Out, "When to stop, as of %s\n\n", s.Moment(at))
	t := newTable("yard", "stop day", ">days left", "likely", "why")
	for _, y := range stops {
		day, left, likely := "not known", "?", ""
		if y.Known {
			day, left = s.Day(y.Stop.Day), fmt.Sprint(y.Left(at))
			if y.Stop.Low != y.Stop.High {
				likely = s.Date(y.Stop.Low) + " to " + s.Date(y.Stop.High)
			}
		}
		t.row(y.Yard.ID, day, left, likely, tell(s, y.Why, 2))
	}
	t.print(r.Out)
	return nil
}
