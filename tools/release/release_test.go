package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

var day = time.Date(2026, 11, 29, 0, 0, 0, 0, time.UTC)

// members reads an archive of ar(1).
func members(t *testing.T, raw []byte) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	raw, ok := bytes.CutPrefix(raw, []byte("!<arch>\n"))
	if !ok {
		t.Fatal("no archive")
	}
	for len(raw) > 0 {
		head := raw[:60]
		size, err := strconv.Atoi(strings.TrimSpace(string(head[48:58])))
		if err != nil || string(head[58:]) != "`\n" {
			t.Fatalf("head %q", head)
		}
		out[strings.TrimSpace(string(head[:16]))] = raw[60 : 60+size]
		raw = raw[60+size+size%2:]
	}
	return out
}

func untar(t *testing.T, raw []byte) (names []string, files map[string]string) {
	t.Helper()
	z, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	files = map[string]string{}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if err == io.EOF {
			return names, files
		}
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, fmt.Sprintf("%o %s", h.Mode, h.Name))
		files[h.Name] = string(b)
	}
}

func TestDebianPackage(t *testing.T) {
	papers := []file{{"README.md", 0o644, []byte("read me")}, {"LICENSE", 0o644, []byte("odd")}}
	raw, err := debian("0.1", "arm64", []byte("program"), papers, day)
	if err != nil {
		t.Fatal(err)
	}
	m := members(t, raw)
	if string(m["debian-binary"]) != "2.0\n" {
		t.Errorf("%q", m["debian-binary"])
	}
	_, control := untar(t, m["control.tar.gz"])
	if c := control["./control"]; !strings.Contains(c, "Package: larder\nVersion: 0.1\nArchitecture: arm64\n") {
		t.Error(c)
	}
	names, data := untar(t, m["data.tar.gz"])
	if data["./usr/bin/larder"] != "program" || data["./usr/share/doc/larder/copyright"] != "odd" {
		t.Errorf("%v", data)
	}
	if !slices.Contains(names, "755 ./usr/bin/larder") || slices.Index(names, "755 ./usr/bin/") > slices.Index(names, "755 ./usr/bin/larder") || !slices.Contains(names, "755 ./usr/") {
		t.Errorf("%v", names)
	}
	again, err := debian("0.1", "arm64", []byte("program"), papers, day)
	if err != nil || !bytes.Equal(raw, again) {
		t.Error("the same sources give another package")
	}
}

// Where the system has a reader of such packages, it is a second opinion; the
// machines the tests run on by themselves have one.
func TestDebianReadsIt(t *testing.T) {
	tool, err := exec.LookPath("dpkg-deb")
	if err != nil {
		if _, e := os.Stat("/etc/debian_version"); e == nil {
			t.Fatal(err)
		}
		t.Skip("this is no Debian: its reader is not here")
	}
	raw, err := debian("0.20261129.1+gabc", "amd64", []byte("program"), nil, day)
	if err != nil {
		t.Fatal(err)
	}
	name := t.TempDir() + "/larder.deb"
	if err := os.WriteFile(name, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"--info", name}, {"--contents", name}} {
		if out, err := exec.Command(tool, args...).CombinedOutput(); err != nil {
			t.Errorf("%v: %v %s", args, err, out)
		}
	}
}

// What is built in is told, each with a licence we take.
func TestBillOfMaterials(t *testing.T) {
	if err := os.Chdir("../.."); err != nil {
		t.Fatal(err)
	}
	mods, err := modules()
	if err != nil {
		t.Fatal(err)
	}
	raw, err := billOfMaterials("0.1", day, mods)
	if err != nil {
		t.Fatal(err)
	}
	var b struct {
		BomFormat, SpecVersion string
		Components             []struct {
			Name, Purl string
			Licenses   []struct{ License struct{ ID string } }
		}
	}
	if err := json.Unmarshal(raw, &b); err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, c := range b.Components {
		names[c.Name] = true
		if len(c.Licenses) != 1 || c.Licenses[0].License.ID == "" || !strings.HasPrefix(c.Purl, "pkg:golang/") {
			t.Errorf("%+v", c)
		}
	}
	for _, want := range []string{"modernc.org/sqlite", "github.com/jackc/pgx/v5", "github.com/alecthomas/kong"} {
		if !names[want] {
			t.Errorf("%s is not told", want)
		}
	}
	text, err := licences(mods)
	if err != nil || !bytes.Contains(text, []byte("Permission is hereby granted")) {
		t.Error("the licence texts are not there")
	}
}
