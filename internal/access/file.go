package access

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"larder/internal/fault"
)

// File is a Store in one JSON file that only its owner may read (mode 0600).
// It is written anew beside itself, flushed, and put in place in one step: a
// power cut leaves the old or the new one. Programs that change it at the same
// time take turns.
type File struct{ Path string }

// mostState is how large the file may be: far above a few hundred phones.
const mostState = 4 << 20

// Load reads the file; none is the zero State.
func (f *File) Load() (State, error) {
	var s State
	info, err := os.Stat(f.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return s, nil
	}
	if err != nil || info.Size() > mostState {
		return s, f.damaged(err)
	}
	raw, err := os.ReadFile(f.Path)
	if err != nil {
		return s, f.damaged(err)
	}
	if err := json.Unmarshal(raw, &s); err != nil {
		return State{}, f.damaged(err)
	}
	if s.Version > stateVersion {
		return State{}, fault.New(fault.Damaged, f.Path, "this list of the password and the phones was written by a newer version").WithHint("use that version")
	}
	return s, nil
}

func (f *File) damaged(err error) error {
	return &fault.Error{Kind: fault.Damaged, Thing: f.Path, Say: "the password and the paired phones cannot be read from this file", Err: err,
		Hint: "rename it, set the password anew with `larder password`, and pair the phones again; the book is not concerned"}
}

// Stamp is made of what a new file has differently.
func (f *File) Stamp() string {
	info, err := os.Stat(f.Path)
	if err != nil {
		return "none"
	}
	return fmt.Sprint(info.ModTime().UnixNano(), info.Size(), fileID(info))
}

// Change reads, applies and writes under a lock.
func (f *File) Change(change func(*State) error) (State, error) {
	if err := os.MkdirAll(filepath.Dir(f.Path), 0o700); err != nil {
		return State{}, f.cannot(err)
	}
	free, err := f.lock()
	if err != nil {
		return State{}, err
	}
	defer free()
	s, err := f.Load()
	if err != nil {
		return State{}, err
	}
	if err := change(&s); err != nil {
		return State{}, err
	}
	s.Version = stateVersion
	return s, f.write(&s)
}

// lockWait is how long another program's turn is waited for.
const lockWait = 5 * time.Second

func (f *File) lock() (free func(), err error) {
	l, err := os.OpenFile(f.Path+".lock", os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, f.cannot(err)
	}
	for wait := time.Duration(0); ; wait += 20 * time.Millisecond {
		err := lockFile(l)
		if err == nil {
			return func() { l.Close() }, nil
		}
		if !errors.Is(err, errLocked) || wait > lockWait {
			l.Close()
			return nil, &fault.Error{Kind: fault.Busy, Thing: f.Path, Say: "another program is writing the password and the phones", Hint: "try again in a moment", Err: err}
		}
		time.Sleep(20 * time.Millisecond)
	}
}

var errLocked = errors.New("locked by another")

func (f *File) write(s *State) error {
	raw, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		return fault.Wrap(err, "access")
	}
	t, err := os.CreateTemp(filepath.Dir(f.Path), filepath.Base(f.Path)+".*.tmp") // mode 0600
	if err != nil {
		return f.cannot(err)
	}
	_, err = t.Write(append(raw, '\n'))
	err = errors.Join(err, t.Sync(), t.Close())
	if err == nil {
		err = os.Rename(t.Name(), f.Path)
	}
	if err != nil {
		_ = os.Remove(t.Name()) // what is left of it is of no use
		return f.cannot(err)
	}
	return fault.Wrap(syncDir(filepath.Dir(f.Path)), "access")
}

func (f *File) cannot(err error) error {
	return &fault.Error{Kind: fault.NoRoom, Thing: f.Path, Say: "the password and the phones cannot be written down here", Hint: "make room, or see whether the folder may be written to", Err: err}
}
