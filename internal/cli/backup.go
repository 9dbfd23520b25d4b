package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/units"
)

type backupCmd struct {
	File string `arg:"" help:"File to write; it must not exist."`
}

// Run writes a proved copy of the book.
func (c *backupCmd) Run(r *run) error {
	if err := fileNamed("backup", c.File); err != nil {
		return err
	}
	b, err := r.openFile()
	switch {
	case err == nil:
		defer b.Close()
		err = b.Backup(r.ctx, c.File)
	case fault.Is(err, fault.Busy): // another larder has it open, which is no hindrance to a copy
		var path string
		if path, err = r.bookPath(); err == nil {
			err = sqlite.BackupInUse(r.ctx, path, c.File)
		}
	}
	if err != nil {
		return err
	}
	r.note(access.BackedUp, filepath.Base(c.File))
	if r.JSON {
		return r.printJSON(map[string]any{"file": c.File, "proved": true})
	}
	fmt.Fprintf(r.Out, "Backed up to %s, and proved: it was opened, read and compared.\n", c.File)
	return nil
}

type restoreCmd struct {
	File    string `arg:"" help:"Backup to restore from."`
	Replace bool   `help:"Replace the book there is; it is kept aside under a dated name."`
}

// Run makes the book anew from a backup.
func (c *restoreCmd) Run(r *run) error {
	path, err := r.bookPath()
	if err != nil {
		return err
	}
	if isURL(path) {
		return c.intoServer(r)
	}
	done, err := sqlite.Restore(r.ctx, c.File, path, sqlite.RestoreOptions{Replace: c.Replace, At: r.Now()})
	if err != nil {
		return err
	}
	r.note(access.Restored, filepath.Base(c.File))
	if r.JSON {
		return r.printJSON(map[string]any{"book": path, "facts": done.Report.Facts, "digest": done.Report.Digest, "kept_aside": done.Aside})
	}
	fmt.Fprintf(r.Out, "%d facts restored to %s.\n", done.Report.Facts, path)
	if done.Aside != "" {
		fmt.Fprintf(r.Out, "The former book is kept as %s.\n", done.Aside)
	}
	return nil
}

// intoServer fills an empty book on a PostgreSQL server from a backup. One that
// has facts is never replaced: a server's book is put aside by its keeper.
func (c *restoreCmd) intoServer(r *run) error {
	to, err := r.openBook()
	if err != nil {
		return err
	}
	defer to.Close()
	done, err := fillFrom(r.ctx, to, c.File)
	if err != nil {
		return err
	}
	r.note(access.Restored, filepath.Base(c.File))
	if r.JSON {
		return r.printJSON(map[string]any{"facts": done.Facts, "digest": done.Digest})
	}
	fmt.Fprintf(r.Out, "%d facts restored to the book on the server.\n", done.Facts)
	return nil
}

// fillFrom fills an empty book from a backup and proves that it is the same.
func fillFrom(ctx context.Context, to season.Book, file string) (season.Report, error) {
	var none season.Report
	dir, err := os.MkdirTemp("", "larder-restore-")
	if err != nil {
		return none, &fault.Error{Kind: fault.NoRoom, Say: "there is no place for the copy that is read back", Err: err}
	}
	defer os.RemoveAll(dir)
	// The file is taken for hostile: it goes through the same door as ever.
	tmp := filepath.Join(dir, "book.larder")
	done, err := sqlite.Restore(ctx, file, tmp, sqlite.RestoreOptions{})
	if err != nil {
		return none, err
	}
	from, err := sqlite.Open(tmp, sqlite.Options{})
	if err != nil {
		return none, err
	}
	defer from.Close()
	facts, err := from.Facts(ctx, units.Moment{})
	if err != nil {
		return none, err
	}
	there, err := to.Facts(ctx, units.Moment{})
	if err != nil {
		return none, err
	}
	if len(there) > 0 {
		return none, fault.Newf(fault.Conflict, "", "the book on the server has %d facts already", len(there)).
			WithHint("restore into an empty one: name another database with --book, or another keeper")
	}
	if err := to.Append(ctx, facts...); err != nil {
		return none, err
	}
	now, err := to.Facts(ctx, units.Moment{})
	if err != nil {
		return none, err
	}
	if digest := season.Digest(now); digest != done.Report.Digest {
		return none, fault.New(fault.Damaged, "", "the book on the server is not the same as the backup")
	}
	return done.Report, nil
}

type reportJSON struct {
	Facts  int            `json:"facts"`
	Kinds  map[string]int `json:"kinds"`
	First  units.Moment   `json:"first_seen"`
	Last   units.Moment   `json:"last_seen"`
	Digest string         `json:"digest"`
	Done   []string       `json:"verified"`
}

func (r *run) printReport(rep season.Report) error {
	if r.JSON {
		j := reportJSON{Facts: rep.Facts, Kinds: map[string]int{}, First: rep.First, Last: rep.Last, Digest: rep.Digest, Done: rep.Done}
		for _, k := range rep.Kinds {
			j.Kinds[k.Kind] = k.N
		}
		return r.printJSON(j)
	}
	kinds := make([]string, 0, len(rep.Kinds))
	for _, k := range rep.Kinds {
		kinds = append(kinds, fmt.Sprintf("%s %d", k.Kind, k.N))
	}
	fmt.Fprintf(r.Out, "The book is sound: %d facts.\n", rep.Facts)
	para(r.Out, "  ", strings.Join(kinds, ", "))
	for _, d := range rep.Done {
		para(r.Out, "  · ", d)
	}
	return nil
}
