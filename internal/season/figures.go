package season

import (
	"sync"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/rig"
	"larder/internal/route"
	"larder/internal/stores"
	"larder/internal/supplement"
	"larder/internal/syrup"
	"larder/internal/weather"
	"larder/internal/winter"
)

// DefaultFigures is every published figure the core uses, in one set.
func DefaultFigures() figure.Set { return defaultFigures() }

// The list never changes while the program runs; it is only costly to build
// anew for every colony.
var defaultFigures = sync.OnceValue(func() figure.Set {
	return figure.NewSet(hive.Figures(), syrup.Figures(), weather.Figures(), rig.Figures(), route.Figures(),
		stores.Figures(), winter.Figures(), feeding.Figures(), supplement.Figures(), Figures())
})

// Figures lists what the steps of the season assume themselves.
func Figures() []figure.Figure {
	practice := "common practice, no source"
	return append([]figure.Figure{
		{Key: "season.bees_full", Name: "frames of bees of a full colony nobody looked at", Value: 8, Unit: "frames", Low: 3, High: 20, SD: 3,
			Source: "judged, from 7 to 8 frames in Ontario and 7 in Atlantic Canada (ATTTA 2024)", Grade: figure.Derived,
			Note: "drives the uptake of syrup until somebody looks"},
		{Key: "season.bees_nuc", Name: "frames of bees of a nuc nobody looked at", Value: 4, Unit: "frames", Low: 2, High: 6, SD: 1,
			Source: "judged", Grade: figure.Derived},
		{Key: "season.look_days", Name: "days for which a look at the bees stands", Value: 45, Unit: "days", Low: 7, High: 120,
			Source: practice, Grade: figure.Practice, Note: "older answers on disease, treatment and supers are asked again"},
		{Key: "season.forecast_old_days", Name: "days after which a forecast counts as old", Value: 2, Unit: "days", Low: 0, High: 14,
			Source: "common practice, no source", Grade: figure.Practice, Note: "it is used all the same, and said"},
		{Key: "season.plan_days", Name: "days ahead a plan looks", Value: 60, Unit: "days", Low: 7, High: 200,
			Source: practice, Grade: figure.Practice},
		{Key: "season.unknown_factor", Name: "part of full uptake on a past day of unknown weather", Value: 0.6, Unit: "fraction", Low: 0, High: 1, SD: 0.3,
			Source: "judged: a day of 15 °C", Grade: figure.Derived},
	}, append(append(append(append(jobFigures(), replayFigures()...), climateFigures()...), append(append(mixFigures(), shedFigures()...), sourceFigures()...)...), rigFigures()...)...)
}
