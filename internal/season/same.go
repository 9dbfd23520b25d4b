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
	return err1 == nil && err2 == nil && bytes.Equal(x, y)
}
