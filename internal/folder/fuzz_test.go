package folder

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"larder/internal/fault"
	"larder/internal/units"
)

// reads looks that a folder either gives troubles that a person can use, and no
// facts, or facts that can be written and read again.
func reads(t *testing.T, fsys fstest.MapFS) {
	facts, rep, err := ReadReport(fsys)
	if err != nil {
		list, ok := err.(fault.List)
		if facts != nil || !ok || len(list) == 0 {
			t.Fatalf("%d facts beside %v", len(facts), err)
		}
		for _, e := range list {
			if fault.KindOf(e) == fault.Internal || e.Error() == "" || !utf8.ValidString(e.Error()) {
				t.Fatalf("not a trouble for a person: %#v", e)
			}
		}
		return
	}
	for _, w := range rep.Warnings {
		if w.Thing == "" || w.Say == "" {
			t.Fatalf("a warning without words: %+v", w)
		}
	}
	if len(facts) > 300 {
		return
	}
	m := inMemory{}
	if err := Write(m.open, facts); err != nil {
		t.Fatalf("read but not written: %v", err)
	}
	back, err := Read(m.fs())
	if err != nil {
		t.Fatalf("written but not read: %v\n%s", err, m)
	}
	equalFacts(t, facts, back)
}

const fuzzSeason = "format = 1\nsince = 2026-01-01\n[house]\nunits = \"us\"\ncurrency = \"USD\"\n"

func FuzzTable(f *testing.F) {
	for i, x := range tables {
		for _, dir := range []string{"testdata/full", "testdata/bad", "testdata/format1"} {
			if b, err := os.ReadFile(filepath.Join(dir, x.file())); err == nil {
				f.Add(i, b)
			}
		}
	}
	nasty, err := filepath.Glob("testdata/nasty/*/*.csv")
	if err != nil {
		f.Fatal(err)
	}
	for _, n := range nasty {
		b, err := os.ReadFile(n)
		if err != nil {
			f.Fatal(err)
		}
		for i, x := range tables {
			if filepath.Base(n) == x.file() {
				f.Add(i, b)
			}
		}
	}
	f.Fuzz(func(t *testing.T, which int, b []byte) {
		x := tables[uint(which)%uint(len(tables))]
		reads(t, fstest.MapFS{"season.toml": {Data: []byte(fuzzSeason)}, x.file(): {Data: b}, "plans/P3.json": {Data: []byte("{}")}})
	})
}

func FuzzSeasonTOML(f *testing.F) {
	for _, n := range []string{"testdata/full/season.toml", "testdata/bad-season/season.toml", "testdata/nasty/own-words/season.toml"} {
		b, err := os.ReadFile(n)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add([]byte("a.b.c = {d = 1, e = [1]}\n[[x]]\ny = 1979-05-27T07:32:00Z\n'' = 1e400\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		reads(t, fstest.MapFS{"season.toml": {Data: b}})
	})
}

// FuzzSheet is what a workbook gives, without the zip around it: heads and
// cells of any kind.
func FuzzSheet(f *testing.F) {
	f.Add(9, "seen\x00colony\x00gross_lb", "46270.5\x0014\x0096.5", "2026-09-05\x0015\x00-")
	f.Add(1, "Yard\x00Latitude\x00lon", "ridge\x0042.440000000000005\x00-7.65E1", "x\x00\x00")
	f.Add(17, "station\x00date\x00tmax (°F)\x00rain [in]", "a\x0046270\x00-4\x001/4", "")
	f.Fuzz(func(t *testing.T, which int, head, a, b string) {
		x := tables[uint(which)%uint(len(tables))]
		l := loader{house: house{zone: utc, systemTold: true, currency: "USD", since: 20000}}
		s := &sheet{name: sheetPrefix + x.name, t: x, m: &manner{house: &l.house, book: true}}
		var rows [][]string
		for _, r := range []string{head, a, b} {
			rows = append(rows, strings.Split(r, "\x00"))
		}
		s.bookTable(rows)
		l.take(s)
		facts, _, err := l.finish()
		if (err != nil) == (facts != nil) {
			t.Fatalf("%d facts beside %v", len(facts), err)
		}
		for i := range facts {
			if err := facts[i].Check(); err != nil {
				t.Fatalf("a fact that may not be kept: %v", err)
			}
		}
	})
}

func FuzzDays(f *testing.F) {
	for _, s := range []string{"2026-10-03", "3/10/2026", "13.10.2026 5:04 pm", "Oct 3, 2026", "46270.75", "2026-10-03T18:02:05.250-04:00", "12:", "1/2/3"} {
		f.Add(s, uint8(1), true)
	}
	f.Fuzz(func(t *testing.T, s string, order uint8, book bool) {
		if s = strings.TrimSpace(s); s == "" {
			return
		}
		c := cell{text: s, raw: s, m: &manner{house: &house{zone: utc}, order: dateOrder(order % 4), book: book}}
		m, err := c.moment()
		if err != nil {
			return
		}
		back, err := units.ParseMoment(m.String(), utc)
		if err != nil || back != m {
			t.Fatalf("%q is %v and then %v (%v)", s, m, back, err)
		}
	})
}

func FuzzFrames(f *testing.F) {
	for _, s := range []string{"lang10-deep 4¼ + 1 open; lang10-medium 2", "lang10-deep 0", "lang10-deep: 4 1/2", "lang10-deep 4,5 + ½ OPEN\nbsn-deep 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := parseFrames(s, proofLocale)
		if err != nil {
			return
		}
		again, err := parseFrames(framesText(l), proofLocale)
		if err != nil || len(again) != len(l) {
			t.Fatalf("%q is %v, written %q, read %v %v", s, l, framesText(l), again, err)
		}
		for i := range l {
			if l[i] != again[i] {
				t.Fatalf("%q is %v, written %q, read %v", s, l, framesText(l), again)
			}
		}
	})
}
