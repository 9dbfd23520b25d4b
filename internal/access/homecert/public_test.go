package homecert

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"encoding/base64"
	"encoding/json"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"larder/internal/fault"
)

// fakeACME is an authority that speaks enough of RFC 8555 to give a certificate,
// and proves names by TLS-ALPN as RFC 8737 says: it connects and looks for the
// digest of the key authorization in the certificate shown. It does not check the
// signatures of requests.
type fakeACME struct {
	t      *testing.T
	srv    *httptest.Server
	target string // where the name leads
	key    *ecdsa.PrivateKey
	root   *x509.Certificate

	mu     sync.Mutex
	thumb  string // of the account's key
	proved bool
	issued []byte
	wrong  string // what the proof lacked
}

const acmeToken = "token-of-the-test"

func newFakeACME(t *testing.T, target string) *fakeACME {
	f := &fakeACME{t: t, target: target}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	sound(t, err)
	tmpl := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "test authority"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour * 2000), IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}
	der, err := x509.CreateCertificate(rand.Reader, tmpl, tmpl, &key.PublicKey, key)
	sound(t, err)
	f.key = key
	f.root, err = x509.ParseCertificate(der)
	sound(t, err)
	f.srv = httptest.NewServer(http.HandlerFunc(f.answer))
	t.Cleanup(f.srv.Close)
	return f
}

// payload reads a request, unchecked, and remembers the account's key.
func (f *fakeACME) payload(r *http.Request, v any) {
	var jws struct{ Protected, Payload string }
	if err := json.NewDecoder(r.Body).Decode(&jws); err != nil {
		f.t.Errorf("%s: %v", r.URL.Path, err)
		return
	}
	head, _ := base64.RawURLEncoding.DecodeString(jws.Protected)
	var p struct {
		JWK map[string]string `json:"jwk"`
	}
	_ = json.Unmarshal(head, &p)
	if p.JWK != nil { // RFC 7638: the members in order, without blanks
		canon := fmt.Sprintf(`{"crv":%q,"kty":%q,"x":%q,"y":%q}`, p.JWK["crv"], p.JWK["kty"], p.JWK["x"], p.JWK["y"])
		sum := sha256.Sum256([]byte(canon))
		f.thumb = base64.RawURLEncoding.EncodeToString(sum[:])
	}
	body, _ := base64.RawURLEncoding.DecodeString(jws.Payload)
	if v != nil && len(body) > 0 {
		if err := json.Unmarshal(body, v); err != nil {
			f.t.Errorf("%s: %v", r.URL.Path, err)
		}
	}
}

func (f *fakeACME) answer(w http.ResponseWriter, r *http.Request) {
	f.mu.Lock()
	defer f.mu.Unlock()
	at := func(p string) string { return f.srv.URL + p }
	say := func(code int, v any) {
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(code)
		_ = json.NewEncoder(w).Encode(v)
	}
	w.Header().Set("Replay-Nonce", fmt.Sprint(time.Now().UnixNano()))
	status := map[bool]string{false: "pending", true: "valid"}[f.proved]
	order := func() map[string]any {
		o := map[string]any{"status": map[bool]string{false: "pending", true: "ready"}[f.proved], "identifiers": []any{map[string]string{"type": "dns", "value": "larder.example.org"}}, "authorizations": []string{at("/authz")}, "finalize": at("/finalize")}
		if f.issued != nil {
			o["status"], o["certificate"] = "valid", at("/cert")
		}
		return o
	}
	challenge := map[string]any{"type": "tls-alpn-01", "url": at("/challenge"), "token": acmeToken, "status": status}
	switch r.URL.Path {
	case "/":
		say(200, map[string]any{"newNonce": at("/nonce"), "newAccount": at("/account"), "newOrder": at("/order"), "revokeCert": at("/revoke"), "keyChange": at("/keychange")})
	case "/nonce":
		w.WriteHeader(200)
	case "/account":
		f.payload(r, nil)
		w.Header().Set("Location", at("/account/1"))
		say(201, map[string]any{"status": "valid", "orders": at("/orders")})
	case "/order":
		f.payload(r, nil)
		w.Header().Set("Location", at("/order/1"))
		say(201, order())
	case "/order/1":
		say(200, order())
	case "/authz":
		say(200, map[string]any{"status": status, "identifier": map[string]string{"type": "dns", "value": "larder.example.org"}, "challenges": []any{challenge}})
	case "/challenge":
		f.payload(r, nil)
		f.prove()
		challenge["status"] = map[bool]string{false: "invalid", true: "valid"}[f.proved]
		say(200, challenge)
	case "/finalize":
		var p struct{ CSR string }
		f.payload(r, &p)
		der, _ := base64.RawURLEncoding.DecodeString(p.CSR)
		csr, err := x509.ParseCertificateRequest(der)
		if err != nil || !f.proved {
			f.t.Errorf("finalize: %v, proved %v", err, f.proved)
			return
		}
		tmpl := &x509.Certificate{SerialNumber: big.NewInt(2), DNSNames: csr.DNSNames, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(90 * 24 * time.Hour), ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
		leaf, err := x509.CreateCertificate(rand.Reader, tmpl, f.root, csr.PublicKey, f.key)
		if err != nil {
			f.t.Error(err)
		}
		f.issued = leaf
		w.Header().Set("Location", at("/order/1"))
		say(200, order())
	case "/cert":
		w.Header().Set("Content-Type", "application/pem-certificate-chain")
		_ = pem.Encode(w, &pem.Block{Type: "CERTIFICATE", Bytes: f.issued})
		_ = pem.Encode(w, &pem.Block{Type: "CERTIFICATE", Bytes: f.root.Raw})
	default:
		f.t.Errorf("asked for %s", r.URL.Path)
		w.WriteHeader(404)
	}
}

// prove connects as RFC 8737 §3 says.
func (f *fakeACME) prove() {
	conn, err := tls.Dial("tcp", f.target, &tls.Config{ServerName: "larder.example.org", NextProtos: []string{"acme-tls/1"}, InsecureSkipVerify: true})
	if err != nil {
		f.wrong = err.Error()
		return
	}
	defer conn.Close()
	st := conn.ConnectionState()
	sum := sha256.Sum256([]byte(acmeToken + "." + f.thumb))
	want, _ := asn1.Marshal(sum[:])
	for _, e := range st.PeerCertificates[0].Extensions {
		if e.Id.Equal(asn1.ObjectIdentifier{1, 3, 6, 1, 5, 5, 7, 1, 31}) && e.Critical && string(e.Value) == string(want) && st.NegotiatedProtocol == "acme-tls/1" {
			f.proved = true
			return
		}
	}
	f.wrong = "the certificate shown does not hold the proof"
}

// From nothing to a certificate for a public name, against an authority of the
// test; the second connection asks nobody.
func TestPublicNameGetsItsCertificate(t *testing.T) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	sound(t, err)
	f := newFakeACME(t, ln.Addr().String())
	dir := t.TempDir()
	p, err := OpenPublic("Larder.Example.org", dir, f.srv.URL+"/", f.srv.Client())
	sound(t, err)
	srv := &http.Server{Handler: http.NotFoundHandler(), TLSConfig: p.Config(), ReadHeaderTimeout: time.Minute}
	go func() { _ = srv.ServeTLS(ln, "", "") }()
	defer srv.Close()
	pool := x509.NewCertPool()
	pool.AddCert(f.root)
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	dial := func(name string) error {
		conn, err := (&tls.Dialer{Config: &tls.Config{ServerName: name, RootCAs: pool}}).DialContext(ctx, "tcp", ln.Addr().String())
		if err == nil {
			conn.Close()
		}
		return err
	}
	if err := dial("larder.example.org"); err != nil {
		t.Fatalf("%v (the proof: %s)", err, f.wrong)
	}
	f.srv.Close() // now the authority is away
	if err := dial("larder.example.org"); err != nil {
		t.Errorf("the second time: %v", err)
	}
	if err := dial("other.example.org"); err == nil {
		t.Error("it holds for another name")
	}
	// Kept on the disk: a new start asks nobody.
	again, err := OpenPublic("larder.example.org", dir, f.srv.URL+"/", nil)
	sound(t, err)
	cert, err := again.manager.GetCertificate(&tls.ClientHelloInfo{ServerName: "larder.example.org", CipherSuites: []uint16{tls.TLS_ECDHE_ECDSA_WITH_AES_128_GCM_SHA256}, SignatureSchemes: []tls.SignatureScheme{tls.ECDSAWithP256AndSHA256}, SupportedCurves: []tls.CurveID{tls.CurveP256}})
	if err != nil || !strings.EqualFold(cert.Leaf.DNSNames[0], "larder.example.org") {
		t.Errorf("after a new start: %v", err)
	}
}

func TestPublicNames(t *testing.T) {
	for _, bad := range []string{"", "barn", "barn.local", "192.168.1.2", "::1", "home.lan", "x.home.arpa", "a b.example", "http://x.example"} {
		if _, err := OpenPublic(bad, "", "", nil); !fault.Is(err, fault.NotUnderstood) || fault.HintOf(err) == "" {
			t.Errorf("%q: %v", bad, err)
		}
	}
	if p, err := OpenPublic("Bücher.example.", t.TempDir(), "", nil); err != nil || p.Name() != "xn--bcher-kva.example" {
		t.Errorf("%v", err)
	}
}
