package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// carries are the limits of carrying by distance: kg a minute, an hour, and
// eight hours. Source: ISO 11228-1:2003, table 1, from memory.
var carries = [...]struct{ metres, minute, hour, shift float64 }{
	{1, 120, 7200, 10000},
	{2, 75, 4500, 10000},
	{4, 60, 3000, 10000},
	{10, 30, 1500, 10000},
	{20, 15, 750, 6000},
}

// CarryLimit is how much may be carried over a distance, all together.
type CarryLimit struct {
	Minute, Hour, Shift units.Mass
	OneLoad             units.Mass // reference mass of one load (figure rig.carry_ref_kg)
}

// CarryLimits gives the limits for a way of up to 20 m on level ground, loads
// of 3 kg or more; a way between two rows counts as the longer one.
func CarryLimits(way units.Length, fig figure.Set) (CarryLimit, error) {
	const op = "rig.CarryLimits"
	if err := firstErr(positive(op, "the way", float64(way)), covered(op, "a way of carrying", "m", float64(way), 0, 20)); err != nil {
		return CarryLimit{}, err
	}
	for _, c := range carries {
		if float64(way) <= c.metres {
			return CarryLimit{units.Mass(c.minute), units.Mass(c.hour), units.Mass(c.shift), units.Mass(or(fig).V(KeyCarryRef))}, nil
		}
	}
	return CarryLimit{}, trouble(fault.NotKnownHere, op, "a way of %.0f m is not in the table", float64(way)).WithHint("known up to 20 m")
}

// Carry is a job of carrying.
type Carry struct {
	Total units.Mass // all that is carried
	Each  units.Mass // what one person carries at a time, both hands together
	Way   units.Length
	Time  units.Duration
}

// Judge tells whether the job keeps the limits: in kg a minute, an hour and a
// day of up to eight hours, and in what is carried at once.
func (c Carry) Judge(fig figure.Set) (CarryLimit, []Caution, error) {
	const op = "rig.Carry.Judge"
	if err := firstErr(amount(op, "the weight carried", float64(c.Total)), amount(op, "one load", float64(c.Each)), positive(op, "the time", float64(c.Time)),
		covered(op, "a time of carrying", "h", float64(c.Time/units.Hour), 0, 8)); err != nil {
		return CarryLimit{}, nil, err
	}
	l, err := CarryLimits(c.Way, fig)
	if err != nil {
		return l, nil, err
	}
	var out []Caution
	if c.Each > l.OneLoad {
		out = append(out, caution("carry-heavy", "{0} at once is more than {1}: one pail, not two", c.Each, l.OneLoad))
	}
	// The hour's limit holds for any hour, and the minute's for any minute:
	// even work is the best case, so what fails there fails always.
	over := c.Total/units.Mass(math.Max(1, c.Time.Min())) > l.Minute || c.Total/units.Mass(math.Max(1, float64(c.Time/units.Hour))) > l.Hour || c.Total > l.Shift
	if over {
		out = append(out, caution("carry-too-much", "{0} over {1} in that time is more than may be carried: pump, or take longer", c.Total, c.Way))
	}
	return l, out, nil
}

// Keys of the figures of lifting and carrying.
const (
	KeyTwoPeople = "rig.two_people_kg"
	KeyCarryRef  = "rig.carry_ref_kg"
	KeyPailTare  = "rig.pail_tare_kg"
)

func liftFigures() []figure.Figure {
	return []figure.Figure{
		practice(KeyTwoPeople, "weight from which to lift by two", 25, 15, 25, 0, "kg", ""),
		{Key: KeyCarryRef, Name: "heaviest single load to carry", Value: 25, Low: 15, High: 25, Unit: "kg", Grade: figure.Memory,
			Source: "ISO 11228-1:2003, from memory: 25 kg for men, 15 to 20 kg for women"},
		practice(KeyPailTare, "empty 20 L pail with lid", 1.0, 0.7, 1.5, 0.2, "kg", ""),
	}
}
