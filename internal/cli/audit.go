package cli

import (
	"fmt"
	"time"

	"larder/internal/access"
)

type auditCmd struct {
	Most int `default:"1000" placeholder:"N" help:"At most so many lines, the newest (1000)."`
}

// auditJSON is one line of the trail. What is not known is null.
type auditJSON struct {
	At      string      `json:"at"`
	Role    access.Role `json:"role"`
	Name    *string     `json:"name"`
	What    access.What `json:"what"`
	About   *string     `json:"about"`
	From    *string     `json:"from"`
	Session *string     `json:"session"`
}

// Run prints the trail, newest first.
func (c *auditCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	list, err := d.Trail(max(c.Most, 1))
	if err != nil {
		return err
	}
	if r.JSON {
		out := []auditJSON{}
		for _, e := range list {
			out = append(out, auditJSON{e.At.UTC().Format(time.RFC3339), e.Role, textOr(e.Name), e.What, textOr(e.About), textOr(e.From), textOr(e.Session)})
		}
		return r.printJSON(struct {
			Trail []auditJSON `json:"trail"`
		}{out})
	}
	if len(list) == 0 {
		fmt.Fprintln(r.Out, "Nothing yet.")
		return nil
	}
	t := newTable("when", "who", "what", "about", "from")
	for _, e := range list {
		who := e.Name
		if who == "" {
			who = map[access.Role]string{access.RoleConsole: "this computer", access.RoleNobody: "not known"}[e.Role]
		}
		if who == "" {
			who = string(e.Role)
		}
		t.row(e.At.Local().Format("2006-01-02 15:04"), who, string(e.What), e.About, e.From)
	}
	t.print(r.Out)
	return nil
}

// textOr is a text, nil when there is none.
func textOr(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// note writes into the trail of the book what was done at this computer. The deed
// stands either way: what goes wrong is said beside it.
func (r *run) note(what access.What, about string) {
	d, err := r.openDoor()
	if err == nil {
		err = d.Note(access.Console(), what, about)
	}
	if err != nil {
		fmt.Fprintf(r.Err, "larder: this was done, but could not be written in the trail: %v\n", err)
	}
}
