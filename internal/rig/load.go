package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Truck is what the plates and the scales say. 0 = not told.
type Truck struct {
	Payload units.Mass // sticker on the door jamb; it governs
	Gross   units.Mass // gross vehicle weight rating
	Empty   units.Mass // curb weight, tank of fuel in

	Wheelbase            units.Length
	RearMax, RearEmpty   units.Mass // axle rating, and the axle's weight empty
	FrontMax, FrontEmpty units.Mass
}

// Cargo is one thing on the truck: people, gear, the empty tank, syrup.
type Cargo struct {
	Mass units.Mass
	// Ahead is how far its middle is ahead of the rear axle; below zero behind.
	Ahead units.Length
}

// room is the payload: what the sticker says, or rating less empty weight.
func (t Truck) room() (units.Mass, error) {
	const op = "rig.Truck"
	for _, m := range []units.Mass{t.Payload, t.Gross, t.Empty, t.RearMax, t.RearEmpty, t.FrontMax, t.FrontEmpty} {
		if err := amount(op, "a weight of the truck", float64(m)); err != nil {
			return 0, err
		}
	}
	if err := amount(op, "the wheelbase", float64(t.Wheelbase)); err != nil {
		return 0, err
	}
	if t.Payload > 0 {
		return t.Payload, nil
	}
	if t.Gross == 0 || t.Empty == 0 {
		return 0, trouble(fault.Missing, op, "what the truck may carry has not been told").WithHint("read the sticker in the driver's door, or the rating and the empty weight")
	}
	return max(0, t.Gross-t.Empty), nil
}

// axles gives what cargo adds to the rear and the front axle, by the lever:
// rear m·(WB − a)/WB, front m·a/WB, a ahead of the rear axle. ok is false
// where the wheelbase is not told.
func (t Truck) axles(cargo []Cargo) (rear, front units.Mass, ok bool) {
	if t.Wheelbase == 0 {
		return 0, 0, false
	}
	for _, c := range cargo {
		front += c.Mass * units.Mass(c.Ahead/t.Wheelbase)
		rear += c.Mass * units.Mass((t.Wheelbase-c.Ahead)/t.Wheelbase)
	}
	return rear, front, true
}

func checkCargo(op string, cargo []Cargo) (units.Mass, error) {
	var sum units.Mass
	for _, c := range cargo {
		if err := firstErr(amount(op, "a weight", float64(c.Mass)), finite(op, "the place of a load", float64(c.Ahead))); err != nil {
			return 0, err
		}
		sum += c.Mass
	}
	return sum, nil
}

// Loaded is how the truck stands with what is on it.
type Loaded struct {
	Cargo       units.Mass // all that was put on
	AxlesKnown  bool       // the wheelbase was told
	Rear, Front units.Mass // added to each axle; the front may go below zero
	OverPayload units.Mass // too much for the truck; 0 = within
	OverRear    units.Mass // too much for the axle; 0 = within, or not told
	OverFront   units.Mass
	Fits        bool
	Cautions    []Caution
}

// Weigh gives how the truck stands with the cargo on it. What is over is said,
// in kg; nothing is rounded in its favour.
func (t Truck) Weigh(cargo []Cargo, fig figure.Set) (Loaded, error) {
	const op = "rig.Truck.Weigh"
	room, err := t.room()
	if err != nil {
		return Loaded{}, err
	}
	sum, err := checkCargo(op, cargo)
	if err != nil {
		return Loaded{}, err
	}
	out := Loaded{Cargo: sum, OverPayload: max(0, sum-room)}
	out.Rear, out.Front, out.AxlesKnown = t.axles(cargo)
	if out.AxlesKnown {
		if t.RearMax > 0 && t.RearEmpty > 0 {
			out.OverRear = max(0, t.RearEmpty+out.Rear-t.RearMax)
		}
		if t.FrontMax > 0 && t.FrontEmpty > 0 {
			out.OverFront = max(0, t.FrontEmpty+out.Front-t.FrontMax)
		}
	}
	out.Fits = out.OverPayload == 0 && out.OverRear == 0 && out.OverFront == 0
	out.Cautions = t.cautions(out, or(fig))
	return out, nil
}

func (t Truck) cautions(l Loaded, fig figure.Set) []Caution {
	var out []Caution
	if l.OverPayload > 0 {
		out = append(out, caution("over-payload", "{0} more than the truck may carry", l.OverPayload))
	}
	if l.OverRear > 0 {
		out = append(out, caution("over-rear-axle", "{0} more than the rear axle may carry", l.OverRear))
	}
	if l.OverFront > 0 {
		out = append(out, caution("over-front-axle", "{0} more than the front axle may carry", l.OverFront))
	}
	switch {
	case !l.AxlesKnown:
		out = append(out, caution("axles-not-told", "Axles not checked: the wheelbase and where the tank stands have not been told"))
	case t.RearMax == 0 || t.RearEmpty == 0:
		out = append(out, caution("axles-not-told", "The rear axle's rating has not been told: it gets {0} more", l.Rear))
	}
	if l.AxlesKnown && l.Front < 0 {
		out = append(out, caution("light-steering", "The load lifts {0} off the front wheels: light steering, long braking. Move the tank forward", -l.Front))
	}
	return append(out,
		caution("tyres", "Check the load index of the tyres and their pressure"),
		caution("strap", "Strap it for hard braking: {0} holds it forward", TieDown(l.Cargo).ForwardMass()))
}

// Room is how much syrup fits.
type Room struct {
	Volume units.Volume
	Mass   units.Mass
	Limit  string // what binds: "tank", "payload", "rear axle", "front axle"
	Loaded Loaded // with that much in
}

// MostSyrup gives the most syrup of a density that a tank of a usable volume
// may take on the truck, standing ahead of the rear axle, with other cargo
// (people, gear, the empty tank) on already. Nothing at all is [fault.WontFit].
func (t Truck) MostSyrup(usable units.Volume, rho units.Density, ahead units.Length, other []Cargo, fig figure.Set) (Room, error) {
	const op = "rig.Truck.MostSyrup"
	room, err := t.room()
	if err := firstErr(err, positive(op, "the tank", float64(usable)), positive(op, "the density", float64(rho)), finite(op, "the place of the tank", float64(ahead))); err != nil {
		return Room{}, err
	}
	had, err := checkCargo(op, other)
	if err != nil {
		return Room{}, err
	}
	kgPerL := float64(rho) / 1000
	best := Room{Mass: units.Mass(float64(usable) * kgPerL), Limit: "tank"}
	bind := func(m units.Mass, limit string) {
		if m < best.Mass {
			best.Mass, best.Limit = m, limit
		}
	}
	bind(room-had, "payload")
	if rear, front, ok := t.axles(other); ok {
		k := float64(ahead / t.Wheelbase)
		if t.RearMax > 0 && t.RearEmpty > 0 && k < 1 {
			bind((t.RearMax-t.RearEmpty-rear)/units.Mass(1-k), "rear axle")
		}
		if t.FrontMax > 0 && t.FrontEmpty > 0 && k > 0 {
			bind((t.FrontMax-t.FrontEmpty-front)/units.Mass(k), "front axle")
		}
	}
	if best.Mass <= 0 {
		return best, trouble(fault.WontFit, op, "with what is on it already, the truck may carry no syrup: the %s is used up", best.Limit).WithHint("take something off, or take a trailer")
	}
	// A hair less, so that adding it up again never comes out over.
	best.Mass *= 1 - 1e-12
	best.Volume = units.Volume(float64(best.Mass) / kgPerL)
	best.Loaded, err = t.Weigh(append(append([]Cargo(nil), other...), Cargo{Mass: best.Mass, Ahead: ahead}), fig)
	if err == nil && !best.Loaded.Fits {
		// An axle that the other cargo overloads already.
		return best, trouble(fault.WontFit, op, "with what is on it already, an axle is overloaded").WithHint("move things, or take something off")
	}
	if err == nil {
		best.Loaded.Cautions = append(best.Loaded.Cautions, SloshCautions(float64(best.Volume/usable), fig)...)
	}
	return best, err
}

// TakeOff gives the syrup to take off a load that is over; 0 where it fits.
func (t Truck) TakeOff(syrup units.Volume, rho units.Density, ahead units.Length, other []Cargo, fig figure.Set) (units.Volume, error) {
	if syrup == 0 {
		return 0, nil
	}
	r, err := t.MostSyrup(syrup, rho, ahead, other, fig)
	if fault.Is(err, fault.WontFit) {
		return syrup, nil
	}
	if err != nil || r.Limit == "tank" {
		return 0, err
	}
	return max(0, syrup-r.Volume), nil
}

// Force is in newtons.
type Force float64

// Securing is what the tie-downs must hold, by 49 CFR 393.102: without
// breaking at 0.8 g forward, 0.5 g rearward and sideways; within their working
// load at 0.435 g, 0.5 g and 0.25 g; 20 % of the weight downward if not
// contained. 393.106: working load limits add up to half the weight (from
// memory).
type Securing struct {
	Forward, Rearward, Sideways Force // breaking strength
	WLForward, WLRear, WLSide   Force // working load
	Down                        Force
	WorkingLoads                units.Mass // sum of the working load limits, at least
}

// TieDown gives what must hold a mass.
func TieDown(m units.Mass) Securing {
	w := Force(float64(m) * g)
	return Securing{0.8 * w, 0.5 * w, 0.5 * w, 0.435 * w, 0.5 * w, 0.25 * w, 0.2 * w, m / 2}
}

// ForwardMass is the forward force as the mass it weighs, as straps are marked.
func (s Securing) ForwardMass() units.Mass { return units.Mass(float64(s.Forward) / g) }

// SloshFrequency gives the first mode of a tank's surface in Hz:
// (1/2π)·√[(gπ/L)·tanh(πh/L)], L along the slosh, h deep. Linear theory, a box;
// thick cold syrup damps it.
func SloshFrequency(length, depth units.Length) (float64, error) {
	const op = "rig.SloshFrequency"
	if err := firstErr(positive(op, "the length of the tank", float64(length)), positive(op, "the depth", float64(depth))); err != nil {
		return 0, err
	}
	l := float64(length)
	return math.Sqrt(g*math.Pi/l*math.Tanh(math.Pi*float64(depth)/l)) / (2 * math.Pi), nil
}

// SloshRise gives how much higher the syrup stands at one wall under a steady
// side pull of so many g: width·tan(atan a)/2.
func SloshRise(width units.Length, pull float64) units.Length {
	return width * units.Length(pull) / 2
}

// SloshCautions are the cautions for a tank filled to a part.
func SloshCautions(part float64, fig figure.Set) []Caution {
	fig = or(fig)
	var out []Caution
	if part >= fig.V(KeySloshLow) && part <= fig.V(KeySloshHigh) {
		out = append(out, caution("half-full", "Half full sloshes most: brake early, take bends below the posted speed. Carry full or near empty"))
	}
	return append(out, caution("baffles", "Baffles stop the surge when braking, not the one in a bend"))
}

// Expansion gives the part by which syrup swells from one density to another.
func Expansion(cold, hot units.Density) (float64, error) {
	const op = "rig.Expansion"
	if err := firstErr(positive(op, "the density", float64(cold)), positive(op, "the density", float64(hot))); err != nil {
		return 0, err
	}
	return float64(cold/hot) - 1, nil
}

// Tongue gives the weight a trailer should put on the hitch (figure
// rig.tongue), lowest and highest.
func Tongue(trailer units.Mass, fig figure.Set) (lo, hi units.Mass) {
	f := or(fig).Get(KeyTongue)
	return trailer * units.Mass(f.Low), trailer * units.Mass(f.High)
}

// Keys of the figures of the load.
const (
	KeySloshLow  = "rig.slosh_low"
	KeySloshHigh = "rig.slosh_high"
	KeyTongue    = "rig.tongue"
	KeyToteTare  = "rig.tote_tare_kg"
)

func loadFigures() []figure.Figure {
	return []figure.Figure{
		practice(KeySloshLow, "fill from which a tank sloshes most", 0.4, 0.3, 0.5, 0, "fraction", ""),
		practice(KeySloshHigh, "fill up to which it does", 0.8, 0.7, 0.9, 0, "fraction", ""),
		practice(KeyTongue, "part of a trailer's weight on the hitch", 0.125, 0.10, 0.15, 0, "fraction", ""),
		practice(KeyToteTare, "empty plastic cage tote", 60, 55, 65, 2.5, "kg", ""),
	}
}
