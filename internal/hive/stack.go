package hive

import "larder/internal/units"

// Box is one box of a stack.
type Box struct {
	Kind   string `json:"kind,omitzero"`   // key of a [BoxKind]
	Frames int    `json:"frames,omitzero"` // frames really in it; 0 = as many as it holds
}

// Stack is the woodenware of one colony, from the bottom up. Its text form
// (see [ParseStack]) is what keepers write in a spreadsheet cell:
// "lang10-deep + lang10-medium", "nuc5-deep", "bsn-deep:9 + bsn-shallow x2".
type Stack struct {
	Boxes []Box `json:"boxes,omitzero"` // lowest first
	Poly  bool  `json:"poly,omitzero"`  // polystyrene instead of wood
	// Tare is the measured empty weight of the whole: floor, boxes, drawn comb,
	// covers, without bees or stores. It wins over any table when TareKnown.
	Tare      units.Mass `json:"tare,omitzero"`
	TareKnown bool       `json:"tare_known,omitzero"`
}
