// Package apiary holds the keeper's own yards and colonies: what stands where,
// in what woodenware, and what was seen of the bees.
//
// It knows names and states, not numbers of food: those are package stores.
// All types here are facts or the present state folded from them.
package apiary

import (
	"larder/internal/hive"
	"larder/internal/units"
)

// Answer is yes, no or not known. The zero Answer is not known, and not known
// is asked about, never taken for safe.
type Answer uint8

// The answers.
const (
	Unknown Answer = iota
	Yes
	No
)

// Climate is the class of winter a yard lies in, by its mean January (southern
// hemisphere: July) temperature.
type Climate string

// The classes of the regional stores table.
const (
	ClimateUnknown Climate = ""
	Warm           Climate = "warm"      // above 7 °C
	Mild           Climate = "mild"      // 2 to 7 °C, maritime
	Temperate      Climate = "temperate" // −4 to 2 °C, continental
	Cold           Climate = "cold"      // −12 to −4 °C
	VeryCold       Climate = "very-cold" // below −12 °C
)

// Yard is a place with hives (never a length). ID is the keeper's short name
// and never changes; Name may.
type Yard struct {
	ID       string         `json:"id,omitzero"`
	Name     string         `json:"name,omitzero"`
	HasPlace bool           `json:"has_place,omitzero"`
	Lat      float64        `json:"lat,omitzero"` // degrees, when HasPlace
	Lon      float64        `json:"lon,omitzero"`
	Elev     units.Length   `json:"elev,omitzero"` // above the sea, 0 when not told
	Climate  Climate        `json:"climate,omitzero"`
	Station  string         `json:"station,omitzero"` // id of the weather series used for this yard; "" = its own id
	Stop     units.Day      `json:"stop,omitzero"`    // the keeper's own last day of syrup; 0 = let it be worked out
	Setup    units.Duration `json:"setup,omitzero"`   // minutes lost at each visit before the first lid; 0 = the figure
	Access   string         `json:"access,omitzero"`  // gate, key, hours: free text for the sheet
	Closed   bool           `json:"closed,omitzero"`  // no longer used
	// Opens and Shuts are the times of day, from midnight, between which work
	// there must lie; both 0 = any time, Shuts 0 = to the end of the day.
	Opens units.Duration `json:"opens,omitzero"`
	Shuts units.Duration `json:"shuts,omitzero"`
	Shut  string         `json:"shut,omitzero"` // days of the week and dates on which nobody gets in: "sun; 2026-09-12"
	// Windy says its stands are exposed to wind in winter, Wrapped that all its
	// hives are wrapped then.
	Windy   bool `json:"windy,omitzero"`
	Wrapped bool `json:"wrapped,omitzero"`
}

// Kind of colony.
type Kind string

// The kinds.
const (
	Full Kind = "full"
	Nuc  Kind = "nuc"
)

// State of a colony.
type State string

// The states.
const (
	Alive  State = "alive"
	Dead   State = "dead"   // see the cause in its dead-out fact
	Joined State = "joined" // united into another
	Sold   State = "sold"
)

// Colony is the bees of one hive, as they stand now.
type Colony struct {
	ID     string     `json:"id,omitzero"`    // the keeper's name for it, unique in the book
	Yard   string     `json:"yard,omitzero"`  // yard id
	Stand  int        `json:"stand,omitzero"` // place in the walking order, from 1; 0 = not told
	Kind   Kind       `json:"kind,omitzero"`
	Stack  hive.Stack `json:"stack,omitzero"`
	Feeder string     `json:"feeder,omitzero"` // key of a feeder kind now on it; "" = none
	// FeederVolume is the keeper's own measure of that feeder; 0 = the kind's.
	FeederVolume units.Volume `json:"feeder_volume,omitzero"`
	// Target is the keeper's own stores target for this colony; 0 = the table.
	Target units.Mass `json:"target,omitzero"`
	// NeverEmpty asks that its feeder never runs empty, once filled, until its need
	// is served, where days allow.
	NeverEmpty bool   `json:"never_empty,omitzero"`
	Wrapped    bool   `json:"wrapped,omitzero"` // this hive is wrapped in winter; see also Yard.Wrapped
	State      State  `json:"state,omitzero"`
	Into       string `json:"into,omitzero"` // colony it was joined into
	From       string `json:"from,omitzero"` // colony it was split from
	Note       string `json:"note,omitzero"`
}

// Look is what was seen of the bees at one visit. Zero fields were not looked
// at: see the Known flags.
type Look struct {
	Colony     string     `json:"colony,omitzero"`
	Bees       float64    `json:"bees,omitzero"` // frames of bees, both sides counted as one frame
	BeesKnown  bool       `json:"bees_known,omitzero"`
	Brood      float64    `json:"brood,omitzero"` // frames of brood, both sides
	BroodKnown bool       `json:"brood_known,omitzero"`
	Queen      Answer     `json:"queen,omitzero"`      // queen or fresh eggs seen
	Disease    Answer     `json:"disease,omitzero"`    // disease seen or suspected
	Treatment  Answer     `json:"treatment,omitzero"`  // under a treatment whose label forbids feeding
	Super      Answer     `json:"super,omitzero"`      // a honey super is on
	Refuses    Answer     `json:"refuses,omitzero"`    // left its last feed untouched
	Granulated units.Mass `json:"granulated,omitzero"` // stores seen that the bees cannot use (granulated, fermenting)
	Note       string     `json:"note,omitzero"`
}

// Placed says a colony stands in a yard: the first fact of every colony, and
// again when its woodenware, feeder volume, target or name of place is put anew.
type Placed struct {
	Colony Colony `json:"colony,omitzero"`
}

// Moved says a colony now stands elsewhere.
type Moved struct {
	Colony string `json:"colony,omitzero"`
	Yard   string `json:"yard,omitzero"`
	Stand  int    `json:"stand,omitzero"`
}

// Restacked says what the woodenware is from now on.
type Restacked struct {
	Colony string     `json:"colony,omitzero"`
	Stack  hive.Stack `json:"stack,omitzero"`
}

// FeederSet says which feeder is on ("" = taken off).
type FeederSet struct {
	Colony string       `json:"colony,omitzero"`
	Feeder string       `json:"feeder,omitzero"`
	Volume units.Volume `json:"volume,omitzero"` // the keeper's own measure; 0 = the kind's
}

// United says From was joined into Into: the stores add, the need is Into's.
type United struct {
	From string `json:"from,omitzero"`
	Into string `json:"into,omitzero"`
}

// Split says part of From became the new colony New.
type Split struct {
	From   string     `json:"from,omitzero"`
	New    Colony     `json:"new,omitzero"`
	Stores units.Mass `json:"stores,omitzero"` // stores that went with it
}

// Chore says that something was done around a yard's feeding: see the season's
// lists of opening and closing a yard.
type Chore struct {
	Yard string `json:"yard,omitzero"`
	What string `json:"what,omitzero"`
	Note string `json:"note,omitzero"`
}

// Ended says a colony is no more: dead or sold.
type Ended struct {
	Colony    string     `json:"colony,omitzero"`
	State     State      `json:"state,omitzero"` // Dead or Sold
	Cause     string     `json:"cause,omitzero"` // starved, queenless, mites, mice, damp, robbed, unknown …
	Left      units.Mass `json:"left,omitzero"`  // stores still in the hive, if weighed
	LeftKnown bool       `json:"left_known,omitzero"`
}
