package cli

import (
	"cmp"
	"fmt"
	"io/fs"
	"time"

	"larder/internal/cli/example"
	"larder/internal/fault"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

type demoCmd struct {
	listen
	Print  bool   `help:"Print the whole job and stop."`
	Folder string `placeholder:"DIR" help:"Write the example season as a folder, to look at and change."`
	Seed   uint64 `default:"1" help:"Seed of the plan."`
}

// Run shows the whole job on the example season.
func (c *demoCmd) Run(r *run) error {
	j, err := exampleSeason()
	if err != nil {
		return err
	}
	if c.Folder != "" {
		if err := pathNamed("--folder", c.Folder); err != nil {
			return err
		}
		if err := folder.WriteDir(c.Folder, j.Facts(units.Moment{})); err != nil {
			return err
		}
		fmt.Fprintf(r.Out, "The example season is in %s. It is invented; only its weather is real.\n", c.Folder)
		fmt.Fprintf(r.Out, "Try:  larder short --from %s --asof %s\n", c.Folder, example.Day)
		fmt.Fprintf(r.Out, "      larder plan --from %s --asof %s\n", c.Folder, example.Day)
		return nil
	}
	if r.AsOf == "" {
		r.AsOf = example.Day
	}
	if !c.Print && !r.JSON {
		return c.serveExample(r, j)
	}
	st, at, err := stateOf(r, j)
	if err != nil {
		return err
	}
	p, err := st.Plan(at, c.Seed)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	if r.JSON {
		out, err := p.Doc(at, s)
		if err != nil {
			return err
		}
		return r.printJSON(out)
	}
	fmt.Fprintf(r.Out, "An invented season: no such yards, hives or keeper. Only its weather is real (New York, NOAA).\n")
	fmt.Fprintf(r.Out, "It is %s. What is in the hives, what is missing, and how it gets there:\n\n", s.DayYear(at.Day()))
	(&shortCmd{}).print(r.Out, s, p.Short)
	fmt.Fprintf(r.Out, "\nThe plan, with syrup %s (%s)\n", st.Settings.Strength, s.Strength(p.Strength))
	printPlan(r.Out, s, &p, false)
	return nil
}

// exampleSeason reads the embedded season and its weather.
func exampleSeason() (*season.Journal, error) {
	sub, err := fs.Sub(example.Files, "season")
	if err != nil {
		return nil, fault.Wrap(err, "example season")
	}
	facts, err := folder.Read(sub)
	if err != nil {
		return nil, err
	}
	sky, err := example.Weather()
	if err != nil {
		return nil, err
	}
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		return nil, err
	}
	_, err = j.Add(sky...)
	return j, err
}

// serveExample prints the plan in brief and serves the screens on a book of
// their own, in memory: nothing of the keeper's is touched, and it is gone
// afterwards. The clock of the screens stands on the example's day.
func (c *demoCmd) serveExample(r *run, j *season.Journal) error {
	st, at, err := stateOf(r, j)
	if err != nil {
		return err
	}
	book := &season.Memory{}
	if err := book.Append(r.ctx, j.Facts(at)...); err != nil { // not the weather to come
		return err
	}
	p, err := st.Plan(at, c.Seed)
	if err != nil {
		return err
	}
	start := r.Now()
	day := at.Time()
	if at.DayOnly() {
		day = exampleEvening(at)
	}
	now := func() time.Time { return day.Add(r.Now().Sub(start)) }
	o := r.screensOf(book)
	o.Now, o.Example, o.ExampleSeason = now, true, nil
	c.Addr = cmp.Or(c.Addr, "127.0.0.1:8642")
	return c.serve(r, o, nil, func() {
		s := r.style(st.Settings.Style())
		fmt.Fprintf(r.Out, "\nAn invented season; only its weather is real (New York, NOAA). It is %s.\n", s.DayYear(at.Day()))
		printTotals(r.Out, s, &p)
	})
}
