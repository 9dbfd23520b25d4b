// Package winter says what a colony eats from autumn to its first dependable
// forage, and what follows from it: the target before winter, the watch during
// it, whom to heft next, and feed in need.
//
// # What it knows
//
//   - [Params.Day]: what a colony eats on one day, from the day's mean
//     temperature, its bees, its brood and how its hive is protected.
//   - [Brood], [Bees]: brood and bee numbers through the winter.
//   - [PastWinters]: this season's weather so far, and every past winter whole
//     from there on.
//   - [Ensemble]: past winters × draws of what is not known. [Ensemble.Watch]
//     makes the fan of stores from it, [Ensemble.Target] the target.
//   - [Ensemble.Quadrature]: the same distribution by another road, without
//     chance; it also says what drives it.
//   - [Calibrate]: the figures drawn towards what this yard's hives were weighed
//     to have eaten.
//   - [Ensemble.NextHeft], [Emergency], [Runway], [ThinFeed], [Tally]: looks,
//     feed and spring.
//
// # Rules
//
// All masses are kilograms of ripe stores. A day's eating belongs to that day:
// stores of day d are those on its morning. From its first dependable forage
// on a colony keeps itself, so nothing is taken off after it. Income is never
// forecast. Each past winter is replayed whole, so that runs of cold days stay
// together. The same query and seed give the same answer to the last bit, on
// however many processors.
//
// Short means below the reserve (4 kg), which a cluster cannot all reach in the
// cold; out means nothing left.
//
// Outside the range the figures were taken from it says so in a [Reason]; where
// nothing is published at all it refuses with fault.NotKnownHere.
//
// # What it refuses to know
//
// Where facts are kept, the clock, yards, routes and syrup. Varroa, nosema and
// a failing queen kill more colonies than hunger does; nothing here counts them.
package winter

// Reason says why, in a code a test can hold on to and a sentence for people.
// It has the fields of feeding.Reason and converts to it.
type Reason struct {
	Code string // stable, lower case: "years", "few-years", "deep-cold" …
	Say  string // one sentence; "{0}" stands for the first of Amounts
	// Amounts are the quantities the sentence talks about, so that a screen can
	// say them in the keeper's units.
	Amounts []any
}

func because(code, say string, amounts ...any) Reason {
	return Reason{Code: code, Say: say, Amounts: amounts}
}
