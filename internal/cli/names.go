package cli

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"larder/internal/fault"
)

// fileNamed says why a file cannot be written under a name: it is a folder's, or
// the system takes it for something else.
func fileNamed(op, path string) error {
	if path != "" && (os.IsPathSeparator(path[len(path)-1]) || strings.HasPrefix(filepath.Base(path), ".") && strings.Trim(filepath.Base(path), ".") == "") {
		return fault.New(fault.Usage, op, "this name ends as a folder's does: "+path).WithHint("put the name of a file after it, for example %s", filepath.Join(path, "season.larder"))
	}
	return pathNamed(op, path)
}

// pathNamed says why nothing can be written under a path.
func pathNamed(op, path string) error {
	if runtime.GOOS != "windows" {
		return nil
	}
	if part, why := oddOnWindows(path); why != "" {
		return fault.New(fault.Usage, op, "on Windows no file can be called "+part+": "+why).WithHint("take another name")
	}
	return nil
}

// oddOnWindows names the first part of a path that Windows would not keep as it is
// written: a device, a part of another file, a name cut short, or none at all.
// Source: Microsoft Learn, "Naming Files, Paths, and Namespaces".
func oddOnWindows(path string) (part, why string) {
	path = strings.ReplaceAll(path, "/", `\`)
	for _, p := range []string{`\\?\`, `\\.\`} {
		path = strings.TrimPrefix(path, p)
	}
	if len(path) >= 2 && path[1] == ':' {
		path = path[2:] // the drive
	}
	for part := range strings.SplitSeq(path, `\`) {
		if part == "" || part == "." || part == ".." {
			continue
		}
		if strings.ContainsAny(part, `<>:"|?*`) || strings.ContainsFunc(part, func(r rune) bool { return r < ' ' }) {
			return part, `none of < > : " | ? * may stand in a name`
		}
		if end := part[len(part)-1]; end == '.' || end == ' ' {
			return part, "a point or a space at the end is dropped"
		}
		stem, _, _ := strings.Cut(part, ".")
		stem = strings.ToUpper(strings.TrimRight(stem, " "))
		if devices[stem] {
			return part, stem + " is a device"
		}
	}
	return "", ""
}

// devices are names that stand for one on Windows, whatever follows after a point.
var devices = func() map[string]bool {
	out := map[string]bool{"CON": true, "PRN": true, "AUX": true, "NUL": true, "CONIN$": true, "CONOUT$": true}
	for _, n := range []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "¹", "²", "³"} {
		out["COM"+n], out["LPT"+n] = true, true
	}
	return out
}()
