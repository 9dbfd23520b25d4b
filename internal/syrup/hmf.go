package syrup

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// HMF is hydroxymethylfurfural in mg per kg of feed.
type HMF float64

// white is the time to form 30 mg/kg of HMF in honey (pH about 3.9): White,
// Kushnir & Subers 1964, as tabulated in A Practical Manual of Beekeeping.
// 80 °C is given as "under 2 h" and has no lower end.
var white = []struct{ t, least, most float64 }{ // °C, days
	{30, 100, 300},
	{40, 20, 50},
	{50, 4, 10},
	{60, 1, 2.5},
	{70, 3.0 / 24, 5.0 / 24},
}

// HMFTime is how long a feed takes to form 30 mg/kg.
type HMFTime struct {
	Least, Middle, Most units.Duration
}

// PerDay gives the middle rate in mg/kg per day.
func (h HMFTime) PerDay() HMF { return HMF(30 / (float64(h.Middle) / 86400)) }

// HMFAlarm gives the time to 30 mg/kg at t: ln(time) laid linearly between the
// table's temperatures, the middle being the geometric mean of its two ends.
//
// Range 30…70 °C. It holds for honey, invert and acid syrup (pH near 4);
// neutral sucrose syrup forms far less, but at what rate was not found.
func HMFAlarm(t units.Temp) (HMFTime, error) {
	last := white[len(white)-1]
	if err := temps.from(white[0].t).to(last.t).check("syrup.HMFAlarm", t.C()); err != nil {
		return HMFTime{}, err
	}
	i := 1
	for i < len(white)-1 && t.C() > white[i].t {
		i++
	}
	a, b := white[i-1], white[i]
	f := (t.C() - a.t) / (b.t - a.t)
	between := func(x, y float64) units.Duration {
		return units.Duration(86400 * math.Exp(math.Log(x)+f*(math.Log(y)-math.Log(x))))
	}
	return HMFTime{
		Least:  between(a.least, b.least),
		Middle: between(math.Sqrt(a.least*a.most), math.Sqrt(b.least*b.most)),
		Most:   between(a.most, b.most),
	}, nil
}

// HMFAfter gives the least, middle and most HMF after a stay at t, on top of
// what was in it. Range as [HMFAlarm]; linear in time, as the table gives one
// point only.
func HMFAfter(start HMF, t units.Temp, stay units.Duration) (least, middle, most HMF, err error) {
	const op = "syrup.HMFAfter"
	err = firstErr(amount(op, "the HMF at the start", float64(start)), amount(op, "a time", float64(stay)))
	if err != nil {
		return 0, 0, 0, err
	}
	h, err := HMFAlarm(t)
	if err != nil {
		return 0, 0, 0, err
	}
	grown := func(d units.Duration) HMF { return start + HMF(30*float64(stay)/float64(d)) }
	return grown(h.Most), grown(h.Middle), grown(h.Least), nil
}

// JudgeHMF says what an HMF reading means for feeding: nothing, a warning
// ("hmf-warn"), or that it is not to be fed ("hmf-refuse"). The levels are
// figures; the honey limit is 40 mg/kg (Codex; Directive 2001/110/EC). Harm
// was shown from 150 mg/kg on over 20 days (Jachimowicz & El Sherbiny 1975)
// and lower doses for a whole winter are not proved safe (EFSA 2022).
func JudgeHMF(mg HMF, fig figure.Set) ([]Warning, error) {
	if err := amount("syrup.JudgeHMF", "HMF", float64(mg)); err != nil {
		return nil, err
	}
	fig = or(fig)
	switch refuse, level := fig.V(KeyHMFRefuse), fig.V(KeyHMFWarn); {
	case float64(mg) > refuse:
		return []Warning{warn("hmf-refuse", "HMF of {0} mg/kg is over {1}: do not feed this", float64(mg), refuse)}, nil
	case float64(mg) > level:
		return []Warning{warn("hmf-warn", "HMF of {0} mg/kg is over {1}: not for winter stores", float64(mg), level)}, nil
	}
	return nil, nil
}
