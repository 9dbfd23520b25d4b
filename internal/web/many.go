package web

import (
	"context"
	"log/slog"
	"net/http"
	"strings"
	"sync"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
)

// Many serves the books of several keepers from one address. Who signs in decides
// the book: the tokens of a keeper's phones and logins bear his mark, and only his
// server looks at them. Between the servers nothing is shared but the program.
type Many struct {
	keepers Keepers
	lobby   *Server // who is nobody's yet: the ways in, and the closed door
	tries   *access.Lobby
	log     *slog.Logger

	mu   sync.Mutex
	open map[string]*openKeeper
	now  func() time.Time
	wait time.Duration // for the server
}

// Keepers is where the books of several keepers are found.
type Keepers interface {
	// Named gives the mark of the keeper of a name who is not shut out. Faults:
	// fault.NotFound.
	Named(ctx context.Context, name string) (mark string, err error)
	// Admits tells, as a fault, why the keeper of a mark is not served now;
	// fault.NotFound when there is none, or he is shut out.
	Admits(ctx context.Context, mark string) error
	// Open opens the book of the keeper of a mark: what his server is made of, and
	// what closes it.
	Open(ctx context.Context, mark string) (o Options, done func(), err error)
}

// openKeeper is a keeper whose book is open, or being opened.
type openKeeper struct {
	ready chan struct{} // closed when it is open, or could not be
	err   error
	srv   *Server
	done  func()
	users int
	last  time.Time
}

// mostOpen is how many books are open at once; those that nobody has asked for
// longest are closed.
const mostOpen = 50

// NewMany makes it; o is what all servers have in common: no book, no door.
func NewMany(ctx context.Context, k Keepers, o Options, tries *access.Lobby) (*Many, error) {
	o.Book, o.NoDesk = &season.Memory{}, true
	lobby, err := New(ctx, o)
	if err != nil {
		return nil, err
	}
	m := &Many{keepers: k, lobby: lobby, tries: tries, log: lobby.log, open: map[string]*openKeeper{}, now: o.Now, wait: serverWait}
	lobby.many = m
	return m, nil
}

// ServeHTTP gives a request to the server of the keeper whose token it shows.
func (m *Many) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	mark := markOf(r)
	if mark == "" || r.Method == http.MethodPost && (r.URL.Path == "/login" || r.URL.Path == "/pair") {
		m.lobby.ServeHTTP(w, r)
		return
	}
	x, err := m.admitted(r.Context(), mark)
	switch {
	case fault.Is(err, fault.NotFound): // made up, or shut out: nobody's
		m.lobby.ServeHTTP(w, r)
		return
	case err != nil:
		m.log.Error("a keeper's book cannot be opened", "err", err)
		w.Header().Set("Retry-After", "5")
		http.Error(w, "The book cannot be opened now. Nothing was changed by this; try again in a moment.", http.StatusServiceUnavailable)
		return
	}
	defer m.leave(x)
	x.srv.ServeHTTP(w, r)
}

// admitted gives the server of a keeper who is not shut out; leave it when done. It
// waits for the list and for the book no longer than for a page.
func (m *Many) admitted(ctx context.Context, mark string) (*openKeeper, error) {
	ctx, done := context.WithTimeout(ctx, m.wait)
	defer done()
	if err := m.keepers.Admits(ctx, mark); err != nil {
		return nil, err
	}
	return m.take(ctx, mark)
}

// markOf gives the keeper's mark of the token a request shows, a login's before a
// phone's, "" if there is none.
func markOf(r *http.Request) string {
	for _, name := range []string{ownerCookie, phoneCookie} {
		if c, err := r.Cookie(cookieName(r, name)); err == nil {
			if mark, _, ok := strings.Cut(c.Value, "."); ok && mark != "" && len(mark) < 64 {
				return mark
			}
		}
	}
	return ""
}

// take gives the server of a keeper; leave it when done. One who has to wait for
// his book holds up nobody else.
func (m *Many) take(ctx context.Context, mark string) (*openKeeper, error) {
	m.mu.Lock()
	x := m.open[mark]
	if x != nil {
		x.users++
		x.last = m.now()
		m.mu.Unlock()
		select {
		case <-x.ready:
		case <-ctx.Done():
			m.leave(x)
			return nil, silent()
		}
		if x.err != nil {
			m.leave(x)
			return nil, x.err
		}
		return x, nil
	}
	m.makeRoom()
	x = &openKeeper{ready: make(chan struct{}), users: 1, last: m.now()}
	m.open[mark] = x
	m.mu.Unlock()
	// Others may wait for it too: it is not given up when this one goes.
	go m.openFor(context.WithoutCancel(ctx), mark, x)
	select {
	case <-x.ready:
		if x.err != nil {
			m.leave(x)
			return nil, x.err
		}
		return x, nil
	case <-ctx.Done():
		m.leave(x)
		return nil, silent()
	}
}

// silent is the fault of a book that takes too long to open.
func silent() error {
	return fault.New(fault.Unreachable, "", "the database does not answer").WithHint("look whether the server runs; then send again: no fact is kept twice")
}

// openFor opens the book of a keeper for all who wait for it.
func (m *Many) openFor(ctx context.Context, mark string, x *openKeeper) {
	ctx, done := context.WithTimeout(ctx, openWait)
	defer done()
	x.srv, x.done, x.err = m.openBook(ctx, mark)
	m.mu.Lock()
	defer m.mu.Unlock()
	gone := m.open[mark] != x // the program ends
	if x.err != nil && !gone {
		delete(m.open, mark)
	}
	if x.err == nil && gone {
		x.done()
	}
	close(x.ready)
}

// openWait is how long a book may take to open: a large one over a slow line.
const openWait = 2 * time.Minute

func (m *Many) openBook(ctx context.Context, mark string) (*Server, func(), error) {
	o, done, err := m.keepers.Open(ctx, mark)
	if err != nil {
		return nil, nil, err
	}
	c := m.lobby.options
	o.Keeper, o.NoDesk, o.Now, o.NewID, o.Hosts, o.Lan, o.Log, o.Version, o.Patience = mark, true, c.Now, c.NewID, c.Hosts, c.Lan, c.Log, c.Version, c.Patience
	srv, err := New(ctx, o)
	if err != nil {
		done()
		return nil, nil, err
	}
	return srv, done, nil
}

// makeRoom closes the book nobody has asked for longest, if there are too many;
// mu is held.
func (m *Many) makeRoom() {
	if len(m.open) < mostOpen {
		return
	}
	oldest := ""
	for mark, x := range m.open {
		select {
		case <-x.ready:
		default: // it is being opened
			continue
		}
		if x.users == 0 && (oldest == "" || x.last.Before(m.open[oldest].last)) {
			oldest = mark
		}
	}
	if oldest != "" {
		m.open[oldest].done()
		delete(m.open, oldest)
	}
}

func (m *Many) leave(x *openKeeper) {
	m.mu.Lock()
	defer m.mu.Unlock()
	x.users--
}

// Close closes all books.
func (m *Many) Close() {
	m.mu.Lock()
	defer m.mu.Unlock()
	for mark, x := range m.open {
		select {
		case <-x.ready:
			x.done()
		default: // it is closed when it is open: see openFor
		}
		delete(m.open, mark)
	}
}

// HTTP gives an http.Server with the limits every listener of ours has.
func (m *Many) HTTP() *http.Server {
	s := m.lobby.HTTP()
	s.Handler = m
	return s
}

// named gives the open server of a keeper by the name typed; nil when there is
// none.
func (m *Many) named(ctx context.Context, name string) (*openKeeper, error) {
	ctx, done := context.WithTimeout(ctx, m.wait)
	defer done()
	mark, err := m.keepers.Named(ctx, name)
	if fault.Is(err, fault.NotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return m.take(ctx, mark)
}

// logIn lets the owner of a keeper's book in, or a helper of his.
func (m *Many) logIn(ctx context.Context, keeper, name, password, from string) (string, error) {
	if wait := m.tries.Take(keeper, from); wait > 0 {
		return "", &access.Wait{For: wait}
	}
	x, err := m.named(ctx, keeper)
	if err != nil {
		return "", err
	}
	if x == nil {
		return "", m.tries.Refuse(name, password)
	}
	defer m.leave(x)
	token, err := x.srv.options.Door.Login(name, password, from)
	if fault.Is(err, fault.Missing) { // no password: he is none who could sign in
		return "", m.tries.Refuse(name, password)
	}
	if err != nil {
		return "", err
	}
	m.tries.Clear(from)
	return forKeeper(x.srv.options.Keeper, token), nil
}

// pair takes a phone in to a keeper's book.
func (m *Many) pair(ctx context.Context, keeper, code, name, from string) (string, access.Phone, error) {
	if wait := m.tries.Take(keeper, from); wait > 0 {
		return "", access.Phone{}, &access.Wait{For: wait}
	}
	x, err := m.named(ctx, keeper)
	if err != nil {
		return "", access.Phone{}, err
	}
	if x == nil {
		return "", access.Phone{}, m.tries.RefuseCode(name)
	}
	defer m.leave(x)
	token, phone, err := x.srv.options.Door.Pair(code, name, from)
	if err != nil {
		return "", phone, err
	}
	m.tries.Clear(from)
	return forKeeper(x.srv.options.Keeper, token), phone, nil
}

// endOld ends the login a request still shows: a new one was made.
func (m *Many) endOld(r *http.Request, from string) {
	mark := markOf(r)
	if mark == "" {
		return
	}
	x, err := m.admitted(r.Context(), mark)
	if err != nil {
		return // it ends by itself, unused
	}
	defer m.leave(x)
	if old := x.srv.tokenOf(r, ownerCookie); old != "" {
		_ = x.srv.options.Door.Logout(old, access.Actor{Role: access.RoleNobody, From: from})
	}
}
