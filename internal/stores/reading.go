package stores

import (
	"larder/internal/units"
)

// Way is a way of judging a colony's stores.
type Way string

// The ways.
const (
	Full     Way = "full"   // the whole hive on a platform or hanging scale
	LiftBoth Way = "lift2"  // spring scale lifted at one side, then at the other
	LiftOne  Way = "lift1"  // spring scale at one side only
	Frames   Way = "frames" // frames of stores by box, in quarters
	Hand     Way = "hand"   // hefted by hand: light, fair, heavy
	Scale    Way = "scale"  // an automatic scale under the hive
)

// Heft is what the hand says.
type Heft string

// The hefts.
const (
	Light Heft = "light"
	Fair  Heft = "fair"
	Heavy Heft = "heavy"
)

// Levers are the distances a tilt lift needs when hook and pivot are not the
// opposite outer edges. Zero Levers mean they are. See colony evidence §2.3:
// W = (F1·d1 + F2·d2) / D.
type Levers struct {
	Arm1   units.Length `json:"arm1,omitzero"`   // from the opposite pivot to the hook of the first lift
	Arm2   units.Length `json:"arm2,omitzero"`   // the same for the second lift
	Pivots units.Length `json:"pivots,omitzero"` // between the two pivots
}

// FrameCount is what was counted in one box: frames full of sealed stores on
// both sides (quarters allowed), and frames of open, unripe food.
type FrameCount struct {
	Box    string  `json:"box,omitzero"` // box kind key; its frame decides the area
	Sealed float64 `json:"sealed,omitzero"`
	Open   float64 `json:"open,omitzero"`
}

// Reading is one look at a colony's stores, as it was made. It is never
// corrected by a model: tare, bees and feeder are taken off when it is judged.
type Reading struct {
	Colony   string                      `json:"colony,omitzero"`
	Way      Way                         `json:"way,omitzero"`
	Gross    units.Entered[units.Mass]   `json:"gross,omitzero"`     // Full, Scale: everything on the scale
	Lift1    units.Entered[units.Mass]   `json:"lift1,omitzero"`     // LiftBoth, LiftOne
	Lift2    units.Entered[units.Mass]   `json:"lift2,omitzero"`     // LiftBoth
	Levers   *Levers                     `json:"levers,omitzero"`    // nil = outer edges
	Frames   []FrameCount                `json:"frames,omitzero"`    // Frames
	Heft     Heft                        `json:"heft,omitzero"`      // Hand
	InFeeder units.Entered[units.Volume] `json:"in_feeder,omitzero"` // syrup in the feeder while it was weighed
	Off      units.Mass                  `json:"off,omitzero"`       // weight of things on it that are no part of its stack (strap, stone, super)
	Unusable units.Mass                  `json:"unusable,omitzero"`  // stores the bees cannot use (granulated, fermenting)
	Wet      bool                        `json:"wet,omitzero"`       // rain-soaked wood, snow or ice on the lid
	About    bool                        `json:"about,omitzero"`     // a guess: one figure for many hives, or not read off a scale
	Note     string                      `json:"note,omitzero"`
}
