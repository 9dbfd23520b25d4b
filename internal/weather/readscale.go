package weather

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// ScaleRow is one row of a scale's log: what stood on the scale at a local time.
type ScaleRow struct {
	Day    units.Day
	Minute int // after midnight
	Mass   units.Mass
}

// ScaleOptions is what the keeper says about a scale's log beside the log itself.
type ScaleOptions struct {
	File string // its name, for what is said about it
	Unit string // "kg" or "lb", used only where the heading does not say it
}

// ScaleLog is what was read from a scale's log.
type ScaleLog struct {
	Rows   []ScaleRow // as they stand in the file
	Column string     // the heading of the weights
	Unit   string     // "kg", "lb" or "g"
	Told   bool       // the unit is the keeper's word, not the heading's
	Blank  int        // rows without a weight
}

// What a hive on a scale may weigh, kg: beyond it is a slipped column. Common
// practice, no source.
const heaviest = 500.0

var (
	logMass   = []string{"weight", "hive_weight", "gross", "gross_weight", "total_weight", "full_weight", "scale", "scale_weight", "mass"}
	massUnits = map[string]string{"kg": "kg", "kgs": "kg", "kilo": "kg", "lb": "lb", "lbs": "lb", "pounds": "lb", "g": "g", "grams": "g"}
	perUnit   = map[string]units.Mass{"kg": 1, "lb": units.Pound, "g": 0.001}
)

// ReadScale reads the weights of a scale's log: a local time and a weight in each
// row, as [Read] takes the air outside from the same file. Nothing is guessed: a
// heading without a unit is fault.Missing. Rows without a weight are counted;
// every row that cannot be used is told, as a fault.List.
func ReadScale(b []byte, o ScaleOptions) (ScaleLog, error) {
	out := ScaleLog{}
	if o.File == "" {
		o.File = "scale log"
	}
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	switch {
	case len(b) > MaxBytes:
		return out, fault.Newf(fault.OutOfRange, o.File, "%d MB is too large for a scale's log", len(b)>>20).WithHint("up to %d MB: split it by years", MaxBytes>>20)
	case len(bytes.TrimSpace(b)) == 0:
		return out, fault.New(fault.Missing, o.File, "the file is empty").WithHint("it should hold a line of headings and a line for each weight")
	case bytes.HasPrefix(b, []byte("PK")) || bytes.HasPrefix(b, []byte("\x1f\x8b")):
		return out, fault.New(fault.NotUnderstood, o.File, "this is a packed file or a workbook").WithHint("unpack it, or save the sheet as CSV")
	case bytes.HasPrefix(b, []byte("\xff\xfe")) || bytes.HasPrefix(b, []byte("\xfe\xff")):
		return out, fault.New(fault.NotUnderstood, o.File, "this text is in UTF-16").WithHint("save it as CSV in UTF-8")
	}
	c := newCollector(Options{File: o.File})
	t, err := openTable(c, b, separator(b))
	if err != nil {
		return out, err
	}
	at, day, mass, err := t.scaleColumns(c, o, &out)
	if err != nil {
		return out, err
	}
	for !c.hopeless() {
		rec, err := t.r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return out, fault.New(fault.NotUnderstood, o.File, "its quotation marks do not match")
		}
		row, _ := t.r.FieldPos(0)
		t.scaleRow(c, &out, row, cellsOf(rec), at, day, mass)
	}
	if c.hopeless() {
		c.errs = append(c.errs, fault.Newf(fault.NotUnderstood, o.File, "%d rows could not be read, and what follows was not looked at", maxTrouble).WithHint("is it a file of another kind?"))
	} else if c.untold > 0 {
		c.errs = append(c.errs, fault.Newf(fault.NotUnderstood, o.File, "%d more rows could not be read", c.untold))
	}
	if err := c.errs.OrNil(); err != nil {
		return out, err
	}
	if len(out.Rows) == 0 {
		return out, fault.New(fault.Missing, o.File, "there is no weight in it").WithHint("a line for each weight: 2026-10-03 02:00,52.4")
	}
	return out, nil
}

// scaleColumns finds the columns of the time, of a day beside it where that stands
// by itself (−1 = it does not), and of the weight.
func (t *table) scaleColumns(c *collector, o ScaleOptions, out *ScaleLog) (at, day, mass int, err error) {
	at, day, mass = t.head.find(logTimes...), t.head.find("date", "day"), -1
	for i, h := range t.head {
		name, unit := h, ""
		if j := strings.LastIndexByte(h, '_'); j >= 0 {
			if u, ok := massUnits[h[j+1:]]; ok {
				name, unit = h[:j], u
			}
		}
		if !slices.Contains(logMass, name) {
			continue
		}
		if mass >= 0 {
			return 0, 0, 0, fault.Newf(fault.Conflict, c.o.File, "two columns are weights: %s and %s", t.raw[mass], t.raw[i]).
				WithHint("keep the one of this hive: a file for each")
		}
		mass, out.Column, out.Unit = i, t.raw[i], unit
	}
	switch {
	case at < 0:
		return 0, 0, 0, fault.Newf(fault.Missing, c.o.File, "no column is the time of the reading among %s", someHeads(t.raw)).
			WithHint("call it timestamp: 2026-10-03 14:00, local")
	case mass < 0:
		return 0, 0, 0, fault.Newf(fault.Missing, c.o.File, "no column is the weight among %s", someHeads(t.raw)).
			WithHint("call it weight_kg or weight_lb")
	}
	if out.Unit == "" {
		if _, ok := perUnit[o.Unit]; !ok {
			return 0, 0, 0, fault.New(fault.Missing, c.o.File+", "+t.raw[mass], "the heading does not say in what unit the weight is").
				WithHint("call the column weight_kg or weight_lb, or say the unit when reading it in")
		}
		out.Unit, out.Told = o.Unit, true
	}
	return at, day, mass, nil
}

// scaleRow takes one row.
func (t *table) scaleRow(c *collector, out *ScaleLog, row int, cell func(int) string, at, day, mass int) {
	w := strings.TrimSpace(cell(mass))
	when := strings.TrimSpace(cell(at))
	if day >= 0 && when != "" {
		when = strings.TrimSpace(cell(day)) + " " + when
	}
	if w == "" || w == "-" || strings.EqualFold(w, "NA") {
		if when != "" {
			out.Blank++
		}
		return
	}
	d, minute, e := parseTime(when)
	if e != nil {
		e.Thing = c.thing(row, t.raw[at])
		c.trouble(e)
		return
	}
	x, ok := parseNumber(w)
	if !ok {
		c.trouble(fault.Newf(fault.NotUnderstood, c.thing(row, t.raw[mass]), "%q is not a number", w).
			WithHint("a number such as 52.4; leave it blank when it was not weighed"))
		return
	}
	m := units.Mass(x) * perUnit[out.Unit]
	if !(m.Kg() > 0 && m.Kg() <= heaviest) {
		c.trouble(fault.Newf(fault.OutOfRange, c.thing(row, t.raw[mass]), "%s %s cannot be the weight of a hive", w, out.Unit).
			WithHint("up to 500 kg; is the unit right? leave it blank when it was not weighed"))
		return
	}
	if c.usable(d) {
		out.Rows = append(out.Rows, ScaleRow{Day: d, Minute: minute, Mass: m})
	}
}
