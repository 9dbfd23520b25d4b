package cli

import (
	"fmt"

	"larder/internal/fault"
	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/units"
)

type rigLiftCmd struct {
	rigFrom
	Weight string `placeholder:"55lb" help:"What is lifted."`
	Out    string `placeholder:"18in" help:"From between the ankles forwards to the hands."`
	Width  string `placeholder:"16in" help:"Or: width of the load, to work that out."`
	Start  string `placeholder:"8in" help:"Height of the hands at the start."`
	End    string `placeholder:"48in" help:"And at the end."`
	Twist  string `placeholder:"45" help:"Degrees the body is twisted."`
	PerMin string `placeholder:"1" default:"1" help:"Lifts a minute."`
	For    string `placeholder:"1h" default:"1h" help:"How long it goes on."`
	Rest   string `placeholder:"1h" help:"Light work after it (as long as it goes on)."`
	Grip   string `enum:"good,fair,poor" default:"fair" help:"good (handles), fair (cut-outs, fingers under it) or poor."`
	Placed bool   `help:"It is set down with care: the end counts as well."`

	OneHand    bool   `help:"With one hand: refused."`
	Carried    bool   `help:"Carried more than a step or two: refused."`
	PartFilled bool   `help:"An open or part-filled pail: refused."`
	Cramped    bool   `help:"Sitting, kneeling or without room: refused."`
	Slippery   bool   `help:"On poor footing: refused."`
	Air        string `placeholder:"68F" help:"Temperature where it is lifted."`
}

type liftJSON struct {
	LimitKg     float64            `json:"limit_kg"`
	Index       *float64           `json:"index"`
	WeightKg    float64            `json:"weight_kg"`
	AtEnd       bool               `json:"at_end"`
	Multipliers map[string]float64 `json:"multipliers"`
	Cautions    []season.ReasonDoc `json:"cautions"`
}

// Run judges one lift, or the usual ones where none is told.
func (c *rigLiftCmd) Run(r *run) error {
	st, s, err := c.state(r, nil)
	if err != nil {
		return err
	}
	if c.Weight == "" {
		return c.usual(r, st, s)
	}
	p := reading{l: r.locale()}
	l := rig.Lift{Load: get(&p, "--weight", c.Weight, units.ParseMass), Out: get(&p, "--out", c.Out, units.ParseLength), Width: get(&p, "--width", c.Width, units.ParseLength),
		From: get(&p, "--start", c.Start, units.ParseLength), To: get(&p, "--end", c.End, units.ParseLength), Twist: angle(&p, "--twist", c.Twist),
		For: get(&p, "--for", c.For, units.ParseDuration), Rest: get(&p, "--rest", c.Rest, units.ParseDuration), Grip: rig.Grip(c.Grip), Placed: c.Placed,
		PerMin:  float64(angle(&p, "--per-min", c.PerMin)),
		OneHand: c.OneHand, Carried: c.Carried, PartFilled: c.PartFilled, Cramped: c.Cramped, Slippery: c.Slippery}
	if air := told(&p, "--air", c.Air); air.Told {
		l.Air, l.AirKnown = air.Q, true
	}
	if p.err == nil && c.Start == "" {
		p.err = fault.New(fault.Usage, "--start", "say how high the hands are").WithHint("--start 8in --end 48in")
	}
	if p.err != nil {
		return p.err
	}
	if c.End == "" {
		l.To = l.From
	}
	if c.Rest == "" {
		l.Rest = l.For
	}
	x, err := st.LiftCheck(l)
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(liftDoc(&x, s))
	}
	if x.Limit == 0 {
		fmt.Fprintf(r.Out, "%s: not to be lifted so at all\n", s.Mass(l.Load))
	} else {
		fmt.Fprintf(r.Out, "Up to %s may be lifted so; %s is %s times that\n", s.MassTwo(x.Limit), s.Mass(l.Load), s.Two(x.Index))
	}
	rigWords(r, s, nil, x.Cautions)
	return nil
}

func liftDoc(x *season.LiftCheck, s units.Style) liftJSON {
	m := x.Multipliers
	j := liftJSON{LimitKg: x.Limit.Kg(), WeightKg: x.Lift.Load.Kg(), AtEnd: x.AtEnd, Cautions: season.Reasons(x.Cautions, s),
		Multipliers: map[string]float64{"h": m.H, "v": m.V, "d": m.D, "a": m.A, "f": m.F, "c": m.C}}
	if x.Limit > 0 {
		j.Index = &x.Index
	}
	return j
}

// liftWords name the usual lifts.
var liftWords = map[string]string{"sack-floor": "sugar sack, floor to tank rim", "sack-pallet": "sugar sack, pallet to waist", "pail": "full pail, lid on, off the tailgate",
	"deep-twist": "full deep box, twisting", "deep-top": "full deep box, top of the stack", "medium": "full medium box, twisting", "gun": "nozzle of the hose"}

func (c *rigLiftCmd) usual(r *run, st *season.State, s units.Style) error {
	lifts, err := st.UsualLifts()
	if err != nil {
		return err
	}
	if r.JSON {
		type one struct {
			What string `json:"what"`
			liftJSON
		}
		out := struct {
			Lifts []one `json:"lifts"`
		}{[]one{}}
		for i := range lifts {
			out.Lifts = append(out.Lifts, one{lifts[i].Code, liftDoc(&lifts[i].Check, s)})
		}
		return r.printJSON(out)
	}
	t := newTable("lift, once a minute", ">weighs", ">limit", ">times")
	for _, l := range lifts {
		t.row(liftWords[l.Code], s.MassTwo(l.Check.Lift.Load), s.MassTwo(l.Check.Limit), s.Two(l.Check.Index))
	}
	t.print(r.Out)
	return nil
}

type rigPailsCmd struct {
	rigFrom
	Hives  int    `help:"Hives fed on a round (those of the season)."`
	Rounds int    `help:"Rounds of the season (3)."`
	Fill   string `placeholder:"2gal" help:"What each gets."`
	Flow   string `placeholder:"2.5gal/min" help:"Flow at the nozzle, by bucket and watch."`
	Pail   string `placeholder:"5gal" help:"Size of the pails."`
	Way    string `placeholder:"30ft" help:"From the truck to a hive."`
	Price  string `placeholder:"'1500 USD'" help:"What tank, pump and hose cost more."`
	Wage   string `placeholder:"'20 USD'" help:"What an hour is worth."`
}

type (
	effortJSON struct {
		PerHiveMin float64  `json:"per_hive_min"`
		SeasonMin  float64  `json:"season_min"`
		LiftedKg   float64  `json:"lifted_kg"`
		CarriedKgM float64  `json:"carried_kg_m"`
		Index      *float64 `json:"index"`
	}
	pailsJSON struct {
		Hives    int                `json:"hives"`
		Rounds   int                `json:"rounds"`
		FillL    float64            `json:"fill_l"`
		Pump     effortJSON         `json:"pump"`
		Pails    effortJSON         `json:"pails"`
		SavedMin float64            `json:"saved_min"`
		Visits   *float64           `json:"pays_from_visits"`
		Seasons  *float64           `json:"pays_in_seasons"`
		Reasons  []season.ReasonDoc `json:"reasons"`
		Cautions []season.ReasonDoc `json:"cautions"`
	}
)

// Run compares pails with a pump.
func (c *rigPailsCmd) Run(r *run) error {
	st, s, err := c.state(r, []flag{{"flow", "rig.pump", c.Flow}, {"pail", "pail.size", c.Pail}, {"way", "pail.way", c.Way}, {"price", "pail.pump_price", c.Price}, {"wage", "price.per_hour", c.Wage}})
	if err != nil {
		return err
	}
	p := reading{l: r.locale()}
	ask := season.WayAsk{Hives: c.Hives, Rounds: c.Rounds, PerHive: get(&p, "--fill", c.Fill, units.ParseVolume)}
	if p.err != nil {
		return p.err
	}
	x, err := st.PailsOrPump(ask)
	if err != nil {
		return err
	}
	if r.JSON {
		j := pailsJSON{Hives: x.Ask.Hives, Rounds: x.Ask.Rounds, FillL: x.Ask.PerHive.L(), Pump: effortDoc(x.Pump), Pails: effortDoc(x.Pail), SavedMin: x.Saved.Min(),
			Reasons: season.Reasons(x.Reasons, s), Cautions: season.Reasons(x.Cautions, s)}
		if x.Visits > 0 {
			j.Visits, j.Seasons = &x.Visits, &x.Seasons
		}
		return r.printJSON(j)
	}
	fmt.Fprintf(r.Out, "%s, %s, %s each\n\n", count(x.Ask.Hives, "hive", "hives"), count(x.Ask.Rounds, "round", "rounds"), s.Volume(x.Ask.PerHive))
	t := newTable("", ">pump", ">pails")
	t.row("a hive", s.SpanPM(x.Pump.PerHive, 0), s.SpanPM(x.Pail.PerHive, 0))
	t.row("the season", s.SpanPM(x.Pump.Hours, 0), s.SpanPM(x.Pail.Hours, 0))
	t.row("lifted", s.MassTwo(x.Pump.Lifted), s.MassTwo(x.Pail.Lifted))
	t.row("worst lift, times the limit", s.Two(x.Pump.Index), s.Two(x.Pail.Index))
	t.print(r.Out)
	if x.Visits > 0 {
		fmt.Fprintf(r.Out, "\nIt has paid in wages after %s hive visits, %s seasons like this one.\n", s.Two(x.Visits), s.Two(x.Seasons))
	}
	rigWords(r, s, x.Reasons, x.Cautions)
	return nil
}

func effortDoc(e rig.Effort) effortJSON {
	j := effortJSON{PerHiveMin: e.PerHive.Min(), SeasonMin: e.Hours.Min(), LiftedKg: e.Lifted.Kg(), CarriedKgM: e.Carried}
	if e.IndexErr == nil {
		j.Index = &e.Index
	}
	return j
}
