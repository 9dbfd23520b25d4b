package rig

import (
	"slices"

	"larder/internal/figure"
)

// Sources quoted more than once.
const (
	srcNone = "common practice, no source"
	srcCPSC = "US CPSC tap water statement: 48.9 °C burns in 5 min, 54.4 °C in 30 s; Moritz & Henriques 1947"
	srcPNW  = "Topitzhofer, Breece, Wyns & Sagili, PNW 745, May 2020"
	srcFoam = "foam k 0.035 W/(m·K) and outer film 12 W/(m²·K) as in Çengel's water heater problem"
)

// Figures lists what can be argued about in this package. Physical laws and
// printed tables are not figures; they carry their range and source themselves.
func Figures() []figure.Figure {
	return slices.Concat(tankFigures(), hoseFigures(), bucketFigures(), wireFigures(), heatFigures(),
		stirFigures(), loadFigures(), liftFigures(), methodFigures())
}

// or gives fig, or the published figures where fig has none of ours.
func or(fig figure.Set) figure.Set {
	if _, ok := fig.Default(KeyDip); ok {
		return fig
	}
	return figure.NewSet(Figures())
}

// practice is a figure of common practice without a source.
func practice(key, name string, value, low, high, sd float64, unit, note string) figure.Figure {
	return figure.Figure{Key: key, Name: name, Value: value, Unit: unit, Low: low, High: high, SD: sd,
		Source: srcNone, Grade: figure.Practice, Note: note}
}
