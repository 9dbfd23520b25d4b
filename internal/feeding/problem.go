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
	Why   []Reason       // where the stop day comes from
}

// Road is the way between two places. "" is home.
type Road struct {
	Dist units.Length
	Time units.Duration
}

// Rig is what hauls and pumps.
type Rig struct {
	Truck   string
	Tank    units.Volume   // usable: nominal less heel
	Payload units.Mass     // what the truck may carry as syrup, tank and gear taken off; 0 = not told
	Pump    units.Flow     // measured or planned, at the nozzle
	PerHive units.Duration // opening, moving on, closing: without pumping; 0 = none
	Fill    units.Duration // filling the tank at home; 0 = none
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

// Crew is who does it.
type Crew struct {
	PerDay      units.Duration // working time of one day
	LoadsPerDay int            // most loads driven out in a day; 0 = as time allows
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
	Rig     Rig
	Kitchen Kitchen
	Crew    Crew
	Price   Price
	Seed    uint64
	Figures figure.Set
}
