package web

import (
	"net"
	"net/netip"
	"testing"
)

// caller is a connection from an address.
type caller struct {
	net.Conn
	from string
	shut bool
}

func (c *caller) RemoteAddr() net.Addr {
	return net.TCPAddrFromAddrPort(netip.MustParseAddrPort(c.from))
}
func (c *caller) Close() error { c.shut = true; return nil }

// queue is a listener at which these wait.
type queue struct {
	net.Listener
	waiting []*caller
}

func (q *queue) Accept() (net.Conn, error) {
	if len(q.waiting) == 0 {
		return nil, net.ErrClosed
	}
	c := q.waiting[0]
	q.waiting = q.waiting[1:]
	return c, nil
}

// One device cannot take all connections, this computer and the other devices are
// let in beside it, and its place is free again when it leaves.
func TestOneDeviceTakesNotAllPlaces(t *testing.T) {
	q := &queue{}
	f := &fair{Listener: q, of: map[netip.Addr]int{}}
	let := func(from string) net.Conn {
		t.Helper()
		x := &caller{from: from}
		q.waiting = append(q.waiting, x)
		c, err := f.Accept()
		if (err != nil) != x.shut {
			t.Fatalf("%s: %v, and closed: %v", from, err, x.shut)
		}
		return c
	}
	for _, greedy := range []struct{ one, same, other string }{
		{"192.168.1.66:1", "[::ffff:192.168.1.66]:2", "192.168.1.67:1"},
		{"[fd00:0:0:1::66]:1", "[fd00:0:0:1:ffff::1]:1", "[fd00:0:0:2::66]:1"},
	} {
		var in []net.Conn
		for range mostOfOne {
			c := let(greedy.one)
			if c == nil {
				t.Fatalf("%s was shut out after %d", greedy.one, len(in))
			}
			in = append(in, c)
		}
		if let(greedy.one) != nil || let(greedy.same) != nil {
			t.Errorf("%s has more than its part", greedy.one)
		}
		for range 3 * mostOfOne {
			if let("127.0.0.1:9") == nil || let("[::1]:9") == nil {
				t.Fatal("this computer is shut out")
			}
		}
		other := let(greedy.other)
		if other == nil {
			t.Fatalf("%s is shut out because of another", greedy.other)
		}
		_ = other.Close()
		_ = in[0].Close()
		_ = in[0].Close() // twice is once
		if let(greedy.same) == nil || let(greedy.one) != nil {
			t.Errorf("%s: one left, one may come", greedy.one)
		}
	}
}
