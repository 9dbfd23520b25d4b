package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// burns are temperatures of water and the seconds to a third-degree burn of an
// adult. Source: US CPSC tap water statement (150, 140, 130, 120 °F), as
// reproduced.
var burns = [...]struct {
	f units.Temp
	s units.Duration
}{{120, 300}, {130, 30}, {140, 6}, {150, 2}}

// BurnTime gives the seconds in which water of t burns through the skin, from
// 48.9 °C (120 °F) to 65.6 °C (150 °F); between the printed points the logarithm
// is drawn straight. Syrup clings, and burns worse.
func BurnTime(t units.Temp) (units.Duration, error) {
	f := float64(t)*9/5 + 32
	if err := covered("rig.BurnTime", "a temperature", "°C", math.Round(f*1e6)/1e6, float64(burns[0].f), float64(burns[len(burns)-1].f)); err != nil {
		return 0, trouble(fault.NotKnownHere, "rig.BurnTime", "burns at %.1f °C are not in the table", float64(t)).WithHint("known from 48.9 to 65.6 °C")
	}
	i := 0
	for i < len(burns)-2 && f >= float64(burns[i+1].f) {
		i++
	}
	a, b := burns[i], burns[i+1]
	u := (f - float64(a.f)) / float64(b.f-a.f)
	s := math.Exp((1-u)*math.Log(float64(a.s)) + u*math.Log(float64(b.s)))
	return units.Duration(math.Round(s*1e9) / 1e9), nil
}

// HotCautions are the cautions for a liquid that gets as hot as t, and for the
// heater that makes it so.
func HotCautions(t units.Temp, fig figure.Set) []Caution {
	fig = or(fig)
	var out []Caution
	if float64(t) >= fig.V(KeyScaldWarn) {
		out = append(out, caution("hot-syrup", "{0} burns through skin: gloves, goggles, lid. Syrup sticks. No children at the tank", t))
	}
	if float64(t) > fig.V(KeyHighLimit) {
		out = append(out, caution("too-hot-syrup", "Heat the water, not the syrup: above {0} syrup spoils. High-limit switch and low-level cut-out on the heater", units.Temp(fig.V(KeyHighLimit))))
	}
	return append(out,
		caution("mains-water", "Plug in only through an RCD/GFCI that you tested today. Switch off and unplug before hands go in"),
		caution("element-dry", "Never switch on an element that is not covered"))
}

// ReadyToLoad refuses syrup of t that is too hot to be pumped by hand (figure
// rig.scald_stop_c) and cautions where it can still burn.
func ReadyToLoad(t units.Temp, fig figure.Set) ([]Caution, error) {
	const op = "rig.ReadyToLoad"
	if err := finite(op, "the temperature", float64(t)); err != nil {
		return nil, err
	}
	fig = or(fig)
	if stop := fig.V(KeyScaldStop); float64(t) >= stop {
		return nil, trouble(fault.Unsafe, op, "at %.0f °C the syrup burns through skin in seconds", float64(t)).WithHint("let it cool below %.0f °C before loading", stop)
	}
	if float64(t) >= fig.V(KeyScaldWarn) {
		return []Caution{caution("hot-syrup", "{0} burns through skin: gloves, goggles, lid. Syrup sticks. No children at the tank", t)}, nil
	}
	return nil, nil
}

// ElementArea gives the least surface of an element of a power in syrup
// (figure rig.element_w_cm2).
func ElementArea(p units.Power, fig figure.Set) (units.Area, error) {
	if err := amount("rig.ElementArea", "the power", float64(p)); err != nil {
		return 0, err
	}
	return units.Area(float64(p) / or(fig).V(KeyWattArea) / 100), nil
}
