package route

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"larder/internal/fault"
	"pgregory.net/rapid"
)

// drawJob makes a job of n stops: places on a plane or legs of any length with
// one-way costs and closed roads, with or without a limit, a price per trip and
// stays.
func drawJob(t *rapid.T, n int) Job {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "job"), 1))
	plane := rapid.Bool().Draw(t, "plane")
	m := n + 1
	c := make([]int64, m*m)
	x, y := make([]float64, m), make([]float64, m)
	for i := range m {
		x[i], y[i] = 100*r.Float64(), 100*r.Float64()
	}
	for i := range m {
		for j := range m {
			switch {
			case i == j:
			case plane:
				c[i*m+j] = int64(math.Round(math.Hypot(x[i]-x[j], y[i]-y[j])))
			case i > 0 && j > 0 && r.IntN(8) == 0:
				c[i*m+j] = Apart
			default:
				c[i*m+j] = r.Int64N(100)
			}
		}
	}
	job := Job{Capacity: 20, Cost: func(i, j int) int64 { return c[i*m+j] }}
	far := int64(0)
	for k := 1; k <= n; k++ {
		s := Stop{ID: fmt.Sprintf("s%02d", k), Load: r.Int64N(21), Stay: r.Int64N(5)}
		if rapid.Bool().Draw(t, "light") {
			s.Load /= 4
		}
		far = max(far, c[k]+c[k*m]+s.Stay)
		job.Stops = append(job.Stops, s)
	}
	if rapid.Bool().Draw(t, "limited") {
		job.Limit = far + int64(rapid.IntRange(0, 150).Draw(t, "limit"))
	}
	if rapid.Bool().Draw(t, "priced") {
		job.PerTrip = int64(rapid.IntRange(1, 60).Draw(t, "price"))
	}
	return job
}

// audit checks an answer by the words of Job alone and gives its cost.
func audit(job Job, trips [][]int) (int64, error) {
	seen := make([]bool, len(job.Stops))
	var sum int64
	for _, trip := range trips {
		at := 0
		var load, long, legs int64
		for _, k := range trip {
			if seen[k] {
				return 0, fmt.Errorf("stop %d twice", k)
			}
			seen[k] = true
			load += job.Stops[k].Load
			long += job.Stops[k].Stay
			legs += job.Cost(at, k+1)
			at = k + 1
		}
		legs += job.Cost(at, 0)
		if len(trip) == 0 || load > job.Capacity || job.Limit > 0 && legs+long > job.Limit || legs >= Apart {
			return 0, fmt.Errorf("trip %v: load %d, legs %d, stays %d", trip, load, legs, long)
		}
		sum += legs + job.PerTrip
	}
	if slices.Contains(seen, false) {
		return 0, fmt.Errorf("a stop is left out of %v", trips)
	}
	return sum, nil
}

// byTrying is the least cost of all ways: the next stop is called at on the trip
// under way or on a new one.
func byTrying(job Job) int64 {
	n := len(job.Stops)
	best := int64(math.MaxInt64)
	var walk func(at, done int, load, long, cost int64)
	walk = func(at, done int, load, long, cost int64) {
		if cost >= best {
			return
		}
		home := job.Cost(at, 0)
		fits := home < Apart && (job.Limit == 0 || long+home <= job.Limit)
		if done == 1<<n-1 {
			if fits {
				best = min(best, cost+home)
			}
			return
		}
		for k, s := range job.Stops {
			if done>>k&1 == 1 {
				continue
			}
			if c := job.Cost(at, k+1); at > 0 && c < Apart && load+s.Load <= job.Capacity {
				walk(k+1, done|1<<k, load+s.Load, long+c+s.Stay, cost+c)
			}
			if c := job.Cost(0, k+1); fits || at == 0 {
				walk(k+1, done|1<<k, s.Load, c+s.Stay, cost+home*min(int64(at), 1)+c+job.PerTrip)
			}
		}
	}
	walk(0, 0, 0, 0, 0)
	return best
}

// TestLoadsAgainstEveryWay: the answer for few stops is allowed, says what it
// costs, and nothing that can be driven is cheaper. The search that many stops
// get is allowed and never cheaper than that.
func TestLoadsAgainstEveryWay(t *testing.T) {
	searched, met := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		job := drawJob(t, rapid.IntRange(1, 7).Draw(t, "stops"))
		got, err := Loads(job, Search{})
		if err != nil {
			t.Fatal(err)
		}
		want := byTrying(job)
		if c, err := audit(job, got.Trips); err != nil || c != want || got.Cost != c || !got.Exact {
			t.Errorf("%+v costs %d (%v), the least there is %d", got, c, err, want)
		}
		p, err := newPlant(job, identity(len(job.Stops)))
		if err != nil {
			t.Fatal(err)
		}
		trips, _ := p.search(p.savings(), Search{Seed: 1, Iterations: 300})
		c, err := audit(job, zeroBased(trips))
		if err != nil || c < want {
			t.Errorf("searched: %d (%v), the least there is %d", c, err, want)
		}
		searched++
		if c == want {
			met++
		}
	})
	if met*100 < searched*95 {
		t.Errorf("the search met the best in %d of %d small jobs, want 95 %%", met, searched)
	}
}

// TestNineStops is the largest that trying every way still does at once.
func TestNineStops(t *testing.T) {
	for seed := range uint64(4) {
		r := rand.New(rand.NewPCG(seed, 2))
		var c [100]int64
		for i := range c {
			c[i] = 1 + r.Int64N(99)
		}
		job := Job{Capacity: 9, Cost: func(i, j int) int64 { return c[i*10+j] }}
		for k := range 9 {
			job.Stops = append(job.Stops, Stop{ID: fmt.Sprint(k), Load: 2 + r.Int64N(3)})
		}
		got, err := Loads(job, Search{})
		if err != nil {
			t.Fatal(err)
		}
		if want := byTrying(job); got.Cost != want {
			t.Errorf("%+v, the least there is %d", got, want)
		}
	}
}

func identity(n int) []int {
	p := make([]int, n)
	for i := range p {
		p[i] = i
	}
	return p
}

func zeroBased(trips [][]int32) [][]int {
	var out [][]int
	for _, t := range trips {
		var list []int
		for _, k := range t {
			list = append(list, int(k)-1)
		}
		out = append(out, list)
	}
	return out
}

// named writes trips by ID.
func named(job Job, trips [][]int) [][]string {
	var out [][]string
	for _, t := range trips {
		var list []string
		for _, k := range t {
			list = append(list, job.Stops[k].ID)
		}
		out = append(out, list)
	}
	return out
}

// TestLoadsWhateverTheOrder: few stops or many, the answer is allowed, the same
// when asked again, and the same trips by ID when the stops are listed in
// another order; and no worse than the start.
func TestLoadsWhateverTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{0, 1, 2, 5, 12, 16, 17, 25, 60}).Draw(t, "stops")
		job := drawJob(t, n)
		how := Search{Seed: rapid.Uint64().Draw(t, "seed"), Iterations: rapid.SampledFrom([]int{0, 1, 500}).Draw(t, "iterations"), Streams: rapid.IntRange(0, 3).Draw(t, "streams")}
		got, err := Loads(job, how)
		if err != nil {
			t.Fatal(err)
		}
		if c, err := audit(job, got.Trips); err != nil || c != got.Cost {
			t.Fatalf("%+v costs %d: %v", got, c, err)
		}
		if again, err := Loads(job, how); err != nil || !slices.EqualFunc(again.Trips, got.Trips, slices.Equal[[]int]) {
			t.Errorf("asked again: %v (%v), before %v", again, err, got)
		}
		start := how
		start.Iterations = 0
		if s, err := Loads(job, start); err != nil || s.Cost < got.Cost {
			t.Errorf("the start costs %d (%v), after %d iterations %d", s.Cost, err, how.Iterations, got.Cost)
		}
		perm := rapid.Permutation(identity(n)).Draw(t, "order")
		mixed := job
		mixed.Stops = make([]Stop, n)
		for i, k := range perm {
			mixed.Stops[i] = job.Stops[k]
		}
		at := func(i int) int {
			if i == 0 {
				return 0
			}
			return perm[i-1] + 1
		}
		mixed.Cost = func(i, j int) int64 { return job.Cost(at(i), at(j)) }
		other, err := Loads(mixed, how)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := named(job, got.Trips), named(mixed, other.Trips); !slices.EqualFunc(a, b, slices.Equal[[]string]) {
			t.Errorf("%v, listed otherwise %v", a, b)
		}
	})
}

// TestLoadsLongerByLess: where legs are rounded to whole ones the way past a stop
// can be shorter than the way without it, so that a trip grows by leaving a stop
// out; no answer is over the limit for that.
func TestLoadsLongerByLess(t *testing.T) {
	const n = 40
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 3))
		var x, y [n + 1]float64
		for i := range x {
			x[i], y[i] = 100*r.Float64(), 100*r.Float64()
		}
		job := Job{Capacity: 20, Cost: func(i, j int) int64 { return int64(math.Round(math.Hypot(x[i]-x[j], y[i]-y[j]))) }}
		for k := range n {
			job.Stops = append(job.Stops, Stop{ID: fmt.Sprintf("%02d", k), Load: r.Int64N(5), Stay: r.Int64N(5)})
			job.Limit = max(job.Limit, job.Cost(0, k+1)+job.Cost(k+1, 0)+4)
		}
		got, err := Loads(job, Search{Seed: seed, Iterations: 400})
		if err != nil {
			t.Fatal(err)
		}
		if c, err := audit(job, got.Trips); err != nil || c != got.Cost {
			t.Errorf("seed %d: %d (%v), said to cost %d", seed, c, err, got.Cost)
		}
	}
}

// TestLoadsStopped: a search ended by Watch can be had again by its count.
func TestLoadsStopped(t *testing.T) {
	job := ring(40)
	how := Search{Seed: 7, Iterations: 20_000, Streams: 2}
	last := int64(math.MaxInt64)
	how.Watch = func(done int, best int64) bool {
		if best > last {
			t.Errorf("after %d iterations the best costs %d, it had been %d", done, best, last)
		}
		last = best
		return done < 6000
	}
	got, err := Loads(job, how)
	if err != nil || got.Iterations < 6000 || got.Iterations >= how.Iterations || got.Cost != last {
		t.Fatalf("%+v (%v), last told %d", got, err, last)
	}
	again, err := Loads(job, Search{Seed: 7, Iterations: 20_000, Streams: 2, Until: got.Iterations})
	if err != nil || again.Iterations != got.Iterations || !slices.EqualFunc(again.Trips, got.Trips, slices.Equal[[]int]) {
		t.Errorf("%+v (%v), before %+v", again, err, got)
	}
}

// TestLoadsFrom: trips to begin with are bettered or kept, never made worse; those
// that are no answer are refused.
func TestLoadsFrom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{16, 25, 40}).Draw(t, "stops")
		job := drawJob(t, n)
		best, err := Loads(job, Search{Seed: 1, Iterations: 400})
		if err != nil {
			t.Fatal(err)
		}
		same, err := Loads(job, Search{From: best.Trips})
		if err != nil || same.Cost != best.Cost {
			t.Errorf("begun with %v it costs %d (%v), not %d", best.Trips, same.Cost, err, best.Cost)
		}
		var single [][]int
		for k := range n {
			single = append(single, []int{k})
		}
		more, err := Loads(job, Search{Seed: 2, Iterations: rapid.IntRange(0, 300).Draw(t, "iterations"), From: single})
		if err != nil {
			t.Fatal(err)
		}
		worst, err := audit(job, single)
		if err != nil {
			t.Fatal(err)
		}
		if c, err := audit(job, more.Trips); err != nil || c != more.Cost || c > worst {
			t.Errorf("%d (%v), begun with %d", c, err, worst)
		}
		for what, from := range map[string][][]int{
			"left out": single[1:], "twice": append(slices.Clone(single), []int{0}), "no stop": append(slices.Clone(single), []int{n}),
		} {
			if _, err := Loads(job, Search{From: from}); !fault.Is(err, fault.Conflict) {
				t.Errorf("%s: %v", what, err)
			}
		}
		if slices.ContainsFunc(job.Stops, func(s Stop) bool { return s.Load > 1 }) {
			job.Capacity = slices.MaxFunc(job.Stops, func(a, b Stop) int { return int(a.Load - b.Load) }).Load
			if _, err := Loads(job, Search{From: [][]int{identity(n)}}); !fault.Is(err, fault.Conflict) {
				t.Errorf("all on one trip: %v", err)
			}
		}
	})
}

// ring is n stops in ten bunches round home, each bunch exactly one full trip
// or two: the best is known without searching, since the bunches are small and
// far from each other.
func ring(n int) Job {
	x, y := make([]float64, n+1), make([]float64, n+1)
	job := Job{Capacity: int64((n + 9) / 10)}
	for k := 1; k <= n; k++ {
		turn := 2 * math.Pi * float64(k%10) / 10
		x[k], y[k] = 10000*math.Cos(turn), 10000*math.Sin(turn)
		x[k] += float64(k / 10)
		job.Stops = append(job.Stops, Stop{ID: fmt.Sprintf("%03d", k), Load: 1})
	}
	job.Cost = func(i, j int) int64 { return int64(math.Round(math.Hypot(x[i]-x[j], y[i]-y[j]))) }
	return job
}

// TestBunches: 200 stops in ten bunches of one load each, 10 km out and within
// 20 m of each other: ten trips of 20 km and at most some 40 m more.
func TestBunches(t *testing.T) {
	got, err := Loads(ring(200), Search{Seed: 1, Iterations: 5000})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Trips) != 10 || got.Cost < 200_000 || got.Cost > 200_000+10*45 {
		t.Errorf("%d trips, cost %d, want 10 and 200000 to 200450", len(got.Trips), got.Cost)
	}
}

// TestThousands: above a thousand stops the start joins near ones only, and the
// answer is allowed and close to what bunches must cost.
func TestThousands(t *testing.T) {
	job := ring(1500)
	got, err := Loads(job, Search{Seed: 1, Iterations: 2000})
	if err != nil {
		t.Fatal(err)
	}
	if c, err := audit(job, got.Trips); err != nil || c != got.Cost || c > 200_000+10*2*150 {
		t.Errorf("%d trips, cost %d (%v)", len(got.Trips), got.Cost, err)
	}
}

// TestPerTrip: what a trip costs by itself decides between two trips and one
// long way: stops 10 out on either side joined by a road of 30 take 40 on two
// trips and 50 on one.
func TestPerTrip(t *testing.T) {
	c := [3][3]int64{{0, 10, 10}, {10, 0, 30}, {10, 30, 0}}
	job := Job{Stops: []Stop{{ID: "a", Load: 1}, {ID: "b", Load: 1}}, Capacity: 2, Cost: func(i, j int) int64 { return c[i][j] }}
	for price, want := range map[int64]int{0: 2, 9: 2, 11: 1} {
		job.PerTrip = price
		if got, err := Loads(job, Search{}); err != nil || len(got.Trips) != want {
			t.Errorf("at %d a trip: %+v (%v), want %d", price, got, err, want)
		}
	}
}

func TestLoadsRefuses(t *testing.T) {
	flat := func(i, j int) int64 { return 5 }
	ok := Stop{ID: "a", Load: 1}
	for _, c := range []struct {
		what string
		job  Job
		kind fault.Kind
	}{
		{"twice", Job{Stops: []Stop{ok, ok}, Capacity: 9, Cost: flat}, fault.Conflict},
		{"too much", Job{Stops: []Stop{{ID: "a", Load: 10}}, Capacity: 9, Cost: flat}, fault.WontFit},
		{"too far", Job{Stops: []Stop{ok}, Capacity: 9, Limit: 9, Cost: flat}, fault.WontFit},
		{"too long there", Job{Stops: []Stop{{ID: "a", Stay: 3}}, Limit: 12, Cost: flat}, fault.WontFit},
		{"no road", Job{Stops: []Stop{ok}, Capacity: 9, Cost: func(i, j int) int64 { return Apart }}, fault.Missing},
		{"below zero", Job{Stops: []Stop{{ID: "a", Load: -1}}, Capacity: 9, Cost: flat}, fault.OutOfRange},
		{"legs below zero", Job{Stops: []Stop{ok}, Capacity: 9, Cost: func(i, j int) int64 { return -1 }}, fault.OutOfRange},
		{"capacity below zero", Job{Capacity: -1, Cost: flat}, fault.OutOfRange},
		{"too many", Job{Stops: make([]Stop, MostLoads+1), Cost: flat}, fault.OutOfRange},
	} {
		if _, err := Loads(c.job, Search{Iterations: 10}); !fault.Is(err, c.kind) {
			t.Errorf("%s: %v", c.what, err)
		}
	}
	if got, err := Loads(Job{}, Search{}); err != nil || got.Trips != nil || got.Cost != 0 {
		t.Errorf("no stops: %+v %v", got, err)
	}
}

func BenchmarkLoads(b *testing.B) {
	b.Run("exact15", func(b *testing.B) {
		job := ring(15)
		job.Capacity = 5
		for b.Loop() {
			if _, err := Loads(job, Search{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("start500", func(b *testing.B) {
		job := ring(500)
		for b.Loop() {
			if _, err := Loads(job, Search{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("1000iterations200", func(b *testing.B) {
		p, err := newPlant(ring(200), identity(200))
		if err != nil {
			b.Fatal(err)
		}
		start := p.savings()
		p.neighbours()
		s := p.newRuin(start, 1, 0, 1<<30)
		for b.Loop() {
			s.run(1000)
		}
	})
}
