package cli

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"larder/internal/access"
	"larder/internal/access/homecert"
	"larder/internal/fault"
	"larder/internal/postgres"
	"larder/internal/web"
)

// accessFile is where the password and the phones are kept beside a book that is a
// file. For a book on a server they are kept there; of the file in the user's own
// data folder, under a name made of its address, only the place is used, and what
// an older version kept there.
func (r *run) accessFile() (string, error) {
	path, err := r.bookPath()
	if err != nil {
		return "", err
	}
	if !isURL(path) {
		return path + ".access", nil
	}
	dir, err := r.dataFolder()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256([]byte(path))
	return filepath.Join(dir, "server-"+hex.EncodeToString(sum[:6])+".access"), nil
}

// openDoor reads who may come in.
func (r *run) openDoor() (*access.Door, error) {
	path, err := r.bookPath()
	if err != nil {
		return nil, err
	}
	if !isURL(path) {
		return access.Open(&access.File{Path: path + ".access"}, r.Now, rand.Reader)
	}
	b, err := r.openServer(path)
	if err != nil {
		return nil, err
	}
	r.done = append(r.done, b)
	return r.doorOf(b)
}

// doorOf reads who may come in to a book on a server.
func (r *run) doorOf(b *postgres.Book) (*access.Door, error) {
	store := &sideStore{book: b, ctx: context.WithoutCancel(r.ctx)} // what is at work when we are stopped is finished
	if r.Keeper == "" {
		if err := r.takeOver(store); err != nil {
			return nil, err
		}
	}
	return access.Open(store, r.Now, rand.Reader)
}

// takeOver brings along what an older version kept in a file of the user's.
func (r *run) takeOver(store *sideStore) error {
	file, err := r.accessFile()
	if err != nil {
		return nil // no data folder: there is no file either
	}
	if _, err := os.Stat(file); err != nil {
		return nil
	}
	old, err := (&access.File{Path: file}).Load()
	if err != nil {
		return err
	}
	_, err = store.Change(func(s *access.State) error {
		if s.Version == 0 {
			*s = old
		}
		return nil
	})
	return err
}

// lanFlags are how the home network is answered.
type lanFlags struct {
	Lan    bool   `help:"Answer paired phones and the owner on the home network too (needs a password: larder password)."`
	Cert   string `placeholder:"FILE" help:"With --lan: your own certificate, PEM; read anew when it changes."`
	Key    string `placeholder:"FILE" help:"With --cert: its key, PEM."`
	Acme   string `placeholder:"NAME" help:"With --lan: fetch certificates for this public name (port 443 of the name must lead here)."`
	AcmeAt string `name:"acme-at" placeholder:"URL" help:"With --acme: the directory of another authority than the usual one."`
	HomeCA bool   `name:"home-ca" help:"With --lan: make a certificate authority of this house; its page tells how a phone takes it."`
}

// check tells what does not go together.
func (f *lanFlags) check() error {
	ways := 0
	for _, on := range []bool{f.Cert != "" || f.Key != "", f.Acme != "", f.HomeCA} {
		if on {
			ways++
		}
	}
	switch {
	case ways > 0 && !f.Lan:
		return fault.New(fault.Usage, "--lan", "a certificate is of use on the home network only").WithHint("add --lan")
	case ways > 1:
		return fault.New(fault.Usage, "", "--cert, --acme and --home-ca are three ways to one certificate").WithHint("take one of them")
	case (f.Cert == "") != (f.Key == ""):
		return fault.New(fault.Usage, "--cert", "a certificate and its key go together").WithHint("--cert FILE --key FILE")
	case f.AcmeAt != "" && f.Acme == "":
		return fault.New(fault.Usage, "--acme-at", "this goes with --acme").WithHint("--acme NAME --acme-at URL")
	}
	return nil
}

// network is the home network as this computer sees it.
type network struct{ prefixes func() []netip.Prefix }

// interfaces gives the addresses of this computer with their networks.
func interfaces() []netip.Prefix {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil // no network: nobody is at home there
	}
	var out []netip.Prefix
	for _, a := range all {
		if p, err := netip.ParsePrefix(a.String()); err == nil {
			out = append(out, netip.PrefixFrom(p.Addr().Unmap(), min(p.Bits(), p.Addr().Unmap().BitLen())))
		}
	}
	return out
}

// home tells whether an address is of the home network: of those no internet
// site has, or of a network this computer is itself on, as its IPv6 neighbours
// are.
func (n network) home(a netip.Addr) bool {
	if a = a.Unmap().WithZone(""); homecert.HomeAddress(a) {
		return true
	}
	return a.Is6() && slices.ContainsFunc(n.prefixes(), func(p netip.Prefix) bool {
		return p.Addr().Is6() && p.Bits() >= 48 && p.Masked().Contains(a)
	})
}

// own gives this computer's addresses on it, those phones find best first: IPv4
// before IPv6, and none that only this computer or this cable knows, unless there
// is no other.
func (n network) own() []netip.Addr {
	var out []netip.Addr
	for _, p := range n.prefixes() {
		if a := p.Addr(); !a.IsLoopback() && !a.IsLinkLocalUnicast() && homecert.HomeAddress(a) {
			out = append(out, a)
		}
	}
	slices.SortStableFunc(out, func(a, b netip.Addr) int {
		if a.Is4() != b.Is4() {
			return map[bool]int{true: -1, false: 1}[a.Is4()]
		}
		return rank(a) - rank(b)
	})
	return slices.Compact(out)
}

// rank puts the ranges that household routers hand out first; those of virtual
// machines are mostly in the middle one.
func rank(a netip.Addr) int {
	switch b := a.As16(); {
	case !a.Is4():
		return 3
	case b[12] == 192:
		return 0
	case b[12] == 10:
		return 1
	}
	return 2
}

// hostNames gives what this computer is called at home.
func hostNames() []string {
	name, err := os.Hostname()
	if err != nil || name == "" {
		return nil
	}
	name = strings.ToLower(strings.TrimSuffix(name, "."))
	short, _, _ := strings.Cut(name, ".")
	return slices.Compact([]string{name, short, short + ".local"})
}

// house is the home network made ready: what the screens are told, and how TLS
// is spoken, nil = not.
type house struct {
	lan   *web.Lan
	hosts []string
	tls   *tls.Config
	say   []string     // for the terminal
	at    atomic.Value // *net.TCPAddr, once it is listened on
}

// ready prepares the home network.
func (f *lanFlags) ready(r *run) (*house, error) {
	n := network{interfaces}
	h := &house{hosts: hostNames(), lan: &web.Lan{How: "plain", Home: n.home}}
	scheme, names := "http", []string(nil)
	switch {
	case f.Cert != "":
		files, err := homecert.OpenFiles(f.Cert, f.Key, r.Now)
		if err != nil {
			return nil, err
		}
		scheme, h.lan.How = "https", "own"
		h.tls = homecert.Safe(&tls.Config{GetCertificate: files.Certificate})
		for _, name := range first(files.Names()) {
			if !strings.HasPrefix(name, "*.") {
				names = append(names, name)
			}
		}
	case f.Acme != "":
		dir, err := r.besideBook("acme")
		if err != nil {
			return nil, err
		}
		p, err := homecert.OpenPublic(f.Acme, dir, f.AcmeAt, nil)
		if err != nil {
			return nil, err
		}
		scheme, h.lan.How, names, h.tls = "https", "acme", []string{p.Name()}, p.Config()
		h.say = append(h.say, "Certificates are fetched for "+p.Name()+" when the first phone connects: the name must lead to this house, and port 443 of it to this program.")
	case f.HomeCA:
		dir, err := r.besideBook("home-authority")
		if err != nil {
			return nil, err
		}
		ca, err := homecert.OpenAuthority(dir, append(hostNames(), "localhost"), func() []netip.Addr {
			var out []netip.Addr
			for _, p := range n.prefixes() {
				out = append(out, p.Addr())
			}
			return out
		}, r.Now)
		if err != nil {
			return nil, err
		}
		scheme, h.lan.How = "https", "home"
		h.tls = homecert.Safe(&tls.Config{GetCertificate: ca.Certificate})
		h.lan.Root, h.lan.Print, h.lan.Ends = ca.Root(), ca.Fingerprint(), ca.Ends()
		h.say = append(h.say, "Each phone takes the certificate of this house once: open the address below with /certificate behind it.",
			"Its fingerprint (SHA-256): "+ca.Fingerprint())
	}
	h.lan.Secure = h.tls != nil
	h.hosts = append(h.hosts, names...)
	h.lan.Addresses = func() []string { return h.addresses(scheme, names, n) }
	return h, nil
}

// addresses gives how phones open us: by the names the certificate holds for,
// else by this computer's addresses of the moment.
func (h *house) addresses(scheme string, names []string, n network) []string {
	bound, _ := h.at.Load().(*net.TCPAddr)
	if bound == nil {
		return nil // not listened on yet
	}
	port := strconv.Itoa(bound.Port)
	at := func(host string) string {
		if scheme == "https" && port == "443" || scheme == "http" && port == "80" {
			if strings.Contains(host, ":") {
				host = "[" + host + "]"
			}
			return scheme + "://" + host
		}
		return scheme + "://" + net.JoinHostPort(host, port)
	}
	var out []string
	for _, name := range names {
		out = append(out, at(name))
	}
	if len(names) > 0 {
		return out
	}
	only, _ := netip.AddrFromSlice(bound.IP)
	for _, a := range n.own() {
		if !bound.IP.IsUnspecified() && only.Unmap() != a {
			continue
		}
		out = append(out, at(a.String()))
	}
	return out
}

func first[A, B any](a A, _ B) A { return a }

// besideBook gives a folder of ours beside the book.
func (r *run) besideBook(name string) (string, error) {
	file, err := r.accessFile()
	if err != nil {
		return "", err
	}
	return filepath.Join(filepath.Dir(file), name), nil
}

// sniff takes both plain and TLS connections at one port: the first byte of a
// TLS connection is 22 (RFC 8446 §5.1), no request begins with it. Who sends
// nothing is dropped after a while and holds nobody up.
type sniff struct {
	net.Listener
	plain, safe chan net.Conn
	done        chan struct{}
}

// sniffPatience is how long the first byte may take.
const sniffPatience = 5 * time.Second

func newSniff(ln net.Listener) *sniff {
	s := &sniff{ln, make(chan net.Conn), make(chan net.Conn), make(chan struct{})}
	go s.run()
	return s
}

func (s *sniff) run() {
	defer close(s.done)
	for {
		c, err := s.Listener.Accept()
		if err != nil {
			if ne, ok := err.(net.Error); ok && ne.Timeout() {
				continue
			}
			return // closed
		}
		go s.sort(c)
	}
}

func (s *sniff) sort(c net.Conn) {
	var b [1]byte
	_ = c.SetReadDeadline(time.Now().Add(sniffPatience))
	if n, err := c.Read(b[:]); n != 1 || err != nil {
		c.Close()
		return
	}
	_ = c.SetReadDeadline(time.Time{})
	to := s.plain
	if b[0] == 22 {
		to = s.safe
	}
	select {
	case to <- &begun{Conn: c, first: b[:]}:
	case <-s.done:
		c.Close()
	}
}

// begun is a connection whose first byte was read.
type begun struct {
	net.Conn
	first []byte
}

func (b *begun) Read(p []byte) (int, error) {
	if len(b.first) > 0 && len(p) > 0 {
		n := copy(p, b.first)
		b.first = b.first[n:]
		return n, nil
	}
	return b.Conn.Read(p)
}

// half is a listener of one of the two.
type half struct {
	*sniff
	of chan net.Conn
}

// Close ends both: they are one port. The server closes each of its listeners.
func (h half) Close() error {
	if err := h.Listener.Close(); !errors.Is(err, net.ErrClosed) {
		return err
	}
	return nil
}

func (h half) Accept() (net.Conn, error) {
	select {
	case c := <-h.of:
		return c, nil
	case <-h.done:
		return nil, net.ErrClosed
	}
}

// sayLan tells on the terminal how phones come in.
func (h *house) sayLan(r *run) {
	for _, s := range h.say {
		fmt.Fprintln(r.Out, s)
	}
	list := h.lan.Addresses()
	if len(list) == 0 {
		fmt.Fprintln(r.Out, "No home network reaches this address now; phones find it once one does.")
		return
	}
	fmt.Fprintf(r.Out, "Phones at home find it at %s/  Pair one under House, Phones.\n", strings.Join(list, "/ or "))
}
