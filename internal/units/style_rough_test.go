package units

import (
	"math"
	"testing"
)

func TestRough(t *testing.T) {
	m, us := Style{System: Metric}, Style{}
	comma := Style{System: Metric, Decimal: ','}
	for _, c := range [][2]string{
		{m.FlowPM(5.85/60, 0.31/60), "5.9 ± 0.3 L/min"}, {us.FlowPM(5.85/60, 0.31/60), "1.5 ± 0.1 US gal/min"}, {comma.FlowPM(12.34/60, 0.8/60), "12 ± 1 L/min"},
		{m.FlowPM(0.742/60, 0.004/60), "0.74 ± 0.01 L/min"}, {m.FlowPM(5.85/60, 0), "5.9 L/min"}, {m.FlowPM(0, 1), "0 L/min"},
		{us.SpanPM(58.3, 6.2), "58 ± 6 s"}, {us.SpanPM(153, 9), "150 ± 10 s"}, {us.SpanPM(3.03*Hour, 0.11*Hour), "3.0 ± 0.1 h"}, {us.SpanPM(7.77*Hour, 0.3*Hour), "7.8 ± 0.3 h"},
		{us.EnergyPM(9.09*KWh, 0.2*KWh), "9.1 ± 0.2 kWh"}, {us.Two(0.0974), "0.097"}, {us.Two(152.7), "150"}, {us.Two(0.996), "1"}, {us.Two(99.7), "100"}, {us.Two(0), "0"}, {us.Two(math.NaN()), "?"},
		{us.Two(-0.0974), "-0.097"}, {us.MassTwo(237), "520 lb"}, {m.VolumeTwo(286.4), "290 L"}, {m.VolumeTwoPM(2.51, 0.25), "2.5 ± 0.3 L"},
	} {
		if c[0] != c[1] {
			t.Errorf("%q, want %q", c[0], c[1])
		}
	}
}
