package cli

import (
	"fmt"
	"path/filepath"

	"larder/internal/access"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

type importCmd struct {
	Dir string `arg:"" help:"Season folder, or .xlsx file, to read."`
}

// Run takes a season folder into the book. Facts the book has already are
// passed over, so importing twice is harmless.
func (c *importCmd) Run(r *run) error {
	read := folder.ReadDir
	if isXLSX(c.Dir) {
		read = readXLSX
	}
	facts, rep, err := read(c.Dir)
	if err != nil {
		return err
	}
	b, err := r.openBook()
	if err != nil {
		return err
	}
	defer b.Close()
	before, err := b.Facts(r.ctx, units.Moment{})
	if err != nil {
		return err
	}
	there := make(map[season.ID]bool, len(before))
	for _, f := range before {
		there[f.ID] = true
	}
	fresh := 0
	for _, f := range facts {
		if !there[f.ID] {
			fresh++
		}
	}
	if err := b.Append(r.ctx, facts...); err != nil {
		return err
	}
	if fresh > 0 {
		r.note(access.Imported, filepath.Base(c.Dir))
	}
	if r.JSON {
		return r.printJSON(map[string]any{"read": len(facts), "new": fresh, "warnings": rep.Warnings})
	}
	for _, w := range rep.Warnings {
		para(r.Out, "  ! ", w.String())
		if w.Hint != "" {
			para(r.Out, "    → ", w.Hint)
		}
	}
	fmt.Fprintf(r.Out, "%d facts read, %d of them new to the book.\n", len(facts), fresh)
	return nil
}
