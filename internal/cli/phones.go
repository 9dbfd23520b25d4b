package cli

import (
	"fmt"
	"time"

	"larder/internal/access"
)

type phonesCmds struct {
	List   phonesCmd `cmd:"" default:"1" help:"The phones, and when each was last seen."`
	Revoke revokeCmd `cmd:"" help:"Take a phone off the list: it is not let in again."`
}

type phonesCmd struct{}

// phoneJSON is one phone of `larder phones`.
type phoneJSON struct {
	Name    string  `json:"name"`
	State   string  `json:"state"` // let in, to be paired again, taken off
	Paired  string  `json:"paired"`
	Seen    string  `json:"seen"`
	Revoked *string `json:"revoked"`
}

// fates are the words for what became of a phone.
var fates = map[access.Fate]string{access.Paired: "let in", access.Expired: "to be paired again", access.Revoked: "taken off"}

// Run lists the phones.
func (c *phonesCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	list := d.Phones()
	if r.JSON {
		out := []phoneJSON{}
		for _, p := range list {
			x := phoneJSON{Name: p.Name, State: fates[p.Fate], Paired: p.Paired.UTC().Format(time.RFC3339), Seen: p.Seen.UTC().Format(time.RFC3339)}
			if !p.Revoked.IsZero() {
				when := p.Revoked.UTC().Format(time.RFC3339)
				x.Revoked = &when
			}
			out = append(out, x)
		}
		return r.printJSON(struct {
			Phones []phoneJSON `json:"phones"`
		}{out})
	}
	if len(list) == 0 {
		fmt.Fprintln(r.Out, "No phone is paired. With `larder serve --lan` running, see House, Phones.")
		return nil
	}
	t := newTable("phone", "state", "last seen", "paired")
	for _, p := range list {
		t.row(p.Name, fates[p.Fate], p.Seen.Local().Format("2006-01-02 15:04"), p.Paired.Local().Format("2006-01-02"))
	}
	t.print(r.Out)
	return nil
}

type revokeCmd struct {
	Name string `arg:"" help:"Its name, as larder phones lists it."`
}

// Run takes a phone off the list; a running larder heeds it at once.
func (c *revokeCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	p, err := d.Revoke(c.Name, access.Console())
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(struct {
			Revoked string `json:"revoked"`
		}{p.Name})
	}
	fmt.Fprintf(r.Out, "%s is taken off: it is not let in any more. What it has not sent stays on it.\n", p.Name)
	return nil
}
