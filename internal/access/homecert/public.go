package homecert

import (
	"crypto/tls"
	"net/http"
	"net/netip"
	"strings"
	"time"

	"golang.org/x/crypto/acme"
	"golang.org/x/crypto/acme/autocert"
	"golang.org/x/net/idna"

	"larder/internal/fault"
)

// Public fetches certificates for a public name by ACME (RFC 8555), proving that
// the name is ours by TLS-ALPN (RFC 8737): the authority opens a connection to
// port 443 of the name, and that has to end here.
type Public struct {
	name    string
	manager *autocert.Manager
}

// OpenPublic prepares it; nothing is fetched before somebody connects. dir keeps
// account and certificates. directory is the authority's, "" = Let's Encrypt,
// whose terms are accepted by this. Faults: fault.NotUnderstood for what is no
// public name.
func OpenPublic(name, dir, directory string, client *http.Client) (*Public, error) {
	ascii, err := idna.Lookup.ToASCII(strings.TrimSuffix(strings.ToLower(name), "."))
	_, notName := netip.ParseAddr(ascii)
	private := strings.HasSuffix(ascii, ".local") || strings.HasSuffix(ascii, ".lan") || strings.HasSuffix(ascii, ".home.arpa") || strings.HasSuffix(ascii, ".internal")
	if err != nil || notName == nil || !strings.Contains(ascii, ".") || private {
		return nil, &fault.Error{Kind: fault.NotUnderstood, Thing: name, Say: "this is no public name", Err: err,
			Hint: "--acme needs a name of your own in the internet's directory, such as larder.example.org; at home without one, take --home-ca"}
	}
	if client == nil {
		client = &http.Client{Timeout: time.Minute}
	}
	return &Public{ascii, &autocert.Manager{
		Prompt: autocert.AcceptTOS, Cache: autocert.DirCache(dir), HostPolicy: autocert.HostWhitelist(ascii),
		Client: &acme.Client{DirectoryURL: directory, HTTPClient: client, UserAgent: "larder"},
	}}, nil
}

// Name gives the name, as the directory has it.
func (p *Public) Name() string { return p.name }

// Config gives the TLS settings, with the answer to the authority's proof.
func (p *Public) Config() *tls.Config {
	return Safe(p.manager.TLSConfig())
}
