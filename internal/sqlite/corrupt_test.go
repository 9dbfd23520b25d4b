package sqlite

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// mutant is a book somebody or something has damaged.
type mutant struct {
	name      string
	book, log []byte
}

// perCall is how many facts each call of the second half kept.
const perCall = 50

// mutants damages a book, and one with a log beside it, in all manner of ways.
func mutants(t *testing.T) (facts []season.Fact, all []mutant) {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, "book.db")
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	all1 := booktest.Many(24, 1)
	half := len(all1) / 2
	if err := b.Append(context.Background(), all1[:half]...); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	closed := read(t, path) // with half the facts and no log
	if b, err = Open(path, Options{}); err != nil {
		t.Fatal(err)
	}
	var early []byte // the log when half of the rest was written
	for i := half; i < len(all1); i += perCall {
		if early == nil && i > half+(len(all1)-half)/2 {
			early = read(t, path+"-wal")
		}
		if err := b.Append(context.Background(), all1[i:min(i+perCall, len(all1))]...); err != nil {
			t.Fatal(err)
		}
	}
	// As after a power cut: the files as they are while the book is open.
	open, log := read(t, path), read(t, path+"-wal")
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	whole := read(t, path)
	page := int(binary.BigEndian.Uint16(whole[16:]))
	if len(whole) < 20*page || len(log) < 10*page {
		t.Fatalf("the book is too small to be damaged well: %d and %d bytes", len(whole), len(log))
	}
	add := func(name string, book, log []byte) { all = append(all, mutant{name, book, log}) }
	rng := rand.New(rand.NewPCG(5, 6))
	edit := func(b []byte, f func([]byte)) []byte { c := bytes.Clone(b); f(c); return c }
	for i := range 120 {
		at, bit := rng.IntN(len(whole)), rng.IntN(8)
		add(fmt.Sprintf("bit %d of byte %d", bit, at), edit(whole, func(c []byte) { c[at] ^= 1 << bit }), nil)
		if i < 80 {
			at := rng.IntN(len(log))
			add(fmt.Sprintf("log bit %d of byte %d", bit, at), open, edit(log, func(c []byte) { c[at] ^= 1 << bit }))
		}
	}
	for at := range 100 { // every byte of the head
		add(fmt.Sprintf("head byte %d", at), edit(whole, func(c []byte) { c[at] ^= 0xff }), nil)
	}
	for i := range 30 {
		at := rng.IntN(len(whole) - 64)
		add(fmt.Sprintf("64 bytes at %d", at), edit(whole, func(c []byte) {
			for k := range 64 {
				c[at+k] = byte(rng.IntN(256))
			}
		}), nil)
		p := i % (len(whole) / page)
		add(fmt.Sprintf("page %d zeroed", p), edit(whole, func(c []byte) { clear(c[p*page : (p+1)*page]) }), nil)
		q := rng.IntN(len(whole) / page)
		add(fmt.Sprintf("page %d over page %d", q, p), edit(whole, func(c []byte) { copy(c[p*page:(p+1)*page], whole[q*page:]) }), nil)
		add(fmt.Sprintf("log cut at %d", i*len(log)/30), open, log[:i*len(log)/30])
	}
	for n := 0; n <= len(whole)/page; n++ {
		add(fmt.Sprintf("cut after page %d", n), whole[:n*page], nil)
		add(fmt.Sprintf("cut within page %d", n), whole[:min(len(whole), n*page+page/3)], nil)
	}
	for n := range kills(t, 0) { // LARDER_CRASH: so many more, by chance
		at, bit := rng.IntN(len(whole)), rng.IntN(8)
		switch n % 7 {
		case 0, 1:
			add(fmt.Sprintf("bit %d of byte %d", bit, at), edit(whole, func(c []byte) { c[at] ^= 1 << bit }), nil)
		case 2:
			at := rng.IntN(len(log))
			add(fmt.Sprintf("log bit %d of byte %d", bit, at), open, edit(log, func(c []byte) { c[at] ^= 1 << bit }))
		case 3:
			k := 1 + rng.IntN(min(200, len(whole)-at))
			add(fmt.Sprintf("%d bytes at %d", k, at), edit(whole, func(c []byte) {
				for i := range k {
					c[at+i] = byte(rng.IntN(256))
				}
			}), nil)
		case 4:
			p, q := rng.IntN(len(whole)/page), rng.IntN(len(whole)/page)
			add(fmt.Sprintf("page %d over page %d", q, p), edit(whole, func(c []byte) { copy(c[p*page:(p+1)*page], whole[q*page:]) }), nil)
		case 5:
			add(fmt.Sprintf("cut at %d", at), whole[:at], nil)
		case 6:
			at := rng.IntN(len(log))
			add(fmt.Sprintf("log cut at %d", at), open, log[:at])
		}
	}
	other := filepath.Join(dir, "other.db")
	if b, err = Open(other, Options{}); err != nil {
		t.Fatal(err)
	}
	for k := 1; k < 300; k++ {
		if err := b.Append(context.Background(), batch(k)...); err != nil {
			t.Fatal(err)
		}
	}
	foreignLog := read(t, other+"-wal")
	b.Close()
	add("another book's log", whole, foreignLog)
	add("another book's log, unfinished book", open, foreignLog)
	add("garbage log", whole, []byte(strings.Repeat("garbage!", 5000)))
	add("book as log", whole, whole)
	add("log as book", log, nil)
	add("old log to new book", whole, log)
	add("log to the book before", closed, log)
	add("earlier log to new book", whole, early)
	add("earlier log to the book before", closed, early)
	add("log without its head", open, log[32:])
	add("garbage", []byte(strings.Repeat("garbage!", 5000)), nil)
	add("twice the book", append(bytes.Clone(whole), whole...), nil)
	add("page more", append(bytes.Clone(whole), make([]byte, page)...), nil)
	return all1, all
}

func read(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestDamagedBooks opens each of several hundred damaged books. Either the
// damage does not touch a fact, and all that is read is what was written; or
// the book is refused in words with the way back, and no byte of it changed.
// Facts can be lost without a word only at the end of the log: what a cut file
// held there cannot be known, and the last call in it may have been unfinished.
func TestDamagedBooks(t *testing.T) {
	facts, all := mutants(t)
	if len(all) < 300 {
		t.Fatalf("%d mutants, want 300 or more", len(all))
	}
	if raced {
		some := all[:0]
		for i, m := range all {
			if i%5 == 0 {
				some = append(some, m)
			}
		}
		all = some
	}
	want := map[season.ID]season.Fact{}
	for _, f := range facts {
		want[f.ID] = f
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "book.db")
	refused, whole, cut := 0, 0, 0
	for _, m := range all {
		if err := removeBook(path); err != nil {
			t.Fatal(err)
		}
		for name, b := range map[string][]byte{path: m.book, path + "-wal": m.log} {
			if b != nil {
				if err := os.WriteFile(name, b, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
		before := bytesOf(t, path)
		got, err := tryRead(path)
		if err != nil {
			refused++
			newer := fault.Is(err, fault.NotUnderstood) && strings.HasPrefix(m.name, "head byte 6") // where the version stands
			if !newer && !fault.Is(err, fault.Damaged) || fault.HintOf(err) == "" || !newer && !strings.Contains(fault.HintOf(err), "/safe/backup.db") {
				t.Errorf("%s: %v (%v; %s), want damaged with the way back", m.name, err, fault.KindOf(err), fault.HintOf(err))
			}
			if bytesOf(t, path) != before {
				t.Errorf("%s: refused and changed all the same", m.name)
			}
			continue
		}
		for _, f := range got {
			if w, ok := want[f.ID]; !ok || !season.Same(&f, &w) {
				t.Errorf("%s: fact %s is not what was written", m.name, f.ID)
				break
			}
		}
		lost := len(want) - len(got)
		switch {
		case lost == 0:
			whole++
		case strings.HasPrefix(m.name, "log cut"), strings.HasPrefix(m.name, "log bit") && lost <= perCall, m.name == "earlier log to the book before", len(m.book) == 0:
			cut++
		default:
			t.Errorf("%s: %d of %d facts, and no word of it", m.name, len(got), len(want))
		}
	}
	t.Logf("%d damaged books: %d refused, %d harmless, %d without the end of their log", len(all), refused, whole, cut)
	if refused < len(all)/3 {
		t.Errorf("only %d of %d refused: the damage is too small to tell anything", refused, len(all))
	}
}

// tryRead opens a book and reads it, as a program starting does.
func tryRead(path string) ([]season.Fact, error) {
	b, err := Open(path, Options{LastBackup: "/safe/backup.db"})
	if err != nil {
		return nil, err
	}
	facts, err := b.Facts(context.Background(), units.Moment{})
	if err != nil {
		// Once damage is seen nothing is written.
		if aerr := b.Append(context.Background(), batch(9000)...); !fault.Is(aerr, fault.Damaged) {
			err = fmt.Errorf("a damaged book takes facts: %v", aerr)
		}
	}
	if cerr := b.Close(); err == nil {
		err = cerr
	}
	return facts, err
}
