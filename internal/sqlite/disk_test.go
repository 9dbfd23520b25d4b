//go:build unix && (amd64 || arm64)

package sqlite

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"unsafe"

	"modernc.org/libc"
	code "modernc.org/sqlite/lib"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// disk stands between the engine and the system: it counts what the engine asks
// of the system, lets one call fail, and can note all that is written and synced.
// It takes the place of the engine's own way to the files ("The OS Interface or
// VFS", sqlite.org/vfs.html) for as long as a test runs; the engine's calls are
// passed on to that.
type disk struct {
	mu   sync.Mutex
	open map[uintptr]handle // by the engine's own handle

	counted map[string]int // calls of each kind; nil = not counted, and none fails
	kind    string         // of the call that fails
	left    int            // it is the so-manieth from now
	with    int32          // the engine's number for what is wrong, or short
	hit     bool           // it came

	noting bool
	noted  []note
}

// handle is an open file.
type handle struct {
	name string
	its  *code.Tsqlite3_io_methods // the engine's own
}

// note is one thing asked of the system: a write, a cut, a sync or that a file goes.
type note struct {
	file string
	do   byte // 'w', 't', 's', 'd'
	at   int64
	data []byte
}

const short = -1 // half of what was to be written is, and then there is no room

// on is the disk of the test that runs.
var on *disk

// What a disk does instead of the engine's own; the engine knows functions by
// numbers, and these variables keep what they stand for.
type (
	openFn   = func(tls *libc.TLS, vfs, name, file uintptr, flags int32, out uintptr) int32
	deleteFn = func(tls *libc.TLS, vfs, name uintptr, sync int32) int32
	ioFn     = func(tls *libc.TLS, file, buf uintptr, n int32, at int64) int32
	cutFn    = func(tls *libc.TLS, file uintptr, size int64) int32
	syncFn   = func(tls *libc.TLS, file uintptr, flags int32) int32
	closeFn  = func(tls *libc.TLS, file uintptr) int32
)

var (
	theirs *code.Tsqlite3_vfs
	ours   uintptr
	copies = map[uintptr]uintptr{} // tables of methods, theirs to ours

	ourOpen   openFn   = doOpen
	ourDelete deleteFn = func(tls *libc.TLS, vfs, name uintptr, sync int32) int32 {
		path := libc.GoString(name)
		if on.fails("delete") != 0 {
			return code.SQLITE_IOERR_DELETE
		}
		on.write(note{file: path, do: 'd'})
		return call[deleteFn](theirs.FxDelete)(tls, vfs, name, sync)
	}
	ourRead ioFn = func(tls *libc.TLS, file, buf uintptr, n int32, from int64) int32 {
		if on.fails("read") != 0 {
			return code.SQLITE_IOERR_READ
		}
		return call[ioFn](on.of(file).its.FxRead)(tls, file, buf, n, from)
	}
	ourWrite ioFn = func(tls *libc.TLS, file, buf uintptr, n int32, to int64) int32 {
		h, rc := on.of(file), on.fails("write")
		if rc == short {
			rc = code.SQLITE_FULL
			if err := call[ioFn](h.its.FxWrite)(tls, file, buf, n/2, to); err != 0 {
				rc = err
			}
		}
		if rc != 0 {
			return rc
		}
		on.write(note{file: h.name, do: 'w', at: to, data: bytes.Clone(unsafe.Slice((*byte)(at(buf)), n))})
		return call[ioFn](h.its.FxWrite)(tls, file, buf, n, to)
	}
	ourCut cutFn = func(tls *libc.TLS, file uintptr, size int64) int32 {
		if on.fails("cut") != 0 {
			return code.SQLITE_IOERR_TRUNCATE
		}
		h := on.of(file)
		on.write(note{file: h.name, do: 't', at: size})
		return call[cutFn](h.its.FxTruncate)(tls, file, size)
	}
	ourSync syncFn = func(tls *libc.TLS, file uintptr, flags int32) int32 {
		if on.fails("sync") != 0 {
			return code.SQLITE_IOERR_FSYNC
		}
		h := on.of(file)
		rc := call[syncFn](h.its.FxSync)(tls, file, flags)
		on.write(note{file: h.name, do: 's'})
		return rc
	}
	ourClose closeFn = func(tls *libc.TLS, file uintptr) int32 {
		h := on.of(file)
		on.mu.Lock()
		delete(on.open, file)
		on.mu.Unlock()
		return call[closeFn](h.its.FxClose)(tls, file)
	}
)

// doOpen opens a file the engine's way and puts ours in the place of its methods.
func doOpen(tls *libc.TLS, vfs, name, file uintptr, flags int32, out uintptr) int32 {
	methods := (*uintptr)(at(file))
	if on.fails("open") != 0 {
		*methods = 0
		return code.SQLITE_CANTOPEN
	}
	rc := call[openFn](theirs.FxOpen)(tls, vfs, name, file, flags, out)
	if rc != 0 || *methods == 0 {
		return rc
	}
	on.mu.Lock()
	defer on.mu.Unlock()
	h := handle{its: (*code.Tsqlite3_io_methods)(at(*methods))}
	if name != 0 {
		h.name = libc.GoString(name)
	}
	on.open[file] = h
	mine, ok := copies[*methods]
	if !ok {
		mine = libc.Xmalloc(tls, libc.Tsize_t(unsafe.Sizeof(*h.its)))
		m := (*code.Tsqlite3_io_methods)(at(mine))
		*m = *h.its
		m.FxRead, m.FxWrite, m.FxTruncate, m.FxSync, m.FxClose = number(&ourRead), number(&ourWrite), number(&ourCut), number(&ourSync), number(&ourClose)
		copies[*methods] = mine
	}
	*methods = mine
	return rc
}

// at gives what a number of the engine's points to: memory of its own, which does
// not move.
func at(p uintptr) unsafe.Pointer { return *(*unsafe.Pointer)(unsafe.Pointer(&p)) }

// call makes a function of its number, number the other way.
func call[F any](p uintptr) F    { return *(*F)(unsafe.Pointer(&struct{ uintptr }{p})) }
func number[F any](f *F) uintptr { return *(*uintptr)(unsafe.Pointer(f)) }

// putDisk puts a disk between for as long as the test runs.
func putDisk(t *testing.T) *disk {
	t.Helper()
	tls := libc.NewTLS()
	t.Cleanup(tls.Close)
	if theirs == nil {
		if b, err := Open(filepath.Join(t.TempDir(), "first.db"), Options{}); err != nil { // the engine has begun
			t.Fatal(err)
		} else if err := b.Close(); err != nil {
			t.Fatal(err)
		}
		theirs = (*code.Tsqlite3_vfs)(at(code.Xsqlite3_vfs_find(tls, 0)))
		ours = libc.Xmalloc(tls, libc.Tsize_t(unsafe.Sizeof(*theirs)))
		name, err := libc.CString("watched")
		if err != nil {
			t.Fatal(err)
		}
		v := (*code.Tsqlite3_vfs)(at(ours))
		*v = *theirs
		v.FpNext, v.FzName, v.FxOpen, v.FxDelete = 0, name, number(&ourOpen), number(&ourDelete)
	}
	on = &disk{open: map[uintptr]handle{}}
	if rc := code.Xsqlite3_vfs_register(tls, ours, 1); rc != 0 {
		t.Fatal(rc)
	}
	t.Cleanup(func() {
		tls := libc.NewTLS()
		defer tls.Close()
		code.Xsqlite3_vfs_unregister(tls, ours)
		code.Xsqlite3_vfs_register(tls, uintptr(unsafe.Pointer(theirs)), 1)
	})
	return on
}

// set begins to count anew: the n-th call from now that is one of these fails so.
func (d *disk) set(n int, kind string, with int32) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.left, d.kind, d.with, d.counted, d.hit = n, kind, with, map[string]int{}, false
}

// fails counts a call and gives with what it is to fail, 0 for not.
func (d *disk) fails(kind string) int32 {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.counted == nil {
		return 0
	}
	d.counted[kind]++
	if d.kind != kind {
		return 0
	}
	if d.left--; d.left != 0 {
		return 0
	}
	d.hit = true
	return d.with
}

func (d *disk) of(file uintptr) handle {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.open[file]
}

func (d *disk) write(n note) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.noting {
		d.noted = append(d.noted, n)
	}
}

func (d *disk) done() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return len(d.noted)
}

// TestEveryCallFails lets each single call that the engine makes of the system
// fail, one a run: no room, the disk ill, half a write, a sync that fails, a file
// that does not open. Nothing is told as kept that is not there when the book is
// opened again, no batch is there in part, what is said has a hint, and what
// follows goes on or is refused till then. Usually some fifty of them, by a fixed
// seed; LARDER_CRASH set, all of a longer script.
func TestEveryCallFails(t *testing.T) {
	d := putDisk(t)
	long := os.Getenv("LARDER_CRASH") != ""
	batches := 8
	if long {
		batches = 50
	}
	path := filepath.Join(t.TempDir(), "book.db")
	run := func() (told map[int]bool, said []error) {
		if err := removeBook(path); err != nil {
			t.Fatal(err)
		}
		told = map[int]bool{}
		b, err := Open(path, Options{})
		if err != nil { // a fault there is over when it is opened again
			said = append(said, err)
			if b, err = Open(path, Options{}); err != nil {
				return told, append(said, fmt.Errorf("and it does not open again: %w", err))
			}
		}
		if _, err := b.write.Exec("PRAGMA wal_autocheckpoint = 20"); err != nil { // the log is folded in now and then
			said = append(said, b.explain(err, "test"))
		}
		for k := 1; k <= batches; k++ {
			if err := b.Append(context.Background(), batch(k)...); err != nil {
				said = append(said, err)
			} else {
				told[k] = true
			}
		}
		if _, err := b.Facts(context.Background(), units.Moment{}); err != nil {
			said = append(said, err)
		}
		if err := b.Close(); err != nil {
			said = append(said, err)
		}
		return told, said
	}
	d.set(0, "", 0)
	if told, said := run(); len(told) != batches || len(said) > 0 {
		t.Fatalf("without a fault: %d kept, %v", len(told), said)
	}
	calls := d.counted
	type one struct {
		kind string
		n    int
		with int32
		goes bool // on afterwards: there is room again
	}
	var all []one
	for kind, n := range calls {
		for k := 1; k <= n; k++ {
			if kind == "write" {
				all = append(all, one{kind, k, code.SQLITE_FULL, true}, one{kind, k, short, true}, one{kind, k, code.SQLITE_IOERR_WRITE, false})
			} else {
				all = append(all, one{kind, k, -2, false})
			}
		}
	}
	slices.SortFunc(all, func(a, b one) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.n, b.n), cmp.Compare(a.with, b.with))
	})
	t.Logf("%d batches ask the system %v; %d faults", batches, calls, len(all))
	if !long {
		rng := rand.New(rand.NewPCG(11, 12))
		rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		all = all[:min(len(all), kills(t, 60))]
	}
	met, stopped := 0, 0
	for _, f := range all {
		what := fmt.Sprintf("%s %d (%d)", f.kind, f.n, f.with)
		d.set(f.n, f.kind, f.with)
		told, said := run()
		d.mu.Lock()
		hit := d.hit
		d.counted = nil
		d.mu.Unlock()
		if !hit {
			continue // another order of reads: it did not come to this one
		}
		met++
		for _, err := range said {
			if fault.HintOf(err) == "" || fault.Is(err, fault.Internal) {
				t.Errorf("%s: %v (%v) has no hint, or is not for a keeper", what, err, fault.KindOf(err))
			}
		}
		if len(told) < batches {
			stopped++
		}
		if f.goes && len(said) == 1 && fault.Is(said[0], fault.NoRoom) && len(told) < batches-1 {
			t.Errorf("%s: one fault, and %d of %d were kept", what, len(told), batches)
		}
		b, err := Open(path, Options{})
		if err != nil {
			t.Errorf("%s: it does not open again: %v", what, err)
			continue
		}
		facts, err := b.Facts(context.Background(), units.Moment{})
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
		if _, err := b.Verify(context.Background()); err != nil {
			t.Errorf("%s: %v", what, err)
		}
		have := map[string]int{}
		for _, x := range facts {
			have[x.Body.(apiary.Look).Note]++
		}
		for k := 1; k <= batches; k++ {
			if n := have[fmt.Sprint(k)]; n != len(batch(k)) && (told[k] || n != 0) {
				t.Errorf("%s: batch %d: %d of %d facts, told as kept: %v", what, k, n, len(batch(k)), told[k])
			}
			if err := b.Append(context.Background(), batch(k)...); err != nil { // sent again
				t.Errorf("%s: batch %d again: %v", what, k, err)
			}
		}
		if err := b.Close(); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	t.Logf("%d faults met; in %d of them something was refused", met, stopped)
	if met < len(all)*9/10 || stopped == 0 {
		t.Errorf("only %d of %d faults were met, %d refused", met, len(all), stopped)
	}
}

// TestPowerCutAnywhere cuts the power between any two calls the engine makes of
// the system, not between calls of Append only: of what was written to a file
// since its last sync any sectors are there, of any of the writes to them; so are
// cuts of its length. Each time the book opens without complaint, with all that
// was told as kept and no batch in part. LARDER_CRASH=1000 tries a thousand
// moments in twenty orders each.
func TestPowerCutAnywhere(t *testing.T) {
	d := putDisk(t)
	rng := rand.New(rand.NewPCG(13, 14))
	moments, orders := kills(t, 40), 3
	if os.Getenv("LARDER_CRASH") != "" {
		orders = 20
	}
	path := filepath.Join(t.TempDir(), "book.db")
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if _, err := b.write.Exec("PRAGMA wal_autocheckpoint = 40"); err != nil {
		t.Fatal(err)
	}
	was := map[string][]byte{path: read(t, path), path + "-wal": read(t, path+"-wal")}
	d.mu.Lock()
	d.noting = true
	d.mu.Unlock()
	var told []int // how much was noted when the n-th batch was told as kept
	text := bytes.Repeat([]byte("n"), 300)
	const perCall = 10
	for k := 0; k < max(60, moments/4); k++ {
		facts := make([]season.Fact, perCall)
		for i := range facts {
			facts[i] = season.Fact{ID: booktest.ID(rng.IntN(1 << 30)), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Look{Colony: "c", Note: string(text)}}
		}
		if err := b.Append(t.Context(), facts...); err != nil {
			t.Fatal(err)
		}
		told = append(told, d.done())
	}
	d.mu.Lock()
	d.noting = false
	noted := d.noted
	d.mu.Unlock()
	to := filepath.Join(t.TempDir(), "book.db")
	opened, under, torn := 0, 0, 0
	for range moments {
		cut := rng.IntN(len(noted) + 1)
		kept := 0
		for kept < len(told) && told[kept] <= cut {
			kept++
		}
		for range orders {
			if err := removeBook(to); err != nil {
				t.Fatal(err)
			}
			for name := range was {
				left, loose := leftOf(was[name], noted[:cut], name, rng)
				if loose {
					torn++
				}
				if err := os.WriteFile(to+name[len(path):], left, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			got, err := tryRead(to)
			opened++
			if err != nil {
				t.Fatalf("after call %d of %d: %v: %v", cut, len(noted), err, errors.Join(err, errors.New(fault.HintOf(err))))
			}
			switch len(got) {
			case kept * perCall:
			case (kept + 1) * perCall:
				under++
			default:
				t.Fatalf("after call %d of %d: %d facts, want %d or %d", cut, len(noted), len(got), kept*perCall, (kept+1)*perCall)
			}
		}
	}
	t.Logf("%d calls noted, %d moments, %d disks looked at, %d files had something not yet synced, the call under way was there in %d", len(noted), moments, opened, torn, under)
	if torn < opened/4 || under == 0 || under == opened {
		t.Error("not all moments were met")
	}
}

// leftOf gives what a power cut may leave of a file after these calls: all up to
// its last sync, and of the rest any sectors in any order. loose = there was a rest.
func leftOf(was []byte, noted []note, name string, rng *rand.Rand) (left []byte, loose bool) {
	synced := 0
	for i, n := range noted {
		if n.file == name && n.do == 's' {
			synced = i
		}
	}
	out := bytes.Clone(was)
	grow := func(to int64) {
		if to > int64(len(out)) {
			out = append(out, make([]byte, to-int64(len(out)))...)
		}
	}
	type bit struct {
		at   int64
		data []byte
		size int64 // a cut to this, where data is nil
	}
	var rest []bit
	for i, n := range noted {
		if n.file != name {
			continue
		}
		switch {
		case n.do == 'w' && i < synced:
			grow(n.at + int64(len(n.data)))
			copy(out[n.at:], n.data)
		case n.do == 't' && i < synced:
			grow(n.at)
			out = out[:n.at]
		case n.do == 'w':
			for from := int64(0); from < int64(len(n.data)); { // sector by sector
				end := min(int64(len(n.data)), (n.at+from)/sector*sector+sector-n.at)
				rest = append(rest, bit{at: n.at + from, data: n.data[from:end]})
				from = end
			}
		case n.do == 't':
			rest = append(rest, bit{size: n.at})
		}
	}
	share := min(1, rng.Float64()*1.2)
	if rng.IntN(3) > 0 {
		rng.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
	}
	for _, r := range rest {
		if rng.Float64() >= share {
			continue
		}
		if r.data == nil {
			grow(r.size)
			out = out[:r.size]
			continue
		}
		grow(r.at + int64(len(r.data)))
		copy(out[r.at:], r.data)
	}
	return out, len(rest) > 0
}
