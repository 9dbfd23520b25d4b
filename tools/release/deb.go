package main

import (
	"bytes"
	"crypto/md5"
	"fmt"
	"strings"
	"time"

	"larder/internal/cli"
)

// debian makes a package. Source of the format: deb(5), deb-control(5); Debian
// Policy Manual, chapters 5 and 12.5. It brings the program, its papers and a
// user unit (systemctl --user enable --now larder); nothing is started by installing it.
func debian(version, arch string, bin []byte, papers []file, when time.Time) ([]byte, error) {
	doc := "./usr/share/doc/larder/"
	data := []file{{"./usr/bin/larder", 0o755, bin}, {"./usr/lib/systemd/user/larder.service", 0o644, []byte(cli.UserUnit([]string{"/usr/bin/larder", "serve", "--no-open"}))}}
	for _, p := range papers {
		name := p.name
		if name == "LICENSE" {
			name = "copyright"
		}
		data = append(data, file{doc + name, 0o644, p.data})
	}
	size := 0
	var md5s strings.Builder
	for _, f := range data {
		size += len(f.data)
		fmt.Fprintf(&md5s, "%x  %s\n", md5.Sum(f.data), strings.TrimPrefix(f.name, "./")) // what the format asks for
	}
	control := fmt.Sprintf("Package: larder\nVersion: %s\nArchitecture: %s\nMaintainer: The Larder authors <larder@localhost>\nInstalled-Size: %d\nSection: misc\nPriority: optional\nSuggests: postgresql\n"+
		"Description: feeding colonies of bees before winter\n Judges what stores each colony has and needs, plans what to mix, haul and\n give on which day, keeps the book, and watches through winter.\n", version, arch, (size+1023)/1024)
	c, err := tarOf([]file{{"./control", 0o644, []byte(control)}, {"./md5sums", 0o644, []byte(md5s.String())}}, when)
	if err != nil {
		return nil, err
	}
	d, err := tarOf(data, when)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.WriteString("!<arch>\n")
	for _, m := range []file{{"debian-binary", 0, []byte("2.0\n")}, {"control.tar.gz", 0, c}, {"data.tar.gz", 0, d}} {
		fmt.Fprintf(&b, "%-16s%-12d%-6d%-6d%-8s%-10d`\n", m.name, when.Unix(), 0, 0, "100644", len(m.data))
		b.Write(m.data)
		if len(m.data)%2 == 1 {
			b.WriteByte('\n')
		}
	}
	return b.Bytes(), nil
}
