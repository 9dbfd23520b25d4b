package cli

import (
	"errors"
	"os"
	"time"

	"larder/internal/fault"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

// source is where a verb takes its facts from.
type source struct {
	From string `placeholder:"DIR" help:"Take the facts from this season folder instead of the book."`
}

// given tells whether facts are to be had at all.
func (c *source) given(r *run) bool { return c.From != "" || r.hasBook() }

// journal reads the facts: of the folder named, else of the book.
func (c *source) journal(r *run) (*season.Journal, error) {
	if c.From != "" {
		return readFolder(c.From)
	}
	if !r.hasBook() {
		return nil, fault.New(fault.Missing, "", "there is no book yet, and no season folder was named").
			WithHint("--from DIR takes a season folder (`larder demo --folder DIR` writes one to try); `larder import DIR` makes a book of it")
	}
	b, err := r.openBook()
	if err != nil {
		return nil, err
	}
	defer b.Close()
	return journalOf(r.ctx, b)
}

func readFolder(dir string) (*season.Journal, error) {
	var facts []season.Fact
	var err error
	if isXLSX(dir) {
		facts, _, err = readXLSX(dir)
	} else {
		if info, e := os.Stat(dir); e != nil || !info.IsDir() {
			return nil, fault.New(fault.NotFound, dir, "there is no such folder").WithHint("`larder demo --folder DIR` writes one to try")
		}
		facts, err = folder.Read(os.DirFS(dir))
	}
	if err != nil {
		return nil, err
	}
	j := season.NewJournal()
	_, err = j.Add(facts...)
	return j, err
}

// state gives the season as of the moment asked for.
func (c *source) state(r *run) (*season.State, units.Moment, error) {
	j, err := c.journal(r)
	if err != nil {
		return nil, units.Moment{}, err
	}
	return stateOf(r, j)
}

func stateOf(r *run, j *season.Journal) (*season.State, units.Moment, error) {
	zone, err := j.Now().Settings.Location(time.LoadLocation)
	if err != nil {
		return nil, units.Moment{}, err
	}
	at, err := r.asOf(zone)
	if err != nil {
		return nil, at, err
	}
	return j.AsOf(at), at, nil
}

// usage makes err a matter of how the command was called.
func usage(err error, flag string) error {
	var e *fault.Error
	if !errors.As(err, &e) {
		return err
	}
	c := *e
	c.Kind, c.Thing = fault.Usage, flag
	return &c
}
