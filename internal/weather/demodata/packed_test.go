package demodata

import (
	"crypto/sha1"
	"encoding/hex"
	"fmt"
	"testing"
)

// TestUnchanged: unpacked, the file has the hash its datapackage.json states, which
// is that of a git blob.
func TestUnchanged(t *testing.T) {
	sum := sha1.Sum(append(fmt.Appendf(nil, "blob %d\x00", len(CSV())), CSV()...))
	if got := hex.EncodeToString(sum[:]); got != "0e7e853f4c5b67615da261d5d343824a43510f50" {
		t.Errorf("%d bytes with hash %s", len(CSV()), got)
	}
}
