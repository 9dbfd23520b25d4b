package web

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"larder/internal/fault"
)

func TestCutTable(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"tabs", "hive\tlb\nm1\t93\nm2\t95\n", "hive|lb/m1|93/m2|95"},
		{"tabs win over commas", "m1\t48,5\nm2\t49,0", "m1|48,5/m2|49,0"},
		{"semicolons, decimal comma", "hive;kg\nm1;48,5\nm2;49,0", "hive|kg/m1|48,5/m2|49,0"},
		{"commas", "hive,lb\nm1,93", "hive|lb/m1|93"},
		{"CRLF and CR", "a,1\r\nb,2\rc,3", "a|1/b|2/c|3"},
		{"byte order mark", "\ufeffa,1\nb,2", "a|1/b|2"},
		{"sep line", "sep=;\na;1,5\nb;2,5", "a|1,5/b|2,5"},
		{"quoted", "a,\"x, \"\"y\"\"\nz\",1\nb,\"\",2", "a|x, \"y\"\nz|1/b||2"},
		{"stray quotes", "a,5\" board,1\nb,\"open,2", "a|5\" board|1/b|\"open|2"},
		{"empty columns to the right", "a,1,,,\nb,2,,,", "a|1/b|2"},
		{"blank lines keep their place", "a,1\n\nb,2\n", "a|1//b|2"},
		{"typed by hand", "m1 93 lb\nm2  95\nm3", "m1|93 lb/m2|95/m3"},
		{"typed by hand with decimal commas", "m1 48,5\nm2 49,25\nm3 50", "m1|48,5/m2|49,25/m3|50"},
		{"nothing", "", ""},
	} {
		rows, err := cutTable(c.text)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		var lines []string
		for _, r := range rows {
			lines = append(lines, strings.Join(r, "|"))
		}
		if got := strings.Join(lines, "/"); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestTableTextReadsWhatSpreadsheetsSave(t *testing.T) {
	const want = "colmena;peso\nñ1;48,5"
	sixteen := func(o binary.AppendByteOrder, bom []byte) []byte {
		b := bom
		for _, u := range utf16.Encode([]rune(want)) {
			b = o.AppendUint16(b, u)
		}
		return b
	}
	for name, b := range map[string][]byte{
		"UTF-8": []byte(want), "UTF-8 with a mark": []byte("\xef\xbb\xbf" + want),
		"UTF-16 little": sixteen(binary.LittleEndian, []byte("\xff\xfe")), "UTF-16 big": sixteen(binary.BigEndian, []byte("\xfe\xff")),
		"Windows-1252": []byte("colmena;peso\n\xf11;48,5"),
	} {
		if got, err := tableText(b); err != nil || got != want {
			t.Errorf("%s: %q %v", name, got, err)
		}
	}
	for name, b := range map[string][]byte{
		"workbook": []byte("PK\x03\x04..."), "zeros": []byte("a\x00b"), "half a letter": []byte("\xff\xfea"),
		"too big": bytes.Repeat([]byte("a"), tableBytes+1), "zeros in UTF-16": []byte("\xff\xfea\x00\x00\x00"),
	} {
		if got, err := tableText(b); err == nil || fault.KindOf(err) == fault.Internal {
			t.Errorf("%s: %.20q %v", name, got, err)
		}
	}
}

func TestCutTableHasLimits(t *testing.T) {
	if _, err := cutTable(strings.Repeat("a,1\n", tableRows)); err != nil {
		t.Errorf("as many rows as may be: %v", err)
	}
	for name, text := range map[string]string{
		"rows": strings.Repeat("a,1\n", tableRows+1), "typed rows": strings.Repeat("a 1\n", tableRows+1),
		"columns": strings.Repeat("1,", tableCols+1) + "1", "cell": "a," + strings.Repeat("x", tableCell+1),
		"quoted cell": "a,\"" + strings.Repeat("x", tableCell+1) + "\"", "line": strings.Repeat("x", tableCell+1),
		"bytes": strings.Repeat("a,1\n", tableBytes/2),
	} {
		if _, err := cutTable(text); err == nil || fault.KindOf(err) == fault.Internal {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzCutTable(f *testing.F) {
	for _, s := range []string{"a,1\nb,2", "\"a\"\"b\"\t1\r\n", "sep=;\n", "a;\"", "\ufeff", "x y z", "\"\n\"\n\"", strings.Repeat(",", 200)} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		text, err := tableText(b)
		if err != nil {
			return
		}
		if !utf8.ValidString(text) {
			t.Fatalf("%q is no text", text)
		}
		rows, err := cutTable(text)
		if err != nil {
			return
		}
		if len(rows) > tableRows {
			t.Fatalf("%d rows", len(rows))
		}
		for _, r := range rows {
			if len(r) > tableCols {
				t.Fatalf("%d columns", len(r))
			}
		}
		// What has no quotes and no marks comes out letter for letter.
		if !strings.ContainsAny(text, "\"\r\ufeff=") && !strings.Contains(text, "  ") {
			n := 0
			for _, r := range rows {
				for _, c := range r {
					n += len(strings.TrimSpace(c))
				}
			}
			if n > len(text) {
				t.Fatalf("%d letters out of %d", n, len(text))
			}
		}
	})
}
