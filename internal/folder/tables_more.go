package folder

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"strings"
	"unicode"
	"unicode/utf8"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// degrees is a temperature column, written as bare numbers in °C.
func degrees(name, what string, at func(*weather.Day) (*units.Temp, *bool)) col[weather.Day] {
	c := known(sTemp, name, what, "21.5", usualTemp, at).within(-90, 60, " °C", func(b *weather.Day) float64 { t, _ := at(b); return t.C() }).bare(name + "_c").void("not measured, as is -; 0 is a temperature")
	c.put = func(b *weather.Day) string {
		if t, ok := at(b); *ok {
			return digits(t.C())
		}
		return ""
	}
	return c
}

// weatherDay is the day of a row of weather. A long record may hold the one day that
// stands for "no day": that row alone is passed over.
var weatherDay = func() col[weather.Day] {
	c := day("date", "the day, local", "2026-09-05", func(b *weather.Day) *units.Day { return &b.Day })
	take := c.take
	c.take = func(b *weather.Day, at *cell) error {
		if s, err := at.iso(); err == nil && s == "1970-01-01" {
			return nil
		}
		return take(b, at)
	}
	return c
}()

var weatherTable = weatherDays(ending(tableOf("weather", "weather",
	"Daily weather, one row for each station and day. Files of weather services can be put into a folder weather/ beside it instead: see below.",
	named("station", "name of the series; a yard uses the one it names, the one called like it, or the nearest (see stations)", "ithaca", func(b *weather.Day) *string { return &b.Station }).needed().or("location"),
	weatherDay.needed().or("day", "local day"),
	degrees("tmax", "highest temperature", func(b *weather.Day) (*units.Temp, *bool) { return &b.TMax, &b.HasMax }).or("high", "max", "temp max", "maximum"),
	degrees("tmin", "lowest temperature", func(b *weather.Day) (*units.Temp, *bool) { return &b.TMin, &b.HasMin }).or("low", "min", "temp min", "minimum"),
	rainColumn,
	yesno("forecast", "not measured but forecast", func(b *weather.Day) *bool { return &b.Forecast }).seldom(),
).blaming(map[string]string{"highest temperature (°C)": "tmax", "lowest temperature (°C)": "tmin", "rain (mm)": "rain"}), func(b *weather.Day, r *row) error {
	if b.Day == 0 {
		r.skipped, r.why = true, `1 January 1970 left out: that day stands for "no day" here`
		return nil
	}
	if r.fact.Seen.IsZero() {
		r.fact.Seen = units.OnDay(b.Day)
	}
	if b.HasMax && b.HasMin && b.TMin > b.TMax {
		return in("tmin", fault.New(fault.Conflict, "", "the lowest temperature is above the highest").WithHint("are the two columns the wrong way round?"))
	}
	r.skipped = b.IsBlank() // a day on which nothing was measured is no fact
	return nil
}))

var stationsTable = stationPlace(tableOf("stations", "station", "Where the weather was measured: with it a yard without a station of its own takes the nearest, and the difference in height is allowed for.",
	named("station", "name of the series, as in the weather", "ithaca", func(b *weather.Station) *string { return &b.ID }).needed().or("station id"),
	named("name", "its name in full", "Ithaca, the valley", func(b *weather.Station) *string { return &b.Name }).or("full name"),
	numeric("lat", "degrees north, south negative", "42.45", func(b *weather.Station) (*float64, *bool) { return &b.Lat, &b.HasPlace }).within(-90, 90, "°", func(b *weather.Station) float64 { return b.Lat }).or("latitude").void("not told"),
	numeric("lon", "degrees east, west negative", "-76.45", func(b *weather.Station) (*float64, *bool) { return &b.Lon, &b.HasPlace }).within(-180, 180, "°", func(b *weather.Station) float64 { return b.Lon }).or("longitude", "long").void("not told"),
	known(sLength, "elev", "height above the sea", "290 m", usualElev, func(b *weather.Station) (*units.Length, *bool) { return &b.Elev, &b.HasElev }).within(-500, 5000, " m", func(b *weather.Station) float64 { return float64(b.Elev) }).or("elevation", "altitude", "height").void("not told; 0 is the shore"),
).holding())

// weatherDays makes the day of the weather stand for the day it was seen.
func weatherDays(t *table) *table {
	t.dated = true
	s := t.field("seen")
	s.also, s.rare, s.example = []string{"reported", "seen on"}, true, ""
	s.what, s.blank = "when it was reported", "on its day"
	s.put = func(f *season.Fact, p any) string {
		if f.Seen == units.OnDay(p.(*weather.Day).Day) {
			return ""
		}
		return f.Seen.String()
	}
	return t
}

// rainUnits are the units of rain, in mm. Rain is kept as a bare number of mm.
var rainUnits = map[string]float64{"mm": 1, "cm": 10, "in": 25.4}

func rainUnit(s string, l units.Locale) (string, error) {
	u, err := units.UnitName[units.Length](s, l)
	if err == nil && rainUnits[u] == 0 {
		err = fault.Newf(fault.NotUnderstood, "", "%q is not a unit for rain", s)
	}
	if e, ok := err.(*fault.Error); ok {
		return "", e.WithHint("mm or in")
	}
	return u, err
}

var rainColumn = col[weather.Day]{
	column: column{name: "rain", also: []string{"precip", "precipitation", "prcp", "rainfall"}, sort: sRain, what: "rain and melted snow of the day", example: "3.2",
		blank: "not measured, as is -; 0 is a dry day", head: "rain_mm", plain: true, decimal: true, usual: [3]string{"in", "mm", "mm"}, unit: rainUnit},
	put: func(b *weather.Day) string {
		if b.HasRain {
			return digits(b.Rain)
		}
		return ""
	},
	take: func(b *weather.Day, c *cell) error {
		b.HasRain = true
		if isBare(c.text) && c.b.unit == "mm" {
			var err error
			b.Rain, err = c.number()
			return err
		}
		e, err := quantity[units.Length](c)
		if err != nil {
			return err
		}
		// The words keep the number as typed; metres would cost the last digit.
		n, u, ok := strings.Cut(e.String(), " ")
		if x, err := number(n, units.Locale{}); ok && err == nil && rainUnits[u] != 0 {
			b.Rain = x * rainUnits[u]
			return nil
		}
		b.Rain = float64(e.Q / units.Millimetre)
		return nil
	},
}.within(0, 2000, " mm", func(b *weather.Day) float64 { return b.Rain })

// planContent is where the content of a plan stands in the rows of its table.
const (
	planFile    = "file"
	planContent = "content"
	plansFolder = "plans"
)

var plansTable = ending(tableOf("plans", "plan", "Plans taken out to the yard, each frozen in a file of its own.",
	named("plan", "name of the plan", "P3", func(b *season.PlanOut) *string { return &b.Plan }).needed(),
	col[season.PlanOut]{column: column{name: planFile, sort: sText, what: "file it is in, inside the folder plans", example: "plans/P3.json", blank: "the plan is empty"},
		put: func(*season.PlanOut) string { return "" }, // the writer knows
		take: func(b *season.PlanOut, c *cell) error {
			raw, err := c.m.openPlan(c.text)
			if err == nil {
				b.Content, err = planJSON(raw)
			}
			return err
		},
	},
	col[season.PlanOut]{column: column{name: planContent, sort: sText, rare: true, what: "the plan itself, in a workbook", text: true},
		put: func(b *season.PlanOut) string {
			raw, err := planJSON(b.Content)
			if err != nil {
				return string(b.Content)
			}
			return string(raw)
		},
		take: func(b *season.PlanOut, c *cell) (err error) {
			b.Content, err = planJSON([]byte(c.freeText(true)))
			return err
		},
	},
), func(b *season.PlanOut, r *row) error {
	if r.has(planFile) && r.has(planContent) {
		return in(planFile, fault.New(fault.Conflict, "", "the plan stands both in a file and in the row").WithHint("keep one of them"))
	}
	return nil
})

// planJSON brings a plan to the form books keep it in: no spaces.
func planJSON(raw []byte) (json.RawMessage, error) {
	if len(raw) == 0 {
		return nil, nil
	}
	var b bytes.Buffer
	if err := json.Compact(&b, raw); err != nil {
		return nil, &fault.Error{Kind: fault.Damaged, Say: "the plan is not readable JSON", Hint: "take the plan out anew", Err: err}
	}
	return b.Bytes(), nil
}

// openPlan reads a file of the folder plans, and no other.
func (m *manner) openPlan(name string) ([]byte, error) {
	if m.fsys == nil || !fs.ValidPath(name) || !strings.HasPrefix(name, plansFolder+"/") || strings.ContainsAny(name, `\:`) {
		return nil, fault.Newf(fault.NotUnderstood, "", "%q is not a file of the folder plans", name).WithHint("plans/NAME.json")
	}
	return readFile(m.fsys, name, name)
}

// wholeFact is a fact as the book keeps it.
type wholeFact struct {
	json string
	part float64
	body any
}

const otherFact = "fact"

var otherTable = wholeFacts(tableOf("other", "", "Facts that the plain columns cannot hold, as the book keeps them. Written by the program; nobody needs to write any.",
	col[wholeFact]{column: column{name: otherFact, sort: sText, need: true, text: true, what: "the fact as JSON", example: `{"id":"0198f2a4-…","kind":"note",…}`},
		put:  func(b *wholeFact) string { return b.json },
		take: func(b *wholeFact, c *cell) error { b.json = c.raw; return nil },
	},
	numeric("part", "in a workbook, a long fact goes on in the rows below: 2, 3 …", "2", func(b *wholeFact) (*float64, *bool) { yes := b.part != 0; return &b.part, &yes }).seldom().void("1"),
))

// wholeFacts turns a table of bodies into one of whole facts: the row says it
// all, so it has none of the columns that every other table has.
func wholeFacts(t *table) *table {
	t.dated = true
	var own []field
	for _, f := range t.fields {
		if f.name == otherFact || f.name == "part" {
			own = append(own, f)
		}
	}
	t.fields = own
	t.body = func(p any) any { return p.(*wholeFact).body }
	t.finish = func(p any, r *row) error {
		w := p.(*wholeFact)
		if err := json.Unmarshal([]byte(w.json), r.fact); err != nil {
			if e, ok := err.(*fault.Error); ok {
				return in(otherFact, e)
			}
			return in(otherFact, &fault.Error{Kind: fault.Damaged, Say: "this is not a fact", Hint: "take the row out, or export the folder anew", Err: err})
		}
		w.body = r.fact.Body
		return nil
	}
	return t
}

// factJSON writes a fact as ASCII without anything that a text table or a
// workbook would change.
func factJSON(f *season.Fact) (string, error) {
	raw, err := json.Marshal(f)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for i := 0; i < len(raw); {
		r, n := utf8.DecodeRune(raw[i:])
		switch {
		case r == '_' && i+1 < len(raw) && raw[i+1] == 'x': // workbooks write odd characters as _x0001_
			b.WriteString(`\u005f`)
		case r < utf8.RuneSelf && r != unicode.MaxASCII:
			b.WriteByte(byte(r))
		case r > 0xffff:
			r -= 0x10000
			fmt.Fprintf(&b, `\u%04x\u%04x`, 0xd800+(r>>10), 0xdc00+(r&0x3ff))
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
		i += n
	}
	return b.String(), nil
}

// valid replaces bytes that are no UTF-8, one for one, as encoding/json does.
func valid(s string) string {
	if utf8.ValidString(s) {
		return s
	}
	return string([]rune(s))
}
