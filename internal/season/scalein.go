package season

import (
	"strconv"
	"time"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// ScaleIn is the log of an automatic scale under one colony.
type ScaleIn struct {
	Colony string
	Log    weather.ScaleLog
	Zone   *time.Location // of the yard: the log has local times
	At     units.Moment   // now; what the log has after it is passed over. Zero = no such bound
	By     string         // who takes it in; it is part of the facts
}

// ScaleTaken is what becomes of such a log. Nothing of it is kept yet.
type ScaleTaken struct {
	Colony      string
	Facts       []Fact // to append; none of them is in the book
	Rows        int    // weights in the log
	Nights      int    // days that make a reading
	New         int    // of them not in the book
	Changed     int    // in the book with another weight: corrected
	Same        int
	First, Last units.Day // of Nights
	Notes       []feeding.Reason
}

// ScaleReadings makes one reading a day of a scale's log, by the rule of
// [stores.NightValues]: seen at six in the morning, the weight in the unit of the
// log, to a hundredth. The figures of that rule are the published ones, not the
// keeper's own: the same log makes the same readings for ever.
func ScaleReadings(in ScaleIn) ([]Fact, []feeding.Reason, error) {
	zone := in.Zone
	if zone == nil {
		zone = time.UTC
	}
	var points []stores.Point
	later := 0
	for _, r := range in.Log.Rows {
		t := r.Day.Time().Add(time.Duration(r.Minute) * time.Minute)
		if local := time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), 0, 0, zone); !in.At.IsZero() && !in.At.Covers(units.At(local)) {
			later++
			continue
		}
		points = append(points, stores.Point{At: units.At(t), Mass: r.Mass}) // the clock on the wall, as if there were no zones
	}
	n := stores.NightValues(points, DefaultFigures())
	var out []Fact
	for _, d := range n.Days {
		per, unit := 1.0, "kg"
		if in.Log.Unit == "lb" {
			per, unit = units.Pound.Kg(), "lb"
		}
		gross, err := units.EnterMassIn(strconv.FormatFloat(d.Mass.Kg()/per, 'f', 2, 64), unit, units.Locale{Decimal: '.'})
		if err != nil {
			return nil, nil, err
		}
		day := d.Day.Time()
		out = append(out, Fact{
			Seen: units.At(time.Date(day.Year(), day.Month(), day.Day(), 6, 0, 0, 0, zone)), By: in.By,
			Body: stores.Reading{Colony: in.Colony, Way: stores.Scale, Gross: gross},
		})
	}
	var notes []feeding.Reason
	say := func(code, s string, amounts ...any) {
		notes = append(notes, feeding.Reason{Code: code, Say: s, Amounts: amounts})
	}
	if len(out) > 0 {
		say("scale-night", "one reading a day: the middle of the weights between midnight and six, when the bees are home, after the last jump of that night")
	}
	if len(n.Edge) > 0 {
		say("scale-edge", "first and last days of the log left out, {0} of them: a night counts when the log begins the day before and goes on to noon", len(n.Edge))
	}
	if len(n.Few) > 0 {
		say("scale-few", "days left out for want of three weights between midnight and six: {0}, the first {1}", len(n.Few), n.Few[0])
	}
	if in.Log.Blank > 0 {
		say("scale-blank", "rows without a weight: {0}", in.Log.Blank)
	}
	if later > 0 {
		say("scale-later", "rows of a time that is still to come, passed over: {0}. Is the scale's clock right?", later)
	}
	return out, notes, nil
}

// TakeScale makes readings of a scale's log for a colony of the book. What the book
// has is passed over, so that taking a log twice is harmless; a day that had another
// weight from the scale is corrected. A reading that was struck comes back.
func (j *Journal) TakeScale(in ScaleIn) (ScaleTaken, error) {
	out := ScaleTaken{Colony: in.Colony, Rows: len(in.Log.Rows)}
	c, ok := j.Now().Colony(in.Colony)
	if !ok {
		return out, fault.Newf(fault.NotFound, in.Colony, "no colony is called %q", in.Colony).WithHint("Yards and hives lists those there are")
	}
	facts, notes, err := ScaleReadings(in)
	if err != nil {
		return out, err
	}
	out.Notes, out.Nights = notes, len(facts)
	if len(facts) == 0 {
		return out, fault.New(fault.Missing, "", "no night of this log makes a reading").
			WithHint("it must begin the day before a night and go on to noon, with three weights between midnight and six")
	}
	out.First, out.Last = facts[0].Seen.Day(), facts[len(facts)-1].Seen.Day()
	have := map[units.Day]*Fact{}
	for _, f := range c.Events {
		if r, ok := f.Body.(stores.Reading); ok && r.Way == stores.Scale && r.Colony == in.Colony {
			have[f.Seen.Day()] = f
		}
	}
	for _, f := range facts {
		if old := have[f.Seen.Day()]; old != nil {
			if old.Body.(stores.Reading).Gross == f.Body.(stores.Reading).Gross {
				out.Same++
				continue
			}
			f.Seen, f.Made, f.Replaces = old.Seen, in.At, old.ID
			out.Changed++
		} else {
			out.New++
		}
		for n := 0; ; n++ { // one that was struck keeps its id
			if f.ID, err = f.DeriveRow(n); err != nil {
				return out, err
			}
			if _, there := j.Fact(f.ID); !there {
				break
			}
		}
		if err := f.Check(); err != nil {
			return out, err
		}
		out.Facts = append(out.Facts, f)
	}
	return out, nil
}
