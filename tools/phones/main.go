// Phones measures a home that many phones send to at once: so many phones, each
// logging so many facts a second, each sent by itself over a connection of its
// own to a book in SQLite on the disk. One answer in twenty is thrown away and
// the fact sent again, as a phone out of reach does. It prints how long answers
// took and whether anything was lost or kept twice.
//
//	go run ./tools/phones -phones 20 -rate 10 -for 60s
package main

import (
	"context"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"github.com/google/uuid"

	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/web"
)

func main() {
	load := Load{}
	flag.IntVar(&load.Phones, "phones", 20, "how many phones")
	flag.IntVar(&load.Rate, "rate", 10, "facts a second of each")
	flag.DurationVar(&load.For, "for", time.Minute, "how long")
	flag.Uint64Var(&load.Seed, "seed", 1, "which answers are lost")
	flag.Parse()
	if err := run(load); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(load Load) error {
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
	if err := book.Append(ctx, Hives(load.Phones)...); err != nil {
		return err
	}
	s, err := web.New(ctx, web.Options{Book: book, Now: time.Now, NewID: func() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	srv := &http.Server{Handler: s, ReadHeaderTimeout: 5 * time.Second}
	go func() { _ = srv.Serve(l) }() // until it is closed
	defer srv.Close()
	r, err := load.Drive(ctx, "http://"+l.Addr().String(), book)
	if err != nil {
		return err
	}
	fmt.Println(r)
	if !r.Good() {
		return fmt.Errorf("facts were lost or refused")
	}
	return nil
}
