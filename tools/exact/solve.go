package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// answer is what the solver found.
type answer struct {
	closed     bool // proven best
	infeasible bool // proven to have no plan
	found      bool // some plan was found
	best       float64
	bound      float64 // no plan is below it
	values     map[string]float64
	took       time.Duration
}

// solver is Debian's coinor-cbc. Without it nothing here can be compared.
func solver() (string, error) {
	cbc, err := exec.LookPath("cbc")
	if err != nil {
		return "", fmt.Errorf("the exact solver cbc is not on this machine; type:\n    sudo apt-get update && sudo apt-get install -y coinor-cbc")
	}
	return cbc, nil
}

var boundLine = regexp.MustCompile(`(?m)^Lower bound:\s+(\S+)`)

// solve lets the solver at the programme for at most limit.
func (m *model) solve(a aim, limit time.Duration) (answer, error) {
	cbc, err := solver()
	if err != nil {
		return answer{}, err
	}
	dir, err := os.MkdirTemp("", "exact")
	if err != nil {
		return answer{}, err
	}
	defer os.RemoveAll(dir)
	var lp bytes.Buffer
	if err := m.writeLP(&lp, a); err != nil {
		return answer{}, err
	}
	in, out := filepath.Join(dir, "season.lp"), filepath.Join(dir, "answer.txt")
	if err := os.WriteFile(in, lp.Bytes(), 0o600); err != nil {
		return answer{}, err
	}
	// A solver that hangs is ended well after its own limit.
	ctx, stop := context.WithTimeout(context.Background(), limit+30*time.Second)
	defer stop()
	begun := time.Now()
	text, err := exec.CommandContext(ctx, cbc, in, "-timeMode", "elapsed", "-sec", strconv.Itoa(int(limit.Seconds())), "-ratioGap", "0", "-allowableGap", "1e-6",
		"-solve", "-solution", out).CombinedOutput()
	x := answer{took: time.Since(begun), bound: math.Inf(-1)}
	if err != nil {
		return x, fmt.Errorf("%v: %s", err, tail(string(text)))
	}
	b, err := os.ReadFile(out)
	if err != nil {
		return x, fmt.Errorf("cbc wrote no answer: %s", tail(string(text)))
	}
	head, rows, _ := strings.Cut(string(b), "\n")
	switch {
	case strings.HasPrefix(head, "Optimal"):
		x.closed, x.found = true, true
	case strings.Contains(head, "nfeasible"):
		x.infeasible = true
		return x, nil
	case strings.HasPrefix(head, "Stopped"):
		x.found = !strings.Contains(head, "no integer solution")
	default:
		return x, fmt.Errorf("cbc says %q", head)
	}
	if _, v, ok := strings.Cut(head, "objective value"); ok {
		if x.best, err = strconv.ParseFloat(strings.TrimSpace(v), 64); err != nil {
			return x, fmt.Errorf("cbc says %q", head)
		}
	}
	if x.closed {
		x.bound = x.best
	} else if g := boundLine.FindStringSubmatch(string(text)); g != nil {
		x.bound, _ = strconv.ParseFloat(g[1], 64)
	}
	x.values = map[string]float64{}
	for line := range strings.Lines(rows) {
		if w := strings.Fields(strings.TrimPrefix(strings.TrimSpace(line), "**")); len(w) >= 3 {
			x.values[w[1]], _ = strconv.ParseFloat(w[2], 64)
		}
	}
	return x, nil
}

func tail(s string) string {
	if len(s) > 600 {
		s = s[len(s)-600:]
	}
	return strings.TrimSpace(s)
}
