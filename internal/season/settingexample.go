package season

import (
	"strings"

	"larder/internal/units"
)

// ExampleIn gives the example as a keeper who thinks in these units would type it.
func (k SettingKey) ExampleIn(system units.System) string {
	switch system {
	case units.Metric:
		if x, ok := metricExamples[k.Key]; ok {
			return x
		}
	case units.UK:
		return strings.ReplaceAll(k.Example, "US gal", "UK gal")
	}
	return k.Example
}

// metricExamples stand for examples with inches, pounds or gallons: sizes like
// those, not the same ones.
var metricExamples = map[string]string{
	"rig.tank": "150 L", "rig.payload": "400 kg", "rig.pump": "9 L/min", "kitchen.mixer": "200 L", "kitchen.store": "400 L",

	"tank.length": "1200 mm", "tank.width": "800 mm", "tank.height": "900 mm", "tank.diameter": "750 mm", "tank.corner": "50 mm",
	"tank.end_depth": "150 mm", "tank.cone": "250 mm", "tank.outlet": "50 mm", "tank.holds": "1000 L",
	"tank.strap": "0 mm = 0 L; 75 mm = 20 L; 125 mm = 40 L", "tank.heel": "4 L", "tank.hole": "-150 mm", "tank.hole_side": "0 mm",
	"tank.empty": "65 kg", "tank.ahead": "300 mm",

	"pump.open": "19 L/min", "pump.shutoff": "4 bar", "pump.off": "3 bar", "pump.on": "2 bar",
	"pump.bucket": "20 L in 96 s; 20 L in 98 s; 20 L in 95 s", "pump.bucket_at": "15 C",

	"hose.length": "25 m", "hose.bore": "16 mm", "hose.reel": "500 mm", "hose.rise": "300 mm",
	"hose.suction": "1 m", "hose.suction_bore": "25 mm", "hose.flooded": "300 mm",

	"wire.run": "5 m", "wire.size": "6 mm²", "heater.foam": "25 mm",

	"truck.payload": "750 kg", "truck.gross": "3100 kg", "truck.empty": "2250 kg", "truck.wheelbase": "3700 mm",
	"truck.rear_max": "1750 kg", "truck.rear_empty": "1000 kg", "truck.front_max": "1650 kg", "truck.front_empty": "1250 kg",
	"truck.crew": "160 kg", "truck.crew_ahead": "1800 mm", "truck.gear": "35 kg", "truck.gear_ahead": "-500 mm",

	"pail.size": "20 L", "pail.way": "10 m",
}
