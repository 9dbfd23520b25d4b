package season

import (
	"context"

	"larder/internal/units"
)

// Book keeps facts for good. It is small and speaks of facts, not rows: an
// engine is a package that implements it and passes season/booktest.
//
// Append is atomic and durable before it returns: all of the facts are kept or
// none. A fact already there is passed over; the same id with other content is
// refused with fault.Conflict. Facts gives every fact seen and written down by
// asOf, struck ones included, in order of truth (zero asOf = all); the slice is the
// caller's.
type Book interface {
	Append(ctx context.Context, facts ...Fact) error
	Facts(ctx context.Context, asOf units.Moment) ([]Fact, error)
	Close() error
}
