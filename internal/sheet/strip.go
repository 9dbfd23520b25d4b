package sheet

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"larder/internal/season"
	"larder/internal/units"
)

// Strip is a plan at a glance: days from left to right, a row for each yard.
type Strip struct {
	Start units.Day
	Days  int
	Yards []StripYard
	Style units.Style
	Title string
	Desc  string
}

// StripYard is one row.
type StripYard struct {
	Name  string
	Feed  []bool    // by day: a round may be made; beyond its end, not
	Stop  units.Day // last day of syrup; 0 = not known
	Loads []StripLoad
}

// StripLoad is a load that serves the yard on a day.
type StripLoad struct {
	Day units.Day
	N   int
}

// StripOf gathers the strip of a plan: the yards it has hives to feed in, and the
// days up to its last load or the last stop day, whichever is later.
func StripOf(p *season.Planned, s units.Style, t Catalogue) Strip {
	out := Strip{Start: p.Start, Style: s}
	last := p.Start
	var rows []StripYard
	at := map[string]int{}
	for _, y := range p.Problem.Yards {
		at[y.ID] = len(rows)
		rows = append(rows, StripYard{Name: cmp.Or(y.Name, y.ID), Feed: y.Feed, Stop: y.Stop})
	}
	for _, l := range p.Loads {
		last = max(last, l.Day)
		for _, st := range l.Stops {
			if i, ok := at[st.Yard]; ok {
				rows[i].Loads = append(rows[i].Loads, StripLoad{l.Day, l.N})
			}
		}
	}
	for _, r := range rows {
		if len(r.Loads) > 0 {
			last = max(last, r.Stop)
			out.Yards = append(out.Yards, r)
		}
	}
	out.Days = int(last-p.Start) + 1
	out.Title = t("chart.strip", "Loads", p.Totals.Loads, "From", s.Day(p.Start), "To", s.Day(lastLoad(p)))
	return out
}

// StripsOf gathers the strips of two plans on one scale: the same days, and a row
// for each yard that either calls at, in the same order; of those in only, where
// it is not nil.
func StripsOf(a, b *season.Planned, only map[string]bool, s units.Style, t Catalogue) (x, y Strip) {
	x, y = StripOf(a, s, t), StripOf(b, s, t)
	start, end := min(x.Start, y.Start), max(x.Start+units.Day(x.Days), y.Start+units.Day(y.Days))
	called := map[string]bool{}
	for _, p := range []*season.Planned{a, b} {
		for _, l := range p.Loads {
			for _, c := range l.Stops {
				called[c.Yard] = only == nil || only[c.Yard]
			}
		}
	}
	fit := func(p *season.Planned, st *Strip) {
		var rows []StripYard
		seen := map[string]bool{}
		for _, q := range []*season.Planned{a, b} { // one order for both
			for _, known := range q.Problem.Yards {
				if !called[known.ID] || seen[known.ID] {
					continue
				}
				seen[known.ID] = true
				r := StripYard{Name: cmp.Or(known.Name, known.ID)}
				for _, own := range p.Problem.Yards {
					if own.ID == known.ID {
						r.Stop = own.Stop
						r.Feed = slices.Concat(make([]bool, p.Start-start), own.Feed)
					}
				}
				for _, l := range p.Loads {
					for _, c := range l.Stops {
						if c.Yard == known.ID {
							r.Loads = append(r.Loads, StripLoad{l.Day, l.N})
						}
					}
				}
				rows = append(rows, r)
			}
		}
		st.Start, st.Days, st.Yards = start, int(end-start), rows
	}
	fit(a, &x)
	fit(b, &y)
	return x, y
}

func lastLoad(p *season.Planned) units.Day {
	last := p.Start
	for _, l := range p.Loads {
		last = max(last, l.Day)
	}
	return last
}

const (
	stripWide, stripLeft = 340, 6
	rowHigh, rowBand     = 56, 16
	stripTop             = 26
)

// Draw makes the picture: the yard's name, below it its days; days without
// bees flying for syrup are hatched, the stop day is a thick line, each load a
// black mark with its number over it.
func (st *Strip) Draw() Drawing {
	d := Drawing{W: stripWide, H: stripTop + rowHigh*float64(max(1, len(st.Yards))) + 6, Title: st.Title, Desc: st.Desc}
	free := math.Inf(-1)
	for _, t := range dayTicks(st.Start, st.Days, st.Style) {
		x := st.x(t.k)
		d.Add(Line{x, stripTop - 4, x, d.H, Pen{Ink: Rule, Width: 0.5}})
		if wide := 8 * float64(len([]rune(t.say))); x >= free && x+wide <= stripWide {
			d.Add(Text{X: x, Y: stripTop - 9, Say: t.say, Size: 14})
			free = x + wide + 6
		}
	}
	for i := range st.Yards {
		st.row(&d, &st.Yards[i], stripTop+rowHigh*float64(i))
	}
	return d
}

func (st *Strip) x(k int) float64 {
	return stripLeft + (stripWide-2*stripLeft)*float64(k)/float64(max(1, st.Days))
}

func (st *Strip) row(d *Drawing, y *StripYard, top float64) {
	band := top + rowHigh - rowBand - 8
	left, right := st.x(0), st.x(st.Days)
	for from := 0; from < st.Days; {
		to := from
		for to < st.Days && !y.may(to) {
			to++
		}
		if to > from {
			d.Add(Hatch{Box{st.x(from), band, st.x(to) - st.x(from), rowBand}, 5, Pen{Ink: Rule, Width: 0.8}})
		}
		from = max(to, from+1)
	}
	d.Add(Rect{Box: Box{left, band, right - left, rowBand}, Pen: Pen{Ink: Rule, Width: 1}},
		Text{X: left, Y: top + 14, Say: y.Name, Size: 14, Bold: true})
	if k := int(y.Stop-st.Start) + 1; y.Stop > 0 && k >= 0 && k <= st.Days {
		d.Add(Line{st.x(k), band - 5, st.x(k), band + rowBand + 3, Pen{Width: 3}})
	}
	st.loads(d, y, band)
}

func (y *StripYard) may(k int) bool { return k < len(y.Feed) && y.Feed[k] }

// loads marks a yard's loads; loads of one day share a mark: "1, 2".
func (st *Strip) loads(d *Drawing, y *StripYard, band float64) {
	ls := slices.Clone(y.Loads)
	slices.SortFunc(ls, func(a, b StripLoad) int { return cmp.Or(int(a.Day-b.Day), a.N-b.N) })
	free := math.Inf(-1)
	for i := 0; i < len(ls); {
		k := int(ls[i].Day - st.Start)
		say := strconv.Itoa(ls[i].N)
		j := i + 1
		for ; j < len(ls) && ls[j].Day == ls[i].Day; j++ {
			say += ", " + strconv.Itoa(ls[j].N)
		}
		i = j
		if k < 0 || k >= st.Days {
			continue
		}
		x, wide := st.x(k), st.x(k+1)-st.x(k)
		d.Add(Rect{Box: Box{x + 0.5, band, wide - 1, rowBand}, Fill: Fill{Plain, 1}})
		half := 4.2 * float64(len(say))
		mid := math.Min(math.Max(x+wide/2, free+half), stripWide-half)
		free = mid + half + 3
		d.Add(Text{X: mid, Y: band - 3, Say: say, Size: 14, At: Middle, Bold: true})
	}
}
