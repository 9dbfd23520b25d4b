package winter

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// The four rates a day's eating is linear in.
const (
	Cluster     = iota // b: heat a cluster loses, g/day
	PerKg              // r: for each kg of bees, g/kg/day
	BroodFood          // qf: for each dm² of brood, g/dm²/day
	BroodWarmth        // h: to keep brood warm, g/day/°C/dm²^(2/3)
	nRates
)

// Vary is a number with its spread and the bounds its draws are held to.
type Vary struct{ Mean, SD, Low, High float64 }

// at gives the value z standard deviations from the mean, within the bounds.
func (v Vary) at(z float64) float64 {
	return math.Min(math.Max(v.Mean+v.SD*z, v.Low), v.High)
}

// Params is the winter model's figures with what is not known of them. Make
// one with [ParamsOf]; [Calibrate] gives one drawn towards the yard's own
// weighings.
type Params struct {
	// Rate holds b, r, qf and h in grams; their spread is Cov.
	Rate [nRates]Vary
	// Cov is their covariance; before any weighing only its diagonal is filled.
	Cov [nRates][nRates]float64

	Cold, Deep, Stir Vary    // 1/°C
	DeepSpread       float64 // of what is eaten below Tight − 5 °C, as a share
	RestLow          float64 // °C: T ≥ RestLow costs no extra heat
	RestHigh         float64 // °C: above it bees stir
	Tight            float64 // °C
	StirMost         float64
	Nest             float64 // °C

	Shift  Vary // days the brood runs later than its calendar
	Amount Vary // brood against the calendar
	Bees   Vary // bees against those counted; mean 1
	Colony Vary // one colony against others alike; mean 1

	BeeKg     float64 // kg a bee weighs
	broodBees float64
	broodLow  float64
	broodHigh float64

	Pairs int // pairs of weighings it was drawn towards
}

// ParamsOf reads the figures of this package, and "stores.bee_g".
func ParamsOf(set figure.Set) Params {
	p := Params{
		Cold: vary(set, keyCold), Deep: vary(set, keyDeep), Stir: vary(set, keyStir), DeepSpread: set.V(keyDeepMore),
		RestLow: set.V(keyRestLow), RestHigh: set.V(keyRestHigh), Tight: set.V(keyTight), StirMost: set.V(keyStirMost), Nest: set.V(keyNest),
		Shift: vary(set, keyShift), Amount: vary(set, keyAmount),
		Bees:   Vary{1, set.V(keyBeesSD), 0.3, 2},
		Colony: Vary{1, set.V(keyColonySD), 0.3, 2},
		BeeKg:  set.V(keyBeeG) / 1000, broodBees: set.V(keyBroodBees), broodLow: set.V(keyBroodLow), broodHigh: set.V(keyBroodHigh),
	}
	// A keeper may move one end of the rest past the other; then it is a point.
	p.RestHigh = math.Max(p.RestHigh, p.RestLow)
	p.Tight = math.Min(p.Tight, p.RestLow)
	for i, k := range [nRates]string{keyCluster, keyPerKg, keyBroodFood, keyBroodHeat} {
		p.Rate[i] = vary(set, k)
		p.Cov[i][i] = p.Rate[i].SD * p.Rate[i].SD
	}
	return p
}

// vary reads a figure; a keeper's own value outside the believable range widens
// the bounds, for it is his to say.
func vary(set figure.Set, key string) Vary {
	f := set.Get(key)
	return Vary{f.Value, f.SD, math.Min(f.Low, f.Value), math.Max(f.High, f.Value)}
}

// Protection is how a hive stands and is covered.
type Protection string

// The kinds, each a figure "winter.k_…".
const (
	Plain   Protection = "plain"
	Wrapped Protection = "wrapped"
	Foam    Protection = "foam"
	Windy   Protection = "windy"
)

// K gives the factor of a protection; "" is plain. Not one of the four is
// fault.NotFound.
func (p Protection) K(set figure.Set) (float64, error) {
	switch p {
	case "":
		return set.V("winter.k_plain"), nil
	case Plain, Wrapped, Foam, Windy:
		return set.V("winter.k_" + string(p)), nil
	}
	return 0, fault.Newf(fault.NotFound, string(p), "this protection is not known").
		WithHint("plain, wrapped, foam or windy")
}

// Shelter gives the factor of a hive under a cover that may stand in the wind.
// The two are multiplied (judged: nobody measured both at once). A cover that is
// not known is fault.NotFound.
func Shelter(cover Protection, windy bool, set figure.Set) (float64, error) {
	k, err := cover.K(set)
	if err != nil || !windy {
		return k, err
	}
	return k * set.V("winter.k_"+string(Windy)), nil
}

// cold is the factor of the cold: 1 from RestLow up, rising straight to Tight
// and straight on, steeper, below. It is continuous for any figures.
func (p *Params) cold(t, slope, deep, more float64) float64 {
	switch {
	case t >= p.RestLow:
		return 1
	case t >= p.Tight:
		return 1 + slope*(p.RestLow-t)
	}
	c := 1 + slope*(p.RestLow-p.Tight) + deep*(p.Tight-t)
	// What is not known of very cold days comes in over five degrees, so that
	// no draw jumps at Tight.
	return c * math.Max(0.2, 1+more*math.Min((p.Tight-t)/5, 1))
}

// act is the factor of stirring: 1 up to RestHigh.
func (p *Params) act(t, slope float64) float64 {
	if t <= p.RestHigh {
		return 1
	}
	return 1 + math.Min(slope*(t-p.RestHigh), p.StirMost)
}

// shares gives what the four rates are multiplied by on one day, per unit of
// protection k, kilogram of bees and so on: the day's part of the model.
func (p *Params) shares(t, mass, brood, k float64) [nRates]float64 {
	c := p.cold(t, p.Cold.Mean, p.Deep.Mean, 0)
	return [nRates]float64{
		k * c,
		mass * c * p.act(t, p.Stir.Mean),
		brood,
		k * math.Max(p.Nest-t, 0) * twoThirds(brood),
	}
}

// twoThirds is a^(2/3).
func twoThirds(a float64) float64 { return math.Cbrt(a * a) }

// grams is the model of one day, without any check.
func (p *Params) grams(t, bees, brood, k float64) float64 {
	var g float64
	for i, x := range p.shares(t, bees*p.BeeKg, brood, k) {
		g += p.Rate[i].Mean * x
	}
	return g
}

// Day gives what a colony eats on a day of mean temperature t, with bees adult
// bees, brood dm² of brood comb counted per side, in a hive of protection k (1 =
// plain wood):
//
//	g/day = k·b·cold + r·m·cold·act + qf·A + k·h·max(35−T, 0)·A^(2/3)
//
// m is the kilograms of bees; cold and act are 1 between 5 and 7 °C. Each factor
// is linear in T below and above (figures). Derived model; against published
// cases mid-winter use is good to about ±20 %, spring use to ±40 % a month.
//
// Range: −45…40 °C, 500…80 000 bees, 0…120 dm², k 0.5…1.5; beyond,
// fault.NotKnownHere. See [Params.Outside] for where the data ends.
func (p Params) Day(t units.Temp, bees float64, brood units.Area, k float64) (units.Mass, error) {
	if err := inRange(t.C(), bees, float64(brood), k); err != nil {
		return 0, err
	}
	return units.Mass(p.grams(t.C(), bees, float64(brood), k)) * units.Gram, nil
}

func inRange(t, bees, brood, k float64) error {
	notKnown := func(format string, args ...any) error {
		return fault.Newf(fault.NotKnownHere, "", format, args...)
	}
	switch {
	case !(t >= -45 && t <= 40):
		return notKnown("what bees eat at %.0f °C is not known", t)
	case !(bees >= 500 && bees <= 80000):
		return notKnown("what a colony of %.0f bees eats is not known", bees)
	case !(brood >= 0 && brood <= 120):
		return notKnown("what a colony with %.0f dm² of brood eats is not known", brood)
	case !(k >= 0.5 && k <= 1.5):
		return notKnown("no hive loses %.2f times the heat of a plain one", k)
	}
	return nil
}

// Outside says where a colony of so many bees, on days of such mean
// temperatures (°C), lies outside what was measured: below −10 °C nothing was,
// above 15 °C bees fly and find food, and clusters were measured with 4400 to
// 34 000 bees (Harbo).
func (p Params) Outside(bees float64, temps []float64) []Reason {
	var out []Reason
	if bees < 4400 || bees > 34000 {
		out = append(out, because("bees-range", "clusters of 4400 to 34 000 bees were measured, this one has {0}: what it eats is a guess beyond them", math.Round(bees)))
	}
	cold, warm := 0, 0
	for _, t := range temps {
		if t < p.Tight {
			cold++
		}
		if t > 15 {
			warm++
		}
	}
	if cold > 0 {
		out = append(out, because("deep-cold", "on {0} days it is below {1}, where nothing was measured: take those days as 40 % either way", cold, units.Temp(p.Tight)))
	}
	if warm > 0 {
		out = append(out, because("warm-range", "on {0} days it is above {1}: bees fly then, and what they bring home is not counted", warm, units.Temp(15)))
	}
	return out
}
