// Soak keeps a home under mixed load for a long time while it is treated badly:
// phones log, desks read, plans are made, and the program is killed as the power
// cut kills it, the disk fills up, the PostgreSQL server is shot, the clock is
// set. Then it looks whether everything that was acknowledged is in the book,
// once, and whether memory stayed flat while nothing new came in.
//
//	go run ./tools/soak -for 30m -engine sqlite
//	go run ./tools/soak -for 30m -engine postgres
//
// It prints what it did and found; exit 1 when anything was lost, kept twice, or
// grew.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"time"

	"larder/internal/cli"
)

// childEnv makes this program the home itself: one binary is both.
const childEnv = "LARDER_SOAK_CLOCK"

func main() {
	if file := os.Getenv(childEnv); file != "" {
		os.Exit(child(file))
	}
	s := Soak{Tell: func(line string) { fmt.Println(time.Now().Format("15:04:05"), line) }}
	flag.DurationVar(&s.For, "for", 30*time.Minute, "how long, the last third of it calm")
	flag.StringVar(&s.Engine, "engine", "sqlite", "sqlite or postgres")
	flag.IntVar(&s.Phones, "phones", 8, "how many phones")
	flag.IntVar(&s.Desks, "desks", 3, "how many desks")
	flag.Uint64Var(&s.Seed, "seed", 1, "which trouble comes when")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	r, err := s.Run(ctx)
	if err == nil {
		fmt.Println(r)
		err = r.Trouble()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// child runs the command line with a clock that is as far off as file says, in
// seconds.
func child(file string) int {
	w := cli.System()
	w.Now = func() time.Time {
		var off float64
		if raw, err := os.ReadFile(file); err == nil {
			_, _ = fmt.Sscan(string(raw), &off) // half written: no offset for this once
		}
		return time.Now().Add(time.Duration(off * float64(time.Second)))
	}
	return cli.Main(os.Args[1:], w)
}
