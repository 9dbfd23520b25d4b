// Package homecert gives the program a certificate at home, so that a phone's
// browser trusts the connection and Round works without signal. Three ways: the
// keeper's own files ([Files]), a public name with certificates fetched by ACME
// ([Public]), or a small authority of this house ([Authority]) whose root the
// keeper puts on his phones himself.
//
// Rules. The authority's key never leaves its file, which only its owner may
// read. What it signs holds for this computer's names and for addresses of home
// networks only; that limit stands in the root itself. A certificate lives 396
// days at most and is made anew in time, also when the computer's address
// changes.
//
// It refuses to know who is let in: a trusted connection is not a login.
package homecert
