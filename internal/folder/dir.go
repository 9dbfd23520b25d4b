package folder

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
)

// WriteDir writes facts as a season folder on disk. All is written beside it
// first and then put in its place, so that there is never half a folder: until
// the last moment the old one stands. (Should the machine stop between the two
// renames, the old folder is found beside, in one called .larder-…) A folder that holds anything but what
// larder wrote is left alone (fault.Conflict).
func WriteDir(dir string, facts []season.Fact) error {
	all, err := files(facts)
	if err != nil {
		return err
	}
	if dir, err = target(dir); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(filepath.Dir(dir), ".larder-")
	if err != nil {
		return disk(err, dir)
	}
	defer os.RemoveAll(tmp)
	fresh := filepath.Join(tmp, "new")
	if err := os.Mkdir(fresh, 0o755); err != nil {
		return disk(err, dir)
	}
	for _, f := range all {
		if err := writeSure(filepath.Join(fresh, filepath.FromSlash(f.name)), f.data); err != nil {
			return disk(err, f.name)
		}
	}
	return disk(swap(dir, fresh, filepath.Join(tmp, "old")), dir)
}

// swap puts the new folder in the place of the old one. If that fails half way
// the old one is put back.
func swap(dir, fresh, old string) error {
	err := os.Rename(dir, old)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	was := err == nil
	if err := os.Rename(fresh, dir); err != nil {
		if was {
			return errors.Join(err, os.Rename(old, dir))
		}
		return err
	}
	return syncDir(filepath.Dir(dir))
}

// target looks whether a folder may be written there, and follows a link.
func target(dir string) (string, error) {
	full, err := filepath.Abs(dir)
	if err != nil {
		return "", disk(err, dir)
	}
	if real, err := filepath.EvalSymlinks(full); err == nil {
		full = real
	}
	info, err := os.Stat(full)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return full, nil
	case err != nil:
		return "", disk(err, dir)
	case !info.IsDir():
		return "", fault.New(fault.Conflict, dir, "there is a file of this name").WithHint("give the name of a folder")
	}
	if other, err := foreign(full); err != nil {
		return "", disk(err, dir)
	} else if other != "" {
		return "", fault.Newf(fault.Conflict, dir, "the folder holds %s, which larder did not write", other).
			WithHint("give an empty folder, or a name that is not taken")
	}
	return full, nil
}

// foreign names something in a folder that was not written here; "" = nothing.
func foreign(dir string) (string, error) {
	ours := map[string]bool{seasonFile: true, plansFolder: true}
	for _, t := range tables {
		ours[t.file()] = true
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) == 0 {
		return "", err
	}
	for _, e := range entries {
		if !ours[e.Name()] || e.IsDir() != (e.Name() == plansFolder) {
			return e.Name(), nil
		}
	}
	plans, err := os.ReadDir(filepath.Join(dir, plansFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	for _, e := range plans {
		if e.IsDir() || !strings.HasSuffix(e.Name(), ".json") {
			return plansFolder + "/" + e.Name(), nil
		}
	}
	f, err := os.Open(filepath.Join(dir, seasonFile))
	if errors.Is(err, fs.ErrNotExist) {
		return entries[0].Name(), nil
	}
	if err != nil {
		return "", err
	}
	defer f.Close()
	first := make([]byte, len(mark))
	if n, _ := io.ReadFull(f, first); string(first[:n]) != mark {
		return seasonFile, nil
	}
	return "", nil
}

// writeSure writes a file and waits until the disk has it.
func writeSure(name string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if _, err = f.Write(data); err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// syncDir makes a rename outlast a power cut, where the system can.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil // Windows opens no folders; the rename itself has been done
	}
	d.Sync()
	return d.Close()
}

// disk says what went wrong with the disk.
func disk(err error, thing string) error {
	if err == nil {
		return nil
	}
	e := &fault.Error{Kind: fault.Damaged, Op: "folder.WriteDir", Thing: thing, Say: "it cannot be written", Err: err}
	switch {
	case errors.Is(err, fs.ErrPermission):
		e.Say, e.Hint = "you are not allowed to write there", "give another folder"
	case isFull(err):
		e.Kind, e.Say, e.Hint = fault.NoRoom, "the disk is full", "make room and try again; nothing was changed"
	case errors.Is(err, fs.ErrNotExist):
		e.Kind, e.Say, e.Hint = fault.NotFound, "the folder it is to stand in does not exist", "make it first"
	}
	return e
}

func isFull(err error) bool {
	s := strings.ToLower(err.Error())
	return strings.Contains(s, "no space left") || strings.Contains(s, "not enough space")
}
