package weather

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// forecastFile is the open shape of daily weather: one array for each value,
// all as long as the array of dates, and the units beside them.
type forecastFile struct {
	Latitude  *float64                       `json:"latitude"`
	Longitude *float64                       `json:"longitude"`
	Elevation *float64                       `json:"elevation"`
	Units     map[string]any                 `json:"daily_units"`
	Daily     map[string]([]json.RawMessage) `json:"daily"`

	HourlyUnits map[string]any                 `json:"hourly_units"`
	Hourly      map[string]([]json.RawMessage) `json:"hourly"`
}

// Arrays that are read, the first that is there.
var jsonNames = [3][]string{
	high: {"temperature_2m_max"},
	low:  {"temperature_2m_min"},
	rain: {"precipitation_sum", "rain_sum"},
}

// readJSON reads a daily forecast (or hindcast). The units stand in
// daily_units; a value that is null is not known.
func readJSON(c *collector, b []byte) error {
	if len(b) > MaxJSONBytes {
		return fault.Newf(fault.OutOfRange, c.o.File, "%d MB is too large for a forecast", len(b)>>20).
			WithHint("up to %d MB", MaxJSONBytes>>20)
	}
	var f forecastFile
	if err := json.Unmarshal(b, &f); err != nil {
		return jsonTrouble(c, b, err)
	}
	if err := c.needsName(); err != nil {
		return err
	}
	if !c.wants(c.o.As) {
		return nil
	}
	times, ok := f.Daily["time"]
	if _, hourly := f.Hourly["time"]; !ok && hourly {
		return f.readHourly(c)
	}
	if !ok {
		return fault.New(fault.Missing, c.o.File, "it has no list of days, daily.time").
			WithHint("ask for daily values; hourly ones, with hourly.time, will do")
	}
	days := jsonDays(c, times)
	found := false
	for k := high; k <= rain; k++ {
		for _, name := range jsonNames[k] {
			if values, ok := f.Daily[name]; ok {
				found = true
				if err := f.array(c, k, name, values, days); err != nil {
					return err
				}
				break
			}
		}
	}
	if !found {
		return fault.New(fault.Missing, c.o.File, "it has neither highs, lows nor rain").
			WithHint("daily.temperature_2m_max, daily.temperature_2m_min and daily.precipitation_sum are read")
	}
	f.place(c)
	return nil
}

// jsonDays reads the dates; days that cannot be used are 0.
func jsonDays(c *collector, times []json.RawMessage) []units.Day {
	days := make([]units.Day, len(times))
	for i, raw := range times {
		if c.hopeless() {
			break
		}
		where := fmt.Sprintf("%s daily.time[%d]", c.o.File, i)
		var s string
		if err := json.Unmarshal(raw, &s); err != nil {
			c.trouble(fault.Newf(fault.NotUnderstood, where, "%s is not a date", brief(raw)).
				WithHint("dates as text, \"2026-10-03\": ask for ISO 8601 times"))
			continue
		}
		d, e := parseDate(s)
		if e != nil {
			e.Thing = where
			c.trouble(e)
			continue
		}
		if c.usable(d) {
			days[i] = d
		}
	}
	return days
}

// array reads one array of values.
func (f forecastFile) array(c *collector, k kind, name string, values []json.RawMessage, days []units.Day) error {
	if len(values) != len(days) {
		return fault.Newf(fault.Damaged, c.o.File+" daily."+name, "it has %d values for %d days", len(values), len(days)).
			WithHint("each array must be as long as daily.time")
	}
	scale, err := scaleOf(c, f.Units, "daily_units", k, name)
	if err != nil {
		return err
	}
	for i, raw := range values {
		if c.hopeless() {
			break
		}
		if days[i] == 0 || string(raw) == "null" {
			continue
		}
		var x float64
		if err := json.Unmarshal(raw, &x); err != nil {
			c.trouble(fault.Newf(fault.NotUnderstood, fmt.Sprintf("%s daily.%s[%d]", c.o.File, name, i), "%s is not a number", brief(raw)).
				WithHint("a number, or null when not known"))
			continue
		}
		forecast := c.o.Issued == 0 || days[i] >= c.o.Issued
		c.put(i+1, "daily."+name, c.o.As, days[i], k, toInside(x, k, scale), string(raw), forecast)
	}
	return nil
}

// scaleOf finds the unit of an array.
func scaleOf(c *collector, told map[string]any, list string, k kind, name string) (Scale, error) {
	unit, ok := told[name]
	if !ok {
		if c.o.Scale != NotTold {
			return c.o.Scale, nil
		}
		return NotTold, lacks(ErrUnits, fault.New(fault.Missing, c.o.File+" "+list+"."+name, "the file does not say in what unit this is").
			WithHint("say whether it is °C and mm, or °F and inches"))
	}
	u, _ := unit.(string)
	switch {
	case k != rain && u == "°C", k == rain && u == "mm":
		return Celsius, nil
	case k != rain && u == "°F", k == rain && (u == "inch" || u == "in"):
		return Fahrenheit, nil
	}
	right := "°C or °F"
	if k == rain {
		right = "mm or inch"
	}
	return NotTold, fault.Newf(fault.NotUnderstood, c.o.File+" "+list+"."+name, "%q is not a unit known here", fmt.Sprint(unit)).
		WithHint("%s", right)
}

func (f forecastFile) place(c *collector) {
	if f.Latitude == nil || f.Longitude == nil || !(*f.Latitude >= -90 && *f.Latitude <= 90 && *f.Longitude >= -180 && *f.Longitude <= 180) {
		return
	}
	p := Station{ID: c.o.As, HasPlace: true, Lat: *f.Latitude, Lon: *f.Longitude}
	if f.Elevation != nil && *f.Elevation >= -500 && *f.Elevation <= 5000 {
		p.HasElev, p.Elev = true, units.Length(*f.Elevation)
	}
	c.places = append(c.places, p)
}

// brief shortens a piece of a file for an error.
func brief(raw []byte) string {
	s := []rune(strings.ToValidUTF8(string(raw), "?"))
	if len(s) > 30 {
		return string(s[:30]) + "…"
	}
	return string(s)
}

// jsonTrouble says where a file stops being what it should.
func jsonTrouble(c *collector, b []byte, err error) error {
	where := c.o.File
	var se *json.SyntaxError
	var te *json.UnmarshalTypeError
	switch {
	case errors.As(err, &se):
		n := min(int(se.Offset), len(b))
		where = fmt.Sprintf("%s row %d", c.o.File, bytes.Count(b[:n], []byte("\n"))+1)
	case errors.As(err, &te) && te.Field != "":
		return fault.Newf(fault.NotUnderstood, c.o.File+" "+te.Field, "a %s stands where a list or a number should be", te.Value).
			WithHint("daily.time and daily.temperature_2m_max are lists, one value for each day")
	}
	return &fault.Error{Kind: fault.Damaged, Thing: where, Err: err,
		Say: "the file is cut off or is not a forecast", Hint: "fetch it again"}
}
