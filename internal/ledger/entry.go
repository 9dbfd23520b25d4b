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
	Colony   string                      `json:"colony,omitzero"`
	Feed     Feed                        `json:"feed,omitzero"`
	Volume   units.Entered[units.Volume] `json:"volume,omitzero"`   // Syrup
	Strength units.Strength              `json:"strength,omitzero"` // Syrup; 0 = that of the batch, else the season's
	Mass     units.Entered[units.Mass]   `json:"mass,omitzero"`     // all but Syrup
	Batch    string                      `json:"batch,omitzero"`    // batch it came from
	From     string                      `json:"from,omitzero"`     // Comb: the colony that gave it
	Plan     string                      `json:"plan,omitzero"`     // id of the plan taken out, if it was on one
	Note     string                      `json:"note,omitzero"`
	Lot      string                      `json:"lot,omitzero"` // all but Syrup and Comb: the lot it came from
}

// Agreed says that sealed frames of stores are to be moved from one colony to
// another before syrup is fed: agreed, not done. What is moved is a [Given] of
// [Comb]; from then on the agreement is spent. A later one between the same two
// colonies holds in its stead; of no frames, it takes it back.
type Agreed struct {
	Colony string `json:"colony,omitzero"` // that gets them
	From   string `json:"from,omitzero"`   // that gives them
	Frame  string `json:"frame,omitzero"`  // kind of frame, see package hive
	Frames int    `json:"frames,omitzero"`
	Note   string `json:"note,omitzero"`
}

// NotFed says a planned fill was not made, and why.
type NotFed struct {
	Colony string `json:"colony,omitzero"`
	Why    string `json:"why,omitzero"` // full, refused, robbing, drowned, dead, queenless, leak, wasps, super, other
	Plan   string `json:"plan,omitzero"`
	Note   string `json:"note,omitzero"`
}

// Left is what was still in the feeder at a visit. Nothing noted is no Left at
// all; an empty feeder is Volume 0.
type Left struct {
	Colony string                      `json:"colony,omitzero"`
	Volume units.Entered[units.Volume] `json:"volume,omitzero"`
	Note   string                      `json:"note,omitzero"`
}

// Taken is an amount known to be taken without a look at what was left (a
// feeder weighed before and after, say).
type Taken struct {
	Colony string                      `json:"colony,omitzero"`
	Volume units.Entered[units.Volume] `json:"volume,omitzero"`
	Note   string                      `json:"note,omitzero"`
}

// Batch is one mixing of syrup.
type Batch struct {
	ID        string                      `json:"id,omitzero"`
	Volume    units.Entered[units.Volume] `json:"volume,omitzero"`
	Strength  units.Strength              `json:"strength,omitzero"`
	Sugar     units.Entered[units.Mass]   `json:"sugar,omitzero"`
	Water     units.Entered[units.Volume] `json:"water,omitzero"`
	Temp      units.Temp                  `json:"temp,omitzero"`
	TempKnown bool                        `json:"temp_known,omitzero"`
	Lots      []string                    `json:"lots,omitzero"` // lots of sugar and supplement that went in
	Note      string                      `json:"note,omitzero"`
	Used      []Used                      `json:"used,omitzero"` // what else went in, by amount: supplements, feed from a drum
}

// Used is an amount of a bought thing that went into a batch.
type Used struct {
	Item   string                      `json:"item,omitzero"` // as it was bought: a supplement's is the product of its label
	Lot    string                      `json:"lot,omitzero"`
	Mass   units.Entered[units.Mass]   `json:"mass,omitzero"`   // or
	Volume units.Entered[units.Volume] `json:"volume,omitzero"` // of a liquid
}

// Purchase is a delivery.
type Purchase struct {
	Item       string                      `json:"item,omitzero"` // "white sugar", "fondant", the product's own name
	Lot        string                      `json:"lot,omitzero"`
	Mass       units.Entered[units.Mass]   `json:"mass,omitzero"`
	Volume     units.Entered[units.Volume] `json:"volume,omitzero"` // liquids
	Price      units.Money                 `json:"price,omitzero"`  // for the whole
	Supplier   string                      `json:"supplier,omitzero"`
	BestBefore units.Day                   `json:"best_before,omitzero"`
	Note       string                      `json:"note,omitzero"`
	Goods      Goods                       `json:"goods,omitzero"` // what sort of thing; "" = told from the words of Item
	Sack       units.Entered[units.Mass]   `json:"sack,omitzero"`  // weight of one sack, to know how many to buy
}

// Goods is the sort of a bought thing, as far as stock has to tell them apart.
type Goods string

// The sorts. Sugar goes into batches; liquid feed is given as it is or goes
// into batches; the others are given or dosed by their own name.
const (
	Sugar       Goods = "sugar"
	LiquidFeed  Goods = "liquid"
	FondantFeed Goods = "fondant"
	ProteinFeed Goods = "protein"
	Supplement  Goods = "supplement"
	Other       Goods = "other"
)

// AllGoods lists the sorts.
func AllGoods() []Goods {
	return []Goods{Sugar, LiquidFeed, FondantFeed, ProteinFeed, Supplement, Other}
}

// Happening is what was done with something in the shed.
type Happening string

// What can be done. Used is what went another way than into a batch or a hive
// (lent, eaten, sold); Counted is what was found on the shelf, whatever the
// books say.
const (
	Opened    Happening = "opened"
	Spilt     Happening = "spilt"
	Back      Happening = "back" // syrup or feed that came home from the yard
	Discarded Happening = "discarded"
	UsedUp    Happening = "used"
	Counted   Happening = "counted"
)

// Happenings lists what can be done.
func Happenings() []Happening {
	return []Happening{Opened, Spilt, Back, Discarded, UsedUp, Counted}
}

// Handled is one thing done in the shed with a lot that was bought, or with a
// batch that was mixed: one of Item and Batch. A medicine's disposal has to be
// written down with how and where; Note holds it.
type Handled struct {
	What   Happening                   `json:"what,omitzero"`
	Item   string                      `json:"item,omitzero"`
	Lot    string                      `json:"lot,omitzero"`
	Batch  string                      `json:"batch,omitzero"`
	Mass   units.Entered[units.Mass]   `json:"mass,omitzero"`   // not for Opened
	Volume units.Entered[units.Volume] `json:"volume,omitzero"` // of a liquid
	Kept   string                      `json:"kept,omitzero"`   // Opened: where it stands from then on
	Note   string                      `json:"note,omitzero"`
}
