package weather

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"larder/internal/fault"
	"larder/internal/units"
)

// What a daily value may be. The records are 56.7 °C (Furnace Creek 1913),
// −89.2 °C (Vostok 1983) and 1825 mm in a day (Foc-Foc, Réunion 1966): WMO
// World Weather and Climate Extremes Archive, quoted from memory.
const (
	coldest = -90.0
	hottest = 60.0
	wettest = 2000.0 // mm
)

// oldestYear is the first year that can be used: units.Day starts there.
const oldestYear = 1900

// maxTold is how many troubles of one file are told one by one; after maxTrouble
// the rest of the file is not looked at: it is of another kind than was thought.
const (
	maxTold    = 20
	maxTrouble = 1000
)

// kind of value.
type kind uint8

const (
	high kind = iota
	low
	rain
)

func (k kind) String() string { return [...]string{"high", "low", "rain"}[k] }

// collector gathers the days of a file and the troubles met.
type collector struct {
	o       Options
	byID    map[string]*gathered
	ids     []string // in the order they came
	places  []Station
	passed  []string // ids passed over because of Options.Only, a few of them
	errs    fault.List
	untold  int
	flagged int  // values the source marks as doubtful
	tooOld  int  // days before 1900
	zeroDay bool // 1 January 1970 was there
	notes   []Reason
}

// gathered is what is known so far of one station.
type gathered struct {
	days []Day
	rows []int // of the file, for each day
	at   map[dayKey]int
}

// dayKey keeps a forecast of a day apart from what was measured on it.
type dayKey struct {
	day      units.Day
	forecast bool
}

func newCollector(o Options) *collector { return &collector{o: o, byID: map[string]*gathered{}} }

// thing names a place in the file.
func (c *collector) thing(row int, column string) string {
	if column == "" {
		return fmt.Sprintf("%s row %d", c.o.File, row)
	}
	return fmt.Sprintf("%s row %d, %s", c.o.File, row, column)
}

// trouble notes an error about a row.
func (c *collector) trouble(e *fault.Error) {
	if len(c.errs) < maxTold {
		c.errs = append(c.errs, e)
		return
	}
	c.untold++
}

// hopeless tells whether to give a file up.
func (c *collector) hopeless() bool { return len(c.errs)+c.untold >= maxTrouble }

// wants tells whether days of a station are to be taken.
func (c *collector) wants(id string) bool {
	if c.o.Only == "" || id == c.o.Only {
		return true
	}
	if len(c.passed) < 6 && !slices.Contains(c.passed, id) {
		c.passed = append(c.passed, id)
	}
	return false
}

// goodID tells whether an id can be kept: printable and not too long.
func goodID(id string) bool {
	return len(id) <= 64 && utf8.ValidString(id) && !strings.ContainsFunc(id, func(r rune) bool { return !unicode.IsPrint(r) })
}

// needsName gives an error when the file names no station and none was told.
func (c *collector) needsName() error {
	if c.o.As != "" {
		return nil
	}
	return lacks(ErrStation, fault.New(fault.Missing, c.o.File, "the file does not say whose weather it is").
		WithHint("name the yard or station it belongs to, or add a column called station"))
}

// usable tells whether a day can be kept, and counts those that cannot.
func (c *collector) usable(d units.Day) bool {
	switch {
	case d == 0:
		c.zeroDay = true
		return false
	case d.Year() < oldestYear:
		c.tooOld++
		return false
	}
	return true
}

// put keeps one value, already in °C or mm. written is how the file has it.
func (c *collector) put(row int, column, station string, d units.Day, k kind, x float64, written string, forecast bool) {
	if !c.sane(row, column, k, x, written) {
		return
	}
	g := c.byID[station]
	if g == nil {
		g = &gathered{at: map[dayKey]int{}}
		c.byID[station] = g
		c.ids = append(c.ids, station)
	}
	// One file may hold what was foretold for a day and what came of it; they are
	// joined later, by the rule of MakeSeries.
	key := dayKey{d, forecast}
	i, ok := g.at[key]
	if !ok {
		i = len(g.days)
		g.at[key] = i
		g.days = append(g.days, Day{Station: station, Day: d, Forecast: forecast})
		g.rows = append(g.rows, row)
	}
	day := &g.days[i]
	has, same := day.set(k, x)
	if has && !same {
		c.trouble(fault.Newf(fault.Conflict, c.thing(row, column), "the %s of %s is %s here, but row %d has another", k, d, written, g.rows[i]).
			WithHint("keep one row for each day"))
	}
}

// set puts a value into a day if there is none yet; same tells whether the one
// that is there agrees.
func (d *Day) set(k kind, x float64) (has, same bool) {
	switch k {
	case high:
		if has = d.HasMax; !has {
			d.TMax, d.HasMax = units.Temp(x), true
		}
		return has, d.TMax.C() == x
	case low:
		if has = d.HasMin; !has {
			d.TMin, d.HasMin = units.Temp(x), true
		}
		return has, d.TMin.C() == x
	}
	if has = d.HasRain; !has {
		d.Rain, d.HasRain = x, true
	}
	return has, d.Rain == x
}

// sane refuses what no thermometer or rain gauge has shown.
func (c *collector) sane(row int, column string, k kind, x float64, written string) bool {
	switch {
	case k == rain && !(x >= 0 && x <= wettest):
		c.trouble(fault.Newf(fault.OutOfRange, c.thing(row, column), "%s cannot be the rain of a day", written).
			WithHint("0 to 2000 mm (79 in); leave it blank when it was not measured"))
	case k != rain && !(x >= coldest && x <= hottest):
		c.trouble(fault.Newf(fault.OutOfRange, c.thing(row, column), "%s cannot be the %s of a day: it would be %.1f °C", written, k, x).
			WithHint("−90 to 60 °C; is the unit right? leave it blank when it was not measured"))
	default:
		return true
	}
	return false
}

// finish makes the series.
func (c *collector) finish(f Format) (File, error) {
	out := File{Format: f}
	if err := c.rename(); err != nil {
		return out, err
	}
	ids := slices.Clone(c.ids)
	slices.Sort(ids)
	for _, id := range ids {
		g := c.byID[id]
		days := g.days[:0]
		for i, d := range g.days {
			if d.HasMax && d.HasMin && d.TMax < d.TMin {
				c.trouble(fault.Newf(fault.OutOfRange, c.thing(g.rows[i], ""), "%s has a high of %s below its low of %s", d.Day, degrees(d.TMax), degrees(d.TMin)).
					WithHint("are the two columns the wrong way round?"))
				continue
			}
			days = append(days, d)
		}
		s, err := MakeSeries(id, days)
		if err != nil {
			return out, err
		}
		if s.Len() > 0 {
			out.Series = append(out.Series, s)
		}
	}
	for _, p := range c.places {
		if _, ok := c.byID[p.ID]; ok {
			out.Stations = append(out.Stations, p)
		}
	}
	slices.SortFunc(out.Stations, func(a, b Station) int { return strings.Compare(a.ID, b.ID) })
	out.Notes = c.allNotes()
	out.Bad = len(c.errs) + c.untold
	switch {
	case c.hopeless():
		c.errs = append(c.errs, lacks(ErrGaveUp, fault.Newf(fault.NotUnderstood, c.o.File, "%d rows could not be read, and what follows was not looked at", maxTrouble).
			WithHint("is it a file of another kind?")))
	case c.untold > 0:
		c.errs = append(c.errs, fault.Newf(fault.NotUnderstood, c.o.File, "%d more rows could not be read", c.untold))
	}
	if err := c.errs.OrNil(); err != nil {
		return out, err
	}
	if len(out.Series) == 0 {
		return out, c.nothing()
	}
	return out, nil
}

func degrees(t units.Temp) string { return fmt.Sprintf("%.1f °C", t.C()) }

// nothing says why no day came of the file.
func (c *collector) nothing() error {
	if c.o.Only != "" && len(c.passed) > 0 {
		return fault.Newf(fault.NotFound, c.o.File, "station %s is not in the file", c.o.Only).
			WithHint("it holds %s", strings.Join(c.passed, ", "))
	}
	return fault.New(fault.Missing, c.o.File, "there is no day in it that can be used").
		WithHint("it should have a high, a low or the rain of at least one day since %d", oldestYear)
}

// rename gives the days of a one-station file the name asked for.
func (c *collector) rename() error {
	as := c.o.As
	if as == "" || len(c.ids) == 0 || len(c.ids) == 1 && c.ids[0] == as {
		return nil
	}
	if len(c.ids) > 1 {
		ids := slices.Clone(c.ids)
		slices.Sort(ids)
		return lacks(ErrSeveral, fault.Newf(fault.Conflict, c.o.File, "the file holds %d stations, not one", len(ids)).
			WithHint("say which one to take: %s", strings.Join(ids[:min(len(ids), 6)], ", ")))
	}
	// Only the days are renamed: the name the file has for the station stays in
	// Station.Name, if there is one.
	old := c.ids[0]
	g := c.byID[old]
	for i := range g.days {
		g.days[i].Station = as
	}
	for i := range c.places {
		if c.places[i].ID == old {
			c.places[i].ID = as
		}
	}
	c.ids[0], c.byID = as, map[string]*gathered{as: g}
	return nil
}

// allNotes puts the counts of what was left out into words.
func (c *collector) allNotes() []Reason {
	out := c.notes
	if c.flagged > 0 {
		out = append(out, Reason{Code: "flagged",
			Say: count(c.flagged, "value") + " left out: marked as doubtful by the source"})
	}
	if c.tooOld > 0 {
		out = append(out, Reason{Code: "too-old",
			Say: fmt.Sprintf("readings before %d left out: %d", oldestYear, c.tooOld)})
	}
	if c.zeroDay {
		out = append(out, Reason{Code: "day-zero",
			Say: "1 January 1970 left out: that day stands for \"no day\" here"})
	}
	return out
}

// toInside turns a number as written into °C or mm, to a ten-thousandth: enough
// to keep every digit a file has, and to make 35.96 °F the 2.2 °C it was.
func toInside(x float64, k kind, s Scale) float64 {
	switch {
	case s == Tenths:
		x /= 10
	case s == Fahrenheit && k == rain:
		x *= 25.4
	case s == Fahrenheit:
		x = (x - 32) * 5 / 9
	}
	return math.Round(x*1e4)/1e4 + 0 // adding 0 turns −0 into 0
}
