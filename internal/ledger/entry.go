// Package ledger holds what went in and out: given, left, taken, mixed and
// bought. Entries are facts and are only ever added; stock, lots, cost and
// tracing follow from them.
package ledger

import "larder/internal/units"

// Feed is a kind of food given.
type Feed string

// The kinds. Syrup is counted in litres, the others in kilograms.
const (
	Syrup    Feed = "syrup"
	Fondant  Feed = "fondant"
	DrySugar Feed = "dry-sugar"
	Comb     Feed = "frames" // sealed frames of stores from a named colony
	Protein  Feed = "protein"
)

// Given is feed put on one colony at one visit.
type Given struct {
	Colony   string
	Feed     Feed
	Volume   units.Entered[units.Volume] // Syrup
	Strength units.Strength              // Syrup; 0 = that of the batch, else the season's
	Mass     units.Entered[units.Mass]   // all but Syrup
	Batch    string                      // batch it came from
	From     string                      // Comb: the colony that gave it
	Plan     string                      // id of the plan taken out, if it was on one
	Note     string
}

// NotFed says a planned fill was not made, and why.
type NotFed struct {
	Colony string
	Why    string // full, refused, robbing, drowned, dead, queenless, leak, wasps, super, other
	Plan   string
	Note   string
}

// Left is what was still in the feeder at a visit. Nothing noted is no Left at
// all; an empty feeder is Volume 0.
type Left struct {
	Colony string
	Volume units.Entered[units.Volume]
	Note   string
}

// Taken is an amount known to be taken without a look at what was left (a
// feeder weighed before and after, say).
type Taken struct {
	Colony string
	Volume units.Entered[units.Volume]
	Note   string
}

// Batch is one mixing of syrup.
type Batch struct {
	ID        string
	Volume    units.Entered[units.Volume]
	Strength  units.Strength
	Sugar     units.Entered[units.Mass]
	Water     units.Entered[units.Volume]
	Temp      units.Temp
	TempKnown bool
	Lots      []string // lots of sugar and supplement that went in
	Note      string
}

// Purchase is a delivery.
type Purchase struct {
	Item       string // "white sugar", "fondant", the product's own name
	Lot        string
	Mass       units.Entered[units.Mass]
	Volume     units.Entered[units.Volume] // liquids
	Price      units.Money                 // for the whole
	Supplier   string
	BestBefore units.Day
	Note       string
}
