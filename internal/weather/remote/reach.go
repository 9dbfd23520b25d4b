package remote

import (
	"context"
	"net/netip"
	"syscall"
)

// inside are the ranges that are not the open internet, beside those netip
// knows by name. Source: IANA, IPv4 and IPv6 Special-Purpose Address Registries
// (RFC 6890 and its followers). Ranges that carry an IPv4 address inside an IPv6
// one are among them: what stands behind cannot be seen here.
var inside = func() []netip.Prefix {
	var out []netip.Prefix
	for _, s := range []string{
		"0.0.0.0/8", "100.64.0.0/10", "192.0.0.0/24", "192.0.2.0/24", "192.88.99.0/24", "198.18.0.0/15", "198.51.100.0/24",
		"203.0.113.0/24", "240.0.0.0/4", "::/96", "64:ff9b::/96", "64:ff9b:1::/48", "100::/64", "2001::/23", "2001:db8::/32", "2002::/16", "3fff::/20", "5f00::/16", "fec0::/10",
	} {
		out = append(out, netip.MustParsePrefix(s))
	}
	return out
}()

// open tells whether an address lies in the open internet.
func open(a netip.Addr) bool {
	a = a.Unmap()
	if !a.IsGlobalUnicast() || a.IsPrivate() || a.Zone() != "" {
		return false // loopback, link-local, multicast and unspecified among them
	}
	for _, p := range inside {
		if p.Contains(a) {
			return false
		}
	}
	return true
}

// near tells whether an address lies on this machine or in the own network:
// what weather.nearby lets in. Link-local addresses are never let in: behind
// them rented machines keep their secrets.
func near(a netip.Addr) bool {
	a = a.Unmap()
	return a.Zone() == "" && (a.IsLoopback() || a.IsPrivate())
}

// mayCall is asked by the dialer with the address it is about to call, after
// the name was looked up, for the first call and for each redirect.
func (s Service) mayCall(_ context.Context, _, address string, _ syscall.RawConn) error {
	at, err := netip.ParseAddrPort(address)
	if err != nil {
		return errAddress{address}
	}
	if open(at.Addr()) || s.Nearby && near(at.Addr()) {
		return nil
	}
	return errAddress{at.Addr().String()}
}
