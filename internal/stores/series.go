package stores

import (
	"math"
	"slices"

	"larder/internal/figure"
	"larder/internal/units"
)

// Point is one value of an automatic scale.
type Point struct {
	At   units.Moment
	Mass units.Mass
}

// DayMass is what the scale stood at on one day, after the last sudden change
// of that day.
type DayMass struct {
	Day  units.Day
	Mass units.Mass
	SD   units.Mass
	N    int // points it rests on
}

// Jump is a sudden change between two points: feed put on, a box taken off, a
// stone laid on the lid.
type Jump struct {
	From, To units.Moment
	Change   units.Mass
}

// Gap is a stretch without points: From is the last day with points before it,
// To the first after it.
type Gap struct {
	From, To units.Day
	Change   units.Mass // over the gap; whether it came suddenly is not known
}

// Series is the trace of a scale by days.
type Series struct {
	Days   []DayMass
	Jumps  []Jump
	Gaps   []Gap
	Thrown []Point // single points that fit nothing beside them
}

// Daily turns the points of a scale, in any order, into one robust value a day.
//
// A point that differs from both its neighbours by more than the step figure
// while they agree is thrown out. A change beyond the step figure that lasts,
// between points less than a day apart, is a [Jump]. The day's value is the
// median of the points between midnight and six in the morning, when all bees
// are home and the sun is off the hive, after the day's last jump; where there
// are none, of all points after it. Days without points make a [Gap].
//
// Spread: that of the scale, joined with the scatter of the points about their
// median (1.4826 × median absolute deviation, × 1.2533/√n for a median).
func Daily(points []Point, fs figure.Set) Series {
	var s Series
	pts := sorted(points)
	step := fs.V("stores.scale_step_kg")
	pts, s.Thrown = withoutSpikes(pts, step)
	s.Jumps = jumps(pts, step)
	for i := 0; i < len(pts); {
		j := i
		for j < len(pts) && pts[j].At.Day() == pts[i].At.Day() {
			j++
		}
		s.Days = append(s.Days, oneDay(pts[i:j], s.Jumps, fs))
		i = j
	}
	for i := 1; i < len(s.Days); i++ {
		if a, b := s.Days[i-1], s.Days[i]; b.Day-a.Day > 1 {
			s.Gaps = append(s.Gaps, Gap{From: a.Day, To: b.Day, Change: b.Mass - a.Mass})
		}
	}
	return s
}

// sorted drops what is no number and orders the rest by moment, then mass.
func sorted(points []Point) []Point {
	var pts []Point
	for _, p := range points {
		if m := p.Mass.Kg(); !p.At.IsZero() && !math.IsNaN(m) && !math.IsInf(m, 0) {
			pts = append(pts, p)
		}
	}
	slices.SortFunc(pts, func(a, b Point) int {
		if c := a.At.Compare(b.At); c != 0 {
			return c
		}
		switch {
		case a.Mass < b.Mass:
			return -1
		case a.Mass > b.Mass:
			return 1
		}
		return 0
	})
	return pts
}

func withoutSpikes(pts []Point, step float64) (kept, thrown []Point) {
	for i, p := range pts {
		if i > 0 && i < len(pts)-1 {
			before, after := pts[i-1].Mass.Kg(), pts[i+1].Mass.Kg()
			off := min(math.Abs(p.Mass.Kg()-before), math.Abs(p.Mass.Kg()-after))
			if off > step && math.Abs(after-before) <= step/2 {
				thrown = append(thrown, p)
				continue
			}
		}
		kept = append(kept, p)
	}
	return kept, thrown
}

// jumps finds lasting sudden changes: the medians of up to three points on
// either side differ by the step, and the change between the two points in the
// middle is most of it.
func jumps(pts []Point, step float64) []Jump {
	var out []Jump
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		change := b.Mass.Kg() - a.Mass.Kg()
		if math.Abs(change) < step || b.At.UnixMilli()-a.At.UnixMilli() >= 86400000 {
			continue
		}
		lasting := median(masses(pts[i:min(i+3, len(pts))])) - median(masses(pts[max(0, i-3):i]))
		if math.Abs(lasting) >= step && math.Abs(change) > math.Abs(lasting)/2 && (lasting > 0) == (change > 0) {
			out = append(out, Jump{From: a.At, To: b.At, Change: units.Mass(change)})
		}
	}
	return out
}

func oneDay(pts []Point, all []Jump, fs figure.Set) DayMass {
	for _, j := range all {
		for k, p := range pts {
			if p.At == j.To {
				pts = pts[k:]
				break
			}
		}
	}
	var night []Point
	for _, p := range pts {
		if !p.At.DayOnly() && p.At.Time().Hour() < 6 {
			night = append(night, p)
		}
	}
	if len(night) > 0 {
		pts = night
	}
	m := masses(pts)
	mid := median(m)
	for i := range m {
		m[i] = math.Abs(m[i] - mid)
	}
	scatter := 1.4826 * median(m) * 1.2533 / math.Sqrt(float64(len(m)))
	return DayMass{Day: pts[0].At.Day(), Mass: units.Mass(mid), N: len(pts),
		SD: units.Mass(math.Hypot(fs.V("stores.se_scale_kg"), scatter))}
}

// Nights are the values of a scale's log that may stand as readings, one a day.
type Nights struct {
	Days []DayMass
	// Days of the log that make none: those with fewer than three points in the
	// night, and the first and last, whose nights the log may have cut.
	Few, Edge []units.Day
}

// fewestInNight is how many points make the value of a night.
const fewestInNight = 3

// NightValues gives for each day of a scale's log the median of the points between
// midnight and six in the morning, when all bees are home and the sun is off the
// hive, after the last sudden change of that night; single points that fit nothing
// beside them are left out, as [Daily] does. A day counts when the log began on a
// day before it and goes on to its noon or beyond: so a longer log of the same
// scale gives the same values again. Spread as of [Daily].
func NightValues(points []Point, fs figure.Set) Nights {
	var out Nights
	all := sorted(points)
	step := fs.V("stores.scale_step_kg")
	pts, _ := withoutSpikes(all, step)
	js := jumps(pts, step)
	if len(all) == 0 {
		return out
	}
	first, last := all[0].At.Day(), all[len(all)-1].At
	for i := 0; i < len(pts); {
		d, j := pts[i].At.Day(), i
		var night []Point
		for ; j < len(pts) && pts[j].At.Day() == d; j++ {
			if !pts[j].At.DayOnly() && pts[j].At.Time().Hour() < 6 {
				night = append(night, pts[j])
			}
		}
		i = j
		for _, x := range js {
			if k := slices.IndexFunc(night, func(p Point) bool { return p.At == x.To }); k >= 0 {
				night = night[k:]
			}
		}
		switch {
		case d == first || last.Day() == d && last.Time().Hour() < 12:
			out.Edge = append(out.Edge, d)
		case len(night) < fewestInNight:
			out.Few = append(out.Few, d)
		default:
			out.Days = append(out.Days, oneDay(night, nil, fs))
		}
	}
	return out
}

// Change gives what the hive gained (below nothing: lost) from the value of
// one day to that of another without its sudden changes, in kg. It needs no
// tare: its spread is the scale's alone. Not known when either day has no
// value, or a gap lies between them.
func (s Series) Change(from, to units.Day) figure.Estimate {
	var a, b *DayMass
	for i := range s.Days {
		switch s.Days[i].Day {
		case from:
			a = &s.Days[i]
		case to:
			b = &s.Days[i]
		}
	}
	if a == nil || b == nil || to <= from {
		return figure.Estimate{}
	}
	for _, g := range s.Gaps {
		if g.From >= from && g.To <= to {
			return figure.Estimate{}
		}
	}
	kg := (b.Mass - a.Mass).Kg()
	for _, j := range s.Jumps {
		// A day's value stands after its last jump.
		if d := j.To.Day(); d > from && d <= to {
			kg -= j.Change.Kg()
		}
	}
	return figure.Est(kg, math.Hypot(a.SD.Kg(), b.SD.Kg()))
}

func masses(pts []Point) []float64 {
	m := make([]float64, len(pts))
	for i, p := range pts {
		m[i] = p.Mass.Kg()
	}
	return m
}

func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}
