package homecert

import (
	"crypto/tls"
	"fmt"
	"net/netip"
	"os"
	"sync"
	"time"

	"larder/internal/fault"
)

// lookEvery is how often the files are looked at for a change.
const lookEvery = 10 * time.Second

// Files is a certificate and its key in files of the keeper's own. They are read
// anew when they change; while what is there cannot be used, the former goes on.
type Files struct {
	cert, key string
	now       func() time.Time

	mu     sync.Mutex
	have   *tls.Certificate
	stamp  string
	looked time.Time
	bad    error
}

// OpenFiles reads a certificate and its key, both PEM. Faults: fault.NotFound,
// fault.NotUnderstood for files that are none or do not belong together,
// fault.OutOfRange for a certificate that has ended.
func OpenFiles(cert, key string, now func() time.Time) (*Files, error) {
	f := &Files{cert: cert, key: key, now: now}
	f.stamp = f.stampNow()
	var err error
	f.have, err = f.read()
	return f, err
}

func (f *Files) stampNow() string {
	s := ""
	for _, name := range []string{f.cert, f.key} {
		if info, err := os.Stat(name); err == nil {
			s += fmt.Sprint(info.ModTime().UnixNano(), info.Size(), ";")
		}
	}
	return s
}

func (f *Files) read() (*tls.Certificate, error) {
	for _, name := range []string{f.cert, f.key} {
		if _, err := os.Stat(name); err != nil {
			return nil, &fault.Error{Kind: fault.NotFound, Thing: name, Say: "this file cannot be read", Hint: "--cert and --key name a certificate and its key, both PEM", Err: err}
		}
	}
	c, err := tls.LoadX509KeyPair(f.cert, f.key)
	if err != nil {
		return nil, &fault.Error{Kind: fault.NotUnderstood, Thing: f.cert, Say: "this is no certificate with its key", Hint: "both are PEM files, and the key in --key is that of the certificate in --cert", Err: err}
	}
	if end := c.Leaf.NotAfter; !f.now().Before(end) {
		return nil, fault.Newf(fault.OutOfRange, f.cert, "this certificate ended on %s", end.Format("2006-01-02")).WithHint("renew it; a running larder takes the new files up by itself")
	}
	return &c, nil
}

// Certificate gives the certificate as the files have it now.
func (f *Files) Certificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if now := f.now(); now.Sub(f.looked).Abs() >= lookEvery {
		f.looked = now
		if s := f.stampNow(); s != f.stamp {
			if c, err := f.read(); err == nil { // else half of it is written: looked at again
				f.have, f.stamp, f.bad = c, s, nil
			} else {
				f.bad = err
			}
		}
	}
	return f.have, nil
}

// Trouble gives why changed files were not taken up, nil if they were.
func (f *Files) Trouble() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.bad
}

// Names gives the names and addresses the certificate holds for.
func (f *Files) Names() (names []string, addresses []netip.Addr) {
	f.mu.Lock()
	defer f.mu.Unlock()
	names = append(names, f.have.Leaf.DNSNames...)
	for _, ip := range f.have.Leaf.IPAddresses {
		if a, ok := netip.AddrFromSlice(ip); ok {
			addresses = append(addresses, a.Unmap())
		}
	}
	return names, addresses
}
