package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"larder/internal/route"
)

// instance is one published task in the text form of TSPLIB with the additions
// usual for capacities (CAPACITY, DEMAND_SECTION, DISTANCE, SERVICE_TIME).
type instance struct {
	name     string
	n        int // places, home included, as in the name of most
	capacity int64
	limit    float64 // 0: none
	service  float64 // counts against limit, not in the cost
	x, y     []float64
	table    [][]float64 // instead of x, y
	demand   []int64
	real     bool // distances are not rounded to whole numbers
	best     float64
	bestWays [][]int // the published trips, stops counted from 1
}

// per is how many of our whole units make one of the instance's.
func (in *instance) per() float64 {
	if in.real {
		return 1e6
	}
	return 1
}

// distance is the published rule: TSPLIB's EUC_2D rounds to the nearest whole
// number; the instances with a limit on the trip (CMT) take the plain distance.
func (in *instance) distance(i, j int) float64 {
	if in.table != nil {
		return in.table[i][j]
	}
	d := math.Hypot(in.x[i]-in.x[j], in.y[i]-in.y[j])
	if in.real {
		return d
	}
	return math.Floor(d + 0.5)
}

// job is the instance as package route takes it.
func (in *instance) job() route.Job {
	per := in.per()
	job := route.Job{
		Capacity: in.capacity,
		Limit:    int64(math.Floor(in.limit * per)),
		Cost:     func(i, j int) int64 { return int64(math.Round(in.distance(i, j) * per)) },
	}
	for k := 1; k < in.n; k++ {
		job.Stops = append(job.Stops, route.Stop{
			ID:   fmt.Sprintf("%05d", k),
			Load: in.demand[k],
			Stay: int64(math.Round(in.service * per)),
		})
	}
	return job
}

// read reads DIR/NAME.vrp and DIR/NAME.sol.
func read(dir, name string) (*instance, error) {
	text, err := os.ReadFile(filepath.Join(dir, name+".vrp"))
	if err != nil {
		return nil, err
	}
	in, err := parse(string(text))
	if err != nil {
		return nil, fmt.Errorf("%s.vrp: %w", name, err)
	}
	in.name = name
	if text, err = os.ReadFile(filepath.Join(dir, name+".sol")); err != nil {
		return nil, err
	}
	if err := in.solution(string(text)); err != nil {
		return nil, fmt.Errorf("%s.sol: %w", name, err)
	}
	return in, nil
}

func parse(text string) (*instance, error) {
	in := &instance{}
	section, format := "", ""
	var lower []float64
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		f := strings.Fields(line)
		if len(f) == 0 {
			continue
		}
		if key, value, ok := strings.Cut(line, ":"); ok {
			value = strings.TrimSpace(value)
			var err error
			switch strings.TrimSpace(key) {
			case "TYPE":
				if value != "CVRP" {
					err = fmt.Errorf("type %s is not read here", value)
				}
			case "DIMENSION":
				if in.n, err = strconv.Atoi(value); err == nil && (in.n < 2 || in.n > 1e5) {
					err = errors.New("dimension out of range")
				}
				in.x, in.y, in.demand = make([]float64, in.n), make([]float64, in.n), make([]int64, in.n)
			case "CAPACITY":
				in.capacity, err = strconv.ParseInt(value, 10, 64)
			case "DISTANCE":
				in.limit, err = strconv.ParseFloat(value, 64)
				in.real = true
			case "SERVICE_TIME":
				in.service, err = strconv.ParseFloat(value, 64)
			case "EDGE_WEIGHT_TYPE":
				if value != "EUC_2D" && value != "EXPLICIT" {
					err = fmt.Errorf("edge weight type %s is not read here", value)
				}
			case "EDGE_WEIGHT_FORMAT":
				if format = value; format != "LOWER_ROW" {
					err = fmt.Errorf("edge weight format %s is not read here", value)
				}
			}
			if err != nil {
				return nil, err
			}
			continue
		}
		if strings.HasSuffix(f[0], "_SECTION") || f[0] == "EOF" {
			section = f[0]
			continue
		}
		v := make([]float64, len(f))
		for i, s := range f {
			var err error
			if v[i], err = strconv.ParseFloat(s, 64); err != nil {
				return nil, fmt.Errorf("%q: %w", line, err)
			}
		}
		at := int(v[0]) - 1
		switch section {
		case "NODE_COORD_SECTION":
			if len(v) != 3 || at < 0 || at >= in.n {
				return nil, fmt.Errorf("%q is no place", line)
			}
			in.x[at], in.y[at] = v[1], v[2]
		case "DEMAND_SECTION":
			if len(v) != 2 || at < 0 || at >= in.n {
				return nil, fmt.Errorf("%q is no demand", line)
			}
			in.demand[at] = int64(v[1])
		case "EDGE_WEIGHT_SECTION":
			lower = append(lower, v...)
		case "DEPOT_SECTION":
			if v[0] != 1 && v[0] != -1 {
				return nil, fmt.Errorf("home is place %v, not 1", v[0])
			}
		}
	}
	if in.n == 0 || in.capacity <= 0 || in.demand[0] != 0 {
		return nil, errors.New("dimension, capacity or demands are missing")
	}
	if format != "" {
		if len(lower) != in.n*(in.n-1)/2 {
			return nil, fmt.Errorf("%d distances for %d places", len(lower), in.n)
		}
		in.table = make([][]float64, in.n)
		for i := range in.table {
			in.table[i] = make([]float64, in.n)
			for j := range i {
				in.table[i][j] = lower[i*(i-1)/2+j]
				in.table[j][i] = in.table[i][j]
			}
		}
	}
	return in, nil
}

// solution reads the published trips and their cost.
func (in *instance) solution(text string) error {
	for line := range strings.Lines(text) {
		if cost, ok := strings.CutPrefix(line, "Cost"); ok {
			var err error
			in.best, err = strconv.ParseFloat(strings.TrimSpace(cost), 64)
			return err
		}
		_, stops, ok := strings.Cut(line, ":")
		if !ok {
			continue
		}
		var trip []int
		for _, s := range strings.Fields(stops) {
			k, err := strconv.Atoi(s)
			if err != nil {
				return err
			}
			trip = append(trip, k)
		}
		in.bestWays = append(in.bestWays, trip)
	}
	return errors.New("no line Cost")
}

// check goes through trips (stops counted from 1) by the rules of the instance
// and gives what they cost. It uses nothing of package route.
func (in *instance) check(trips [][]int) (float64, error) {
	seen := make([]int, in.n)
	total := 0.0
	for i, trip := range trips {
		var load int64
		at, length := 0, 0.0
		for _, k := range append(append([]int{}, trip...), 0) {
			if k < 0 || k >= in.n {
				return 0, fmt.Errorf("trip %d calls at %d, which is no place", i+1, k)
			}
			length += in.distance(at, k)
			load += in.demand[k]
			seen[k]++
			at = k
		}
		if load > in.capacity {
			return 0, fmt.Errorf("trip %d carries %d of at most %d", i+1, load, in.capacity)
		}
		if whole := length + in.service*float64(len(trip)); in.limit > 0 && whole > in.limit+1e-4 {
			return 0, fmt.Errorf("trip %d is %.4f long, at most %g", i+1, whole, in.limit)
		}
		total += length
	}
	for k := 1; k < in.n; k++ {
		if seen[k] != 1 {
			return 0, fmt.Errorf("stop %d is called at %d times", k, seen[k])
		}
	}
	return total, nil
}
