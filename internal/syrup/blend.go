package syrup

import (
	"larder/internal/fault"
	"larder/internal/units"
)

// BlendRequest is a strong and a weak syrup to be joined to a strength between.
type BlendRequest struct {
	Strong, Weak units.Strength
	Want         units.Strength
	Make         units.Volume      // at At
	At           Maybe[units.Temp] // not told = 20 °C
}

// Blending says how much of each.
type Blending struct {
	ByMass       float64 // share of the strong syrup by mass
	ByVolume     float64 // the same by volume: differs, for the strong one is denser
	Strong, Weak units.Volume
	StrongMass   units.Mass
	WeakMass     units.Mass
	Mass         units.Mass
}

// BlendShare gives the share of the strong syrup by mass (Pearson's square):
// (T−L)/(H−L). Weak < want < strong, or it is refused.
func BlendShare(strong, weak, want units.Strength) (float64, error) {
	const op = "syrup.BlendShare"
	err := firstErr(strengths.check(op, strong.Brix()), strengths.check(op, weak.Brix()), strengths.check(op, want.Brix()))
	if err != nil {
		return 0, err
	}
	if !(weak < want && want < strong) {
		e := fault.Newf(fault.OutOfRange, "", "%.1f %% cannot be blended from %.1f and %.1f %%", want.Brix(), weak.Brix(), strong.Brix()).
			WithHint("the strength wanted must lie between the two; else add sugar or water")
		e.Op = op
		return 0, e
	}
	return float64((want - weak) / (strong - weak)), nil
}

// Blend works out how much of two syrups makes the volume and strength wanted,
// both measured at the same temperature. Exact but for the densities (see
// [Density]).
func Blend(req BlendRequest) (Blending, error) {
	const op = "syrup.Blend"
	t := req.At.Or(roomTemp)
	f, err := BlendShare(req.Strong, req.Weak, req.Want)
	if err := firstErr(err, temps.check(op, t.C()), positive(op, "the volume to make", req.Make.L())); err != nil {
		return Blending{}, err
	}
	m := units.Mass(req.Make.L() * float64(sureDensity(req.Want, t)) / 1000)
	b := Blending{ByMass: f, Mass: m, StrongMass: m * units.Mass(f), WeakMass: m * units.Mass(1-f)}
	b.Strong = units.Volume(b.StrongMass.Kg() * 1000 / float64(sureDensity(req.Strong, t)))
	b.Weak = units.Volume(b.WeakMass.Kg() * 1000 / float64(sureDensity(req.Weak, t)))
	b.ByVolume = float64(b.Strong / (b.Strong + b.Weak))
	return b, nil
}

// Joined is two syrups run together.
type Joined struct {
	Strength units.Strength
	Volume   units.Volume // not the sum of the two
	Mass     units.Mass
}

// Join gives what two volumes of syrup (at t, each of its strength) become
// together: masses add, litres do not.
func Join(v1 units.Volume, s1 units.Strength, v2 units.Volume, s2 units.Strength, t units.Temp) (Joined, error) {
	m1, err1 := MassOf(v1, s1, t)
	m2, err2 := MassOf(v2, s2, t)
	if err := firstErr(err1, err2, positive("syrup.Join", "the syrup", (m1+m2).Kg())); err != nil {
		return Joined{}, err
	}
	j := Joined{Mass: m1 + m2}
	j.Strength = units.Strength((m1*units.Mass(s1) + m2*units.Mass(s2)) / j.Mass)
	j.Volume = units.Volume(j.Mass.Kg() * 1000 / float64(sureDensity(j.Strength, t)))
	return j, nil
}
