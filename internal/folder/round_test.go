package folder

import (
	"bytes"
	"io"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"larder/internal/fault"
	"larder/internal/season"
)

// inMemory is a folder in memory.
type inMemory map[string][]byte

type memFile struct {
	bytes.Buffer
	to   inMemory
	name string
}

func (f *memFile) Close() error { f.to[f.name] = f.Bytes(); return nil }

func (m inMemory) open(name string) (io.WriteCloser, error) {
	return &memFile{to: m, name: name}, nil
}

func (m inMemory) fs() fs.FS {
	out := fstest.MapFS{}
	for n, b := range m {
		out[n] = &fstest.MapFile{Data: b}
	}
	return out
}

func (m inMemory) String() string {
	var names []string
	for n := range m {
		names = append(names, n)
	}
	slices.Sort(names)
	var b strings.Builder
	for _, n := range names {
		b.WriteString("== " + n + "\n" + string(m[n]))
	}
	return b.String()
}

func equalFacts(t interface {
	Fatalf(string, ...any)
	Helper()
}, want, got []season.Fact) {
	t.Helper()
	if len(want) != len(got) {
		t.Fatalf("%d facts became %d", len(want), len(got))
	}
	for i := range want {
		w, g := want[i], got[i]
		a, _ := season.EncodeBody(&w)
		b, _ := season.EncodeBody(&g)
		if !season.Same(&w, &g) || w.Made != g.Made {
			t.Fatalf("fact %d\nwas %v %v %v %q %v %s\nis  %v %v %v %q %v %s", i, w.ID, w.Seen, w.Made, w.By, w.Replaces, a, g.ID, g.Seen, g.Made, g.By, g.Replaces, b)
		}
	}
}

func TestEveryKindHasATableAndAGenerator(t *testing.T) {
	for _, k := range season.Kinds() {
		if bodies[k] == nil {
			t.Errorf("no generator for %s", k)
		}
		if !slices.ContainsFunc(tables, func(x *table) bool { return x.kind == k }) {
			t.Errorf("no table for %s", k)
		}
	}
}

// What is exported reads back as the same facts, to the last letter, and is
// exported again as the same bytes.
func TestFolderRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := factsGen.Draw(t, "facts")
		first := inMemory{}
		if err := Write(first.open, facts); err != nil {
			t.Fatalf("write: %v", err)
		}
		back, err := Read(first.fs())
		if err != nil {
			t.Fatalf("read: %v\n%s", err, first)
		}
		want := slices.Clone(facts)
		slices.SortFunc(want, order)
		equalFacts(t, want, back)
		second := inMemory{}
		if err := Write(second.open, back); err != nil {
			t.Fatalf("write again: %v", err)
		}
		if first.String() != second.String() {
			t.Fatalf("not the same bytes:\n%s\n----\n%s", first, second)
		}
	})
}

func TestWorkbookRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := factsGen.Draw(t, "facts")
		var first, second bytes.Buffer
		if err := WriteXLSX(&first, facts); err != nil {
			t.Fatalf("write: %v", err)
		}
		back, _, err := ReadXLSX(bytes.NewReader(first.Bytes()), int64(first.Len()))
		if err != nil {
			t.Fatalf("read: %v", err)
		}
		want := slices.Clone(facts)
		slices.SortFunc(want, order)
		equalFacts(t, want, back)
		if err := WriteXLSX(&second, back); err != nil {
			t.Fatalf("write again: %v", err)
		}
		if !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("the workbook differs: %d and %d bytes", first.Len(), second.Len())
		}
	})
}

// The order in which the facts come does not matter.
func TestSameFactsSameBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := factsGen.Draw(t, "facts")
		a, b := inMemory{}, inMemory{}
		if err := Write(a.open, facts); err != nil {
			t.Fatalf("%v", err)
		}
		if err := Write(b.open, rapid.Permutation(facts).Draw(t, "shuffled")); err != nil {
			t.Fatalf("%v", err)
		}
		if a.String() != b.String() {
			t.Fatalf("the order of the facts shows")
		}
	})
}

func TestGuardComesOff(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(wildText, rapid.StringMatching(`['=+@\t\r-]{0,4}[a-z]?`)).Draw(t, "text")
		g := guard(s)
		if unguard(g) != s {
			t.Fatalf("%q became %q", s, unguard(g))
		}
		if g != "" && strings.IndexByte(formulaStart, g[0]) >= 0 {
			t.Fatalf("%q is not guarded", g)
		}
	})
}

func TestWriteRefuses(t *testing.T) {
	opened := false
	open := func(string) (io.WriteCloser, error) { opened = true; return nil, io.ErrClosedPipe }
	good := season.Fact{ID: someID, Seen: someDay, Body: season.Setting{Key: "house.units", Value: "us"}}
	other := good
	other.Body = season.Setting{Key: "house.units", Value: "uk"}
	if err := Write(open, []season.Fact{good, other}); !fault.Is(err, fault.Conflict) {
		t.Errorf("two facts of one id: %v", err)
	}
	if err := Write(open, []season.Fact{{Body: good.Body, Seen: someDay}}); !fault.Is(err, fault.Missing) {
		t.Errorf("a fact without id: %v", err)
	}
	if opened {
		t.Error("something was opened before all was proved")
	}
	if err := Write(open, []season.Fact{good}); err == nil || !opened {
		t.Error("a file that cannot be opened is no error")
	}
}
