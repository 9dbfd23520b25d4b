package weather

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"larder/internal/units"
)

func TestYearsHoldEveryMeasuredDayOnce(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		south := rapid.Bool().Draw(rt, "south")
		days := rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) Day {
			d := drawDay(rt)
			d.Day = 15000 + units.Day(rapid.IntRange(0, 1500).Draw(rt, "date"))
			return d
		}), 0, 80).Draw(rt, "days")
		s := mustSeries(t, "x", days)
		n, last := 0, 0
		for _, y := range Years(s, south) {
			if n > 0 && y.Season <= last || y.Known < 0 || y.Known > 1 {
				rt.Fatalf("%+v", y)
			}
			last = y.Season
			if SeasonStart(y.Season, south) != y.Start || y.End != SeasonStart(y.Season+1, south)-1 {
				rt.Fatalf("%v to %v", y.Start, y.End)
			}
			for _, d := range y.Series.Days() {
				got, _ := s.At(d.Day)
				if d.Day < y.Start || d.Day > y.End || d.Forecast || got != d {
					rt.Fatalf("%+v in season %d", d, y.Season)
				}
				n++
			}
		}
		want := 0
		for _, d := range s.Days() {
			if !d.Forecast {
				want++
			}
		}
		if n != want {
			rt.Fatalf("%d days in the years, %d measured", n, want)
		}
	})
}

func TestYearsOfRealData(t *testing.T) {
	ys := Years(cities(t)["Seattle"], false)
	if len(ys) != 5 {
		t.Fatalf("%d seasons", len(ys))
	}
	whole := 0
	for _, y := range ys {
		if y.Whole(1) {
			whole++
		}
	}
	// January 2012 to December 2015: three whole, half a one at either end.
	if whole != 3 || ys[0].Season != 2011 || !near(ys[0].Known, 182.0/366, 1e-9) || !near(ys[4].Known, 184.0/366, 1e-9) {
		t.Errorf("%d whole, %v %v", whole, ys[0].Known, ys[4].Known)
	}
	if got := Years(cities(t)["Seattle"], true); len(got) != 4 || !got[0].Whole(1) || !got[3].Whole(1) {
		t.Errorf("by calendar year: %d", len(got))
	}
}

func TestNormalsOfRealData(t *testing.T) {
	set, all := published(), cities(t)
	for _, r := range tableOf(t, "month_normals.csv") {
		s, m := all[r[0]], time.Month(num(t, r[1]))
		n := Normals(s, set)[m-1]
		// Each year's month weighs the same; these months are whole in all four years.
		if n.Month != m || n.Years != 4 || !near(n.TMax.Mean, num(t, r[3]), 1e-9) || n.TMax.SD <= 0 {
			t.Errorf("%s %v: %+v, want %s", r[0], m, n, r[3])
		}
		if !near(n.TMean.Mean, (n.TMax.Mean+n.TMin.Mean)/2, 1e-9) {
			t.Errorf("%s %v: mean %g of %g and %g", r[0], m, n.TMean.Mean, n.TMax.Mean, n.TMin.Mean)
		}
		for i, limit := range []units.Temp{10, 14} {
			share, days := ShareAtLeast(s, limit, m)
			if days != int(num(t, r[2])) || !near(share*float64(days), num(t, r[4+i]), 1e-9) {
				t.Errorf("%s %v: %g of %d reach %v", r[0], m, share, days, limit)
			}
		}
		// A round needs 10 °C and no downpour: never more days than reach 10 °C.
		if warm, _ := ShareAtLeast(s, 10, m); n.Round > warm || n.Round < warm-0.2 {
			t.Errorf("%s %v: round on %g, 10 °C on %g", r[0], m, n.Round, warm)
		}
	}
	if n := Normals(Series{}, set); len(n) != 12 || n[0].TMax.Known || n[0].Years != 0 {
		t.Errorf("normals of nothing: %+v", n)
	}
}
