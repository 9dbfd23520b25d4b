// Release builds the program for every system and packs it: an archive with the
// licences for each, a Debian package for each Linux, what is in it (CycloneDX),
// and check sums of all. The same sources give the same files.
//
//	go run ./tools/release -to dist
package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// targets are the systems a release is for.
var targets = []target{{"linux", "amd64"}, {"linux", "arm64"}, {"darwin", "amd64"}, {"darwin", "arm64"}, {"windows", "amd64"}, {"windows", "arm64"}}

type target struct{ os, arch string }

func (t target) String() string { return t.os + "-" + t.arch }

func (t target) binary() string {
	if t.os == "windows" {
		return "larder.exe"
	}
	return "larder"
}

func main() {
	to := flag.String("to", "dist", "folder to write to; what is in it is replaced")
	only := flag.String("only", "", "only this system, for example linux-amd64")
	version := flag.String("version", "", "version (default: from the day and hash of the commit)")
	flag.Parse()
	if err := run(*to, *only, *version); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(to, only, version string) error {
	hash, when, err := commit()
	if err != nil {
		return err
	}
	if version == "" {
		version = when.Format("0.20060102.") + strconv.Itoa(when.Hour()*60+when.Minute()) + "+g" + hash
	}
	if err := os.RemoveAll(to); err != nil {
		return err
	}
	if err := os.MkdirAll(to, 0o755); err != nil {
		return err
	}
	mods, err := modules()
	if err != nil {
		return err
	}
	notices, err := licences(mods)
	if err != nil {
		return err
	}
	papers := []file{}
	for _, name := range []string{"README.md", "LICENSE", "NOTICE"} {
		raw, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		papers = append(papers, file{name, 0o644, raw})
	}
	papers = append(papers, file{"THIRD-PARTY.txt", 0o644, notices})
	built := 0
	for _, t := range targets {
		if only != "" && only != t.String() {
			continue
		}
		built++
		fmt.Println(t)
		bin, err := build(t, version)
		if err != nil {
			return err
		}
		base := "larder-" + version + "-" + t.String()
		all := append([]file{{t.binary(), 0o755, bin}}, papers...)
		if t.os == "windows" {
			err = writeZip(filepath.Join(to, base+".zip"), base, all, when)
		} else {
			err = writeTar(filepath.Join(to, base+".tar.gz"), base, all, when)
		}
		if err != nil {
			return err
		}
		if t.os == "linux" {
			raw, err := debian(version, t.arch, bin, papers, when)
			if err != nil {
				return err
			}
			if err := os.WriteFile(filepath.Join(to, "larder_"+version+"_"+t.arch+".deb"), raw, 0o644); err != nil {
				return err
			}
		}
	}
	if built == 0 {
		return fmt.Errorf("there is no system %q; one of %v", only, targets)
	}
	bill, err := billOfMaterials(version, when, mods)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(to, "larder-"+version+".cdx.json"), bill, 0o644); err != nil {
		return err
	}
	return sums(to)
}

// commit gives what is built: its hash and day. Changes that are not committed
// are not released.
func commit() (hash string, when time.Time, err error) {
	out, err := exec.Command("git", "log", "-1", "--format=%h %ct").Output()
	if err != nil {
		return "", when, fmt.Errorf("a release is made from a commit: %w", err)
	}
	var at int64
	if _, err := fmt.Sscan(string(out), &hash, &at); err != nil {
		return "", when, err
	}
	dirty, err := exec.Command("git", "status", "--porcelain", "--untracked-files=no").Output()
	if err != nil {
		return "", when, err
	}
	if len(dirty) > 0 {
		return "", when, errors.New("there are changes that are not committed: a release is made from a commit")
	}
	return hash, time.Unix(at, 0).UTC(), nil
}

func build(t target, version string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "larder-release-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, t.binary())
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w -X larder/internal/cli.release="+version, "-o", out, "./cmd/larder")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+t.os, "GOARCH="+t.arch)
	if said, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%v: %w: %s", t, err, said)
	}
	return os.ReadFile(out)
}

// sums writes the check sums of all files of a folder, as sha256sum does.
func sums(dir string) error {
	list, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var lines []string
	for _, f := range list {
		raw, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			return err
		}
		sum := sha256.Sum256(raw)
		lines = append(lines, hex.EncodeToString(sum[:])+"  "+f.Name()+"\n")
	}
	slices.SortFunc(lines, func(a, b string) int { return strings.Compare(a[66:], b[66:]) })
	return os.WriteFile(filepath.Join(dir, "SHA256SUMS"), []byte(strings.Join(lines, "")), 0o644)
}
