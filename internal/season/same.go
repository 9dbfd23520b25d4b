package season

import "bytes"

// Same tells whether two facts say the same, to the letter of their stored
// form.
func Same(a, b *Fact) bool {
	if a.ID != b.ID || a.Seen != b.Seen || a.WrittenAt() != b.WrittenAt() || a.By != b.By || a.Replaces != b.Replaces || a.Kind() != b.Kind() {
		return false
	}
	x, err1 := EncodeBody(a)
	y, err2 := EncodeBody(b)
	if err1 != nil || err2 != nil {
		return false
	}
	if bytes.Equal(x, y) {
		return true
	}
	// One may be fresh from the keeper's hand and the other read back.
	x, err1 = a.settled()
	y, err2 = b.settled()
	return err1 == nil && err2 == nil && bytes.Equal(x, y)
}
