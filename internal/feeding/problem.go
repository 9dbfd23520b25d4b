// Package feeding decides: what each colony lacks, what to mix, what to haul,
// and which colony gets how much on which day, every line with its reason.
//
// It sees plain amounts and never the ledger, the book or a clock. Season
// turns facts into a [Problem]; [Make] turns a Problem into a [Plan]. The same
// Problem gives the same Plan to the byte, and the order of its rows does not
// matter.
//
// # Rules of time and amount
//
// A day is the yard's local day. A fill comes first, then that day's uptake. A
// dose never exceeds the feeder's usable volume, nor what can still be taken
// by the yard's stop day. Tank capacity is usable capacity and also what the
// axle allows at that strength.
package feeding

import (
	"larder/internal/figure"
	"larder/internal/units"
)

// Reason says why, in a code a test can hold on to and a sentence for people.
type Reason struct {
	Code string // stable, lower case: "short", "feeder-full", "super-on", "no-reading" …
	Say  string // one sentence, units already in words is the caller's business: see Amounts
	// Amounts are the quantities the sentence talks about, so that a screen can
	// say it in the keeper's units: "{0}" in Say stands for the first.
	Amounts []any // units.Mass, units.Volume, units.Day, …
}

// Hive is one colony as the planner sees it.
type Hive struct {
	Colony string
	Yard   string
	Stand  int // walking order
	// Need is the syrup still to be taken to reach the target. What is in the
	// feeder already (InFeeder) counts towards it as the bees take it: to be
	// given is Need less InFeeder.
	Need units.Volume
	// InFeeder is syrup already in the feeder at the start, not yet taken.
	InFeeder units.Volume
	// Room is the most syrup its comb has space for, InFeeder included; it
	// counts only when RoomTold.
	Room     units.Volume
	RoomTold bool
	// Feeder is the usable volume of its feeder; 0 = no feeder on.
	Feeder units.Volume
	// Uptake is litres per day on a day with factor 1.
	Uptake units.Volume
	// Risk weighs this colony when syrup or days are short: the chance it is
	// short of its target, 0…1.
	Risk float64
	// Never asks that its feeder never runs empty from its first fill until its
	// need is served: where days allow, the next fill comes before the last drop
	// of the one before is taken.
	Never bool
	// Hold, when not empty, is why this colony may get no syrup.
	Hold []Reason
	// Why is why it needs what it needs.
	Why []Reason
}

// Yard is one yard as the planner sees it. Slices are by day from Problem.Start.
type Yard struct {
	ID   string
	Name string
	// Feed tells on which days a round may be made there.
	Feed []bool
	// Factor is what part of a hive's Uptake is taken on each day, 0…1.
	Factor []float64
	// Stop is the last day on which syrup may still be taken (its index may lie
	// beyond the slices); the zero Day is not known, and then nothing is fed.
	Stop  units.Day
	Setup units.Duration // before the first lid of a visit
	// Opens and Shuts are the times of day between which work there must lie,
	// from the first minute of setting up to the last lid: a gate, a tenant's
	// hours. Both zero = any time; Shuts zero = to the end of the day. A day on
	// which the gate stays shut is a day not in Feed.
	Opens, Shuts units.Duration
	Why          []Reason // where the stop day comes from
}

// Road is the way between two places. "" is home.
type Road struct {
	Dist units.Length
	Time units.Duration
}

// Rig is one truck: what it hauls and pumps with, and the crew that drives it.
type Rig struct {
	Truck   string         // its name, no two alike; may be empty for the only one
	Tank    units.Volume   // usable: nominal less heel
	Payload units.Mass     // what the truck may carry as syrup, tank and gear taken off; 0 = not told
	Pump    units.Flow     // measured or planned, at the nozzle
	PerHive units.Duration // opening, moving on, closing: without pumping; 0 = none
	// Shared is the part of PerHive that more hands make shorter, as it is with
	// Crew.Hands of them.
	Shared units.Duration
	Fill   units.Duration // filling the tank at home; 0 = none
	// PerDay is the working time of its crew in a day; 0 = Crew.PerDay.
	PerDay units.Duration
	// LoadsPerDay is the most loads it drives out in a day; 0 = as time allows.
	LoadsPerDay int
	// Out tells on which days it may go out, by day from Problem.Start; nil =
	// every day, and days beyond it are days it may not.
	Out []bool
}

// Hauls is how much syrup of that density it hauls at once: what its tank holds, or
// what it may carry where that is less.
func (r *Rig) Hauls(d units.Density) units.Volume {
	if r.Payload > 0 && d > 0 {
		return min(r.Tank, units.Volume(float64(r.Payload)/float64(d)*1000))
	}
	return r.Tank
}

// Kitchen is where it is mixed.
type Kitchen struct {
	Strength units.Strength
	Density  units.Density // of the syrup at 20 °C
	Mixer    units.Volume  // usable volume of one batch; 0 = any size told by nobody, one batch a day
	// Mixing is the crew's time for one batch. It comes out of the same working
	// day as the loads: mix in the morning, then drive. 0 = none.
	Mixing units.Duration
	OnHand units.Volume // mixed syrup in store at the start
	Store  units.Volume // what the store holds; 0 = no limit told
}

// Source is a place with mixed syrup away from home where a tank may be filled:
// it must not be brought home first.
type Source struct {
	Place  string         // known to Problem.Road, no yard's id, not ""
	OnHand units.Volume   // of the same strength as the kitchen's
	Fill   units.Duration // filling the tank there; 0 = as at home
	From   units.Day      // first day on which a tank may be filled there; 0 = from the start
}

// Crew is who does it. Each truck has a crew of its own.
type Crew struct {
	PerDay      units.Duration // working time of one day
	LoadsPerDay int            // most loads driven out in a day, all trucks together; 0 = as time allows
	// Hands is how many people Rig.PerHive is meant for; 0 = one.
	Hands int
	// Begins is the time of day at which work begins; it counts where yards have
	// times at which they open and shut.
	Begins units.Duration
	// Day tells, by day from Problem.Start, where a day differs: helpers come, or
	// there is little time. Days beyond it are as usual.
	Day []CrewDay
}

// CrewDay is one day of work that is not like the others.
type CrewDay struct {
	PerDay units.Duration // working time of each crew that day; 0 = as usual
	Hands  int            // people; 0 = as usual
	Off    bool           // nobody works
}

// Price is what things cost, per unit; zero Money = not told.
type Price struct {
	SugarPerKg units.Money
	PerKm      units.Money
	PerHour    units.Money
}

// Problem is everything the planner needs.
type Problem struct {
	Start   units.Day
	Days    int // length of the calendar
	Hives   []Hive
	Yards   []Yard
	Road    func(from, to string) (Road, bool) // yard ids, "" = home; false = not known
	Rigs    []Rig                              // at least one where anybody needs syrup
	Sources []Source
	Kitchen Kitchen
	Crew    Crew
	Price   Price
	Seed    uint64
	// Iterations is how many steps the search for a better plan takes; 0 = as
	// many as befit the size. The clock plays no part.
	Iterations int
	// Before is the plan already out, or any earlier one: the search starts from
	// it, and of plans alike in all else takes the one that changes it least.
	// nil = none.
	Before *Plan
	// Fresh lets go of all yards of Before, not only of those that changed.
	Fresh   bool
	Figures figure.Set
}

// RigOf gives the truck of that name; the first where none has it, and an empty
// one where there is none at all.
func (p *Problem) RigOf(truck string) Rig {
	for _, r := range p.Rigs {
		if r.Truck == truck {
			return r
		}
	}
	if len(p.Rigs) > 0 {
		return p.Rigs[0]
	}
	return Rig{}
}
