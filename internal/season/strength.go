package season

import (
	"strings"

	"larder/internal/figure"
	"larder/internal/syrup"
	"larder/internal/units"
)

// Recipe is a strength as the keeper put it.
type Recipe struct {
	Words    string // as typed
	Strength units.Strength
	Low      units.Strength // apart from Strength only for a recipe by volume
	High     units.Strength
	// Assumed says that a ratio came without its basis and was taken by weight.
	Assumed bool
}

// ReadRecipe reads "2:1", "2:1 by weight", "2:1 by volume" or "66.7 %". By
// volume it takes the loose weight of sugar from the figures.
func ReadRecipe(words string, figs figure.Set) (Recipe, error) {
	l := units.Locale{Decimal: '.'}
	if strings.Contains(words, ":") {
		r, err := units.ParseRatio(words, l)
		if err != nil {
			return Recipe{}, err
		}
		if s, ok := r.ByWeight(); ok {
			return Recipe{Words: words, Strength: s, Low: s, High: s, Assumed: !r.Stated}, nil
		}
		b, err := syrup.RatioBand(r, 0, figs)
		if err != nil {
			return Recipe{}, err
		}
		return Recipe{Words: words, Strength: b.Strength, Low: b.Low, High: b.High}, nil
	}
	s, err := units.ParseStrength(words, l)
	return Recipe{Words: words, Strength: s, Low: s, High: s}, err
}

// strengthOf is the strength by the published figures, for checking.
func strengthOf(words string) (units.Strength, error) {
	r, err := ReadRecipe(words, figure.NewSet(syrup.Figures()))
	return r.Strength, err
}
