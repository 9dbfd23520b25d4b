package feeding

import "larder/internal/units"

// Plan is what to do, day by day.
type Plan struct {
	Start    units.Day
	Strength units.Strength
	Colonies []ColonyPlan // by yard, then stand, then colony
	Batches  []Batch      // by day
	Loads    []Load       // by day, then number
	Totals   Totals
	Bounds   Bounds
	Unmet    []Unmet // by yard, then colony
	Seed     uint64
	// Iterations is how many steps the search took. The same Problem with the
	// same Seed and this many Iterations gives this plan again.
	Iterations int
	Reasons    []Reason // about the plan as a whole
}

// ColonyPlan is what one colony gets over the whole plan.
type ColonyPlan struct {
	Colony string
	Yard   string
	Need   units.Volume
	Given  units.Volume // sum of its fills
	Taken  units.Volume // what the model says it takes by its stop day, of these fills
	Fills  int
	Dry    int // days, before its last fill, on which a feeder that should never be empty runs so
	Why    []Reason
}

// Batch is one mixing.
type Batch struct {
	Day   units.Day // the day it must be ready: mixed that morning or before
	Syrup units.Volume
	Sugar units.Mass
	Water units.Volume
	Why   []Reason
}

// Load is one tank filled and driven out.
type Load struct {
	N     int // from 1 over the whole plan
	Day   units.Day
	Truck string
	// From is where the tank is filled, To where the truck goes after the last
	// stop: "" = home, else the place of a Source. The first load of a truck's
	// day sets out from home, each other from where the one before it went; the
	// last goes home. Dist and Time hold the way to From, from home or from the
	// last stop of the load before, and the way home, not the way to To.
	From, To string
	// Leave is the time of day at which filling the tank begins, or the way to
	// where it is filled; 0 where no yard has hours of its own.
	Leave units.Duration
	Syrup units.Volume
	Stops []Stop
	Dist  units.Length
	Time  units.Duration // driving, setting up, opening, pumping, filling the tank, waiting at a gate
	Why   []Reason
}

// Stop is one yard on a load.
type Stop struct {
	Yard  string
	Fills []Fill         // in walking order
	Dist  units.Length   // from the stop before
	Time  units.Duration // at the stop, waiting taken off
}

// Fill is one colony's dose at one stop.
type Fill struct {
	Colony string
	Volume units.Volume
	Why    []Reason
}

// Unmet is need that the plan cannot serve, never dropped.
type Unmet struct {
	Colony string
	Yard   string
	Volume units.Volume
	Why    []Reason
}

// Totals add up a plan.
type Totals struct {
	Loads     int
	Visits    int // stops
	Fills     int
	Syrup     units.Volume
	Dist      units.Length
	Time      units.Duration // of the loads; mixing is apart
	Mixing    units.Duration
	Sugar     units.Mass
	Water     units.Volume
	Cost      units.Money            // zero = prices not told
	CostParts map[string]units.Money // "sugar", "km", "hours", "mixing": those told
}

// Bounds are what no plan can beat, each with its proof in words.
type Bounds struct {
	Loads  int
	Visits int
	Dist   units.Length
	// Time is the crew's working time: loads and mixing together.
	Time units.Duration
	Gap  Gap
	Why  []Reason // for each: why not fewer
}

// Gap is how far the plan lies above its bounds, as a part of the plan: 0 =
// proven to be the least, 0.1 = at most a tenth could be saved.
type Gap struct{ Loads, Visits, Dist, Time float64 }
