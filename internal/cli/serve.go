package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os/exec"
	"runtime"
	"time"

	"github.com/google/uuid"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/web"
)

type listen struct {
	Addr   string `default:"127.0.0.1:8642" placeholder:"HOST:PORT" help:"Where to listen; loopback only. Port 0 takes any free one."`
	NoOpen bool   `help:"Do not open a browser."`
}

// newID makes a fact's id where the fact is made.
func newID() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }

// serve answers on loopback until interrupted. The first line says the address;
// after is called once it listens.
func (l *listen) serve(r *run, o web.Options, after func()) error {
	host, _, err := net.SplitHostPort(l.Addr)
	if err != nil {
		return &fault.Error{Kind: fault.Usage, Thing: "--addr", Say: "this is not a host and a port", Hint: "for example 127.0.0.1:8642", Err: err}
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return fault.Newf(fault.Unsafe, "--addr", "%s can be reached by others, and there is no password yet", host).
			WithHint("listen on 127.0.0.1")
	}
	o.NewID = newID
	if o.Now == nil {
		o.Now = r.Now
	}
	s, err := web.New(r.ctx, o)
	if err != nil {
		return err
	}
	ln, err := net.Listen("tcp", l.Addr)
	if err != nil {
		return &fault.Error{Kind: fault.Busy, Thing: l.Addr, Say: "this address cannot be listened on", Hint: "another larder may be running; --addr 127.0.0.1:0 takes a free port", Err: err}
	}
	url := "http://" + ln.Addr().String() + "/"
	fmt.Fprintf(r.Out, "Larder is at %s  (Ctrl-C stops it)\n", url)
	if after != nil {
		after()
	}
	if !l.NoOpen && r.Terminal {
		openBrowser(url)
	}
	srv := s.HTTP()
	gone := make(chan error, 1)
	go func() { gone <- srv.Serve(ln) }()
	select {
	case err = <-gone:
	case <-r.ctx.Done():
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		err = srv.Shutdown(ctx)
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
}

// Run serves the book.
func (c *serveCmd) Run(r *run) error {
	b, err := r.openBook()
	if err != nil {
		return err
	}
	defer b.Close()
	return c.serve(r, r.screensOf(b), nil)
}
