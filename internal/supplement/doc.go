// Package supplement multiplies what a product's label says: how much for this
// batch, in grams and in the keeper's own spoon, what to dissolve first, in
// which order, how long it keeps, and when a colony has had its season's share.
//
// # What it knows
//
// Nothing of any product. A [Label] is what the keeper copied from the one in
// his hand. The label is the law; here it is only multiplied.
//
// # Rules
//
// What has not been copied locks the step ([fault.Missing]), one sentence for
// each thing missing; a label that is silent on something says so explicitly.
// Nothing is rounded up past the label, and no limit of it is exceeded: where
// two limits meet, the smaller counts. A spoon is a volume until the keeper has
// weighed what it holds of this very product; until then it is no measure for a
// powder. A medicine asks for who allowed it and for its withdrawal period.
//
// # What it refuses to know
//
// Whether a product does any good. Nothing is ever recommended, proposed or
// ranked, and there is no list of products, makers or doses. Nor does it know
// colonies, dates of feeding or stock: those are told to it as amounts.
package supplement
