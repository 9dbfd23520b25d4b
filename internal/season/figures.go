package season

import (
	"larder/internal/figure"
)

// DefaultFigures is every published figure the core uses, in one set.
func DefaultFigures() figure.Set {
	return figure.NewSet()
}
