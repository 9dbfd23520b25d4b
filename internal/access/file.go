package access

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
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
	if s.Version > StateVersion {
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
	s.Version = StateVersion
	// The trail first: what was done and is not in it would be worse than what is in
	// it and was not done.
	if err := f.extend(s.notes); err != nil {
		return State{}, err
	}
	s.notes = nil
	return s, f.write(&s)
}

// trailPath is where the trail lies: beside the state.
func (f *File) trailPath() string { return strings.TrimSuffix(f.Path, ".access") + ".trail" }

// Note writes events at the end of the trail.
func (f *File) Note(events ...Event) error {
	if err := os.MkdirAll(filepath.Dir(f.Path), 0o700); err != nil {
		return f.cannot(err)
	}
	free, err := f.lock()
	if err != nil {
		return err
	}
	defer free()
	return f.extend(events)
}

// extend appends a line for each event and waits for the disk. A line that a power
// cut left half stays as it is; the next one begins anew.
func (f *File) extend(events []Event) error {
	if len(events) == 0 {
		return nil
	}
	var lines bytes.Buffer
	t, err := os.OpenFile(f.trailPath(), os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return f.cannot(err)
	}
	if info, err := t.Stat(); err == nil && info.Size() > 0 {
		last := make([]byte, 1)
		if _, err := t.ReadAt(last, info.Size()-1); err == nil && last[0] != '\n' {
			lines.WriteByte('\n')
		}
	}
	for _, e := range events {
		raw, err := json.Marshal(e)
		if err != nil {
			t.Close()
			return fault.Wrap(err, "access")
		}
		lines.Write(append(raw, '\n'))
	}
	_, err = t.Write(lines.Bytes())
	if err = errors.Join(err, t.Sync(), t.Close()); err != nil {
		return f.cannot(err)
	}
	return nil
}

// mostTrail is how much of a trail is read: some ten thousand lines.
const mostTrail = 4 << 20

// Trail gives the last events.
func (f *File) Trail(most int) ([]Event, error) {
	t, err := os.Open(f.trailPath())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, f.cannot(err)
	}
	defer t.Close()
	if info, err := t.Stat(); err == nil && info.Size() > mostTrail {
		if _, err := t.Seek(-mostTrail, io.SeekEnd); err != nil {
			return nil, f.cannot(err)
		}
	}
	raw, err := io.ReadAll(io.LimitReader(t, 2*mostTrail))
	if err != nil {
		return nil, f.cannot(err)
	}
	var all []Event
	for line := range bytes.Lines(raw) {
		var e Event
		if json.Unmarshal(line, &e) == nil && e.What != "" { // one that was cut off is passed over
			all = append(all, e)
		}
	}
	return lastOf(all, most), nil
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
