package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Season is the feeding to be done, by whatever means.
type Season struct {
	Hives   int
	Rounds  int
	PerHive units.Volume // each round
	Density units.Density
}

func (s Season) check(op string) error {
	return firstErr(positive(op, "the number of hives", float64(s.Hives)), positive(op, "the number of rounds", float64(s.Rounds)),
		positive(op, "a fill", float64(s.PerHive)), positive(op, "the density", float64(s.Density)))
}

func (s Season) visits() float64  { return float64(s.Hives) * float64(s.Rounds) }
func (s Season) mass() units.Mass { return units.Mass(float64(s.PerHive) * float64(s.Density) / 1000) }

// PumpWork is feeding from tank and hose.
type PumpWork struct {
	Hive  units.Duration // lid, smoke, note, next hive; without the pumping
	Flow  units.Flow
	Hose  units.Duration // to lay out and reel in, each stop
	Stop  int            // hives reached from one stop
	Gun   Lift           // the one thing lifted
	Lag   units.Duration // of the valve, each fill
	Setup units.Duration // each round, shared out over all hives
}

// PerHive gives the time per hive: Hive + v/Q + Lag + Hose/Stop.
func (w PumpWork) PerHive(v units.Volume) (units.Duration, error) {
	const op = "rig.PumpWork"
	if err := firstErr(amount(op, "the time per hive", float64(w.Hive)), positive(op, "the flow", float64(w.Flow)), amount(op, "the time for the hose", float64(w.Hose)),
		positive(op, "the hives at one stop", float64(w.Stop)), amount(op, "a fill", float64(v)), amount(op, "the lag", float64(w.Lag))); err != nil {
		return 0, err
	}
	return w.Hive + units.Duration(float64(v)/float64(w.Flow)) + w.Lag + w.Hose/units.Duration(w.Stop), nil
}

// PailWork is feeding by hand.
type PailWork struct {
	Hive   units.Duration // lid, smoke, note, next hive; without carrying and pouring
	Pour   units.Flow
	Pail   units.Volume
	Tare   units.Mass   // of the empty pail; 0 = figure rig.pail_tare_kg
	Way    units.Length // from the truck to a hive
	Walk   float64      // m/s
	Refill units.Duration
	Lift   Lift // one full pail off the truck
}

// PerHive gives the time per hive: Hive + v/pour + (2·Way/Walk + Refill)·v/Pail.
func (w PailWork) PerHive(v units.Volume) (units.Duration, error) {
	const op = "rig.PailWork"
	if err := firstErr(amount(op, "the time per hive", float64(w.Hive)), positive(op, "the flow out of the pail", float64(w.Pour)), positive(op, "the pail", float64(w.Pail)),
		amount(op, "the way", float64(w.Way)), positive(op, "the walking speed", w.Walk), amount(op, "the time to refill", float64(w.Refill)), amount(op, "a fill", float64(v))); err != nil {
		return 0, err
	}
	trips := float64(v / w.Pail)
	trip := 2*float64(w.Way)/w.Walk + float64(w.Refill)
	return w.Hive + units.Duration(float64(v)/float64(w.Pour)+trip*trips), nil
}

// Effort is what a season costs in time and back.
type Effort struct {
	PerHive  units.Duration
	Hours    units.Duration // all rounds
	Lifted   units.Mass     // off the truck, all in all
	Carried  float64        // kg·m: full pails out, empty ones back
	Index    float64        // of the worst lift
	IndexErr error          // why the lifting equation does not speak of it
	Cautions []Caution
}

// WithPump gives the season from tank and hose.
func (s Season) WithPump(w PumpWork, fig figure.Set) (Effort, error) {
	t, err := w.PerHive(s.PerHive)
	if err := firstErr(s.check("rig.Season"), err); err != nil {
		return Effort{}, err
	}
	out := Effort{PerHive: t, Hours: t*units.Duration(s.visits()) + w.Setup*units.Duration(s.Rounds)}
	out.Lifted = w.Gun.Load * units.Mass(s.visits())
	out.rate(w.Gun, fig)
	return out, nil
}

// WithPails gives the season by hand.
func (s Season) WithPails(w PailWork, fig figure.Set) (Effort, error) {
	t, err := w.PerHive(s.PerHive)
	if err := firstErr(s.check("rig.Season"), err); err != nil {
		return Effort{}, err
	}
	tare := w.Tare
	if tare == 0 {
		tare = units.Mass(or(fig).V(KeyPailTare))
	}
	pails := s.visits() * float64(s.PerHive/w.Pail)
	syrup := s.mass() * units.Mass(s.visits())
	out := Effort{PerHive: t, Hours: t * units.Duration(s.visits()), Lifted: syrup + tare*units.Mass(pails)}
	out.Carried = float64(w.Way) * (float64(syrup) + 2*float64(tare)*pails)
	out.rate(w.Lift, fig)
	each := units.Mass(float64(w.Pail)*float64(s.Density)/1000) + tare
	if w.Way > 0 {
		job := Carry{Total: out.Lifted / units.Mass(s.Rounds), Each: each, Way: w.Way, Time: min(8*units.Hour, out.Hours/units.Duration(s.Rounds))}
		if _, c, err := job.Judge(fig); err == nil {
			out.Cautions = append(out.Cautions, c...)
		} else {
			out.Cautions = append(out.Cautions, caution("carry-not-known", "Carrying over {0} is in no table: bring the truck nearer", w.Way))
		}
	}
	return out, nil
}

// rate puts in the index of the worst lift, or why there is none.
func (e *Effort) rate(l Lift, fig figure.Set) {
	r, err := l.Limit(fig)
	if err != nil {
		e.IndexErr = err
		return
	}
	e.Index = r.Index
	e.Cautions = append(e.Cautions, r.Cautions...)
}

// RecoveryFactor is the part of a price to count per season over n seasons at
// an interest i: i/(1 − (1+i)^−n); without interest 1/n.
func RecoveryFactor(interest float64, seasons int) (float64, error) {
	const op = "rig.RecoveryFactor"
	if err := firstErr(positive(op, "the number of seasons", float64(seasons)), covered(op, "an interest", "", interest, 0, 1)); err != nil {
		return 0, err
	}
	if interest == 0 {
		return 1 / float64(seasons), nil
	}
	return interest / -math.Expm1(-float64(seasons)*math.Log1p(interest)), nil
}

// BreakEven is from how many hive visits on a pump pays.
type BreakEven struct {
	Saving float64 // per hive visit, in the keeper's money
	Visits float64
}

// PaysFrom gives the hive visits at which extra money is earned back by wage ×
// time saved: N* = extra/(c_slow − c_fast). Money in any one currency. Where
// nothing is saved it never pays, and that is said.
func PaysFrom(extra, wagePerHour float64, slow, fast units.Duration) (BreakEven, error) {
	const op = "rig.PaysFrom"
	if err := firstErr(amount(op, "the extra cost", extra), positive(op, "the wage", wagePerHour), positive(op, "the time per hive", float64(slow)), positive(op, "the time per hive", float64(fast))); err != nil {
		return BreakEven{}, err
	}
	if fast >= slow {
		return BreakEven{}, trouble(fault.NotKnownHere, op, "it saves no time, so it never pays in hours").WithHint("count the back and the days before the cold instead")
	}
	b := BreakEven{Saving: wagePerHour * float64((slow-fast)/units.Hour)}
	b.Visits = extra / b.Saving
	return b, nil
}

// SugarCost gives what the sugar of one fill costs: v·ρ·x·price per kg.
func SugarCost(v units.Volume, rho units.Density, x units.Strength, pricePerKg float64) (float64, error) {
	const op = "rig.SugarCost"
	if err := firstErr(amount(op, "a fill", float64(v)), positive(op, "the density", float64(rho)), fraction(op, "the strength", float64(x)), amount(op, "the price", pricePerKg)); err != nil {
		return 0, err
	}
	return float64(v) * float64(rho) / 1000 * float64(x) * pricePerKg, nil
}

// Day is what one day has room for.
type Day struct {
	Light  units.Duration // usable daylight
	Drive  units.Duration
	Yards  int
	Setup  units.Duration // each yard; 0 = figure rig.setup_min
	Clean  units.Duration // at home; not in the light
	Hive   units.Duration // per hive, by one
	Two    bool           // two people: figure rig.two_people
	Fill   units.Volume   // per hive
	Tank   units.Volume   // usable
	Loads  int            // tanks that can be driven out in the day
	Batch  units.Volume   // of the mixer; 0 = syrup is there already
	Cycle  units.Duration // heat, dissolve, cool, pump over
	Mixing units.Duration // hours a day the mixer may run
}

// DayLimit is how many hives a day has room for, and what binds.
type DayLimit struct {
	Hives               int
	Bottleneck          string // "light", "tank", "mixer"; "people" where a second person would lift it
	ByLight, ByTank     int
	ByMixer             int // −1 where no mixer was told
	ByLightWithTwo      int
	MixedPerDay, Loaded units.Volume
}

// Limit gives the bottleneck of a day.
func (d Day) Limit(fig figure.Set) (DayLimit, error) {
	const op = "rig.Day.Limit"
	if err := firstErr(positive(op, "the daylight", float64(d.Light)), amount(op, "the drive", float64(d.Drive)), amount(op, "the yards", float64(d.Yards)), amount(op, "the set-up", float64(d.Setup)),
		positive(op, "the time per hive", float64(d.Hive)), positive(op, "a fill", float64(d.Fill)), positive(op, "the tank", float64(d.Tank)), positive(op, "the loads", float64(d.Loads)),
		amount(op, "the batch", float64(d.Batch)), amount(op, "the hours of mixing", float64(d.Mixing))); err != nil {
		return DayLimit{}, err
	}
	fig = or(fig)
	setup := d.Setup
	if setup == 0 {
		setup = units.Duration(fig.V(KeySetup)) * units.Minute
	}
	left := math.Max(0, float64(d.Light-d.Drive-setup*units.Duration(d.Yards)))
	two := float64(d.Hive) * fig.V(KeyTwoHelp)
	out := DayLimit{ByLight: whole(left / float64(d.Hive)), ByLightWithTwo: whole(left / two), ByMixer: -1}
	if d.Two {
		out.ByLight = out.ByLightWithTwo
	}
	out.Loaded = d.Tank * units.Volume(d.Loads)
	out.ByTank = whole(float64(out.Loaded / d.Fill))
	out.Hives, out.Bottleneck = out.ByLight, "light"
	if out.ByTank < out.Hives {
		out.Hives, out.Bottleneck = out.ByTank, "tank"
	}
	if d.Batch > 0 {
		if err := positive(op, "the time of one batch", float64(d.Cycle)); err != nil {
			return DayLimit{}, err
		}
		out.MixedPerDay = Mixed(d.Mixing, d.Cycle, d.Batch)
		out.ByMixer = whole(float64(out.MixedPerDay / d.Fill))
		if out.ByMixer < out.Hives {
			out.Hives, out.Bottleneck = out.ByMixer, "mixer"
		}
	}
	if out.Bottleneck == "light" && !d.Two && out.ByLightWithTwo > out.ByLight {
		out.Bottleneck = "people"
	}
	return out, nil
}

// whole is the whole number below x; the slack takes up the last bit of a
// division that should have come out even.
func whole(x float64) int { return int(math.Floor(math.Min(x, 1e9) + 1e-9)) }

// Mixed gives what a mixer makes in a day: whole batches only.
func Mixed(hours, cycle units.Duration, batch units.Volume) units.Volume {
	if cycle <= 0 {
		return 0
	}
	return batch * units.Volume(whole(float64(hours/cycle)))
}

// Keys of the figures of labour.
const (
	KeyPumpHive  = "rig.pump_min_hive"
	KeyPailHive  = "rig.pail_min_hive"
	KeyJarHive   = "rig.jar_min_hive"
	KeyFrameHive = "rig.frame_feeder_min"
	KeyTwoHelp   = "rig.two_people"
	KeySetup     = "rig.setup_min"
	KeyCleanUp   = "rig.cleanup_min"
	KeyAutumn    = "rig.autumn_feed_l"
)

func methodFigures() []figure.Figure {
	return []figure.Figure{
		practice(KeyPumpHive, "feeding one hive with a pump, all in", 2.25, 1.5, 3, 0.4, "min", ""),
		practice(KeyPailHive, "feeding one hive with pails, all in", 5, 4, 6, 0.5, "min", ""),
		practice(KeyJarHive, "swapping a jar or an upturned pail", 3, 2, 4, 0.5, "min", ""),
		practice(KeyFrameHive, "more for a feeder inside, with the lid work", 0.5, 0.25, 1, 0.1, "min", ""),
		practice(KeyTwoHelp, "time of two people against one", 0.6, 0.5, 0.7, 0.05, "fraction", ""),
		practice(KeySetup, "set-up in each yard", 12.5, 10, 15, 1.5, "min", ""),
		practice(KeyCleanUp, "cleaning up at home", 30, 20, 45, 5, "min", ""),
		{Key: KeyAutumn, Name: "autumn feed per colony, commercial, Oregon", Value: 18, Low: 11.356, High: 24.605, Unit: "L", Grade: figure.Peer,
			Source: srcPNW, Note: "3 to 6.5 US gal of bought syrup; the value is their middle"},
	}
}
