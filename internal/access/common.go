package access

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"strings"
	"sync"
)

//go:embed data/common.txt
var commonText string

// common are the passwords tried first, hashed; data/common.txt says which.
var common = sync.OnceValue(func() map[string]bool {
	out := map[string]bool{}
	for line := range strings.Lines(commonText) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		for h := range strings.FieldsSeq(line) {
			out[h] = true
		}
	}
	return out
})

// isCommon tells whether a password is one of those, written large or small.
//
// OWASP Application Security Verification Standard 5.0, 6.2.4: checked against
// at least the 3000 commonest that the rules would let through.
func isCommon(password string) bool {
	sum := sha256.Sum256([]byte(strings.ToLower(password)))
	return common()[hex.EncodeToString(sum[:5])]
}
