package weather

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
)

// widestHole is how long no reading may be missing within a day for its highest
// and lowest reading to stand for its high and low: air seldom changes its course
// within three hours. Common practice, no source.
const widestHole = 3 * 60 // min

// fewestHours is how many hourly amounts make the rain of a day: 24, one less on
// the day the clocks go forward.
const fewestHours = 23

// hours gathers readings within days.
type hours struct {
	days map[units.Day]*hoursOf
	cut  int // days left out
}

type hoursOf struct {
	at     []int // minutes after midnight, of the temperatures
	lo, hi float64
	mm     float64
	wet    int // hours of which the rain is known
	row    int
}

func newHours() *hours { return &hours{days: map[units.Day]*hoursOf{}} }

func (h *hours) day(d units.Day, row int) *hoursOf {
	o := h.days[d]
	if o == nil {
		o = &hoursOf{row: row}
		h.days[d] = o
	}
	return o
}

func (o *hoursOf) temp(minute int, x float64) {
	if len(o.at) == 0 {
		o.lo, o.hi = x, x
	}
	o.at, o.lo, o.hi = append(o.at, minute), min(o.lo, x), max(o.hi, x)
}

// whole tells whether the readings of a day leave no hole that is too wide.
func (o *hoursOf) whole() bool {
	slices.Sort(o.at)
	last := 0
	for _, m := range append(o.at, 24*60) {
		if m-last > widestHole {
			return false
		}
		last = m
	}
	return true
}

// put makes days of the readings.
func (h *hours) put(c *collector, column string, forecast func(units.Day) bool) {
	var days []units.Day
	for d := range h.days {
		days = append(days, d)
	}
	slices.Sort(days)
	for _, d := range days {
		o := h.days[d]
		if len(o.at) > 0 && !o.whole() {
			h.cut++
		} else if len(o.at) > 0 {
			c.put(o.row, column, c.o.As, d, high, o.hi, fmt.Sprint(o.hi), forecast(d))
			c.put(o.row, column, c.o.As, d, low, o.lo, fmt.Sprint(o.lo), forecast(d))
		}
		if o.wet >= fewestHours {
			c.put(o.row, column, c.o.As, d, rain, toInside(o.mm, rain, Celsius), fmt.Sprint(o.mm), forecast(d))
		}
	}
	c.notes = append(c.notes, Reason{Code: "from-readings", Say: "highs and lows are the highest and lowest reading of the day: the true high lies a little above"})
	if h.cut > 0 {
		c.notes = append(c.notes, Reason{Code: "part-days", Say: count(h.cut, "day") + " left out: more than three hours without a reading"})
	}
}

// parseTime reads 2026-10-03T14:00 or 2026-10-03 14:00:00, local. A zone at its
// end is refused unless the file is of that zone: the day would be another.
func parseTime(s string) (d units.Day, minute int, err *fault.Error) {
	s = strings.Replace(s, " ", "T", 1)
	for _, layout := range []string{"15:04", "15:04:05"} {
		date, clock, ok := strings.Cut(s, "T")
		if t, e := time.Parse(layout, clock); ok && e == nil {
			d, err = parseDate(date)
			return d, t.Hour()*60 + t.Minute(), err
		}
	}
	return 0, 0, fault.Newf(fault.NotUnderstood, "", "%q is not a time we can be sure of", s).
		WithHint("local time, the year first: 2026-10-03 14:00")
}

// readHourly reads hourly.time and beside it temperatures and rain, and makes
// days of them.
func (f forecastFile) readHourly(c *collector) error {
	times := f.Hourly["time"]
	h := newHours()
	days, minutes := make([]units.Day, len(times)), make([]int, len(times))
	for i, raw := range times {
		if c.hopeless() {
			return nil
		}
		var s string
		where := fmt.Sprintf("%s hourly.time[%d]", c.o.File, i)
		if err := json.Unmarshal(raw, &s); err != nil {
			c.trouble(fault.Newf(fault.NotUnderstood, where, "%s is not a time", brief(raw)).WithHint("times as text, \"2026-10-03T14:00\": ask for ISO 8601 times"))
			continue
		}
		d, m, e := parseTime(s)
		if e != nil {
			e.Thing = where
			c.trouble(e)
			continue
		}
		if c.usable(d) {
			days[i], minutes[i] = d, m
		}
	}
	found := false
	for _, x := range []struct {
		name string
		k    kind
	}{{"temperature_2m", high}, {"precipitation", rain}} {
		values, ok := f.Hourly[x.name]
		if !ok {
			continue
		}
		found = true
		if err := f.hourlyArray(c, x.name, x.k, values, func(i int, v float64) {
			o := h.day(days[i], i+1)
			if x.k == rain {
				o.mm, o.wet = o.mm+v, o.wet+1
			} else {
				o.temp(minutes[i], v)
			}
		}, days); err != nil {
			return err
		}
	}
	if !found {
		return fault.New(fault.Missing, c.o.File, "it has neither temperatures nor rain by the hour").
			WithHint("hourly.temperature_2m and hourly.precipitation are read")
	}
	h.put(c, "hourly", func(d units.Day) bool { return c.o.Issued == 0 || d >= c.o.Issued })
	f.place(c)
	return nil
}

func (f forecastFile) hourlyArray(c *collector, name string, k kind, values []json.RawMessage, take func(int, float64), days []units.Day) error {
	if len(values) != len(days) {
		return fault.Newf(fault.Damaged, c.o.File+" hourly."+name, "it has %d values for %d hours", len(values), len(days)).
			WithHint("each array must be as long as hourly.time")
	}
	scale, err := scaleOf(c, f.HourlyUnits, "hourly_units", k, name)
	if err != nil {
		return err
	}
	for i, raw := range values {
		if days[i] == 0 || string(raw) == "null" || c.hopeless() {
			continue
		}
		var x float64
		if err := json.Unmarshal(raw, &x); err != nil {
			c.trouble(fault.Newf(fault.NotUnderstood, fmt.Sprintf("%s hourly.%s[%d]", c.o.File, name, i), "%s is not a number", brief(raw)).
				WithHint("a number, or null when not known"))
			continue
		}
		if v := toInside(x, k, scale); c.sane(i+1, "hourly."+name, k, v, string(raw)) {
			take(i, v)
		}
	}
	return nil
}

// Columns of a log: the time of a reading, and the air outside. What is only
// called temperature may hang in the brood nest, and is not taken for weather.
var (
	logTimes = []string{"timestamp", "datetime", "date_time", "time"}
	logAir   = []string{"outside_temp", "outside_temperature", "outdoor_temp", "outdoor_temperature", "ambient_temp", "ambient_temperature", "air_temp", "air_temperature", "temp_outside", "temp_out", "ambient"}
)

func isLog(h heads) bool { return h.find("date", "day") < 0 && h.find(logTimes...) >= 0 }

// readLog reads the log of an automatic scale or weather station: a local time
// and the air outside in each row, some times a day. Weights and all else are
// passed over.
func readLog(c *collector, b []byte) error {
	t, err := openTable(c, b, separator(b))
	if err != nil {
		return err
	}
	if err := c.needsName(); err != nil {
		return err
	}
	if !c.wants(c.o.As) {
		return nil
	}
	at, air, scale := t.head.find(logTimes...), -1, NotTold
	for i, h := range t.head {
		name, unit := h, NotTold
		if j := strings.LastIndexByte(h, '_'); j >= 0 {
			if u, ok := tempUnits[h[j+1:]]; ok {
				name, unit = h[:j], u
			}
		}
		if air < 0 && slices.Contains(logAir, name) {
			air, scale = i, unit
		}
	}
	if at < 0 {
		return fault.Newf(fault.Missing, c.o.File, "no column is the time of the reading among %s", someHeads(t.raw)).
			WithHint("call it timestamp: 2026-10-03 14:00, local")
	}
	if air < 0 {
		return fault.Newf(fault.Missing, c.o.File, "no column is the temperature outside among %s", someHeads(t.raw)).
			WithHint("call it outside_temp_c or outside_temp_f: a sensor in the hive tells no weather")
	}
	if scale == NotTold {
		scale = c.o.Scale
	}
	if scale == NotTold {
		return lacks(ErrUnits, fault.New(fault.Missing, c.o.File+", "+t.raw[air], "the heading does not say in what unit the temperature is").
			WithHint("call the column outside_temp_c or outside_temp_f, or say the unit when reading it in"))
	}
	h := newHours()
	for !c.hopeless() {
		rec, err := t.r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return fault.New(fault.NotUnderstood, c.o.File, "its quotation marks do not match")
		}
		row, _ := t.r.FieldPos(0)
		t.reading(c, h, row, cellsOf(rec), at, air, scale)
	}
	h.put(c, t.raw[air], func(units.Day) bool { return false })
	return nil
}

// reading takes one row of a log.
func (t *table) reading(c *collector, h *hours, row int, cell func(int) string, at, air int, scale Scale) {
	w := strings.TrimSpace(cell(air))
	if w == "" || w == "-" || strings.EqualFold(w, "NA") {
		return
	}
	d, minute, e := parseTime(strings.TrimSpace(cell(at)))
	if e != nil {
		e.Thing = c.thing(row, t.raw[at])
		c.trouble(e)
		return
	}
	x, ok := parseNumber(w)
	if !ok {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, t.raw[air]), "%q is not a number", w).
			WithHint("a number such as 14.5; leave it blank when it was not measured"))
		return
	}
	if v := toInside(x, high, scale); c.usable(d) && c.sane(row, t.raw[air], high, v, w) {
		h.day(d, row).temp(minute, v)
	}
}
