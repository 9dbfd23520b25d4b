package syrup

import (
	"larder/internal/figure"
	"larder/internal/units"
)

// Yeast is one that spoils syrup, with the least water activity it grows at.
type Yeast struct {
	Name  string
	Least float64
}

// yeasts is a general table of least water activities, from an open
// encyclopaedia; hardiest first.
var yeasts = []Yeast{
	{"Zygosaccharomyces rouxii", 0.62},
	{"Zygosaccharomyces bailii", 0.80},
	{"Debaryomyces", 0.83},
	{"Saccharomyces cerevisiae", 0.90},
}

// KeepRequest asks how long a syrup keeps.
type KeepRequest struct {
	Strength units.Strength
	At       units.Temp // of the store
	HotMade  bool       // made with water of 60 °C or more into a clean tank
	Kind     Kind       // "" = sucrose
	Figures  figure.Set // zero = the published ones
}

// Keeping is how long a syrup keeps, as the trade holds it: no controlled
// trial with bee syrup was found.
type Keeping struct {
	Known       bool // false = no figure for this; look at it daily
	Least, Most units.Duration
	Activity    Maybe[float64] // water activity, at 0 °C and warmer
	Yeasts      []Yeast        // that can grow in it
	Warnings    []Warning
}

const day = units.Duration(24) * units.Hour

// Keep says how long a syrup keeps after mixing and what can grow in it.
//
// Times are common practice, no source: 1:1 made cold 2–4 days above 20 °C, a
// week at 10 °C (taken from there up to the 2–4 days between the two); 60–67 %
// two to three weeks cool and closed. Between 1:1 and 60 % the shorter time is
// given; warm thick syrup and anything over 67 % have no figure. Strength
// slows, it never sterilises: Z. rouxii spoiled 64–70 °Bx juices inside 60
// days at 23–25 °C (Wang et al., Food Control 59, 2016, 298–305).
func Keep(req KeepRequest) (Keeping, error) {
	const op = "syrup.Keep"
	if err := checkST(op, req.Strength, req.At); err != nil {
		return Keeping{}, err
	}
	fig := or(req.Figures)
	k := Keeping{}
	k.span(req, fig)
	if aw, err := WaterActivity(req.Strength, req.At); err == nil {
		k.Activity = Told(aw)
		for _, y := range yeasts {
			if aw >= y.Least {
				k.Yeasts = append(k.Yeasts, y)
			}
		}
	}
	k.warn(req, fig)
	return k, nil
}

// span sets how long, from the three figures of the trade.
func (k *Keeping) span(req KeepRequest, fig figure.Set) {
	ends := func(key string) (lo, hi units.Duration) {
		f := fig.Get(key)
		if fig.IsOwn(key) {
			return units.Duration(f.Value) * day, units.Duration(f.Value) * day
		}
		return units.Duration(f.Low) * day, units.Duration(f.High) * day
	}
	cool := units.Duration(fig.V(KeyKeepThinCool)) * day
	lo, hi := ends(KeyKeepThinWarm)
	switch thin := req.Strength < 0.595; {
	case req.Kind != "" && req.Kind != WhiteSugar, req.Strength > 0.675:
		return
	case thin && req.At > 20:
		k.Least, k.Most = lo, hi
	case thin && req.At <= 10:
		k.Least, k.Most = cool, cool
	case thin:
		k.Least, k.Most = hi, max(hi, cool)
	case req.At > 20:
		return
	default:
		k.Least, k.Most = ends(KeyKeepThick)
	}
	k.Known = true
}

func (k *Keeping) warn(req KeepRequest, fig figure.Set) {
	add := func(w Warning) { k.Warnings = append(k.Warnings, w) }
	if k.Known {
		add(warn("keep-practice", "how long it keeps is common practice: nobody has tried it under control"))
	} else {
		add(warn("keep-unknown", "nobody has measured how long this keeps: look at it every day"))
	}
	if req.HotMade && k.Known {
		add(warn("keep-hot-made", "made with hot water into a clean tank it keeps longer than that"))
	}
	if len(k.Yeasts) > 0 {
		add(warn("keep-yeast", "strength slows yeast but does not stop it: pour away what is sour, gassy, cloudy or mouldy"))
	}
	if req.Strength >= 0.6 {
		add(warn("keep-dilution", "rain or drips on its surface spoil it first: keep it closed"))
	}
	sucrose := req.Kind == "" || req.Kind == WhiteSugar
	if top := units.Temp(fig.V(KeyFoodWarm)); req.At > top && !sucrose {
		add(warn("keep-too-warm", "stored at {0} this grows HMF: keep it below {1}, out of the sun", req.At, top))
	}
	if sucrose {
		k.grain(req, fig)
	}
}

// grain warns of crystals where the store is colder than saturation.
func (k *Keeping) grain(req KeepRequest, fig figure.Set) {
	sigma, err := Supersaturation(req.Strength, req.At)
	if err != nil || sigma <= fig.V(KeyStoreSigma) {
		return
	}
	k.Warnings = append(k.Warnings, warn("crystals-cold",
		"standing at {0} this syrup grains at rims and valves: mix 5:3 for a cold store", req.At))
}
