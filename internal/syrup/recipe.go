package syrup

import (
	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// RatioStrength gives the strength of a recipe, sugar to water (not to syrup):
// 2:1 by weight is 66.7 %, by volume only about 63 %. bulk is the loose weight
// of the sugar and water the temperature at which the water is measured; both
// matter by volume only.
//
// Range: results of 0…85 %. By weight it is exact; by volume, bulk decides:
// 0.80–0.90 kg/L moves 2:1 from 61.6 to 64.3 %.
func RatioStrength(r units.Ratio, bulk units.Density, water units.Temp) (units.Strength, error) {
	const op = "syrup.RatioStrength"
	err := firstErr(amount(op, "the sugar in the recipe", r.Sugar), amount(op, "the water in the recipe", r.Water))
	if err != nil {
		return 0, err
	}
	if r.Sugar+r.Water <= 0 {
		return 0, fault.New(fault.Missing, "", "the recipe has neither sugar nor water").WithHint("write it as sugar to water, for example 2:1")
	}
	sugar, wet := r.Sugar, r.Water
	if r.By == units.ByVolume {
		if err := firstErr(bulks.check(op, float64(bulk)/1000),
			temps.from(0).check(op, water.C())); err != nil {
			return 0, err
		}
		sugar *= float64(bulk)
		wet *= kell(water.C())
	}
	w := sugar / (sugar + wet)
	if err := strengths.check(op, w*100); err != nil {
		return 0, err
	}
	return units.Strength(w), nil
}

// Bulk gives the loose weight of granulated sugar from the figures.
func Bulk(fig figure.Set) units.Density { return units.Density(or(fig).V(KeyBulk) * 1000) }

// Band is a recipe's strength with what the loose weight of the sugar leaves
// open.
type Band struct {
	Strength  units.Strength
	Low, High units.Strength // equal to Strength by weight, or where the sugar was weighed
}

// RatioBand gives a recipe's strength at 20 °C by the figures. By volume, Low
// and High are for the ends of the figure's range, unless the keeper has
// weighed his own sugar or bulk is told (0 = not).
func RatioBand(r units.Ratio, bulk units.Density, fig figure.Set) (Band, error) {
	fig = or(fig)
	f := fig.Get(KeyBulk)
	own := bulk != 0 || fig.IsOwn(KeyBulk)
	if bulk == 0 {
		bulk = units.Density(f.Value * 1000)
	}
	s, err := RatioStrength(r, bulk, 20)
	b := Band{s, s, s}
	if err != nil || r.By != units.ByVolume || own {
		return b, err
	}
	lo, err1 := RatioStrength(r, units.Density(f.Low*1000), 20)
	hi, err2 := RatioStrength(r, units.Density(f.High*1000), 20)
	b.Low, b.High = lo, hi
	return b, firstErr(err1, err2)
}
