package folder

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"larder/internal/fault"
)

// Limits. A file beyond them is no season table but a slip or an attack.
const (
	maxFile  = 64 << 20
	maxRows  = 1_000_000
	maxCols  = 200
	maxCell  = 10 << 10
	maxTold  = 200 // troubles told of one file
	titleTop = 10  // rows looked at to find the head
)

const (
	hintUTF8 = "save the table as \"CSV UTF-8\""
	bom8     = "\xef\xbb\xbf"
)

// textOf makes text of the bytes of a file: UTF-8 with or without a byte order
// mark, UTF-16 with one, else Windows-1252, of which ansi tells. NUL characters
// are refused: no table has them, and much software stops reading at one.
func textOf(file string, b []byte) (s string, ansi bool, err error) {
	switch {
	case len(b) > maxFile:
		return "", false, fault.Newf(fault.OutOfRange, file, "the file has %d MB", len(b)>>20).
			WithHint("at most %d MB; split it by years", maxFile>>20)
	case bytes.HasPrefix(b, []byte("PK\x03\x04")):
		return "", false, fault.New(fault.Damaged, file, "this is a workbook or a zip file, not a text table").WithHint(hintUTF8)
	case bytes.HasPrefix(b, []byte("\xff\xfe")):
		s, err = utf16Of(file, b[2:], binary.LittleEndian)
	case bytes.HasPrefix(b, []byte("\xfe\xff")):
		s, err = utf16Of(file, b[2:], binary.BigEndian)
	case bytes.HasPrefix(b, []byte(bom8)):
		s = string(b[3:])
		if !utf8.ValidString(s) {
			err = fault.New(fault.Damaged, file, "the file says it is UTF-8 but is not").WithHint(hintUTF8)
		}
	case utf8.Valid(b):
		s = string(b)
	case bytes.IndexByte(b, 0) >= 0:
		err = nul(file)
	default:
		ansi = true
		var t []byte
		if t, err = charmap.Windows1252.NewDecoder().Bytes(b); err != nil {
			err = fault.New(fault.Damaged, file, "the text cannot be read").WithHint(hintUTF8)
		}
		s = string(t)
	}
	if err == nil && strings.IndexByte(s, 0) >= 0 {
		err = nul(file)
	}
	if err != nil {
		return "", false, err
	}
	return s, ansi, nil
}

func nul(file string) error {
	return fault.New(fault.Damaged, file, "there are NUL characters in it, so it is no text table").WithHint(hintUTF8)
}

func utf16Of(file string, b []byte, order binary.ByteOrder) (string, error) {
	if len(b)%2 != 0 {
		return "", fault.New(fault.Damaged, file, "the file breaks off in the middle of a character").WithHint(hintUTF8)
	}
	u := make([]uint16, len(b)/2)
	for i := range u {
		u[i] = order.Uint16(b[2*i:])
	}
	return string(utf16.Decode(u)), nil
}
