// Package rig is what bolts to the truck and stands in the syrup kitchen:
// tank, pump, hose, wire, heater, stirrer, the truck's weight limits, and the
// backs of the people who would otherwise carry it all.
//
// # What it knows
//
// Litres in a tank from a dip stick, and back; flow through hose and fittings
// on a pump curve; a bucket test, which overrides the theory; wire, fuse and
// energy at 12 V; minutes and kilowatt hours of heat; kilograms on the axles;
// the limits of lifting and carrying; hours and money of pump against pails.
//
// # Rules
//
// Everything is a pure function of its arguments. Syrup comes in as numbers,
// its density, viscosity and specific heat; this package holds no curve of
// them. What can be argued about is a figure ([Figures]) and comes in through
// a [figure.Set]; an empty Set means the published values. Physical laws and
// published tables stand in the code with their source.
//
// Outside the range of its source a function answers with
// [fault.NotKnownHere]; what has not been told is [fault.Missing]; what cannot
// be is [fault.OutOfRange]; what must not be is [fault.Unsafe]. Cautions come
// with the result, in the order in which a person should read them.
//
// No tank mark, axle plate, fuse or wire limit is ever exceeded because a sum
// says so: the answer is then what is too much, and by how much.
//
// # What it refuses to know
//
// Syrup recipes, colonies, dates, roads and the keeper's units (apart from
// handy steps of a dip chart). It is no licence to work on mains wiring.
package rig
