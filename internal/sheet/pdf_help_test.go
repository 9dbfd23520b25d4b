package sheet_test

import (
	"bytes"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"larder/internal/sheet"
)

// made is the date that test files carry.
var made = time.Date(2026, time.October, 13, 18, 2, 0, 0, time.UTC)

// press prints sheets with their text uncompressed.
func press(t testing.TB, p sheet.Paper, docs ...sheet.Doc) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := sheet.PDF(&b, sheet.Print{Paper: p, Title: "Sheets", Lang: "en", Made: made, Plain: true}, docs...); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// pages gives the words of each page, in the order they were written. It reads
// the file itself: content streams come in page order, text stands as UTF-16 in
// "(…) Tj".
func pages(t testing.TB, pdf []byte) [][]string {
	t.Helper()
	var out [][]string
	for rest := pdf; ; {
		_, after, ok := bytes.Cut(rest, []byte("\nstream\n"))
		if !ok {
			break
		}
		stream, tail, ok := bytes.Cut(after, []byte("\nendstream"))
		if !ok {
			t.Fatal("a stream without end")
		}
		rest = tail
		if words := shown(t, stream); words != nil {
			out = append(out, words)
		}
	}
	if n := bytes.Count(pdf, []byte("/Type /Page\n")); n != len(out) {
		t.Fatalf("%d pages, %d with words", n, len(out))
	}
	return out
}

// shown gives the words of a content stream, nil if it has none.
func shown(t testing.TB, stream []byte) []string {
	t.Helper()
	var out []string
	for rest := stream; ; {
		i := bytes.Index(rest, []byte(" Td ("))
		if i < 0 {
			return out
		}
		rest = rest[i+len(" Td ("):]
		var raw []byte
		for n := 0; ; n++ {
			if n >= len(rest) {
				t.Fatal("a text without end")
			}
			if rest[n] == '\\' {
				n++
				if c := rest[n]; c == 'r' {
					raw = append(raw, '\r')
				} else {
					raw = append(raw, c)
				}
				continue
			}
			if rest[n] == ')' {
				rest = rest[n+1:]
				break
			}
			raw = append(raw, rest[n])
		}
		if !bytes.HasPrefix(rest, []byte(" Tj")) || len(raw)%2 != 0 {
			t.Fatalf("not understood: %q", raw)
		}
		u := make([]uint16, len(raw)/2)
		for k := range u {
			u[k] = uint16(raw[2*k])<<8 | uint16(raw[2*k+1])
		}
		out = append(out, string(utf16.Decode(u)))
	}
}

// text joins the words of all pages.
func text(ps [][]string) string {
	var b strings.Builder
	for _, p := range ps {
		b.WriteString(strings.Join(p, "\n") + "\n")
	}
	return b.String()
}

// one makes a sheet or fails.
func one(t testing.TB) func(sheet.Doc, error) sheet.Doc {
	return func(d sheet.Doc, err error) sheet.Doc {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
}
