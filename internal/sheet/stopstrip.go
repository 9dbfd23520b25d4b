package sheet

import (
	"math"
	"strconv"

	"larder/internal/season"
	"larder/internal/units"
)

// StopStrip is the stop day of a yard: one mark for each past year, the range
// that holds eight of ten, and the day that stands.
type StopStrip struct {
	Years     []season.StopYear // by day
	Low, High units.Day         // 0 = none
	Day       units.Day         // the stop day that stands; 0 = none
	Today     units.Day
	Words     StopWords
	Style     units.Style
	Title     string
	Desc      string
}

// StopWords are the words beside its marks.
type StopWords struct{ Today, Stop string }

const (
	stopWide, stopHigh = 340, 118
	stopSide           = 10
	stopLine           = 78
)

// Draw makes the picture: years that agree stand on each other.
func (s *StopStrip) Draw() Drawing {
	d := Drawing{W: stopWide, H: stopHigh, Title: s.Title, Desc: s.Desc}
	first, last := s.Today, max(s.Day, s.High, s.Today)+3
	for _, y := range s.Years {
		last = max(last, y.Day+3)
	}
	days := int(last-first) + 1
	x := func(day units.Day) float64 {
		return stopSide + (stopWide-2*stopSide)*float64(max(day-first, 0))/float64(max(1, days-1))
	}
	if s.Low != 0 && s.High >= s.Low {
		d.Add(Rect{Box: Box{x(s.Low), stopLine - 40, math.Max(2, x(s.High)-x(s.Low)), 40}, Fill: Fill{Have, 0.22}})
	}
	for _, y := range s.Years {
		for k := range y.Years {
			top := stopLine - 9*float64(k+1)
			if top < 24 {
				d.Add(Text{X: x(y.Day), Y: 22, Say: strconv.Itoa(y.Years), Size: 14, At: Middle})
				break
			}
			d.Add(Rect{Box: Box{x(y.Day) - 2, top, 4, 7}, Fill: Fill{Plain, 1}})
		}
	}
	d.Add(Line{stopSide, stopLine, stopWide - stopSide, stopLine, Pen{Ink: Rule, Width: 1}})
	free := math.Inf(-1)
	for _, t := range dayTicks(first, days, s.Style) {
		at := x(first + units.Day(t.k))
		d.Add(Line{at, stopLine, at, stopLine + 5, Pen{Ink: Rule, Width: 1}})
		if half := 4 * float64(len([]rune(t.say))); at-half >= free && at-half >= 0 && at+half <= stopWide {
			d.Add(Text{X: at, Y: stopLine + 20, Say: t.say, Size: 14, At: Middle})
			free = at + half + 6
		}
	}
	d.Add(Line{x(s.Today), stopLine - 46, x(s.Today), stopLine, Pen{Width: 1, Dash: Dotted}},
		Text{X: x(s.Today), Y: stopLine + 37, Say: s.Words.Today, Size: 14})
	if s.Day != 0 {
		at := x(s.Day)
		say := Text{X: at, Y: stopLine + 37, Say: s.Words.Stop, Size: 14, At: Middle, Bold: true}
		if half := 4.2 * float64(len([]rune(s.Words.Stop))); at+half > stopWide {
			say.X, say.At = stopWide, End
		}
		d.Add(Line{at, stopLine - 50, at, stopLine + 3, Pen{Width: 3}})
		// Two words on one another are none.
		if at-x(s.Today) > 4.2*float64(len([]rune(s.Words.Stop)))+8.4*float64(len([]rune(s.Words.Today))) {
			d.Add(say)
		}
	}
	return d
}
