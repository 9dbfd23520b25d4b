package cli

import (
	"cmp"
	"context"
	"crypto/rand"
	"fmt"
	"net/http"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/postgres"
	"larder/internal/web"
)

type keepersCmds struct {
	List     keepersCmd        `cmd:"" default:"1" help:"The keepers, and who is shut out."`
	Add      keeperAddCmd      `cmd:"" help:"Make a place for a keeper: an empty book and a password."`
	Password keeperPasswordCmd `cmd:"" help:"Set a keeper's password anew; his logins end."`
	Shut     keeperShutCmd     `cmd:"" help:"Keep a keeper out from now on; his book stays."`
	Admit    keeperAdmitCmd    `cmd:"" help:"Let a keeper in again who was shut out."`
}

// openKeepers opens the list of the keepers of the server.
func (r *run) openKeepers() (*postgres.Keepers, error) {
	path, err := r.bookPath()
	if err != nil {
		return nil, err
	}
	if !isURL(path) {
		return nil, fault.New(fault.Usage, "--book", "keepers share a PostgreSQL server; this book is a file").WithHint("--book postgres://user@host/database")
	}
	return postgres.OpenKeepers(path)
}

// keeperDoor opens the door of a keeper's book.
func (r *run) keeperDoor(k *postgres.Keepers, place string) (*access.Door, *postgres.Book, error) {
	b, err := k.Open(r.ctx, place)
	if err != nil {
		return nil, nil, err
	}
	door, err := access.Open(&sideStore{book: b, ctx: context.WithoutCancel(r.ctx)}, r.Now, rand.Reader)
	if err != nil {
		b.Close()
		return nil, nil, err
	}
	return door, b, nil
}

type keepersCmd struct{}

// keeperJSON is one keeper of `larder keepers`.
type keeperJSON struct {
	Name  string  `json:"name"`
	Added string  `json:"added"`
	Shut  *string `json:"shut_out"`
}

// Run lists the keepers.
func (c *keepersCmd) Run(r *run) error {
	k, err := r.openKeepers()
	if err != nil {
		return err
	}
	defer k.Close()
	list, err := k.List(r.ctx)
	if err != nil {
		return err
	}
	if r.JSON {
		out := []keeperJSON{}
		for _, x := range list {
			j := keeperJSON{Name: x.Name, Added: x.Made.UTC().Format(time.RFC3339)}
			if !x.Closed.IsZero() {
				j.Shut = textOr(x.Closed.UTC().Format(time.RFC3339))
			}
			out = append(out, j)
		}
		return r.printJSON(struct {
			Keepers []keeperJSON `json:"keepers"`
		}{out})
	}
	if len(list) == 0 {
		fmt.Fprintln(r.Out, "There is no keeper. `larder keepers add NAME` makes a place for one.")
		return nil
	}
	t := newTable("keeper", "state", "added")
	for _, x := range list {
		state := "let in"
		if !x.Closed.IsZero() {
			state = "shut out"
		}
		t.row(x.Name, state, x.Made.Local().Format("2006-01-02"))
	}
	t.print(r.Out)
	return nil
}

type keeperAddCmd struct {
	Name string `arg:"" help:"The name he signs in with."`
}

// Run makes a place for a keeper; his password is asked, or the first line of
// standard input.
func (c *keeperAddCmd) Run(r *run) error {
	k, err := r.openKeepers()
	if err != nil {
		return err
	}
	defer k.Close()
	password, err := r.readPassword("Password of the keeper: ")
	if err != nil {
		return err
	}
	if err := access.CheckPassword(password); err != nil { // before there is a place that nobody can enter
		return err
	}
	x, err := k.Add(r.ctx, c.Name, r.Now())
	if err != nil {
		return err
	}
	if err := r.setKeeperPassword(k, x, password); err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(struct {
			Added string `json:"added"`
		}{x.Name})
	}
	fmt.Fprintf(r.Out, "%s has a book of his own now. He signs in with that name and the password, where `larder serve --keepers` runs.\n", x.Name)
	return nil
}

func (r *run) setKeeperPassword(k *postgres.Keepers, x postgres.Keeper, password string) error {
	d, b, err := r.keeperDoor(k, x.Place)
	if err != nil {
		return err
	}
	defer b.Close()
	_, err = d.SetPassword(password, access.Console())
	return err
}

type keeperPasswordCmd struct {
	Name string `arg:"" help:"The keeper, as larder keepers lists him."`
}

// Run sets a keeper's password anew.
func (c *keeperPasswordCmd) Run(r *run) error {
	k, err := r.openKeepers()
	if err != nil {
		return err
	}
	defer k.Close()
	x, err := k.Named(r.ctx, c.Name)
	if err != nil {
		return err
	}
	password, err := r.readPassword("New password of the keeper: ")
	if err != nil {
		return err
	}
	if err := r.setKeeperPassword(k, x, password); err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(struct {
			Set string `json:"set"`
		}{x.Name})
	}
	fmt.Fprintf(r.Out, "The password of %s is set. His logins have ended; helpers and phones stay.\n", x.Name)
	return nil
}

type keeperShutCmd struct {
	Name string `arg:"" help:"The keeper, as larder keepers lists him."`
}

// Run keeps a keeper out; a running larder heeds it at once.
func (c *keeperShutCmd) Run(r *run) error { return r.shutKeeper(c.Name, true) }

type keeperAdmitCmd struct {
	Name string `arg:"" help:"The keeper, as larder keepers lists him."`
}

// Run lets a keeper in again.
func (c *keeperAdmitCmd) Run(r *run) error { return r.shutKeeper(c.Name, false) }

func (r *run) shutKeeper(name string, shut bool) error {
	k, err := r.openKeepers()
	if err != nil {
		return err
	}
	defer k.Close()
	x, err := k.Shut(r.ctx, name, shut, r.Now())
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(struct {
			Keeper string `json:"keeper"`
			Shut   bool   `json:"shut_out"`
		}{x.Name, shut})
	}
	if shut {
		fmt.Fprintf(r.Out, "%s is shut out, with helpers and phones. His book stays as it is.\n", x.Name)
	} else {
		fmt.Fprintf(r.Out, "%s is let in again.\n", x.Name)
	}
	return nil
}

// served finds the keepers' books for the screens.
type served struct {
	r       *run
	list    *postgres.Keepers
	shelves *shelves
}

var _ web.Keepers = (*served)(nil)

// Named gives the place of a keeper who is let in.
func (s *served) Named(ctx context.Context, name string) (string, error) {
	x, err := s.list.Named(ctx, name)
	if err == nil && !x.Closed.IsZero() {
		err = fault.New(fault.NotFound, "", "this keeper is shut out")
	}
	return x.Place, err
}

// Admits tells why the keeper of a place is not served.
func (s *served) Admits(ctx context.Context, place string) error {
	x, err := s.list.Placed(ctx, place)
	if err == nil && !x.Closed.IsZero() {
		err = fault.New(fault.NotFound, "", "this keeper is shut out")
	}
	return err
}

// Open opens the book of the keeper of a place.
func (s *served) Open(ctx context.Context, place string) (web.Options, func(), error) {
	x, err := s.list.Placed(ctx, place)
	if err != nil {
		return web.Options{}, nil, err
	}
	door, b, err := s.r.keeperDoor(s.list, place)
	if err != nil {
		return web.Options{}, nil, err
	}
	o := s.r.screensOf(b)
	o.Door, o.Called, o.Backups = door, x.Name, s.shelves.of(x)
	return o, func() { _ = b.Close() }, nil // all of it is on the server's disk
}

// many serves the books of all keepers.
func (c *serveCmd) many(r *run) error {
	if err := c.check(); err != nil {
		return err
	}
	list, err := r.openKeepers()
	if err != nil {
		return err
	}
	defer list.Close()
	var h *house
	if c.Lan {
		if h, err = c.ready(r); err != nil {
			return err
		}
		c.Addr = cmp.Or(c.Addr, map[bool]string{true: ":443", false: ":8642"}[c.Acme != ""])
	}
	c.Addr = cmp.Or(c.Addr, "127.0.0.1:8642")
	strangers, err := access.Open(&access.Memory{}, r.Now, rand.Reader) // it lets nobody in, at a measured pace
	if err != nil {
		return err
	}
	tries, err := access.NewLobby(r.Now, rand.Reader)
	if err != nil {
		return err
	}
	var all *web.Many
	defer func() {
		if all != nil {
			all.Close()
		}
	}()
	backups, err := c.shelvesOf(r, list)
	if err != nil {
		return err
	}
	defer backups.running.Wait() // one at work still needs the server
	o := web.Options{Version: version(), Door: strangers, Hosts: c.Host, NoDesk: true}
	return c.serveWith(r, o, h, backups.begin, func(o web.Options) (func() *http.Server, error) {
		var err error
		if all, err = web.NewMany(r.ctx, &served{r, list, backups}, o, tries); err != nil {
			return nil, err
		}
		return all.HTTP, nil
	})
}
