package sheet

import (
	"math"

	"larder/internal/season"
	"larder/internal/units"
)

// Catalogue gives the message of a key in the reader's language; arguments come in
// pairs, name and value.
type Catalogue func(key string, args ...any) string

// BarOf makes the strip of one colony with its finding in words.
func BarOf(x *season.Short, sc Scale, s units.Style, t Catalogue) Bar {
	b := Bar{Stores: x.Stores(), Target: x.Lack.Target, Scale: sc}
	b.Title = BarTitle(x, s, t)
	return b
}

// BarTitle says what a colony's strip shows: "14: about 41 lb, likely 33 to 49.
// Target 60 lb. Short by 19 lb."
func BarTitle(x *season.Short, s units.Style, t Catalogue) string {
	e, col := x.Stores(), s.MassCol()
	say := t("chart.unknown", "Hive", x.Colony.ID)
	if e.Known {
		say = t("chart.has", "Hive", x.Colony.ID, "Mass", s.Mass(units.Mass(e.Mean)),
			"Low", col.Num(units.Mass(math.Max(0, low80(e)))), "High", col.Num(units.Mass(high80(e))))
	}
	if x.Lack.Target > 0 {
		say += " " + t("chart.target", "Mass", s.Mass(x.Lack.Target))
	}
	if e.Known && x.Lack.Target > 0 {
		if x.Lack.Short > 0 {
			say += " " + t("chart.short", "Mass", s.Mass(x.Lack.Short))
		} else {
			say += " " + t("chart.enough")
		}
	}
	return say
}

// DotsTitle says what the 20 dots show: "In 17 of 20 cases it is short of 60 lb."
func DotsTitle(x *season.Short, s units.Style, t Catalogue) string {
	n := 0
	cases := Cases(x.Stores())
	for _, kg := range cases {
		if kg < x.Lack.Target.Kg() {
			n++
		}
	}
	if len(cases) == 0 || x.Lack.Target == 0 {
		return t("chart.unknown", "Hive", x.Colony.ID)
	}
	return t("chart.dots", "Hive", x.Colony.ID, "Cases", n, "Mass", s.Mass(x.Lack.Target))
}
