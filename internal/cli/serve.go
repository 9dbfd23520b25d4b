package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/google/uuid"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/web"
)

type listen struct {
	Addr   string `placeholder:"HOST:PORT" help:"Where to listen (127.0.0.1:8642; with --lan :8642, with --acme :443). Port 0 takes any free one."`
	NoOpen bool   `help:"Do not open a browser."`
}

// newID makes a fact's id where the fact is made.
func newID() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }

// serve answers until interrupted: this computer only, or with h the home network
// too. The first line says the address; after is called once it listens.
func (l *listen) serve(r *run, o web.Options, h *house, after func()) error {
	return l.serveWith(r, o, h, after, func(o web.Options) (func() *http.Server, error) {
		s, err := web.New(r.ctx, o)
		if err != nil {
			return nil, err
		}
		return s.HTTP, nil
	})
}

// serveWith is serve with what is served made by open.
func (l *listen) serveWith(r *run, o web.Options, h *house, after func(), open func(web.Options) (func() *http.Server, error)) error {
	host, _, err := net.SplitHostPort(l.Addr)
	if err != nil {
		return &fault.Error{Kind: fault.Usage, Thing: "--addr", Say: "this is not a host and a port", Hint: "for example 127.0.0.1:8642", Err: err}
	}
	if ip := net.ParseIP(host); h == nil && host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return fault.Newf(fault.Unsafe, "--addr", "%s can be reached by others", cmp.Or(host, "every address of this computer")).
			WithHint("listen on 127.0.0.1; or to let in paired phones of your home network: larder serve --lan")
	}
	o.NewID = newID
	if o.Now == nil {
		o.Now = r.Now
	}
	if h != nil {
		o.Lan, o.Hosts, o.Log = h.lan, append(o.Hosts, h.hosts...), slog.New(slog.NewTextHandler(r.Err, nil))
	}
	newServer, err := open(o)
	if err != nil {
		return err
	}
	if os.Getenv("GOGC") == "" { // not before: reading a large book is quicker without
		debug.SetGCPercent(web.GCPercent)
	}
	ln, err := net.Listen("tcp", l.Addr)
	if err != nil {
		return &fault.Error{Kind: fault.Busy, Thing: l.Addr, Say: "this address cannot be listened on", Hint: "another larder may be running; --addr 127.0.0.1:0 takes a free port, and ports below 1024 may need the system's leave", Err: err}
	}
	url := deskURL(ln.Addr(), h)
	fmt.Fprintf(r.Out, "Larder is at %s  (Ctrl-C stops it)\n", url)
	if h != nil {
		h.at.Store(ln.Addr())
		h.sayLan(r)
	}
	if h != nil || o.NoDesk {
		if err := sayFirst(r, o); err != nil {
			ln.Close()
			return err
		}
	}
	if after != nil {
		after()
	}
	if !l.NoOpen && r.Terminal {
		openBrowser(url)
	}
	return l.listen(r, newServer, ln, h)
}

// deskURL is how this computer itself opens the screens: where that can be, by
// loopback, where nothing is asked.
func deskURL(a net.Addr, h *house) string {
	t, ok := a.(*net.TCPAddr)
	switch {
	case ok && t.IP.IsUnspecified():
		return "http://" + net.JoinHostPort("127.0.0.1", strconv.Itoa(t.Port)) + "/"
	case ok && !t.IP.IsLoopback() && h != nil && h.tls != nil:
		return "https://" + a.String() + "/"
	}
	return "http://" + a.String() + "/"
}

// listen serves until interrupted, plain and TLS at one port. Each has a server
// of its own: one that began plain does not learn HTTP/2 any more.
func (l *listen) listen(r *run, newServer func() *http.Server, ln net.Listener, h *house) error {
	ln = web.Limit(ln)
	gone := make(chan error, 2)
	servers := []*http.Server{newServer()}
	if h != nil && h.tls != nil {
		both, safe := newSniff(ln), newServer()
		safe.TLSConfig = h.tls
		servers = append(servers, safe)
		go func() { gone <- safe.ServeTLS(half{both, both.safe}, "", "") }()
		ln = half{both, both.plain}
	}
	go func() { gone <- servers[0].Serve(ln) }()
	var err error
	select {
	case err = <-gone:
		for _, s := range servers { // one goes with the other
			_ = s.Close()
		}
	case <-r.ctx.Done():
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		for _, s := range servers {
			err = errors.Join(err, s.Shutdown(ctx))
		}
	}
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return fault.Wrap(err, "serve")
}

// openBrowser asks the system to show the page; where it cannot, the address
// stands on the first line.
func openBrowser(url string) {
	name, args := "xdg-open", []string{url}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", url}
	}
	if c := exec.Command(name, args...); c.Start() == nil {
		go func() { _ = c.Wait() }()
	}
}

type serveCmd struct {
	listen
	lanFlags
	Backups   string   `placeholder:"DIR" help:"Where a proved backup goes each day (default: backups beside the book; a PostgreSQL book: in your data folder). With --keepers, each has a folder in it."`
	NoBackups bool     `help:"Make no backups by itself."`
	Keepers   bool     `help:"Serve the books of all keepers of the PostgreSQL server; who signs in decides which."`
	Host      []string `placeholder:"NAME" help:"Answer to this name too: the one a proxy on this computer is asked by."`
	Login     bool     `help:"Let nobody in without a login or a paired phone, this computer's own browser neither: in a container, behind a proxy, on a computer that others use."`
}

// Run serves the book.
func (c *serveCmd) Run(r *run) error {
	if r.AsOf != "" {
		return fault.New(fault.Usage, "--asof", "the screens go by the clock").WithHint("leave --asof out; the commands that print go by it")
	}
	if c.Keepers {
		return c.many(r)
	}
	h, door, err := c.home(r)
	if err != nil {
		return err
	}
	b, err := c.bookOrWait(r)
	if err != nil {
		return err
	}
	defer b.Close()
	o := r.screensOf(b)
	o.Door, o.Proxied, o.NoDesk, o.Sky = door, c.Host, c.Login, r.sky()
	s, err := c.shelfOf(r, b)
	if err != nil {
		return err
	}
	o.Backups = s
	defer s.running.Wait() // a backup at work still needs the book
	return c.serve(r, o, h, func() { s.begin(r) })
}

// shelfOf is where the backups of the book go.
func (c *serveCmd) shelfOf(r *run, b season.Book) (*shelf, error) {
	s := &shelf{dir: c.Backups, book: opened(b), now: r.Now, everyDay: !c.NoBackups}
	if s.dir != "" {
		if err := pathNamed("--backups", s.dir); err != nil {
			return nil, err
		}
		dir, err := filepath.Abs(s.dir)
		s.dir = dir
		return s, fault.Wrap(err, "serve")
	}
	if file, ok := b.(*sqlite.Book); ok {
		s.dir = filepath.Join(filepath.Dir(file.Path()), "backups")
		return s, nil
	}
	dir, err := r.dataFolder()
	s.dir = filepath.Join(dir, "backups")
	return s, err
}

// begin makes the backup of each day for as long as the screens are served.
func (s *shelf) begin(r *run) {
	if !s.everyDay {
		return
	}
	tick := time.NewTicker(10 * time.Minute)
	s.running.Go(func() {
		defer tick.Stop()
		s.daily(r.ctx, tick.C, func(err error) {
			fmt.Fprintln(r.Err, "larder: the backup of today was not made")
			report(r.Err, err)
		})
	})
}

// sayFirst offers, while the owner has no password, to set it from another device
// by a code that stands here only. Until then nobody there is let in.
func sayFirst(r *run, o web.Options) error {
	if o.Book == nil || o.Door.HasPassword() { // keepers get theirs with their place
		return nil
	}
	code, till, err := o.Door.OfferFirst()
	if err != nil {
		return err
	}
	from, with := " from there", "from another device"
	if o.NoDesk {
		from, with = "", "in a browser"
	}
	fmt.Fprintf(r.Out, "The owner has no password yet, so nobody is let in%s. Set one here: larder password\n", from)
	fmt.Fprintf(r.Out, "or %s, under /first, with this code; it works once, until %s: %s\n", with, till.Local().Format("15:04"), access.ShowCode(code))
	return nil
}

// home makes the home network ready, if it is to be answered.
func (c *serveCmd) home(r *run) (*house, *access.Door, error) {
	if err := c.check(); err != nil {
		return nil, nil, err
	}
	door, err := r.openDoor()
	if err != nil {
		return nil, nil, err
	}
	if !c.Lan {
		c.Addr = cmp.Or(c.Addr, "127.0.0.1:8642")
		return nil, door, nil
	}
	h, err := c.ready(r)
	if err != nil {
		return nil, nil, err
	}
	c.Addr = cmp.Or(c.Addr, map[bool]string{true: ":443", false: ":8642"}[c.Acme != ""])
	return h, door, nil
}
