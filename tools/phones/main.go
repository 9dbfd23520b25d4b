// Phones measures a home that many phones send to at once: so many phones, each
// logging so many facts a second, each over a connection of its own to a book in
// SQLite on the disk. One answer in twenty is thrown away and the facts sent again,
// as a phone out of reach does. It prints how long answers took and whether
// anything was lost or kept twice.
//
//	go run ./tools/phones -phones 20 -rate 10 -for 60s
//	go run ./tools/phones -ways   all the figures of manual/proof.md that are its
//
// The phones are paired, and the home asks for it. Home is a process of its own, so
// that the memory told is its own; its book is read again after it has ended.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"time"
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
	home := flag.String("home", "", "be the home of so many phones in this folder, and nothing else: the program starts itself so")
	flag.Parse()
	var err error
	if *home != "" {
		err = beHome(context.Background(), *home, load.Phones)
	} else if *ways {
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

func (l Load) drive(ctx context.Context, h *apart) (string, error) {
	l.Tokens = h.tokens
	r := l.Send(ctx, h.url)
	book, err := h.book()
	if err != nil {
		return r.String(), err
	}
	defer book.Close()
	if err := r.look(ctx, book); err != nil {
		return r.String(), err
	}
	if !r.Good() {
		return r.String(), errors.New("facts were lost or refused")
	}
	return r.String(), nil
}

func (h Hostile) drive(ctx context.Context, home *apart) (string, error) {
	b := h.Bear(ctx, home.url)
	if b.Failed > 0 || b.In > 0 || len(b.Took) == 0 {
		return b.String(), errors.New("pages did not come, or a guess was let in")
	}
	return b.String(), nil
}

// run lets drive loose on a home of so many phones.
func run(what string, phones int, drive func(context.Context, *apart) (string, error)) (err error) {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "larder-phones-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	h, err := start(ctx, dir, phones)
	if err != nil {
		return err
	}
	said, err := drive(ctx, h)
	err = errors.Join(err, h.stop())
	if what != "" {
		fmt.Println("== " + what)
	}
	fmt.Println(said)
	fmt.Println("memory of home: " + h.memory)
	return err
}
