package season

import (
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// ReadSetting reads the value of a setting as a person types it and gives it as
// it is kept: amounts with the unit they were typed in, a bare number in the
// keeper's own unit ("40" is "40 US gal"), days in full. What is kept stays as
// it was typed when units are switched. Errors are those of the amount, or of
// [Fact.Check] for a value that cannot be.
func ReadSetting(key, text string, s units.Style, today units.Day) (string, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return "", nil
	}
	v, err := readSetting(key, text, s, today)
	if err != nil {
		return "", err
	}
	return v, checkSetting(Setting{Key: key, Value: v})
}

func readSetting(key, text string, s units.Style, today units.Day) (string, error) {
	l := s.Locale()
	if k, ok := settingKey(key); ok && k.enter != nil {
		return k.enter(text, s, true)
	}
	switch key {
	case "rig.tank", "kitchen.mixer", "kitchen.on_hand", "kitchen.store":
		return entered[units.Volume](text, s.VolumeBigCol().Unit, l)
	case "rig.payload":
		return entered[units.Mass](text, s.MassCol().Unit, l)
	case "rig.pump":
		return entered[units.Flow](text, s.VolumeBigCol().Unit+"/min", l)
	case "rig.per_hive", "rig.filling", "kitchen.mixing":
		return entered[units.Duration](text, "min", l)
	case "crew.per_day":
		return entered[units.Duration](text, "h", l)
	case "crew.begins":
		d, err := ReadClock(text)
		return ClockText(d), err
	case "home.lat", "home.lon":
		x, err := plainNumber(text, l)
		return strconv.FormatFloat(x, 'f', -1, 64), err
	case "plan.start":
		d, err := ReadComingDay(text, today)
		return d.String(), err
	}
	if name, own := strings.CutPrefix(key, "figure."); own {
		x, err := plainNumber(text, l)
		if f, known := DefaultFigures().Default(name); err != nil && known && f.Unit != "" {
			err = fault.Newf(fault.NotUnderstood, "", "%q is not a number", text).WithHint("a plain number, in %s", f.Unit) // what is asked is the unit the page shows
		}
		return strconv.FormatFloat(x, 'g', -1, 64), err
	}
	return text, nil
}

func entered[Q units.Quantity](text, unit string, l units.Locale) (string, error) {
	e, err := units.EnterIn[Q](text, unit, l)
	return e.String(), err
}

// ReadComingDay reads a day as [ReadDay] does, but without a year it is the next
// such day, or the last if that was less than four months ago: "1 Oct" typed in
// September is the coming one, typed in November the one just past.
func ReadComingDay(text string, today units.Day) (units.Day, error) {
	d, err := ReadDay(text, OrderNotTold, today)
	if err != nil || today-d <= 120 || saysYear(text) {
		return d, err
	}
	t := d.Time()
	return units.DayOf(t.Year()+1, t.Month(), t.Day()), nil
}

// saysYear tells whether four digits stand together in a text.
func saysYear(text string) bool {
	n := 0
	for _, r := range text {
		if r < '0' || r > '9' {
			n = 0
			continue
		}
		if n++; n == 4 {
			return true
		}
	}
	return false
}

// FigureText writes the value of a figure with the digits it has.
func FigureText(x float64, s units.Style) string {
	t := strconv.FormatFloat(x, 'g', 6, 64)
	if !strings.ContainsAny(t, "e") {
		_, frac, _ := strings.Cut(t, ".")
		return s.Num(x, len(frac))
	}
	return t
}

// ReadCount reads a number of frames: "8", "3½", "3,5". It is between 0 and 60.
func ReadCount(text string, l units.Locale) (float64, error) {
	x, err := plainNumber(strings.TrimSpace(text), l)
	if err != nil {
		return 0, err
	}
	return x, between("", x, 0, 60)
}
