// Fuzz fuzzes every target of the project in turn, the least fuzzed first, and
// keeps account: how much processor time each had, how many inputs it was given,
// and what made it fall. Inputs that reached new code are kept beside the tests, a
// few small ones of each, and run with them ever after.
//
//	go run ./tools/fuzz -each 60s            # once through all
//	go run ./tools/fuzz -each 60s -for 2h    # round and round for two hours
//
// A target that falls stops nothing: its input is in testdata/fuzz of its package,
// its row says so, and the exit code is 1.
package main

import (
	"cmp"
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

const account = "tools/fuzz/RESULT.csv"

// row is one target's account.
type row struct {
	Package, Target string
	CPU             time.Duration
	Inputs          int64
	Fell            int
	Last            string // day
}

func main() {
	each := flag.Duration("each", time.Minute, "how long each target is fuzzed at a time")
	whole := flag.Duration("for", 0, "go on for so long (0: once through all)")
	only := flag.String("only", "", "only targets whose package or name has this in it")
	least := flag.Duration("least", 0, "leave out targets that had this much processor time already")
	flag.Parse()
	fell, err := run(*each, *whole, *least, *only)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	if err != nil || fell > 0 {
		os.Exit(1)
	}
}

func run(each, whole, least time.Duration, only string) (fell int, err error) {
	rows, err := targets()
	if err != nil {
		return 0, err
	}
	if err := read(rows); err != nil {
		return 0, err
	}
	var todo []*row
	for _, r := range rows {
		if strings.Contains(r.Package+"."+r.Target, only) && (least == 0 || r.CPU < least) {
			todo = append(todo, r)
		}
	}
	if len(todo) == 0 {
		return 0, errors.New("no target is left to fuzz")
	}
	built := map[string]bool{}
	end := time.Now().Add(whole)
	for n := 0; whole > 0 && time.Now().Before(end) || n < len(todo) && whole == 0; n++ {
		r := slices.MinFunc(todo, func(a, b *row) int { return cmp.Compare(a.CPU, b.CPU) })
		if least > 0 && r.CPU >= least {
			return fell, nil // all had enough
		}
		if whole == 0 {
			r = todo[n]
		}
		// No longer than what is missing, so that the hours go round to all of them.
		turn := each
		if least > 0 {
			turn = min(each, max(20*time.Second, (least-r.CPU)*25/(24*parallel)+6*time.Second))
		}
		if !built[r.Package] {
			if err := r.build(); err != nil {
				return fell, err
			}
			built[r.Package] = true
		}
		ok, err := r.fuzz(turn)
		if err != nil {
			return fell, err
		}
		if !ok {
			fell++
		}
		fmt.Printf("%s %s: %v of processor time, %d inputs, fell %d times\n", r.Package, r.Target, r.CPU.Round(time.Second), r.Inputs, r.Fell)
		if err := write(rows); err != nil {
			return fell, err
		}
	}
	return fell, nil
}

// targets lists all fuzz targets.
func targets() ([]*row, error) {
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}} {{.Dir}} {{join .TestGoFiles \" \"}} {{join .XTestGoFiles \" \"}}", "./...").Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	name := regexp.MustCompile(`(?m)^func (Fuzz\w+)\(\w+ \*testing\.F\)`)
	var all []*row
	for line := range strings.Lines(string(out)) {
		f := strings.Fields(line)
		for _, file := range f[2:] {
			raw, err := os.ReadFile(filepath.Join(f[1], file))
			if err != nil {
				return nil, err
			}
			for _, m := range name.FindAllStringSubmatch(string(raw), -1) {
				all = append(all, &row{Package: strings.TrimPrefix(f[0], "larder/"), Target: m[1]})
			}
		}
	}
	slices.SortFunc(all, func(a, b *row) int { return cmp.Or(cmp.Compare(a.Package, b.Package), cmp.Compare(a.Target, b.Target)) })
	return all, nil
}

// parallel is how many inputs are tried at once.
const parallel = 2

// build makes the package's instrumented test, so that the compiler's time is in no
// target's account.
func (r *row) build() error {
	out, err := exec.Command("go", "test", "-run", "^$", "-fuzz", "^"+r.Target+"$", "-fuzztime", "1x", "./"+r.Package).CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s %s: %w\n%s", r.Package, r.Target, err, out)
	}
	return nil
}

// fuzz fuzzes one target; false when it fell.
func (r *row) fuzz(each time.Duration) (bool, error) {
	cmd := exec.Command("go", "test", "-run", "^$", "-fuzz", "^"+r.Target+"$", "-fuzztime", each.String(), "-parallel", strconv.Itoa(parallel), "./"+r.Package)
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		return false, err
	}
	// The linker's time is in it as well; it is little.
	r.CPU += cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	var most int64
	for _, m := range regexp.MustCompile(`execs: (\d+)`).FindAllStringSubmatch(string(out), -1) {
		if n, err := strconv.ParseInt(m[1], 10, 64); err == nil {
			most = max(most, n)
		}
	}
	r.Inputs += most
	r.Last = time.Now().Format(time.DateOnly)
	if err != nil {
		if !strings.Contains(string(out), "Failing input written to") {
			return false, fmt.Errorf("%s %s: %s", r.Package, r.Target, out)
		}
		r.Fell++
		fmt.Printf("%s\n", out)
	}
	return err == nil, r.keep()
}

// Of the inputs that reached new code so many are kept of each target, and none
// longer than this.
const (
	keptInputs = 10
	keptBytes  = 2048
)

// keep copies inputs from the build cache beside the tests, the shortest first.
func (r *row) keep() error {
	cache, err := exec.Command("go", "env", "GOCACHE").Output()
	if err != nil {
		return err
	}
	found, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(cache)), "fuzz", "larder", r.Package, r.Target, "*"))
	if err != nil {
		return err
	}
	dir := filepath.Join(r.Package, "testdata", "fuzz", r.Target)
	there, err := os.ReadDir(dir)
	if err != nil && !os.IsNotExist(err) {
		return err
	}
	type input struct {
		name string
		data []byte
	}
	var inputs []input
	for _, name := range found {
		raw, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if len(raw) <= keptBytes {
			inputs = append(inputs, input{filepath.Base(name), raw})
		}
	}
	slices.SortFunc(inputs, func(a, b input) int {
		return cmp.Or(cmp.Compare(len(a.data), len(b.data)), cmp.Compare(a.name, b.name))
	})
	for _, in := range inputs[:max(0, min(len(inputs), keptInputs-len(there)))] {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, in.name), in.data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

var head = []string{"package", "target", "cpu_s", "inputs", "fell", "last"}

// read takes up the account; a target that is no more is left out.
func read(rows []*row) error {
	f, err := os.Open(account)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return err
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return err
	}
	for _, l := range all[min(1, len(all)):] {
		i := slices.IndexFunc(rows, func(r *row) bool { return r.Package == l[0] && r.Target == l[1] })
		if i < 0 {
			continue
		}
		s, err1 := strconv.ParseInt(l[2], 10, 64)
		n, err2 := strconv.ParseInt(l[3], 10, 64)
		fell, err3 := strconv.Atoi(l[4])
		if err := errors.Join(err1, err2, err3); err != nil {
			return fmt.Errorf("%s: %w", account, err)
		}
		rows[i].CPU, rows[i].Inputs, rows[i].Fell, rows[i].Last = time.Duration(s)*time.Second, n, fell, l[5]
	}
	return nil
}

func write(rows []*row) error {
	f, err := os.Create(account)
	if err != nil {
		return err
	}
	w := csv.NewWriter(f)
	if err := w.Write(head); err != nil {
		return err
	}
	for _, r := range rows {
		if err := w.Write([]string{r.Package, r.Target, strconv.FormatInt(int64(r.CPU.Seconds()), 10), strconv.FormatInt(r.Inputs, 10), strconv.Itoa(r.Fell), r.Last}); err != nil {
			return err
		}
	}
	w.Flush()
	return errors.Join(w.Error(), f.Close())
}
