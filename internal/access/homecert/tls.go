package homecert

import "crypto/tls"

// Safe makes TLS settings those of all our listeners: version 1.2 or 1.3, and of
// 1.2 the suites only that encrypt and seal in one and keep what was said secret
// when a key gets out later.
//
// OWASP Application Security Verification Standard 5.0, 12.1.1 and 11.3.2. RFC 9325
// (BCP 195), sections 3.1.1 and 4.2, recommends these versions and suites.
func Safe(c *tls.Config) *tls.Config {
	c.MinVersion = tls.VersionTLS12
	c.CipherSuites = []uint16{
		tls.TLS_ECDHE_ECDSA_WITH_AES_128_GCM_SHA256, tls.TLS_ECDHE_RSA_WITH_AES_128_GCM_SHA256,
		tls.TLS_ECDHE_ECDSA_WITH_AES_256_GCM_SHA384, tls.TLS_ECDHE_RSA_WITH_AES_256_GCM_SHA384,
		tls.TLS_ECDHE_ECDSA_WITH_CHACHA20_POLY1305_SHA256, tls.TLS_ECDHE_RSA_WITH_CHACHA20_POLY1305_SHA256,
	}
	return c
}
