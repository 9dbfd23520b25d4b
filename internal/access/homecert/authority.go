package homecert

import (
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"io/fs"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"larder/internal/fault"
)

// How long things last. Browsers take no certificate of more than 398 days from
// a public authority, and phones treat those of a home authority alike before
// long; ours keeps below 397. The root has to be put on each phone by hand: ten
// years.
const (
	rootLife  = 10 * 365 * 24 * time.Hour
	leafLife  = 396 * 24 * time.Hour
	leafRenew = 30 * 24 * time.Hour // before its end
	early     = 24 * time.Hour      // phones' clocks may be behind
)

// homeRanges are the addresses of home networks, which no site of the internet
// has: RFC 1918, RFC 3927 and RFC 4193, RFC 4291 (link-local), and this computer
// itself.
var homeRanges = []netip.Prefix{
	netip.MustParsePrefix("10.0.0.0/8"), netip.MustParsePrefix("172.16.0.0/12"), netip.MustParsePrefix("192.168.0.0/16"),
	netip.MustParsePrefix("169.254.0.0/16"), netip.MustParsePrefix("127.0.0.0/8"),
	netip.MustParsePrefix("fc00::/7"), netip.MustParsePrefix("fe80::/10"), netip.MustParsePrefix("::1/128"),
}

// HomeAddress tells whether an address is one of a home network.
func HomeAddress(a netip.Addr) bool {
	a = a.Unmap().WithZone("")
	return slices.ContainsFunc(homeRanges, func(p netip.Prefix) bool { return p.Contains(a) })
}

// Authority signs certificates for this computer.
type Authority struct {
	root      *x509.Certificate
	key       *ecdsa.PrivateKey
	names     []string
	addresses func() []netip.Addr
	now       func() time.Time

	mu   sync.Mutex
	leaf *tls.Certificate
	of   []netip.Addr
}

// Files of the authority in its folder.
const (
	keyFile  = "root.key"
	rootFile = "root.crt"
)

// OpenAuthority opens the authority in dir, or makes one for these names.
// addresses gives those this computer has now. Faults: fault.Damaged,
// fault.NoRoom.
func OpenAuthority(dir string, names []string, addresses func() []netip.Addr, now func() time.Time) (*Authority, error) {
	a := &Authority{addresses: addresses, now: now}
	for _, n := range names {
		if n = strings.ToLower(strings.TrimSuffix(n, ".")); n != "" && !slices.Contains(a.names, n) {
			a.names = append(a.names, n)
		}
	}
	_, err := os.Stat(filepath.Join(dir, keyFile))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Stat(filepath.Join(dir, rootFile)); err == nil {
			return nil, damaged(dir, fs.ErrNotExist) // a root whose key is gone: phones trust it, so say so
		}
		err = a.make(dir)
	case err == nil:
		err = a.read(dir)
	}
	if err != nil {
		var f *fault.Error
		if !errors.As(err, &f) {
			err = &fault.Error{Kind: fault.NoRoom, Thing: dir, Say: "the home authority cannot be kept here", Hint: "make room, or see whether the folder may be written to", Err: err}
		}
		return nil, err
	}
	return a, nil
}

func damaged(dir string, err error) error {
	return &fault.Error{Kind: fault.Damaged, Thing: dir, Say: "the home authority in this folder cannot be read", Err: err,
		Hint: "set the folder aside: a new authority is made, and its root goes on each phone anew"}
}

func (a *Authority) read(dir string) error {
	path := filepath.Join(dir, keyFile)
	if err := os.Chmod(path, 0o600); err != nil { // it may come back from a back-up readable by all
		return err
	}
	rawKey, err1 := os.ReadFile(path)
	rawRoot, err2 := os.ReadFile(filepath.Join(dir, rootFile))
	if err := errors.Join(err1, err2); err != nil {
		return damaged(dir, err)
	}
	k, _ := pem.Decode(rawKey)
	r, _ := pem.Decode(rawRoot)
	if k == nil || r == nil {
		return damaged(dir, nil)
	}
	parsed, err := x509.ParsePKCS8PrivateKey(k.Bytes)
	if err != nil {
		return damaged(dir, err)
	}
	root, err := x509.ParseCertificate(r.Bytes)
	key, ok := parsed.(*ecdsa.PrivateKey)
	if err != nil || !ok || !root.IsCA || !key.PublicKey.Equal(root.PublicKey) {
		return damaged(dir, err)
	}
	if !a.now().Before(root.NotAfter) {
		return fault.Newf(fault.OutOfRange, dir, "the home authority ended on %s", root.NotAfter.Format("2006-01-02")).
			WithHint("set the folder aside: a new authority is made, and its root goes on each phone anew")
	}
	a.key, a.root = key, root
	return nil
}

// make makes the root. The key is written before the root: a root without its
// key is never left behind.
func (a *Authority) make(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	host := "this house"
	if len(a.names) > 0 {
		host = a.names[0]
	}
	t := &x509.Certificate{
		Subject:   pkix.Name{CommonName: "Larder at home (" + host + ")", Organization: []string{"Larder"}},
		NotBefore: a.now().Add(-early).UTC(), NotAfter: a.now().Add(rootLife).UTC(),
		KeyUsage: x509.KeyUsageCertSign | x509.KeyUsageCRLSign, BasicConstraintsValid: true, IsCA: true, MaxPathLenZero: true,
		// What it signs holds here and nowhere else.
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: a.names,
	}
	if len(a.names) == 0 { // no list at all would mean any name
		t.ExcludedDNSDomains = []string{""}
	}
	for _, p := range homeRanges {
		t.PermittedIPRanges = append(t.PermittedIPRanges, ipNet(p))
	}
	der, err := x509.CreateCertificate(rand.Reader, t, t, &key.PublicKey, key)
	if err != nil {
		return err
	}
	raw, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	if err := write(filepath.Join(dir, keyFile), 0o600, &pem.Block{Type: "PRIVATE KEY", Bytes: raw}); err != nil {
		return err
	}
	if err := write(filepath.Join(dir, rootFile), 0o644, &pem.Block{Type: "CERTIFICATE", Bytes: der}); err != nil {
		return err
	}
	a.key = key
	a.root, err = x509.ParseCertificate(der)
	return err
}

func write(path string, mode fs.FileMode, block *pem.Block) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, mode)
	if err != nil {
		return err
	}
	return errors.Join(pem.Encode(f, block), f.Sync(), f.Close())
}

func ipNet(p netip.Prefix) *net.IPNet {
	return &net.IPNet{IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen())}
}

// Certificate gives a certificate for what this computer is called and where it
// is now, made anew when it is near its end or an address changed.
func (a *Authority) Certificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	var here []netip.Addr
	for _, x := range a.addresses() {
		if x = x.Unmap().WithZone(""); HomeAddress(x) {
			here = append(here, x)
		}
	}
	slices.SortFunc(here, netip.Addr.Compare)
	here = slices.Compact(here)
	a.mu.Lock()
	defer a.mu.Unlock()
	now := a.now()
	if a.leaf != nil && slices.Equal(here, a.of) && now.Before(a.leaf.Leaf.NotAfter.Add(-leafRenew)) && now.After(a.leaf.Leaf.NotBefore) {
		return a.leaf, nil
	}
	leaf, err := a.sign(here, now)
	if err != nil {
		return nil, err
	}
	a.leaf, a.of = leaf, here
	return leaf, nil
}

func (a *Authority) sign(here []netip.Addr, now time.Time) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	from, till := now.Add(-early), now.Add(leafLife-early)
	if from.Before(a.root.NotBefore) {
		from = a.root.NotBefore
	}
	if till.After(a.root.NotAfter) {
		till = a.root.NotAfter
	}
	t := &x509.Certificate{
		Subject: pkix.Name{CommonName: "Larder"}, NotBefore: from.UTC(), NotAfter: till.UTC(),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
		DNSNames: a.Names(),
	}
	for _, x := range here {
		t.IPAddresses = append(t.IPAddresses, x.AsSlice())
	}
	der, err := x509.CreateCertificate(rand.Reader, t, a.root, &key.PublicKey, a.key)
	if err != nil {
		return nil, err
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	return &tls.Certificate{Certificate: [][]byte{der}, PrivateKey: crypto.PrivateKey(key), Leaf: leaf}, nil
}

// Names gives the names it may sign for: those of this computer that the root
// was made for. A computer that was renamed since is reached by its address.
func (a *Authority) Names() []string {
	var out []string
	for _, n := range a.names {
		if slices.ContainsFunc(a.root.PermittedDNSDomains, func(p string) bool { return n == p || strings.HasSuffix(n, "."+p) }) {
			out = append(out, n)
		}
	}
	return out
}

// Root gives the root for the phones, as DER.
func (a *Authority) Root() []byte { return a.root.Raw }

// Ends gives the last moment of the root.
func (a *Authority) Ends() time.Time { return a.root.NotAfter }

// Fingerprint gives the SHA-256 of the root as phones show it.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.root.Raw)
	h := strings.ToUpper(hex.EncodeToString(sum[:]))
	var parts []string
	for i := 0; i < len(h); i += 2 {
		parts = append(parts, h[i:i+2])
	}
	return strings.Join(parts, ":")
}
