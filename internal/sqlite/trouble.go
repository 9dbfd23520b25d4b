package sqlite

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	engine "modernc.org/sqlite"
	code "modernc.org/sqlite/lib"

	"larder/internal/fault"
)

// explain makes an error of the engine one a keeper understands. Ours pass
// through as they are.
func explain(err error, path, op string) error {
	if err == nil {
		return nil
	}
	var ours *fault.Error
	if errors.As(err, &ours) {
		return fault.Wrap(err, op)
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return &fault.Error{Kind: fault.Busy, Op: op, Thing: path, Say: "it was given up before it was done, and nothing was kept", Err: err}
	}
	e := &fault.Error{Op: op, Thing: path, Err: err}
	var sq *engine.Error
	if !errors.As(err, &sq) {
		return diskFaultAt(e)
	}
	switch sq.Code() & 0xff {
	case code.SQLITE_FULL:
		noRoom(e)
	case code.SQLITE_CORRUPT, code.SQLITE_NOTADB:
		e.Kind, e.Say = fault.Damaged, "this book is damaged"
	case code.SQLITE_IOERR:
		e.Kind, e.Say = fault.Damaged, "the disk failed"
		e.Hint = "look at the disk and its cable; nothing more is written until the book is opened again"
	case code.SQLITE_BUSY, code.SQLITE_LOCKED:
		e.Kind, e.Say = fault.Busy, "another program has this file in use"
	case code.SQLITE_INTERRUPT:
		e.Kind, e.Say = fault.Busy, "it was given up before it was done"
	case code.SQLITE_READONLY, code.SQLITE_PERM, code.SQLITE_CANTOPEN, code.SQLITE_AUTH:
		e.Kind, e.Say, e.Hint = fault.Unreachable, "this file cannot be opened for writing", "look at who may write in its folder"
	}
	return e
}

func noRoom(e *fault.Error) {
	e.Kind, e.Say = fault.NoRoom, "the disk is full; this was not kept, all before it is safe"
	e.Hint = "make room on the disk and do it again"
}

// diskFault explains an error of the file system.
func diskFault(err error, path, say string) error {
	return diskFaultAt(&fault.Error{Thing: path, Say: say, Err: err})
}

func diskFaultAt(e *fault.Error) error {
	switch {
	case isNoRoom(e.Err):
		noRoom(e)
	case errors.Is(e.Err, fs.ErrNotExist):
		e.Kind = fault.NotFound
		if e.Say == "" {
			e.Say = "there is no such file"
		}
	case errors.Is(e.Err, fs.ErrPermission), errors.Is(e.Err, syscall.EROFS):
		e.Kind, e.Hint = fault.Unreachable, "look at who may write in its folder"
		if e.Say == "" {
			e.Say = "this place may not be written to"
		}
	default:
		var p *fs.PathError
		if errors.As(e.Err, &p) {
			e.Kind = fault.Unreachable
			if e.Say == "" {
				e.Say = "this file cannot be read or written"
			}
		}
	}
	return e
}

// wasFailedWrite tells whether the engine could not write to a file: for want of
// room, because the disk failed, or for a limit it does not know as "full".
func wasFailedWrite(err error) bool {
	var sq *engine.Error
	if !errors.As(err, &sq) {
		return false
	}
	switch sq.Code() {
	case code.SQLITE_IOERR_WRITE, code.SQLITE_IOERR_TRUNCATE, code.SQLITE_IOERR_SHMSIZE, code.SQLITE_FULL:
		return true
	}
	return false
}

// isDeadly tells whether the engine met something after which its view of the
// file may differ from what is on the disk: a failed sync above all, since the
// system forgets what it could not write.
func isDeadly(err error) bool {
	var sq *engine.Error
	if !errors.As(err, &sq) {
		return false
	}
	switch sq.Code() & 0xff {
	case code.SQLITE_IOERR, code.SQLITE_CORRUPT, code.SQLITE_NOTADB, code.SQLITE_PROTOCOL, code.SQLITE_NOMEM, code.SQLITE_INTERNAL:
		return true
	}
	return false
}

// roomLeft tries whether the system lets us write where the engine could not:
// some kilobytes, as far into a file as the longest of the book's files is, or of
// another book that is copied there. It gives the error of the try. A quota or a
// limit on the size of files is found this way; SQLite knows only a full disk.
func roomLeft(path string, copied ...string) error {
	var far int64
	for _, name := range append(copied, path, path+"-wal") {
		if st, err := os.Stat(name); err == nil {
			far = max(far, st.Size())
		}
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".larder-room-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if _, err := f.WriteAt(make([]byte, 64<<10), far); err != nil {
		return err
	}
	return f.Sync()
}
