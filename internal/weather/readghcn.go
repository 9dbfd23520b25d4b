package weather

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// elements of GHCN-Daily that are read. Their values are whole tenths of °C and
// of mm.
func element(s string) (kind, bool) {
	switch s {
	case "TMAX":
		return high, true
	case "TMIN":
		return low, true
	case "PRCP":
		return rain, true
	}
	return 0, false
}

const ghcnMissing = "-9999"

// Columns of a .dly line, from 0: station 0–10, year 11–14, month 15–16,
// element 17–20, then 31 × (value 5, measurement, quality and source flag).
const (
	dlyHead  = 21
	dlyDay   = 8
	dlyWidth = dlyHead + 31*dlyDay // 269
)

// isDLY tells whether a first line is that of a .dly file.
func isDLY(line string) bool {
	if len(line) < dlyHead || strings.ContainsAny(line[:dlyHead], ",; ") {
		return false
	}
	_, ok := digits(line[11:17])
	_, isDigits := digits(line[17:21])
	return ok && !isDigits
}

// readDLY reads GHCN-Daily in fixed width.
//
// Format: NOAA, readme of GHCN-Daily, section III.
func readDLY(c *collector, b []byte) error {
	row := 0
	for raw := range bytes.Lines(b) {
		if row++; c.hopeless() {
			break
		}
		line := strings.TrimRight(string(raw), "\r\n")
		if strings.TrimSpace(line) == "" {
			continue
		}
		readDLYLine(c, row, line)
	}
	return nil
}

func readDLYLine(c *collector, row int, line string) {
	if len(line) < dlyHead || len(line) > dlyWidth+16 {
		c.trouble(fault.Newf(fault.Damaged, c.thing(row, ""), "the line is %d characters long", len(line)).
			WithHint("a line of these files has %d: station, month, element and 31 days", dlyWidth))
		return
	}
	k, ok := element(line[17:21])
	id := line[:11]
	if !ok || !c.wants(id) {
		return
	}
	if !goodID(id) {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, "columns 1–11"), "%q cannot be the id of a station", brief([]byte(id))).
			WithHint("the station's id of 11 characters"))
		return
	}
	y, ok1 := digits(line[11:15])
	m, ok2 := digits(line[15:17])
	if _, ok := dayOf(y, m, 1); !ok1 || !ok2 || !ok {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, "columns 12–17"), "%q is not a year and a month", line[11:17]).
			WithHint("four digits for the year, two for the month"))
		return
	}
	// A missing last value is followed by three blank flags.
	if len(line) < dlyWidth { // blanks at the end get lost in editors
		line += strings.Repeat(" ", dlyWidth-len(line))
	}
	for d := 1; d <= 31; d++ {
		at := dlyHead + (d-1)*dlyDay
		w := strings.TrimSpace(line[at : at+5])
		if w == ghcnMissing {
			continue
		}
		column := "day " + itoa(d)
		day, ok := dayOf(y, m, d)
		if !ok {
			if w != "" {
				c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, column), "there is a value, %s, for a day that is not in that month", w).
					WithHint("it should be %s", ghcnMissing))
			}
			continue
		}
		putTenths(c, row, column, id, day, k, w, line[at+6:at+7])
	}
}

// itoa writes a small number of at most two digits.
func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return string(rune('0'+n/10)) + string(rune('0'+n%10))
}

// putTenths keeps a value in whole tenths, unless its quality flag is set.
func putTenths(c *collector, row int, column, id string, d units.Day, k kind, w, quality string) {
	if strings.TrimSpace(quality) != "" {
		c.flagged++
		return
	}
	if !c.usable(d) {
		return
	}
	// A point in the value means it is not in tenths, whatever the layout.
	x, ok := parseNumber(w)
	if !ok || strings.ContainsAny(w, ".,") {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, column), "%q is not a whole number", w).
			WithHint("whole tenths of °C or mm, or %s when not measured", ghcnMissing))
		return
	}
	c.put(row, column, id, d, k, toInside(x, k, Tenths), w, false)
}

// isByYear tells whether a first line is that of a per-year file, with or
// without headings.
func isByYear(line string) bool {
	f := strings.Split(line, ",")
	if len(f) < 4 {
		return false
	}
	if isByYearHead(f) {
		return true
	}
	_, ok := digits(f[1])
	_, isDigits := digits(f[2])
	return len(f[0]) == 11 && len(f[1]) == 8 && ok && len(f[2]) == 4 && !isDigits
}

func isByYearHead(f []string) bool {
	h := normalHeads(f)
	return len(h) >= 4 && h[0] == "id" && h[2] == "element"
}

// readByYear reads GHCN-Daily as one row for each value, as it is kept by year
// and by station: ID, YYYYMMDD, ELEMENT, VALUE, measurement flag, quality flag,
// source flag, hour. Values are whole tenths.
//
// Format: NOAA, readme-by_year.txt.
func readByYear(c *collector, b []byte) error {
	r := csv.NewReader(bytes.NewReader(b))
	r.FieldsPerRecord, r.ReuseRecord = -1, true
	for first := true; ; first = false {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) || c.hopeless() {
			return nil
		}
		var pe *csv.ParseError
		if errors.As(err, &pe) {
			c.trouble(fault.New(fault.NotUnderstood, c.thing(pe.StartLine, ""), "its quotation marks do not match").
				WithHint("these files need none"))
			continue
		}
		if err != nil {
			return fault.Wrap(err, "read "+c.o.File)
		}
		row, _ := r.FieldPos(0)
		if first && isByYearHead(rec) {
			continue
		}
		byYearRow(c, row, rec)
	}
}

func byYearRow(c *collector, row int, rec []string) {
	if len(rec) < 4 {
		c.trouble(fault.Newf(fault.Damaged, c.thing(row, ""), "it has %d columns", len(rec)).
			WithHint("at least four: station, date, element, value"))
		return
	}
	for i := range rec {
		rec[i] = strings.TrimSpace(rec[i])
	}
	k, ok := element(rec[2])
	id := strings.Clone(rec[0])
	if !ok || !c.wants(id) {
		return
	}
	if id == "" || !goodID(id) {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, "column 1"), "%q cannot be the id of a station", brief([]byte(id))).
			WithHint("the station's id of 11 characters"))
		return
	}
	d, e := parseDate(rec[1])
	if e != nil {
		e.Thing, e.Hint = c.thing(row, "column 2"), "eight digits, the year first: 20261003"
		c.trouble(e)
		return
	}
	if rec[3] == ghcnMissing {
		return
	}
	quality := ""
	if len(rec) > 5 {
		quality = rec[5]
	}
	putTenths(c, row, rec[2], id, d, k, rec[3], quality)
}
