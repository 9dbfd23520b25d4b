package cli

import (
	"encoding/xml"
	"io"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// readUnit reads a line of quoted words back as systemd.syntax(7) and
// systemd.service(5) tell: double quotes, \\ and \" inside, %% for %, $$ for $.
func readUnit(t *rapid.T, line string) []string {
	var out []string
	for line != "" {
		if line[0] == ' ' {
			line = line[1:]
			continue
		}
		if line[0] != '"' {
			t.Fatalf("a word is not quoted: %s", line)
		}
		var b strings.Builder
		i := 1
		for ; line[i] != '"'; i++ {
			switch c := line[i]; c {
			case '\\':
				i++
				if line[i] != '\\' && line[i] != '"' {
					t.Fatalf("escape %c", line[i])
				}
				b.WriteByte(line[i])
			case '%', '$':
				if c == '$' && len(out) == 0 { // the program
					b.WriteByte(c)
					continue
				}
				i++
				if line[i] != c {
					t.Fatalf("a single %c", c)
				}
				b.WriteByte(c)
			default:
				b.WriteByte(c)
			}
		}
		out = append(out, b.String())
		line = line[i+1:]
	}
	return out
}

// readWindows reads a command line back as Microsoft tells it for C programs:
// backslashes count only before a quote, 2n of them are n, 2n+1 are n and the quote.
func readWindows(line string) []string {
	var out []string
	var b strings.Builder
	in, inside := false, false
	for i := 0; i < len(line); {
		n := 0
		for i+n < len(line) && line[i+n] == '\\' {
			n++
		}
		i += n
		if i < len(line) && line[i] == '"' {
			b.WriteString(strings.Repeat(`\`, n/2))
			in = true
			if n%2 == 1 {
				b.WriteByte('"')
			} else {
				inside = !inside
			}
			i++
			continue
		}
		b.WriteString(strings.Repeat(`\`, n))
		in = in || n > 0
		if i == len(line) {
			break
		}
		if c := line[i]; !inside && (c == ' ' || c == '\t') {
			if in {
				out = append(out, b.String())
			}
			b.Reset()
			in = false
		} else {
			b.WriteByte(c)
			in = true
		}
		i++
	}
	if in {
		out = append(out, b.String())
	}
	return out
}

// Whatever the folders are called, the system gets the words that were meant.
func TestServiceSaysWhatIsMeant(t *testing.T) {
	word := rapid.StringOf(rapid.RuneFrom([]rune(`abé /\\"'%$ .:-&<>|`)))
	rapid.Check(t, func(t *rapid.T) {
		command := rapid.SliceOfN(word, 1, 6).Draw(t, "command")
		_, line, _ := strings.Cut(UserUnit(command), "ExecStart=")
		line, _, _ = strings.Cut(line, "\n")
		if got := readUnit(t, line); !slices.Equal(got, command) {
			t.Fatalf("systemd reads %q", got)
		}
		if got := readWindows(windowsLine(command)); !slices.Equal(got, command) {
			t.Fatalf("Windows reads %q from %s", got, windowsLine(command))
		}
		if got := readPlist(t, launchdPlist(command, "log")); !slices.Equal(got, append(slices.Clone(command), "log")) {
			t.Fatalf("launchd reads %q", got)
		}
	})
}

// readPlist gives the strings of a property list but the label.
func readPlist(t *rapid.T, text string) []string {
	var out []string
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return out[1:]
		}
		if err != nil {
			t.Fatal(err)
		}
		if s, ok := tok.(xml.StartElement); ok && s.Name.Local == "string" {
			var v string
			if err := d.DecodeElement(&v, &s); err != nil {
				t.Fatal(err)
			}
			out = append(out, v)
		}
	}
}
