package season

import (
	"errors"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/units"
)

// Slip is what is wrong with one box of a form.
type Slip struct {
	Box string // its name, as a phrase of the form is called
	Err error
}

// boxes reads the boxes of a form and notes what is wrong with each of them, so
// that all of it can be told at once.
type boxes struct {
	s     units.Style
	slips []Slip
}

func (b *boxes) bad(box string, err error) {
	if err != nil {
		b.slips = append(b.slips, Slip{box, err})
	}
}

func (b *boxes) isBad(box string) bool {
	for _, s := range b.slips {
		if s.Box == box {
			return true
		}
	}
	return false
}

// shown is an amount as a box shows it, and what it was: left as it is shown it
// stays what it was, since what is shown may be rounded.
type shown[Q units.Quantity] struct {
	was  Q
	text string
}

// amountBox reads an amount, a bare number in unit ("" = the unit has to be said);
// blank is 0. most is what [Fact.Check] takes at the most, told here in the
// keeper's units.
func amountBox[Q units.Quantity](b *boxes, box, text, unit string, had shown[Q], most Q) Q {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0
	}
	if text == had.text {
		return had.was
	}
	var q Q
	var err error
	if unit == "" {
		q, err = units.Parse[Q](text, b.s.Locale())
	} else {
		q, err = units.ParseIn[Q](text, unit, b.s.Locale())
	}
	if err == nil && most > 0 && q > most {
		err = tooMuch(b.s.Amount(q), b.s.Amount(most))
	}
	b.bad(box, err)
	return q
}

func tooMuch(is, most string) error {
	return fault.Newf(fault.OutOfRange, "", "%s is more than can be", is).WithHint("at most %s; is the unit right?", most)
}

// wholeBox reads a whole number; blank is 0.
func wholeBox(b *boxes, box, text string) int {
	if text = strings.TrimSpace(text); text == "" {
		return 0
	}
	x, err := plainNumber(text, b.s.Locale())
	if err == nil && (x != float64(int32(x)) || x < 0) {
		err = fault.Newf(fault.NotUnderstood, "", "%q is not a whole number", text).WithHint("write 1, 2, 3 …")
	}
	b.bad(box, err)
	return int(x)
}

// clockBox reads a time of day; blank is 0.
func clockBox(b *boxes, box, text string) units.Duration {
	if strings.TrimSpace(text) == "" {
		return 0
	}
	d, err := ReadClock(text)
	b.bad(box, err)
	return d
}

// mostDays is how many days can be told at once.
const mostDays = 31

// daysBox reads a day, or those from one to another.
func daysBox(b *boxes, box, text, toBox, toText string, today units.Day) []units.Day {
	from, err := ReadComingDay(text, today)
	if strings.TrimSpace(text) == "" {
		err = fault.New(fault.Missing, "", "it is not said which day").WithHint(hintDay)
	}
	b.bad(box, err)
	to := from
	if strings.TrimSpace(toText) != "" {
		var bad error
		to, bad = ReadComingDay(toText, today)
		if bad == nil && err == nil && to < from {
			bad = fault.New(fault.Conflict, "", "the last day is before the first")
		}
		if bad == nil && err == nil && to-from >= mostDays {
			bad = fault.Newf(fault.OutOfRange, "", "%d days are too many at once", int(to-from)+1).WithHint("at most %d", mostDays)
		}
		b.bad(toBox, bad)
		err = errors.Join(err, bad)
	}
	if err != nil {
		return nil
	}
	var out []units.Day
	for d := from; d <= to; d++ {
		out = append(out, d)
	}
	return out
}

// check looks at a body as every way in does, and puts what is wrong with it at
// its box: names gives the box of the thing a fault is about.
func (b *boxes) check(body any, names map[string]string) {
	b.told(kindOfBody(body).check(body), names)
}

// told puts a fault of a body at its box.
func (b *boxes) told(err error, names map[string]string) {
	if err == nil {
		return
	}
	var e *fault.Error
	if !errors.As(err, &e) {
		b.bad("", err)
		return
	}
	box, known := names[e.Thing]
	if known && b.isBad(box) {
		return // told already, by what was typed
	}
	c := *e
	if known {
		c.Thing = "" // the label of the box says it
	}
	b.bad(box, &c)
}

// TruckText is a [Truck] as it is typed.
type TruckText struct {
	Name, Tank, Payload, Pump, PerHive, Filling, PerDay, Loads string
	Gone                                                       bool
}

// orNone writes an amount of which 0 is one not told.
func orNone[Q units.Quantity](q Q, write func(Q) string) string {
	if q == 0 {
		return ""
	}
	return write(q)
}

// wholeText writes a number of which 0 is one not told.
func wholeText(n int) string {
	if n == 0 {
		return ""
	}
	return FigureText(float64(n), units.Style{})
}

// Text writes a truck as a form shows it.
func (t Truck) Text(s units.Style) TruckText {
	return TruckText{Name: t.Name, Tank: orNone(t.Tank, s.Volume), Payload: orNone(t.Payload, s.Mass), Pump: orNone(t.Pump, s.Flow), PerHive: orNone(t.PerHive, s.Duration),
		Filling: orNone(t.Filling, s.Duration), PerDay: orNone(t.PerDay, s.Duration), Loads: wholeText(t.Loads), Gone: t.Gone}
}

// ReadTruck reads a truck as it is typed: bare numbers are in the keeper's units,
// working time in hours, other times in minutes. was is the truck as the form
// showed it. Boxes: name, tank, payload, pump, per_hive, filling, per_day, loads.
func ReadTruck(t TruckText, was Truck, s units.Style) (Truck, []Slip) {
	b := &boxes{s: s}
	had := was.Text(s)
	out := Truck{Name: strings.TrimSpace(t.Name), Gone: t.Gone,
		Tank:    amountBox(b, "tank", t.Tank, s.VolumeBigCol().Unit, shown[units.Volume]{was.Tank, had.Tank}, mostTruck.Tank),
		Payload: amountBox(b, "payload", t.Payload, s.MassCol().Unit, shown[units.Mass]{was.Payload, had.Payload}, mostTruck.Payload),
		Pump:    amountBox(b, "pump", t.Pump, s.VolumeBigCol().Unit+"/min", shown[units.Flow]{was.Pump, had.Pump}, 0),
		PerHive: amountBox(b, "per_hive", t.PerHive, "min", shown[units.Duration]{was.PerHive, had.PerHive}, mostTruck.PerHive),
		Filling: amountBox(b, "filling", t.Filling, "min", shown[units.Duration]{was.Filling, had.Filling}, mostTruck.Filling),
		PerDay:  amountBox(b, "per_day", t.PerDay, "h", shown[units.Duration]{was.PerDay, had.PerDay}, mostTruck.PerDay),
		Loads:   wholeBox(b, "loads", t.Loads)}
	names := map[string]string{"truck": "name", "tank": "tank", "payload": "payload", "pump": "pump", "per hive": "per_hive", "filling": "filling", "per day": "per_day", "loads": "loads"}
	b.told(needTank(out), names) // beside a name that is missing too
	b.check(out, names)
	return out, b.slips
}

// WorkingDayText is a [WorkingDay] as it is typed, or several days alike.
type WorkingDayText struct {
	Day, Until, PerDay, People, Note string
	Off                              bool
}

// Text writes a working day as a form shows it.
func (d WorkingDay) Text(s units.Style) WorkingDayText {
	return WorkingDayText{Day: d.Day.String(), PerDay: orNone(d.PerDay, s.Duration), People: wholeText(d.People), Off: d.Off, Note: d.Note}
}

// ReadWorkingDays reads a day of work unlike the others as it is typed, or several
// alike; without a year it is the coming one. Boxes: day, until, per_day (bare: hours), people, off.
func ReadWorkingDays(t WorkingDayText, s units.Style, today units.Day) ([]WorkingDay, []Slip) {
	b := &boxes{s: s}
	d := WorkingDay{Off: t.Off, Note: strings.TrimSpace(t.Note),
		PerDay: amountBox(b, "per_day", t.PerDay, "h", shown[units.Duration]{}, mostTruck.PerDay),
		People: wholeBox(b, "people", t.People)}
	if d.PerDay == 0 && d.People == 0 && !d.Off && len(b.slips) == 0 {
		b.bad("per_day", fault.New(fault.Missing, "", "it is not said what is unlike on that day").WithHint("the working time, the people, or that nobody works; to take a day back use the list"))
	}
	var out []WorkingDay
	for _, d.Day = range daysBox(b, "day", t.Day, "until", t.Until, today) {
		out = append(out, d)
	}
	if len(out) > 0 {
		b.check(out[0], map[string]string{"day": "day", "per day": "per_day", "people": "people"})
	}
	return out, b.slips
}

// FeedableText is a [Feedable] as it is typed, or several days alike.
type FeedableText struct{ Day, Until, Round, Part, Note string }

// Text writes a typed day as a form shows it.
func (f Feedable) Text(s units.Style) FeedableText {
	t := FeedableText{Day: f.Day.String(), Round: f.Round.String(), Note: f.Note}
	if f.FactorKnown {
		t.Part = FigureText(f.Factor*100, s) + " %"
	}
	return t
}

// ReadFeedable reads a day of a yard as it is typed, or several alike; without a
// year it is the coming one. Boxes: day, until, round (yes, no or nothing), part (0.5 or
// 50 %).
func ReadFeedable(yard string, t FeedableText, s units.Style, today units.Day) ([]Feedable, []Slip) {
	b := &boxes{s: s}
	f := Feedable{Yard: yard, Note: strings.TrimSpace(t.Note)}
	switch t.Round {
	case "yes":
		f.Round = apiary.Yes
	case "no":
		f.Round = apiary.No
	}
	if part := strings.TrimSpace(t.Part); part != "" {
		var err error
		f.Factor, err = readPart(part, s.Locale())
		f.FactorKnown = err == nil
		b.bad("part", err)
	}
	if f.Round == apiary.Unknown && !f.FactorKnown && len(b.slips) == 0 {
		b.bad("round", fault.New(fault.Missing, "", "neither a round nor what is taken is told").WithHint("one of the two; to take a day back use the list"))
	}
	var out []Feedable
	for _, f.Day = range daysBox(b, "day", t.Day, "until", t.Until, today) {
		out = append(out, f)
	}
	first := f
	if len(out) > 0 {
		first = out[0]
	} else {
		first.Day = today // the rest is looked at all the same
	}
	b.check(first, map[string]string{"factor": "part", "day": "day"})
	return out, b.slips
}

// readPart reads a part of a whole: "0.5", "1/2", "50 %".
func readPart(text string, l units.Locale) (float64, error) {
	if of100, ok := strings.CutSuffix(text, "%"); ok {
		x, err := plainNumber(strings.TrimSpace(of100), l)
		return x / 100, err
	}
	x, err := plainNumber(text, l)
	if err == nil && x > 1 {
		err = fault.Newf(fault.OutOfRange, "", "%v is more than the whole", x).WithHint("0.5 is half of what they take on a warm day")
	}
	return x, err
}

// ReadNeed reads the syrup a colony is still to be given, as it is typed. Boxes:
// need, need_note.
func ReadNeed(colony, volume, note string, s units.Style) (Need, []Slip) {
	b := &boxes{s: s}
	n := Need{Colony: colony, Note: strings.TrimSpace(note)}
	if strings.TrimSpace(volume) == "" {
		b.bad("need", fault.New(fault.Missing, "", "it is not said how much").WithHint("0 is nothing more"))
		return n, b.slips
	}
	var err error
	n.Volume, err = units.EnterIn[units.Volume](volume, s.VolumeCol().Unit, s.Locale())
	if err == nil && n.Volume.Q > mostNeed {
		err = tooMuch(s.Amount(n.Volume.Q), s.Amount(mostNeed))
	}
	b.bad("need", err)
	b.check(n, map[string]string{"volume": "need"})
	return n, b.slips
}

// GateText is what is told of a yard's gate, as it is typed.
type GateText struct{ Access, Opens, Shuts, Shut string }

// GateOf writes what is told of a yard's gate as a form shows it.
func GateOf(y apiary.Yard, s units.Style) GateText {
	t := GateText{Access: y.Access, Opens: orNone(y.Opens, ClockText), Shuts: orNone(y.Shuts, ClockText), Shut: y.Shut}
	if days, err := ReadShutDays(y.Shut); err == nil {
		t.Shut = days.In(s.Lang)
	}
	return t
}

// ReadGate puts what is typed of the gate into a yard. Boxes: access, opens, shuts,
// shut.
func ReadGate(t GateText, y apiary.Yard, s units.Style) (apiary.Yard, []Slip) {
	b := &boxes{s: s}
	y.Access = strings.TrimSpace(t.Access)
	y.Opens, y.Shuts = clockBox(b, "opens", t.Opens), clockBox(b, "shuts", t.Shuts)
	days, err := ReadShutDays(t.Shut)
	b.bad("shut", err)
	y.Shut = days.String()
	b.check(y, map[string]string{"opens": "opens", "shuts": "shuts", "shut": "shut"})
	return y, b.slips
}

// HeightText writes a height above the sea: feet in the US, else metres. 0 is one
// not told.
func HeightText(h units.Length, s units.Style) string {
	switch {
	case h == 0:
		return ""
	case s.System == units.US:
		return s.Num(float64(h/units.Foot), 0) + " ft"
	}
	return s.Num(float64(h), 0) + " m"
}

// ReadHeight puts how high a yard lies above the sea into it, as it is typed; a
// bare number is feet in the US and metres where they are usual, elsewhere the
// unit has to be said. Box: elev.
func ReadHeight(text string, y apiary.Yard, s units.Style) (apiary.Yard, []Slip) {
	b := &boxes{s: s}
	unit := map[units.System]string{units.US: "ft", units.Metric: "m"}[s.System]
	y.Elev = amountBox(b, "elev", text, unit, shown[units.Length]{y.Elev, HeightText(y.Elev, s)}, 0)
	if y.Elev > mostHeight || y.Elev < leastHeight {
		b.bad("elev", fault.Newf(fault.OutOfRange, "", "%s is not a height at which bees are kept", HeightText(y.Elev, s)).WithHint("from %s to %s; is the unit right?", HeightText(leastHeight, s), HeightText(mostHeight, s)))
	}
	b.check(y, map[string]string{"height above the sea (m)": "elev"})
	return y, b.slips
}
