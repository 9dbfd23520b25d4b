package supplement

import "larder/internal/figure"

// Keys of this package's figures.
const (
	KeyScale = "supplement.scale_g"
	KeyGlass = "supplement.glass_ml"
	KeyLevel = "supplement.spoon_part"
	KeySpoon = "supplement.tablespoon_ml"
)

// Figures lists the few habits of measuring that are not on any label. There
// is no dose among them and never will be.
func Figures() []figure.Figure {
	const none = "common practice, no source"
	return []figure.Figure{
		{Key: KeyScale, Name: "finest step of the keeper's scale", Value: 1, Low: 0.01, High: 10, Unit: "g", Source: none, Grade: figure.Practice, Note: "doses are rounded down to it"},
		{Key: KeyGlass, Name: "finest step of the keeper's measuring glass or syringe", Value: 1, Low: 0.1, High: 50, Unit: "mL", Source: none, Grade: figure.Practice, Note: "doses are rounded down to it"},
		{Key: KeyLevel, Name: "smallest part of a spoon that can be told", Value: 0.25, Low: 0.125, High: 1, Unit: "spoon", Source: none, Grade: figure.Practice, Note: "spoonfuls are rounded down to it"},
		{Key: KeySpoon, Name: "level tablespoon", Value: 15, Low: 14, High: 20, Unit: "mL", Source: none, Grade: figure.Practice, Note: "a volume: a spoon of powder has to be weighed"},
	}
}

// or gives fig, or the published figures where fig has none of ours.
func or(fig figure.Set) figure.Set {
	if _, ok := fig.Default(KeyScale); ok {
		return fig
	}
	return figure.NewSet(Figures())
}
