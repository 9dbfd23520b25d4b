package homecert

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"larder/internal/fault"
)

type clock struct{ t time.Time }

func (c *clock) now() time.Time { return c.t }

func begin() *clock { return &clock{time.Date(2026, 9, 4, 10, 0, 0, 0, time.UTC)} }

func sound(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func addrs(list ...string) func() []netip.Addr {
	var out []netip.Addr
	for _, s := range list {
		out = append(out, netip.MustParseAddr(s))
	}
	return func() []netip.Addr { return out }
}

func newAuthority(t *testing.T, dir string, c *clock, names ...string) *Authority {
	t.Helper()
	a, err := OpenAuthority(dir, names, addrs("192.168.1.20", "203.0.113.9", "fd00::20"), c.now)
	sound(t, err)
	return a
}

// verify asks Go's verifier, which heeds the limits of the root, whether a
// certificate holds for a name.
func verify(a *Authority, leaf *x509.Certificate, name string, at time.Time) error {
	pool := x509.NewCertPool()
	root, err := x509.ParseCertificate(a.Root())
	if err != nil {
		return err
	}
	pool.AddCert(root)
	_, err = leaf.Verify(x509.VerifyOptions{Roots: pool, DNSName: name, CurrentTime: at, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}})
	return err
}

func TestAuthoritySignsForHomeOnly(t *testing.T) {
	c := begin()
	dir := filepath.Join(t.TempDir(), "home")
	a := newAuthority(t, dir, c, "Barn", "barn.local.", "localhost")
	cert, err := a.Certificate(nil)
	sound(t, err)
	for _, name := range []string{"barn", "barn.local", "localhost", "192.168.1.20", "fd00::20"} {
		if err := verify(a, cert.Leaf, name, c.t); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"203.0.113.9", "192.168.1.21", "bank.example", "notbarn"} {
		if err := verify(a, cert.Leaf, name, c.t); err == nil {
			t.Errorf("it holds for %s", name)
		}
	}
	// Whoever steals the key signs with it what he likes: nobody believes it.
	for _, forged := range []*x509.Certificate{
		{DNSNames: []string{"bank.example"}}, {DNSNames: []string{"barn", "bank.example"}}, {DNSNames: []string{"xbarn"}}, {DNSNames: []string{"local"}},
		{IPAddresses: []net.IP{net.ParseIP("203.0.113.9")}}, {IPAddresses: []net.IP{net.ParseIP("2001:db8::1")}}, {IPAddresses: []net.IP{net.ParseIP("172.32.0.1")}},
	} {
		leaf := forge(t, a, forged, c)
		name := ""
		if len(forged.DNSNames) > 0 {
			name = forged.DNSNames[0]
		} else {
			name = forged.IPAddresses[0].String()
		}
		var bad x509.CertificateInvalidError
		if err := verify(a, leaf, name, c.t); !errors.As(err, &bad) || bad.Reason != x509.CANotAuthorizedForThisName {
			t.Errorf("%v %v: %v", forged.DNSNames, forged.IPAddresses, err)
		}
	}
	// Nor is an authority below it believed.
	if a.root.MaxPathLen != 0 || !a.root.MaxPathLenZero {
		t.Error("an authority below it is allowed")
	}
	if info, err := os.Stat(filepath.Join(dir, keyFile)); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("key: %v %v", info.Mode(), err)
	}
	if info, err := os.Stat(dir); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o700 {
		t.Errorf("folder: %v %v", info.Mode(), err)
	}
	k, ok := a.root.PublicKey.(*ecdsa.PublicKey)
	if !ok || k.Curve != elliptic.P256() || !a.root.PermittedDNSDomainsCritical {
		t.Errorf("root: %T critical %v", a.root.PublicKey, a.root.PermittedDNSDomainsCritical)
	}
	if n := len(a.Fingerprint()); n != 32*3-1 {
		t.Errorf("fingerprint %q", a.Fingerprint())
	}
}

// A computer without a name signs for addresses only.
func TestAuthorityWithoutNames(t *testing.T) {
	c := begin()
	a := newAuthority(t, t.TempDir(), c)
	cert, err := a.Certificate(nil)
	sound(t, err)
	if err := verify(a, cert.Leaf, "192.168.1.20", c.t); err != nil {
		t.Error(err)
	}
	leaf := forge(t, a, &x509.Certificate{DNSNames: []string{"bank.example"}}, c)
	if err := verify(a, leaf, "bank.example", c.t); err == nil {
		t.Error("it holds for any name")
	}
}

func forge(t *testing.T, a *Authority, tmpl *x509.Certificate, c *clock) *x509.Certificate {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	sound(t, err)
	tmpl.Subject, tmpl.NotBefore, tmpl.NotAfter = pkix.Name{CommonName: "x"}, c.t.Add(-time.Hour), c.t.Add(time.Hour)
	tmpl.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
	der, err := x509.CreateCertificate(rand.Reader, tmpl, a.root, &key.PublicKey, a.key)
	sound(t, err)
	leaf, err := x509.ParseCertificate(der)
	sound(t, err)
	return leaf
}

func TestLeafIsRenewed(t *testing.T) {
	c := begin()
	dir := t.TempDir()
	here := []netip.Addr{netip.MustParseAddr("192.168.1.20")}
	a, err := OpenAuthority(dir, []string{"barn"}, func() []netip.Addr { return here }, c.now)
	sound(t, err)
	first, err := a.Certificate(nil)
	sound(t, err)
	if life := first.Leaf.NotAfter.Sub(first.Leaf.NotBefore); life > 397*24*time.Hour {
		t.Errorf("it lives %v", life)
	}
	c.t = c.t.Add(300 * 24 * time.Hour)
	if again, _ := a.Certificate(nil); again != first {
		t.Error("made anew too early")
	}
	// Over ten years there is one that holds, each day, until the root ends.
	for day := c.t; day.Before(a.Ends().Add(-24 * time.Hour)); day = day.Add(24 * time.Hour) {
		c.t = day
		cert, err := a.Certificate(nil)
		sound(t, err)
		if err := verify(a, cert.Leaf, "barn", day); err != nil {
			t.Fatalf("%v: %v", day, err)
		}
		if life := cert.Leaf.NotAfter.Sub(cert.Leaf.NotBefore); life > 397*24*time.Hour {
			t.Fatalf("it lives %v", life)
		}
	}
	// A new address, or a clock set back: anew.
	c.t = begin().t.Add(time.Hour)
	cert, err := a.Certificate(nil)
	sound(t, err)
	if err := verify(a, cert.Leaf, "barn", c.t); err != nil {
		t.Error(err)
	}
	here = []netip.Addr{netip.MustParseAddr("10.1.2.3"), netip.MustParseAddr("fe80::1%eth0")}
	cert, err = a.Certificate(nil)
	sound(t, err)
	for _, name := range []string{"10.1.2.3", "fe80::1"} {
		if err := verify(a, cert.Leaf, name, c.t); err != nil {
			t.Error(err)
		}
	}
	// Opened again it is the same, also when the computer was renamed: what it may
	// sign for does not grow.
	b, err := OpenAuthority(dir, []string{"shed", "barn"}, addrs("10.0.0.1"), c.now)
	sound(t, err)
	if b.Fingerprint() != a.Fingerprint() {
		t.Error("another root")
	}
	cert, err = b.Certificate(nil)
	sound(t, err)
	if err := verify(b, cert.Leaf, "barn", c.t); err != nil {
		t.Error(err)
	}
	if err := verify(b, cert.Leaf, "10.0.0.1", c.t); err != nil {
		t.Error(err)
	}
	// What is damaged, or has ended, says so.
	c.t = a.Ends().Add(time.Hour)
	if _, err := OpenAuthority(dir, nil, addrs(), c.now); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("ended: %v", err)
	}
	c.t = begin().t
	sound(t, os.WriteFile(filepath.Join(dir, rootFile), []byte("x"), 0o644))
	if _, err := OpenAuthority(dir, nil, addrs(), c.now); !fault.Is(err, fault.Damaged) {
		t.Errorf("damaged: %v", err)
	}
	sound(t, os.Remove(filepath.Join(dir, keyFile)))
	if _, err := OpenAuthority(dir, nil, addrs(), c.now); !fault.Is(err, fault.Damaged) {
		t.Errorf("the key is gone: %v", err)
	}
}

// A real handshake: a client that knows the root and nothing else.
func TestHandshake(t *testing.T) {
	a, err := OpenAuthority(t.TempDir(), []string{"barn"}, addrs("127.0.0.1"), time.Now)
	sound(t, err)
	srv := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "home") }))
	srv.TLS = &tls.Config{GetCertificate: a.Certificate}
	srv.Config.ErrorLog = log.New(io.Discard, "", 0) // the refusal below is meant
	srv.StartTLS()
	defer srv.Close()
	pool := x509.NewCertPool()
	root, err := x509.ParseCertificate(a.Root())
	sound(t, err)
	pool.AddCert(root)
	// httptest puts a certificate of its own in as well: ask without a name, as one
	// does who types an address.
	srv.TLS.Certificates = nil
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	r, err := client.Get(srv.URL)
	sound(t, err)
	b, _ := io.ReadAll(r.Body)
	r.Body.Close()
	if string(b) != "home" {
		t.Errorf("%q", b)
	}
	if _, err := http.Get(srv.URL); err == nil {
		t.Error("a client that does not know the root trusts it")
	}
}

func TestHomeAddress(t *testing.T) {
	for a, want := range map[string]bool{
		"192.168.0.1": true, "10.255.255.255": true, "172.16.0.1": true, "172.31.255.255": true, "169.254.1.1": true, "127.0.0.1": true, "fd12::1": true, "fe80::1%x": true, "::1": true, "::ffff:192.168.1.1": true,
		"172.32.0.1": false, "192.169.0.1": false, "8.8.8.8": false, "100.64.0.1": false, "2001:db8::1": false, "::ffff:8.8.8.8": false, "0.0.0.0": false,
	} {
		if HomeAddress(netip.MustParseAddr(a)) != want {
			t.Errorf("%s: want %v", a, want)
		}
	}
}

func TestOwnFilesAreReadAnew(t *testing.T) {
	c := begin()
	dir := t.TempDir()
	cert, key := filepath.Join(dir, "c.pem"), filepath.Join(dir, "k.pem")
	if _, err := OpenFiles(cert, key, c.now); !fault.Is(err, fault.NotFound) {
		t.Errorf("no files: %v", err)
	}
	a := newAuthority(t, filepath.Join(dir, "a"), c, "one.example")
	b := newAuthority(t, filepath.Join(dir, "b"), c, "two.example")
	// The authorities' own roots serve as certificates with a key.
	put := func(from string) {
		for src, dst := range map[string]string{rootFile: cert, keyFile: key} {
			raw, err := os.ReadFile(filepath.Join(dir, from, src))
			sound(t, err)
			sound(t, os.WriteFile(dst, raw, 0o600))
		}
	}
	put("a")
	f, err := OpenFiles(cert, key, c.now)
	sound(t, err)
	have := func() string {
		got, err := f.Certificate(nil)
		sound(t, err)
		return string(got.Certificate[0])
	}
	if have() != string(a.Root()) {
		t.Error("not the first")
	}
	// Half written: the former goes on.
	sound(t, os.WriteFile(cert, []byte("-----BEGIN"), 0o600))
	c.t = c.t.Add(lookEvery)
	if have() != string(a.Root()) || f.Trouble() == nil {
		t.Error("taken up half written")
	}
	put("b")
	c.t = c.t.Add(lookEvery)
	if have() != string(b.Root()) || f.Trouble() != nil {
		t.Error("not taken up")
	}
	// One's certificate with the other's key; one that has ended.
	raw, err := os.ReadFile(filepath.Join(dir, "a", keyFile))
	sound(t, err)
	sound(t, os.WriteFile(key, raw, 0o600))
	if _, err := OpenFiles(cert, key, c.now); !fault.Is(err, fault.NotUnderstood) || fault.HintOf(err) == "" {
		t.Errorf("not a pair: %v", err)
	}
	put("a")
	c.t = a.Ends()
	if _, err := OpenFiles(cert, key, c.now); !fault.Is(err, fault.OutOfRange) || !strings.Contains(err.Error(), "ended on") {
		t.Errorf("ended: %v", err)
	}
}
