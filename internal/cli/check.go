package cli

import (
	"fmt"
	"os"

	"larder/internal/fault"
	"larder/internal/folder"
	"larder/internal/season"
)

type checkCmd struct {
	source
}

// Run reads a season folder and reports.
func (c *checkCmd) Run(r *run) error {
	if c.From == "" {
		return fault.New(fault.Usage, "", "say which folder").WithHint("larder check --from DIR")
	}
	return c.folder(r)
}

func (c *checkCmd) folder(r *run) error {
	if info, err := os.Stat(c.From); err != nil || !info.IsDir() {
		return fault.New(fault.NotFound, c.From, "there is no such folder")
	}
	facts, rep, err := folder.ReadReport(os.DirFS(c.From))
	if err != nil {
		return err
	}
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(rep)
	}
	for _, t := range rep.Tables {
		fmt.Fprintf(r.Out, "  %-18s %6d rows\n", t.File, t.Rows)
	}
	for _, w := range rep.Warnings {
		para(r.Out, "  ! ", w.String())
	}
	fmt.Fprintf(r.Out, "%d facts, all readable.\n", len(facts))
	return nil
}
