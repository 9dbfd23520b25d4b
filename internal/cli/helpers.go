package cli

import (
	"fmt"
	"time"

	"larder/internal/access"
)

type helpersCmds struct {
	List     helpersCmd        `cmd:"" default:"1" help:"The helpers who may log in."`
	Add      helperAddCmd      `cmd:"" help:"Let a helper in, by name and password."`
	Password helperPasswordCmd `cmd:"" help:"Set a helper's password anew; his logins end."`
	Remove   helperRemoveCmd   `cmd:"" help:"Take a helper off: his logins end, his phones are not let in any more."`
}

type helpersCmd struct{}

// helperJSON is one helper of `larder helpers`.
type helperJSON struct {
	Name  string `json:"name"`
	Added string `json:"added"`
}

// Run lists the helpers.
func (c *helpersCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	list := d.Helpers()
	if r.JSON {
		out := []helperJSON{}
		for _, h := range list {
			out = append(out, helperJSON{h.Name, h.Added.UTC().Format(time.RFC3339)})
		}
		return r.printJSON(struct {
			Helpers []helperJSON `json:"helpers"`
		}{out})
	}
	if len(list) == 0 {
		fmt.Fprintln(r.Out, "There is no helper. `larder helpers add NAME` lets one in.")
		return nil
	}
	t := newTable("helper", "added")
	for _, h := range list {
		t.row(h.Name, h.Added.Local().Format("2006-01-02"))
	}
	t.print(r.Out)
	return nil
}

type helperAddCmd struct {
	Name string `arg:"" help:"His name: it stands beside what he writes down."`
}

// Run lets a helper in; the password is asked, or the first line of standard input.
func (c *helperAddCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	password, err := r.readPassword("Password of the helper: ")
	if err != nil {
		return err
	}
	h, err := d.AddHelper(c.Name, password, access.Console())
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(struct {
			Added string `json:"added"`
		}{h.Name})
	}
	fmt.Fprintf(r.Out, "%s is let in as a helper: logs rounds, readings and looks, sees no prices, changes nothing else.\n", h.Name)
	return nil
}

type helperPasswordCmd struct {
	Name string `arg:"" help:"The helper, as larder helpers lists him."`
}

// Run sets a helper's password anew.
func (c *helperPasswordCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	password, err := r.readPassword("New password of the helper: ")
	if err != nil {
		return err
	}
	h, err := d.SetHelperPassword(c.Name, password, access.Console())
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(struct {
			Set string `json:"set"`
		}{h.Name})
	}
	fmt.Fprintf(r.Out, "The password of %s is set. His logins have ended; his phones stay paired.\n", h.Name)
	return nil
}

type helperRemoveCmd struct {
	Name string `arg:"" help:"The helper, as larder helpers lists him."`
}

// Run takes a helper off; a running larder heeds it at once.
func (c *helperRemoveCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	h, err := d.RemoveHelper(c.Name, access.Console())
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(struct {
			Removed string `json:"removed"`
		}{h.Name})
	}
	fmt.Fprintf(r.Out, "%s is taken off: logins and phones are shut out. What was written down stays.\n", h.Name)
	return nil
}
