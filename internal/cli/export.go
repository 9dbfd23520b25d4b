package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"larder/internal/fault"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

type exportCmd struct {
	source
	Dir string `arg:"" help:"Folder to write (empty, new, or a season folder), or an .xlsx file that does not exist yet."`
}

// Run writes the season as a folder.
func (c *exportCmd) Run(r *run) error {
	if err := pathNamed("export", c.Dir); err != nil {
		return err
	}
	j, err := c.journal(r)
	if err != nil {
		return err
	}
	facts := j.Facts(units.Moment{})
	if isXLSX(c.Dir) {
		err = writeXLSX(c.Dir, facts)
	} else {
		err = folder.WriteDir(c.Dir, facts)
	}
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(map[string]any{"dir": c.Dir, "facts": len(facts)})
	}
	fmt.Fprintf(r.Out, "%d facts written to %s\n", len(facts), c.Dir)
	return nil
}

func isXLSX(name string) bool { return strings.EqualFold(filepath.Ext(name), ".xlsx") }

// writeXLSX writes one workbook. A file that is there already is left alone.
func writeXLSX(name string, facts []season.Fact) (err error) {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fault.New(fault.Conflict, name, "there is a file of this name").WithHint("name another file")
	}
	if err != nil {
		return &fault.Error{Kind: fault.NotFound, Thing: name, Say: "this file cannot be written", Err: err}
	}
	defer func() {
		if e := f.Close(); err == nil && e != nil {
			err = &fault.Error{Kind: fault.NoRoom, Thing: name, Say: "this file could not be finished", Err: e}
		}
		if err != nil {
			_ = os.Remove(name) // half a workbook helps nobody
		}
	}()
	return folder.WriteXLSX(f, facts)
}

// readXLSX reads one workbook.
func readXLSX(name string) ([]season.Fact, folder.Report, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, folder.Report{}, &fault.Error{Kind: fault.NotFound, Thing: name, Say: "this file cannot be read", Err: err}
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, folder.Report{}, fault.Wrap(err, "stat "+name)
	}
	return folder.ReadXLSX(f, info.Size())
}
