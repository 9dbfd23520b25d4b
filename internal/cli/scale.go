package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/weather"
)

type scaleCmd struct {
	File   string `arg:"" help:"CSV of an automatic scale: a local time and a weight in each row."`
	Colony string `required:"" placeholder:"NAME" help:"The colony that stands on the scale."`
	In     string `enum:"kg,lb,said" default:"said" help:"Unit of the weights, where the heading does not say it: kg or lb."`
	Look   bool   `help:"Only show what the log comes to; keep nothing."`
}

// Run makes readings of a scale's log, one a day. What the book has is passed over.
func (c *scaleCmd) Run(r *run) error {
	log, err := readScale(c.File, c.In)
	if err != nil {
		return err
	}
	w, err := r.weatherBook()
	if err != nil {
		return err
	}
	defer w.close()
	zone, err := w.j.Now().Settings.Location(time.LoadLocation)
	if err != nil {
		return err
	}
	got, err := w.j.TakeScale(season.ScaleIn{Colony: c.Colony, Log: log, Zone: zone, At: w.at})
	if err != nil {
		return err
	}
	if !c.Look {
		if err := w.book.Append(r.ctx, got.Facts...); err != nil {
			return err
		}
	}
	if r.JSON {
		return r.printJSON(map[string]any{"as_of": w.at, "file": filepath.Base(c.File), "colony": got.Colony, "column": log.Column, "unit": log.Unit, "unit_told": log.Told,
			"rows": got.Rows, "readings": got.Nights, "new": got.New, "changed": got.Changed, "same": got.Same, "first": got.First, "last": got.Last,
			"kept": !c.Look, "notes": season.Reasons(got.Notes, w.s)})
	}
	told := ""
	if log.Told {
		told = ", as you told"
	}
	fmt.Fprintf(r.Out, "%s: %d weights of colony %s, column %q in %s%s\n", filepath.Base(c.File), got.Rows, got.Colony, log.Column, log.Unit, told)
	kept := ""
	if c.Look {
		kept = " Nothing was kept."
	}
	fmt.Fprintf(r.Out, "%d readings from %s to %s: %d new to the book, %d corrected, %d there already.%s\n", got.Nights, got.First, got.Last, got.New, got.Changed, got.Same, kept)
	for _, n := range got.Notes {
		para(r.Out, "  ! ", w.s.Say(n.Say, n.Amounts))
	}
	return nil
}

func readScale(name, in string) (weather.ScaleLog, error) {
	info, err := os.Stat(name)
	if err != nil || info.IsDir() {
		return weather.ScaleLog{}, fault.New(fault.NotFound, name, "there is no such file")
	}
	if info.Size() > weather.MaxBytes {
		return weather.ScaleLog{}, fault.Newf(fault.OutOfRange, name, "%d MB is too large for a scale's log", info.Size()>>20).WithHint("split it by years")
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return weather.ScaleLog{}, &fault.Error{Kind: fault.NotFound, Thing: name, Say: "this file cannot be read", Err: err}
	}
	o := weather.ScaleOptions{File: filepath.Base(name)}
	if in != "said" {
		o.Unit = in
	}
	log, err := weather.ReadScale(b, o)
	if e, ok := err.(*fault.Error); ok && e.Kind == fault.Missing && o.Unit == "" && log.Column != "" && log.Unit == "" {
		err = e.WithHint("--in kg or --in lb; or call the column weight_kg or weight_lb")
	}
	return log, err
}
