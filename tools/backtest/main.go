// Command backtest foretells each season from the years before it and scores
// what came: the stop day, the days good for a round, and what a colony eats.
//
// It reads DATA/weather/GHCN_USW00014839.csv (Milwaukee airport, NOAA
// GHCN-Daily; °F and inches) and the four years of two cities that the project
// carries. Without DATA it says what is missing and exits 1.
//
//	DATA=/path/to/folder go run ./tools/backtest [-seed N] [-to FILE]
//
// With -to the part of FILE between the two marks is replaced by what came out.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"larder/internal/apiary"
	"larder/internal/weather"
	"larder/internal/weather/demodata"
	"larder/internal/winter"
)

const (
	station = "USW00014839"
	begin   = "<!-- from here on written by make backtest -->"
	end     = "<!-- to here -->"
)

func main() { os.Exit(run(os.Args[1:], os.Getenv("DATA"), os.Stdout, os.Stderr)) }

func run(args []string, data string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("backtest", flag.ContinueOnError)
	flags.SetOutput(errs)
	seed := flags.Uint64("seed", 1, "seed of all draws")
	to := flags.String("to", "", "file whose part between the marks is replaced")
	if err := flags.Parse(args); err != nil {
		return 2
	}
	places, err := load(data)
	if err == nil {
		var text string
		if text, err = report(places, *seed); err == nil {
			fmt.Fprint(out, text)
			if *to != "" {
				err = replace(*to, text)
			}
		}
	}
	if err != nil {
		fmt.Fprintln(errs, "backtest:", err)
		return 1
	}
	return 0
}

// load reads the weather.
func load(data string) ([]place, error) {
	const how = "type: make backtest DATA=/path/to/folder, where the folder holds weather/GHCN_" + station + ".csv (daily highs and lows of Milwaukee airport, NOAA GHCN-Daily)"
	if data == "" {
		return nil, errors.New("DATA is not set; " + how)
	}
	name := filepath.Join(data, "weather", "GHCN_"+station+".csv")
	b, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s is missing; %s", name, how)
	}
	if err != nil {
		return nil, err
	}
	f, err := weather.Read(b, weather.Options{File: name, Format: weather.CSV, Scale: weather.Fahrenheit, As: station})
	if err != nil {
		return nil, err
	}
	if len(f.Series) != 1 {
		return nil, fmt.Errorf("%s holds %d stations, not one", name, len(f.Series))
	}
	first, last, _ := f.Series[0].Span()
	milwaukee := place{name: "Milwaukee", series: f.Series[0], brood: winter.BroodCold, class: apiary.Cold,
		first: weather.Season(first, false) + 31, last: weather.Season(last, false) - 1}
	var places []place
	for _, back := range []int{30, 0, 5} {
		p := milwaukee
		p.back = back
		places = append(places, p)
	}
	d, err := weather.Read(demodata.CSV(), weather.Options{File: "weather.csv", Format: weather.CityCSV})
	if err != nil {
		return nil, err
	}
	for _, s := range d.Series {
		p := place{name: s.Station(), series: s, first: 2013, last: 2015, brood: winter.BroodTemperate, class: apiary.Temperate}
		if s.Station() == "Seattle" {
			p.brood, p.class = winter.BroodMild, apiary.Mild
		}
		places = append(places, p)
	}
	return places, nil
}

// report scores every place.
func report(places []place, seed uint64) (string, error) {
	var scores []score
	for _, p := range places {
		rng, safe, err := stopDays(p)
		if err != nil {
			return "", err
		}
		scores = append(scores, rng, safe)
		if p.back != 5 {
			scores = append(scores, feedDays(p))
		}
		a, b, c, err := winters(p, seed)
		if err != nil {
			return "", err
		}
		scores = append(scores, a, b, c)
		if p.back == 30 {
			each, err := chances(p)
			if err != nil {
				return "", err
			}
			scores = append(scores, each[:]...)
		}
	}
	spread := ""
	for _, p := range places {
		if p.back == 0 {
			line, err := between(p)
			if err != nil {
				return "", err
			}
			spread += "- " + line + "\n"
		}
	}
	return text(places, scores, seed) + "\nHow much winters differ:\n\n" + spread, nil
}

func text(places []place, scores []score, seed uint64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Seed %d. %d draws a winter, %d simulated colonies. Band: where a true share as wanted lies in 95 of 100 such counts.\n\n", seed, draws, simulated)
	for _, p := range places {
		first, last, _ := p.series.Span()
		fmt.Fprintf(&b, "- %s: days from %s to %s, seasons %d to %d foretold from %s.\n", p.name, first, last, p.first, p.last, p.years())
	}
	b.WriteString("\n| what | place | scored | wanted | inside | band | below | above | |\n|---|---|---|---|---|---|---|---|---|\n")
	for i := range scores {
		if scores[i].N > 0 {
			b.WriteString(scores[i].row() + "\n")
		}
	}
	b.WriteString("\nWhere the seasons came within what was foretold, twenty years at a time (0.5: no leaning; in brackets, how many):\n\n")
	for i := range scores {
		if d := scores[i].decades(); d != "" {
			fmt.Fprintf(&b, "- %s, %s: %s\n", scores[i].Place, scores[i].What, d)
		}
	}
	b.WriteString("\nWhat lies outside its 80 % range, from the 30 years before:\n\n")
	for i := range scores {
		if s := &scores[i]; strings.Contains(s.What, "80 %") && strings.Contains(s.What, "30 years") && len(s.Out) > 0 {
			fmt.Fprintf(&b, "- %s: %s\n", s.What, strings.Join(s.Out, "; "))
		}
	}
	return b.String()
}

// replace puts text between the marks of a file.
func replace(name, text string) error {
	old, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	head, rest, ok := strings.Cut(string(old), begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		return fmt.Errorf("%s has not the two marks %q and %q", name, begin, end)
	}
	return os.WriteFile(name, []byte(head+begin+"\n\n"+text+"\n"+end+tail), 0o644)
}
