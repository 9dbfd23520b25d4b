// Package cli is the command line: one file per verb, each with a text and a
// JSON form of the same result, and the wiring of everything below.
//
// # Rules of the interface
//
// Results go to standard output. Trouble goes to standard error: one sentence,
// the number of its page in the manual, then "hint:" and how to mend it. Exit 0: done; 1: could not; 2: wrong use.
// JSON is SI, one object, keys in snake_case ending in their unit. Text is in
// the keeper's units, at most 100 columns wide, without colour unless it goes
// to a terminal. Nothing here works anything out: verbs read, call season, and
// print.
package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"github.com/alecthomas/kong"

	"larder/internal/fault"
	"larder/internal/units"
)

// World is what a command may touch of the machine it runs on; tests give
// their own.
type World struct {
	Out, Err io.Writer
	In       io.Reader
	Now      func() time.Time
	Env      func(string) string
	Terminal bool // Out is a terminal: colour and progress are welcome
}

// System is the real machine.
func System() World {
	info, err := os.Stdout.Stat()
	return World{
		Out: os.Stdout, Err: os.Stderr, In: os.Stdin, Now: time.Now, Env: os.Getenv,
		Terminal: err == nil && info.Mode()&os.ModeCharDevice != 0 && os.Getenv("NO_COLOR") == "",
	}
}

// common are the flags every command takes.
type common struct {
	JSON   bool   `help:"Print the result as JSON, in SI units."`
	Units  string `enum:"us,metric,uk,own" default:"own" help:"Units to print in: us, metric or uk (own: those of the season, else us)."`
	AsOf   string `name:"asof" placeholder:"DATE[THH:MM]" help:"Judge by what was known then (default: now)."`
	Keeper string `placeholder:"NAME" env:"LARDER_KEEPER" help:"Whose book, of the keepers of a PostgreSQL server (see larder keepers)."`
	Book   string `placeholder:"FILE|URL" env:"LARDER_BOOK" help:"Where the facts are kept (default: your data folder)."`
}

// run is one command at work.
type run struct {
	common
	World
	ctx  context.Context
	done []io.Closer // what a command opened and the next would not find open
}

// Exit codes, stable.
const (
	exitDone  = 0
	exitCould = 1
	exitUsage = 2
)

// Main runs one command line and gives the exit code.
func Main(args []string, w World) int {
	var c struct {
		common
		verbs
	}
	parser, err := kong.New(&c,
		kong.Name("larder"),
		kong.Description("Works out what bees lack before winter, what to mix, what to haul, and who gets how much when."),
		kong.UsageOnError(),
		kong.Writers(w.Out, w.Err),
		kong.Exit(func(int) {}),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true, WrapUpperBound: 96}),
	)
	if err != nil {
		panic("cli: " + err.Error()) // the struct tags are wrong: a mistake of the program
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	help := false
	parser.Exit = func(code int) { help = true }
	kctx, err := parser.Parse(args)
	if help {
		return exitDone
	}
	if err != nil {
		return report(w.Err, &fault.Error{Kind: fault.Usage, Say: sentence(err.Error()), Hint: "larder --help, or larder COMMAND --help"})
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	r := &run{common: c.common, World: w, ctx: ctx}
	err = kctx.Run(r)
	for _, c := range r.done {
		err = errors.Join(err, c.Close())
	}
	if err != nil {
		return report(w.Err, err)
	}
	return exitDone
}

// report prints err for the keeper and gives the exit code.
func report(w io.Writer, err error) int {
	var many fault.List
	if errors.As(err, &many) {
		for _, e := range many {
			one(w, e)
		}
	} else {
		one(w, err)
	}
	if fault.KindOf(err) == fault.Usage {
		return exitUsage
	}
	return exitCould
}

func one(w io.Writer, err error) {
	var e *fault.Error
	if !errors.As(err, &e) {
		fmt.Fprintf(w, "larder: something went wrong inside: %v (%s)\n", err, fault.Internal.Number())
		return
	}
	fmt.Fprintf(w, "larder: %s (%s)\n", e, e.Kind.Number())
	if e.Hint != "" {
		fmt.Fprintf(w, "hint: %s\n", e.Hint)
	}
}

// sentence turns kong's own words into ours where they are too terse.
func sentence(s string) string {
	if s == "" {
		return "this command is not understood"
	}
	return s
}

// printJSON writes v as one indented object.
func (r *run) printJSON(v any) error {
	e := json.NewEncoder(r.Out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// style is how amounts are written: the flag, else the season's own.
func (r *run) style(own units.Style) units.Style {
	switch r.Units {
	case "us":
		own.System = units.US
	case "metric":
		own.System = units.Metric
	case "uk":
		own.System = units.UK
	}
	return own
}

// locale is how amounts on the command line are read.
func (r *run) locale() units.Locale {
	l := units.Locale{Decimal: '.', System: units.US}
	switch r.Units {
	case "metric":
		l.System = units.Metric
	case "uk":
		l.System = units.UK
	}
	return l
}

// asOf gives the moment to judge by; zone is the season's.
func (r *run) asOf(zone *time.Location) (units.Moment, error) {
	if r.AsOf == "" {
		return units.At(r.Now().In(zone)), nil
	}
	m, err := units.ParseMoment(strings.TrimSpace(r.AsOf), zone)
	if err != nil {
		var e *fault.Error
		if errors.As(err, &e) {
			e.Kind, e.Thing = fault.Usage, "--asof"
		}
	}
	return m, err
}
