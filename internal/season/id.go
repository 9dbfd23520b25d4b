package season

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"

	"larder/internal/fault"
)

// ID names a fact for ever. It is a UUID made where the fact is made: version 7
// by programs and phones, version 8 (a hash of the content) for rows of a
// folder that carry no id of their own, so that reading a folder twice makes
// the same facts. It is a name, not a secret. The zero ID is "none".
type ID [16]byte

// IsZero tells whether id is "none".
func (id ID) IsZero() bool { return id == ID{} }

// Compare orders ids by their bytes.
func (id ID) Compare(o ID) int { return bytes.Compare(id[:], o[:]) }

// String gives the usual 8-4-4-4-12 form, "" for none.
func (id ID) String() string {
	if id.IsZero() {
		return ""
	}
	var b [36]byte
	hex.Encode(b[:8], id[:4])
	b[8] = '-'
	hex.Encode(b[9:13], id[4:6])
	b[13] = '-'
	hex.Encode(b[14:18], id[6:8])
	b[18] = '-'
	hex.Encode(b[19:23], id[8:10])
	b[23] = '-'
	hex.Encode(b[24:], id[10:])
	return string(b[:])
}

// ParseID reads the form String gives, in either case; "" is none.
func ParseID(s string) (ID, error) {
	var id ID
	if s == "" {
		return id, nil
	}
	bad := fault.Newf(fault.NotUnderstood, "", "%q is not an id", s).
		WithHint("an id looks like 0198f2a4-5b6c-7d8e-9f00-112233445566; leave it empty and one is made")
	if len(s) != 36 || s[8] != '-' || s[13] != '-' || s[18] != '-' || s[23] != '-' {
		return id, bad
	}
	src := s[:8] + s[9:13] + s[14:18] + s[19:23] + s[24:]
	if _, err := hex.Decode(id[:], []byte(src)); err != nil || id.IsZero() {
		return ID{}, bad
	}
	return id, nil
}

// DerivedID makes the id of a fact that came without one: a hash of its kind,
// its canonical content and n, the count of equal ones before it. Version 8 of
// RFC 9562.
func DerivedID(kind string, content []byte, n int) ID {
	h := sha256.New()
	h.Write([]byte("larder fact\x00" + kind + "\x00"))
	h.Write(content)
	h.Write([]byte{0, byte(n), byte(n >> 8), byte(n >> 16), byte(n >> 24)})
	var id ID
	copy(id[:], h.Sum(nil))
	id[6] = id[6]&0x0f | 0x80
	id[8] = id[8]&0x3f | 0x80
	return id
}

// MarshalText gives String.
func (id ID) MarshalText() ([]byte, error) { return []byte(id.String()), nil }

// UnmarshalText reads what String gives.
func (id *ID) UnmarshalText(b []byte) error {
	v, err := ParseID(string(b))
	if err == nil {
		*id = v
	}
	return err
}

// Derive gives the id of a fact that came without one; n is the count of facts
// of the same content before it. The id the fact has now does not matter.
func (f *Fact) Derive(n int) (ID, error) {
	body, err := EncodeBody(f)
	if err != nil {
		return ID{}, err
	}
	head := f.Seen.String() + "\x00" + f.Made.String() + "\x00" + f.By + "\x00" + f.Replaces.String() + "\x00"
	return DerivedID(f.Kind(), append([]byte(head), body...), n), nil
}

// RowContent is what the id of a fact is made from that stands in a folder without
// one. body is its JSON, buf room to write in, which may be nil.
func (f *Fact) RowContent(body, buf []byte) []byte {
	b := append(buf, body...)
	for _, s := range []string{f.Seen.String(), f.Made.String(), f.By, f.Replaces.String()} {
		b = append(append(b, '\n'), s...)
	}
	return b
}

// DeriveRow is [Fact.Derive], giving the id the fact would get as a row of a folder:
// whichever way it comes, it is one fact.
func (f *Fact) DeriveRow(n int) (ID, error) {
	body, err := EncodeBody(f)
	if err != nil {
		return ID{}, err
	}
	return DerivedID(f.Kind(), f.RowContent(body, nil), n), nil
}
