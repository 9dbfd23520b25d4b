package cli

import (
	"context"
	"fmt"
	"os"

	"larder/internal/fault"
	"larder/internal/folder"
	"larder/internal/season"
)

type checkCmd struct {
	source
}

// verifier is a book that can look itself through.
type verifier interface {
	Verify(context.Context) (season.Report, error)
}

// Run looks through the book, or reads a season folder, and reports.
func (c *checkCmd) Run(r *run) error {
	if c.From != "" {
		return c.folder(r)
	}
	if !r.hasBook() {
		return fault.New(fault.Missing, "", "there is no book to check").WithHint("larder check --from DIR looks through a season folder")
	}
	b, err := r.openBook()
	if err != nil {
		return err
	}
	defer b.Close()
	v, ok := b.(verifier)
	if !ok {
		return &fault.Error{Kind: fault.Internal, Op: "check", Say: "this book cannot be looked through"}
	}
	rep, err := v.Verify(r.ctx)
	if err != nil {
		return err
	}
	return r.printReport(rep)
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
		if w.Hint != "" {
			para(r.Out, "    → ", w.Hint)
		}
	}
	fmt.Fprintf(r.Out, "%d facts, all readable.\n", len(facts))
	return nil
}
