// Command routes measures route.Loads on public instances of capacitated
// routing against the best known answers.
//
// It reads DATA/routes/*.vrp and *.sol; without them it says what is missing
// and exits 1. Nothing of them is kept here.
//
//	DATA=/path/to/folder go run ./tools/routes [-seed N] [-streams N] [-only TEXT] [-to FILE]
//
// Sources of the instances: X: E. Uchoa, D. Pecin, A. Pessoa, M. Poggi, T.
// Vidal, A. Subramanian, "New benchmark instances for the Capacitated Vehicle
// Routing Problem", European Journal of Operational Research 257(3) (2017),
// 845-858. A, B, P: P. Augerat et al. (1995). E: N. Christofides, S. Eilon
// (1969). F: M. L. Fisher (1994). M, CMT: N. Christofides, A. Mingozzi, P. Toth
// (1979). As collected in the public repositories PyVRP/Instances and
// PyVRP/VRPLIB (MIT licence).
//
// What it prints is checked by this program's own arithmetic (instance.go):
// every stop once, capacity, length of the trip, cost. The published trips go
// through the same check first, and their published cost must come out.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"larder/internal/route"
)

const (
	begin = "<!-- from here on written by make bench-routes -->"
	end   = "<!-- to here -->"
)

// small and large are the groups the table gives a mean for.
var small = []string{"P-n16-k8", "E-n13-k4", "B-n31-k5", "A-n32-k5", "CMT6", "F-n72-k4", "M-n101-k10",
	"X-n101-k25", "X-n110-k13", "X-n120-k6", "X-n129-k18", "X-n139-k10", "X-n148-k46", "X-n157-k13",
	"X-n167-k10", "X-n176-k26", "X-n186-k15", "X-n195-k51", "X-n200-k36"}
var large = []string{"X-n502-k39"}

// optimal must be met exactly.
var optimal = []string{"P-n16-k8", "E-n13-k4", "B-n31-k5", "A-n32-k5"}

func main() { os.Exit(run(os.Args[1:], os.Getenv("DATA"), os.Stdout, os.Stderr)) }

func run(args []string, data string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("routes", flag.ContinueOnError)
	flags.SetOutput(errs)
	seed := flags.Uint64("seed", 1, "seed of all draws")
	streams := flags.Int("streams", 2, "searches side by side")
	only := flags.String("only", "", "just the instances with this in their name")
	scale := flags.Float64("scale", 1, "times as many iterations")
	to := flags.String("to", "", "file whose part between the marks is replaced")
	if err := flags.Parse(args); err != nil {
		return 2
	}
	all, err := load(data, *only)
	if err != nil {
		fmt.Fprintln(errs, "routes:", err)
		return 1
	}
	text, err := report(all, *seed, *streams, *scale, errs)
	fmt.Fprint(out, text)
	if err == nil && *to != "" {
		err = replace(*to, text)
	}
	if err != nil {
		fmt.Fprintln(errs, "routes:", err)
		return 1
	}
	return 0
}

func isDir(path string) bool {
	st, err := os.Stat(path)
	return err == nil && st.IsDir()
}

func load(data, only string) ([]*instance, error) {
	const how = "type: make bench-routes DATA=/path/to/folder, where the folder, or a folder routes in it, holds NAME.vrp and NAME.sol (public routing instances: X set of Uchoa et al. 2017, A, B, E, F, M, P and CMT)"
	if data == "" {
		return nil, errors.New("DATA is not set; " + how)
	}
	if in := filepath.Join(data, "routes"); isDir(in) {
		data = in
	}
	var all []*instance
	for _, name := range append(append([]string{}, small...), large...) {
		if !strings.Contains(name, only) {
			continue
		}
		in, err := read(data, name)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%w; %s", err, how)
		}
		if err != nil {
			return nil, err
		}
		cost, err := in.check(in.bestWays)
		if err != nil {
			return nil, fmt.Errorf("%s: the published trips: %w", name, err)
		}
		if math.Abs(cost-in.best) > 0.005 {
			return nil, fmt.Errorf("%s: the published trips cost %v, published as %v", name, cost, in.best)
		}
		all = append(all, in)
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("no instance has %q in its name", only)
	}
	return all, nil
}

// goal is the time an instance is meant to take on two quiet processors.
func goal(in *instance) float64 {
	if in.n > 200 {
		return 20
	}
	return 0.05 * float64(in.n)
}

// iterations fills the goal on a machine that does perSecond of them.
func iterations(in *instance, scale float64) int {
	return int(goal(in) * perSecond * scale)
}

// perSecond is how many iterations one stream did a second where RESULT.md was
// written, less a margin.
const perSecond = 270_000

func report(all []*instance, seed uint64, streams int, scale float64, progress io.Writer) (string, error) {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, seed %d, %d streams, %d processors, %s/%s\n\n", time.Now().UTC().Format("2006-01-02"), seed, streams, runtime.NumCPU(), runtime.GOOS, runtime.GOARCH)
	b.WriteString("| instance | n | best known | ours | gap % | seed | iterations | wall s | CPU s | goal s |\n|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|\n")
	var trouble []error
	var upTo200, above mean
	var cpuAll time.Duration
	for _, in := range all {
		fmt.Fprintf(progress, "%s …\n", in.name)
		cpu0, wall0 := cpu(), time.Now()
		got, err := route.Loads(in.job(), route.Search{Seed: seed, Iterations: iterations(in, scale), Streams: streams})
		wall, used := time.Since(wall0), cpu()-cpu0
		if err != nil {
			return b.String(), fmt.Errorf("%s: %w", in.name, err)
		}
		trips := make([][]int, len(got.Trips))
		for i, t := range got.Trips {
			for _, k := range t {
				trips[i] = append(trips[i], k+1)
			}
		}
		cost, err := in.check(trips)
		if err != nil {
			return b.String(), fmt.Errorf("%s: %w", in.name, err)
		}
		if told := float64(got.Cost) / in.per(); math.Abs(told-cost) > 1e-3 {
			return b.String(), fmt.Errorf("%s: said to cost %v, costs %v", in.name, told, cost)
		}
		gap := 100 * (cost - in.best) / in.best
		its := fmt.Sprint(got.Iterations)
		if got.Exact {
			its = "exact"
		}
		cpuAll += used
		fmt.Fprintf(&b, "| %s | %d | %g | %s | %.2f | %d | %s | %.1f | %.1f | %.1f |\n", in.name, in.n, in.best, number(cost), gap, seed, its, wall.Seconds(), used.Seconds(), goal(in))
		for _, name := range optimal {
			if name == in.name && gap > 1e-9 {
				trouble = append(trouble, fmt.Errorf("%s is not solved to the optimum", name))
			}
		}
		if in.n <= 200 {
			upTo200.add(gap)
		} else {
			above.add(gap)
		}
	}
	fmt.Fprintf(&b, "\nMean gap for n ≤ 200: %s (goal 1 %%). Above: %s (goal 2 %%). CPU time in all: %.0f s.\n", &upTo200, &above, cpuAll.Seconds())
	if upTo200.of() > 1 {
		trouble = append(trouble, errors.New("the mean gap for n ≤ 200 is above 1 %"))
	}
	if above.of() > 2 {
		trouble = append(trouble, errors.New("the mean gap above n = 200 is above 2 %"))
	}
	return b.String(), errors.Join(trouble...)
}

func number(x float64) string { return strings.TrimSuffix(fmt.Sprintf("%.2f", x), ".00") }

type mean struct {
	sum float64
	n   int
}

func (m *mean) add(x float64) { m.sum, m.n = m.sum+x, m.n+1 }

func (m *mean) of() float64 {
	if m.n == 0 {
		return 0
	}
	return m.sum / float64(m.n)
}

func (m *mean) String() string {
	if m.n == 0 {
		return "none"
	}
	return fmt.Sprintf("%.2f %% of %d", m.of(), m.n)
}

// replace puts text between the marks of the file.
func replace(name, text string) error {
	b, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	head, rest, ok := strings.Cut(string(b), begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		return fmt.Errorf("%s has no marks %q and %q", name, begin, end)
	}
	return os.WriteFile(name, []byte(head+begin+"\n\n"+text+"\n"+end+tail), 0o644)
}
