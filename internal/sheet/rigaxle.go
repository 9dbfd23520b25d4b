package sheet

import (
	"math"

	"larder/internal/season"
	"larder/internal/units"
)

// AxleBars draws what is used of each of a truck's limits: a bar from nothing
// to what is on, a thick line where the limit is. What is over the limit is
// hatched; the words say the same.
func AxleBars(l *season.LoadAxles, s units.Style, t Catalogue) Drawing {
	const w, row, left = 340.0, 56.0, 4.0
	d := Drawing{W: w, H: row*float64(len(l.Bars)) + 4, Class: "rig", Title: AxlesSay(l, s, t)}
	for i, b := range l.Bars {
		top := row * float64(i)
		most := math.Max(float64(b.Used), float64(b.Most))
		x := func(m units.Mass) float64 { return left + float64(m)/math.Max(most, 1)*(w-2*left-6) }
		d.Add(Text{X: left, Y: top + 16, Say: t("rig.limit." + b.Code), Size: 14, Bold: true},
			Text{X: w - left, Y: top + 16, Say: t("rig.axle.of", "Used", s.Mass(b.Used), "Most", s.Mass(b.Most)), Size: 14, At: End})
		within := min(b.Used, b.Most)
		d.Add(Rect{Box: Box{left, top + 24, math.Max(1, x(within)-left), 18}, Fill: Fill{Have, 1}})
		if b.Over > 0 {
			box := Box{x(b.Most), top + 24, x(b.Used) - x(b.Most), 18}
			d.Add(Hatch{box, 5, Pen{Ink: Lack, Width: 1.6}}, Rect{Box: box, Pen: Pen{Ink: Lack, Width: 1.4}})
		} else {
			d.Add(Rect{Box: Box{x(within), top + 24, x(b.Most) - x(within), 18}, Pen: Pen{Ink: Rule, Width: 1}})
		}
		d.Add(Line{x(b.Most), top + 20, x(b.Most), top + 46, Pen{Width: 3}})
	}
	return d
}

// AxlesSay says the finding of the bars: "Rear axle: 120 lb too much." or what
// is left of the tightest.
func AxlesSay(l *season.LoadAxles, s units.Style, t Catalogue) string {
	say := ""
	for _, b := range l.Bars {
		if say != "" {
			say += " "
		}
		if b.Over > 0 {
			say += t("rig.axle.over", "Limit", t("rig.limit."+b.Code), "Mass", s.Mass(b.Over))
		} else {
			say += t("rig.axle.left", "Limit", t("rig.limit."+b.Code), "Mass", s.Mass(b.Left()))
		}
	}
	return say
}
