package cli

import (
	"fmt"

	"larder/internal/folder"
	"larder/internal/units"
)

type exportCmd struct {
	source
	Dir string `arg:"" help:"Folder to write; it must be empty, new, or a season folder."`
}

// Run writes the season as a folder.
func (c *exportCmd) Run(r *run) error {
	j, err := c.journal(r)
	if err != nil {
		return err
	}
	facts := j.Facts(units.Moment{})
	if err := folder.WriteDir(c.Dir, facts); err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(map[string]any{"dir": c.Dir, "facts": len(facts)})
	}
	fmt.Fprintf(r.Out, "%d facts written to %s\n", len(facts), c.Dir)
	return nil
}
