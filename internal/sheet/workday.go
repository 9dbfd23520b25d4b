package sheet

import (
	"fmt"
	"math"
	"strconv"

	"larder/internal/season"
	"larder/internal/units"
)

// WorkStrip is one day of a plan: a row for each crew, its loads as bars on the
// working time.
type WorkStrip struct {
	Day   season.WorkDay
	Names map[string]string // of yards
	Words WorkWords
	Style units.Style
	Title string
	Desc  string
}

// WorkWords are the words in it.
type WorkWords struct{ Mix, Load, Anyone string }

const (
	workWide, workSide = 340.0, 8.0
	workTop, workRow   = 6.0, 70.0
	workBand           = 26.0
	workAxis           = 26.0
)

// Draw makes the picture. What is done in a yard is a filled box with its name,
// or its number of stop where the name has no room; driving is a line, filling
// the tank is hatched, waiting is dotted; a thick upright is the end of the
// working time.
func (s *WorkStrip) Draw() Drawing {
	rows := s.Day.Rows
	d := Drawing{W: workWide, H: workTop + workRow*float64(max(1, len(rows))) + workAxis, Title: s.Title, Desc: s.Desc}
	first, last := float64(s.Day.First), float64(s.Day.Last)
	if last <= first {
		last = first + 3600
	}
	x := func(t units.Duration) float64 {
		return workSide + (workWide-2*workSide)*(float64(t)-first)/(last-first)
	}
	s.axis(&d, first, last, x)
	for i := range rows {
		s.row(&d, &rows[i], workTop+workRow*float64(i), x)
	}
	return d
}

// axis draws an upright for every whole hour, or every few where they are close.
func (s *WorkStrip) axis(d *Drawing, first, last float64, x func(units.Duration) float64) {
	step := 3600.0
	for (workWide-2*workSide)*step/(last-first) < 44 {
		step *= 2
	}
	foot := d.H - workAxis
	from := 0.0
	if !s.Day.Clock {
		from = first
	}
	for t := math.Ceil((first-from)/step)*step + from; t <= last+1; t += step {
		at := x(units.Duration(t))
		say := s.Style.Num((t-first)/3600, 0) + " h"
		if s.Day.Clock {
			say = Clock(units.Duration(t))
		}
		anchor := Middle
		switch {
		case at < 24:
			anchor, at = Start, math.Max(0, at-4)
		case at > workWide-24:
			anchor, at = End, workWide
		}
		d.Add(Line{x(units.Duration(t)), workTop + 12, x(units.Duration(t)), foot, Pen{Ink: Rule, Width: 0.5}}, Text{X: at, Y: foot + 18, Say: say, Size: 14, At: anchor})
	}
}

// Clock writes a time of day, to the minute.
func Clock(t units.Duration) string {
	m := int(math.Round(float64(t) / 60))
	return fmt.Sprintf("%d:%02d", m/60, m%60)
}

func (s *WorkStrip) row(d *Drawing, r *season.WorkRow, top float64, x func(units.Duration) float64) {
	band := top + workRow - workBand - 8
	name := r.Truck
	if r.Mixes {
		name = s.Words.Anyone
	}
	d.Add(Text{X: workSide, Y: top + 14, Say: name, Size: 14, Bold: true})
	free := math.Inf(-1)
	for i := range r.Bars {
		b := &r.Bars[i]
		left, right := x(b.From), x(b.To)
		say := s.Words.Load + " " + strconv.Itoa(b.Load)
		if b.Load == 0 {
			say = s.Words.Mix
			d.Add(Rect{Box: Box{left, band + 4, right - left, workBand - 8}, Pen: Pen{Width: 1}},
				Hatch{Box{left, band + 4, right - left, workBand - 8}, 7, Pen{Ink: Rule, Width: 0.8}})
		}
		if b.Load > 0 && wordsWide(say) > right-left {
			say = strconv.Itoa(b.Load)
		}
		if at := math.Min(left, workWide-wordsWide(say)); at >= free {
			d.Add(Text{X: at, Y: band - 4, Say: say, Size: 14})
			free = at + wordsWide(say) + 6
		}
		for k := range b.Parts {
			s.part(d, &b.Parts[k], band, x)
		}
	}
	if r.Of > 0 {
		end := x(s.Day.First + r.Of)
		d.Add(Line{end, band - 6, end, band + workBand + 4, Pen{Width: 3}})
	}
}

func (s *WorkStrip) part(d *Drawing, p *season.WorkPart, band float64, x func(units.Duration) float64) {
	left, right := x(p.From), x(p.To)
	mid := band + workBand/2
	switch p.Kind {
	case season.WorkYard:
		d.Add(Rect{Box: Box{left, band, right - left, workBand}, Fill: Fill{Have, 0.3}, Pen: Pen{Width: 1.2}})
		say := s.Names[p.Place]
		if say == "" {
			say = p.Place
		}
		if wordsWide(say) > right-left-4 {
			say = strconv.Itoa(p.Stop)
		}
		if wordsWide(say) <= right-left {
			d.Add(Text{X: (left + right) / 2, Y: mid + 5, Say: say, Size: 14, At: Middle})
		}
	case season.WorkFill:
		d.Add(Rect{Box: Box{left, band + 4, right - left, workBand - 8}, Pen: Pen{Ink: Rule, Width: 1}}, Hatch{Box{left, band + 4, right - left, workBand - 8}, 4, Pen{Width: 0.8}})
	case season.WorkWait:
		d.Add(Line{left, mid, right, mid, Pen{Width: 2, Dash: Dotted}})
	default:
		d.Add(Line{left, mid, right, mid, Pen{Width: 2}})
	}
}

// wordsWide is about how wide words of size 14 are.
func wordsWide(s string) float64 { return 8 * float64(len([]rune(s))) }
