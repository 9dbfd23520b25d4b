package winter

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
	"sync"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/units"
	"larder/internal/weather"
)

//go:embed data/brood.tsv
var broodTSV string

//go:embed data/bees.tsv
var beesTSV string

// Brood names a calendar of brood.
type Brood string

// The calendars.
const (
	BroodTemperate Brood = "temperate"
	BroodCold      Brood = "cold"
	BroodMild      Brood = "mild"
	BroodNone      Brood = "none" // none all winter: a queen caged, or a check of the model
)

// BroodOf gives the calendar of a class of winter. Not known is fault.Missing.
func BroodOf(c apiary.Climate) (Brood, error) {
	switch c {
	case apiary.Warm, apiary.Mild:
		return BroodMild, nil
	case apiary.Temperate:
		return BroodTemperate, nil
	case apiary.Cold, apiary.VeryCold:
		return BroodCold, nil
	}
	return "", fault.New(fault.Missing, "brood", "the class of winter of this yard is not known").
		WithHint("give the yard's place, or say warm, mild, temperate, cold or very-cold")
}

// A season is looked at from 1 August to 14 June (south: half a year on). The
// calendars run from 1 September to 30 April and are held level to either side.
const (
	firstDay = 31  // 1 August, counted from 1 July
	lastDay  = 348 // 14 June
	fromDay  = 62  // 1 September
	toDay    = 303 // 30 April
	// Tables are made with room for a shift of the calendar.
	padDays = 90
	tabDays = lastDay + 2*padDays + 2
)

// table is a curve by day of the season, straight between whole days. Its
// knots lie on whole days, so nothing is lost.
type table [tabDays]float64

func (c *table) at(x float64) float64 {
	x += padDays
	x = math.Min(math.Max(x, 0), tabDays-2)
	i := int(x)
	f := x - float64(i)
	return c[i] + f*(c[i+1]-c[i])
}

// readTable makes the curves of an embedded table; a malformed one is a mistake
// of the program.
func readTable(tsv string) map[string]*table {
	out := map[string]*table{}
	var days []float64
	for line := range strings.SplitSeq(strings.TrimSpace(tsv), "\n") {
		f := strings.Split(line, "\t")
		switch {
		case line[0] == '#':
		case f[0] == "calendar":
			for _, d := range f[1:] {
				t, err := time.Parse("2006-01-02", "2001-"+d)
				if err != nil {
					panic("winter: " + err.Error())
				}
				days = append(days, dayOfSeason(units.DayOf(2001, t.Month(), t.Day()), false))
			}
		default:
			ys := make([]float64, len(days))
			for i := range ys {
				y, err := strconv.ParseFloat(f[i+1], 64)
				if err != nil {
					panic("winter: " + err.Error())
				}
				ys[i] = y
			}
			out[f[0]] = fillTable(days, ys)
		}
	}
	return out
}

func fillTable(xs, ys []float64) *table {
	var c table
	for i := range c {
		c[i] = between(float64(i-padDays), xs, ys)
	}
	return &c
}

// between is the straight line through knots, held level outside them.
func between(x float64, xs, ys []float64) float64 {
	if x <= xs[0] {
		return ys[0]
	}
	for i := 1; i < len(xs); i++ {
		if x <= xs[i] {
			return ys[i-1] + (ys[i]-ys[i-1])*(x-xs[i-1])/(xs[i]-xs[i-1])
		}
	}
	return ys[len(ys)-1]
}

// broodCurve gives the table of a calendar.
func broodCurve(b Brood) (*table, error) {
	if b == BroodNone {
		return &table{}, nil
	}
	if c, ok := broodTables()[string(b)]; ok {
		return c, nil
	}
	return nil, fault.Newf(fault.NotFound, string(b), "there is no brood calendar of this name").
		WithHint("temperate, cold, mild or none")
}

// The calendars are read once; they never change while the program runs.
var (
	broodTables = sync.OnceValue(func() map[string]*table { return readTable(broodTSV) })
	beesTable   = sync.OnceValue(func() *table { return readTable(beesTSV)["bees"] })
)

func beesCurve() *table { return beesTable() }

// dayOfSeason counts from 1 July (south: 1 January), without leap days: 1 March
// is 243 in every northern season. In the south the calendars of the north lie
// half a year on, to within three days.
func dayOfSeason(d units.Day, south bool) float64 {
	start := weather.SeasonStart(weather.Season(d, south), south)
	n := float64(d - start)
	leap := d.Year()
	if leapYear(leap) && d > units.DayOf(leap, time.February, 29) && start < units.DayOf(leap, time.February, 29) {
		n--
	}
	return n
}

func leapYear(y int) bool { return y%4 == 0 && (y%100 != 0 || y%400 == 0) }

// inSeason refuses days no calendar speaks of.
func inSeason(from units.Day, days int, south bool) error {
	to := from + units.Day(days)
	a := dayOfSeason(from, south)
	if days < 0 || a < firstDay || a+float64(days) > lastDay+1 {
		return fault.Newf(fault.NotKnownHere, "winter", "from %s to %s is not one winter", from, to).
			WithHint("between 1 August and 14 June (south: half a year on)")
	}
	return nil
}

// BroodOn gives the brood in dm², counted per side, that a calendar has on a
// day for a colony of about 11 000 bees on 1 November; shift is how many days
// the keeper's colonies run later. Errors: fault.NotKnownHere in summer,
// fault.NotFound for a calendar that is none.
func BroodOn(b Brood, d units.Day, south bool, shift float64) (units.Area, error) {
	c, err := broodCurve(b)
	if err != nil {
		return 0, err
	}
	if err := inSeason(d, 0, south); err != nil {
		return 0, err
	}
	return units.Area(c.at(dayOfSeason(d, south) - shift)), nil
}

// Bees gives the bees there are on a day from those of 1 November (south: 1
// May), falling to March and rising after. Judged. Error: fault.NotKnownHere in
// summer.
func Bees(nov float64, d units.Day, south bool) (float64, error) {
	if err := inSeason(d, 0, south); err != nil {
		return 0, err
	}
	return nov * beesCurve().at(dayOfSeason(d, south)), nil
}

// AtNovember turns a count of bees on a day into that of 1 November.
func AtNovember(count float64, d units.Day, south bool) (float64, error) {
	one, err := Bees(1, d, south)
	if err != nil {
		return 0, err
	}
	return count / one, nil
}

// BroodScale gives the brood of a colony against the calendar by its bees on 1
// November: in proportion to 11 000, between 0.4 and 1.3 (figures).
func (p Params) BroodScale(nov float64) float64 {
	return math.Min(p.broodHigh, math.Max(p.broodLow, nov/p.broodBees))
}

// held says when a stretch of days reaches past the calendars.
func held(from units.Day, days int, south bool) []Reason {
	a := dayOfSeason(from, south)
	if a >= fromDay && a+float64(days) <= toDay+1 {
		return nil
	}
	return []Reason{because("calendar-held", "brood and bees are known from September to April (south: March to October); outside it they are taken as level")}
}
