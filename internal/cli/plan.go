package cli

import (
	"fmt"
	"io"

	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

type planCmd struct {
	source
	Seed       uint64 `default:"1" help:"Seed of the search: same facts, moment and seed give the same plan."`
	Iterations int    `placeholder:"N" help:"Stop the search after just so many steps, whatever the size. With the seed and the steps a plan says it took, that plan is had again."`

	Why bool `help:"Also the reasons of every line."`

	Frames bool `help:"Also plan as if every offer of sealed frames were agreed, and say what that saves."`

	WhatWouldChange bool `help:"Also what one thing more would change: an hour a day, a day, a larger tank, a second truck … It takes some times as long."`
}

// Run plans the feeding.
func (c *planCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	p, err := st.PlanSteps(at, c.Seed, c.Iterations)
	if err != nil {
		return err
	}
	past, err := st.Replay(at, &p, nil)
	if err != nil {
		return err
	}
	var all *season.Planned
	if c.Frames {
		if all, err = st.PlanAllFrames(at, c.Seed, &p); err != nil {
			return err
		}
	}
	var changes []feeding.Change
	if c.WhatWouldChange {
		if changes, err = p.WhatWouldChange(nil); err != nil {
			return err
		}
	}
	s := r.style(st.Settings.Style())
	if r.JSON {
		j, err := p.Doc(at, s)
		if err != nil {
			return err
		}
		j.Replay = past.Doc(s)
		j.Days = p.LimitDocs(s)
		j.FramesAll = p.GainDoc(all)
		if c.WhatWouldChange {
			j.Changes = season.ChangeDocs(changes, s)
		}
		return r.printJSON(j)
	}
	fmt.Fprintf(r.Out, "Feeding plan as of %s, syrup %s (%s)\n", s.Moment(at), st.Settings.Strength, s.Strength(p.Strength))
	printPlan(r.Out, s, &p, c.Why)
	fmt.Fprintf(r.Out, "\nFound with seed %d after %s of the search.\n", p.Seed, count(p.Iterations, "step", "steps"))
	if all != nil {
		printFrameGain(r.Out, s, &p, all)
	}
	if c.WhatWouldChange {
		printChanges(r.Out, s, changes)
	}
	printReplay(r.Out, s, &past)
	return nil
}

// printChanges writes what one thing more would bring.
func printChanges(w io.Writer, s units.Style, l []feeding.Change) {
	fmt.Fprintf(w, "\nWhat would change it\n")
	if len(l) == 0 {
		fmt.Fprintf(w, "  Nothing: there is nothing to haul and nobody is short.\n")
		return
	}
	some, none := season.Parted(l)
	t := newTable("with", ">less short", ">work saved", ">road saved", ">loads saved", "")
	for _, c := range some {
		helps := "no help"
		if c.Helps {
			helps = "helps"
		}
		t.row(s.Say(c.Why.Say, c.Why.Amounts), s.Volume(c.Less), s.Duration(c.Saves), s.Road(c.Road), fmt.Sprint(c.Loads), helps)
	}
	if len(some) > 0 {
		t.print(w)
	}
	for i, c := range none {
		if i == 0 {
			fmt.Fprintf(w, "It comes to the same with:\n")
		}
		para(w, "  · ", s.Say(c.Why.Say, c.Why.Amounts))
	}
	para(w, "  ", "Each by itself, against this plan; below zero is more than now. To feed more takes more work.")
}

// printReplay writes what past years would have made of the plan.
func printReplay(w io.Writer, s units.Style, r *season.Replayed) {
	fmt.Fprintf(w, "\nPast years\n")
	for _, why := range r.Why {
		para(w, "  · ", s.Say(why.Say, why.Amounts))
	}
	for _, y := range r.Yards {
		para(w, "  ", y.ID+": "+tell(s, y.Why, len(y.Why)))
	}
}

// printPlan writes a plan for people: what it comes to, then day by day, then
// who is not served.
func printPlan(w io.Writer, s units.Style, p *season.Planned, why bool) {
	printTotals(w, s, p)
	printFrames(w, s, p)
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
	printSources(w, s, p)
	printLimits(w, s, p)
	for _, l := range p.Loads {
		fmt.Fprintf(w, "\nLoad %d, %s: %s, %s, %s\n", l.N, s.DayYear(l.Day), s.VolumeBig(l.Syrup), s.Road(l.Dist), s.Duration(l.Time))
		if why {
			whys(w, s, l.Why)
		}
		card, _ := p.LoadCard(l.N)
		if card.Elsewhere() {
			fmt.Fprintf(w, "  Fill %s at %s before %s\n", s.VolumeBig(l.Syrup), l.From, card.FirstYard())
		}
		for _, st := range l.Stops {
			fmt.Fprintf(w, "  %s (%d)\n", name[st.Yard], len(st.Fills))
			printFills(w, s, st.Fills, why)
		}
		if card.Next > 0 {
			fmt.Fprintf(w, "  Then to %s, where load %d is filled\n", l.To, card.Next)
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

// printLimits writes what limits each working day, and by how much.
func printLimits(w io.Writer, s units.Style, p *season.Planned) {
	days := p.WorkDays()
	if len(days) > 0 {
		fmt.Fprintf(w, "\nWhat limits each day\n")
	}
	for i := range days {
		l := &days[i].Limits
		para(w, "  ", s.Day(days[i].Day)+": "+tell(s, l.Why, len(l.Why)))
	}
}

// printSources writes what stands elsewhere, what the plan fetches of it and what
// is left then.
func printSources(w io.Writer, s units.Style, p *season.Planned) {
	if len(p.Sources) == 0 {
		return
	}
	fmt.Fprintf(w, "\nSyrup elsewhere\n")
	t := newTable("place", ">there now", ">this plan fetches", ">left then", "")
	for i := range p.Sources {
		x := &p.Sources[i]
		note := ""
		switch {
		case x.Off != nil:
			note = "not counted on"
		case x.From > 0:
			note = "from " + s.Day(x.From)
		}
		t.row(x.Place, s.VolumeBig(x.Left), s.VolumeBig(x.Planned), s.VolumeBig(x.After()), note)
	}
	t.print(w)
}

// printFrames writes what could be moved, or is agreed to be, before syrup.
func printFrames(w io.Writer, s units.Style, p *season.Planned) {
	if len(p.Frames) == 0 {
		return
	}
	fmt.Fprintf(w, "\nBefore syrup: sealed frames from heavy to short colonies of the same yard\n")
	t := newTable("yard", "from", "to", ">frames", "kind", ">about", ">syrup less", "")
	for _, o := range p.Frames {
		state := "offered"
		switch {
		case len(o.Off) > 0:
			state = "agreed, not counted: " + s.Say(o.Off[0].Say, o.Off[0].Amounts)
		case o.Agreed:
			state = "agreed, counted"
		}
		t.row(o.Yard, o.From, o.To, fmt.Sprint(o.Frames), o.Frame, s.Mass(units.Mass(o.Mass.Mean)), s.Volume(o.Syrup), state)
	}
	t.print(w)
	if syrup, mass, n := p.FramesSaved(true); n > 0 {
		fmt.Fprintf(w, "Agreed: %s of stores, %s of syrup less to feed; the plan below counts them.\n", s.Mass(mass), s.Volume(syrup))
	}
	if syrup, mass, n := p.FramesSaved(false); n > 0 {
		fmt.Fprintf(w, "Offered: %s of stores, %s of syrup less. Agree to each on the Plan page, or in agreed.csv.\n", s.Mass(mass), s.Volume(syrup))
	}
	para(w, "  ! ", "Frames carry disease: foulbrood spreads this way above all. Move them only between colonies you have looked into and found sound, and as your local rules and inspector allow.")
}

// printFrameGain says what agreeing to every offer would save.
func printFrameGain(w io.Writer, s units.Style, p, q *season.Planned) {
	d := p.Against(q)
	fmt.Fprintf(w, "\nWith all offers agreed: %s of syrup less, %d loads fewer, %s less on the road, %s less work.\n", s.VolumeBig(-d.Syrup), -d.Loads, s.Road(-d.Dist), s.Duration(-d.Time))
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
