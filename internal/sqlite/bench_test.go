package sqlite

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// BenchmarkAppend is how fast facts are kept for good, each call with its own
// sync. Goal: 2,000 facts a second in batches.
func BenchmarkAppend(b *testing.B) {
	for _, n := range []int{1, 20, 100} {
		b.Run(fmt.Sprintf("%d at once", n), func(b *testing.B) {
			book := fresh(b)
			facts := booktest.Many(1000, 3)
			at := 0
			for b.Loop() {
				if at+n > len(facts) {
					b.StopTimer()
					book, at = fresh(b), 0
					b.StartTimer()
				}
				if err := book.Append(context.Background(), facts[at:at+n]...); err != nil {
					b.Fatal(err)
				}
				at += n
			}
			b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "facts/s")
		})
	}
	b.Run("50 writers of 20", func(b *testing.B) {
		book := fresh(b)
		facts := booktest.Many(1000, 3)
		calls := make(chan int)
		done := make(chan error, 50)
		for range 50 {
			go func() {
				for i := range calls {
					at := i * 20 % (len(facts) - 20)
					if err := book.Append(context.Background(), facts[at:at+20]...); err != nil {
						done <- err
						return
					}
				}
				done <- nil
			}()
		}
		n := 0
		for b.Loop() {
			calls <- n
			n++
		}
		close(calls)
		for range 50 {
			if err := <-done; err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(n*20)/b.Elapsed().Seconds(), "facts/s")
	})
}

// large makes a book of about a million facts: 4,500 colonies over ten years.
func large(b *testing.B) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "large.db")
	book, err := Open(path, Options{})
	if err != nil {
		b.Fatal(err)
	}
	facts := booktest.Many(4500, 10)
	for at := 0; at < len(facts); at += 5000 {
		if err := book.Append(context.Background(), facts[at:min(at+5000, len(facts))]...); err != nil {
			b.Fatal(err)
		}
	}
	if err := book.Close(); err != nil {
		b.Fatal(err)
	}
	return path
}

// BenchmarkOpenLarge is the start of a program on a large book: opened, all
// facts read and proved, folded to a state. Goals: 3 s the first time, 1.6 s
// when the system has the file at hand, 400 bytes of memory a fact.
func BenchmarkOpenLarge(b *testing.B) {
	path := large(b)
	st, err := os.Stat(path)
	if err != nil {
		b.Fatal(err)
	}
	var open, read, fold time.Duration
	var before, after runtime.MemStats
	n := 0
	for b.Loop() {
		t0 := time.Now()
		book, err := Open(path, Options{})
		if err != nil {
			b.Fatal(err)
		}
		t1 := time.Now()
		facts, err := book.Facts(context.Background(), units.Moment{})
		if err != nil {
			b.Fatal(err)
		}
		t2 := time.Now()
		j, err := season.JournalOf(facts)
		if err != nil {
			b.Fatal(err)
		}
		state := j.Now()
		open, read, fold = open+t1.Sub(t0), read+t2.Sub(t1), fold+time.Since(t2)
		b.StopTimer()
		n = j.Len()
		facts = nil
		runtime.GC()
		runtime.ReadMemStats(&after)
		runtime.KeepAlive(state)
		j, state = nil, nil
		runtime.GC()
		runtime.ReadMemStats(&before)
		if err := book.Close(); err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
	}
	ms := func(d time.Duration) float64 { return float64(d.Milliseconds()) / float64(b.N) }
	b.ReportMetric(float64(n), "facts")
	b.ReportMetric(ms(open), "open-ms")
	b.ReportMetric(ms(read), "read-ms")
	b.ReportMetric(ms(fold), "fold-ms")
	b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/float64(n), "memory-B/fact")
	b.ReportMetric(float64(st.Size())/float64(n), "file-B/fact")
}

func BenchmarkBackup(b *testing.B) {
	book, err := Open(large(b), Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer book.Close()
	n := 0
	for b.Loop() {
		n++
		if err := book.Backup(context.Background(), filepath.Join(b.TempDir(), fmt.Sprintf("b%d.db", n))); err != nil {
			b.Fatal(err)
		}
	}
}
