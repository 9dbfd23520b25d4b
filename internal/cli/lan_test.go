package cli

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"testing"
	"time"

	"larder/internal/access/homecert"
)

func prefixes(list ...string) network {
	var out []netip.Prefix
	for _, s := range list {
		out = append(out, netip.MustParsePrefix(s))
	}
	return network{func() []netip.Prefix { return out }}
}

// What is at home: private addresses, and the IPv6 neighbours of this computer;
// never the rest of the internet.
func TestHomeNetwork(t *testing.T) {
	n := prefixes("127.0.0.1/8", "172.17.0.1/16", "192.168.1.20/24", "10.8.0.2/24", "fe80::1/64", "2001:db8:1:2::20/64", "fd00::20/64", "203.0.113.9/24")
	for a, want := range map[string]bool{
		"192.168.1.30": true, "192.168.7.7": true, "10.1.1.1": true, "fe80::9%eth0": true, "fd99::1": true, "2001:db8:1:2::77": true, "::ffff:192.168.1.3": true,
		"2001:db8:1:3::77": false, "203.0.113.10": false, "8.8.8.8": false, "100.64.0.1": false, "2600::1": false,
	} {
		if got := n.home(netip.MustParseAddr(a)); got != want {
			t.Errorf("%s: %v, want %v", a, got, want)
		}
	}
	// A tunnel that says the whole internet is its network does not make it home.
	if prefixes("2001:db8::1/0").home(netip.MustParseAddr("2600::1")) {
		t.Error("the whole internet is at home")
	}
	var got []string
	for _, a := range n.own() {
		got = append(got, a.String())
	}
	if s := strings.Join(got, " "); s != "192.168.1.20 10.8.0.2 172.17.0.1 fd00::20" {
		t.Errorf("own addresses: %s", s)
	}
}

func TestAddressesToOpen(t *testing.T) {
	n := prefixes("192.168.1.20/24", "fd00::20/64")
	for _, c := range []struct {
		scheme, bound string
		names         []string
		want          string
	}{
		{"http", "[::]:8642", nil, "http://192.168.1.20:8642 http://[fd00::20]:8642"},
		{"https", "0.0.0.0:443", nil, "https://192.168.1.20 https://[fd00::20]"},
		{"http", "192.168.1.20:80", nil, "http://192.168.1.20"},
		{"http", "127.0.0.1:8642", nil, ""},
		{"https", "[::]:443", []string{"larder.example.org"}, "https://larder.example.org"},
		{"https", "[::]:8642", []string{"larder.example.org"}, "https://larder.example.org:8642"},
	} {
		h := &house{}
		if got := h.addresses(c.scheme, c.names, n); got != nil {
			t.Errorf("before it is listened on: %v", got)
		}
		h.at.Store(net.TCPAddrFromAddrPort(netip.MustParseAddrPort(c.bound)))
		if got := strings.Join(h.addresses(c.scheme, c.names, n), " "); got != c.want {
			t.Errorf("%s %s %v: %q, want %q", c.scheme, c.bound, c.names, got, c.want)
		}
	}
}

// One port speaks both, over HTTP/1 and HTTP/2, and is not held up by those who
// say nothing; at the end it is quiet.
func TestOnePortForBoth(t *testing.T) {
	ca, err := homecert.OpenAuthority(t.TempDir(), []string{"localhost"}, func() []netip.Addr { return []netip.Addr{netip.MustParseAddr("127.0.0.1")} }, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := ln.Addr().String()
	ctx, stop := context.WithCancel(t.Context())
	h := &house{tls: &tls.Config{GetCertificate: ca.Certificate}}
	gone := make(chan error, 1)
	newServer := func() *http.Server {
		return &http.Server{ReadHeaderTimeout: time.Minute, Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			fmt.Fprintf(w, "%v %s", r.TLS != nil, r.Proto)
		})}
	}
	go func() { gone <- (&listen{}).listen(&run{ctx: ctx}, newServer, ln, h) }()
	for range 20 { // they say nothing
		c, err := net.Dial("tcp", at)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
	}
	pool := x509.NewCertPool()
	root, err := x509.ParseCertificate(ca.Root())
	if err != nil {
		t.Fatal(err)
	}
	pool.AddCert(root)
	two := &http.Client{Timeout: 5 * time.Second, Transport: &http.Transport{ForceAttemptHTTP2: true, DisableKeepAlives: true, TLSClientConfig: &tls.Config{RootCAs: pool}}}
	one := &http.Client{Timeout: 5 * time.Second, Transport: &http.Transport{DisableKeepAlives: true, TLSClientConfig: &tls.Config{RootCAs: pool}, TLSNextProto: map[string]func(string, *tls.Conn) http.RoundTripper{}}}
	for range 3 {
		for _, c := range []struct {
			client    *http.Client
			url, want string
		}{{one, "http://" + at, "false HTTP/1.1"}, {one, "https://" + at, "true HTTP/1.1"}, {two, "https://" + at, "true HTTP/2.0"}} {
			r, err := c.client.Get(c.url)
			if err != nil {
				t.Fatal(err)
			}
			b, _ := io.ReadAll(r.Body)
			r.Body.Close()
			if string(b) != c.want {
				t.Errorf("%s: %q, want %q", c.url, b, c.want)
			}
		}
	}
	stop()
	select {
	case err := <-gone:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Error("it does not stop")
	}
}
