package access

import (
	"encoding/base64"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
	"golang.org/x/text/unicode/norm"

	"larder/internal/fault"
)

// Lengths of a password, in letters: the least that is taken, the least that is
// advised, and bytes that are surely no password.
//
// OWASP Application Security Verification Standard 5.0, 6.2.1 (8, 15 advised) and
// 6.2.9 (at least 64 must be possible). No rule on what letters: 6.2.5.
const (
	LeastLetters   = 8
	AdvisedLetters = 15
	mostBytes      = 1024
)

// The cost of a hash: memory in KiB, passes, lanes.
//
// OWASP Password Storage Cheat Sheet, Argon2id: the least is m=19456 (19 MiB),
// t=2, p=1.
const (
	hashMemory = 19456
	hashTime   = 2
	hashLanes  = 1
	hashSalt   = 16
	hashLength = 32
)

// CheckPassword tells what is wrong with a password to be set, as a fault a
// person can act on; nil if nothing.
func CheckPassword(password string) error {
	letters := utf8.RuneCountInString(password)
	switch {
	case letters < LeastLetters:
		return fault.Newf(fault.OutOfRange, "password", "this password has %d letters; it needs at least %d", letters, LeastLetters).
			WithHint("four or five words of your own, one after the other, are easy to keep and hard to guess; %d letters or more are better", AdvisedLetters)
	case len(password) > mostBytes:
		return fault.New(fault.OutOfRange, "password", "this password is too long to be one").WithHint("at most about a thousand letters")
	case strings.Trim(password, " ") == "" || oneLetter(password):
		return fault.New(fault.Unsafe, "password", "one letter over and over is guessed at once").WithHint("take a few words of your own")
	case isCommon(password):
		return fault.New(fault.Unsafe, "password", "this password is among those that are tried first").WithHint("take a few words of your own")
	}
	return nil
}

func oneLetter(s string) bool {
	first, n := utf8.DecodeRuneInString(s)
	return strings.Trim(s[n:], string(first)) == ""
}

// hashPassword makes what is kept of a password.
func hashPassword(password string, random io.Reader) (string, error) {
	salt := make([]byte, hashSalt)
	if _, err := io.ReadFull(random, salt); err != nil {
		return "", fault.Wrap(err, "hash password")
	}
	sum := argon2.IDKey(plain(password), salt, hashTime, hashMemory, hashLanes, hashLength)
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, hashMemory, hashTime, hashLanes, b64.EncodeToString(salt), b64.EncodeToString(sum)), nil
}

// checkHash tells whether a password is the one kept, and whether it is kept at
// less than today's cost. What cannot be read is nobody's password.
func checkHash(kept, password string) (ok, cheap bool) {
	parts := strings.Split(kept, "$")
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" {
		return false, false
	}
	var version int
	var memory, passes uint32
	var lanes uint8
	if _, err := fmt.Sscanf(parts[2], "v=%d", &version); err != nil || version != argon2.Version {
		return false, false
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &memory, &passes, &lanes); err != nil || memory > 1<<20 || passes < 1 || passes > 100 || lanes < 1 {
		return false, false
	}
	salt, err1 := base64.RawStdEncoding.DecodeString(parts[4])
	want, err2 := base64.RawStdEncoding.DecodeString(parts[5])
	if err1 != nil || err2 != nil || len(want) < 16 || len(want) > 256 {
		return false, false
	}
	got := argon2.IDKey(plain(password), salt, passes, memory, lanes, uint32(len(want)))
	return same(string(got), string(want)), memory < hashMemory || passes < hashTime && memory == hashMemory
}

// plain makes a password the same from whatever keyboard it was typed: an é may
// come as one sign or as two.
func plain(password string) []byte { return norm.NFC.Bytes([]byte(password)) }
