package weather

import (
	"slices"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
)

// Names a keeper's own columns may have, without the unit at their end.
var ownNames = [3][]string{
	high: {"tmax", "t_max", "max", "high", "temp_max", "max_temp", "maximum", "temperature_max"},
	low:  {"tmin", "t_min", "min", "low", "temp_min", "min_temp", "minimum", "temperature_min"},
	rain: {"rain", "precip", "precipitation", "prcp", "rainfall"},
}

// Ends of a heading that say the unit.
var (
	tempUnits = map[string]Scale{"c": Celsius, "degc": Celsius, "celsius": Celsius, "f": Fahrenheit, "degf": Fahrenheit, "fahrenheit": Fahrenheit}
	rainUnits = map[string]Scale{"mm": Celsius, "in": Fahrenheit, "inch": Fahrenheit, "inches": Fahrenheit}
)

// readCSV reads a table of the keeper's own. Columns may stand in any order,
// with , ; or a tab between them: date, a high, a low, rain (any of the three),
// and if wanted station and forecast (yes or no). The unit stands in the
// heading: tmax_c or tmax_f, rain_mm or rain_in. Other columns are passed over.
func readCSV(c *collector, b []byte) error {
	t, err := openTable(c, b, separator(b))
	if err != nil {
		return err
	}
	s := noShape()
	s.date = t.head.find("date", "day")
	s.station = t.head.find("station", "location")
	s.forecast = t.head.find("forecast")
	s.missing = []string{"NA", "-"}
	for i, h := range t.head {
		k, unit, ok := ownColumn(h)
		if !ok {
			continue
		}
		if s.value[k] >= 0 {
			return fault.Newf(fault.Conflict, c.o.File, "%s and %s both say the %s", t.raw[s.value[k]], t.raw[i], k).
				WithHint("keep one of the two columns")
		}
		if unit == NotTold {
			unit = c.o.Scale
		}
		s.value[k], s.scale[k] = i, unit
	}
	if err := t.usable(c, s); err != nil {
		return err
	}
	for k := high; k <= rain; k++ {
		if s.value[k] >= 0 && s.scale[k] == NotTold {
			right := "tmax_c or tmax_f"
			if k == rain {
				right = "rain_mm or rain_in"
			}
			return lacks(ErrUnits, fault.Newf(fault.Missing, c.o.File+", "+t.raw[s.value[k]], "the heading does not say in what unit the %s is", k).
				WithHint("call the column %s, or say the unit when reading it in", right))
		}
	}
	return t.rows(c, s)
}

// ownColumn reads a heading as name and unit.
func ownColumn(h string) (k kind, unit Scale, ok bool) {
	for k = high; k <= rain; k++ {
		units := tempUnits
		if k == rain {
			units = rainUnits
		}
		for _, n := range ownNames[k] {
			if h == n {
				return k, NotTold, true
			}
			if end, found := strings.CutPrefix(h, n+"_"); found {
				if u, known := units[end]; known {
					return k, u, true
				}
			}
		}
	}
	return 0, NotTold, false
}

// usable refuses tables without a date or without anything to read.
func (t *table) usable(c *collector, s shape) error {
	if s.date < 0 {
		return fault.Newf(fault.Missing, c.o.File, "no column is called date among %s", someHeads(t.raw)).
			WithHint("the first line should name the columns: date,tmax_c,tmin_c,rain_mm")
	}
	if s.value[high] < 0 && s.value[low] < 0 && s.value[rain] < 0 {
		return fault.Newf(fault.Missing, c.o.File, "no column is a high, a low or rain among %s", someHeads(t.raw)).
			WithHint("call them tmax_c, tmin_c and rain_mm (or tmax_f, tmin_f and rain_in)")
	}
	return nil
}

// someHeads lists headings for an error, cut short.
func someHeads(raw []string) string {
	s := strings.ToValidUTF8(strings.Join(raw, ", "), "?")
	if r := []rune(s); len(r) > 80 {
		s = string(r[:80]) + "…"
	}
	return "\"" + s + "\""
}

// readWide reads GHCN-Daily as one row for each day of a station. Its numbers
// are in tenths of °C and mm, in °C and mm, or in °F and inches, depending on
// where the file was fetched, and nothing in it says which: that is asked.
//
// Format: NOAA, daily summaries, columns STATION, DATE, LATITUDE, LONGITUDE,
// ELEVATION (m), NAME, then each element with its _ATTRIBUTES
// (measurement, quality and source flag).
func readWide(c *collector, b []byte) error {
	t, err := openTable(c, b, separator(b))
	if err != nil {
		return err
	}
	s := noShape()
	s.date, s.station, s.name = t.head.find("date"), t.head.find("station"), t.head.find("name")
	s.lat, s.lon, s.elev = t.head.find("latitude"), t.head.find("longitude"), t.head.find("elevation")
	for k, n := range [3]string{high: "tmax", low: "tmin", rain: "prcp"} {
		s.value[k], s.flag[k] = t.head.find(n), t.head.find(n+"_attributes")
		s.scale[k] = c.o.Scale
	}
	s.missing = []string{"NA", "-9999", "9999"}
	if err := t.usable(c, s); err != nil {
		return err
	}
	if c.o.Scale == NotTold {
		e := fault.New(fault.Missing, c.o.File, "these files come in three kinds of units, and this one does not say which")
		if high := highestWritten(t, s); high != "" {
			return lacks(ErrUnits, e.WithHint("say whether it is °C and mm, °F and inches, or tenths of °C and mm; the highest of the first daily highs is written %s", high))
		}
		return lacks(ErrUnits, e.WithHint("say whether it is °C and mm, °F and inches, or tenths of °C and mm"))
	}
	return t.rows(c, s)
}

// highestWritten helps the keeper to see what the units are, without deciding it: it
// is how the highest of the first daily highs is written, "" when there is none.
func highestWritten(t *table, s shape) string {
	written, highest := "", 0.0
	for range 400 { // more than a year, so that a summer is in it
		rec, err := t.r.Read()
		if err != nil {
			break
		}
		i := s.value[high]
		if i < 0 || i >= len(rec) || s.doubtful(rec, high) {
			continue
		}
		w := strings.TrimSpace(rec[i])
		if x, ok := parseNumber(w); ok && !slices.Contains(s.missing, w) && (written == "" || x > highest) {
			written, highest = strings.Clone(w), x
		}
	}
	return written
}

// readCity reads the table of daily weather by city that many courses use. Its
// published description says °C and mm, so nothing need be asked.
//
// Format: data package vega-datasets 3.2.1, resources "weather" and
// "seattle_weather".
func readCity(c *collector, b []byte) error {
	t, err := openTable(c, b, ',')
	if err != nil {
		return err
	}
	s := noShape()
	s.date, s.station = t.head.find("date"), t.head.find("location")
	for k, n := range [3]string{high: "temp_max", low: "temp_min", rain: "precipitation"} {
		s.value[k], s.scale[k] = t.head.find(n), Celsius
	}
	if err := t.usable(c, s); err != nil {
		return err
	}
	c.notes = append(c.notes, Reason{Code: "units-by-format", Say: "taken as °C and mm, as the description of these files says"})
	return t.rows(c, s)
}

// readDWD reads daily climate of the German weather service: semicolons, blanks
// before the numbers, °C and mm, −999 for what is not known. Of its columns
// TXK is the high, TNK the low, RSK the rain.
//
// Format: DWD Climate Data Center, daily KL, produkt_klima_tag_*.txt.
func readDWD(c *collector, b []byte) error {
	t, err := openTable(c, b, ';')
	if err != nil {
		return err
	}
	s := noShape()
	s.date, s.station = t.head.find("mess_datum"), t.head.find("stations_id")
	for k, n := range [3]string{high: "txk", low: "tnk", rain: "rsk"} {
		s.value[k], s.scale[k] = t.head.find(n), Celsius
	}
	s.missing = []string{"-999", "-999.0"}
	if err := t.usable(c, s); err != nil {
		return err
	}
	return t.rows(c, s)
}

// dayOf gives a date if there is such a day in the years 1700 to 2199. Days
// before units.Day's own range are let through to be counted, not refused.
func dayOf(y, m, d int) (units.Day, bool) {
	if y < 1700 || y > 2199 || m < 1 || m > 12 || d < 1 || d > 31 {
		return 0, false
	}
	day := units.DayOf(y, time.Month(m), d)
	return day, day.DayOfMonth() == d
}
