// Package syrup is the physics of sugar and water: strength, density,
// viscosity, solubility, heat, keeping, mixing, correcting and blending, and
// what a colony makes of it (kg of ripe stores per kg of sugar).
//
// # What it knows
//
// Sucrose in water from 0 to 85 % by mass and −10 to 100 °C, as far as each
// source reaches; other sugars (HFCS, invert, fondant) by their dry solids
// only. Every function says its range, its source and how far it was found
// from an independent table. Outside that range it answers with
// [fault.NotKnownHere], never with a plausible number; what is not a number
// is [fault.OutOfRange].
//
// # Rules
//
// Strength is a mass fraction (0.6667 for 2:1 by weight, sugar to water);
// °Brix is that times 100. Volumes always belong to a temperature. Blending
// and correcting are mass balances: litres are never added to litres. All
// enthalpies count from 25 °C. What can be argued about is a figure and comes
// in through a [figure.Set]; a zero Set means the published values.
//
// # What it refuses to know
//
// Colonies, feeders, dates, prices, screens and the keeper's units. No curve
// of sucrose is applied to HFCS or invert, but for density with its stated
// factor.
package syrup
