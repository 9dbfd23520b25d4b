package web

import (
	"net"
	"net/netip"
	"sync"

	"golang.org/x/net/netutil"
)

const (
	// mostConnections is how many are open at once: far above a household's.
	mostConnections = 256
	// mostOfOne is how many of them one other device may have. Browsers open six to a
	// name; some dozen phones may stand behind one address, as a container's do.
	mostOfOne = 96
)

// Limit keeps a listener from being filled: so many connections in all, and so
// many of one other device, whose further ones are closed at once. Whoever holds
// connections open without asking anything takes nobody's place but his own. This
// computer is not counted: a proxy on it speaks for many.
func Limit(ln net.Listener) net.Listener {
	return netutil.LimitListener(&fair{Listener: ln, of: map[netip.Addr]int{}}, mostConnections)
}

// fair lets in mostOfOne connections of each address.
type fair struct {
	net.Listener
	mu sync.Mutex
	of map[netip.Addr]int
}

// here are the addresses this computer, or a proxy on it, calls itself by.
var here = map[netip.Addr]bool{netip.MustParseAddr("127.0.0.1"): true, netip.MustParseAddr("::1"): true}

// Accept waits for the next that is let in.
func (f *fair) Accept() (net.Conn, error) {
	for {
		c, err := f.Listener.Accept()
		if err != nil {
			return nil, err
		}
		at, err := netip.ParseAddrPort(c.RemoteAddr().String())
		who := at.Addr().Unmap().WithZone("")
		if err != nil || here[who] {
			return c, nil
		}
		if who.Is6() { // one device takes many of these
			if p, err := who.Prefix(64); err == nil {
				who = p.Addr()
			}
		}
		f.mu.Lock()
		full := f.of[who] >= mostOfOne
		if !full {
			f.of[who]++
		}
		f.mu.Unlock()
		if full {
			_ = c.Close()
			continue
		}
		return &counted{Conn: c, gone: func() {
			f.mu.Lock()
			defer f.mu.Unlock()
			if f.of[who]--; f.of[who] <= 0 {
				delete(f.of, who)
			}
		}}, nil
	}
}

// counted is a connection that is counted till it is closed.
type counted struct {
	net.Conn
	once sync.Once
	gone func()
}

// Close closes it.
func (c *counted) Close() error {
	c.once.Do(c.gone)
	return c.Conn.Close()
}
