package weather_test

import (
	"fmt"

	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/weather/demodata"
)

// The stop day of a season that turned cold on 15 November: the day to use, and
// why.
func ExampleStopDay() {
	f, err := weather.Read(demodata.CSV(), weather.Options{File: "weather.csv", Only: "New York"})
	if err != nil {
		fmt.Println(err)
		return
	}
	set := figure.NewSet(weather.Figures())
	stop, err := weather.StopDay(weather.StopQuery{Season: 2014, Series: f.Series[0]}, set)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(stop.Day, stop.Basis)
	for _, r := range stop.Reasons {
		fmt.Println(r.Say, r.Amounts)
	}
	if r, ok := stop.Advice(units.DayOf(2014, 10, 25), set); ok {
		fmt.Println(r.Say, r.Amounts)
	}
	// Output:
	// 2014-11-01 measured
	// the first day on which the last 10 highs average less than {0}, less 14 days to ripen [13 C]
	// by this season's own weather that day was {0} [2014-11-15]
	// the last day for syrup is {0}, 7 days from now [2014-11-01]
}
