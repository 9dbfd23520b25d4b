package folder

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// hundredThousand is a readings.csv as a book of many years has it.
func hundredThousand() []byte {
	var b strings.Builder
	b.WriteString("seen,colony,way,gross,lift1,lift2,frames,heft,in_feeder,wet,note\n")
	for i := range 100_000 {
		fmt.Fprintf(&b, "2026-%02d-%02dT%02d:%02d-04:00,%d,lift2,,%d.%d lb,%d lb,,,0 L,,\n", 1+i%12, 1+i%28, i%24, i%60, i%400, 30+i%30, i%10, 31+i%30)
	}
	return []byte(b.String())
}

// The figure to reach: 100,000 rows in one second on two ordinary cores.
func BenchmarkRead100000(b *testing.B) {
	fsys := fstest.MapFS{"season.toml": {Data: []byte("format = 1\nsince = 2026-01-01\n[house]\nunits = \"us\"\n")}, "readings.csv": {Data: hundredThousand()}}
	b.ReportAllocs()
	for b.Loop() {
		facts, err := Read(fsys)
		if err != nil || len(facts) != 100_001 {
			b.Fatal(len(facts), err)
		}
	}
}

func BenchmarkWrite100000(b *testing.B) {
	facts, err := Read(fstest.MapFS{"readings.csv": {Data: hundredThousand()}})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := Write(inMemory{}.open, facts); err != nil {
			b.Fatal(err)
		}
	}
}
