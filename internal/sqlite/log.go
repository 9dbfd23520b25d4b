package sqlite

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"larder/internal/fault"
)

// The write-ahead log as its documentation has it ("WAL-mode File Format",
// sqlite.org/walformat.html): a head of 32 bytes, then frames of 24 bytes and a
// page each. All sums are chained from the head on.
const (
	logHead   = 32
	frameHead = 24
)

// checkLog looks whether the log beside a book can be trusted, before the
// engine does. The engine takes the log up to the first frame that does not fit
// and drops the rest, since after a power cut the last thing written may be
// there in part. But what was synced before that cannot be: a frame that does
// not fit with more than one commit after it, or a head that does not, is not a
// power cut. It is damage, or another book's log, and to go on would lose facts
// without a word.
func (b *Book) checkLog() error {
	f, err := os.Open(b.path + "-wal")
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return diskFault(err, b.path, "the log of this book cannot be read")
	}
	defer f.Close()
	page, err := pageSize(b.path)
	if err != nil {
		return diskFault(err, b.path, "this book cannot be read")
	}
	why, err := readLog(f, page)
	if err != nil {
		return diskFault(err, b.path, "the log of this book cannot be read")
	}
	if why != nil {
		return b.wayBack(&fault.Error{Kind: fault.Damaged, Op: "sqlite.Open", Thing: b.path, Err: why,
			Say: "the log beside this book is damaged or another book's"})
	}
	return nil
}

// pageSize reads it from the head of the book.
func pageSize(path string) (int, error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	var h [18]byte
	if _, err := io.ReadFull(f, h[:]); err != nil {
		return 0, err
	}
	n := int(binary.BigEndian.Uint16(h[16:]))
	if n == 1 { // 65,536 does not fit two bytes
		n = 65536
	}
	return n, nil
}

// readLog gives why a log cannot be trusted, or nil.
func readLog(f io.Reader, page int) (why, err error) {
	head := make([]byte, logHead)
	frame := make([]byte, frameHead+page)
	if _, err := io.ReadFull(f, head); err != nil {
		return nil, unlessEnd(err) // shorter than a head: nothing was ever in it
	}
	l, bad := newLog(head, page)
	broken := false
	commits := 0 // from the frame that does not fit on
	var last []byte
	for n := 1; ; n++ {
		if _, err := io.ReadFull(f, frame); err != nil {
			return nil, unlessEnd(err)
		}
		if bad != nil {
			return bad, nil // the head does not fit and there are frames after it
		}
		fits := l.fits(frame)
		broken = broken || !fits
		if !broken || !l.ofThisLog(frame) {
			continue
		}
		if !fits && tornHead(n, page) {
			continue // what says that it is a commit may be left of an older log
		}
		isCommit := binary.BigEndian.Uint32(frame[4:]) != 0
		// A commit frame may be there several times over, to fill a sector: then
		// it is the same page with the same content.
		if isCommit && !samePage(frame, last) {
			commits++
			last = append(last[:0], frame...)
		}
		if commits > 1 {
			return fmt.Errorf("the log does not fit before frame %d, and goes on", n), nil
		}
	}
}

// sector is what a disk writes whole or not at all, at the least.
const sector = 512

// tornHead tells whether the head of frame n lies in two sectors, so that a power
// cut may leave the first half of an older log there (page and commit) and the
// second of this one (which log it is of).
func tornHead(n, page int) bool {
	return (logHead+(n-1)*(frameHead+page)+8)%sector == 0
}

func samePage(a, b []byte) bool {
	return len(a) == len(b) && bytes.Equal(a[:4], b[:4]) && bytes.Equal(a[frameHead:], b[frameHead:])
}

func unlessEnd(err error) error {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return nil
	}
	return err
}

// chain is the sums of a log so far.
type chain struct {
	order  binary.ByteOrder
	salt   [8]byte
	s0, s1 uint32
}

func newLog(head []byte, page int) (*chain, error) {
	l := &chain{}
	switch m := binary.BigEndian.Uint32(head); m {
	case 0x377f0682:
		l.order = binary.LittleEndian
	case 0x377f0683:
		l.order = binary.BigEndian
	default:
		return l, fmt.Errorf("the log begins with %08x", m)
	}
	copy(l.salt[:], head[16:24])
	l.add(head[:24])
	switch {
	case binary.BigEndian.Uint32(head[4:]) != 3007000:
		return l, errors.New("the log is of another format")
	case int(binary.BigEndian.Uint32(head[8:])) != page:
		return l, errors.New("the log has pages of another size")
	case binary.BigEndian.Uint32(head[24:]) != l.s0 || binary.BigEndian.Uint32(head[28:]) != l.s1:
		return l, errors.New("the sum over the head of the log is wrong")
	}
	return l, nil
}

func (l *chain) add(b []byte) {
	for i := 0; i+8 <= len(b); i += 8 {
		l.s0 += l.order.Uint32(b[i:]) + l.s1
		l.s1 += l.order.Uint32(b[i+4:]) + l.s0
	}
}

func (l *chain) ofThisLog(frame []byte) bool { return string(frame[8:16]) == string(l.salt[:]) }

// fits tells whether a frame is of this log and its sums follow from those that
// the frame before it bears. While all did fit these are the sums so far.
func (l *chain) fits(frame []byte) bool {
	l.add(frame[:8])
	l.add(frame[frameHead:])
	s0, s1 := binary.BigEndian.Uint32(frame[16:]), binary.BigEndian.Uint32(frame[20:])
	ok := l.ofThisLog(frame) && s0 == l.s0 && s1 == l.s1
	l.s0, l.s1 = s0, s1
	return ok
}
