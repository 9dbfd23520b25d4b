// Package stores judges the food in a hive, in kilograms of ripe stores with a
// spread, and carries that judgement forward through feeding, eating and the
// next look.
//
// # Judging one reading
//
// [Judge] turns a [Reading] into an [Estimate]:
//
//	stores = gross − woodenware and drawn comb − bees − brood − pollen
//	         − syrup in the feeder − things laid on − stores bees cannot use
//
// for the ways that weigh, area of comb × grams per dm² for frames, and the
// keeper's own classes for the hand. Every part has its spread; spreads of
// independent parts add in quadrature. What was not told is put in with a wide
// spread and named in the reasons. A hive that weighs less than its empty
// woodenware is a question, never stores below nothing.
//
// # Carrying forward
//
// [Carry] runs the judgements of one colony through time (a Kalman filter, see
// carry.go): gifts add, days eat, readings pull the estimate to themselves by
// their weight. A reading that does not fit is a question with both numbers
// shown; it is not averaged in.
//
// Sources of figures stand in figures.go; the statics of lifting in lift.go.
//
// The package does not know syrup, weather or what a colony eats: gains and
// daily use come in as numbers (a plain published figure stands in for the
// latter). It knows no store of records and no clock.
package stores

// Reason says why, in a code a test can hold on to and a sentence for people.
// Its shape is that of feeding.Reason.
type Reason struct {
	Code string // stable, lower case: "reading-age", "tare-table", "no-look" …
	Say  string // one sentence; "{0}" stands for the first of Amounts
	// Amounts are the quantities the sentence talks about, so that a screen can
	// say them in the keeper's units: units.Mass, units.Volume, units.Day, int,
	// float64 (a count) …
	Amounts []any
}

func because(code, say string, amounts ...any) Reason {
	return Reason{Code: code, Say: say, Amounts: amounts}
}
