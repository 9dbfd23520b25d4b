// Package verify goes through a finished plan by arithmetic of its own and
// names every rule it breaks.
//
// It knows nothing of how a plan is made: it imports no planner, no roads and
// no rig, gets facts and plan as plain values, and works the days through again,
// hive by hive, load by load, batch by batch. So a mistake of the planner has
// to be made twice, in two ways, before a keeper drives out on it. Season asks
// it about every plan before the plan is shown or kept.
//
// # Rules
//
// A day is the yard's local day. A fill comes first, then that day's uptake.
// What was in the feeder before is taken like any other syrup. Days after the
// stop day, and days the calendar says nothing of, take nothing.
//
// What a load carries is mixed before it leaves: by the crews' free time up to
// then, one batch one crew's work from beginning to end. Where no yard has hours of
// its own a crew's loads may leave as late as its day lets them.
//
// A feeder that should never run empty is a wish, which days, hours and tanks may
// forbid; so a plan may leave one empty, but it has to say on how many days.
//
// # What is not held
//
// That no other plan would leave such a feeder empty on fewer days.
package verify

import (
	"fmt"
	"slices"

	"larder/internal/units"
)

// Rule names what is broken, for tests and for whoever looks for the mistake.
type Rule string

// The rules. Each is broken on purpose in a test, to show that it can fail.
const (
	Row     Rule = "row"     // a row that names nothing, or names it twice
	Day     Rule = "day"     // outside the calendar, or no day for a round there
	Feeder  Rule = "feeder"  // above what the feeder holds
	Need    Rule = "need"    // more than is needed
	Room    Rule = "room"    // more than the comb has space for
	Stop    Rule = "stop"    // more than can still be taken by the stop day
	Held    Rule = "held"    // syrup to a hive that may get none
	Tank    Rule = "tank"    // more than the tank holds
	Payload Rule = "payload" // more than the truck may carry
	Work    Rule = "work"    // more work, or more loads, than a day has
	Gate    Rule = "gate"    // work at a yard outside its hours, or a truck in two places at once
	Road    Rule = "road"    // a leg nobody knows, or of another length
	Stock   Rule = "stock"   // driven out before it is mixed, or mixed for nobody
	Mixer   Rule = "mixer"   // a batch larger than the mixer
	Store   Rule = "store"   // more overnight than the store holds
	Mass    Rule = "mass"    // sugar and water that do not make the syrup
	Sum     Rule = "sum"     // parts that do not add up to what is said
	Unmet   Rule = "unmet"   // a need neither given nor listed
	Ready   Rule = "ready"   // a load that leaves before what it carries can be mixed
	Empty   Rule = "empty"   // a feeder that should never be empty stands so, and the plan does not say it
	Bound   Rule = "bound"   // a bound the plan itself beats
)

// Fault is one rule broken: what, where and by how much.
type Fault struct {
	Rule Rule
	Say  string
}

func (f Fault) String() string { return string(f.Rule) + ": " + f.Say }

// Facts are what a plan is held against.
type Facts struct {
	Start   units.Day
	Days    int // length of the calendar
	Hives   []Hive
	Yards   []Yard
	Trucks  []Truck
	Sources []Source
	Kitchen Kitchen
	Crew    Crew
	Legs    map[Way]Leg // at least those the plan drives
	Price   Price
	Crumb   units.Volume // a need left so little short of counts as served
}

// Hive is one hive. Amounts are litres of syrup.
type Hive struct {
	ID, Yard string
	Need     units.Volume // to be taken still, what is in the feeder included
	In       units.Volume // in the feeder at the start
	Feeder   units.Volume // holds at most; 0 = none on
	Room     units.Volume // space in the comb, counts only when RoomTold
	RoomTold bool
	Uptake   units.Volume // a day at factor 1
	Held     string       // why it may get no syrup; "" = it may
	Never    bool         // its feeder should never run empty before its need is served
}

// Yard is one yard. Slices are by day from Facts.Start.
type Yard struct {
	ID     string
	Feed   []bool    // a round may be made
	Factor []float64 // part of a hive's uptake taken, 0…1
	Stop   units.Day // last day of taking; 0 = not known, nothing may be given
	Setup  units.Duration
	// Opens and Shuts are the time of day between which all work there must
	// lie; both 0 = any time, Shuts 0 = to the end of the day.
	Opens, Shuts units.Duration
}

// Truck is one truck with its tank, pump and crew.
type Truck struct {
	Name    string
	Tank    units.Volume
	Payload units.Mass // 0 = not told
	Pump    units.Flow
	PerHive units.Duration // without pumping, with the usual hands
	Shared  units.Duration // part of PerHive that more hands make shorter
	Fill    units.Duration // filling the tank at home
	PerDay  units.Duration // its crew's working time; 0 = as Crew.PerDay
	Loads   int            // most loads of one day; 0 = as time allows
	Out     []bool         // by day: it may go out; nil = every day, beyond = not
}

// Source is a place with mixed syrup away from home.
type Source struct {
	Place  string
	OnHand units.Volume
	Fill   units.Duration // 0 = as at home
	From   units.Day      // first day on which it is there; 0 = from the start
}

// Crew is the working time, of each truck's crew.
type Crew struct {
	PerDay units.Duration // mixing included
	Loads  int            // most loads of one day, all trucks together; 0 = as time allows
	Hands  int            // people PerHive is meant for; 0 = one
	Begins units.Duration // time of day
	Days   []CrewDay      // by day from Facts.Start, where a day differs
}

// CrewDay is a day unlike the others; 0 = as usual.
type CrewDay struct {
	PerDay units.Duration
	Hands  int
	Off    bool // nobody works
}

// Kitchen is where it is mixed.
type Kitchen struct {
	Strength units.Strength
	Density  units.Density
	Mixer    units.Volume // one batch; 0 = any size
	Mixing   units.Duration
	OnHand   units.Volume
	Store    units.Volume // overnight; 0 = no limit told
}

// Way is from one place to another; "" is home.
type Way struct{ From, To string }

// Leg is a way's length and time.
type Leg struct {
	Dist units.Length
	Time units.Duration
}

// Price is what things cost; zero Money = not told.
type Price struct{ SugarPerKg, PerKm, PerHour units.Money }

// Schedule is the plan to be held against the facts.
type Schedule struct {
	Colonies []Colony
	Batches  []Batch
	Loads    []Load
	Unmet    []Short
	Totals   Totals
	Bounds   Bounds
}

// Colony is what one colony is said to get in all.
type Colony struct {
	ID, Yard           string
	Need, Given, Taken units.Volume
	Fills              int
	Dry                int // days on which a feeder that should never be empty runs so
}

// Batch is one mixing, ready on the morning of Day.
type Batch struct {
	Day   units.Day
	Syrup units.Volume
	Sugar units.Mass
	Water units.Volume
}

// Load is one tank filled and driven out.
type Load struct {
	N     int
	Day   units.Day
	Truck string
	// From is where the tank is filled, To where the truck goes after the last
	// call: "" = home, else the source where it is filled next. Dist and Time
	// hold the way to From, from home or from the last call of the load before,
	// and the way home.
	From, To string
	Leave    units.Duration // time of day; counts where yards have hours
	Syrup    units.Volume
	Stops    []Call
	Dist     units.Length
	Time     units.Duration
}

// Call is one yard on a load.
type Call struct {
	Yard  string
	Fills []Fill
	Dist  units.Length // from the call before
	Time  units.Duration
}

// Fill is one dose.
type Fill struct {
	Colony string
	Volume units.Volume
}

// Short is a need said not to be served.
type Short struct {
	Colony, Yard string
	Volume       units.Volume
}

// Totals are the sums the plan states.
type Totals struct {
	Loads, Visits, Fills int
	Syrup                units.Volume
	Dist                 units.Length
	Time, Mixing         units.Duration
	Sugar                units.Mass
	Water                units.Volume
	Cost                 units.Money
	CostParts            map[string]units.Money
}

// Bounds are what the plan says no plan can beat.
type Bounds struct {
	Loads, Visits int
	Dist          units.Length
	Time          units.Duration // loads and mixing
	Gap           Gap
}

// Gap is how far the plan lies above each bound, as a part of the plan.
type Gap struct{ Loads, Visits, Dist, Time float64 }

// What rounding is forgiven: a tenth of a millilitre, a second a load, a metre
// a leg. Needs below ten millilitres, two teaspoons, count as served.
const (
	slackL  = 1e-4
	slackS  = 1.0
	slackM  = 1.0
	crumb   = 0.0101
	water20 = 0.9982 // kg/L at 20 °C: CRC Handbook of Chemistry and Physics, water density table (from memory)
)

// Plan works the schedule through and gives every rule it breaks, none is nil.
// The order is that of the rows: hives, then loads, batches, sums.
func Plan(f *Facts, s *Schedule) []Fault {
	b := &book{f: f, s: s}
	if b.open() {
		b.drive()
		b.feed()
		b.mix()
		b.list()
		b.add()
	}
	return b.faults
}

// book is the work of going through one plan.
type book struct {
	f *Facts
	s *Schedule

	hive   map[string]int // id: index into Facts.Hives
	yard   map[string]int
	truck  map[string]int
	source map[string]int
	drawn  []float64 // litres taken from each source
	of     []int     // yard of each hive
	end    []int     // per yard: first day on which nothing is taken

	got    [][]dose       // fills of each hive in the order of the loads
	given  []float64      // litres of each hive
	taken  []float64      // of them, by the stop day
	dry    map[string]int // days each is said to run empty
	out    []float64      // litres driven out from home, by day
	work   []float64      // seconds of loads, by day and truck
	trips  [][]trip       // loads by day and truck, in order
	dist   float64        // metres, by the legs
	time   float64        // seconds of the loads
	litres float64        // by the fills
	home   float64        // of them from home
	visits int
	fills  int
	gated  bool // some yard has hours, so that times of day count

	faults []Fault
}

// trip is a load as the kitchen sees it.
type trip struct {
	n          int
	leave, end float64 // seconds after work begins; where yards have no hours, as late as the day lets it
	home       float64 // litres filled at home
}

// dose is a fill on a day.
type dose struct {
	day int
	v   float64
}

func (b *book) bad(r Rule, format string, args ...any) {
	b.faults = append(b.faults, Fault{r, fmt.Sprintf(format, args...)})
}

// over tells whether x lies above the limit; what is no number does.
func over(x, limit, slack float64) bool { return !(x <= limit+slack) }

// off tells whether a and b differ by more than slack; what is no number does.
func off(a, b, slack float64) bool { return !(a-b <= slack && b-a <= slack) }

// day gives the calendar date of day d.
func (b *book) day(d int) units.Day { return b.f.Start + units.Day(d) }

// open reads the facts; false when rows contradict each other so that nothing
// can be worked through.
func (b *book) open() bool {
	f := b.f
	b.hive = make(map[string]int, len(f.Hives))
	b.yard = make(map[string]int, len(f.Yards))
	b.truck = make(map[string]int, len(f.Trucks))
	b.end = make([]int, len(f.Yards))
	b.gated = slices.ContainsFunc(f.Yards, func(y Yard) bool { return y.Opens != 0 || y.Shuts != 0 })
	for i := range f.Yards {
		y := &f.Yards[i]
		if _, twice := b.yard[y.ID]; twice || y.ID == "" {
			b.bad(Row, "the facts list yard %q twice or without a name", y.ID)
		}
		b.yard[y.ID] = i
		if y.Stop != 0 {
			b.end[i] = max(0, min(f.Days, len(y.Factor), int(y.Stop-f.Start)+1))
		}
	}
	for i := range f.Trucks {
		if _, twice := b.truck[f.Trucks[i].Name]; twice {
			b.bad(Row, "the facts list truck %q twice", f.Trucks[i].Name)
		}
		b.truck[f.Trucks[i].Name] = i
	}
	b.of = make([]int, len(f.Hives))
	for i := range f.Hives {
		h := &f.Hives[i]
		y, ok := b.yard[h.Yard]
		if _, twice := b.hive[h.ID]; twice || !ok {
			b.bad(Row, "the facts list hive %s twice, or in yard %q that they do not list", h.ID, h.Yard)
		}
		b.hive[h.ID], b.of[i] = i, y
	}
	b.source = make(map[string]int, len(f.Sources))
	for i := range f.Sources {
		id := f.Sources[i].Place
		_, twice := b.source[id]
		_, yard := b.yard[id]
		if twice || yard || id == "" {
			b.bad(Row, "the facts list the store of syrup %q twice, or it is home or a yard", id)
		}
		b.source[id] = i
	}
	b.drawn = make([]float64, len(f.Sources))
	b.dry = make(map[string]int, len(b.s.Colonies))
	for i := range b.s.Colonies {
		b.dry[b.s.Colonies[i].ID] = b.s.Colonies[i].Dry
	}
	if f.Days < 0 {
		b.bad(Row, "the calendar has %d days", f.Days)
	}
	b.got, b.given, b.taken = make([][]dose, len(f.Hives)), make([]float64, len(f.Hives)), make([]float64, len(f.Hives))
	b.out, b.work = make([]float64, max(0, f.Days)), make([]float64, max(0, f.Days)*len(f.Trucks))
	b.trips = make([][]trip, len(b.work))
	return len(b.faults) == 0
}
