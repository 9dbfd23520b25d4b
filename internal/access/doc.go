// Package access knows who may come in from another device: the owner and his
// helpers by their passwords, their logins, the phones that were paired and in
// whose hands, and the codes that pair them. It keeps a trail of who did what.
//
// Rules. No secret is kept in the clear: the password is kept as an argon2id
// hash, the tokens of logins and phones as SHA-256 of 256 random bits. Secrets
// are compared in constant time. A pairing code works once, within ten minutes;
// its hash is kept, itself only in memory. Guessing is slowed down, by address and
// overall. Nothing is changed that the trail could not be told of, and nothing
// secret is in it. A helper who is taken off is out with his next request.
// A phone that was revoked stays on the list, so that it can be told why it is
// not let in. Clock and randomness are handed in.
//
// It refuses to know HTTP, cookies and which page is for whom: that is web's.
// It knows nothing of the book: [Store] is all it asks of a place to keep things.
package access
