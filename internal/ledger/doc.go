// Package ledger holds what went in and out of the shed: bought, mixed, given,
// spilt, brought back, thrown away, counted; and what follows from it: stock by
// lot, cost, and which colony got what of which lot.
//
// # What it knows
//
// Entries are facts and are only ever added. [Run] goes through the moves they
// come to, in order of days, and says what is left of each lot and what each
// going-out took from which lot at what cost. [Heirs] and [Forebears] follow
// bees through unites, splits and given combs.
//
// # Rules
//
// Amounts are whole milligrams or microlitres, so that sums are exact and come
// out the same in any order. What is named is taken from the lot named; what is
// not is taken first of what expires first. More taken than is there makes a lot
// negative: that is shown, never clipped, and its price is not made up. Money is
// exact and shared to the cent: what went out and what is left of a lot always
// add up to what was paid.
//
// # What it refuses to know
//
// Prices nobody told. Whether a lot is still good. What a product is for.
package ledger
