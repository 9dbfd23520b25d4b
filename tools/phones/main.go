// Phones measures a home that many phones send to at once: so many phones, each
// logging so many facts a second, each over a connection of its own to a book in
// SQLite on the disk. One answer in twenty is thrown away and the facts sent again,
// as a phone out of reach does. It prints how long answers took and whether
// anything was lost or kept twice.
//
//	go run ./tools/phones -phones 20 -rate 10 -for 60s
//	go run ./tools/phones -ways   all the figures of manual/proof.md that are its
//
// The phones are paired, and the home asks for it. Memory is that of home and
// phones together: they are one program here.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"larder/internal/access"
	"larder/internal/sqlite"
)

func main() {
	load := Load{}
	ways := flag.Bool("ways", false, "phones at work, phones coming home, guesses, hostile connections: one after the other, a minute each")
	only := flag.Int("only", 0, "of these the n-th only")
	flag.IntVar(&load.Phones, "phones", 20, "how many phones")
	flag.IntVar(&load.Rate, "rate", 10, "facts a second of each")
	flag.IntVar(&load.Batch, "batch", 1, "facts in one sending")
	flag.DurationVar(&load.For, "for", time.Minute, "how long; 0: rate facts of each, without waiting")
	flag.Uint64Var(&load.Seed, "seed", 1, "which answers are lost")
	flag.Parse()
	var err error
	if *ways {
		err = all(*only)
	} else {
		err = run("", load.Phones, load.drive)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// all runs what the manual's page of proof tells, or one of it.
func all(only int) (err error) {
	work := Load{Phones: 50, Rate: 40, Batch: 20, For: time.Minute, Seed: 1}
	back := Load{Phones: 200, Rate: 300, Batch: 200, Seed: 1}
	guessed := Hostile{Logins: 50, For: time.Minute, Seed: 1, Reader: "/short"}
	held := Hostile{Slow: 500, Mute: 100, Long: 4, For: time.Minute, Seed: 1, Reader: "/short"}
	for i, f := range []func() error{
		func() error { return run("50 phones at work", work.Phones, work.drive) },
		func() error { return run("200 phones come home", back.Phones, back.drive) },
		func() error { return run("50 guesses a second", 2, guessed.drive) },
		func() error { return run("500 slow, 100 mute, 4 long-winded connections", 2, held.drive) },
	} {
		if only == 0 || only == i+1 {
			err = errors.Join(err, f())
		}
	}
	return err
}

func (l Load) drive(ctx context.Context, s *server, book *sqlite.Book) (string, error) {
	l.Tokens = s.tokens
	r, err := l.Drive(ctx, s.url, book)
	if err == nil && !r.Good() {
		err = errors.New("facts were lost or refused")
	}
	return r.String(), err
}

func (h Hostile) drive(ctx context.Context, s *server, _ *sqlite.Book) (string, error) {
	b := h.Bear(ctx, s.url)
	var err error
	if b.Failed > 0 || b.In > 0 || len(b.Took) == 0 {
		err = errors.New("pages did not come, or a guess was let in")
	}
	return b.String(), err
}

func run(what string, phones int, drive func(context.Context, *server, *sqlite.Book) (string, error)) error {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "larder-phones-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	book, err := sqlite.Open(filepath.Join(dir, "larder.db"), sqlite.Options{})
	if err != nil {
		return err
	}
	defer book.Close()
	if err := book.Append(ctx, Hives(phones)...); err != nil {
		return err
	}
	s, err := serve(ctx, book, &access.File{Path: filepath.Join(dir, "larder.access")}, phones)
	if err != nil {
		return err
	}
	defer s.close()
	runtime.GC()
	said, err := drive(ctx, s, book)
	if what != "" {
		fmt.Println("== " + what)
	}
	fmt.Println(said)
	if most := mostMemory(); most != "" {
		fmt.Println("the most memory so far: " + most)
	}
	return err
}

// mostMemory is the most this program has had in memory, where the system tells.
func mostMemory() string {
	raw, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return ""
	}
	for line := range strings.Lines(string(raw)) {
		if kb, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			return strings.TrimSpace(kb)
		}
	}
	return ""
}
