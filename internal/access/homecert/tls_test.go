package homecert

import (
	"crypto/tls"
	"crypto/x509"
	"net"
	"net/netip"
	"testing"
	"time"
)

// Who speaks an old version or an old cipher is not spoken with; who speaks the
// newest gets it. The client is Go's own, told to speak so.
func TestOnlyTodaysTLS(t *testing.T) {
	a, err := OpenAuthority(t.TempDir(), []string{"localhost"}, func() []netip.Addr { return []netip.Addr{netip.MustParseAddr("127.0.0.1")} }, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	root, err := x509.ParseCertificate(a.Root())
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AddCert(root)
	ln, err := tls.Listen("tcp", "127.0.0.1:0", Safe(&tls.Config{GetCertificate: a.Certificate}))
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	go func() {
		for {
			c, err := ln.Accept()
			if err != nil {
				return
			}
			go func() { _ = c.(*tls.Conn).Handshake(); c.Close() }()
		}
	}()
	speak := func(least, most uint16, suites ...uint16) (tls.ConnectionState, error) {
		c, err := tls.DialWithDialer(&net.Dialer{Timeout: 5 * time.Second}, "tcp", ln.Addr().String(),
			&tls.Config{RootCAs: pool, MinVersion: least, MaxVersion: most, CipherSuites: suites})
		if err != nil {
			return tls.ConnectionState{}, err
		}
		defer c.Close()
		return c.ConnectionState(), nil
	}
	for name, most := range map[string]uint16{"1.0": tls.VersionTLS10, "1.1": tls.VersionTLS11} {
		if _, err := speak(tls.VersionTLS10, most); err == nil {
			t.Errorf("TLS %s is spoken", name)
		}
	}
	old := append(tls.InsecureCipherSuites(), tls.CipherSuites()...)
	spoken := 0
	for _, s := range old {
		if s.SupportedVersions[len(s.SupportedVersions)-1] == tls.VersionTLS13 {
			continue
		}
		st, err := speak(tls.VersionTLS12, tls.VersionTLS12, s.ID)
		aead := s.ID&0xff00 == 0xc000 && (len(s.SupportedVersions) == 1 && s.SupportedVersions[0] == tls.VersionTLS12) || s.ID&0xff00 == 0xcc00
		if err == nil {
			spoken++
			if st.CipherSuite != s.ID {
				t.Errorf("%s was asked for, %s is spoken", s.Name, tls.CipherSuiteName(st.CipherSuite))
			}
			if !aead || s.Insecure {
				t.Errorf("%s is spoken", s.Name)
			}
		}
	}
	if spoken != 3 { // of the key we make: AES with GCM at 128 and 256 bits, ChaCha20
		t.Errorf("%d suites of version 1.2 are spoken", spoken)
	}
	if st, err := speak(tls.VersionTLS12, 0); err != nil || st.Version != tls.VersionTLS13 {
		t.Errorf("the newest: %x, %v", st.Version, err)
	}
}
