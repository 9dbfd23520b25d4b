package season

import (
	"slices"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/rig"
	"larder/internal/syrup"
	"larder/internal/units"
)

// AxleBar is one limit of the truck: what is used of it.
type AxleBar struct {
	Code string // "payload", "rear", "front"
	Used units.Mass
	Most units.Mass // 0 = not told
	Over units.Mass
}

// Left is what may still come on; below 0 never: see Over.
func (b AxleBar) Left() units.Mass { return max(0, b.Most-b.Used) }

// LoadAxles is how the truck stands with a load of syrup on.
type LoadAxles struct {
	Syrup      units.Volume
	Mass       units.Mass // of the syrup
	Strength   units.Strength
	Cargo      units.Mass // syrup, tank, people and gear; syrup alone where only rig.payload is told
	Bars       []AxleBar
	Fits       bool
	AxlesKnown bool
	Front      units.Mass   // added to the front axle; below 0 lifts it
	TakeOff    units.Volume // to be within all limits; 0 = it is
	Most       units.Volume // that may be loaded in all; 0 = none or not known
	Limit      string       // what binds Most: "tank", "payload", "rear axle", "front axle"
	Hold       rig.Securing
	Part       float64      // of the usable tank
	Slosh      float64      // Hz, 0 = not known
	Rise       units.Length // at one side in a sharp bend
	Cautions   []feeding.Reason
	Reasons    []feeding.Reason
}

// others lists what is on the truck beside the syrup.
func (r *RigSettings) others() []rig.Cargo {
	var out []rig.Cargo
	if r.TankEmpty > 0 {
		out = append(out, rig.Cargo{Mass: r.TankEmpty, Ahead: r.TankAhead.Q})
	}
	for _, c := range []rig.Cargo{r.Crew, r.Gear} {
		if c.Mass > 0 {
			out = append(out, c)
		}
	}
	return out
}

// truckOf gives the truck as far as it can be counted with: without the place
// of the tank there are no axles.
func (r *RigSettings) truckOf() rig.Truck {
	t := r.Truck
	if !r.TankAhead.Told {
		t.Wheelbase = 0
	}
	return t
}

// told tells whether the truck's own limits were told.
func (r *RigSettings) truckTold() bool {
	return r.Truck.Payload > 0 || r.Truck.Gross > 0 && r.Truck.Empty > 0
}

// bend is the side pull of a sharp bend, in g: 0.3, as in the reference case of
// 180 mm over 1.2 m. Common practice, no source.
const bend = 0.3

// LoadAxles weighs a load of syrup against the truck's limits: what is used of
// the payload and of each axle, what to take off, how to strap it. The plate and
// the door sticker govern; nothing told of the truck is fault.Missing.
func (st *State) LoadAxles(v units.Volume, x units.Strength) (LoadAxles, error) {
	s := &st.Settings
	figs, _ := s.FigureSet()
	out := LoadAxles{Syrup: v, Strength: x}
	if out.Strength == 0 {
		out.Strength = s.Syrup
	}
	rho, err := syrup.Density(out.Strength, 20)
	if err != nil {
		return out, err
	}
	out.Mass = units.Mass(v.L() / 1000 * float64(rho))
	usable := s.TankUsable()
	if usable > 0 {
		out.Part = float64(v / usable)
	}
	if !s.Rig.truckTold() {
		return out, out.plain(s, rho, usable, figs)
	}
	t, others := s.Rig.truckOf(), s.Rig.others()
	ahead := s.Rig.TankAhead.Q
	l, err := t.Weigh(append(others[:len(others):len(others)], rig.Cargo{Mass: out.Mass, Ahead: ahead}), figs)
	if err != nil {
		return out, err
	}
	out.Cargo, out.Fits, out.AxlesKnown, out.Front = l.Cargo, l.Fits, l.AxlesKnown, l.Front
	most := t.Payload
	if most == 0 {
		most = max(0, t.Gross-t.Empty)
	}
	out.Bars = append(out.Bars, AxleBar{"payload", l.Cargo, most, l.OverPayload})
	if l.AxlesKnown {
		if t.RearMax > 0 && t.RearEmpty > 0 {
			out.Bars = append(out.Bars, AxleBar{"rear", t.RearEmpty + l.Rear, t.RearMax, l.OverRear})
		}
		if t.FrontMax > 0 && t.FrontEmpty > 0 {
			out.Bars = append(out.Bars, AxleBar{"front", t.FrontEmpty + l.Front, t.FrontMax, l.OverFront})
		}
	}
	if out.TakeOff, err = t.TakeOff(v, rho, ahead, others, figs); err != nil {
		return out, err
	}
	if usable > 0 {
		r, err := t.MostSyrup(usable, rho, ahead, others, figs)
		switch {
		case err == nil:
			out.Most, out.Limit = r.Volume, r.Limit
		case !fault.Is(err, fault.WontFit):
			return out, err
		default:
			out.Limit = r.Limit
		}
	}
	out.rest(s, strapped(l.Cautions, rig.TieDown(out.Mass+s.Rig.TankEmpty)), figs)
	return out, nil
}

// strapped says what the straps must hold of tank and syrup: people and gear
// have straps of their own.
func strapped(cs []rig.Caution, hold rig.Securing) []rig.Caution {
	out := slices.Clone(cs)
	for i := range out {
		if out[i].Code == "strap" {
			out[i].Amounts = []any{hold.ForwardMass()}
		}
	}
	return out
}

// plain weighs the syrup against rig.payload, where nothing else was told.
func (l *LoadAxles) plain(s *Settings, rho units.Density, usable units.Volume, figs figure.Set) error {
	if s.Payload == 0 {
		return missing("truck.payload", "what the truck may carry has not been told", "read the sticker in the driver's door")
	}
	l.Cargo = l.Mass
	over := max(0, l.Mass-s.Payload)
	l.Fits = over == 0
	l.Bars = []AxleBar{{"payload", l.Mass, s.Payload, over}}
	if over > 0 {
		l.TakeOff = units.Volume(float64(over) / float64(rho) * 1000)
	}
	l.Most, l.Limit = units.Volume(float64(s.Payload)/float64(rho)*1000), "payload"
	if usable > 0 && usable < l.Most {
		l.Most, l.Limit = usable, "tank"
	}
	l.Reasons = append(l.Reasons, rigReason("syrup-payload", "weighed as syrup alone, against what you said the truck may carry of it: tell the truck's sticker and axles to know more"))
	l.rest(s, nil, figs)
	return nil
}

// rest adds strapping and slosh.
func (l *LoadAxles) rest(s *Settings, watch []rig.Caution, figs figure.Set) {
	l.Hold = rig.TieDown(l.Mass + s.Rig.TankEmpty)
	t := s.Rig.Tank
	long, wide := t.Length, t.Width
	if t.Shape == rig.Upright {
		long, wide = t.Diameter, t.Diameter
	} else if t.Shape == rig.Lying {
		wide = t.Diameter
	}
	if wide > 0 {
		l.Rise = rig.SloshRise(wide, bend)
	}
	if depth, err := t.DipFor(l.Syrup, figs); err == nil && depth > 0 && long > 0 && t.Shape == rig.Rectangular {
		if hz, err := rig.SloshFrequency(long, depth); err == nil {
			l.Slosh = hz
		}
	}
	if l.Part > 0 {
		watch = append(watch[:len(watch):len(watch)], rig.SloshCautions(l.Part, figs)...)
	}
	l.Cautions = cautioned(watch)
}

// SyrupPayload gives what the truck may carry as syrup: as told, and by the
// sticker and the axles less what is on already; the lesser of the two, 0 where
// neither was told. A truck that is full without syrup is fault.WontFit.
func (s *Settings) SyrupPayload() (units.Mass, error) {
	if !s.Rig.truckTold() {
		return s.Payload, nil
	}
	figs, _ := s.FigureSet()
	rho, err := syrup.Density(s.Syrup, 20)
	if err != nil {
		return 0, err
	}
	// A tank without end: only the truck binds.
	r, err := s.Rig.truckOf().MostSyrup(1e6, rho, s.Rig.TankAhead.Q, s.Rig.others(), figs)
	if err != nil {
		return 0, err
	}
	if s.Payload > 0 {
		return min(s.Payload, r.Mass), nil
	}
	return r.Mass, nil
}
