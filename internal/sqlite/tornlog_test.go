package sqlite

import (
	"bytes"
	"encoding/binary"
	"path/filepath"
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// TestTornHeadOfAFrame: a power cut while the log was begun anew left one frame
// with the page and the commit mark of the older log and the salt of this one. A
// thousand power cuts came upon it once: the book was called damaged, and was not.
func TestTornHeadOfAFrame(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	note := string(bytes.Repeat([]byte("n"), 2000))
	for k := range 60 { // many pages in one call, so that one of them has its head in two sectors
		f := season.Fact{ID: booktest.ID(k), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Look{Colony: "c", Note: note}}
		if err := b.Append(t.Context(), f); err != nil {
			t.Fatal(err)
		}
	}
	log := read(t, path+"-wal")
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	page, err := pageSize(path)
	if err != nil {
		t.Fatal(err)
	}
	long := frameHead + page
	frames := (len(log) - logHead) / long
	at := -1
	for n := 2; n < frames; n++ {
		if tornHead(n, page) {
			at = n
			break
		}
	}
	if at < 0 {
		t.Fatalf("none of %d frames has its head in two sectors", frames)
	}
	frame := func(log []byte, n int) []byte { return log[logHead+(n-1)*long : logHead+n*long] }
	// One call under way whose first frame is the torn one, and whose last, the
	// commit, is there whole: nothing was told as kept that this log lacks.
	mark := func(log []byte, n int, commit uint32) { binary.BigEndian.PutUint32(frame(log, n)[4:], commit) }
	torn := bytes.Clone(log[:logHead+(at+1)*long])
	for n := 1; n <= at+1; n++ {
		mark(torn, n, 0)
	}
	mark(torn, at, 7) // of the older log
	mark(torn, at+1, 9)
	resum(t, torn, page, at)
	if why, err := readLog(bytes.NewReader(torn), page); why != nil || err != nil {
		t.Errorf("a power cut is called damage: %v %v", why, err)
	}
	// The same marks in a frame whose head lies in one sector are no power cut.
	whole := bytes.Clone(log[:logHead+(at+2)*long])
	for n := 1; n <= at+2; n++ {
		mark(whole, n, 0)
	}
	mark(whole, at+1, 7)
	mark(whole, at+2, 9)
	resum(t, whole, page, at+1)
	if why, err := readLog(bytes.NewReader(whole), page); why == nil || err != nil {
		t.Errorf("damage is not told of: %v %v", why, err)
	}
}

// resum gives every frame but the torn one right sums; its own do not fit.
func resum(t *testing.T, log []byte, page, torn int) {
	t.Helper()
	l, bad := newLog(log[:logHead], page)
	if bad != nil {
		t.Fatal(bad)
	}
	long := frameHead + page
	for n := 1; logHead+n*long <= len(log); n++ {
		f := log[logHead+(n-1)*long : logHead+n*long]
		copy(f[8:16], l.salt[:])
		l.add(f[:8])
		l.add(f[frameHead:])
		if n == torn {
			l.s0 ^= 1
		}
		binary.BigEndian.PutUint32(f[16:], l.s0)
		binary.BigEndian.PutUint32(f[20:], l.s1)
	}
}
