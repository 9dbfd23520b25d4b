package route_test

import (
	"fmt"

	"larder/internal/route"
)

// A day of sixteen yards along two valleys: litres, a tank of 1,000 L, minutes
// of driving. Filling the tank takes 20 minutes, each yard 15 and a load at
// most five hours.
func ExampleLoads() {
	job := route.Job{Capacity: 1000, Limit: 300, PerTrip: 20}
	for k := range 16 {
		job.Stops = append(job.Stops, route.Stop{ID: fmt.Sprintf("y%02d", k+1), Load: 120, Stay: 15})
	}
	// Yards 1 to 8 lie 10, 15 … 45 minutes up one valley, 9 to 16 up the other; home
	// is where the valleys meet.
	out := func(i int) (valley int, min int64) {
		if i == 0 {
			return 0, 0
		}
		return 1 + (i-1)/8, 10 + 5*int64((i-1)%8)
	}
	job.Cost = func(i, j int) int64 {
		vi, a := out(i)
		vj, b := out(j)
		if vi == vj {
			return max(a-b, b-a)
		}
		return a + b
	}
	t, err := route.Loads(job, route.Search{Seed: 1, Iterations: 16_000})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, trip := range t.Trips {
		fmt.Println(len(trip), "yards, from", job.Stops[trip[0]].ID)
	}
	fmt.Println(t.Cost, "minutes of driving and filling")
	// Output:
	// 8 yards, from y01
	// 8 yards, from y09
	// 220 minutes of driving and filling
}
