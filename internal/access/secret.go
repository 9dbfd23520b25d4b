package access

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"io"
	"strings"
)

// tokenBytes of randomness are in a token: 256 bits.
const tokenBytes = 32

// newToken makes a token and what is kept of it.
func newToken(random io.Reader) (token, kept string, err error) {
	b := make([]byte, tokenBytes)
	if _, err := io.ReadFull(random, b); err != nil {
		return "", "", err
	}
	token = base64.RawURLEncoding.EncodeToString(b)
	return token, keep(token), nil
}

// keep gives what is kept of a token. A token is too random to be guessed from
// it, so that a fast hash does.
func keep(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// same compares in a time that does not depend on where two texts differ.
func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// codeLetters are those of a pairing code: digits and capitals without I, L, O
// and U, so that nothing read off a screen can be taken for another. 32 of them:
// five bits each.
const codeLetters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// codeLength letters make 40 bits. At the pace that guessing is let in with
// (ten tries, then one every ten seconds, within ten minutes) the chance of
// hitting one is about 1 in 16 thousand million.
const codeLength = 8

func newCode(random io.Reader) (string, error) {
	b := make([]byte, codeLength)
	if _, err := io.ReadFull(random, b); err != nil {
		return "", err
	}
	for i := range b {
		b[i] = codeLetters[b[i]%32] // 256 is a whole number of 32s: all are equally likely
	}
	return string(b), nil
}

// ReadCode reads a code as people type it: small letters, blanks and dashes do
// not matter, nor does O for 0 or I and L for 1. ok is false when it cannot be a
// code.
func ReadCode(typed string) (code string, ok bool) {
	var out strings.Builder
	for _, r := range strings.ToUpper(typed) {
		switch r {
		case ' ', '-', '–', '\u00a0', '\t':
			continue
		case 'O':
			r = '0'
		case 'I', 'L':
			r = '1'
		}
		if !strings.ContainsRune(codeLetters, r) || out.Len() == codeLength {
			return "", false
		}
		out.WriteRune(r)
	}
	return out.String(), out.Len() == codeLength
}

// ShowCode writes a code in two halves.
func ShowCode(code string) string {
	if len(code) != codeLength {
		return code
	}
	return code[:codeLength/2] + "-" + code[codeLength/2:]
}
