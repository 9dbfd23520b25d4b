package cli

import (
	"fmt"
	"strings"

	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/winter"
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
	TargetKg    *float64           `json:"target_kg"` // by the model
	UsedKg      *float64           `json:"used_target_kg"`
	UsedFrom    season.AimFrom     `json:"target_from"`
	PublishedKg *float64           `json:"published_target_kg"`
	OwnKg       *float64           `json:"own_target_kg"`
	HeftRank    int                `json:"heft_rank"` // 1 = heft it first
	HeftWorth   *float64           `json:"heft_worth"`
	HeftWhy     []season.ReasonDoc `json:"heft_reasons"`
	RunwayDays  *float64           `json:"runway_days"`
	Level       string             `json:"level"`
	LackKg      float64            `json:"lack_kg"`
	LaterKg     float64            `json:"lack_to_forage_kg"`
	ByTarget    bool               `json:"by_target"`
	Feed        []feedJSON         `json:"emergency_feed"`
	Thin        bool               `json:"thin_feed"`
	Reasons     []season.ReasonDoc `json:"reasons"`
}

// feedJSON is one way of feeding in need, best way first.
type feedJSON struct {
	Form   string  `json:"form"`
	Kg     float64 `json:"kg"`
	L      float64 `json:"l"`
	NowKg  float64 `json:"now_kg"`
	Visits int     `json:"visits"`
	Combs  int     `json:"combs,omitempty"`
	From   string  `json:"from,omitempty"` // combs: the colony that gives them
}

// Run tells which colony runs low, and when.
func (c *winterCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	all := st.WinterWatch(at, c.Seed)
	list := st.WatchList(at, c.Seed)
	rank := map[string]*season.Watching{}
	for i := range list.Rows {
		rank[list.Rows[i].Colony.ID] = &list.Rows[i]
	}
	s := r.style(st.Settings.Style())
	if r.JSON {
		out := make([]winteringJSON, len(all))
		for i := range all {
			out[i] = winteringDoc(&all[i], rank[all[i].Colony.ID], s)
		}
		return r.printJSON(map[string]any{"as_of": at, "colonies": out, "yards": watchYards(list.Yards), "learned": learnedDoc(st.Learned(at), s)})
	}
	fmt.Fprintf(r.Out, "Winter watch, as of %s\n\n", s.Moment(at))
	if list.Starts != 0 {
		para(r.Out, "", "The watch starts after your stop day, about "+s.Date(list.Starts)+". Until then feeding decides: see larder short.")
		fmt.Fprintln(r.Out)
	}
	t := newTable(">heft", "yard", "hive", ">stores now", "runs short", ">chance", "what to do, and why")
	for i := range list.Rows {
		w := &list.Rows[i]
		runs, chance := "not known", "?"
		if d, ok := w.ShortOn(); ok {
			chance, runs = s.Percent(w.Chance()), "not before forage"
			if d != 0 {
				runs = "from " + s.Date(d)
			}
		}
		do := tell(s, w.Saying(), 2)
		if w.Lack > 0 && len(w.Need.Options) > 0 {
			o := w.Need.Options[0]
			do = fmt.Sprintf("give stores for %s: %s %s. ", s.Mass(w.Lack), amountOf(s, o), o.Form) + do
		} else if w.Later > 0 {
			do = fmt.Sprintf("lacks %s to first forage: give sealed frames, fondant or dry sugar before %s. ", s.Mass(w.Later), strings.TrimPrefix(runs, "from ")) + do
		}
		t.row(fmt.Sprint(w.Rank), w.Colony.Yard, w.Colony.ID, kg(s, w.Stores()), runs, chance, do)
	}
	t.print(r.Out)
	fmt.Fprintln(r.Out)
	para(r.Out, "", "Short means less than the reserve of "+s.Mass(units.Mass(reserve(st)))+". Mid-winter use is known to about 20 %, spring use to 40 %. Sealed combs put by in the shed are not in the book: those of your own, free of disease, come before all else.")
	return nil
}

func reserve(st *season.State) float64 {
	set, _ := st.Settings.FigureSet()
	return set.V("winter.reserve_kg")
}

// amountOf writes how much of a feed.
func amountOf(s units.Style, o winter.Option) string {
	switch {
	case o.Litres > 0:
		return s.Volume(o.Litres)
	case o.From != "":
		return fmt.Sprintf("%d (%s) from %s in", o.Count, s.Mass(o.Kg), o.From)
	case o.Visits > 1:
		return fmt.Sprintf("%s (%s now)", s.Mass(o.Kg), s.Mass(o.Now))
	}
	return s.Mass(o.Kg)
}

type watchYardJSON struct {
	Yard      string    `json:"yard"`
	Forage    units.Day `json:"first_forage"`
	Seen      units.Day `json:"forage_seen"`
	Programme string    `json:"programme,omitempty"`
	Alive     int       `json:"alive"`
	Dead      int       `json:"dead"`
	Starved   int       `json:"starved"`
}

func watchYards(all []season.WatchYard) []watchYardJSON {
	out := make([]watchYardJSON, len(all))
	for i, y := range all {
		out[i] = watchYardJSON{y.Yard.ID, y.Forage.Day, y.Seen, y.Programme, y.Tally.Alive, y.Tally.Colonies - y.Tally.Alive, y.Tally.Starved}
	}
	return out
}

func winteringDoc(w *season.Wintering, k *season.Watching, s units.Style) winteringJSON {
	j := winteringJSON{Colony: w.Colony.ID, Yard: w.Colony.Yard, ByDay: []float64{}, Reasons: season.Reasons(w.Why, s), Forage: w.Forage.Day, UsedFrom: w.Aim.From}
	j.StoresKg = meanOf(w.Stores())
	if e := w.Stores(); e.Known {
		j.SDKg = &e.SD
	}
	positive := func(m units.Mass) *float64 {
		if m <= 0 {
			return nil
		}
		kg := m.Kg()
		return &kg
	}
	j.UsedKg, j.TargetKg, j.PublishedKg, j.OwnKg = positive(w.Aim.Kg), positive(w.Aim.Model), positive(w.Aim.Table), positive(w.Aim.Own)
	if w.Fan.Known {
		p := w.Fan.ShortAtAll()
		j.RunsShortOn, j.PShort, j.ByDay, j.From = w.Fan.RunsShortOn, &p, w.Fan.Mean, w.Fan.From
	}
	if k.Plain.Known {
		j.RunsShortOn, j.PShort, j.ByTarget = k.Plain.ShortOn, &k.Plain.Chance, true
	}
	j.HeftRank, j.Level, j.LackKg, j.LaterKg, j.Thin, j.Feed = k.Rank, string(k.Level), k.Lack.Kg(), k.Later.Kg(), k.Thin.Give, []feedJSON{}
	j.HeftWhy = season.Reasons(k.Saying(), s)
	if k.Look.Known && k.Modelled {
		j.HeftWorth = &k.Look.Worth
	}
	if _, ok := k.Lasts(); ok {
		j.RunwayDays = &k.Runway
	}
	for _, o := range k.Need.Options {
		j.Feed = append(j.Feed, feedJSON{o.Form.Key(), o.Kg.Kg(), o.Litres.L(), o.Now.Kg(), o.Visits, o.Count, o.From})
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
	var plan *season.Planned
	if p, err := st.Plan(at, 1); err == nil { // without one the days left stand alone
		plan = &p
	}
	stops := st.Stopping(at, plan)
	if r.JSON {
		return r.printJSON(map[string]any{"as_of": at, "yards": stopDocs(stops, at, s)})
	}
	fmt.Fprintf(r.Out, "When to stop, as of %s\n\n", s.Moment(at))
	t := newTable("yard", "stop day", "likely", ">days left", "good days at 50/80/95 %", ">loads", "is there time")
	for i := range stops {
		y := &stops[i]
		day, left, likely, good := "not known", "?", "", ""
		if y.Known {
			day, left = s.Date(y.Stop.Day), fmt.Sprint(y.Left(at))
			if y.Stop.Low != y.Stop.High {
				likely = s.Date(y.Stop.Low) + " to " + s.Date(y.Stop.High)
			}
			switch {
			case y.Carried:
				likely = "as you had it last; type it anew"
			case y.Usual:
				likely = "usual for this winter"
			case y.Typed:
				likely = "typed"
			}
		}
		for k, x := range y.Sures {
			if k > 0 {
				good += " / "
			}
			good += fmt.Sprint(x.Days)
		}
		t.row(y.Yard.ID, day, likely, left, good, fmt.Sprint(y.Loads), tell(s, []feeding.Reason{y.Verdict()}, 1))
	}
	t.print(r.Out)
	return nil
}

type sureJSON struct {
	Chance float64   `json:"chance"`
	Days   int       `json:"feedable_days"`
	Stop   units.Day `json:"stop_day"`
}

type stopJSON struct {
	Yard    string             `json:"yard"`
	Day     units.Day          `json:"day"`
	Low     units.Day          `json:"low"`
	High    units.Day          `json:"high"`
	Known   bool               `json:"known"`
	Typed   bool               `json:"typed"`
	Left    int                `json:"days_left"`
	Sures   []sureJSON         `json:"feedable"`
	Years   map[string]any     `json:"stop_day_by_year"`
	Loads   int                `json:"loads_left"`
	Days    int                `json:"load_days_left"`
	SyrupL  float64            `json:"syrup_left_l"`
	UnmetL  float64            `json:"unmet_l"`
	Tight   bool               `json:"tight"`
	Verdict string             `json:"verdict"`
	Reasons []season.ReasonDoc `json:"reasons"`
}

func stopDocs(stops []season.Stopping, at units.Moment, s units.Style) []stopJSON {
	out := make([]stopJSON, len(stops))
	for i := range stops {
		y := &stops[i]
		j := stopJSON{Yard: y.Yard.ID, Day: y.Stop.Day, Low: y.Stop.Low, High: y.Stop.High, Known: y.Known, Typed: y.Typed, Left: y.Left(at),
			Sures: []sureJSON{}, Years: map[string]any{}, Loads: y.Loads, Days: y.Days, SyrupL: y.Syrup.L(), UnmetL: y.Unmet.L(), Tight: y.Tight,
			Verdict: tell(s, []feeding.Reason{y.Verdict()}, 1), Reasons: season.Reasons(y.Why, s)}
		for _, x := range y.Sures {
			j.Sures = append(j.Sures, sureJSON{x.Chance, x.Days, x.Stop})
		}
		for _, x := range y.Years {
			j.Years[fmt.Sprint(x.Season)] = map[string]any{"stop_day": x.Stop, "feedable_days": x.Feedable}
		}
		out[i] = j
	}
	return out
}
